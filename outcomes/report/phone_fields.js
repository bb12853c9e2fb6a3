// One field for each column of the codebook. A keystroke is kept at once, without drawing the
// page anew: a page drawn while a finger is on its way would swallow the tap.

const LISTS = { [BOOK.glaze]: "glazes", [BOOK.grader]: "graders" };

function makeField(column, text, { owner, placeholder = "" }) {
  const id = `f-${column.name}`;
  if (column.choices.length) return makeChoices(column, text, owner);
  const hint = make("p", { class: "hint", id: `${id}-hint` }, hintOf(column, text));
  const input = make(column.isLong ? "textarea" : "input", {
    id, placeholder, type: column.isLong ? null : inputType(column), autocomplete: "off",
    maxlength: column.isLong ? "2000" : "200", "aria-describedby": `${id}-hint`, dir: "auto",
    inputmode: column.holds === "number" ? "decimal" : null, rows: column.isLong ? "3" : null,
    list: LISTS[column.name] ?? null, "data-keep": id,
    oninput: (event) => {
      hint.textContent = hintOf(column, event.target.value);
      writeCellOf(owner, column.name, event.target.value);
    },
  });
  input.value = text;
  return make("div", { class: "field" }, make("label", { for: id }, labelOf(column)), input, hint);
}

function inputType(column) {
  return column.holds === "date" ? "date" : "text";
}

function labelOf(column) {
  return column.unit ? `${column.label} (${column.unit})` : column.label;
}

// Only what the check would set aside is mentioned: a usual range beside a box is a target.
function hintOf(column, text) {
  const number = Number(text.trim().replace(",", "."));
  if (!column.possible || text.trim() === "" || Number.isNaN(number)) return "";
  const [low, high] = column.possible;
  if (number >= low && number <= high) return "";
  const values = { low, high: withUnit(high, column) };
  if (!column.otherUnits.length) return say("out_of_range", values);
  return say("out_of_range_unit", { ...values, text: text.trim(), other: column.otherUnits[0] });
}

// Finds the firing or piece anew: another window may have changed the log.
function writeCellOf(owner, name, text) {
  change((state) => {
    const found = owner.piece ? findPiece(state, owner.piece)?.piece : findFiring(state, owner.firing);
    if (found) setCell(found, name, text);
  });
  showStorage();
}

function makeChoices(column, text, owner) {
  const known = column.choices.some((choice) => choice.name === text);
  const strange = text && !known ? [{ name: text, wording: "" }] : [];
  const none = { name: "", word: say(column.isGraded ? "not_graded" : "not_written"), wording: "" };
  return make("fieldset", {},
    make("legend", {}, column.label),
    column.howTo && make("p", { class: "hint" }, column.howTo),
    [...column.choices, ...strange, none].map((choice, place) =>
      makeChoice(column, choice, { text, owner, id: `f-${column.name}-${place}` })));
}

function makeChoice(column, choice, { text, owner, id }) {
  const input = make("input", {
    type: "radio", name: column.name, id, value: choice.name, "data-keep": id,
    onchange: () => writeCellOf(owner, column.name, choice.name),
  });
  input.checked = choice.name === text;
  const colon = choice.wording.indexOf(": ");
  const word = colon > 0 ? choice.wording.slice(0, colon) : "";
  const rest = choice.wording.slice(word ? colon + 2 : 0);
  return make("label", { class: "choice", for: id }, input, make("span", {},
    make("b", {}, choice.name || choice.word), word && make("b", {}, ` ${word}`),
    rest && " ", rest && make("span", { class: "wording" }, rest)));
}
