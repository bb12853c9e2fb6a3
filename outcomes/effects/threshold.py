"""Finding the value below which a setting does nothing and from which it acts.

A glaze can only start to crack once its skin is below some 550-600 °C, about a minute in air:
crackle may be flat along seconds up to there and rise beyond. A straight line sees a weak slope.

The question is asked of the straight settings of one outcome together. To the fitted model,
straight lines included, one column max(0, x - c) at a time is offered, c at up to 15 logged
values inside the 10-90 % range of each setting. The largest |t| of all of them is compared with
what it becomes when whole firings change sign (`firing_scores.largest_t_p`), so that one error
rate holds for all settings and places. Only a setting that passes is fitted with a bend at
every c (`bend.profile_bend`), and called a threshold only if the fitted line is flat on the
near side of it: less than a third as steep as beyond. A bend the other way round, a levelling
off or a turn is named as such and is no threshold.
"""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from outcomes.design.design import Design, FloatArray, Term
from outcomes.effects.bend import Bend, profile_bend
from outcomes.effects.evidence import Evidence
from outcomes.effects.firing_scores import efficient_scores, largest_t_p, score_t
from outcomes.effects.near_best import amount
from outcomes.log.codebook import Role, Shape
from outcomes.resampling.intervals import FEW_FIRINGS

ERROR_RATE = 0.05
PLACES = 15
FEWEST_VALUES = 8
FEWEST_PIECES = 40
FLAT = 1.0 / 3.0


class BendKind(StrEnum):
    """What a bend looks like, walking up the setting."""

    STARTS = "starts"  # flat, then it acts: a threshold
    LEVELS_OFF = "levels off"  # it acts, then flat
    TURNS = "turns"  # it acts one way, then the other
    STEEPENS = "changes pace"  # it acts all along, at two rates
    NONE = "no bend"


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """Whether one setting has a threshold for one outcome; base unit.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    found
        True only for `BendKind.STARTS`.
    at, low, high
        Where the bend is and its interval; None when no bend was found. ``low`` or ``high``
        at the end of the values looked at means: there or beyond.
    looked_low, looked_high
        The places looked at; None when none were.
    kind
        What the bend looks like.
    p_value
        One for all settings of the outcome together; None when nothing was looked at.
    reason
        Plain words, amounts in the base unit.
    """

    outcome: str
    factor: str
    found: bool
    reason: str
    at: float | None = None
    low: float | None = None
    high: float | None = None
    looked_low: float | None = None
    looked_high: float | None = None
    kind: BendKind = BendKind.NONE
    p_value: float | None = None


def find_thresholds(
    evidence: Evidence,
    *,
    rng: np.random.Generator,
    factors: tuple[str, ...] = (),
    confidence: float = 0.95,
) -> tuple[Threshold, ...]:
    """Return one record for every straight numeric setting of an outcome.

    Parameters
    ----------
    evidence
        The outcome's fit and replicates.
    rng
        For the sign changes; seed it from the study's seed.
    factors
        Settings to look at; () means every setting with a straight line.
    confidence
        Of the interval of the place.
    """
    terms = [t for t in evidence.design.spec.terms if _is_asked(t, factors)]
    places = {t.factor: _places(evidence.design, t) for t in terms}
    enough = evidence.n_firings >= FEW_FIRINGS and len(evidence.design.y) >= FEWEST_PIECES
    asked = [t for t in terms if enough and len(places[t.factor])]
    scores = {t.factor: _scores(evidence, t, places[t.factor]) for t in asked}
    p_value = 1.0
    if asked:
        p_value = largest_t_p(np.concatenate(list(scores.values()), axis=1), rng=rng)
    strength = {name: float(np.max(np.abs(score_t(s)))) for name, s in scores.items()}
    first = max(strength, key=lambda name: strength[name]) if strength else ""
    return tuple(
        _not_asked(evidence, term)
        if term.factor not in scores
        else _answer(
            evidence,
            term,
            places[term.factor],
            p_value=p_value,
            confidence=confidence,
            is_first=term.factor == first,
        )
        for term in terms
    )


def hinge(values: FloatArray, at: float) -> FloatArray:
    """Return x and max(0, x - at) as columns, shape (m, 2)."""
    return np.column_stack([values, np.maximum(0.0, values - at)])


def _is_asked(term: Term, factors: tuple[str, ...]) -> bool:
    if term.role is not Role.SETTING or term.shape is not Shape.STRAIGHT:
        return False
    return not factors or term.factor in factors


def _places(design: Design, term: Term) -> FloatArray:
    """Return up to 15 logged values inside the 10-90 % range; none of too few values."""
    values = design.frame[term.factor].to_numpy(float)
    distinct = np.unique(values)
    if len(distinct) < FEWEST_VALUES:
        return np.empty(0)
    low, high = np.quantile(values, [0.10, 0.90])
    inside = distinct[(distinct >= low) & (distinct <= high) & (distinct < distinct[-1])]
    inside = inside[inside > distinct[0]]
    if len(inside) <= PLACES:
        return np.asarray(inside)
    evenly = np.unique(np.linspace(0, len(inside) - 1, PLACES).round().astype(int))
    return np.asarray(inside[evenly])


def _scores(evidence: Evidence, term: Term, places: FloatArray) -> FloatArray:
    """Return the firings' scores of a bend at every place, shape (G, m)."""
    values = evidence.design.frame[term.factor].to_numpy(float)
    columns = np.maximum(0.0, values[:, None] - places)
    return efficient_scores(evidence.design, evidence.fit, columns / columns.std(axis=0))


def _not_asked(evidence: Evidence, term: Term) -> Threshold:
    return Threshold(
        outcome=evidence.design.spec.outcome,
        factor=term.factor,
        found=False,
        reason=(
            f"Not looked for: a threshold needs at least {FEW_FIRINGS} firings, {FEWEST_PIECES} "
            f"pieces and {FEWEST_VALUES} distinct values with room on both sides."
        ),
    )


def _answer(
    evidence: Evidence,
    term: Term,
    places: FloatArray,
    *,
    p_value: float,
    confidence: float,
    is_first: bool,
) -> Threshold:
    """Return one setting's record; only the strongest of a sure outcome is fitted further."""
    found = Threshold(
        outcome=evidence.design.spec.outcome,
        factor=term.factor,
        found=False,
        looked_low=float(places[0]),
        looked_high=float(places[-1]),
        p_value=p_value,
        reason="",
    )
    span = [amount(float(v), term.factor, evidence.codebook) for v in (places[0], places[-1])]
    if not is_first or p_value > ERROR_RATE:
        reason = (
            f"No bend between {span[0]} and {span[1]} that luck alone would not make; a "
            f"threshold outside that range would not show in this log."
        )
        return _with(found, reason=reason)
    bend = profile_bend(
        evidence, term.factor, family=hinge, candidates=places, at=places, confidence=confidence
    )
    return _describe(found, bend, evidence)


def _describe(found: Threshold, bend: Bend, evidence: Evidence) -> Threshold:
    """Return the record of a bend that luck alone would not make."""
    held = bend.candidates[bend.compatible]
    at, low, high = float(bend.candidates[bend.best]), float(held[0]), float(held[-1])
    kind = name_bend(float(bend.slopes[bend.best, 0]), float(bend.slopes[bend.best, 1]))
    shown = [amount(v, found.factor, evidence.codebook) for v in (at, low, high)]
    words = {
        BendKind.STARTS: "Up to about {0} next to nothing changes; beyond it, it does",
        BendKind.LEVELS_OFF: "It acts up to about {0} and hardly beyond",
        BendKind.TURNS: "Its direction turns at about {0}",
        BendKind.STEEPENS: "It acts all along, at another rate beyond about {0}",
    }
    reason = (words[kind] + " (anywhere from {1} to {2} fits this log).").format(*shown)
    return _with(found, reason=reason, at=at, low=low, high=high, kind=kind)


def name_bend(before: float, change: float) -> BendKind:
    """Return what a bend looks like from the slope before it and the change of slope.

    >>> name_bend(0.01, 0.30).value, name_bend(0.30, -0.29).value, name_bend(0.3, -0.6).value
    ('starts', 'levels off', 'turns')
    """
    after = before + change
    if abs(before) < FLAT * abs(after):
        return BendKind.STARTS
    if abs(after) < FLAT * abs(before):
        return BendKind.LEVELS_OFF
    return BendKind.TURNS if before * after < 0.0 else BendKind.STEEPENS


def _with(  # noqa: PLR0913 - the fields that a bend fills in
    found: Threshold,
    *,
    reason: str,
    at: float | None = None,
    low: float | None = None,
    high: float | None = None,
    kind: BendKind = BendKind.NONE,
) -> Threshold:
    return Threshold(
        outcome=found.outcome,
        factor=found.factor,
        found=kind is BendKind.STARTS,
        reason=reason,
        at=at,
        low=low,
        high=high,
        looked_low=found.looked_low,
        looked_high=found.looked_high,
        kind=kind,
        p_value=found.p_value,
    )
