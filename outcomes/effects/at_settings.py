"""The chance that a piece made with given settings reaches the aim, everything else as logged.

For settings s, over the pieces i of an outcome, with z_i what was recorded beside the settings
(conditions, who made it, the date trend)::

    chance(s) = 1/n sum over i in 1..n of P(grade >= aim | s, z_i)

It is the average of `averages` with every setting moved at once. The interval is firing-score t
on the logit scale, as a curve's band is.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy import special

from outcomes.design.design import Design, FloatArray
from outcomes.effects.averages import reach_gradient
from outcomes.effects.glaze_effects import GlazeModel
from outcomes.effects.support import value_columns
from outcomes.log.codebook import Role
from outcomes.model.fit import Link
from outcomes.model.links import survival
from outcomes.resampling.leverage import corrected_error

_NEVER_CERTAIN = 1e-9  # keeps the logit of a chance finite


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """A chance from 0 to 1 and the limits of its interval."""

    reach: float
    low: float
    high: float


def predict_chance(
    design: Design,
    model: GlazeModel,
    settings: Mapping[str, float | str],
    *,
    link: Link = Link.LOGIT,
    confidence: float = 0.95,
) -> Chance:
    """Return the chance of the aim or above with some settings, all else as logged.

    Parameters
    ----------
    design, model
        The outcome's pieces, and its fit as it holds for the glaze concerned.
    settings
        Factor -> value in base unit, or level; the glaze is one of them. Settings left out
        stay as logged.
    link, confidence
        Of the fit; of the interval.

    Raises
    ------
    KeyError
        If the model does not hold one of the settings.
    """
    columns = move_columns(design, settings)
    cuts = len(design.grades) - 1
    gap = model.parameters[design.aim - 1] - columns @ model.parameters[cuts:]
    gradient = reach_gradient(
        columns, model.parameters, n_grades=len(design.grades), grade=design.aim, link=link
    )
    error, df = corrected_error(gradient, model.pull)
    t = -float(special.stdtrit(df, 0.5 * (1.0 - confidence)))
    return spread_chance(float(survival(gap, link).mean()), t * error)


def move_columns(design: Design, settings: Mapping[str, float | str]) -> FloatArray:
    """Return the design's columns, shape (n, p), with some settings moved on every piece."""
    terms = {term.factor: term for term in design.spec.terms}
    columns = design.X.copy()
    for factor, value in settings.items():
        columns[:, list(terms[factor].slots)] = value_columns(terms[factor], value)
    return columns


def setting_slots(design: Design) -> list[int]:
    """Return the columns of everything the maker chooses."""
    terms = design.spec.terms
    return [slot for term in terms if term.role is Role.SETTING for slot in term.slots]


def spread_chance(reach: float, span: float) -> Chance:
    """Return a chance with an interval whose half width, were it small, is ``span``.

    >>> found = spread_chance(0.5, 0.1)
    >>> round(found.low, 4), round(found.high, 4)
    (0.4013, 0.5987)
    """
    certain = float(np.clip(reach, _NEVER_CERTAIN, 1.0 - _NEVER_CERTAIN))
    logit = float(special.logit(certain))
    wide = span / (certain * (1.0 - certain))
    return Chance(
        reach=reach, low=float(special.expit(logit - wide)), high=float(special.expit(logit + wide))
    )
