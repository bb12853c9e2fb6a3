"""The answer to each hypothesis, judged beside the others.

Three claims can be false, and each kind is kept to the level over all hypotheses by Holm's
procedure (Holm 1979, Scandinavian Journal of Statistics 6, 65-70): that a declared claim holds,
that its opposite does, and that a difference that was looked for is smaller than its margin.
"""

from collections.abc import Sequence

from outcomes.effects.multiplicity import adjust_p_values
from outcomes.planning.plan import Claim, Direction
from outcomes.planning.trial import Answer, Answered, Examined


def answer_all(tested: Sequence[Examined], *, level: float) -> tuple[Answered, ...]:
    """Return every hypothesis with its answer, in the order given."""
    claims = [claim_p(one) for one in tested]
    adjusted = adjust_p_values(claims, "Holm").tolist()
    against = _holm([opposite_p(one) for one in tested])
    within = _holm([sought_p(one) for one in tested])
    return tuple(
        _answer(one, alone, claim, (opposite, small), level=level)
        for one, alone, claim, opposite, small in zip(
            tested, claims, adjusted, against, within, strict=True
        )
    )


def claim_p(tested: Examined) -> float:
    """Return the p value of the declared claim; 1 where nothing can be computed."""
    if tested.hypothesis.claim is Claim.EQUIVALENCE:
        return 1.0 if tested.equivalence is None else tested.equivalence.p_inside
    return {
        Direction.EITHER: tested.permutation.p_either,
        Direction.MORE: tested.permutation.p_more,
        Direction.FEWER: tested.permutation.p_fewer,
    }[tested.hypothesis.direction]


def opposite_p(tested: Examined) -> float | None:
    """Return the p value of the opposite of the claim; None where it has none."""
    if tested.hypothesis.claim is Claim.EQUIVALENCE:
        return None if tested.equivalence is None else tested.equivalence.p_outside
    return {
        Direction.EITHER: None,
        Direction.MORE: tested.permutation.p_fewer,
        Direction.FEWER: tested.permutation.p_more,
    }[tested.hypothesis.direction]


def sought_p(tested: Examined) -> float | None:
    """Return the p value of "smaller than the margin" where a difference was claimed."""
    if tested.hypothesis.claim is Claim.EQUIVALENCE or tested.equivalence is None:
        return None
    return tested.equivalence.p_inside


def _holm(p_values: Sequence[float | None]) -> list[float | None]:
    """Return Holm's adjusted p values of those there are."""
    known = [p for p in p_values if p is not None]
    adjusted = iter(adjust_p_values(known, "Holm").tolist())
    return [None if p is None else next(adjusted) for p in p_values]


def _answer(
    tested: Examined,
    alone: float,
    claim: float,
    others: tuple[float | None, float | None],
    *,
    level: float,
) -> Answered:
    """Return the first answer that holds: the claim, its opposite, smaller than the margin."""
    against, within = others
    is_equivalence = tested.hypothesis.claim is Claim.EQUIVALENCE
    if claim <= level:
        answer = Answer.EQUIVALENT if is_equivalence else Answer.SUPPORTED
    elif against is not None and against <= level:
        answer = Answer.OPPOSED
    elif within is not None and within <= level:
        answer = Answer.EQUIVALENT
    else:
        answer = Answer.UNDECIDED
    return Answered(
        tested=tested,
        answer=answer,
        p_value=alone,
        p_adjusted=claim,
        p_against=against,
        p_equivalent=claim if is_equivalence else within,
    )
