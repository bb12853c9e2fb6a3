"""Whether a plan speaks the codebook's language: its columns, levels and possible values."""

import math
from collections.abc import Iterator

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Factor, Kind
from outcomes.log.codebook_problems import join_words, suggest
from outcomes.log.expectations import unit_sign
from outcomes.planning.plan import Plan, Value, show_value, show_values
from outcomes.planning.plan_lines import Place
from outcomes.planning.plan_problems import PlanProblem


def check_codebook(plan: Plan, codebook: Codebook) -> tuple[PlanProblem, ...]:
    """Return what a plan asks for and the codebook does not know or allow."""
    return tuple(
        [
            *_check_factors(plan, codebook),
            *_check_outcomes(plan, codebook),
            *_check_adjusted(plan, codebook),
            *_check_blocks(plan, codebook),
        ]
    )


def check_unusual_values(plan: Plan, codebook: Codebook) -> tuple[Finding, ...]:
    """Say which planned values lie outside what is usual; they are possible, so they stay."""
    found = []
    for planned in plan.factors:
        factor = codebook.factor(planned.name)
        usual = factor.feasible or factor.plausible
        outside = [
            value
            for value in planned.values
            if usual is not None and not isinstance(value, str) and value not in usual
        ]
        if usual is not None and outside:
            sign = unit_sign(factor.unit)
            found.append(
                Finding(
                    code="unusual_plan_value",
                    severity=Severity.WARNING,
                    message=f"{factor.label}: {show_values(outside)} {sign} lies outside what is "
                    f"usual, {usual.low:g} to {usual.high:g} {sign}.",
                    advice="Plan it only if your kiln, your can and your hands are made for it.",
                    column=factor.name,
                )
            )
    return tuple(found)


def parse_value(text: str, factor: Factor) -> Value:
    """Return a value typed on a command line: a number for a number, else the level's name.

    Text that is no finite number stays text; `check_codebook` then says what was expected.
    """
    if factor.kind is not Kind.NUMBER:
        return text
    try:
        number = float(text)
    except ValueError:
        return text
    return number if math.isfinite(number) else text


def _check_factors(plan: Plan, codebook: Codebook) -> Iterator[PlanProblem]:
    known = {factor.name: factor for factor in codebook.factors}
    for at, planned in enumerate(plan.factors):
        if planned.name not in known:
            yield _unknown(("factors", at, "name"), planned.name, list(known), "factor")
            continue
        for value in planned.values:
            yield from _check_value(("factors", at, "values"), value, known[planned.name])


def _check_value(place: Place, value: Value, factor: Factor) -> Iterator[PlanProblem]:
    expected = ""
    if factor.kind is Kind.NUMBER:
        possible = factor.possible
        if isinstance(value, str):
            expected = "a number without quotes"
        elif not math.isfinite(value):
            expected = "a finite number"
        elif possible is not None and value not in possible:
            sign = f" {unit_sign(factor.unit)}".rstrip()
            expected = f"a value that is possible, {possible.low:g} to {possible.high:g}{sign}"
    elif not isinstance(value, str):
        expected = "a name in quotes"
    elif factor.kind is Kind.LEVELS and value not in factor.levels:
        expected = f"one of {join_words(factor.levels)}"
    if expected:
        yield PlanProblem(
            place=place,
            found=repr(value) if isinstance(value, str) else show_value(value),
            expected=f"{expected}, for {factor.name}",
            remedy="Correct the value, or the codebook.",
        )


def _check_outcomes(plan: Plan, codebook: Codebook) -> Iterator[PlanProblem]:
    known = [outcome.name for outcome in codebook.outcomes]
    for at, hypothesis in enumerate(plan.hypotheses):
        if hypothesis.outcome not in known:
            yield _unknown(("hypotheses", at, "outcome"), hypothesis.outcome, known, "outcome")


def _check_adjusted(plan: Plan, codebook: Codebook) -> Iterator[PlanProblem]:
    known = [factor.name for factor in codebook.factors]
    for at, name in enumerate(plan.adjust_for):
        if name not in known:
            yield _unknown(("adjust_for", at), name, known, "factor")


def _check_blocks(plan: Plan, codebook: Codebook) -> Iterator[PlanProblem]:
    """Blocks may be columns of the studio's own; one of the codebook must hold names."""
    known = {factor.name: factor for factor in codebook.factors}
    taken = {*(outcome.name for outcome in codebook.outcomes), *codebook.special_columns()}
    for column, values in plan.blocks:
        if column in taken:
            yield PlanProblem(
                place=("blocks", column),
                found=f"{column!r}, which the codebook uses for something else",
                expected="a factor that holds names, or a column of its own such as block",
                remedy="Choose another column.",
            )
        elif column in known and known[column].kind is Kind.NUMBER:
            yield PlanProblem(
                place=("blocks", column),
                found=f"{column!r}, which holds numbers",
                expected="a factor that holds names, or a column of its own such as block",
                remedy="Choose another column.",
            )
        elif column in known:
            for value in values:
                yield from _check_value(("blocks", column), value, known[column])


def _unknown(place: Place, name: str, known: list[str], what: str) -> PlanProblem:
    return PlanProblem(
        place=place,
        found=f"{name!r}, which the codebook does not have",
        expected=f"one of its {what}s: {', '.join(known)}",
        remedy=f"{suggest(name, known)}Correct it, or name your codebook with --codebook.",
    )
