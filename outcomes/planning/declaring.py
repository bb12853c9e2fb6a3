"""From a few words to a whole plan; from a draft to a sealed plan."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from outcomes.errors import PlanError
from outcomes.log.codebook import Codebook
from outcomes.planning.plan import (
    Claim,
    Direction,
    Hypothesis,
    Plan,
    PlannedFactor,
    SealState,
    Unit,
    Value,
    show_value,
)
from outcomes.planning.plan_codebook import check_codebook, parse_value
from outcomes.planning.plan_draft import check_draft
from outcomes.planning.plan_file import NOWHERE, Where
from outcomes.planning.plan_problems import describe_plan_problems
from outcomes.planning.plan_rules import check_rules
from outcomes.planning.seal import check_seal, seal_plan

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Declaration:
    """A plan for one factor, in the words of a command line.

    Parameters
    ----------
    outcomes, factor
        Canonical names.
    differences, equivalences
        (from, to) pairs as typed.
    values
        Every value that will be fired, as typed; () for those compared.
    direction, margin, margin_grade
        Of the hypotheses; an equivalence has no direction.
    assigned_to, blocks, adjust_for, randomised
        As in `Plan`; ``blocks`` are ((column, values), ...).
    firings, pieces, level, seed, declared_on, counts_from
        As in `Plan`; ``counts_from`` None for ``declared_on``.
    title, stopping
        "" for a plain one.
    """

    outcomes: tuple[str, ...]
    factor: str
    differences: Pairs
    equivalences: Pairs = ()
    values: tuple[str, ...] = ()
    direction: Direction = Direction.EITHER
    margin: float | None = None
    margin_grade: float | None = None
    assigned_to: Unit = Unit.PIECE
    blocks: tuple[tuple[str, tuple[str, ...]], ...] = ()
    adjust_for: tuple[str, ...] = ()
    randomised: bool = True
    firings: int
    pieces: int
    level: float = 0.05
    seed: int = 1
    declared_on: date
    counts_from: date | None = None
    title: str = ""
    stopping: str = ""


def build_plan(asked: Declaration, codebook: Codebook) -> Plan:
    """Return the unsealed plan of a declaration.

    Raises
    ------
    PlanError
        When something does not fit together or the codebook does not know it.
    """
    stop = f"After {asked.firings} {codebook.cluster_word}s, whatever they show."
    plan = Plan(
        title=asked.title or _plain_title(asked, codebook),
        declared_on=asked.declared_on,
        counts_from=asked.counts_from or asked.declared_on,
        level=asked.level,
        firings=asked.firings,
        pieces=asked.pieces,
        factors=(
            PlannedFactor(
                name=asked.factor,
                values=_all_values(asked, codebook),
                assigned_to=asked.assigned_to,
                blocks=tuple(column for column, _ in asked.blocks),
            ),
        ),
        hypotheses=tuple(
            _hypothesis(asked, outcome, pair, claim, codebook)
            for outcome in asked.outcomes
            for claim, pairs in (
                (Claim.DIFFERENCE, asked.differences),
                (Claim.EQUIVALENCE, asked.equivalences),
            )
            for pair in pairs
        ),
        blocks=asked.blocks,
        adjust_for=asked.adjust_for,
        randomised=asked.randomised,
        stopping=asked.stopping or stop,
        seed=asked.seed,
    )
    check_declared(plan, codebook)
    return plan


def check_declared(plan: Plan, codebook: Codebook, *, where: Where = NOWHERE) -> None:
    """Refuse a plan that is not to be sealed: as `check_plan`, and what was mistyped or doubled.

    Raises
    ------
    PlanError
        Every problem with its line.
    """
    check_plan(plan, codebook, where=where)
    problems = check_draft(plan)
    if problems:
        raise PlanError(describe_plan_problems(problems, file=where.file, lines=where.lines))


def check_plan(plan: Plan, codebook: Codebook, *, where: Where = NOWHERE) -> None:
    """Refuse a plan that does not fit together or does not speak the codebook's language.

    Raises
    ------
    PlanError
        Every problem with its line.
    """
    problems = (*check_rules(plan), *check_codebook(plan, codebook))
    if problems:
        raise PlanError(describe_plan_problems(problems, file=where.file, lines=where.lines))


def seal_draft(draft: Plan, *, today: date, file: str) -> Plan:
    """Return a draft declared and sealed on a day.

    Raises
    ------
    PlanError
        If it carries a seal already, whole or broken.
    """
    state = check_seal(draft)
    if state is SealState.WHOLE:
        raise PlanError(
            f"{file}: this plan is sealed already, on {draft.declared_on.isoformat()}. Use it as "
            "it is; a run sheet is drawn from it with --sheet FOLDER."
        )
    if state is SealState.BROKEN:
        raise PlanError(
            f"{file}: the plan was changed after it was sealed. Expected a plan without a seal, or "
            "with a whole one. Undo the change; or, to declare another plan, remove the table "
            "[seal] and say wherever you tell the answer that there was an earlier plan."
        )
    moved = draft.counts_from == draft.declared_on
    counts = today if moved else draft.counts_from
    return seal_plan(replace(draft, declared_on=today, counts_from=counts))


def _plain_title(asked: Declaration, codebook: Codebook) -> str:
    labels = {each.name: each.label for each in codebook.outcomes}
    factors = {each.name: each.label for each in codebook.factors}
    named = " and ".join(labels.get(name, name).lower() for name in asked.outcomes)
    return f"{factors.get(asked.factor, asked.factor)}: does it change {named}?"


def _all_values(asked: Declaration, codebook: Codebook) -> tuple[Value, ...]:
    """Return the values to fire: those named, or those compared; numbers ascending."""
    pairs = (*asked.differences, *asked.equivalences)
    texts: Sequence[str] = asked.values or [text for pair in pairs for text in pair]
    values = list(dict.fromkeys(_parse(text, asked.factor, codebook) for text in texts))
    if asked.values or any(isinstance(value, str) for value in values):
        return tuple(values)
    return tuple(sorted(values, key=float))


def _parse(text: str, name: str, codebook: Codebook) -> Value:
    """Return a typed value; that the factor exists is checked afterwards."""
    known = {factor.name: factor for factor in codebook.factors}
    return parse_value(text, known[name]) if name in known else text


def _hypothesis(
    asked: Declaration, outcome: str, pair: tuple[str, str], claim: Claim, codebook: Codebook
) -> Hypothesis:
    first, second = (_parse(text, asked.factor, codebook) for text in pair)
    between = "to" if claim is Claim.DIFFERENCE else "like"
    name = f"{show_value(first)} {between} {show_value(second)}"
    return Hypothesis(
        name=f"{outcome}, {name}" if len(asked.outcomes) > 1 else name,
        outcome=outcome,
        factor=asked.factor,
        from_value=first,
        to_value=second,
        claim=claim,
        direction=asked.direction if claim is Claim.DIFFERENCE else Direction.EITHER,
        margin=asked.margin,
        margin_grade=asked.margin_grade,
    )
