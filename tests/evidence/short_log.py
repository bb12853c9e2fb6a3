"""A log of a coverage cell as arrays, without the detour over a table on disk.

The columns are those `design.shapes` would make (numbers centred at the median and divided by
two standard deviations, the commoner level as reference) and the two values those
`effects.contrasts` would choose (20th to 80th percentile, no to yes);
tests/test_evidence_small.py holds both to the package's own design.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from cells import Cell

from outcomes.design.budget import largest_columns
from outcomes.design.design import FloatArray, IntArray
from outcomes.simulate.chance import average_over_luck, latent_score, thresholds_for
from outcomes.simulate.draw import draw_outcomes, draw_settings
from outcomes.simulate.habits import Amount, Choice, Habits, Treated
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Steps, Straight, Truth, shape_effect

OUTCOME = "luster"
NO_YES = ("no", "yes")
JUDGED = ("between_number", "between_level", "within_number", "within_level")
OTHERS = tuple(f"{name}_{i}" for i in (2, 3) for name in JUDGED)
SHARES = {5: (0.15, 0.20, 0.25, 0.25, 0.15), 2: (0.7, 0.3)}
AIM = {5: 3, 2: 1}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShortLog:
    """The arrays of one log, and the truth about its judged settings.

    Parameters
    ----------
    X, y, firing
        As in `design.Design`; the judged settings' columns come first.
    n_grades, aim
        Grades that occur, and the one that counts among them.
    ends : array, shape (4, 2)
        The two values of each judged setting, as they stand in its column.
    truth : array, shape (4,)
        The true change between them, over the log's own pieces.
    """

    X: FloatArray
    y: IntArray
    firing: IntArray
    n_grades: int
    aim: int
    ends: FloatArray
    truth: FloatArray

    @property
    def n_firings(self) -> int:
        """Return G."""
        return int(self.firing[-1]) + 1


def draw_short_log(cell: Cell, rng: np.random.Generator) -> ShortLog:
    """Return one log of a coverage cell.

    When fewer columns fit the log than were written down, the last ones leave, as the budget
    of the analysis has it; the judged ones stay.
    """
    truth, frame = draw_frame(cell, rng)
    grades, y = np.unique(frame[OUTCOME].to_numpy(dtype=np.int64), return_inverse=True)
    firing = pd.factorize(frame["firing_id"])[0]
    names = (*JUDGED, *OTHERS)[: cell.columns]
    kept = names[: max(len(JUDGED), largest_columns(y, cell.firings))]
    aim = int(np.searchsorted(grades, truth.outcome(OUTCOME).aim))
    pairs = [two_values(frame[name]) for name in JUDGED]
    return ShortLog(
        X=np.column_stack([build_column(frame[name], frame[name]) for name in kept]),
        y=y,
        firing=firing,
        n_grades=len(grades),
        aim=min(max(aim, 1), len(grades) - 1),
        ends=np.array(
            [
                build_column(pd.Series(list(pair)), frame[name])
                for name, pair in zip(JUDGED, pairs, strict=True)
            ]
        ),
        truth=find_true_changes(truth, frame, pairs),
    )


def find_true_changes(
    truth: Truth, frame: pd.DataFrame, pairs: list[tuple[float, float] | tuple[str, str]]
) -> FloatArray:
    """Return the true change of each judged setting, shape (4,).

    What `simulate.chance.true_change` gives, with the score of the other settings computed
    once.
    """
    what = truth.outcome(OUTCOME)
    score = latent_score(truth, frame, OUTCOME) - what.thresholds[what.aim - 1]
    changes = []
    for effect, pair in zip(what.effects, pairs, strict=True):
        rest = score - shape_effect(effect.shape, frame[effect.factor].to_numpy())
        reach = [
            average_over_luck(rest + end, what.firing_sd).mean()
            for end in shape_effect(effect.shape, list(pair))
        ]
        changes.append(reach[1] - reach[0])
    return np.array(changes)


def draw_frame(cell: Cell, rng: np.random.Generator) -> tuple[Truth, pd.DataFrame]:
    """Return the truth of a coverage cell and one of its logs as a table."""
    low, high = cell.sizes
    sizes = tuple(int(size) for size in rng.integers(low, high + 1, size=cell.firings))
    truth = _truth(cell)
    settings = draw_settings(_habits(cell), firings=cell.firings, pieces=sizes, rng=rng)
    return truth, draw_outcomes(truth, settings, rng=rng)


def build_column(values: pd.Series, logged: pd.Series) -> FloatArray:
    """Return the model column of some values, coded by the logged ones."""
    if logged.dtype == object:
        is_yes = (logged == "yes").to_numpy()
        rarer = "no" if is_yes.mean() > 0.5 else "yes"
        return np.asarray(values == rarer, dtype=np.float64)
    numbers = logged.to_numpy(dtype=np.float64)
    centred = values.to_numpy(dtype=np.float64) - np.median(numbers)
    return np.asarray(centred / (2.0 * np.std(numbers)))


def two_values(logged: pd.Series) -> tuple[float, float] | tuple[str, str]:
    """Return the values contrasted."""
    if logged.dtype == object:
        return NO_YES
    low, high = np.quantile(logged.to_numpy(dtype=np.float64), [0.20, 0.80])
    return float(low), float(high)


def _truth(cell: Cell) -> Truth:
    """Return four acting settings; every other column changes nothing."""
    steps = Steps(gains=(("yes", cell.gain),))
    slope = Straight(per_step=cell.gain / 2.0)
    effects = tuple(
        FactorEffect(factor=name, shape=slope if name.endswith("number") else steps)
        for name in JUDGED
    )
    return Truth(
        outcomes=(
            OutcomeTruth(
                name=OUTCOME,
                # Centred so that half of the settings at "yes" leaves the shares as they are.
                thresholds=tuple(
                    threshold + cell.gain
                    for threshold in thresholds_for(SHARES[cell.grades], firing_sd=cell.firing_sd)
                ),
                aim=AIM[cell.grades],
                effects=effects,
                firing_sd=cell.firing_sd,
            ),
        )
    )


def _habits(cell: Cell) -> Habits:
    """Return how the columns of a cell are chosen: independently, half of them per firing."""
    names = (*JUDGED, *OTHERS)[: cell.columns]
    return Habits(
        amounts=tuple(
            Amount(name=name, centre=0.0, spread=1.0, between=float(name.startswith("between")))
            for name in names
            if "number" in name
        ),
        choices=tuple(
            Choice(name=name, levels=NO_YES, shares=(0.5, 0.5))
            for name in names
            if name.startswith("within_level")
        ),
        treated=tuple(
            Treated(
                name=name,
                levels=NO_YES,
                firings=cell.treated if cell.treated and name in JUDGED else cell.firings // 2,
            )
            for name in names
            if name.startswith("between_level")
        ),
    )
