"""The second section: for each outcome its settings on a pieces-per-100 strip."""

from collections.abc import Sequence

from outcomes.effects.effect import Effect, RankedFactor, Word
from outcomes.log.codebook import Direction
from outcomes.report.amounts import describe_change, describe_rate, whole_per_100
from outcomes.report.cautions import find_picture_cautions
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    Paragraph,
    Picture,
    Section,
    Statements,
    Table,
    Tone,
    make_key,
)
from outcomes.report.drawings import StripDrawing, StripRow
from outcomes.report.sentences import (
    build_statement,
    describe_interval_cell,
    describe_picture_row,
    describe_place,
    word_of,
)
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, capitalise
from outcomes.study.record import OutcomeStudy

_WANTED = {
    Direction.HIGHER: "outcomes.wanted_higher",
    Direction.LOWER: "outcomes.wanted_lower",
}


def build_outcomes(teller: Teller) -> Section:
    """Return the section, one part an outcome, in the codebook's order."""
    say = teller.wording.say
    parts = tuple(_build_part(part, teller) for part in teller.study.outcomes)
    lead = Paragraph(text=say("outcomes.lead"), tone=Tone.LEAD)
    return Section(key="outcomes", title=say("outcomes.title"), blocks=(lead, *parts))


def ranked_effects(part: OutcomeStudy) -> tuple[tuple[Effect, RankedFactor], ...]:
    """Return the settings of an outcome with their places, first place first."""
    by_factor = {effect.contrast.factor: effect for effect in part.effects}
    return tuple((by_factor[r.factor], r) for r in part.ranking if r.factor in by_factor)


def _build_part(part: OutcomeStudy, teller: Teller) -> Section:
    say = teller.wording.say
    key = make_key(f"outcome-{part.outcome.name}")
    if not part.usable:
        text = say("outcomes.not_usable", {"why_not": part.why_not})
        return Section(key=key, title=part.outcome.label, blocks=(Paragraph(text=text),))
    pairs = ranked_effects(part)
    blocks: list[Block] = [
        Paragraph(text=describe_grades(part, teller)),
        build_anchors(part, teller),
    ]
    if pairs:
        blocks += _build_settings(part, pairs, teller)
    else:
        blocks.append(Paragraph(text=say("outcomes.no_settings")))
    return Section(key=key, title=part.outcome.label, blocks=tuple(blocks))


def describe_grades(part: OutcomeStudy, teller: Teller) -> str:
    """Return how many pieces were graded how, and what counts as better."""
    say, outcome = teller.wording.say, part.outcome
    counts = [
        say("outcomes.grade_count", {"n": n, "grade": teller.grade(outcome, index)})
        for index, n in enumerate(part.grade_counts)
    ]
    graded = sum(part.grade_counts)
    values: dict[str, Value] = {
        "graded": graded,
        "compared": part.pieces,
        "clusters_n": part.firings,
        "grades": ", ".join(counts),
        "at_aim": describe_rate(
            sum(part.grade_counts[outcome.aim :]) / max(graded, 1), teller.wording
        ),
        "phrase": outcome.phrase,
    }
    key = "outcomes.compared_all" if graded == part.pieces else "outcomes.compared_some"
    wanted = _WANTED.get(outcome.wanted, "outcomes.wanted_neither")
    return " ".join((say("outcomes.graded", values), say(wanted), say(key, values)))


def build_anchors(part: OutcomeStudy, teller: Teller) -> Depth:
    """Return the grades with their wording and how often each was given."""
    say, outcome = teller.wording.say, part.outcome
    table = Table(
        key=make_key(f"grades-{outcome.name}"),
        caption=say("outcomes.anchors", {"outcome": outcome.label}),
        columns=(
            Column(heading=say("columns.grade")),
            Column(heading=say("columns.wording")),
            Column(heading=say("columns.count"), numeric=True),
        ),
        rows=tuple(
            (level.name, level.wording, str(n))
            for level, n in zip(outcome.levels, part.grade_counts, strict=True)
        ),
        note=say("outcomes.anchors_note", {"aim": outcome.levels[outcome.aim].name,
                                            "phrase": outcome.phrase}),
    )  # fmt: skip
    return Depth(
        key=make_key(f"more-grades-{outcome.name}"), summary=table.caption, blocks=(table,)
    )


def _build_settings(
    part: OutcomeStudy, pairs: Sequence[tuple[Effect, RankedFactor]], teller: Teller
) -> list[Block]:
    say = teller.wording.say
    blocks: list[Block] = [_build_strip(part, pairs, teller)]
    unordered = all((place.rank_low, place.rank_high) == (1, len(pairs)) for _, place in pairs)
    if unordered and len(pairs) > 1:
        blocks.append(Paragraph(text=say("outcomes.no_order", {"n": len(pairs)})))
    clear = [pair for pair in pairs if word_of(pair[0]) in (Word.CHANGES, Word.LEANS)]
    rest = [pair for pair in pairs if pair not in clear]
    if clear:
        blocks.append(_state(clear, part, teller, n=len(pairs)))
    if rest:
        key = "outcomes.rest_in_words" if clear else "outcomes.all_in_words"
        summary = say(key, {"n": len(rest)})
        depth = Depth(
            key=make_key(f"more-{part.outcome.name}"),
            summary=summary,
            blocks=(_state(rest, part, teller, n=len(pairs)),),
        )
        blocks.append(depth)
    blocks.append(Paragraph(text=say("outcomes.order_note"), tone=Tone.FINE))
    return blocks


def _state(
    pairs: Sequence[tuple[Effect, RankedFactor]], part: OutcomeStudy, teller: Teller, *, n: int
) -> Statements:
    """Return settings in words, each with its place among the ``n``."""
    items = tuple(
        build_statement(effect, part.outcome, teller, title=describe_place(ranked, n, teller))
        for effect, ranked in pairs
    )
    return Statements(items=items, ordered=True)


def _build_strip(
    part: OutcomeStudy, pairs: Sequence[tuple[Effect, RankedFactor]], teller: Teller
) -> Picture:
    say, outcome = teller.wording.say, part.outcome
    effects = [effect for effect, _ in pairs]
    values: dict[str, Value] = {
        "outcome": outcome.label,
        "n": len(effects),
        "phrase": outcome.phrase,
        "band": f"{outcome.smallest_difference:g}",
        "confidence": describe_confidence(teller),
        "rows": " ".join(capitalise(describe_picture_row(e, teller)) for e in effects),
    }
    return Picture(
        key=make_key(f"strip-{outcome.name}"),
        drawing=draw_strip(effects, outcome.smallest_difference, teller),
        title=say("outcomes.strip_title", values),
        alt=say("outcomes.strip_alt", values),
        caption=say("outcomes.strip_caption", values),
        summary=say("page.table_behind"),
        table=_build_table(part, pairs, teller),
        cautions=find_picture_cautions(effects, outcome, teller),
    )


def draw_strip(effects: Sequence[Effect], band: float, teller: Teller) -> StripDrawing:
    """Return the strip picture of several effects."""
    say = teller.wording.say
    rows = tuple(
        StripRow(
            label=teller.label(effect.contrast.factor),
            detail=teller.short_contrast(effect.contrast),
            number=_describe_number(effect.change, teller),
            change=100 * effect.change,
            low=None if effect.interval is None else 100 * effect.interval.low,
            high=None if effect.interval is None else 100 * effect.interval.high,
            word=word_of(effect),
        )
        for effect in effects
    )
    return StripDrawing(
        rows=rows,
        band=band,
        fewer=say("outcomes.strip_fewer"),
        more=say("outcomes.strip_more"),
        band_label=say("outcomes.strip_band"),
        axis=say("outcomes.strip_axis"),
    )


def _describe_number(change: float, teller: Teller) -> str:
    """Return the change in the few letters a strip has room for."""
    if whole_per_100(change) == 0:
        return teller.wording.say("numbers.same_short")
    return describe_change(change, teller.wording)


def describe_confidence(teller: Teller) -> str:
    """Return "95"."""
    return f"{100 * teller.study.options.confidence:g}"


def _build_table(
    part: OutcomeStudy, pairs: Sequence[tuple[Effect, RankedFactor]], teller: Teller
) -> Table:
    say, outcome = teller.wording.say, part.outcome
    confidence = {"confidence": describe_confidence(teller)}
    columns = (
        Column(heading=say("columns.setting")),
        *build_effect_columns(teller),
        Column(heading=say("columns.interval", confidence)),
        Column(heading=say("columns.verdict")),
        Column(heading=say("columns.place")),
        Column(heading=say("columns.rests")),
        Column(heading=say("columns.pieces"), numeric=True),
        Column(heading=say("columns.chosen")),
    )
    rows = tuple(_build_row(effect, ranked, len(pairs), teller) for effect, ranked in pairs)
    return Table(
        key=make_key(f"settings-{outcome.name}"),
        caption=say("outcomes.table_title", {"outcome": outcome.label}),
        columns=columns,
        rows=rows,
        note=say("outcomes.table_note"),
    )


def build_effect_columns(teller: Teller) -> tuple[Column, ...]:
    """Return the columns that every table of effects shares."""
    say = teller.wording.say
    return (
        Column(heading=say("columns.from")),
        Column(heading=say("columns.to")),
        Column(heading=say("columns.at_from"), numeric=True),
        Column(heading=say("columns.at_to"), numeric=True),
        Column(heading=say("columns.change")),
    )


def build_effect_cells(effect: Effect, teller: Teller) -> tuple[str, ...]:
    """Return the cells under `build_effect_columns`."""
    contrast, wording = effect.contrast, teller.wording
    return (
        teller.amount(contrast.from_value, contrast.factor),
        teller.amount(contrast.to_value, contrast.factor),
        describe_rate(effect.rate_from, wording),
        describe_rate(effect.rate_to, wording),
        describe_change(effect.change, wording),
    )


def _build_row(effect: Effect, ranked: RankedFactor, n: int, teller: Teller) -> tuple[str, ...]:
    say, word = teller.wording.say, word_of(effect)
    firings = max(1, round(effect.effective_firings))
    return (
        teller.label(effect.contrast.factor),
        *build_effect_cells(effect, teller),
        describe_interval_cell(effect, teller),
        "–" if word is None else str(word),
        f"{ranked.rank} ({ranked.rank_low}–{ranked.rank_high} / {n})",
        say("columns.firings", {"n": firings}),
        f"{effect.pieces_supported} / {effect.pieces}",
        effect.contrast.chosen,
    )
