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
