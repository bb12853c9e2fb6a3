"""How far one person's pieces differ from the others', all settings alike, pulled together.

Each person's rate is what the model gives for all pieces of the log, had that person handled
them with the settings as logged (standardisation, as in `averages`). The rates are estimates
with luck in them, and the person who looks furthest off is partly the luckiest. So they are
taken as draws from one bell curve of unknown width and pulled toward its middle, the more the
less sure they are (partial pooling; Rubin 1981, doi:10.3102/10769986006004377). The width is
not estimated and then believed but averaged over, with an even prior (Gelman 2006,
doi:10.1214/06-BA117A): an estimate of 0 would else claim that nobody can differ.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import special

from outcomes.design.design import FloatArray
from outcomes.design.matrix import find_term
from outcomes.effects.averages import Moved, predict_rates
from outcomes.effects.replicates import Replicates
from outcomes.effects.support import value_columns

LEAST_PEOPLE: Final = 4  # with three the even prior on the width still leaves it unbounded
_WIDTHS = 200
_REACH = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonEffect:
    """One person's difference from the group's middle, as a share of pieces (-1..1).

    Parameters
    ----------
    person
        As in the log.
    raw, shrunk
        Before and after it is pulled toward the middle.
    low, high
        The interval of the shrunk difference; it holds for all persons together (Bonferroni).
    stands_out
        Whether that interval keeps clear of 0.
    """

    person: str
    raw: float
    shrunk: float
    low: float
    high: float
    stands_out: bool


def measure_people(
    replicates: Replicates, *, factor: str, people: Sequence[str]
) -> tuple[PersonEffect, ...]:
    """Return every person's shrunk difference, in the order given.

    Parameters
    ----------
    replicates
        One outcome's fit with its redraws.
    factor
        The grouping; one of the design's terms.
    people
        At least `LEAST_PEOPLE` of its levels.
    """
    rates = predict_person_rates(replicates, factor=factor, people=people)
    covariance, df = replicates.spread(rates), replicates.n_firings - 1.0
    together = 1.0 - (1.0 - replicates.confidence) / len(people)
    pulled = shrink(rates[0], covariance, df=df, confidence=together)
    raw = rates[0] - rates[0].mean()
    return tuple(
        PersonEffect(
            person=person,
            raw=float(raw[i]),
            shrunk=float(pulled.middle[i]),
            low=float(pulled.low[i]),
            high=float(pulled.high[i]),
            stands_out=bool(pulled.low[i] > 0.0 or pulled.high[i] < 0.0),
        )
        for i, person in enumerate(people)
    )


def predict_person_rates(
    replicates: Replicates, *, factor: str, people: Sequence[str]
) -> FloatArray:
    """Return the average chance of the aim had each person handled every piece, (1 + B, S)."""
    design = replicates.design
    term = find_term(design.spec, factor)
    slots = list(term.slots)
    columns = design.X.copy()
    columns[:, slots] = 0.0
    rates = []
    for person in people:
        shift = np.zeros(design.X.shape[1])
        shift[slots] = value_columns(term, person)
        _, rate = predict_rates(
            Moved(columns=columns, shift=shift),
            replicates.parameters,
            n_grades=len(design.grades),
            grade=design.aim,
            link=replicates.fit.options.link,
        )
        rates.append(rate)
    return np.column_stack(rates)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pulled:
    """Differences from the middle of the group, and their interval; arrays of shape (S,)."""

    middle: FloatArray
    low: FloatArray
    high: FloatArray


def shrink(
    values: FloatArray, covariance: FloatArray, *, df: float, confidence: float = 0.95
) -> Pulled:
    """Return estimates pulled toward their middle.

    Parameters
    ----------
    values : array, shape (S,)
        One estimate a person.
    covariance : array, shape (S, S)
        Of their errors.
    df
        Degrees of freedom of that covariance: the intervals use Student's t.
    confidence
        Of the intervals.

    Notes
    -----
    For a given width w the true values are normal(m, w^2), m with an even prior. With
    ``C = V + w^2 I`` and ``Q = C^-1 - C^-1 1 1' C^-1 / (1' C^-1 1)`` their posterior has mean
    ``y - V Q y`` and covariance ``V - V Q V``; the width's posterior density is proportional
    to ``|C|^-1/2 (1' C^-1 1)^-1/2 exp(-y' Q y / 2)`` (Gelman et al. 2013, Bayesian Data
    Analysis, §5.4, there for independent errors). Everything is then taken about the mean.
    """
    size = len(values)
    widths = _spread_widths(values, covariance)
    inverse = np.linalg.inv(covariance + widths[:, None, None] ** 2 * np.eye(size))
    row = inverse.sum(axis=1)
    total = row.sum(axis=1)
    inner = inverse - row[:, :, None] * row[:, None, :] / total[:, None, None]
    pull = inner @ values
    log_density = 0.5 * np.linalg.slogdet(inverse)[1] - 0.5 * np.log(total) - 0.5 * pull @ values
    weights = np.exp(log_density - log_density.max())
    weights /= weights.sum()
    about = np.eye(size) - 1.0 / size
    middles = (values - pull @ covariance) @ about
    spread = about @ (covariance - covariance @ inner @ covariance) @ about
    errors = np.sqrt(np.maximum(np.diagonal(spread, axis1=1, axis2=2), 1e-18))
    tail = 0.5 * (1.0 - confidence)
    return Pulled(
        middle=weights @ middles,
        low=_quantile(middles, errors, weights, share=tail, df=df),
        high=_quantile(middles, errors, weights, share=1.0 - tail, df=df),
    )


def _spread_widths(values: FloatArray, covariance: FloatArray) -> FloatArray:
    """Return a grid of widths from about none to far beyond what the values could have."""
    scale = max(float(np.std(values)), float(np.sqrt(np.mean(np.diag(covariance)))), 1e-9)
    return np.asarray((np.arange(_WIDTHS) + 0.5) / _WIDTHS * _REACH * scale)


def _quantile(
    middles: FloatArray, errors: FloatArray, weights: FloatArray, *, share: float, df: float
) -> FloatArray:
    """Return a quantile of each person's mixture over the widths, by halving, shape (S,)."""
    reach = 60.0 * errors.max(axis=0) + np.abs(middles).max(axis=0)
    low, high = -reach, reach
    for _ in range(45):
        half = 0.5 * (low + high)
        below = weights @ special.stdtr(df, (half - middles) / errors)
        low = np.where(below < share, half, low)
        high = np.where(below < share, high, half)
    return np.asarray(0.5 * (low + high))
