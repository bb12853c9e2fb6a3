// The log as a table, and a table of ours as a log again, to the last sign.

// Stamps travel in a column of their own, which the program that reads the log keeps aside.
const STAMPS = "phone_stamps";
const STAMP = /^(\w+)=(\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z)(?:#(\d+))?$/;

class Refusal extends Error {}

function refuse(key, values) {
  throw new Refusal(say(key, values));
}

function headerOf(state) {
  const known = BOOK.columns.map((column) => column.name);
  const kept = state.firings.flatMap((firing) => [firing, ...firing.pieces])
    .flatMap((owner) => Object.keys(owner.cells));
  const others = [...new Set(kept)].filter((name) => !known.includes(name));
  return [...known, ...others.sort(), STAMPS];
}

function rowOf(firing, piece, header) {
  return header.map((name) => {
    if (name === STAMPS) return writeStamps(piece);
    if (name === BOOK.firing) return firingCode(firing);
    return cellOf(firing, piece, name);
  });
}

function tableOf(state) {
  const header = headerOf(state);
  const rows = state.firings.flatMap((firing) =>
    firing.pieces.map((piece) => rowOf(firing, piece, header)));
  return [header, ...rows];
}

function writeStamps(piece) {
  return BOOK.steps.filter((step) => piece.stamps[step.key]).map(({ key }) => {
    const given = piece.stamps[key];
    const count = given.setBack ? `#${given.setBack}` : "";
    return `${key}=${new Date(given.ms).toISOString()}${count}`;
  }).join(" ");
}

function readStamps(text, row) {
  const stamps = {};
  for (const word of text.split(" ").filter(Boolean)) {
    const [, key, moment, count] = STAMP.exec(word) ?? [];
    const ms = Date.parse(moment);
    const isOurs = Boolean(stepOf(key));
    if (!isOurs || Number.isNaN(ms)) refuse("import_bad_stamp", { row, text: word.slice(0, 60) });
    stamps[key] = { ms, setBack: Number(count ?? 0), order: 0 };
  }
  return stamps;
}

// Returns the rows of a file as records; refuses, in words, what this page did not write.
function readTable(text) {
  const rows = readCsv(text);
  if (!rows) refuse("import_unclosed");
  const [header, ...body] = rows;
  const missing = [BOOK.firing, BOOK.piece, STAMPS].filter((name) => !header?.includes(name));
  if (missing.length) refuse("import_foreign", { columns: joinWords(missing) });
  if (new Set(header).size < header.length) refuse("import_twice_column");
  const records = body.map((cells, place) => ({ cells, row: place + 2 }))
    .filter(({ cells }) => cells.some((cell) => cell !== ""))
    .map(({ cells, row }) => readRecord(header, cells, row));
  refuseTwins(records);
  return records;
}

function readRecord(header, cells, row) {
  if (cells.length !== header.length) {
    refuse("import_width", { row, found: cells.length, expected: header.length });
  }
  const values = Object.fromEntries(header.map((name, place) => [name, cells[place]]));
  if (!values[BOOK.firing] || !values[BOOK.piece]) refuse("import_no_code", { row });
  const { [STAMPS]: written, ...rest } = values;
  return { row, values: rest, stamps: readStamps(written, row) };
}

function keyOf(values) {
  return JSON.stringify([values[BOOK.firing], values[BOOK.piece]]);
}

function refuseTwins(records) {
  const seen = new Map();
  for (const { row, values } of records) {
    const key = keyOf(values);
    if (seen.has(key)) {
      refuse("import_twins", { piece: values[BOOK.piece], first: seen.get(key), second: row });
    }
    seen.set(key, row);
  }
}

// Sorts records into new ones, ones that are here already, and ones written differently here.
function planImport(state, records) {
  const plan = { fresh: [], same: [], different: [] };
  for (const record of records) {
    const here = findHere(state, record.values);
    if (!here) plan.fresh.push(record);
    else plan[isSame(here, record) ? "same" : "different"].push(record);
  }
  return plan;
}

function findHere(state, values) {
  for (const firing of state.firings.filter((f) => firingCode(f) === values[BOOK.firing])) {
    const piece = firing.pieces.find((each) => pieceCode(each) === values[BOOK.piece]);
    if (piece) return { firing, piece };
  }
  return null;
}

function isSame({ firing, piece }, { values, stamps }) {
  const names = new Set([...Object.keys(values), ...Object.keys(piece.cells)]);
  names.delete(BOOK.firing);
  const sameCells = [...names].every((name) =>
    cellOf(firing, piece, name) === (own(values, name) ?? ""));
  return sameCells && writeStamps(piece) === writeStamps({ stamps });
}

// Brings records in: new pieces are added, the others replace what stands here.
function bringIn(state, records) {
  for (const record of records) {
    const here = findHere(state, record.values);
    const firing = here?.firing ?? firingFor(state, record.values, records);
    const piece = here?.piece ?? addPiece(state, firing, record.values[BOOK.piece]);
    piece.stamps = orderStamps(state, record.stamps);
    const kept = Object.entries(piece.cells).filter(([name]) => !Object.hasOwn(record.values, name));
    piece.cells = { ...Object.fromEntries(kept), ...ownCells(firing, piece, record.values) };
  }
}

function firingFor(state, values, records) {
  const code = values[BOOK.firing];
  const found = state.firings.find((firing) => firingCode(firing) === code);
  if (found) return found;
  const firing = addFiring(state, code, "");
  const rows = records.filter((record) => record.values[BOOK.firing] === code);
  for (const { name, ofFiring } of BOOK.columns) {
    if (!ofFiring || name === BOOK.firing) continue;
    const written = new Set(rows.map((record) => own(record.values, name) ?? ""));
    setCell(firing, name, written.size === 1 ? [...written][0] : "");
  }
  return firing;
}

// Only what cannot be had from the firing or the stamps is kept on the piece itself.
function ownCells(firing, piece, values) {
  const bare = { cells: {}, stamps: piece.stamps };
  const entries = Object.entries(values).filter(([name, text]) =>
    name === BOOK.piece || (name !== BOOK.firing && text !== cellOf(firing, bare, name)));
  return Object.fromEntries(entries);
}

function orderStamps(state, stamps) {
  for (const { key } of BOOK.steps) {
    if (!stamps[key]) continue;
    stamps[key].order = newId(state);
    state.setBack = Math.max(state.setBack, stamps[key].setBack);
  }
  return stamps;
}
