"""Plans and logs that many tests of this room start from."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.planning.assignment import PIECE, draw_assignment, row_names
from outcomes.planning.next_known import Known
from outcomes.planning.plan import (
    Claim,
    Direction,
    Hypothesis,
    Plan,
    PlannedFactor,
    Unit,
)
from outcomes.planning.seal import seal_plan
from outcomes.simulate.as_log import build_log
from outcomes.simulate.draw import simulate_log
from outcomes.simulate.habits import Amount, Choice, Habits, Together
from outcomes.simulate.truth import FactorEffect, OutcomeTruth, Straight, Truth
from outcomes.study.analysis import analyse
from outcomes.study.record import Study, StudyOptions

DECLARED = date(2026, 3, 2)
LogOf = Callable[..., FiringLog]


@pytest.fixture(scope="session")
def plan() -> Plan:
    """Time in the can by lot, piece by piece: one difference, one equivalence; sealed."""
    return seal_plan(
        Plan(
            title="Does time in the can matter?",
            declared_on=DECLARED,
            counts_from=DECLARED,
            level=0.05,
            firings=8,
            pieces=6,
            factors=(
                PlannedFactor(
                    name="time_in_can_min", values=(4.0, 16.0, 64.0), assigned_to=Unit.PIECE
                ),
            ),
            hypotheses=(
                Hypothesis(
                    name="early",
                    outcome="luster",
                    factor="time_in_can_min",
                    from_value=4.0,
                    to_value=16.0,
                    direction=Direction.MORE,
                ),
                Hypothesis(
                    name="late",
                    outcome="luster",
                    factor="time_in_can_min",
                    from_value=16.0,
                    to_value=64.0,
                    claim=Claim.EQUIVALENCE,
                    margin=30.0,
                ),
            ),
            stopping="After 8 firings.",
        )
    )


@pytest.fixture(scope="session")
def firing_plan(plan: Plan) -> Plan:
    """Seal or none, firing by firing within two kilns; sealed."""
    return seal_plan(
        replace(
            plan,
            title="Does sealing the can matter?",
            pieces=3,
            factors=(
                PlannedFactor(
                    name="seal", values=("no", "yes"), assigned_to=Unit.FIRING, blocks=("kiln",)
                ),
            ),
            hypotheses=(
                Hypothesis(
                    name="sealed",
                    outcome="luster",
                    factor="seal",
                    from_value="no",
                    to_value="yes",
                ),
            ),
            blocks=(("kiln", ("A", "B")),),
        )
    )


@pytest.fixture(scope="session")
def log_of(codebook: Codebook) -> LogOf:
    """A function: plan -> the log of its drawn list, grades by a small truth of its own."""

    def make(
        plan: Plan, *, gain: float = 2.0, seed: int = 7, drop: tuple[str, ...] = (), **columns
    ) -> FiringLog:
        rng = np.random.default_rng(seed)
        drawn = draw_assignment(plan)
        firings, pieces = row_names(drawn)
        factor = plan.factors[0].name
        hot = (drawn[factor] != plan.factors[0].values[0]).to_numpy(float)
        luck = 0.8 * rng.standard_normal(plan.firings)[drawn["firing"] - 1]
        latent = gain * hot + luck + rng.logistic(size=len(drawn))
        frame = pd.DataFrame(
            {
                "firing_id": pd.Series(firings, dtype=object),
                "fired_on": pd.Timestamp(plan.declared_on) + pd.Timedelta(days=3),
                "piece_id": pd.Series(pieces, dtype=object),
                **{name: drawn[name] for name in drawn.columns if name not in ("firing", PIECE)},
                "luster": np.searchsorted([-1.0, 0.2, 1.4, 2.8], latent).astype(float),
            }
        ).assign(**columns)
        return build_log(frame.drop(columns=list(drop)), codebook)

    return make


FIRINGS, PIECES = 14, 6


def tangled_frame(seed: int = 3) -> pd.DataFrame:
    """Fourteen firings in which who hurried also used more paper; the can was always 40 L."""
    habits = Habits(
        choices=(
            Choice(name="glaze", levels=("Hob Lane", "Sallow Pit"), shares=(0.5, 0.5)),
            Choice(name="quench", levels=("none", "dunk"), shares=(0.7, 0.3)),
        ),
        amounts=(
            Amount(name="pull_temp_c", centre=975, spread=22, low=900, high=1050, grid=5,
                   between=1.0),
            Amount(name="seconds_to_can", centre=11, spread=3, low=3, high=30, grid=1),
            Amount(name="combustible_g", centre=80, spread=20, low=20, high=160, grid=5),
        ),
        together=(Together(first="seconds_to_can", second="combustible_g", correlation=-0.97),),
        days=50,
    )  # fmt: skip
    truth = Truth(
        outcomes=(
            OutcomeTruth(
                name="luster",
                thresholds=(-1.6, -0.4, 0.7, 2.0),
                aim=3,
                effects=(
                    FactorEffect(
                        factor="seconds_to_can", shape=Straight(per_step=-0.06, centre=11.0)
                    ),
                ),
                firing_sd=0.7,
            ),
        )
    )
    frame = simulate_log(
        truth, habits, firings=FIRINGS, pieces=PIECES, rng=np.random.default_rng(seed)
    )
    return frame.assign(can_volume_l=40.0)


@pytest.fixture(scope="session")
def tangled_study(codebook: Codebook) -> Study:
    """The study of that log."""
    log = build_log(tangled_frame(), codebook)
    options = StudyOptions(resamples=200)
    return analyse(log, options=options, workers=1, progress=lambda _: None)


@pytest.fixture(scope="session")
def known(tangled_study: Study) -> tuple[Known, ...]:
    """Its one outcome, as a plan starts from it."""
    part = tangled_study.outcomes[0]
    assert part.design is not None
    assert part.fit is not None
    return (
        Known(
            outcome=part.outcome,
            design=part.design,
            fit=part.fit,
            effects=part.effects,
            tangles=part.tangles,
        ),
    )
