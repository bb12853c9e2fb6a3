// One piece: its four steps, everything else the codebook asks for, and its grades apart.

function drawPiece(state, { firing, piece }) {
  const owner = { piece: piece.id };
  const fields = BOOK.columns.filter((column) => !column.ofFiring && !column.isGraded
    && column.name !== BOOK.piece && column.name !== BOOK.grader);
  draw([
    makeHeading(pieceCode(piece), `#/firing/${firing.id}`, firingCode(firing)),
    BOOK.steps.length > 0 && drawSteps(piece),
    makeCode(owner, BOOK.piece, pieceCode(piece)),
    makeCopy(firing, piece),
    make("datalist", { id: "glazes" }, glazesKnown(state).map((name) => make("option", { value: name }))),
    fields.map((column) => (column.from ? drawSpan(piece, column)
      : makeField(column, own(piece.cells, column.name) ?? "", { owner }))),
    make("details", {},
      make("summary", {}, say("other_than_firing")),
      make("p", {}, say("other_than_firing_how")),
      BOOK.columns.filter((column) => column.ofFiring && !BOOK.fixed.includes(column.name)).map((column) =>
        makeField(column, own(piece.cells, column.name) ?? "",
          { owner, placeholder: own(firing.cells, column.name) ?? "" }))),
    makeLink(say("grade_piece"), `#/grade/${piece.id}`, { class: "button" }),
    makeButton(say("delete_piece"), () => deletePiece(firing, piece), { class: "lose" }),
    drawUndo(state, firing),
  ]);
}

function drawSteps(piece) {
  return make("section", { "aria-labelledby": "steps" },
    make("h2", { id: "steps" }, say("steps")),
    make("p", { class: "state" }, describeState(piece), makeTimer(piece)),
    make("ol", { class: "plain" }, BOOK.steps.map((step) => make("li", {}, drawStep(piece, step)))));
}

function drawStep(piece, step) {
  const given = piece.stamps[step.key];
  if (given) {
    const time = showClock(given.ms);
    return make("div", { class: "given" },
      make("p", {}, make("b", {}, `✓ ${step.label}`), ` ${showDay(given.ms)}, ${time}`),
      makeButton(say("remove_stamp"), () => removeStamp(piece, step), { "data-keep": `no-${step.key}`,
        "aria-label": say("remove_stamp_of", { step: step.label, time }) }));
  }
  if (!mayStamp(piece, step.key)) return make("p", { class: "hint" }, say("missed", { step: step.label }));
  return makeButton(step.label, () => tap(piece.id, step.key),
    { class: "step", "data-keep": `step-${step.key}` });
}

function removeStamp(piece, step) {
  const values = { step: step.label, time: showClock(piece.stamps[step.key].ms), piece: pieceCode(piece) };
  askTwice(
    { text: say("remove_first", values), yes: say("go_on") },
    { text: say("remove_second", values), yes: say("remove_stamp") },
    () => takeBack(piece.id, step.key));
}

// A span worked out from stamps, which a number written by hand outranks.
function drawSpan(piece, column) {
  const worked = workOut(piece, column);
  const [start, end] = [column.from, column.to].map((key) => stepOf(key).label);
  const note = worked ? say("worked_out", { start, end, amount: withUnit(worked, column) })
    : isSpoilt(piece, column) ? say("spoilt", { columns: column.label })
      : say("not_worked_out", { start, end });
  const field = makeField(column, own(piece.cells, column.name) ?? "",
    { owner: { piece: piece.id }, placeholder: worked });
  field.insertBefore(make("p", { class: "note" }, note), field.children[1]);
  return field;
}

function makeCopy(firing, piece) {
  const before = firing.pieces[firing.pieces.indexOf(piece) - 1];
  if (!before) return null;
  return makeButton(say("copy", { piece: pieceCode(before) }), () => {
    const n = change((state) => {
      const to = findPiece(state, piece.id);
      const from = findPiece(state, before.id);
      return to && from ? copySettings(from.piece, to.piece) : 0;
    });
    announce(say("copied", { n }));
    show();
  }, { "data-keep": "copy" });
}

// A code names a row for good; what cannot serve is not taken, and the old one stays.
function makeCode(owner, name, code) {
  const hint = make("p", { class: "hint", id: "own-hint", role: "alert" });
  const input = make("input", { id: "own-code", autocomplete: "off", maxlength: "60", dir: "auto",
    "aria-describedby": "own-hint", "data-keep": "own-code",
    oninput: (event) => { hint.textContent = renameTo(owner, name, event.target.value); } });
  input.value = code;
  const label = name === BOOK.firing ? say("firing_code") : say("code");
  return make("div", { class: "field" }, make("label", { for: "own-code" }, label), input, hint);
}

function renameTo(owner, name, text) {
  return change((state) => {
    const found = owner.piece ? findPiece(state, owner.piece)?.piece : findFiring(state, owner.firing);
    const others = owner.piece ? findPiece(state, owner.piece)?.firing.pieces : state.firings;
    if (!found) return "";
    const taken = others.filter((each) => each !== found).map((each) => own(each.cells, name));
    const fault = faultOfCode(text, taken);
    if (!fault) setCell(found, name, text);
    return fault && say("code_kept", { fault, code: own(found.cells, name) });
  });
}

function deletePiece(firing, piece) {
  const name = pieceCode(piece);
  askTwice(
    { text: say("delete_piece_first", { piece: name, n: countEntries(piece) }), yes: say("go_on") },
    { text: say("delete_second", { name }), yes: say("delete_piece") },
    () => {
      change((state) => {
        const found = findPiece(state, piece.id);
        if (found) found.firing.pieces = found.firing.pieces.filter((each) => each.id !== piece.id);
      });
      go(`#/firing/${firing.id}`, say("deleted", { name }));
    });
}
