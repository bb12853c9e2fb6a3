"""What the parts of a plan must have to do with one another, whatever the codebook."""

from collections import Counter
from collections.abc import Iterator

from outcomes.log.codebook_problems import join_words, suggest
from outcomes.planning.plan import Claim, Direction, Hypothesis, Plan, Unit, show_value, show_values
from outcomes.planning.plan_problems import PlanProblem


def check_rules(plan: Plan) -> tuple[PlanProblem, ...]:
    """Return everything that does not fit together within a plan."""
    return (
        *_check_whole(plan),
        *_check_factors(plan),
        *(
            problem
            for at, hypothesis in enumerate(plan.hypotheses)
            for problem in _check_hypothesis(plan, at, hypothesis)
        ),
        *_check_repeats(plan),
    )


def _check_whole(plan: Plan) -> Iterator[PlanProblem]:
    for column, values in plan.blocks:
        if len(set(values)) < len(values):
            yield PlanProblem(
                place=("blocks", column),
                found=join_words(values, last="and"),
                expected="every block once",
                remedy="Remove the repeated one.",
            )
        if column not in {name for factor in plan.factors for name in factor.blocks}:
            yield PlanProblem(
                place=("blocks", column),
                found="a block column no factor uses",
                expected=f'blocks = ["{column}"] in one of [[factors]]',
                remedy="Name it there, or remove it here.",
            )
    for name in sorted({factor.name for factor in plan.factors} & set(plan.adjust_for)):
        yield PlanProblem(
            place=("adjust_for",),
            found=f"{name!r}, a factor the plan assigns",
            expected="factors known before the assignment, such as the glaze",
            remedy="Remove it.",
        )


def _check_factors(plan: Plan) -> Iterator[PlanProblem]:
    for at, factor in enumerate(plan.factors):
        if len(set(factor.values)) < len(factor.values):
            yield PlanProblem(
                place=("factors", at, "values"),
                found=show_values(factor.values),
                expected="every value once",
                remedy="Remove the repeated one.",
            )
        for column in factor.blocks:
            if column not in dict(plan.blocks):
                yield PlanProblem(
                    place=("factors", at, "blocks"),
                    found=f"{column!r}, which is not described",
                    expected=f'its values under [blocks], such as {column} = ["1", "2"]',
                    remedy=f"{suggest(column, dict(plan.blocks))}Add it under [blocks].",
                )
        if factor.assigned_to is Unit.FIRING:
            yield from _check_enough_firings(plan, at)


def _check_enough_firings(plan: Plan, at: int) -> Iterator[PlanProblem]:
    """Whole firings need two in every block, or nothing can be shuffled."""
    known = dict(plan.blocks)
    groups = 1
    for column in plan.factors[at].blocks:
        groups *= len(known.get(column, ("",)))
    if groups > 1 and plan.firings < 2 * groups:
        yield PlanProblem(
            place=("firings",),
            found=f"{plan.firings} firings for {groups} blocks",
            expected=f"at least {2 * groups}, two in every block",
            remedy="Plan more firings, or fewer blocks.",
        )


def _check_hypothesis(plan: Plan, at: int, hypothesis: Hypothesis) -> Iterator[PlanProblem]:
    known = [factor.name for factor in plan.factors]
    if hypothesis.factor not in known:
        yield PlanProblem(
            place=("hypotheses", at, "factor"),
            found=repr(hypothesis.factor),
            expected=f"one of the factors of this plan, {join_words(known)}",
            remedy=f"{suggest(hypothesis.factor, known)}Correct it, or add a table [[factors]].",
        )
    else:
        yield from _check_values(plan, at, hypothesis)
    if hypothesis.claim is Claim.EQUIVALENCE:
        yield from _check_equivalence(at, hypothesis)


def _check_values(plan: Plan, at: int, hypothesis: Hypothesis) -> Iterator[PlanProblem]:
    values = plan.factor(hypothesis.factor).values
    for key, value in (("from", hypothesis.from_value), ("to", hypothesis.to_value)):
        if value not in values:
            yield PlanProblem(
                place=("hypotheses", at, key),
                found=show_value(value),
                expected=f"one of the values of {hypothesis.factor}: {show_values(values)}",
                remedy="Correct it, or add it to the values of that factor.",
            )
    if hypothesis.from_value == hypothesis.to_value:
        yield PlanProblem(
            place=("hypotheses", at, "to"),
            found=f"{show_value(hypothesis.to_value)}, the same as from",
            expected="two different values",
            remedy="Give two values to compare.",
        )


def _check_equivalence(at: int, hypothesis: Hypothesis) -> Iterator[PlanProblem]:
    if hypothesis.margin is None and hypothesis.margin_grade is None:
        yield PlanProblem(
            place=("hypotheses", at, "claim"),
            found='"equivalence" without a margin',
            expected="a margin: two values are never exactly equal",
            remedy="Add margin = 10 (pieces per 100), or margin_grade = 0.3.",
        )
    if hypothesis.direction is not Direction.EITHER:
        yield PlanProblem(
            place=("hypotheses", at, "direction"),
            found=f'"{hypothesis.direction}" for an equivalence',
            expected='"either"',
            remedy="Remove the direction, or claim a difference.",
        )


def _check_repeats(plan: Plan) -> Iterator[PlanProblem]:
    """Two factors or two hypotheses of one name could not be told apart."""
    for table, names in (
        ("factors", [factor.name for factor in plan.factors]),
        ("hypotheses", [hypothesis.name for hypothesis in plan.hypotheses]),
    ):
        for name, count in Counter(names).items():
            if count > 1:
                last = len(names) - 1 - names[::-1].index(name)
                yield PlanProblem(
                    place=(table, last, "name"),
                    found=f"{name!r} a second time",
                    expected="a name of its own",
                    remedy="Rename or remove it.",
                )
