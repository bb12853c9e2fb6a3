"""Every reason to doubt one outcome, with its numbers."""

from outcomes.doubts.grade_effects import GradeEffect
from outcomes.finding import Finding
from outcomes.report.document import (
    Block,
    Column,
    Paragraph,
    Section,
    Table,
    Tone,
    fold_table,
    make_key,
)
from outcomes.report.numerals import decimal, probability
from outcomes.report.research_blanks import build_blanks, build_habits, build_imputed
from outcomes.report.research_parallel import build_parallel_table
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_research_doubts(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section: findings, proportional odds, influence, blanks, habits that changed."""
    say = teller.wording.say
    found = [
        *fold_table(_build_findings(part, teller)),
        *fold_table(_build_grades(part, teller)),
        *fold_table(build_parallel_table(part, teller)),
        *fold_table(_build_influence(part, teller)),
        *fold_table(build_imputed(part, teller)),
        *fold_table(build_blanks(part, teller)),
        *fold_table(build_habits(part, teller)),
    ]
    if not found:
        return []
    blocks: tuple[Block, ...] = (
        Paragraph(text=say("research.doubts_lead"), tone=Tone.FINE),
        *found,
    )
    key = make_key(f"doubts-{part.outcome.name}")
    return [Section(key=key, title=say("research.doubts"), blocks=blocks)]


def _build_findings(part: OutcomeStudy, teller: Teller) -> Table:
    say = teller.wording.say
    return Table(
        key=make_key(f"findings-{part.outcome.name}"),
        caption=say(
            "research.findings_table", {"outcome": part.outcome.label, "n": len(part.findings)}
        ),
        columns=(
            Column(heading=say("research.code")),
            Column(heading=say("research.severity")),
            Column(heading=say("research.about")),
            Column(heading=say("research.message")),
        ),
        rows=tuple(_finding_row(finding, teller) for finding in part.findings),
    )


def _finding_row(finding: Finding, teller: Teller) -> tuple[str, str, str, str]:
    about = teller.label(finding.column) if finding.column else "–"
    return (finding.code, str(finding.severity), about, finding.message)


def _build_grades(part: OutcomeStudy, teller: Teller) -> Table:
    """Return each setting at every boundary, and the test that allows for firings."""
    say = teller.wording.say
    numeric = ("tied", "error", "free", "error_free", "f_test", "p_joint", "p_trend")
    return Table(
        key=make_key(f"boundaries-{part.outcome.name}"),
        caption=say("research.grades_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            Column(heading=say("research.boundary")),
            *(Column(heading=say(f"research.{name}"), numeric=True) for name in numeric),
        ),
        rows=tuple(row for one in part.grade_effects for row in _grade_rows(one, teller)),
        note=say("research.grades_note"),
    )


def _grade_rows(one: GradeEffect, teller: Teller) -> list[tuple[str, ...]]:
    outcome = teller.part(one.outcome).outcome
    names = {level.name: teller.grade(outcome, k) for k, level in enumerate(outcome.levels)}
    rows = []
    for place, cut in enumerate(one.cuts):
        tested = _test_cells(one) if place == 0 else ("", "", "")
        boundary = teller.wording.say("research.or_above", {"level": names[cut.level]})
        numbers = (cut.tied, cut.tied_error, cut.free, cut.free_error)
        rows.append(
            (
                teller.label(one.contrast.factor),
                boundary,
                *(decimal(100 * value, places=1) for value in numbers),
                *tested,
            )
        )
    return rows


def _test_cells(one: GradeEffect) -> tuple[str, str, str]:
    if one.f_value is None or one.f_df is None:
        return ("–", "–", probability(one.trend_p))
    test = f"{one.f_value:.2f} ({one.f_df[0]}, {one.f_df[1]})"
    return (test, probability(one.p_value), probability(one.trend_p))


def _build_influence(part: OutcomeStudy, teller: Teller) -> Table:
    """Return each effect without the firing that moves it most."""
    say = teller.wording.say
    names = () if part.design is None else part.design.firing_names
    rows = []
    for one in part.influences:
        moves = [abs(float(move)) for move in one.moves]
        place = max(range(len(moves)), key=moves.__getitem__)
        known = len(names) == len(moves)
        rows.append(
            (
                teller.label(one.factor),
                decimal(100 * one.change, places=1),
                names[place] if known else str(place + 1),
                decimal(100 * float(one.without[place]), places=1),
                decimal(float(one.moves[place]), places=2),
            )
        )
    return Table(
        key=make_key(f"pivots-{part.outcome.name}"),
        caption=say("research.influence_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.factor")),
            Column(heading=say("research.change"), numeric=True),
            Column(heading=say("research.pivot")),
            Column(heading=say("research.change_without"), numeric=True),
            Column(heading=say("research.moves"), numeric=True),
        ),
        rows=tuple(rows),
        note=say("research.influence_note"),
    )
