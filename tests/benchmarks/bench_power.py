"""How long one simulated trial takes, against fitting each with a general library.

Run by hand::

    python tests/benchmarks/bench_power.py

One place of the grid: 24 firings of 6 pieces, five grades, whole firings assigned, luck 0.8.
Ours draws, fits, and gives each trial its limits. The loop draws the same trials and fits them
one by one with statsmodels' ``OrderedModel``, without any limits that know of firings: what is
compared is the least anybody would have to do. Processor time, one thread; only the ratio
travels to another machine. Both find the same changes, which is checked.
"""

import time
import warnings

import numpy as np
from scipy import special
from statsmodels.miscmodels.ordinal_model import OrderedModel
from threadpoolctl import threadpool_limits

from outcomes.planning.plan import Unit
from outcomes.planning.power_analysis import analyse_trials
from outcomes.planning.power_draw import draw_trials
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_truth import Truth

TRUTH = Truth(shares=(0.1, 0.2, 0.3, 0.25, 0.15), aim=3, change=0.15, firing_sd=0.8)
LAYOUT = Layout(firings=24, sizes=(6,), assigned=Unit.FIRING)
TRIALS, NAIVE_TRIALS, REPEATS = 1000, 30, 5
# Ours pulls the slope a little toward 0 (log-F), statsmodels does not.
ALIKE = 0.02


def draw(trials: int) -> np.ndarray:
    """Return the counts of trials that are always the same."""
    return draw_trials(TRUTH, LAYOUT, trials, rng=np.random.default_rng(1))


def time_ours() -> float:
    """Return milliseconds a trial, the shortest of several runs."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        analyse_trials(draw(TRIALS), TRUTH.aim)
        times.append(time.process_time() - start)
    return 1000 * min(times) / TRIALS


def fit_naively(counts: np.ndarray) -> float:
    """Return one trial's change by a general library."""
    _, side, grade = np.nonzero(counts)
    pieces = counts[counts > 0]
    model = OrderedModel(
        np.repeat(grade, pieces), np.repeat(side, pieces)[:, None].astype(float), distr="logit"
    )
    fit = model.fit(method="bfgs", disp=False)
    cuts = model.transform_threshold_params(fit.params)[1:-1]
    cut = cuts[(np.unique(grade) < TRUTH.aim).sum() - 1]
    return float(special.expit(fit.params[0] - cut) - special.expit(-cut))


def time_loop() -> tuple[float, np.ndarray]:
    """Return milliseconds a trial, and the changes found."""
    counts = draw(NAIVE_TRIALS)
    start = time.process_time()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        changes = np.array([fit_naively(one) for one in counts])
    return 1000 * (time.process_time() - start) / NAIVE_TRIALS, changes


def main() -> None:
    """Print both times and their ratio."""
    with threadpool_limits(limits=1):
        ours = time_ours()
        loop, changes = time_loop()
        same = analyse_trials(draw(NAIVE_TRIALS), TRUTH.aim).change
    assert np.abs(changes - same).max() < ALIKE, np.abs(changes - same).max()
    print(f"outcomes, limits included: {ours:.3f} ms a trial")
    print(f"statsmodels OrderedModel, fit alone: {loop:.1f} ms a trial, {loop / ours:.0f} times")


if __name__ == "__main__":
    main()
