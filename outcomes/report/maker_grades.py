"""Each setting grade by grade: the change at every boundary, and where one slope will not do."""

from outcomes.doubts.grade_effects import GradeEffect
from outcomes.report.amounts import describe_change, whole_per_100
from outcomes.report.document import Block, Column, Table, make_key
from outcomes.report.doubts_in_place import UNEVEN
from outcomes.report.teller import Teller
from outcomes.report.wording import mid_sentence
from outcomes.study.record import OutcomeStudy


def build_grades(part: OutcomeStudy, teller: Teller) -> Table:
    """Return the change of every setting at every grade, each grade with its own slope."""
    say = teller.wording.say
    names = _grade_names(part.grade_effects[0], part, teller)
    return Table(
        key=make_key(f"grade-effects-{part.outcome.name}"),
        caption=say("trust.grades_title", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            *(Column(heading=say("trust.grades_column", {"grade": name})) for name in names),
        ),
        rows=tuple(
            (
                teller.label(one.contrast.factor),
                *(describe_change(cut.free, teller.wording) for cut in one.cuts),
            )
            for one in part.grade_effects
        ),
        note=say("trust.grades_note"),
    )


def build_uneven(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return a table for each setting that a check found not to act alike at every grade."""
    uneven = {finding.column for finding in part.findings if finding.code == UNEVEN}
    return [
        _build_one(one, part, teller) for one in part.grade_effects if one.contrast.factor in uneven
    ]


def _build_one(one: GradeEffect, part: OutcomeStudy, teller: Teller) -> Table:
    say, outcome = teller.wording.say, part.outcome
    label = teller.label(one.contrast.factor)
    values = {"outcome": outcome.label, "label": mid_sentence(label)}
    names = _grade_names(one, part, teller)
    return Table(
        key=make_key(f"uneven-{outcome.name}-{one.contrast.factor}"),
        caption=say("trust.uneven_title", values),
        columns=(
            Column(heading=say("columns.grade")),
            Column(heading=say("trust.uneven_own")),
            Column(heading=say("trust.uneven_give"), numeric=True),
            Column(heading=say("trust.uneven_one")),
        ),
        rows=tuple(
            (
                say("trust.grades_column", {"grade": name}),
                describe_change(cut.free, teller.wording),
                str(abs(whole_per_100(cut.free_error))),
                describe_change(cut.tied, teller.wording),
            )
            for name, cut in zip(names, one.cuts, strict=True)
        ),
    )


def _grade_names(one: GradeEffect, part: OutcomeStudy, teller: Teller) -> list[str]:
    places = {level.name: index for index, level in enumerate(part.outcome.levels)}
    return [teller.grade(part.outcome, places[cut.level]) for cut in one.cuts]
