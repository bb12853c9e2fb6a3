// Pieces of the page. Text goes in as text: nothing a maker typed is ever read as markup.

function make(tag, properties = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
    else if (value !== false && value !== null) element.setAttribute(name, value === true ? "" : value);
  }
  element.append(...children.flat().filter((child) => child !== null && child !== false));
  return element;
}

function makeButton(text, action, properties = {}) {
  return make("button", { type: "button", onclick: action, ...properties }, text);
}

function makeLink(text, place, properties = {}) {
  return make("a", { href: place, ...properties }, text);
}

function makeHeading(text, back, backText) {
  return make("header", {},
    back && makeLink(`‹ ${backText}`, back, { class: "back" }),
    make("h1", { tabindex: "-1" }, make("bdi", {}, text)));
}

// Says something once to everybody: shown at the foot of the page and read out.
function announce(text) {
  document.getElementById("said").textContent = text;
}

// Asks twice before something is lost; the second question puts its answers the other way
// round, so that a second tap on the same spot keeps everything.
function askTwice(first, second, action) {
  askOnce(first, false, () => askOnce(second, true, action));
}

function askOnce({ text, yes }, isLast, action) {
  const opened = performance.now();
  const dialog = make("dialog", { "aria-labelledby": "asked" });
  const answer = (given) => () => {
    if (performance.now() - opened < BOUNCE_MS) return;
    dialog.close();
    dialog.remove();
    if (given) action();
  };
  const keep = makeButton(say("keep"), answer(false), { class: "main" });
  const lose = makeButton(yes, answer(true), { class: "lose" });
  dialog.append(make("p", { id: "asked" }, text), ...(isLast ? [lose, keep] : [keep, lose]));
  dialog.addEventListener("cancel", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
  keep.focus();
}

// Draws a view and gives the keyboard its place back.
function draw(elements) {
  const place = document.activeElement?.dataset?.keep;
  document.querySelector("main").replaceChildren(...elements.flat().filter(Boolean));
  const same = place && document.querySelector(`[data-keep="${CSS.escape(place)}"]`);
  if (same) same.focus({ preventScroll: true });
}
