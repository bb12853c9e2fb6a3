"""The strip of one outcome: its settings on a pieces-per-100 scale, and the table behind it."""

from collections.abc import Sequence

from outcomes.effects.effect import Effect, RankedFactor
from outcomes.report.amounts import describe_change, describe_rate, whole_per_100
from outcomes.report.cautions import find_picture_cautions
from outcomes.report.document import Column, Picture, Table, make_key
from outcomes.report.drawings import StripDrawing, StripRow
from outcomes.report.sentences import describe_interval_cell, describe_picture_row, word_of
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, capitalise
from outcomes.study.record import OutcomeStudy


def build_strip(
    part: OutcomeStudy, pairs: Sequence[tuple[Effect, RankedFactor]], teller: Teller
) -> Picture:
    """Return the strip of an outcome, with the cautions of the settings that stand out."""
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
            change=_drawn(effect.change),
            low=None if effect.interval is None else _drawn(effect.interval.low),
            high=None if effect.interval is None else _drawn(effect.interval.high),
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


def _drawn(change: float) -> float:
    """Return a change in pieces per 100 as it is drawn, alike on every processor."""
    return round(100 * change, 3)


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
