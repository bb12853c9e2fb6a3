"""How long a weighted refit takes, against the libraries one would otherwise use.

Run by hand::

    python tests/benchmarks/bench_refits.py

One run, minimum of repeats: only the ratios travel to another machine. Everything on one thread is
given in processor time, which a busy machine stretches less than the clock. Two workers are given
by the clock, and one worker by the clock beside them: as threads over the blocks of one batch, and
as processes over four outcomes, which is how a report divides them; with what two processes of bare
arithmetic gain over one, as two cores of a shared machine are seldom two. BLAS has one thread for
everybody, from the start and in a process of its own: threads that are only held back start again
after every copy of the process and turn for a while, on our processor time. The shortest of several
runs is the shorter the less there is to run, so all take about as long. The problem is that of the
method: 384 pieces, 48 firings, 12 columns, 5 grades, 2 000 redraws of whole firings.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from statsmodels.miscmodels.ordinal_model import OrderedModel

from outcomes.__main__ import ONE_THREAD
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.workers import spread

PIECES, FIRINGS, COLUMNS, GRADES, REDRAWS = 384, 48, 12, 5, 2000
REPEATS = 9
STATSMODELS_REFITS, CLM_REFITS, BOOTCOV_REDRAWS = 6, 60, 300
NEWTON_STEPS = 4  # what nearly all replicates of this problem take
R_TIME_LIMIT_S = 300
ONE = "`outcomes`, one worker"
ONE_CLOCK, TWO = "`outcomes`, one worker (clock)", "`outcomes`, two workers (clock)"
FOUR_ONE = "four outcomes' refits, one worker (clock)"
FOUR_TWO = "four outcomes' refits, two workers (clock)"
BARE = "bare arithmetic of the same steps"
BARE_ALONE = "bare arithmetic, one process (clock)"
BARE_TWICE = "bare arithmetic, two processes (clock)"
BARE_REFITS, COPIED = 20, 5
OUTCOMES = 4
AS_JSON = "--json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """A piece of work, how many refits it is, and by which clock it is timed."""

    work: Callable[[], object]
    refits: int
    clock: Callable[[], float] = time.process_time


def best_ms(timed: Mapping[str, Timed], *, repeats: int = REPEATS) -> dict[str, float]:
    """Return the shortest of several runs of each, milliseconds a refit.

    They take turns: a machine that is slower for some seconds is slower for all of them.
    """
    times: dict[str, list[float]] = {name: [] for name in timed}
    for _ in range(repeats):
        for name, one in timed.items():
            start = one.clock()
            one.work()
            times[name].append(one.clock() - start)
    return {name: 1000.0 * min(times[name]) / one.refits for name, one in timed.items()}


def made_log() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return columns, grades and firing numbers; half the columns vary between firings."""
    rng = np.random.default_rng(0)
    firing = np.repeat(np.arange(FIRINGS), PIECES // FIRINGS)
    X = rng.normal(size=(PIECES, COLUMNS))
    X[:, : COLUMNS // 2] = rng.normal(size=(FIRINGS, COLUMNS // 2))[firing]
    eta = X @ np.linspace(-0.6, 0.8, COLUMNS) + 0.7 * rng.normal(size=FIRINGS)[firing]
    return X, np.searchsorted([-2.0, -0.7, 0.5, 2.0], eta + rng.logistic(size=PIECES)), firing


def time_ours(X: np.ndarray, y: np.ndarray, firing: np.ndarray) -> dict[str, float]:
    """Return our timings, and beside them the bare arithmetic's."""
    start = fit_cumulative(X, y, GRADES)
    draws = draw_firing_weights(FIRINGS, REDRAWS, rng=np.random.default_rng(1))

    def refit(weights: np.ndarray, workers: int) -> None:
        fit_many(X, y, GRADES, firing=firing, firing_weights=weights, start=start, workers=workers)

    def single() -> None:
        for weights in draws[:20]:
            fit_cumulative(X, y, GRADES, weights=weights[firing].astype(float))

    def refit_outcomes(workers: int) -> None:
        def one(_outcome: int, _tell: Callable[[int], None]) -> None:
            refit(draws, 1)

        spread(one, range(OUTCOMES), workers=workers)

    jackknife = leave_one_out_weights(FIRINGS)
    several, refits = build_bare_arithmetic()
    clock = time.perf_counter
    timed = {
        ONE: Timed(work=lambda: refit(draws, 1), refits=REDRAWS),
        ONE_CLOCK: Timed(work=lambda: refit(draws, 1), refits=REDRAWS, clock=clock),
        TWO: Timed(work=lambda: refit(draws, 2), refits=REDRAWS, clock=clock),
        FOUR_ONE: Timed(work=lambda: refit_outcomes(1), refits=OUTCOMES * REDRAWS, clock=clock),
        FOUR_TWO: Timed(work=lambda: refit_outcomes(2), refits=OUTCOMES * REDRAWS, clock=clock),
        "`outcomes`, leave one out": Timed(work=lambda: refit(jackknife, 1), refits=FIRINGS),
        "`outcomes`, one fit with its certificate": Timed(work=single, refits=20),
        BARE: Timed(work=several, refits=refits),
        BARE_ALONE: Timed(work=lambda: run_copies(several, 1), refits=COPIED * refits, clock=clock),
        BARE_TWICE: Timed(
            work=lambda: run_copies(several, 2), refits=2 * COPIED * refits, clock=clock
        ),
    }
    return best_ms(timed)


def run_copies(several: Callable[[], object], count: int) -> None:
    """Run the bare arithmetic in so many processes at once: what the machine can give."""

    def work() -> None:
        for _ in range(COPIED):
            several()

    copies = [get_context("fork").Process(target=work) for _ in range(count)]
    for copy in copies:
        copy.start()
    for copy in copies:
        copy.join()


def build_bare_arithmetic() -> tuple[Callable[[], None], int]:
    """Return the unavoidable arithmetic alone, no control flow, and how many refits it is.

    Per Newton step and replicate: one product for the cut points of the half-rows, one
    exponential and one division each, the score, the pair products, one linear solve.
    """
    rng = np.random.default_rng(2)
    q, half_rows, block = COLUMNS + GRADES - 1, 624, 170
    design, psi = rng.normal(size=(half_rows, q)), rng.normal(size=(q, block))
    pairs = rng.normal(size=(COLUMNS * (COLUMNS + 1) // 2, PIECES))
    curve = rng.random((PIECES, block))
    information = np.eye(q) + 0.1 * rng.random((block, q, q))
    right, work = rng.random((block, q, 1)), np.empty((half_rows, block))
    score, packed = np.empty((q, block)), np.empty((len(pairs), block))

    def step() -> None:
        np.matmul(design, psi, out=work)
        np.exp(work, out=work)
        np.reciprocal(work, out=work)
        np.matmul(design.T, work, out=score)
        np.matmul(pairs, curve, out=packed)
        np.linalg.solve(information, right)

    def several() -> None:
        for _ in range(BARE_REFITS * NEWTON_STEPS):
            step()

    return several, BARE_REFITS * block


def time_statsmodels(X: np.ndarray, y: np.ndarray, firing: np.ndarray) -> float:
    """Return `OrderedModel` with its default optimiser on redrawn rows."""
    draws = draw_firing_weights(FIRINGS, STATSMODELS_REFITS, rng=np.random.default_rng(1))
    rows = [np.repeat(np.arange(PIECES), weights[firing]) for weights in draws]

    def refit() -> None:
        for picked in rows:
            OrderedModel(y[picked], X[picked], distr="logit").fit(method="bfgs", disp=False)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        timed = {"": Timed(work=refit, refits=STATSMODELS_REFITS)}
        return best_ms(timed, repeats=3)[""]


def time_r(X: np.ndarray, y: np.ndarray, firing: np.ndarray) -> dict[str, float]:
    """Return R's timings; empty where R is not installed."""
    rscript = shutil.which("Rscript")
    if rscript is None:
        return {}
    script = Path(__file__).with_suffix(".R")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        header = "y,firing," + ",".join(f"x{j}" for j in range(1, COLUMNS + 1))
        table = np.column_stack([y, firing, X])
        np.savetxt(path, table, fmt="%.17g", delimiter=",", header=header, comments="")
        command = [rscript, "--vanilla", script, path, str(CLM_REFITS), str(BOOTCOV_REDRAWS)]
        answer = subprocess.run(
            command, check=True, capture_output=True, text=True, timeout=R_TIME_LIMIT_S
        )
    pairs = map(str.split, answer.stdout.splitlines())
    return {f"R `{name}`": float(ms) for name, ms in pairs}


def measure_refits() -> dict[str, float]:
    """Return every timing, milliseconds a refit, from a process that starts as the program does."""
    words = [sys.executable, __file__, AS_JSON]
    environment = os.environ | dict.fromkeys(ONE_THREAD, "1")
    done = subprocess.run(words, env=environment, stdout=subprocess.PIPE, check=True)
    timings: dict[str, float] = json.loads(done.stdout)
    return timings


def time_everybody() -> dict[str, float]:
    """Return every timing, milliseconds a refit."""
    log = made_log()
    return {
        **time_ours(*log),
        "statsmodels `OrderedModel` (bfgs)": time_statsmodels(*log),
        **time_r(*log),
    }


def main() -> None:
    """Print the table."""
    if AS_JSON in sys.argv:
        print(json.dumps(time_everybody()))
        return
    timings = measure_refits()
    one, two = timings[ONE], timings[TWO]
    print(f"{'one refit':42s}{'ms':>10s}{'/ 1 worker':>12s}{'/ 2 workers':>13s}")
    for name, ms in timings.items():
        print(f"{name:42s}{ms:10.4f}{ms / one:12.1f}{ms / two:13.1f}")


if __name__ == "__main__":
    main()
