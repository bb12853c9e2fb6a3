"""The records of what was learnt: contrasts, effects, ranks, curves, verdicts."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from outcomes.log.codebook import Role
from outcomes.resampling.interval import Interval

FloatArray = NDArray[np.float64]


class Word(StrEnum):
    """The fixed words of a verdict."""

    CHANGES = "changes the surface"
    LEANS = "leans"
    SMALL = "too small to matter"
    CANNOT_TELL = "cannot tell yet"
    NEVER_VARIED = "never varied"
    TANGLED = "tangled"
    THIN = "thin"


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """A verdict word with its reason.

    Parameters
    ----------
    word
        One of the fixed words.
    reason
        A full sentence saying which rule gave the word, with its numbers.
    tangled_with
        Factor names, when the word is ``TANGLED``; else ().
    further_firings
        Roughly how many more firings like these would decide it; None when that is not
        the obstacle or more than 500 would be needed.
    """

    word: Word
    reason: str
    tangled_with: tuple[str, ...] = ()
    further_firings: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Contrast:
    """Two values of one factor.

    Parameters
    ----------
    factor, role
        Which factor.
    from_value, to_value
        Numbers in the base unit, or level names.
    unit
        Base unit code, "" for levels.
    chosen
        How the two values were chosen, for the reader: "20th to 80th percentile of the log",
        "the two commonest", "low end to middle of the tried range", "asked for".
    comparisons
        Number of contrasts looked at to pick this one (3 for a window); the interval and
        the p value already carry the correction.
    """

    factor: str
    role: Role
    from_value: float | str
    to_value: float | str
    unit: str
    chosen: str
    comparisons: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What a contrast does to one outcome.

    All probabilities 0..1; changes are differences of probabilities (-1..1), average over
    the supported pieces of the log, all else as logged.

    Parameters
    ----------
    outcome
        Canonical outcome name.
    contrast
        The two values.
    rate_from, rate_to
        Average P(grade at the aim or above) at each value.
    change
        ``rate_to - rate_from``.
    interval, interval_90
        The printed interval and the one for "too small to matter"; None under the floors.
    resample_interval, jackknife_interval
        Two other opinions, for the research page; None under the floors.
    p_value, p_adjusted
        Two-sided firing-score t, of a window with its whole curve (`window_looks`); adjusted
        over settings x outcomes (settings only).
    standard_error, df
        Firing-score standard error of ``change`` and its degrees of freedom.
    effective_firings
        G_eff of this contrast.
    mean_grade_change, mean_grade_interval
        On the grade scale 0..K-1.
    log_odds
        Change of the linear predictor from ``from_value`` to ``to_value``.
    pieces_supported, pieces
        Rows averaged over, and rows of the analysis.
    far_share
        Share of counterfactual rows far from any logged row (the "thin" rule).
    firings_from, firings_to
        Firings holding pieces near each value (levels: exactly that level).
    verdict
        The fixed words; None for conditions and groupings.
    firings
        Firings of the analysis.
    pivot_firing, pivot_change
        The firing whose removal moves ``change`` most, and ``change`` without it; "" and
        None under the floors.
    fragile
        True when one firing decides, see `measured.is_fragile`.
    """

    outcome: str
    contrast: Contrast
    rate_from: float
    rate_to: float
    change: float
    interval: Interval | None = None
    interval_90: Interval | None = None
    resample_interval: Interval | None = None
    jackknife_interval: Interval | None = None
    p_value: float | None = None
    p_adjusted: float | None = None
    standard_error: float | None = None
    df: float | None = None
    effective_firings: float
    mean_grade_change: float
    mean_grade_interval: Interval | None = None
    log_odds: float
    pieces_supported: int
    pieces: int
    far_share: float
    firings_from: int
    firings_to: int
    verdict: Verdict | None = None
    firings: int = 0
    pivot_firing: str = ""
    pivot_change: float | None = None
    fragile: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedFactor:
    """A setting's place among the settings of one outcome.

    ``rank_low``..``rank_high`` hold simultaneously for all settings of the outcome;
    ``alone_low``..``alone_high`` for this one alone. ``share_first`` is the share of
    replicates in which it ranks first after shrinkage; ``shrunk`` is the |change| it is
    ranked on.
    """

    outcome: str
    factor: str
    rank: int
    rank_low: int
    rank_high: int
    alone_low: int
    alone_high: int
    share_first: float
    shrunk: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """Chance of each grade along a factor's logged range.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    glaze
        Glaze it holds for, or "" for all pieces of the outcome.
    at : array of float shape (m,), or tuple of str
        Grid within the logged range (of that glaze), or the level names.
    chance : array, shape (m, K)
        P(grade = k), averaged over the pieces concerned.
    reach, reach_low, reach_high : array, shape (m,)
        P(grade >= aim) and its pointwise interval (NaN under the floors).
    logged : array of float or tuple of str
        The logged values (one per piece): the rug.
    """

    outcome: str
    factor: str
    glaze: str
    at: FloatArray | tuple[str, ...]
    chance: FloatArray
    reach: FloatArray
    reach_low: FloatArray
    reach_high: FloatArray
    logged: FloatArray | tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotLearnt:
    """A factor this outcome's model does not hold: never varied, not recorded, ...

    ``verdict`` is given for settings (never varied, thin, cannot tell yet), None otherwise.
    """

    factor: str
    role: Role
    code: str
    reason: str
    verdict: Verdict | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tangle:
    """Habits that moved together so closely that the log cannot say which one matters.

    Parameters
    ----------
    outcome
        The outcome it was judged for.
    factor
        The factor concerned.
    with_factors
        What it moved with.
    explained
        Share of its variation explained by the other columns (0..1).
    deviance_change
        Change of deviance when it is swapped for its twin; None when not computed.
    alone, twin_alone, joint
        Changes of P(at the aim) with only this factor, only its twin, both moved together.
    """

    outcome: str
    factor: str
    with_factors: tuple[str, ...]
    explained: float
    deviance_change: float | None
    alone: float | None = None
    twin_alone: float | None = None
    joint: float | None = None
