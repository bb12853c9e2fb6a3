"""One place of the grid: how many of its simulated trials said what."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from scipy import special

from outcomes.planning.plan import Direction
from outcomes.planning.power_analysis import Answers
from outcomes.planning.power_layout import Layout, smallest_p
from outcomes.planning.power_lot import LotAnswers
from outcomes.planning.power_truth import Truth
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.resampling.proportion import wilson_interval

_ALMOST: Final = 1.0 + 1e-9  # a level such as 1 - 0.95 is not 0.05 to the last bit


class Barred(StrEnum):
    """Why a trial of this layout cannot answer, whatever it finds."""

    NO = ""
    FEW = "too few firings for an interval"
    P = "no lot can be rare enough"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """What a trial is judged by.

    Parameters
    ----------
    level
        Limits of confidence 1 - level must exclude 0, and a p value must be able to reach it;
        each of the two one-sided tests of an equivalence is held to it.
    smallest
        Smallest difference that matters, as a probability.
    lot
        Where the plan's permutation test looks; None without a plan, when limits decide alone.
    """

    level: float
    smallest: float
    lot: Direction | None = None

    def two_sided(self) -> bool:
        """Return whether a p value looks both ways."""
        return self.lot in (None, Direction.EITHER)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Counts of trials; they add up over blocks of runs.

    Parameters
    ----------
    runs, answered
        Trials simulated, and those that gave an interval.
    supported
        The plan's permutation test reaches its level; 0 without a plan.
    clear
        Limits exclude 0.
    enough
        Limits exclude 0 on the true side, and the change found is at least the smallest
        difference.
    wrong
        Limits exclude 0 on the wrong side; with a true difference of 0, on either.
    small
        Both one-sided tests against the smallest difference pass: limits of confidence
        1 - 2 level lie within it either way.
    width
        Sum of the widths of the intervals that were given.
    """

    runs: int = 0
    answered: int = 0
    supported: int = 0
    clear: int = 0
    enough: int = 0
    wrong: int = 0
    small: int = 0
    width: float = 0.0

    def plus(self, other: "Tally") -> "Tally":
        """Return both together."""
        return Tally(
            runs=self.runs + other.runs,
            answered=self.answered + other.answered,
            supported=self.supported + other.supported,
            clear=self.clear + other.clear,
            enough=self.enough + other.enough,
            wrong=self.wrong + other.wrong,
            small=self.small + other.small,
            width=self.width + other.width,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One truth under one layout, with what its trials said.

    ``barred`` cells can never answer: their counts of clear trials are 0. ``guess`` is the
    formula's chance that the limits exclude 0, ``smallest_p`` what a permutation test reaches
    at best.
    """

    truth: Truth
    layout: Layout
    tally: Tally
    guess: float
    smallest_p: float
    barred: Barred

    def supported(self) -> Interval:
        """Return the chance that the permutation test supports the claim, with limits."""
        return wilson_interval(self.tally.supported, max(1, self.tally.runs))

    def clear(self) -> Interval:
        """Return the chance that the limits exclude 0, with its Monte Carlo limits."""
        return wilson_interval(self.tally.clear, max(1, self.tally.runs))

    def enough(self) -> Interval:
        """Return the chance of clear and at least the smallest difference, with limits."""
        return wilson_interval(self.tally.enough, max(1, self.tally.runs))

    def small(self) -> Interval:
        """Return the chance of "equivalent within the smallest difference", with limits."""
        return wilson_interval(self.tally.small, max(1, self.tally.runs))

    def wrong_share(self) -> float | None:
        """Return the share of wrong directions among clear trials; None without any."""
        return self.tally.wrong / self.tally.clear if self.tally.clear else None

    def width(self) -> float | None:
        """Return the mean width of the interval, as a probability; None without any."""
        return self.tally.width / self.tally.answered if self.tally.answered else None


def find_bar(layout: Layout, rule: Rule) -> Barred:
    """Return why trials of a layout cannot answer."""
    if layout.firings < FEWEST_FIRINGS:
        return Barred.FEW
    least = smallest_p(layout, two_sided=rule.two_sided())
    return Barred.P if least > rule.level * _ALMOST else Barred.NO


def count_supported(lots: LotAnswers, rule: Rule) -> int:
    """Return in how many trials the permutation test reaches its level."""
    p_values = {Direction.MORE: lots.p_more, Direction.FEWER: lots.p_fewer}
    p = lots.p_either if rule.lot is None else p_values.get(rule.lot, lots.p_either)
    return int((p <= rule.level * _ALMOST).sum())


def count_answers(answers: Answers, truth: Truth, rule: Rule, *, barred: Barred) -> Tally:
    """Return how many trials said what.

    Parameters
    ----------
    answers
        Of a block of trials.
    truth, rule
        What is true and what counts.
    barred
        A trial that cannot reach its level is never clear.
    """
    given = np.isfinite(answers.error)
    change, error, df = answers.change[given], answers.error[given], answers.df[given]
    reach = -special.stdtrit(df, 0.5 * rule.level) * error
    clear = (np.abs(change) > reach) & (barred is Barred.NO)
    right = np.sign(change) == np.sign(truth.change)
    inner = -special.stdtrit(df, rule.level) * error
    ends = np.minimum(1.0, change + reach) - np.maximum(-1.0, change - reach)
    return Tally(
        runs=len(given),
        answered=int(given.sum()),
        clear=int(clear.sum()),
        enough=int((clear & right & (np.abs(change) >= rule.smallest)).sum()),
        wrong=int((clear & ~right).sum()),
        small=int((np.abs(change) + inner < rule.smallest).sum()),
        width=float(ends.sum()),
    )
