// Which view is shown, and the clock that keeps its timers going.

let saidOnArrival = "";

function go(place, text = "") {
  saidOnArrival = text;
  window.location.hash = place;
}

function show() {
  const state = store.state;
  const [, view, number] = window.location.hash.split("/");
  const id = Number(number);
  const firing = findFiring(state, id);
  const found = findPiece(state, id);
  if (view === "firing" && firing) drawFiring(state, firing);
  else if (view === "grades" && firing) drawGrades(firing);
  else if (view === "piece" && found) drawPiece(state, found);
  else if (view === "grade" && found) drawGrade(state, found);
  else if (view === "out") drawOut(state);
  else if (view === "in") drawIn();
  else drawHome(state);
  showStorage();
}

function showStorage() {
  const place = document.getElementById("kept");
  const text = say(isKept() ? "kept" : "not_kept");
  place.classList.toggle("warning", !isKept());
  if (place.textContent !== text) place.textContent = text;
}

function lookAtClock() {
  if (!wasSetBack(store.state.highest)) return;
  change((state) => noteClock(state, Date.now()));
  document.getElementById("clock").textContent = say("set_back");
  show();
}

function tick() {
  if (!isTyping()) lookAtClock();
  const now = Date.now();
  for (const timer of document.querySelectorAll("[data-since]")) {
    timer.textContent = showSpan(now - Number(timer.dataset.since));
  }
}

// A view is not drawn anew under somebody's typing.
function isTyping() {
  return ["INPUT", "TEXTAREA"].includes(document.activeElement?.tagName);
}

async function start() {
  await openStore();
  store.onOther = () => { if (!isTyping()) show(); };
  showTheme();
  window.addEventListener("hashchange", () => {
    announce(saidOnArrival);
    saidOnArrival = "";
    show();
    window.scrollTo(0, 0);
    document.querySelector("h1").focus({ preventScroll: true });
  });
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) return;
    if (adoptNewer() && !isTyping()) show();
    keepAwake();
  });
  window.addEventListener("beforeunload", (event) => {
    if (!isKept() && countPieces(store.state)) event.preventDefault();
  });
  show();
  keepAwake();
  setInterval(tick, 1000);
}

start();
