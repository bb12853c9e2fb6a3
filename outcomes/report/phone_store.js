// Keeps the log in the browser, on every tap, in two places.
//
// The database is told to reach the disk at once, which survives an empty battery; the simpler
// storage answers at once, which survives a page closed in the same second. The newer copy of
// the two is read. Where the browser allows neither, the log lives as long as the page is open,
// and the page says so.

const PLACE = `outcomes-kiln-side-log: ${BOOK.title}`;

const store = { state: null, database: null, hasSimple: true, onOther: () => {} };

async function openStore() {
  store.database = await openDatabase();
  const copies = [readSimple(), await readDatabase()].filter(Boolean);
  copies.sort((one, other) => other.rev - one.rev);
  store.state = copies[0] ?? newState();
  navigator.storage?.persist?.().catch(() => {});
  window.addEventListener("storage", (event) => {
    if (event.key === PLACE && adoptNewer()) store.onOther();
  });
}

function isKept() {
  return store.hasSimple || store.database !== null;
}

// Every change of the log goes through here and is written before the page shows it.
function change(alter) {
  adoptNewer();
  const result = alter(store.state);
  store.state.rev += 1;
  const text = JSON.stringify(store.state);
  writeSimple(text);
  writeDatabase(text);
  return result;
}

// Another window with this page may have written meanwhile; its entries count too.
function adoptNewer() {
  const copy = readSimple();
  if (!copy || copy.rev <= store.state.rev) return false;
  store.state = copy;
  return true;
}

function parseState(text) {
  try {
    const state = JSON.parse(text);
    const isOurs = state?.format === 1 && Array.isArray(state.firings);
    return isOurs && Array.isArray(state.undone) ? state : null;
  } catch {
    return null;
  }
}

function readSimple() {
  try {
    return parseState(window.localStorage.getItem(PLACE));
  } catch {
    store.hasSimple = false;
    return null;
  }
}

function writeSimple(text) {
  try {
    window.localStorage.setItem(PLACE, text);
    store.hasSimple = true;
  } catch {
    store.hasSimple = false;
  }
}

function openDatabase() {
  return new Promise((done) => {
    try {
      const request = window.indexedDB.open(PLACE, 1);
      request.onupgradeneeded = () => request.result.createObjectStore("log");
      request.onsuccess = () => done(request.result);
      request.onerror = () => done(null);
      request.onblocked = () => done(null);
    } catch {
      done(null);
    }
  });
}

function readDatabase() {
  return new Promise((done) => {
    if (!store.database) done(null);
    else {
      const request = store.database.transaction("log").objectStore("log").get("state");
      request.onsuccess = () => done(parseState(request.result));
      request.onerror = () => done(null);
    }
  });
}

function writeDatabase(text) {
  if (!store.database) return;
  try {
    const work = store.database.transaction("log", "readwrite", { durability: "strict" });
    work.objectStore("log").put(text, "state");
    work.onabort = loseDatabase;
  } catch {
    loseDatabase();
  }
}

function loseDatabase() {
  store.database = null;
  showStorage();
}
