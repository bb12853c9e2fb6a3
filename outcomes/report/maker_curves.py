"""The third section: the chance of each grade along what was tried."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from outcomes.effects.effect import Curve
from outcomes.report.cautions import find_cautions, find_curve_cautions
from outcomes.report.curve_words import describe_curve, describe_panel, list_points
from outcomes.report.document import (
    Block,
    Column,
    Paragraph,
    Picture,
    Section,
    Table,
    Tone,
    make_key,
)
from outcomes.report.drawings import CurveDrawing, CurvePanel, GlazeDrawing
from outcomes.report.maker_outcomes import describe_confidence
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence, plural
from outcomes.study.record import OutcomeStudy

TABLE_ROWS = 9


def build_pictures(teller: Teller) -> Section:
    """Return the section, one part for each setting that stands out on an outcome."""
    say = teller.wording.say
    parts = tuple(
        _build_part(part, order_levels(curve, teller), teller)
        for part in teller.study.outcomes
        for curve in part.curves
        if curve.glaze == ""
    )
    lead = Paragraph(text=say("pictures.lead" if parts else "pictures.none"), tone=Tone.LEAD)
    return Section(key="pictures", title=say("pictures.title"), blocks=(lead, *parts))


def _build_part(part: OutcomeStudy, curve: Curve, teller: Teller) -> Section:
    say = teller.wording.say
    label = teller.label(curve.factor)
    values: dict[str, Value] = {"outcome": part.outcome.label, "label": mid_sentence(label)}
    blocks: tuple[Block, ...] = (
        _build_picture(part, curve, teller),
        *_build_glazes(part, curve, teller),
    )
    return Section(
        key=make_key(f"picture-{part.outcome.name}-{curve.factor}"),
        title=say("pictures.heading", values),
        blocks=blocks,
    )


def order_levels(curve: Curve, teller: Teller) -> Curve:
    """Return a curve over levels in the codebook's order; any other curve as it is."""
    factor = teller.factor(curve.factor)
    if not isinstance(curve.at, tuple) or factor is None or not set(curve.at) <= set(factor.levels):
        return curve
    order = sorted(range(len(curve.at)), key=lambda slot: factor.levels.index(str(curve.at[slot])))
    return replace(
        curve,
        at=tuple(str(curve.at[slot]) for slot in order),
        chance=curve.chance[order],
        reach=curve.reach[order],
        reach_low=curve.reach_low[order],
        reach_high=curve.reach_high[order],
    )


def _find_cautions(part: OutcomeStudy, curve: Curve, teller: Teller) -> tuple[str, ...]:
    """Return the safety notes of a curve: its own shape's, and those of the comparison."""
    compared = [e for e in part.effects if e.contrast.factor == curve.factor]
    notes = (
        *find_cautions(compared, part.outcome, teller),
        *find_curve_cautions(curve, part.outcome, teller),
    )
    return tuple(dict.fromkeys(notes))


def _build_picture(part: OutcomeStudy, curve: Curve, teller: Teller) -> Picture:
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
        rug_label=say("pictures.rug_label"),
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
        cautions=_find_cautions(part, curve, teller),
    )


def find_grades(part: OutcomeStudy, curve: Curve) -> tuple[int, ...]:
    """Return which levels of the codebook the columns of a curve stand for."""
    n = curve.chance.shape[1]
    if part.design is not None and len(part.design.grades) == n:
        return part.design.grades
    seen = tuple(index for index, count in enumerate(part.grade_counts) if count)
    return seen if len(seen) == n else tuple(range(n))


def name_axis(factor: str, teller: Teller) -> str:
    """Return a factor's label with the unit shown."""
    unit = teller.unit_word(factor)
    return f"{teller.label(factor)} ({unit})" if unit else teller.label(factor)


def build_panel(curve: Curve, teller: Teller, *, title: str) -> CurvePanel:
    """Return a curve in the reader's unit and on the pieces-per-100 scale."""
    limits = np.column_stack([curve.reach_low, curve.reach_high])
    known = bool(np.isfinite(limits).all())
    return CurvePanel(
        title=title,
        at=_shown(curve.at, curve.factor, teller),
        chance=tuple(_per_100(column) for column in curve.chance.T),
        reach=_per_100(curve.reach),
        low=_per_100(curve.reach_low) if known else (),
        high=_per_100(curve.reach_high) if known else (),
        rug=_shown(curve.logged, curve.factor, teller),
    )


def _shown(
    values: np.ndarray | tuple[str, ...], factor: str, teller: Teller
) -> tuple[float, ...] | tuple[str, ...]:
    if isinstance(values, tuple):
        return values
    known = values[np.isfinite(values)]
    return tuple(round(teller.in_shown_unit(float(value), factor), 6) for value in known)


def _per_100(shares: np.ndarray) -> tuple[float, ...]:
    return tuple(round(100 * float(share), 3) for share in shares)


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


def _build_glazes(part: OutcomeStudy, curve: Curve, teller: Teller) -> list[Block]:
    """Return the small pictures glaze by glaze where they differ, else the sentence that not."""
    own = [order_levels(c, teller) for c in part.curves if c.factor == curve.factor and c.glaze]
    if len(own) < 2:
        return []
    say, outcome = teller.wording.say, part.outcome
    group = mid_sentence(teller.label(teller.study.log.codebook.glaze))
    apart = spread_of_changes(curve, own)
    values: dict[str, Value] = {
        "groups": plural(group),
        "group": group,
        "label": mid_sentence(teller.label(curve.factor)),
        "n": max(1, round(apart)),
        "outcome": outcome.label,
        "phrase": outcome.phrase,
    }
    if apart < outcome.smallest_difference:
        return [Paragraph(text=say("pictures.glazes_alike", values))]
    panels = [
        say(
            "pictures.glaze_alt_panel",
            {"glaze": c.glaze, "points": "; ".join(p.phrase for p in list_points(c, teller))},
        )
        for c in own
    ]
    drawing = GlazeDrawing(
        panels=tuple(build_panel(c, teller, title=c.glaze) for c in own),
        axis=name_axis(curve.factor, teller),
        reach_label=say("pictures.reach_label", values),
    )
    picture = Picture(
        key=make_key(f"glazes-{outcome.name}-{curve.factor}"),
        drawing=drawing,
        title=say("pictures.glaze_title", values),
        alt=say("pictures.glaze_alt", {**values, "panels": " ".join(panels)}),
        caption=say("pictures.glaze_caption", values),
        summary=say("page.table_behind"),
        table=_build_glaze_table(part, own, teller),
        cautions=tuple(
            dict.fromkeys(note for c in own for note in _find_cautions(part, c, teller))
        ),
    )
    return [Paragraph(text=say("pictures.glazes_differ", values)), picture]


def spread_of_changes(curve: Curve, own: Sequence[Curve]) -> float:
    """Return by how many pieces in 100 the glazes' curves differ in shape, at the most.

    Glazes may lie at different heights and still run alike: each curve is taken from its own
    mean over the stretch it shares with the others before the largest gap is looked for.
    """
    if isinstance(curve.at, tuple):
        shared = [a for a in curve.at if all(not isinstance(c.at, tuple) or a in c.at for c in own)]
        lines = [[c.reach[list(c.at).index(a)] for a in shared] for c in own]
    else:
        low, high = max(np.min(c.at) for c in own), min(np.max(c.at) for c in own)
        grid = np.linspace(low, high, 25) if low < high else np.empty(0)
        lines = [list(np.interp(grid, np.asarray(c.at, dtype=float), c.reach)) for c in own]
    heights = np.asarray(lines, dtype=float)
    if heights.shape[1] < 2:
        return 0.0
    centred = heights - heights.mean(axis=1, keepdims=True)
    return float(100 * (centred.max(axis=0) - centred.min(axis=0)).max())


def _build_glaze_table(part: OutcomeStudy, own: Sequence[Curve], teller: Teller) -> Table:
    say, outcome = teller.wording.say, part.outcome
    glaze = teller.study.log.codebook.glaze
    factor = own[0].factor
    values: dict[str, Value] = {
        "outcome": outcome.label,
        "label": mid_sentence(teller.label(factor)),
        "group": mid_sentence(teller.label(glaze)),
        "phrase": outcome.phrase,
        "confidence": describe_confidence(teller),
    }
    return Table(
        key=make_key(f"glazes-table-{outcome.name}-{factor}"),
        caption=say("pictures.glaze_title", values),
        columns=(
            Column(heading=teller.label(glaze)),
            Column(heading=name_axis(factor, teller)),
            Column(heading=say("columns.reach", values), numeric=True),
            Column(heading=say("columns.interval", values)),
        ),
        rows=tuple(
            (curve.glaze, point.at, point.reach, point.limits)
            for curve in own
            for point in list_points(curve, teller, most=5)
        ),
        note=say("outcomes.table_note"),
    )
