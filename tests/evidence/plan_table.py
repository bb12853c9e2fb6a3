"""From widths to the number that counts: pieces fired as before for one planned piece."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from plan_log import Width

RESAMPLES = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Ratio:
    """How many pieces fired as before give the width that one planned piece gives.

    ``low``..``high`` hold 95 % of the redraws of whole logs; ``beyond`` is the share of redraws
    in which even the longest habitual log stayed wider, whose ratio counts as the largest tried.
    """

    logs: int
    questions: int
    ratio: float
    low: float
    high: float
    beyond: float


def find_ratio(
    logs: Sequence[Sequence[Width]], keep: Callable[[Width], bool], *, rng: np.random.Generator
) -> Ratio | None:
    """Return the ratio over the questions kept, each log being one draw."""
    tables = [table for widths in logs if (table := _table(filter(keep, widths)))]
    if len(tables) < 2:
        return None
    steps = sorted({arm for table in tables for arm in table if arm[0] == "habit"})
    planned = next(arm for table in tables for arm in table if arm[0] == "plan")
    sums = np.array([[table.get(arm, (0.0, 0)) for arm in [planned, *steps]] for table in tables])
    firings = np.array([arm[1] for arm in steps], dtype=float)
    found = _solve(sums.sum(axis=0), firings)
    draws = rng.integers(len(tables), size=(RESAMPLES, len(tables)))
    drawn = np.array([_solve(sums[rows].sum(axis=0), firings) for rows in draws])
    low, high = np.quantile(drawn, [0.025, 0.975]) / planned[1]
    return Ratio(
        logs=len(tables),
        questions=int(sums[:, 0, 1].sum()),
        ratio=found / planned[1],
        low=float(low),
        high=float(high),
        beyond=float((drawn >= firings[-1]).mean()),
    )


def count_held(logs: Iterable[Iterable[Width]], keep: Callable[[Width], bool]) -> tuple[int, int]:
    """Return how many intervals held the truth, and of how many."""
    held = [width.held for widths in logs for width in widths if keep(width)]
    return sum(held), len(held)


def count_tangled(
    logs: Iterable[Iterable[Width]], keep: Callable[[Width], bool]
) -> tuple[int, int]:
    """Return how many settings stayed tangled, and of how many."""
    left = [width.tangled for widths in logs for width in widths if keep(width)]
    return sum(left), len(left)


def median_width(logs: Iterable[Iterable[Width]], keep: Callable[[Width], bool]) -> float:
    """Return the median width in pieces per 100."""
    return 100.0 * float(np.median([w.width for widths in logs for w in widths if keep(w)]))


def _table(widths: Iterable[Width]) -> dict[tuple[str, int], tuple[float, int]]:
    """Return (sum of log widths, number) by arm."""
    table: dict[tuple[str, int], tuple[float, int]] = {}
    for width in widths:
        key = (width.arm, width.firings)
        total, count = table.get(key, (0.0, 0))
        table[key] = (total + float(np.log(width.width)), count + 1)
    return table


def _solve(sums: np.ndarray, firings: np.ndarray) -> float:
    """Return where the habitual mean log width meets the planned one, in firings.

    Straight lines are drawn between the sizes tried, the log as it was (0 firings added) among
    them; beyond the largest size that size is returned.
    """
    means = sums[:, 0] / np.maximum(sums[:, 1], 1)
    curve = np.minimum.accumulate(means[1:])
    return float(np.interp(-means[0], -curve, firings))
