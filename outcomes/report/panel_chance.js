"use strict";
// The chance of the aim at given settings, and whether anything like them is on record.
// The same steps as effects/panel_model.py (predict_compact) and effects/panel_ground.py (is_far);
// tests/browser/test_panel.py holds both to the same numbers.

const NEVER_CERTAIN = 1e-9;

const expit = (x) => 1 / (1 + Math.exp(-x));

const dot = (a, b) => a.reduce((sum, value, k) => sum + value * b[k], 0);

// Entry (i, j) of a symmetric matrix of which the lower triangle was sent, row by row.
const entry = (corner, i, j) => (i < j ? entry(corner, j, i) : corner[(i * (i + 1)) / 2 + j]);

function predictChance(model, columns, t) {
  const lean = dot(columns, model.slopes) - model.threshold;
  const chances = model.leans.map((other) => expit(other + lean));
  const steepness = chances.map((chance, g) => model.shares[g] * chance * (1 - chance));
  const whole = steepness.reduce((sum, part) => sum + part, 0);
  const others = model.means[0].map((_, k) =>
    steepness.reduce((sum, part, g) => sum + part * model.means[g][k], 0));
  const gradient = [-whole, ...columns.map((column) => whole * column), ...others];
  const variance = gradient.reduce((sum, a, i) =>
    sum + gradient.reduce((row, b, j) => row + a * b * entry(model.covariance, i, j), 0), 0);
  const span = t * Math.sqrt(Math.max(variance, 0));
  return spreadChance(dot(model.shares, chances), span);
}

function spreadChance(reach, span) {
  const certain = Math.min(Math.max(reach, NEVER_CERTAIN), 1 - NEVER_CERTAIN);
  const logit = Math.log(certain / (1 - certain));
  const wide = span / (certain * (1 - certain));
  return { reach, low: expit(logit - wide), high: expit(logit + wide) };
}

// The chance of one outcome on a glaze with every setting at a stop; null where nothing is known.
function answer(outcome, glaze, stops) {
  const own = outcome.glazes[glaze];
  if (own === null) return null;
  const columns = outcome.order.flatMap((setting) => outcome.columns[setting][stops[setting]]);
  const model = outcome.models[own.model];
  const t = Math.max(own.t, ...outcome.order.map((setting) => model.t[setting][stops[setting]]));
  return predictChance(model, [...own.columns, ...columns], t);
}

function isFar(data, glaze, stops) {
  if (data.limit === null) return false;
  const place = data.settings.flatMap((setting, k) => setting.places[stops[k]]);
  const nearest = Math.min(...data.glazes[glaze].points.map((point) =>
    point.reduce((sum, value, k) => sum + (value - place[k]) ** 2, 0)));
  return nearest > data.limit * (1 + 1e-9);
}

// Whole pieces in 100, halves upward; the words for none and for all are given.
function sayRate(share, words) {
  const whole = Math.floor(100 * share + 0.5 + 1e-9);
  if (whole < 1) return words.rate_low;
  return whole > 99 ? words.rate_high : String(whole);
}

const fill = (text, values) =>
  text.replace(/\{(\w+)\}/g, (slot, name) => (name in values ? values[name] : slot));

function sayCount(chance, words) {
  const isWhole = /^\d+$/.test(sayRate(chance.reach, words));
  const rate = sayRate(chance.reach, words);
  return fill(words.count, {
    n: isWhole ? fill(words.about, { n: rate }) : rate,
    low: sayRate(chance.low, words),
    high: sayRate(chance.high, words),
  });
}
