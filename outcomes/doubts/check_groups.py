"""Habits that move with a person: settings that one group used quite differently.

A level of a grouping (a helper, a kiln, a class) is compared with all others, setting by
setting. It differs markedly when

* a number differs by at least one standard deviation (pooled within the two sides), or the
  share of a level by at least 40 in 100; and
* its firings, one mean a firing, differ from those of the others by more than chance
  (Welch's t, 5 % over all comparisons of the log): pieces of one firing share a setting, so
  three firings alone are a standard deviation off every dozen comparisons or so.

At least three firings on each side. The most different level is named first and then set
aside, so that its habits do not make the others look unusual. Nothing is concluded about the
outcome: the finding says what moved together, so that neither the hands nor the habit gets
the credit unasked.
"""

from dataclasses import dataclass

import pandas as pd
from scipy import special

from outcomes.design.firings import find_firings
from outcomes.doubts.check_graders import GRADER
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Factor, Kind, Role
from outcomes.log.expectations import unit_sign
from outcomes.log.firing_log import FiringLog

LARGE_DIFFERENCE = 1.0
LARGE_SHARE = 0.40
LEAST_FIRINGS = 3
CHANCE = 0.05
_WORKED = ("worked", "use", "hands")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Habit:
    """One setting that one group used differently, and how surely."""

    group: Factor
    level: str
    sentence: str
    chance: float


def find_shared_habits(log: FiringLog) -> tuple[Finding, ...]:
    """Return one finding for each person or group whose settings differ from the others'."""
    firing = pd.Series(find_firings(log).labels, index=log.values.index)
    groups = [f for f in log.codebook.factors if f.role is Role.GROUPING and f.name in log.values]
    settings = [
        f
        for f in log.codebook.factors
        if f.role is Role.SETTING and f.name in log.values and f.name != log.codebook.glaze
    ]
    n_levels = sum(len(_levels(log.values[group.name], firing)) for group in groups)
    chance = CHANCE / max(1, n_levels * len(settings))
    marked = [
        habit
        for group in groups
        for habit in _peel(log.values, firing, group, settings, chance=chance)
    ]
    return _say(marked, log.codebook, log)


def _peel(
    values: pd.DataFrame,
    firing: "pd.Series[str]",
    group: Factor,
    settings: list[Factor],
    *,
    chance: float,
) -> list[_Habit]:
    """Return the habits of the most different level, then of the next without it, ..."""
    found: list[_Habit] = []
    left = values[values[group.name].notna()]
    while True:
        habits = [
            habit
            for level in _levels(left[group.name], firing[left.index])
            for setting in settings
            if (habit := _compare(left, firing[left.index], setting, group, level=level))
            and habit.chance < chance
        ]
        if not habits:
            return found
        level = min(habits, key=lambda habit: habit.chance).level
        found += [habit for habit in habits if habit.level == level]
        left = left[left[group.name] != level]


def _levels(values: pd.Series, firing: pd.Series) -> list[str]:
    """Return the levels with enough firings on their side and on the other.

    Of two levels only the rarer is looked at: the other would say the same thing again.
    """
    known = values.dropna()
    counts = known.value_counts()
    if len(counts) < 2:
        return []
    candidates = [str(counts.index[-1])] if len(counts) == 2 else [str(v) for v in counts.index]
    enough = []
    for level in candidates:
        mine = firing[known.index][known == level].nunique()
        theirs = firing[known.index][known != level].nunique()
        if min(mine, theirs) >= LEAST_FIRINGS:
            enough.append(level)
    return enough


def _compare(
    frame: pd.DataFrame, firing: "pd.Series[str]", setting: Factor, group: Factor, *, level: str
) -> _Habit | None:
    """Return a setting as a habit of one level if the two sides differ markedly."""
    values = frame[setting.name]
    known = values.notna()
    mine = known & (frame[group.name] == level)
    theirs = known & (frame[group.name] != level)
    if mine.sum() < 2 or theirs.sum() < 2:
        return None
    if setting.kind is Kind.NUMBER:
        numbers = values.astype(float)
        sentence = _number_sentence(numbers[mine], numbers[theirs], setting)
    else:
        most = str(values[mine].mode().iloc[0])
        numbers = (values == most).astype(float)
        sentence = _share_sentence(numbers[mine], numbers[theirs], setting, most)
    if not sentence:
        return None
    chance = _welch(
        numbers[mine].groupby(firing[mine]).mean(), numbers[theirs].groupby(firing[theirs]).mean()
    )
    return _Habit(group=group, level=level, sentence=sentence, chance=chance)


def _number_sentence(mine: pd.Series, theirs: pd.Series, setting: Factor) -> str:
    """Return how a numeric setting differs, "" when by less than a standard deviation."""
    freedom = len(mine) + len(theirs) - 2
    pooled = ((len(mine) - 1) * mine.var() + (len(theirs) - 1) * theirs.var()) / freedom
    gap = abs(mine.mean() - theirs.mean())
    if not gap > 0.0 or gap < LARGE_DIFFERENCE * float(pooled) ** 0.5:
        return ""
    unit = unit_sign(setting.unit)
    return (
        f"{setting.label}: median {_number(mine.median(), unit)} against "
        f"{_number(theirs.median(), unit)}"
    )


def _share_sentence(mine: pd.Series, theirs: pd.Series, setting: Factor, level: str) -> str:
    """Return how often a level was used on both sides, "" when about as often."""
    if abs(mine.mean() - theirs.mean()) < LARGE_SHARE:
        return ""
    return (
        f"{setting.label}: '{level}' on {100 * mine.mean():.0f} of 100 pieces against "
        f"{100 * theirs.mean():.0f}"
    )


def _welch(mine: pd.Series, theirs: pd.Series) -> float:
    """Return the two-sided chance of a difference of firing means (Welch 1947)."""
    if len(mine) < LEAST_FIRINGS or len(theirs) < LEAST_FIRINGS:
        return 1.0
    gap = float(mine.mean() - theirs.mean())
    a, b = float(mine.var()) / len(mine), float(theirs.var()) / len(theirs)
    if a + b <= 0.0:
        return 0.0 if gap else 1.0
    freedom = (a + b) ** 2 / (a**2 / (len(mine) - 1) + b**2 / (len(theirs) - 1))
    return float(2.0 * special.stdtr(freedom, -abs(gap) / (a + b) ** 0.5))


def _say(habits: list[_Habit], codebook: Codebook, log: FiringLog) -> tuple[Finding, ...]:
    """Return one finding a group level, all its habits in one sentence."""
    by_level: dict[tuple[str, str], list[_Habit]] = {}
    for habit in habits:
        by_level.setdefault((habit.group.name, habit.level), []).append(habit)
    findings = []
    for (column, level), same in by_level.items():
        label = same[0].group.label
        said = "; ".join(habit.sentence for habit in same)
        n = int((log.values[column] == level).sum())
        did, do, part = ("graded what was made", "grade", "eye") if column == GRADER else _WORKED
        findings.append(
            Finding(
                code="person_moves_with_settings",
                severity=Severity.WARNING,
                message=(
                    f"{label} '{level}' ({n} {codebook.piece_word}s) {did} with other settings "
                    f"than the rest. {said}. What looks like the {part} of '{level}' may be "
                    f"these settings, and what looks like these settings may be '{level}'."
                ),
                advice=(
                    f"Have '{level}' and the others each {do} both kinds of setting in some "
                    f"{codebook.cluster_word}s; only that can tell them apart."
                ),
                column=column,
            )
        )
    return tuple(findings)


def _number(value: float, unit: str) -> str:
    """Return a number with its unit.

    >>> _number(95.0, "g")
    '95 g'
    """
    return f"{value:g} {unit}".strip()
