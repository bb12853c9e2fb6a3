"""What a design can show at all, told before anybody looks."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.planning.assignment import FIRING, draw_assignment
from outcomes.planning.plan import Claim, Direction, Hypothesis, Plan, Unit
from outcomes.planning.strata import number_strata
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.resampling.permutation import DRAWN, EXACT_UP_TO, count_arrangements, smallest_p


@dataclass(frozen=True, slots=True, kw_only=True)
class Attainable:
    """What one hypothesis can reach if everything goes as planned.

    Parameters
    ----------
    hypothesis
        Which one.
    units_from, units_to
        Pieces, or firings, that will hold either value.
    arrangements
        Equally likely assignments of the two values to these.
    smallest
        The smallest p value any result could give; for an equivalence 0 where there are firings
        enough for an interval, else 1.
    needed
        Every hypothesis needs the level; the smallest of several (Holm) its share of it.
    """

    hypothesis: Hypothesis
    units_from: int
    units_to: int
    arrangements: int
    smallest: float
    level: float
    needed: float

    @property
    def is_out_of_reach(self) -> bool:
        """Return whether no result at all could support the hypothesis."""
        return self.smallest > self.level

    @property
    def is_out_of_reach_alone(self) -> bool:
        """Return whether it can only be supported after others have been."""
        return self.smallest > self.needed


def find_attainable(plan: Plan) -> tuple[Attainable, ...]:
    """Return what every hypothesis can reach with the list the plan draws."""
    assignment = draw_assignment(plan)
    return tuple(_reach(plan, hypothesis, assignment) for hypothesis in plan.hypotheses)


def _reach(plan: Plan, hypothesis: Hypothesis, assignment: pd.DataFrame) -> Attainable:
    factor = plan.factor(hypothesis.factor)
    of_firings = factor.assigned_to is Unit.FIRING
    units = assignment.drop_duplicates(FIRING) if of_firings else assignment
    units = units[units[factor.name].isin([hypothesis.from_value, hypothesis.to_value])]
    arms = (units[factor.name] == hypothesis.to_value).to_numpy()
    by = [*factor.blocks] if of_firings else [FIRING, *factor.blocks]
    stratum = number_strata([units[name].to_numpy() for name in by], length=len(units))
    return Attainable(
        hypothesis=hypothesis,
        units_from=int((~arms).sum()),
        units_to=int(arms.sum()),
        arrangements=count_arrangements(arms, stratum),
        smallest=_smallest(plan, hypothesis, arms, stratum),
        level=plan.level,
        needed=plan.level / len(plan.hypotheses),
    )


def _smallest(plan: Plan, hypothesis: Hypothesis, arms: np.ndarray, stratum: np.ndarray) -> float:
    if hypothesis.claim is Claim.EQUIVALENCE:
        return 0.0 if plan.firings >= FEWEST_FIRINGS else 1.0
    if count_arrangements(arms, stratum) > EXACT_UP_TO:
        return 1.0 / (DRAWN + 1.0)
    return smallest_p(arms, stratum, two_sided=hypothesis.direction is Direction.EITHER)
