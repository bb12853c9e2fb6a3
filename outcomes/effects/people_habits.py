"""Each person's habits against the others', inside the same firings.

In every firing a person's average is set against the average of everybody else in it, so that
what the firing shares (heat, weather, what was coached by then) takes no part. The interval is
Student's t over these differences, one a firing. "Differs" holds for all persons and settings
together (Bonferroni).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import special

from outcomes.design.design import FloatArray, IntArray
from outcomes.log.codebook import Factor, Kind

LEAST_FIRINGS = 3
LEAST_PIECES = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """One person's habit in one setting.

    Parameters
    ----------
    person, factor
        As in the log; canonical name.
    level
        "" for a number; else the level whose share (0..1) is compared.
    own
        The person's median, or share of the level.
    difference, low, high
        Average difference from the others of the same firings, with its interval; None where
        fewer than three firings can be compared.
    differs
        Whether the difference is clear of chance for all persons and settings together.
    pieces, firings
        The person's pieces with the setting written, and firings with others to compare.
    """

    person: str
    factor: str
    level: str
    own: float
    difference: float | None
    low: float | None
    high: float | None
    differs: bool
    pieces: int
    firings: int


def find_people(person: "pd.Series[str]", *, least: int = LEAST_PIECES) -> tuple[str, ...]:
    """Return who has enough pieces to be compared, in alphabetical order.

    >>> find_people(pd.Series(["B"] * 12 + ["A"] * 10 + ["C"] * 9))
    ('A', 'B')
    """
    counts = person.dropna().astype(str).value_counts()
    return tuple(sorted(str(name) for name, n in counts.items() if n >= least))


def compare_habits(
    frame: pd.DataFrame,
    *,
    person: str,
    people: Sequence[str],
    settings: Sequence[Factor],
    firing: IntArray,
    confidence: float = 0.95,
) -> tuple[Habit, ...]:
    """Return one habit a person and setting.

    Parameters
    ----------
    frame : DataFrame, shape (n, ...)
        Values of the log.
    person
        Its column that says who.
    people
        Whom to compare.
    settings
        Which settings; one without a value for somebody is left out for them.
    firing : array, shape (n,)
        Number of the firing of each piece.
    confidence
        Of the intervals.
    """
    looks = max(1, len(people) * len(settings))
    found = []
    for factor in settings:
        level, numbers = _as_numbers(frame[factor.name], factor)
        for name in people:
            mine = (frame[person] == name).to_numpy()
            habit = _compare(numbers, mine, firing, confidence=confidence, looks=looks)
            if habit is not None:
                found.append(_record(habit, name, factor, level))
    return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Compared:
    own: float
    pieces: int
    firings: int
    difference: float | None = None
    reach: float = 0.0
    differs: bool = False


def _as_numbers(values: pd.Series, factor: Factor) -> tuple[str, FloatArray]:
    """Return a setting as numbers: itself, or 1 where it has the level that is counted.

    That is the commonest but for the codebook's first ("none", "no"), or for the commonest of
    all where the codebook names no levels.
    """
    if factor.kind is Kind.NUMBER:
        return "", values.to_numpy(dtype=float)
    order = [str(level) for level in values.dropna().astype(str).value_counts().index]
    plain = factor.levels[0] if factor.levels and factor.levels[0] in order else order[0]
    level = next((name for name in order if name != plain), order[0])
    known = values.notna().to_numpy()
    return level, np.where(known, (values == level).to_numpy(dtype=float), np.nan)


def _compare(
    numbers: FloatArray,
    mine: np.ndarray,
    firing: IntArray,
    *,
    confidence: float,
    looks: int,
) -> _Compared | None:
    known = np.isfinite(numbers)
    own = numbers[known & mine]
    if not len(own):
        return None
    is_share = set(np.unique(numbers[known])) <= {0.0, 1.0}
    middle = float(own.mean() if is_share else np.median(own))
    gaps = _gaps(numbers, known & mine, known & ~mine, firing)
    if len(gaps) < LEAST_FIRINGS:
        return _Compared(own=middle, pieces=len(own), firings=len(gaps))
    error, df = float(gaps.std(ddof=1) / len(gaps) ** 0.5), len(gaps) - 1.0
    mean = float(gaps.mean())
    together = _t(df, 1.0 - (1.0 - confidence) / looks) * error
    return _Compared(
        own=middle,
        pieces=len(own),
        firings=len(gaps),
        difference=mean,
        reach=_t(df, confidence) * error,
        differs=abs(mean) > together,
    )


def _gaps(
    numbers: FloatArray, mine: np.ndarray, theirs: np.ndarray, firing: IntArray
) -> FloatArray:
    """Return own average minus the others', one a firing that holds both."""
    both = [g for g in np.unique(firing[mine]) if (theirs & (firing == g)).any()]
    return np.array(
        [
            numbers[mine & (firing == g)].mean() - numbers[theirs & (firing == g)].mean()
            for g in both
        ]
    )


def _t(df: float, confidence: float) -> float:
    return float(-special.stdtrit(df, 0.5 * (1.0 - confidence)))


def _record(found: _Compared, person: str, factor: Factor, level: str) -> Habit:
    gap = found.difference
    return Habit(
        person=person,
        factor=factor.name,
        level=level,
        own=found.own,
        difference=gap,
        low=None if gap is None else gap - found.reach,
        high=None if gap is None else gap + found.reach,
        differs=found.differs,
        pieces=found.pieces,
        firings=found.firings,
    )
