// The log as a file: out of the phone, and back into it.

function drawOut(state) {
  const text = writeCsv(tableOf(state));
  const bare = state.firings.filter((firing) => !firing.pieces.length).length;
  const area = make("textarea", { id: "text", readonly: true, rows: "8", spellcheck: "false",
    onfocus: (event) => event.target.select() });
  area.value = text;
  draw([
    makeHeading(say("take_out"), "#/", say("firings")),
    make("p", {}, say("out_how", { n: countPieces(state) })),
    bare > 0 && make("p", { class: "warning" }, say("out_bare", { n: bare })),
    makeButton(say("out_save"), () => saveFile(text), { class: "main", "data-keep": "save" }),
    make("p", {}, describeTakenOut(state)),
    make("details", {},
      make("summary", {}, say("out_text")),
      make("label", { for: "text" }, say("out_text_how")), area),
  ]);
}

function saveFile(text) {
  const name = `log-${showDay(Date.now())}.csv`;
  const place = URL.createObjectURL(new Blob([text], { type: "text/csv;charset=utf-8" }));
  const link = make("a", { href: place, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(place), 60000);
  change((state) => { state.takenOut = { ms: Date.now(), mark: markOf(text) }; });
  announce(say("out_saved", { name }));
  show();
}

function drawIn() {
  const answer = make("div", { id: "answer", role: "alert" });
  const input = make("input", { type: "file", id: "file", accept: ".csv,text/csv,text/plain",
    onchange: async (event) => {
      const file = event.target.files[0];
      if (file) answer.replaceChildren(...considerFile(await file.text()));
      event.target.value = "";
    } });
  draw([
    makeHeading(say("bring_in"), "#/", say("firings")),
    make("p", {}, say("in_how")),
    make("label", { for: "file", class: "button" }, say("in_choose")), input, answer,
  ]);
}

// What a file holds is said first; only new pieces come in without a question.
function considerFile(text) {
  try {
    const plan = planImport(store.state, readTable(text));
    if (plan.fresh.length) change((state) => bringIn(state, plan.fresh));
    const said = say("in_done", { fresh: plan.fresh.length, same: plan.same.length });
    announce(said);
    return [make("p", {}, said), ...offerReplacing(plan.different)];
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return [make("p", { class: "warning" }, error.message)];
  }
}

function offerReplacing(different) {
  if (!different.length) return [];
  const codes = different.slice(0, 5).map((record) => record.values[BOOK.piece]);
  const values = { n: different.length, pieces_named: codes.join(", ") };
  return [
    make("p", { class: "warning" }, say("in_different", values)),
    makeButton(say("in_replace", values), () => askTwice(
      { text: say("in_replace_first", values), yes: say("go_on") },
      { text: say("in_replace_second", values), yes: say("in_replace", values) },
      () => {
        change((state) => bringIn(state, different));
        go("#/", say("in_replaced", values));
      }), { class: "lose" }),
  ];
}
