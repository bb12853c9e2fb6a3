"""Draw many trials of one layout from a supposed truth, as counts."""

import numpy as np
from scipy import special

from outcomes.model.fit import FloatArray, IntArray
from outcomes.planning.power_layout import Layout, draw_side_sizes
from outcomes.planning.power_truth import Truth, solve_cuts, solve_log_odds


def draw_trials(truth: Truth, layout: Layout, trials: int, *, rng: np.random.Generator) -> IntArray:
    """Return how many pieces got which grade in every firing of every trial.

    Parameters
    ----------
    truth, layout
        What is true, and what is fired.
    trials
        B.
    rng
        All luck comes from here.

    Returns
    -------
    int array, shape (B, G, 2, K)
        Counts by trial, firing, side (0 as now, 1 changed) and grade.
    """
    sizes = draw_side_sizes(layout, trials, rng=rng)
    luck = truth.firing_sd * rng.standard_normal((trials, layout.firings))
    return np.asarray(rng.multinomial(sizes, _chances(truth, luck)), dtype=np.int64)


def _chances(truth: Truth, luck: FloatArray) -> FloatArray:
    """Return the chance of each grade on both sides of every firing, (B, G, 2, K)."""
    lift = np.array([0.0, solve_log_odds(truth)]) + luck[..., None]
    below = special.expit(solve_cuts(truth) - lift[..., None])
    ends = np.zeros((*lift.shape, 1))
    chances = np.diff(np.concatenate([ends, below, ends + 1.0], axis=-1), axis=-1)
    return np.asarray(chances / chances.sum(axis=-1, keepdims=True))
