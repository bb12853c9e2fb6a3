// Grading: one piece at a time, by its code alone. Its settings and times are not shown, so
// that what was hoped for cannot steer the grader.

function drawGrades(firing) {
  draw([
    makeHeading(say("grade_pieces"), `#/firing/${firing.id}`, firingCode(firing)),
    BOOK.isHot && make("p", { class: "caution" }, say("cold_first")),
    drawHowTo(true),
    make("ul", { class: "plain" }, firing.pieces.map((piece) => make("li", {},
      make("a", { href: `#/grade/${piece.id}`, class: "button row" },
        make("bdi", {}, pieceCode(piece)), make("span", {}, describeGraded(piece)))))),
  ]);
}

function drawGrade(state, { firing, piece }) {
  const next = firing.pieces[firing.pieces.indexOf(piece) + 1];
  draw([
    makeHeading(pieceCode(piece), `#/grades/${firing.id}`, say("grade_pieces")),
    BOOK.isHot && make("p", { class: "caution" }, say("cold_first")),
    drawHowTo(false),
    make("datalist", { id: "graders" }, gradersKnown(state).map((name) => make("option", { value: name }))),
    [...gradersOf(), ...outcomesOf(firing, piece)].map((column) =>
      makeField(column, own(piece.cells, column.name) ?? "", { owner: { piece: piece.id } })),
    next && makeLink(say("next_piece", { piece: pieceCode(next) }), `#/grade/${next.id}`,
      { class: "button" }),
    makeLink(say("all_pieces"), `#/grades/${firing.id}`, { class: "button" }),
  ]);
}

function drawHowTo(isOpen) {
  return BOOK.howToGrade.length > 0 && make("details", { open: isOpen },
    make("summary", {}, say("how_to_grade")),
    make("ol", {}, BOOK.howToGrade.map((text) => make("li", {}, text))));
}

function gradersOf() {
  return BOOK.columns.filter((column) => column.name === BOOK.grader);
}

// An outcome for other glazes is left out, unless something has been written for it.
function outcomesOf(firing, piece) {
  const glaze = cellOf(firing, piece, BOOK.glaze).toLowerCase();
  return BOOK.columns.filter((column) => column.isGraded && (
    !column.glazes.length || !glaze || own(piece.cells, column.name)
    || column.glazes.some((name) => name.toLowerCase() === glaze)));
}

function describeGraded(piece) {
  const graded = BOOK.columns.filter((column) => column.isGraded && own(piece.cells, column.name));
  return say("n_graded", { n: graded.length });
}
