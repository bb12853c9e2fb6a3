"""Whether settings that move together are named, and settings that do not are left alone."""

from collections.abc import Mapping

import numpy as np
import pandas as pd
from cells import Cell
from tallies import Scores

from outcomes.design.matrix import build_design
from outcomes.doubts.check_tangled import find_tangles
from outcomes.effects.effect import Tangle
from outcomes.log.codebook import Codebook
from outcomes.model.cumulative import fit_cumulative
from outcomes.simulate.as_log import build_log
from outcomes.simulate.draw import draw_outcomes, draw_settings
from outcomes.simulate.habits import Amount, Choice, Habits, Together, Treated
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Steps, Straight, Truth

OUTCOME = "luster"
SWITCHES = ("seal", "quench")  # two yes/no settings of a firing
OF_FIRING = ("pull_temp_c", "time_in_can_min")
OF_PIECE = ("seconds_to_can", "wall_thickness_mm")
TIED: Mapping[str, tuple[str, str]] = {
    "same": SWITCHES,
    "one-apart": SWITCHES,
    "firings-follow": OF_FIRING,
    "pieces-follow": OF_PIECE,
}
CLOSE = 0.97  # correlation of two settings that follow one another


def judge_tangled(cell: Cell, codebook: Codebook, *, rng: np.random.Generator) -> Scores:
    """Return whether the pair of a cell was named, and how many untied settings were.

    A pair is named when both settings carry a tangle that holds the other.
    """
    log = build_log(draw_tangled(cell, rng), codebook)
    design = build_design(log, codebook.outcome(OUTCOME))
    assert not isinstance(design, str), design  # noqa: S101 - these habits always vary
    fit = fit_cumulative(design.X, design.y, len(design.grades))
    tangles = find_tangles(design, codebook, fit=fit)
    tied = TIED.get(cell.pair, ())
    untied = {tangle.factor for tangle in tangles} - set(tied)
    scores = [("an untied setting was named", float(bool(untied)))]
    if tied:
        scores.append(("both of the pair were named", float(_is_named(tied, tangles))))
    return scores


def draw_tangled(cell: Cell, rng: np.random.Generator) -> pd.DataFrame:
    """Return one log: six settings, of which a pair may move together."""
    low, high = cell.sizes
    sizes = tuple(int(size) for size in rng.integers(low, high + 1, size=cell.firings))
    settings = draw_settings(_habits(cell), firings=cell.firings, pieces=sizes, rng=rng)
    if TIED.get(cell.pair) == SWITCHES:
        settings = settings.assign(quench=_like_seal(cell, settings, rng))
    return draw_outcomes(_truth(cell.firing_sd), settings, rng=rng)


def _is_named(tied: tuple[str, str], tangles: tuple[Tangle, ...]) -> bool:
    partners = {tangle.factor: tangle.with_factors for tangle in tangles}
    first, second = tied
    return second in partners.get(first, ()) and first in partners.get(second, ())


def _like_seal(cell: Cell, settings: pd.DataFrame, rng: np.random.Generator) -> pd.Series:
    """Return the quench: a dunk wherever the can was sealed, but for one firing perhaps."""
    dunked = settings["seal"] == "yes"
    if cell.pair == "one-apart":
        other = rng.choice(settings["firing_id"].unique())
        dunked ^= settings["firing_id"] == other
    return dunked.map({True: "dunk", False: "none"}).astype(object)


def _habits(cell: Cell) -> Habits:
    follows = TIED.get(cell.pair, ())
    pairs = (follows,) if follows in (OF_FIRING, OF_PIECE) else ()
    half = cell.firings // 2
    return Habits(
        amounts=(
            Amount(name="pull_temp_c", centre=975, spread=28, grid=5, between=1.0),
            Amount(name="time_in_can_min", centre=22, spread=5, low=5, grid=1, between=1.0),
            Amount(name="seconds_to_can", centre=14, spread=4, low=3, grid=0.5),
            Amount(name="wall_thickness_mm", centre=6.5, spread=1.4, low=3.5, grid=0.1),
        ),
        choices=(Choice(name="glaze", levels=("Hob Lane", "Sallow Pit"), shares=(0.5, 0.5)),),
        treated=(
            Treated(name="seal", levels=("no", "yes"), firings=half),
            Treated(name="quench", levels=("none", "dunk"), firings=half),
        ),
        together=tuple(Together(first=a, second=b, correlation=CLOSE) for a, b in pairs),
        days=50,
    )


def _truth(firing_sd: float) -> Truth:
    """Return a truth in which one of each pair acts."""
    effects = (
        FactorEffect(factor="seal", shape=Steps(gains=(("yes", 0.8),))),
        FactorEffect(factor="pull_temp_c", shape=Straight(per_step=0.4, step=28.0, centre=975.0)),
        FactorEffect(factor="seconds_to_can", shape=Straight(per_step=-0.1, centre=14.0)),
    )
    thresholds = (-1.2, -0.1, 0.9, 2.1)
    return Truth(
        outcomes=(
            OutcomeTruth(
                name=OUTCOME, thresholds=thresholds, aim=3, effects=effects, firing_sd=firing_sd
            ),
        )
    )
