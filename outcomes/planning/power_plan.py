"""What a plan asks: one question a hypothesis, each with the codebook's meaning of the aim."""

from math import prod

from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook, Outcome
from outcomes.planning.plan import Claim, Hypothesis, Plan, show_value
from outcomes.planning.power_question import Question


def build_questions(
    plan: Plan, codebook: Codebook, *, smallest: float | None = None
) -> tuple[Question, ...]:
    """Return one question a hypothesis.

    Parameters
    ----------
    plan
        As read; `plan_codebook.check_codebook` found nothing.
    codebook
        Names outcomes and factors; its smallest difference stands in for a missing margin.
    smallest
        Instead of the plan's margins, as a probability.

    Notes
    -----
    Several hypotheses share the plan's level by Holm's rule; each is given the strictest step,
    level / number of hypotheses, so its chance is at least the one shown.
    """
    level = plan.level / len(plan.hypotheses)
    return tuple(
        _build_question(plan, each, codebook, level=level, smallest=smallest)
        for each in plan.hypotheses
    )


def check_share_count(outcome: Outcome, shares: tuple[float, ...]) -> None:
    """Refuse stated shares that are not one for each of an outcome's grades.

    Raises
    ------
    RequestError
        Names the grades.
    """
    if len(shares) != len(outcome.levels):
        raise RequestError(
            f"{len(shares)} shares were given, but {outcome.label} has {len(outcome.levels)} "
            f"grades: {', '.join(level.name for level in outcome.levels)}. Give one share each, "
            f"the lowest grade first."
        )


def _build_question(
    plan: Plan,
    hypothesis: Hypothesis,
    codebook: Codebook,
    *,
    level: float,
    smallest: float | None,
) -> Question:
    factor = plan.factor(hypothesis.factor)
    outcome = codebook.outcome(hypothesis.outcome)
    margin = hypothesis.margin
    if margin is None:
        margin = outcome.smallest_difference
    labels = {each.name: each.label for each in codebook.factors}
    return Question(
        name=hypothesis.name,
        claim=hypothesis.claim,
        direction=hypothesis.direction,
        assigned=factor.assigned_to,
        values=len(factor.values),
        blocks=prod(len(plan.block_values(column)) for column in factor.blocks),
        smallest=margin / 100.0 if smallest is None else smallest,
        level=level,
        claims=len(plan.hypotheses),
        borrowed=hypothesis.margin is None and smallest is None,
        tested=hypothesis.claim is Claim.DIFFERENCE,
        compared=(
            outcome.label,
            labels.get(hypothesis.factor, hypothesis.factor),
            show_value(hypothesis.from_value),
            show_value(hypothesis.to_value),
        ),
    )
