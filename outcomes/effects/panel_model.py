"""One outcome small enough to travel in a page: chances at any settings, with their intervals.

`at_settings` needs every piece and every firing. Here the pieces are sorted by what was
recorded beside their settings and cut into groups, each standing with its mean; and the firings'
pulls become one covariance C, so that with gradient c of the chance::

    span = t sqrt(c'C c)

The firing-score error scales each firing's move by a k_g of its own contrast; C takes k_g = 1.
Its degrees of freedom depend on what the chance rests on, so every value of every setting brings
the t of its own curve (that setting there, all else as logged) and the largest of them is used: a
level three firings had keeps its few degrees of freedom. C is then stretched until nine probes in
ten (logged settings, all else as logged) have at least their firing-score interval.

The page computes from this record, by the same steps as `predict_compact`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import special

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.design.matrix import find_term
from outcomes.design.shapes import build_term_columns
from outcomes.effects.at_settings import Chance, setting_slots, spread_chance
from outcomes.effects.glaze_effects import GlazeModel
from outcomes.effects.walk import Walk, walk_gradients
from outcomes.model.fit import Link
from outcomes.resampling.leverage import corrected_errors

GROUPS = 32
PROBES = 60
PROBE_SHARE = 0.90
_USUAL = 0.95  # confidence at which the probes are compared
_TIED = 9  # decimals: pieces with the same conditions stay in one place of the order


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelModel:
    """One outcome's fit as it holds for some glazes.

    Parameters
    ----------
    threshold
        Of the aim.
    slopes : array, shape (s,)
        Of the settings' columns.
    shares : array, shape (m,)
        Parts of the pieces in each group; their sum is 1.
    means : array, shape (m, r)
        Columns of everything else, averaged over each group.
    leans : array, shape (m,)
        What they add to the linear predictor.
    covariance : array, shape (1+s+r, 1+s+r)
        Order: threshold, settings, everything else.
    quantiles : mapping
        Factor -> t at each of its values, in the order they were asked for.
    """

    threshold: float
    slopes: FloatArray
    shares: FloatArray
    means: FloatArray
    leans: FloatArray
    covariance: FloatArray
    quantiles: Mapping[str, FloatArray]


def build_panel_model(
    design: Design,
    model: GlazeModel,
    *,
    rows: IntArray,
    values: Mapping[str, Sequence[float | str]],
    confidence: float,
) -> PanelModel:
    """Return the small record of a logit fit.

    Parameters
    ----------
    design, model
        The outcome's pieces, and its fit as it holds for the glaze concerned.
    rows : array
        Pieces whose settings are probed: those of that glaze, or all.
    values
        Setting -> the values it may be given. Those the model does not hold are passed over.
    confidence
        Of the intervals.
    """
    cuts = len(design.grades) - 1
    own = setting_slots(design)
    rest = [slot for slot in range(design.X.shape[1]) if slot not in own]
    slopes = model.parameters[cuts:]
    shares, means = _group(design.X[:, rest], slopes[rest])
    kept = [design.aim - 1, *(cuts + slot for slot in own), *(cuts + slot for slot in rest)]
    probed = rows[np.unique(np.linspace(0, len(rows) - 1, min(PROBES, len(rows))).astype(int))]
    held = [term.factor for term in design.spec.terms if term.factor in values]
    logged = {factor: design.frame[factor].iloc[probed].tolist() for factor in held}
    df = {f: _find_freedom(design, model, f, [*values[f], *logged[f]]) for f in held}
    t = np.max([_quantiles(df[f], logged[f], _USUAL) for f in held], axis=0)
    covariance = _stretched(design, model, probed, t)
    return PanelModel(
        threshold=float(model.parameters[design.aim - 1]),
        slopes=slopes[own],
        shares=shares,
        means=means,
        leans=means @ slopes[rest],
        covariance=covariance[np.ix_(kept, kept)],
        quantiles={factor: _quantiles(df[factor], values[factor], confidence) for factor in held},
    )


def predict_compact(model: PanelModel, columns: FloatArray, t: float) -> Chance:
    """Return the chance of the aim or above with the settings' columns (s,).

    ``t`` is the largest of the ``quantiles`` of their values.
    """
    chances = special.expit(model.leans + columns @ model.slopes - model.threshold)
    steepness = model.shares * chances * (1.0 - chances)
    gradient = np.concatenate(
        [[-steepness.sum()], steepness.sum() * columns, steepness @ model.means]
    )
    variance = float(gradient @ model.covariance @ gradient)
    return spread_chance(float(model.shares @ chances), t * np.sqrt(max(variance, 0.0)))


def _group(others: FloatArray, slopes: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the share and the mean of pieces that lie next to one another in their lean."""
    order = np.argsort(np.round(others @ slopes, _TIED), kind="stable")
    parts = np.array_split(order, min(GROUPS, len(order)))
    shares = np.array([len(part) / len(order) for part in parts])
    return shares, np.array([others[part].mean(axis=0) for part in parts])


def _find_freedom(
    design: Design, model: GlazeModel, factor: str, values: Sequence[float | str]
) -> dict[float | str, float]:
    """Return the degrees of freedom of a factor's curve at each of some values."""
    distinct = list(dict.fromkeys(values))
    term = find_term(design.spec, factor)
    columns = build_term_columns(pd.Series(distinct), term)
    _, df = corrected_errors(_gradients(design, model, list(term.slots), columns), model.pull)
    return dict(zip(distinct, df.tolist(), strict=True))


def _quantiles(
    df: Mapping[float | str, float], values: Sequence[float | str], confidence: float
) -> FloatArray:
    """Return the t of a factor's curve at some values."""
    freedom = np.array([df[value] for value in values])
    return np.asarray(-special.stdtrit(freedom, 0.5 * (1.0 - confidence)))


def _stretched(design: Design, model: GlazeModel, probed: IntArray, t: FloatArray) -> FloatArray:
    """Return the covariance of the parameters, stretched by what the probes ask for."""
    moves = np.einsum("gij,gj->gi", model.pull.stretch, model.pull.scores) @ model.pull.root
    covariance = moves.T @ moves
    own = setting_slots(design)
    gradients = _gradients(design, model, own, design.X[probed][:, own])
    error, df = corrected_errors(gradients, model.pull)
    plain = np.sqrt(np.einsum("mi,ij,mj->m", gradients, covariance, gradients))
    exact = -special.stdtrit(df, 0.5 * (1.0 - _USUAL)) * error
    ratio = exact / np.maximum(t * plain, np.finfo(float).tiny)
    return np.asarray(covariance * max(1.0, float(np.quantile(ratio, PROBE_SHARE))) ** 2)


def _gradients(
    design: Design, model: GlazeModel, slots: Sequence[int], columns: FloatArray
) -> FloatArray:
    """Return the gradients of the chance with some columns moved on every piece, shape (m, q).

    Parameters
    ----------
    slots
        The c columns that are moved.
    columns : array, shape (m, c)
        To what.
    """
    return walk_gradients(
        Walk(X=design.X, slots=slots, places=columns),
        model.parameters,
        n_grades=len(design.grades),
        grade=design.aim,
        link=Link.LOGIT,
    )
