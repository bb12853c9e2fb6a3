// The settings: a select for glazes and levels, a slider for numbers. Texts are set as text only.

const SVG = "http://www.w3.org/2000/svg";

function make(tag, attributes, ...inside) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  element.append(...inside);
  return element;
}

function makeSelect(id, names, chosen, choose) {
  const select = make("select", { id });
  names.forEach(([value, name]) => select.append(make("option", { value }, name)));
  select.value = String(chosen);
  select.addEventListener("change", () => choose(Number(select.value)));
  return select;
}

// A slider over the stops allowed on this glaze; it says each stop in the maker's own unit.
function makeSlider(id, setting, allowed, chosen, choose) {
  const slider = make("input", { id, type: "range", min: allowed[0], max: allowed.at(-1) });
  slider.value = chosen;
  const said = make("output", { for: id }, setting.stops[chosen]);
  const say = () => {
    said.textContent = setting.stops[slider.value];
    slider.setAttribute("aria-valuetext", setting.stops[slider.value]);
  };
  slider.addEventListener("input", () => { say(); choose(Number(slider.value)); });
  say();
  return [slider, said];
}

// One setting with its range on record; a single stop is shown, not offered.
function makeControl(data, state, k, changed) {
  const { words } = data;
  const setting = data.settings[k];
  const allowed = data.glazes[state.glaze].allowed[k];
  const id = `panel-setting-${k}`;
  const note = make("p", { class: "caution", id: `${id}-note`, hidden: "" });
  const row = make("div", { class: "panel-setting", role: "group", "aria-label": setting.label });
  const choose = (stop) => { state.stops[k] = stop; changed(); };
  if (allowed.length === 1) {
    row.append(make("p", { class: "panel-label" }, `${setting.label}: ${setting.stops[allowed[0]]}`),
      make("p", { class: "fine" }, words.fixed));
  } else if (setting.number) {
    const ends = { low: setting.stops[allowed[0]], high: setting.stops[allowed.at(-1)] };
    const [slider, said] = makeSlider(id, setting, allowed, state.stops[k], choose);
    slider.setAttribute("aria-describedby", `${id}-range`);
    row.append(make("label", { for: id }, setting.label), said, slider,
      make("p", { class: "fine", id: `${id}-range` }, fill(words.range, ends)));
  } else {
    const names = allowed.map((stop) => [stop, setting.stops[stop]]);
    row.append(make("label", { for: id }, setting.label),
      makeSelect(id, names, state.stops[k], choose));
  }
  row.append(note);
  return row;
}

// A setting's caution stands beside it as soon as it is moved toward hotter, faster or closer.
function showCautions(data, state) {
  data.settings.forEach((setting, k) => {
    const note = document.getElementById(`panel-setting-${k}-note`);
    const moved = state.stops[k] - data.glazes[state.glaze].usual[k];
    const isHot = setting.hot !== null && (setting.hot === 0 ? moved !== 0 : setting.hot * moved > 0);
    note.hidden = !isHot;
    note.replaceChildren(...(isHot ? [make("strong", {}, `${data.words.caution}:`), ` ${setting.note}`] : []));
  });
}

// The stop nearest to a wanted one among those a glaze allows.
const nearestStop = (allowed, wanted) =>
  allowed.reduce((best, stop) => (Math.abs(stop - wanted) < Math.abs(best - wanted) ? stop : best));

// Another glaze: what the reader moved stays as near as it may, all else takes its usual place.
function changeGlaze(data, state, glaze) {
  const [before, after] = [data.glazes[state.glaze], data.glazes[glaze]];
  state.glaze = glaze;
  state.stops = state.stops.map((stop, k) =>
    stop === before.usual[k] ? after.usual[k] : nearestStop(after.allowed[k], stop));
}
