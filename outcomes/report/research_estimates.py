"""Every effect of one outcome on every scale, with every interval that was computed."""

from collections.abc import Iterable

from outcomes.effects.effect import Effect
from outcomes.effects.odds import LogOdds
from outcomes.report.cautions import find_cautions
from outcomes.report.document import (
    Block,
    Callout,
    Column,
    Depth,
    Section,
    Table,
    Tone,
    fold_table,
    make_key,
)
from outcomes.report.maker_outcomes import ranked_effects
from outcomes.report.maker_strip import build_strip, describe_confidence
from outcomes.report.numerals import NONE, decimal, number, probability, span, span_digits
from outcomes.report.sentences import word_of
from outcomes.report.study_json_research import build_odds
from outcomes.report.teller import Teller
from outcomes.resampling.interval import Interval
from outcomes.study.record import OutcomeStudy


def build_estimates(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section: pieces in 100, all intervals, mean grade and odds ratios."""
    if not part.effects:
        return []
    say = teller.wording.say
    pairs = ranked_effects(part)
    pictures = [build_strip(part, pairs, teller)] if pairs else []
    blocks: list[Block] = [*pictures]
    blocks += [_build_changes(part, teller), *_build_intervals(part, teller)]
    if part.log_odds:
        blocks += _build_odds(part, teller)
    said = {note for picture in pictures for note in picture.cautions}
    notes = find_cautions(part.effects, part.outcome, teller)
    if rest := tuple(note for note in notes if note not in said):
        blocks.append(Callout(title=say("page.cautions"), items=rest, tone=Tone.SAFETY))
    key = make_key(f"estimates-{part.outcome.name}")
    return [Section(key=key, title=say("research.estimates"), blocks=tuple(blocks))]


def _build_changes(part: OutcomeStudy, teller: Teller) -> Table:
    say = teller.wording.say
    numeric = ("change", "error", "df", "p", "p_adjusted", "g_eff", "support")
    return Table(
        key=make_key(f"changes-{part.outcome.name}"),
        caption=say("research.changes_table", {"outcome": part.outcome.label}),
        columns=(
            *_first_columns(teller),
            *(Column(heading=say(f"research.{name}"), numeric=True) for name in numeric),
            Column(heading=say("columns.verdict")),
        ),
        rows=tuple((*_first_cells(e, teller), *_change_cells(e)) for e in part.effects),
        note=say("research.changes_note", {"phrase": part.outcome.phrase}),
    )


def _first_columns(teller: Teller) -> tuple[Column, Column, Column]:
    say = teller.wording.say
    return (
        Column(heading=say("research.factor")),
        Column(heading=say("research.role")),
        Column(heading=say("research.contrast")),
    )


def _first_cells(effect: Effect, teller: Teller) -> tuple[str, str, str]:
    contrast = effect.contrast
    return (
        teller.label(contrast.factor),
        str(contrast.role),
        teller.short_contrast(contrast),
    )


def _change_cells(effect: Effect) -> tuple[str, ...]:
    error = effect.standard_error
    return (
        decimal(100 * effect.change, places=1),
        NONE if error is None else decimal(100 * error, places=1),
        decimal(effect.df, places=1),
        probability(effect.p_value),
        probability(effect.p_adjusted),
        number(effect.effective_firings),
        f"{effect.pieces_supported} / {effect.pieces}",
        str(word_of(effect) or NONE),
    )


def _build_intervals(part: OutcomeStudy, teller: Teller) -> tuple[Depth, ...]:
    """Return every interval of every change; the printed one with the method that made it."""
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    table = Table(
        key=make_key(f"intervals-{part.outcome.name}"),
        caption=say("research.intervals_table", {"outcome": part.outcome.label, **confidence}),
        columns=(
            *_first_columns(teller),
            Column(heading=say("research.printed"), numeric=True),
            Column(heading=say("research.method")),
            *(
                Column(heading=heading, numeric=True)
                for heading in (
                    _name_method((e.resample_interval for e in part.effects), "redraws", teller),
                    _name_method((e.jackknife_interval for e in part.effects), "without", teller),
                    say("research.ninety"),
                )
            ),
            Column(heading=say("research.looks"), numeric=True),
        ),
        rows=tuple((*_first_cells(e, teller), *_interval_cells(e)) for e in part.effects),
        note=say("research.intervals_note"),
    )
    return fold_table(table)


def _name_method(intervals: Iterable[Interval | None], kind: str, teller: Teller) -> str:
    """Return a column's heading with the method its intervals were made by."""
    methods = dict.fromkeys(one.method for one in intervals if one is not None)
    key = f"research.{kind}" if methods else f"research.{kind}_none"
    return teller.wording.say(key, {"method": ", ".join(methods)})


def _interval_cells(effect: Effect) -> tuple[str, ...]:
    printed = effect.interval
    return (
        _per_100(printed),
        NONE if printed is None else printed.method,
        _per_100(effect.resample_interval),
        _per_100(effect.jackknife_interval),
        _per_100(effect.interval_90),
        str(effect.contrast.comparisons),
    )


def _per_100(interval: Interval | None) -> str:
    return NONE if interval is None else span(100 * interval.low, 100 * interval.high)


def _build_odds(part: OutcomeStudy, teller: Teller) -> tuple[Depth, ...]:
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    numeric = ("mean_grade", "mean_grade_interval", "log_odds", "error", "df",
               "odds_ratio", "odds_interval")  # fmt: skip
    table = Table(
        key=make_key(f"odds-{part.outcome.name}"),
        caption=say("research.odds_table", {"outcome": part.outcome.label}),
        columns=(
            *_first_columns(teller),
            *(Column(heading=say(f"research.{n}", confidence), numeric=True) for n in numeric),
        ),
        rows=tuple(
            (*_first_cells(effect, teller), *_odds_cells(effect, one))
            for effect, one in zip(part.effects, part.log_odds, strict=True)
        ),
        note=say("research.odds_note"),
    )
    return fold_table(table)


def _odds_cells(effect: Effect, one: LogOdds) -> tuple[str, ...]:
    mean, entry = effect.mean_grade_interval, build_odds(effect, one)
    low, high = entry["odds_low"], entry["odds_high"]
    limits = (low, high) if isinstance(low, float) and isinstance(high, float) else (None, None)
    return (
        decimal(effect.mean_grade_change, places=2),
        NONE if mean is None else span(mean.low, mean.high, places=2),
        decimal(one.value, places=2),
        decimal(one.error, places=2),
        decimal(one.df, places=1),
        number(one.ratio),
        span_digits(*limits),
    )
