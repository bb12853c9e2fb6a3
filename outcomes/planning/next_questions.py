"""What is still open, and which settings a round of firings should vary.

Open are the settings the log cannot tell about yet, those it leans on, those with too few
comparable pieces, those tangled with another, and those that never varied. A round varies few
settings: a maker who changes ten things on every piece changes some of them wrongly. So tangles
come first, then what never varied, then what the log leans on (somebody will act on it), then
the questions nearest to an answer (fewest further firings); the rest waits for the next round.

Where nothing is open, the largest changes are asked again: a log shows what went together, and
a firing in which the setting was drawn by lot is the one that can confirm it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from outcomes.design.design import Excluded
from outcomes.effects.effect import Contrast, Effect, Tangle, Word
from outcomes.log.codebook import Codebook, Role
from outcomes.planning.next_choices import Choice, find_setting
from outcomes.planning.next_known import Known
from outcomes.planning.next_request import PlanRequest

UNTOLD = 501  # sorts behind the 500 firings a verdict counts to
MOST_CONFIRMED = 3


class Open(StrEnum):
    """Why a question is open."""

    TANGLED = "tangled"
    NEW = "never varied"
    UNDECIDED = "undecided"
    CONFIRM = "to confirm"


_ORDER = (Open.TANGLED, Open.NEW, Open.UNDECIDED, Open.CONFIRM)
_OPEN_WORDS = {
    Word.CANNOT_TELL: Open.UNDECIDED,
    Word.LEANS: Open.UNDECIDED,
    Word.THIN: Open.UNDECIDED,
    Word.TANGLED: Open.TANGLED,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One setting on one outcome that is open.

    ``contrast`` is the comparison whose interval is to shrink; ``effect`` what the log says of
    it, None where it says nothing; ``with_factors`` what it is tangled with.
    """

    outcome: str
    factor: str
    open: Open
    contrast: Contrast
    effect: Effect | None = None
    with_factors: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplanned:
    """A setting that is open and that this plan leaves so, with the code of the reason.

    ``code``: "one_value" (never varied, no other value allowed), "kept", "later", "not_in_model".
    """

    factor: str
    code: str
    outcomes: tuple[str, ...]


def find_questions(
    known: Sequence[Known], choices: Mapping[str, Choice], codebook: Codebook
) -> tuple[Question, ...]:
    """Return every open question, settings only, in the order of the outcomes."""
    found: list[Question] = []
    for one in known:
        found += _from_effects(one, codebook)
        found += _from_tangles(one, choices, {q.factor for q in found if _is_of(q, one)})
        found += _from_excluded(one, choices, codebook)
    return tuple(found)


def find_confirmations(known: Sequence[Known]) -> tuple[Question, ...]:
    """Return the largest changes of the log, to be asked again by lot; at most three."""
    sure = [
        _question(effect, Open.CONFIRM)
        for one in known
        for effect in one.effects
        if effect.verdict is not None and effect.verdict.word is Word.CHANGES
    ]
    largest = sorted(sure, key=lambda q: -abs(q.effect.change if q.effect else 0.0))
    return tuple(largest[:MOST_CONFIRMED])


def choose_settings(
    questions: Sequence[Question],
    choices: Mapping[str, Choice],
    codebook: Codebook,
    request: PlanRequest,
) -> tuple[str, ...]:
    """Return the settings to vary, most urgent first; () when none can be."""
    asked = tuple(find_setting(name, codebook, "--factors").name for name in request.factors)
    can = [q for q in questions if q.factor in choices and len(choices[q.factor].values) > 1]
    if asked:
        return tuple(name for name in asked if name in choices and len(choices[name].values) > 1)
    ranked = sorted(can, key=lambda q: (_ORDER.index(q.open), not _leans(q), _further(q)))
    wanted: list[str] = []
    for question in ranked:
        twins = question.with_factors if question.open is Open.TANGLED else ()
        wanted += [question.factor, *(n for n in twins if n in choices and n != codebook.glaze)]
    varied = [name for name in dict.fromkeys(wanted) if len(choices[name].values) > 1]
    return tuple(varied[: request.most_settings])


def find_unplanned(
    questions: Sequence[Question],
    planned: Sequence[str],
    choices: Mapping[str, Choice],
    known: Sequence[Known],
) -> tuple[Unplanned, ...]:
    """Return the open settings this plan leaves open, each with its reason."""
    left: dict[str, list[str]] = {}
    for question in questions:
        if question.factor not in planned:
            left.setdefault(question.factor, []).append(question.outcome)
    reasons = [
        Unplanned(factor=name, code=_why_left(choices.get(name)), outcomes=tuple(outcomes))
        for name, outcomes in left.items()
    ]
    return (*reasons, *_outside_models(known, {*left, *planned}))


def _why_left(choice: Choice | None) -> str:
    if choice is None:
        return "not_in_model"
    if choice.kept:
        return "kept"
    return "later" if len(choice.values) > 1 else "one_value"


def _outside_models(known: Sequence[Known], said: set[str]) -> tuple[Unplanned, ...]:
    """Return settings that are written down but too rarely, or too many, to be modelled."""
    left: dict[str, list[str]] = {}
    for one in known:
        for out in one.design.excluded:
            is_setting = out.role is Role.SETTING and out.factor not in said
            if is_setting and out.code in ("mostly_blank", "too_many_columns"):
                left.setdefault(out.factor, []).append(one.outcome.name)
    return tuple(
        Unplanned(factor=name, code="not_in_model", outcomes=tuple(outcomes))
        for name, outcomes in left.items()
    )


def _from_effects(one: Known, codebook: Codebook) -> list[Question]:
    return [
        _question(effect, _OPEN_WORDS[effect.verdict.word])
        for effect in one.effects
        if effect.verdict is not None
        and effect.verdict.word in _OPEN_WORDS
        and effect.contrast.factor != codebook.glaze
    ]


def _question(effect: Effect, why: Open) -> Question:
    verdict = effect.verdict
    return Question(
        outcome=effect.outcome,
        factor=effect.contrast.factor,
        open=why,
        contrast=effect.contrast,
        effect=effect,
        with_factors=verdict.tangled_with if verdict is not None else (),
    )


def _from_tangles(one: Known, choices: Mapping[str, Choice], said: set[str]) -> list[Question]:
    """Return the settings that another repeats so exactly that the model holds only the other."""
    return [
        _without_effect(one, tangle.factor, Open.TANGLED, choices, tangle)
        for tangle in one.tangles
        if tangle.factor not in said and tangle.factor in choices
    ]


def _from_excluded(one: Known, choices: Mapping[str, Choice], codebook: Codebook) -> list[Question]:
    return [
        _without_effect(one, out.factor, Open.NEW, choices)
        for out in one.design.excluded
        if out.code == "never_varied" and _is_choice(out, choices, codebook)
    ]


def _is_choice(out: Excluded, choices: Mapping[str, Choice], codebook: Codebook) -> bool:
    return out.role is Role.SETTING and out.factor in choices and out.factor != codebook.glaze


def _without_effect(
    one: Known,
    factor: str,
    why: Open,
    choices: Mapping[str, Choice],
    tangle: Tangle | None = None,
) -> Question:
    """Return a question the log gives no estimate for: from one end of what may be chosen."""
    choice = choices[factor]
    others = [value for value in choice.values if value != choice.usual] or [choice.usual]
    is_name = isinstance(choice.usual, str)
    contrast = Contrast(
        factor=factor,
        role=Role.SETTING,
        from_value=choice.usual if is_name else choice.values[0],
        to_value=others[0] if is_name else choice.values[-1],
        unit="",
        chosen="the ends of what may be chosen",
    )
    return Question(
        outcome=one.outcome.name,
        factor=factor,
        open=why,
        contrast=contrast,
        with_factors=tangle.with_factors if tangle is not None else (),
    )


def _is_of(question: Question, one: Known) -> bool:
    return question.outcome == one.outcome.name


def _further(question: Question) -> int:
    verdict = question.effect.verdict if question.effect is not None else None
    return verdict.further_firings or UNTOLD if verdict is not None else UNTOLD


def _leans(question: Question) -> bool:
    verdict = question.effect.verdict if question.effect is not None else None
    return verdict is not None and verdict.word is Word.LEANS
