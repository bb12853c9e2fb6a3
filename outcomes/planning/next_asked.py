"""What the maker asks for by name, and the refusals when that cannot be planned."""

from collections.abc import Mapping, Sequence

from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook
from outcomes.planning.next_choices import Choice, find_setting
from outcomes.planning.next_known import Known
from outcomes.planning.next_questions import Open, Question
from outcomes.planning.next_request import PlanRequest


def asked_outcomes(known: Sequence[Known], request: PlanRequest) -> tuple[Known, ...]:
    """Return the outcomes whose questions count."""
    if not request.outcomes:
        return tuple(known)
    by_name = {one.outcome.name: one for one in known}
    for name in request.outcomes:
        if name not in by_name:
            raise RequestError(
                f"--outcome: {name!r} is no outcome this log teaches anything about; it has "
                f"{', '.join(by_name)}. Write one of these."
            )
    return tuple(by_name[name] for name in request.outcomes)


def asked_again(
    known: Sequence[Known],
    questions: Sequence[Question],
    request: PlanRequest,
    codebook: Codebook,
) -> tuple[Question, ...]:
    """Return questions about settings the maker names although the log has answered them."""
    have = {(q.outcome, q.factor) for q in questions}
    names = [find_setting(name, codebook, "--factors").name for name in request.factors]
    made = []
    for one in known:
        for name in names:
            effect = one.effect(name)
            if effect is not None and (one.outcome.name, name) not in have:
                made.append(
                    Question(
                        outcome=one.outcome.name,
                        factor=name,
                        open=Open.CONFIRM,
                        contrast=effect.contrast,
                        effect=effect,
                    )
                )
    return tuple(made)


def check_names(
    names: Sequence[str],
    questions: Sequence[Question],
    choices: Mapping[str, Choice],
    request: PlanRequest,
    codebook: Codebook,
) -> None:
    """Refuse a plan in which nothing can vary, naming what stands in the way."""
    asked = [find_setting(name, codebook, "--factors") for name in request.factors]
    for factor in asked:
        if factor.name == codebook.glaze:
            raise RequestError(
                f"--factors: {factor.label} is in every plan already. Say which ones with --only "
                f"{factor.name}=..., and name other settings here."
            )
        if factor.name not in choices:
            raise RequestError(
                f"--factors: {factor.label} ({factor.name}) is not written in this log, so there "
                f"is nothing to compare with. Record it from now on, and plan it later."
            )
        if factor.name not in names:
            usual = choices[factor.name].usual
            value = usual if isinstance(usual, str) else f"{usual:g}"
            raise RequestError(
                f"--factors: {factor.label} ({factor.name}) may only be {value}. Allow other "
                f"values with --allow, or do not keep it there."
            )
    if not names or not {q.factor for q in questions} & set(names):
        raise RequestError(
            "Nothing that may vary is open: every open setting is kept at one value or was only "
            "ever logged at one. Allow other values with --allow, or keep fewer settings."
        )
