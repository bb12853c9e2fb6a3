// Comma-separated text (RFC 4180) in both directions, safe to open in a spreadsheet.

// An apostrophe goes before what a spreadsheet would take for a formula (CWE-1236); the
// program that reads the log takes it away again by the same rule.
const PLAIN_NUMBER = /^[+-]?[0-9]+([.,][0-9]+)?(e[+-]?[0-9]+)?$/i;
const STARTS_FORMULA = new Set("=+-@\t\r\0＝＋－＠");
const BLANK_SIGN = /^[\s\p{Cf}\x1c-\x1f\x85]$/u;

function guardCell(text) {
  if (!text || PLAIN_NUMBER.test(text.replace(/^ +| +$/g, ""))) return text;
  const signs = [...text];
  const start = signs.find((sign) => "\t\r\0".includes(sign) || !BLANK_SIGN.test(sign));
  return STARTS_FORMULA.has(start) || STARTS_FORMULA.has(signs[0]) ? `'${text}` : text;
}

function stripGuard(text) {
  const bare = text.slice(1);
  return text.startsWith("'") && guardCell(bare) !== bare ? bare : text;
}

function writeCsv(rows) {
  const text = rows.map((row) => `${row.map(writeCell).join(",")}\r\n`).join("");
  // Without the mark, spreadsheet programs misread letters beyond ASCII.
  return /[^\0-\x7f]/.test(text) ? `\ufeff${text}` : text;
}

function writeCell(text) {
  const safe = guardCell(text);
  return /[",;|\t\r\n]|^\s|\s$/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

// Returns rows of cells, or null where a quotation mark is never closed.
function readCsv(text) {
  const body = text.replace(/^\ufeff/, "");
  const delimiter = findDelimiter(body);
  const rows = [];
  let row = [];
  let at = 0;
  while (at < body.length) {
    const [cell, end] = readCell(body, at, delimiter);
    if (end < 0) return null;
    row.push(stripGuard(cell));
    at = end;
    if (body[at] === delimiter) {
      at += 1;
      if (at < body.length) continue;
      row.push("");
    }
    rows.push(row);
    row = [];
    at += body.startsWith("\r\n", at) ? 2 : 1;
  }
  return rows;
}

// A spreadsheet set to another country writes semicolons or tabs.
function findDelimiter(body) {
  const header = body.split(/[\r\n]/, 1)[0];
  return [",", ";", "\t"].reduce((best, sign) =>
    header.split(sign).length > header.split(best).length ? sign : best);
}

// Returns the cell that begins at a place and where it ends; -1 when it never does.
function readCell(body, at, delimiter) {
  if (body[at] !== '"') {
    let end = at;
    while (end < body.length && ![delimiter, "\r", "\n"].includes(body[end])) end += 1;
    return [body.slice(at, end), end];
  }
  let cell = "";
  for (let place = at + 1; place < body.length; place += 1) {
    if (body[place] !== '"') cell += body[place];
    else if (body[place + 1] === '"') {
      cell += '"';
      place += 1;
    } else return [cell, place + 1];
  }
  return ["", -1];
}
