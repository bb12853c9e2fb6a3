"""One setting glaze by glaze: small pictures, and the word where the glazes do not differ."""

from collections.abc import Mapping, Sequence

import numpy as np

from outcomes.effects.effect import Curve
from outcomes.report.curve_panels import (
    build_panel,
    find_all_cautions,
    name_axis,
    order_levels,
)
from outcomes.report.curve_words import list_points
from outcomes.report.document import Block, Column, Depth, Paragraph, Picture, Table, make_key
from outcomes.report.drawings import GlazeDrawing
from outcomes.report.maker_shapes import differing_glazes
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence, plural
from outcomes.study.record import OutcomeStudy


def build_glazes(part: OutcomeStudy, curve: Curve, teller: Teller) -> list[Block]:
    """Return the small pictures glaze by glaze, folded; before them the word that none differ.

    Whether they differ is decided by the interval-aware test, not by how far the curves lie
    apart: one effect moves fewer pieces where a grade is rare. What differs is told in the
    sentences under the setting's own picture.
    """
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
    found = differing_glazes(part, curve.factor)
    wide = apart >= outcome.smallest_difference
    if found is None:
        blocks: list[Block] = [Paragraph(text=say("pictures.glazes_not_asked", values))]
    elif found.differs:
        blocks = []
    else:
        key = "pictures.glazes_one_effect" if wide else "pictures.glazes_alike"
        blocks = [Paragraph(text=say(key, values))]
    if not wide and not (found is not None and found.differs):
        return blocks
    picture = _build_picture(part, own, teller, values=values)
    return [*blocks, Depth(key=f"more-{picture.key}", summary=picture.title, blocks=(picture,))]


def _build_picture(
    part: OutcomeStudy, own: Sequence[Curve], teller: Teller, *, values: Mapping[str, Value]
) -> Picture:
    """Return one small picture a glaze."""
    say, factor = teller.wording.say, own[0].factor
    panels = [
        say(
            "pictures.glaze_alt_panel",
            {"glaze": c.glaze, "points": "; ".join(p.phrase for p in list_points(c, teller))},
        )
        for c in own
    ]
    drawing = GlazeDrawing(
        panels=tuple(build_panel(c, teller, title=c.glaze) for c in own),
        axis=name_axis(factor, teller),
        reach_label=say("pictures.reach_label", values),
    )
    return Picture(
        key=make_key(f"glazes-{part.outcome.name}-{factor}"),
        drawing=drawing,
        title=say("pictures.glaze_title", values),
        alt=say("pictures.glaze_alt", {**values, "panels": " ".join(panels)}),
        caption=say("pictures.glaze_caption", values),
        summary=say("page.table_behind"),
        table=_build_glaze_table(part, own, teller),
        cautions=tuple(
            dict.fromkeys(note for c in own for note in find_all_cautions(part, c, teller))
        ),
    )


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
