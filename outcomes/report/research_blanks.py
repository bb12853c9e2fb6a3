"""What blanks do: effects with them filled in, where they are, and habits that changed."""

from outcomes.doubts.imputed_effects import ImputedEffect
from outcomes.report.document import Column, Table, make_key
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.numerals import decimal, probability, span
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_imputed(part: OutcomeStudy, teller: Teller) -> Table:
    """Return each effect from complete pieces beside the one pooled over completed logs."""
    say, study = teller.wording.say, part.imputed
    counts = {"n": 0, "complete": 0, "pieces_n": 0}
    if study is not None:
        counts = {"n": study.imputations, "complete": study.complete, "pieces_n": study.pieces}
    confidence = teller.study.options.confidence
    numeric = ("complete", "error", "pooled", "error_pooled")
    return Table(
        key=make_key(f"imputed-{part.outcome.name}"),
        caption=say("research.imputed_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.factor")),
            *(Column(heading=say(f"research.{name}"), numeric=True) for name in numeric),
            Column(
                heading=say("columns.interval", {"confidence": describe_confidence(teller)}),
                numeric=True,
            ),
            Column(heading=say("research.missing"), numeric=True),
        ),
        rows=()
        if study is None
        else tuple(_imputed_row(one, confidence, teller) for one in study.effects),
        note=say("research.imputed_note", counts),
    )


def _imputed_row(one: ImputedEffect, confidence: float, teller: Teller) -> tuple[str, ...]:
    limits = one.pooled.interval(confidence)
    numbers = (one.complete, one.complete_error, one.pooled.value, one.pooled.error)
    return (
        teller.label(one.contrast.factor),
        *(decimal(100 * value, places=1) for value in numbers),
        span(100 * limits.low, 100 * limits.high),
        decimal(100 * one.pooled.missing, places=0),
    )


def build_blanks(part: OutcomeStudy, teller: Teller) -> Table:
    """Return how often each column is blank among the pieces concerned."""
    say = teller.wording.say
    return Table(
        key=make_key(f"blanks-{part.outcome.name}"),
        caption=say("research.blanks_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.column")),
            *(
                Column(heading=say(f"research.{name}"), numeric=True)
                for name in ("blank", "of_pieces", "in_firings")
            ),
        ),
        rows=tuple(
            (teller.label(one.column), str(one.blank), str(one.pieces), str(one.firings))
            for one in part.blanks
            if one.blank
        ),
    )


def build_habits(part: OutcomeStudy, teller: Teller) -> Table:
    """Return how changes of a setting went with the luck of the firing before."""
    say = teller.wording.say
    return Table(
        key=make_key(f"habits-{part.outcome.name}"),
        caption=say("research.habits_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            *(
                Column(heading=say(f"research.{name}"), numeric=True)
                for name in ("changes", "after_bad", "correlation", "p")
            ),
        ),
        rows=tuple(
            (
                teller.label(one.factor),
                str(one.changes),
                str(one.after_bad),
                decimal(one.correlation, places=2),
                probability(one.p_value),
            )
            for one in part.habit_changes
        ),
        note=say("research.habits_note"),
    )
