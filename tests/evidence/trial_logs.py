"""One invented trial of a cell: who got what, what it grew into."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from trial_cells import MARGIN, PIECES, Asked, Cell, Lot

from outcomes.model.fit import FloatArray, IntArray
from outcomes.resampling.permutation import draw_arrangements
from outcomes.simulate.chance import average_over_luck, thresholds_for

SHARES = (0.20, 0.25, 0.25, 0.20, 0.10)
AIM = 2  # grades 2, 3, 4: 55 of 100 pieces at ``from``
GLAZE, WEATHER = 1.0, 0.4  # log-odds: of the second glaze, of one sd of the firing's weather


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """A trial: arm (n,), grade (n,), firing (n,), stratum (n,), columns allowed for (n, 2)."""

    arm: FloatArray
    grade: IntArray
    firing: IntArray
    stratum: IntArray
    columns: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is so in every log of a cell: cut points, and the gain of the ``to`` value."""

    cuts: tuple[float, ...]
    gain: float


def find_truth(cell: Cell) -> Truth:
    """Return the truth of a cell's logs."""
    cuts = thresholds_for(SHARES, firing_sd=cell.firing_sd)
    return Truth(cuts=cuts, gain=true_gain(cell, cuts[AIM - 1]))


def draw_trial(cell: Cell, truth: Truth, rng: np.random.Generator) -> Drawn:
    """Return one trial; half of the units get either value, and two glazes alternate."""
    firing = np.repeat(np.arange(cell.firings), PIECES)
    arm, stratum = draw_lot(cell, firing, rng)
    glaze = np.tile([0.0, 1.0], len(firing) // 2)
    weather = rng.standard_normal(cell.firings)[firing]
    luck = cell.firing_sd * rng.standard_normal(cell.firings)[firing]
    score = truth.gain * arm
    if cell.asked is Asked.SIZE:  # the truth of the margin is known without covariates
        score = score + GLAZE * glaze + WEATHER * weather
    latent = score + luck + rng.logistic(size=len(firing))
    return Drawn(
        arm=arm,
        grade=np.searchsorted(np.array(truth.cuts), latent).astype(np.int64),
        firing=firing,
        stratum=stratum,
        columns=np.column_stack([glaze, weather]),
    )


def draw_lot(
    cell: Cell, firing: IntArray, rng: np.random.Generator
) -> tuple[FloatArray, NDArray[np.int64]]:
    """Return every piece's arm, and the stratum within which its unit was drawn."""
    if cell.lot is Lot.PIECE:
        return draw_arrangements(np.tile([0.0, 1.0], len(firing) // 2), firing, 1, rng=rng)[
            0
        ], firing
    half = np.arange(cell.firings) % 2.0
    blocks = np.arange(cell.firings) // 2 if cell.lot is Lot.PAIR else np.zeros(cell.firings, int)
    return draw_arrangements(half, blocks, 1, rng=rng)[0][firing], blocks[firing]


def true_gain(cell: Cell, cut: float) -> float:
    """Return the log-odds that make the average change of P(grade >= aim) just the margin."""
    if cell.asked is Asked.SIZE:
        return 0.0

    def change(gain: float) -> float:
        reach = average_over_luck(np.array([gain - cut, -cut]), cell.firing_sd)
        return float(reach[0] - reach[1]) - MARGIN

    return float(brentq(change, 0.0, 6.0))
