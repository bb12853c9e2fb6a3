// What the page says and what the codebook brought, read once from the data in the page.
const BOOK = JSON.parse(document.getElementById("codebook").textContent);

const PART = "(?:[^{}|]|\\{\\w+\\})*";
const SLOT = new RegExp(`\\{(\\w+)(?::(${PART})\\|(${PART}))?\\}`, "g");

// Values are put in in one pass: nothing a maker typed is ever read as a template.
function fill(template, known) {
  return template.replace(SLOT, (_, name, one, many) => {
    if (!(name in known)) throw new Error(`no value for ${name} in: ${template}`);
    if (one === undefined) return String(known[name]);
    return fill(known[name] === 1 ? one : many, known);
  });
}

function say(key, values = {}) {
  if (!(key in BOOK.texts)) throw new Error(`no text ${key}`);
  return fill(BOOK.texts[key], { ...BOOK.words, ...values });
}

function columnOf(name) {
  return BOOK.columns.find((column) => column.name === name);
}

function stepOf(key) {
  return BOOK.steps.find((step) => step.key === key);
}

function joinWords(items) {
  if (items.length < 2) return items.join("");
  return say("list_of", { first: items.slice(0, -1).join(", "), last: items.at(-1) });
}

function withUnit(text, column) {
  return column.unit ? `${text} ${column.unit}` : text;
}
