// The panel on the page: settings on one side, a hundred small pots for each outcome on the other.

const A_ROW = 20;
const PITCH = 17;

function makePots(data, outcome, number) {
  const svg = document.createElementNS(SVG, "svg");
  svg.setAttribute("viewBox", `0 0 ${A_ROW * PITCH} ${5 * PITCH}`);
  svg.setAttribute("role", "img");
  svg.setAttribute("class", "panel-pots");
  svg.id = `panel-pots-${number}`;
  for (let n = 0; n < 100; n += 1) {
    const pot = document.createElementNS(SVG, "path");
    pot.setAttribute("d", data.pot);
    pot.setAttribute("transform",
      `translate(${PITCH * ((n % A_ROW) + 0.5)} ${PITCH * (Math.floor(n / A_ROW) + 0.5)})`);
    svg.append(pot);
  }
  return svg;
}

function makeCard(data, outcome, number) {
  const card = make("section", { class: "panel-card", "aria-labelledby": `panel-outcome-${number}` },
    make("h4", { id: `panel-outcome-${number}` }, outcome.label),
    make("p", { class: "fine" }, outcome.those),
    make("p", { class: "panel-count" }),
    makePots(data, outcome, number),
    make("p", { class: "panel-usual fine" }),
    make("p", { class: "panel-moved fine" }),
    make("p", { class: "panel-own fine" }));
  outcome.notes.forEach((note) => card.append(make("p", { class: "doubt" }, note)));
  return card;
}

function sayMoved(data, outcome, state) {
  const moved = data.settings.flatMap((setting, k) => {
    if (state.stops[k] === data.glazes[state.glaze].usual[k] || !outcome.verdicts[k]) return [];
    return [fill(data.words.moved_one, { label: setting.label, word: outcome.verdicts[k] })];
  });
  return moved.length ? fill(data.words.moved, { list: moved.join(", ") }) : "";
}

// What a card says: the count, or why there is none. Returned for whoever listens.
function showCard(card, data, outcome, state) {
  const { words } = data;
  const usual = answer(outcome, state.glaze, data.glazes[state.glaze].usual);
  const chance = state.far ? null : answer(outcome, state.glaze, state.stops);
  const said = usual === null ? words.not_graded : chance === null ? words.far : sayCount(chance, words);
  const filled = chance === null ? 0 : Math.min(99, Math.max(1, Math.floor(100 * chance.reach + 0.5 + 1e-9)));
  card.classList.toggle("panel-no-answer", chance === null);
  card.querySelector(".panel-count").textContent = said;
  const pots = card.querySelector("svg");
  pots.setAttribute("aria-label", chance === null ? said
    : fill(words.hundred, { phrase: outcome.phrase, n: sayRate(chance.reach, words) }));
  [...pots.children].forEach((pot, n) => pot.classList.toggle("filled", n < filled));
  card.querySelector(".panel-usual").textContent =
    usual === null ? "" : fill(words.usual, { count: sayCount(usual, words) });
  card.querySelector(".panel-moved").textContent =
    usual === null ? "" : sayMoved(data, outcome, state);
  card.querySelector(".panel-own").textContent = usual === null ? "" : outcome.glazes[state.glaze].own;
  return `${outcome.label}: ${said}`;
}

function startPanel(place, data) {
  const { words } = data;
  const state = { glaze: 0, stops: [...data.glazes[0].usual], far: false };
  const cards = data.outcomes.map((outcome, number) => makeCard(data, outcome, number));
  const live = make("p", { class: "unseen", role: "status", "aria-live": "polite" });
  const help = make("p", { class: "doubt", hidden: "" }, words.far_help);
  const controls = make("div", { class: "panel-controls" });
  // On a narrow screen the counts stay in sight below the settings; the live text is what is heard.
  const bar = make("div", { class: "panel-bar", "aria-hidden": "true" });
  let waiting = 0;

  const show = () => {
    state.far = isFar(data, state.glaze, state.stops);
    help.hidden = !state.far;
    const told = data.outcomes.map((outcome, n) => showCard(cards[n], data, outcome, state));
    showCautions(data, state);
    bar.replaceChildren(...told.map((text) => make("p", {}, text)));
    clearTimeout(waiting);
    waiting = setTimeout(() => { live.textContent = told.join(". "); }, 600);
  };
  const offer = () => {
    controls.replaceChildren(...data.settings.map((_, k) => makeControl(data, state, k, show)));
    show();
  };
  const settings = make("fieldset", {}, make("legend", {}, words.settings));
  if (data.glazes.length > 1) {
    const names = data.glazes.map((glaze, k) => [k, glaze.name]);
    const select = makeSelect("panel-glaze", names, 0, (glaze) => {
      changeGlaze(data, state, glaze);
      offer();
    });
    settings.append(make("div", { class: "panel-setting" },
      make("label", { for: "panel-glaze" }, words.glaze), select));
  }
  const reset = make("button", { type: "button" }, words.reset);
  reset.addEventListener("click", () => { state.stops = [...data.glazes[state.glaze].usual]; offer(); });
  settings.append(controls, reset, bar);
  const results = make("section", { class: "panel-results", "aria-labelledby": "panel-results-title" },
    make("h3", { id: "panel-results-title" }, words.results), help, ...cards);
  place.append(settings, results, live);
  offer();
}

{
  const place = document.getElementById("panel");
  startPanel(place, JSON.parse(document.getElementById("panel-data").textContent));
  place.hidden = false;
  document.getElementById("panel-off").hidden = true;
}
