"""Simulate every place of a grid: truths by firings by pieces.

Each block of runs has a stream of its own, keyed by the seed, the truth, the layout and the
block, never by worker: adding a place changes no other, and workers change nothing.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from threadpoolctl import threadpool_limits

from outcomes.errors import RequestError
from outcomes.planning.power_analysis import analyse_trials
from outcomes.planning.power_cell import (
    Barred,
    Cell,
    Rule,
    Tally,
    count_answers,
    count_supported,
    find_bar,
)
from outcomes.planning.power_draw import draw_trials
from outcomes.planning.power_formula import guess_power
from outcomes.planning.power_layout import Layout, smallest_p
from outcomes.planning.power_lot import permute_trials
from outcomes.planning.power_truth import Truth
from outcomes.resampling.intervals import FEWEST_FIRINGS

BLOCK: Final = 250  # runs that share a stream: enough to fit together, few enough to share out
FEWEST_RUNS, MOST_RUNS = 100, 100_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """What is to be simulated.

    Parameters
    ----------
    truths
        Supposed truths.
    layouts
        Trials that might be fired, each under every truth.
    rule
        What counts as an answer.
    runs
        Trials a place.
    seed
        With the rest it determines every number.
    """

    truths: tuple[Truth, ...]
    layouts: tuple[Layout, ...]
    rule: Rule
    runs: int = 1000
    seed: int = 1

    def __post_init__(self) -> None:
        if not FEWEST_RUNS <= self.runs <= MOST_RUNS:
            raise RequestError(
                f"{self.runs} runs were asked for; {FEWEST_RUNS} to {MOST_RUNS} can be made. "
                f"1000 tell a chance to about 3 in 100."
            )
        if all(layout.firings < FEWEST_FIRINGS for layout in self.layouts):
            most = max(layout.firings for layout in self.layouts)
            raise RequestError(
                f"At most {most} firings were asked for: no interval can be given with fewer "
                f"than {FEWEST_FIRINGS}. Ask for more, for example --firings 8,12,24."
            )

    def count_runs(self) -> int:
        """Return the trials that will be simulated in all."""
        able = sum(find_bar(layout, self.rule) is not Barred.FEW for layout in self.layouts)
        return len(self.truths) * able * self.runs


@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """A block of runs of one place, and where its luck comes from."""

    place: tuple[int, int]
    truth: Truth
    layout: Layout
    runs: int
    stream: np.random.SeedSequence = field(compare=False)


def simulate_grid(
    grid: Grid, *, workers: int = 1, progress: Callable[[int], None] | None = None
) -> tuple[Cell, ...]:
    """Return every place of the grid, truth by truth, in the order of the layouts.

    Parameters
    ----------
    grid
        What to simulate.
    workers
        Threads; the result does not depend on it.
    progress
        Called from this thread with the number of trials just finished.
    """
    tallies: dict[tuple[int, int], Tally] = {}
    with threadpool_limits(limits=1, user_api="blas"):
        for job, tally in _run(grid, workers):
            tallies[job.place] = tallies.get(job.place, Tally()).plus(tally)
            if progress is not None:
                progress(job.runs)
    return tuple(
        Cell(
            truth=truth,
            layout=layout,
            tally=tallies.get((t, a), Tally()),
            guess=guess_power(truth, layout, grid.rule.level),
            smallest_p=smallest_p(layout, two_sided=grid.rule.two_sided()),
            barred=find_bar(layout, grid.rule),
        )
        for t, truth in enumerate(grid.truths)
        for a, layout in enumerate(grid.layouts)
    )


def _run(grid: Grid, workers: int) -> Iterator[tuple[_Job, Tally]]:
    """Simulate all jobs, yielding them in their order whatever finishes first."""

    def simulate(job: _Job) -> tuple[_Job, Tally]:
        rng = np.random.default_rng(job.stream)
        counts = draw_trials(job.truth, job.layout, job.runs, rng=rng)
        answers = analyse_trials(counts, job.truth.aim)
        barred = find_bar(job.layout, grid.rule)
        tally = count_answers(answers, job.truth, grid.rule, barred=barred)
        if grid.rule.lot is None or barred is not Barred.NO:
            return job, tally
        lots = permute_trials(counts, job.layout, rng=rng)
        return job, replace(tally, supported=count_supported(lots, grid.rule))

    if workers <= 1:
        yield from map(simulate, _build_jobs(grid))
        return
    pool = ThreadPoolExecutor(max_workers=workers)
    try:
        yield from pool.map(simulate, _build_jobs(grid))
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _build_jobs(grid: Grid) -> Iterator[_Job]:
    """Cut the grid into blocks of runs; places that can give no interval are left out."""
    for t, truth in enumerate(grid.truths):
        for a, layout in enumerate(grid.layouts):
            if find_bar(layout, grid.rule) is Barred.FEW:
                continue
            for block, first in enumerate(range(0, grid.runs, BLOCK)):
                key = (t, layout.firings, *layout.sizes, block)
                yield _Job(
                    place=(t, a),
                    truth=truth,
                    layout=layout,
                    runs=min(BLOCK, grid.runs - first),
                    stream=np.random.SeedSequence(grid.seed, spawn_key=key),
                )
