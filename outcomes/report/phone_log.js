// The log kept on the phone: firings, their pieces, and the stamps of each piece.
//
// A cell is looked for on the piece, then on its firing (columns that are the same for a whole
// firing), then worked out from the stamps. What somebody wrote by hand outranks a stamp.

// Gloves and bouncing screens tap twice; nobody does two steps within half a second.
const BOUNCE_MS = 500;
const FIGURES = { 1: 1, 60: 2, 3600: 4 };

function newState() {
  return {
    format: 1, rev: 0, next: 1, setBack: 0, highest: 0, undone: [], takenOut: null,
    firings: [], choices: { beep: false, voice: false, awake: true, theme: "" },
  };
}

function newId(state) {
  state.next += 1;
  return state.next - 1;
}

function addFiring(state, code, day) {
  const firing = { id: newId(state), cells: { [BOOK.firing]: code }, pieces: [] };
  if (BOOK.date) firing.cells[BOOK.date] = day;
  state.firings.push(firing);
  return firing;
}

function addPiece(state, firing, code) {
  const piece = { id: newId(state), cells: { [BOOK.piece]: code }, stamps: {} };
  firing.pieces.push(piece);
  return piece;
}

function findFiring(state, id) {
  return state.firings.find((firing) => firing.id === id);
}

function findPiece(state, id) {
  for (const firing of state.firings) {
    const piece = firing.pieces.find((each) => each.id === id);
    if (piece) return { firing, piece };
  }
  return null;
}

// A column may be called anything, also "constructor".
function own(cells, name) {
  return Object.hasOwn(cells, name) ? cells[name] : undefined;
}

function firingCode(firing) {
  return own(firing.cells, BOOK.firing) ?? "";
}

function pieceCode(piece) {
  return own(piece.cells, BOOK.piece) ?? "";
}

function setCell(owner, name, text) {
  const kept = text.trim();
  if (kept === "") delete owner.cells[name];
  else owner.cells[name] = kept;
}

function cellOf(firing, piece, name) {
  const written = own(piece.cells, name);
  if (written !== undefined) return written;
  const column = columnOf(name);
  if (column?.ofFiring) return own(firing.cells, name) ?? "";
  return column?.from ? workOut(piece, column) : "";
}

// A span between two stamps in the column's unit; "" when it cannot be worked out.
function workOut(piece, column) {
  const [start, end] = [piece.stamps[column.from], piece.stamps[column.to]];
  if (!start || !end || start.setBack !== end.setBack || end.ms < start.ms) return "";
  const amount = (end.ms - start.ms) / 1000 / column.seconds;
  return String(Number(amount.toFixed(FIGURES[column.seconds])));
}

// Says why a span is missing although both ends were tapped.
function isSpoilt(piece, column) {
  return Boolean(piece.stamps[column.from] && piece.stamps[column.to]) && !workOut(piece, column);
}

function lastStep(piece) {
  return BOOK.steps.findLastIndex((step) => piece.stamps[step.key]);
}

function nextStep(piece) {
  return BOOK.steps[lastStep(piece) + 1] ?? null;
}

function isUnderWay(piece) {
  const last = lastStep(piece);
  return last >= 0 && last < BOOK.steps.length - 1;
}

// A step may be tapped when neither it nor a later one has been.
function mayStamp(piece, key) {
  return BOOK.steps.findIndex((step) => step.key === key) > lastStep(piece);
}

function isBounce(piece, now) {
  const last = BOOK.steps[lastStep(piece)];
  const since = last ? now - piece.stamps[last.key].ms : BOUNCE_MS;
  return since >= 0 && since < BOUNCE_MS;
}

function stamp(state, piece, key, now) {
  if (!mayStamp(piece, key) || isBounce(piece, now)) return false;
  piece.stamps[key] = { ms: now, setBack: state.setBack, order: newId(state) };
  state.highest = now;
  state.undone = state.undone.filter((each) => each.piece !== piece.id);
  return true;
}

function noteClock(state, now) {
  state.setBack += 1;
  state.highest = now;
}

// The stamp that was given last in a firing, or null.
function lastStamp(firing) {
  let last = null;
  for (const piece of firing.pieces) {
    for (const [key, given] of Object.entries(piece.stamps)) {
      if (!last || given.order > last.given.order) last = { piece, key, given };
    }
  }
  return last;
}

function undoStamp(state, piece, key) {
  state.undone.push({ piece: piece.id, key, given: piece.stamps[key] });
  delete piece.stamps[key];
}

// What was undone last in a firing, or null; a piece's next tap settles what came before it.
function lastUndone(state, firing) {
  const isHere = ({ piece: id }) => firing.pieces.some((piece) => piece.id === id);
  return state.undone.findLast(isHere) ?? null;
}

function putBack(state, firing) {
  const undone = lastUndone(state, firing);
  if (!undone) return;
  const { piece } = findPiece(state, undone.piece);
  piece.stamps[undone.key] ??= undone.given;
  state.undone = state.undone.filter((each) => each !== undone);
}

function countPieces(state) {
  return state.firings.reduce((sum, firing) => sum + firing.pieces.length, 0);
}

function countEntries(piece) {
  const cells = Object.keys(piece.cells).filter((name) => name !== BOOK.piece);
  return cells.length + Object.keys(piece.stamps).length;
}

// Settings that stay the same from piece to piece need not be typed again; only empty cells
// of the maker's settings are filled, never a grade, a note or anything worked out.
function copySettings(from, to) {
  const copied = BOOK.columns.filter((column) => column.isSetting && !column.ofFiring
    && !column.from && own(from.cells, column.name) && !own(to.cells, column.name));
  for (const column of copied) to.cells[column.name] = from.cells[column.name];
  return copied.length;
}

function glazesKnown(state) {
  const used = state.firings.flatMap((firing) =>
    firing.pieces.map((piece) => own(piece.cells, BOOK.glaze))).filter(Boolean).reverse();
  return [...new Set([...used, ...BOOK.glazes])];
}

// Newest first, so that the one grading now stands on top.
function gradersKnown(state) {
  return [...new Set(state.firings.flatMap((firing) =>
    firing.pieces.map((piece) => own(piece.cells, BOOK.grader))).filter(Boolean).reverse())];
}

// A letter comes first, or a spreadsheet would take the code for a date or a number.
function suggestFiring(state, day) {
  const taken = new Set(state.firings.map(firingCode));
  const code = BOOK.words.Cluster.charAt(0) + day.slice(2).replaceAll("-", "");
  if (!taken.has(code)) return code;
  let number = 2;
  while (taken.has(`${code}-${number}`)) number += 1;
  return `${code}-${number}`;
}

function suggestPiece(firing) {
  const taken = new Set(firing.pieces.map(pieceCode));
  let number = firing.pieces.length + 1;
  while (taken.has(`${firingCode(firing)}/${number}`)) number += 1;
  return `${firingCode(firing)}/${number}`;
}
