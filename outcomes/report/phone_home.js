// The first view: all firings, the log as a file, and how the page behaves.

function drawHome(state) {
  draw([
    makeHeading(say("title"), null),
    make("p", { class: "book" }, BOOK.title),
    BOOK.isHot && make("p", { class: "caution" }, say("hands_first")),
    makeButton(say("new_firing"), startFiring, { class: "main", "data-keep": "new" }),
    make("section", { "aria-labelledby": "firings" },
      make("h2", { id: "firings" }, say("firings")),
      state.firings.length ? make("ul", { class: "plain" }, [...state.firings].reverse().map(listFiring))
        : make("p", {}, say("no_firings"))),
    make("section", { "aria-labelledby": "file" },
      make("h2", { id: "file" }, say("file")),
      make("p", {}, describeTakenOut(state)),
      makeLink(say("take_out"), "#/out", { class: "button" }),
      makeLink(say("bring_in"), "#/in", { class: "button" })),
    drawChoices(state),
    drawCautions(),
    state.firings.length > 0 && makeButton(say("empty_all"), () => emptyAll(state), { class: "lose" }),
  ]);
}

function listFiring(firing) {
  const running = firing.pieces.filter(isUnderWay).length;
  const pieces = say("n_pieces", { n: firing.pieces.length });
  return make("li", {}, make("a", { href: `#/firing/${firing.id}`, class: "button row" },
    make("bdi", {}, firingCode(firing)),
    make("span", {}, running ? `${pieces}, ${say("n_running", { n: running })}` : pieces)));
}

function startFiring() {
  const firing = change((state) => {
    const day = showDay(Date.now());
    return addFiring(state, suggestFiring(state, day), day);
  });
  go(`#/firing/${firing.id}`);
}

function describeTakenOut(state) {
  if (!state.takenOut) return say("never_taken_out");
  const day = `${showDay(state.takenOut.ms)}, ${showClock(state.takenOut.ms)}`;
  const isSame = state.takenOut.mark === markOf(writeCsv(tableOf(state)));
  return say(isSame ? "taken_out" : "changed_since", { day });
}

// A short mark by which two texts are told apart (Fowler, Noll and Vo's hash, 32 bits).
function markOf(text) {
  let mark = 0x811c9dc5;
  for (let at = 0; at < text.length; at += 1) {
    mark = Math.imul(mark ^ text.charCodeAt(at), 0x01000193);
  }
  return `${text.length}-${mark >>> 0}`;
}

function drawChoices(state) {
  const { choices } = state;
  return make("section", { "aria-labelledby": "choices" },
    make("h2", { id: "choices" }, say("choices")),
    BOOK.steps.length > 0 && ["beep", "voice", "awake"].map((name) => makeSwitch(name, choices[name])),
    make("fieldset", {}, make("legend", {}, say("theme")),
      ["", "light", "dark"].map((theme) => {
        const input = make("input", { type: "radio", name: "theme", value: theme,
          onchange: () => choose("theme", theme) });
        input.checked = choices.theme === theme;
        return make("label", { class: "choice" }, input, make("span", {}, say(`theme_${theme || "auto"}`)));
      })));
}

function makeSwitch(name, isOn) {
  const input = make("input", { type: "checkbox", "data-keep": name,
    onchange: (event) => choose(name, event.target.checked) });
  input.checked = isOn;
  return make("label", { class: "choice" }, input, make("span", {}, say(`choice_${name}`)));
}

function choose(name, value) {
  change((state) => { state.choices[name] = value; });
  showTheme();
  keepAwake();
  if (name === "beep" || name === "voice") cue(say("cue_sample"));
}

function showTheme() {
  document.documentElement.dataset.theme = store.state.choices.theme;
}

function drawCautions() {
  return BOOK.cautions.length > 0 && make("details", {},
    make("summary", {}, say("cautions")),
    make("ul", {}, BOOK.cautions.map((text) => make("li", {}, text))));
}

function emptyAll(state) {
  const values = { n: countPieces(state), firings: state.firings.length };
  askTwice(
    { text: `${say("empty_first", values)} ${describeTakenOut(state)}`, yes: say("go_on") },
    { text: say("empty_second"), yes: say("empty_all") },
    () => {
      change((now) => { now.firings = []; now.undone = []; });
      announce(say("emptied"));
      show();
    });
}
