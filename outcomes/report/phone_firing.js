// One firing at the kiln: its pieces side by side, each with its next step as one big button.

function drawFiring(state, firing) {
  const isEmpty = firing.pieces.length === 0;
  draw([
    makeHeading(firingCode(firing), "#/", say("firings")),
    BOOK.isHot && BOOK.steps.length > 0 && make("p", { class: "caution" }, say("hands_first")),
    make("section", { "aria-label": say("pieces") },
      isEmpty && make("p", {}, say("no_pieces")),
      firing.pieces.map((piece) => drawCard(firing, piece))),
    drawAddPiece(state, firing),
    !isEmpty && makeLink(say("grade_pieces"), `#/grades/${firing.id}`, { class: "button" }),
    make("details", { open: isEmpty },
      make("summary", {}, say("whole_firing")),
      makeCode({ firing: firing.id }, BOOK.firing, firingCode(firing)),
      BOOK.columns.filter((column) => column.ofFiring && column.name !== BOOK.firing).map((column) =>
        makeField(column, own(firing.cells, column.name) ?? "", { owner: { firing: firing.id } }))),
    makeButton(say("delete_firing"), () => deleteFiring(firing), { class: "lose" }),
    drawUndo(state, firing),
  ]);
}

function drawCard(firing, piece) {
  const glaze = cellOf(firing, piece, BOOK.glaze);
  const step = nextStep(piece);
  const code = pieceCode(piece);
  return make("article", { "aria-label": code, class: isUnderWay(piece) ? "card running" : "card" },
    make("div", { class: "top" },
      make("h2", {}, make("bdi", {}, code), glaze && make("bdi", { class: "glaze" }, glaze)),
      makeTimer(piece)),
    BOOK.steps.length > 0 && make("p", { class: "state" }, describeState(piece)),
    BOOK.steps.length > 0 && drawSpans(piece),
    make("div", { class: "taps" },
      step && makeButton(step.label, () => tap(piece.id, step.key), {
        class: "step", "data-keep": `step-${piece.id}`,
        "aria-label": say("step_of", { step: step.label, piece: code }) }),
      makeLink(say("open"), `#/piece/${piece.id}`, { class: "button", "data-keep": `open-${piece.id}`,
        "aria-label": say("open_piece", { piece: code }) })));
}

function describeState(piece) {
  const last = BOOK.steps[lastStep(piece)];
  return last ? last.state : say("in_kiln");
}

// The time since the last step, counted plainly upwards; nothing is aimed at.
function makeTimer(piece) {
  if (!isUnderWay(piece)) return null;
  const given = piece.stamps[BOOK.steps[lastStep(piece)].key];
  if (given.setBack !== store.state.setBack) return null;
  const timer = make("span", { role: "timer", "data-since": String(given.ms) });
  timer.textContent = showSpan(Date.now() - given.ms);
  return timer;
}

function drawSpans(piece) {
  const spans = BOOK.columns.filter((column) => column.from && workOut(piece, column));
  const spoilt = BOOK.columns.filter((column) => column.from && isSpoilt(piece, column));
  return [
    spans.length > 0 && make("ul", { class: "spans" }, spans.map((column) =>
      make("li", {}, `${column.label}: ${withUnit(workOut(piece, column), column)}`))),
    spoilt.length > 0 && make("p", { class: "warning" },
      say("spoilt", { columns: joinWords(spoilt.map((column) => column.label)) })),
  ].filter(Boolean);
}

function tap(id, key) {
  const now = Date.now();
  lookAtClock();
  // Another window may have deleted the piece meanwhile.
  const given = change((state) => {
    const piece = findPiece(state, id)?.piece;
    return piece && stamp(state, piece, key, now) ? piece : null;
  });
  if (given) {
    const text = say("stamped", { piece: pieceCode(given), step: stepOf(key).label });
    announce(`${text}, ${showClock(now)}`);
    cue(text);
  }
  show();
  keepAwake();
}

// What is undone is kept until the piece's next tap, so that undoing too far loses nothing.
function drawUndo(state, firing) {
  const last = lastStamp(firing);
  const undone = lastUndone(state, firing);
  if (!last && !undone) return null;
  return make("div", { class: "undo" },
    last && makeButton(say("undo", nameStamp(last.piece, last.key, last.given)),
      () => takeBack(last.piece.id, last.key), { "data-keep": "undo" }),
    undone && makeButton(
      say("put_back", nameStamp(findPiece(state, undone.piece).piece, undone.key, undone.given)),
      () => giveBack(firing.id), { "data-keep": "back" }));
}

function giveBack(id) {
  change((state) => {
    const firing = findFiring(state, id);
    if (firing) putBack(state, firing);
  });
  announce(say("is_back"));
  show();
  keepAwake();
}

function nameStamp(piece, key, given) {
  return { piece: pieceCode(piece), step: stepOf(key).label, time: showClock(given.ms) };
}

function takeBack(id, key) {
  const values = change((state) => {
    const piece = findPiece(state, id)?.piece;
    if (!piece?.stamps[key]) return null;
    const named = nameStamp(piece, key, piece.stamps[key]);
    undoStamp(state, piece, key);
    return named;
  });
  if (values) announce(say("undone", values));
  show();
  keepAwake();
}

function drawAddPiece(state, firing) {
  const code = make("input", { id: "code", autocomplete: "off", maxlength: "60", dir: "auto" });
  const glaze = make("input", { id: "new-glaze", autocomplete: "off", maxlength: "200", dir: "auto" });
  code.value = suggestPiece(firing);
  glaze.value = firing.pieces.length ? own(firing.pieces.at(-1).cells, BOOK.glaze) ?? "" : "";
  const hint = make("p", { class: "hint", role: "alert" });
  return make("section", { class: "add", "aria-labelledby": "adding" },
    make("h2", { id: "adding" }, say("add_piece")),
    make("label", { for: "code" }, say("code")), code, hint,
    BOOK.glaze && [make("label", { for: "new-glaze" }, columnOf(BOOK.glaze).label), glaze,
      make("div", { class: "chips" }, glazesKnown(state).slice(0, 8).map((name) =>
        makeButton(name, () => { glaze.value = name; }, { class: "chip", dir: "auto" })))],
    makeButton(say("add"), () => {
      const fault = faultOfCode(code.value, firing.pieces.map(pieceCode));
      hint.textContent = fault;
      if (!fault) givePiece(firing.id, code.value.trim(), glaze.value);
    }, { class: "main", "data-keep": "add" }));
}

function givePiece(id, code, glaze) {
  change((state) => {
    const firing = findFiring(state, id);
    if (!firing) return;
    const piece = addPiece(state, firing, code);
    if (BOOK.glaze) setCell(piece, BOOK.glaze, glaze);
  });
  announce(say("added", { piece: code }));
  show();
}

// Why a code cannot serve, "" when it can: the log is read by it later.
function faultOfCode(text, taken) {
  const code = text.trim();
  if (taken.includes(code)) return say("code_taken", { code });
  const isMark = BOOK.marks.includes(code.toLowerCase()) || new RegExp(BOOK.totals, "i").test(code);
  return !/[\p{L}\p{N}]/u.test(code) || isMark ? say("code_unreadable", { code }) : "";
}

function deleteFiring(firing) {
  const values = { firing: firingCode(firing), n: firing.pieces.length };
  askTwice(
    { text: say("delete_firing_first", values), yes: say("go_on") },
    { text: say("delete_second", { name: values.firing }), yes: say("delete_firing") },
    () => {
      change((state) => { state.firings = state.firings.filter((each) => each.id !== firing.id); });
      go("#/", say("deleted", { name: values.firing }));
    });
}
