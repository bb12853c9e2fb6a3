"""The third section: the chance of each grade along what was tried."""

from collections.abc import Sequence

from outcomes.effects.effect import Curve
from outcomes.report.curve_panels import build_panel, find_all_cautions, name_axis, order_levels
from outcomes.report.curve_words import describe_curve, describe_panel, list_points
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    Paragraph,
    Picture,
    Section,
    Table,
    Tone,
    make_key,
)
from outcomes.report.drawings import CurveDrawing
from outcomes.report.maker_glazes import build_glazes
from outcomes.report.maker_shapes import build_bends_alone, build_no_bends, build_shapes
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence
from outcomes.study.record import OutcomeStudy

TABLE_ROWS = 9


def build_pictures(teller: Teller) -> Section:
    """Return the section, one part for each setting that stands out on an outcome."""
    say = teller.wording.say
    outcomes = teller.study.outcomes
    parts = tuple(block for part in outcomes for block in _build_outcome(part, teller))
    no_bends = build_no_bends(outcomes, teller)
    lead = Paragraph(text=say("pictures.lead" if parts else "pictures.none"), tone=Tone.LEAD)
    return Section(key="pictures", title=say("pictures.title"), blocks=(lead, *parts, *no_bends))


def _build_outcome(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return an outcome's pictures, then the bends found in what has no picture."""
    curves = sorted_curves(part)
    blocks = [
        block
        for place, curve in enumerate(curves)
        for block in _build_part(part, order_levels(curve, teller), teller, first=place == 0)
    ]
    return blocks + build_bends_alone(part, {curve.factor for curve in curves}, teller)


def sorted_curves(part: OutcomeStudy) -> list[Curve]:
    """Return an outcome's curves over all its pieces, the setting of the first place first."""
    place = {ranked.factor: ranked.rank for ranked in part.ranking}
    curves = [curve for curve in part.curves if curve.glaze == ""]
    return sorted(curves, key=lambda curve: place.get(curve.factor, len(place) + 1))


def _build_part(
    part: OutcomeStudy, curve: Curve, teller: Teller, *, first: bool
) -> tuple[Block, ...]:
    """Return a picture with its glazes: open for the first setting, folded for the others."""
    say = teller.wording.say
    label = teller.label(curve.factor)
    values: dict[str, Value] = {"outcome": part.outcome.label, "label": mid_sentence(label)}
    key = f"{part.outcome.name}-{curve.factor}"
    blocks: tuple[Block, ...] = (
        build_curve_picture(part, curve, teller),
        *build_shapes(part, curve.factor, teller),
        *build_glazes(part, curve, teller),
    )
    if first:
        title = say("pictures.heading", values)
        return (Section(key=make_key(f"picture-{key}"), title=title, blocks=blocks),)
    summary = say("pictures.folded", values)
    return (Depth(key=make_key(f"picture-{key}"), summary=summary, blocks=blocks),)


def build_curve_picture(part: OutcomeStudy, curve: Curve, teller: Teller) -> Picture:
    """Return one curve as a picture with its words, its table and its safety notes."""
    say, outcome = teller.wording.say, part.outcome
    grades = find_grades(part, curve)
    label = teller.label(curve.factor)
    title = say("pictures.curve_title", {"outcome": outcome.label, "label": mid_sentence(label)})
    panel = build_panel(curve, teller, title="")
    drawing = CurveDrawing(
        panel=panel,
        grades=tuple(teller.grade(outcome, index) for index in grades),
        aim=sum(index < outcome.aim for index in grades),
        axis=name_axis(curve.factor, teller),
        reach_label=say("pictures.reach_label", {"phrase": outcome.phrase}),
        grades_label=say("pictures.grades_label"),
    )
    kind = "caption_levels" if isinstance(curve.at, tuple) else "caption"
    caption = say(
        f"pictures.{kind}", {"n": len(curve.logged), "confidence": describe_confidence(teller)}
    )
    return Picture(
        key=make_key(f"curve-{outcome.name}-{curve.factor}"),
        drawing=drawing,
        title=title,
        alt=describe_panel(curve, part, teller, grades=drawing.grades),
        caption=caption,
        sentence=describe_curve(curve, outcome, teller),
        summary=say("page.table_behind"),
        table=_build_table(part, curve, teller, grades=drawing.grades),
        cautions=find_all_cautions(part, curve, teller),
    )


def find_grades(part: OutcomeStudy, curve: Curve) -> tuple[int, ...]:
    """Return which levels of the codebook the columns of a curve stand for."""
    n = curve.chance.shape[1]
    if part.design is not None and len(part.design.grades) == n:
        return part.design.grades
    seen = tuple(index for index, count in enumerate(part.grade_counts) if count)
    return seen if len(seen) == n else tuple(range(n))


def _build_table(
    part: OutcomeStudy, curve: Curve, teller: Teller, *, grades: Sequence[str]
) -> Table:
    say, outcome = teller.wording.say, part.outcome
    values: dict[str, Value] = {"phrase": outcome.phrase, "confidence": describe_confidence(teller)}
    title = say(
        "pictures.curve_title",
        {"outcome": outcome.label, "label": mid_sentence(teller.label(curve.factor))},
    )
    points = list_points(curve, teller, most=TABLE_ROWS)
    return Table(
        key=make_key(f"curve-table-{outcome.name}-{curve.factor}"),
        caption=title,
        columns=(
            Column(heading=name_axis(curve.factor, teller)),
            *(Column(heading=grade, numeric=True) for grade in grades),
            Column(heading=say("columns.reach", values), numeric=True),
            Column(heading=say("columns.interval", values)),
        ),
        rows=tuple((p.at, *p.grades, p.reach, p.limits) for p in points),
        note=say("outcomes.table_note"),
    )
