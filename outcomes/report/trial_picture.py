"""One strip for all hypotheses: the differences, their intervals and the margin."""

from outcomes.planning.trial import Answered, Trial
from outcomes.report.amounts import describe_change, describe_span
from outcomes.report.document import Column, Picture, Section, Table
from outcomes.report.drawings import StripDrawing, StripRow
from outcomes.report.trial_parts import short_comparison, signed
from outcomes.report.trial_words import Speaker, percent


def build_trial_picture(trial: Trial, speaker: Speaker) -> tuple[Section, ...]:
    """Return the section with the strip; nothing where no difference could be measured."""
    shown = [each for each in trial.answers if each.tested.effect is not None]
    if not shown:
        return ()
    say = speaker.wording.say
    margins = {each.tested.hypothesis.margin for each in shown}
    (margin,) = margins if len(margins) == 1 else (None,)
    caption = "trial_picture.caption_plain" if margin is None else "trial_picture.caption"
    picture = Picture(
        key="differences",
        drawing=_build_drawing(shown, margin, speaker),
        title=say("trial_picture.title"),
        alt=say("trial_picture.alt", {"items": "; ".join(_alt(each, speaker) for each in shown)}),
        caption=say(caption, {"confidence": percent(1 - trial.plan.level)}),
        summary=say("trial_picture.summary"),
        table=_build_table(shown, speaker, confidence=percent(1 - trial.plan.level)),
    )
    return (Section(key="picture", title=say("trial_picture.section"), blocks=(picture,)),)


def _build_drawing(shown: list[Answered], margin: float | None, speaker: Speaker) -> StripDrawing:
    say = speaker.wording.say
    return StripDrawing(
        rows=tuple(_build_row(each, speaker) for each in shown),
        band=margin or 0.0,
        fewer=say("trial_picture.fewer"),
        more=say("trial_picture.more"),
        band_label=say("trial_picture.band" if margin else "trial_picture.no_band"),
        axis=say("trial_picture.axis"),
    )


def _build_row(answered: Answered, speaker: Speaker) -> StripRow:
    effect = answered.tested.effect
    assert effect is not None  # noqa: S101 - the caller keeps only these
    interval = effect.interval
    return StripRow(
        label=answered.tested.hypothesis.name,
        detail=short_comparison(answered, speaker),
        number=describe_change(effect.change, speaker.wording),
        change=_drawn(effect.change),
        low=None if interval is None else _drawn(interval.low),
        high=None if interval is None else _drawn(interval.high),
        word=None,
    )


def _drawn(change: float) -> float:
    """Return a change in pieces per 100 as it is drawn, alike on every processor."""
    return round(100 * change, 3)


def _alt(answered: Answered, speaker: Speaker) -> str:
    effect = answered.tested.effect
    assert effect is not None  # noqa: S101 - the caller keeps only these
    limits = speaker.wording.say("numbers.no_interval")
    if effect.interval is not None:
        limits = describe_span(effect.interval.low, effect.interval.high, speaker.wording)
    values = {
        "name": answered.tested.hypothesis.name,
        "change": describe_change(effect.change, speaker.wording),
        "limits": limits,
    }
    return speaker.wording.say("trial_picture.alt_item", values)


def _build_table(shown: list[Answered], speaker: Speaker, *, confidence: str) -> Table:
    say = speaker.wording.say
    rows = []
    for each in shown:
        effect = each.tested.effect
        interval = None if effect is None else effect.interval
        rows.append(
            (
                each.tested.hypothesis.name,
                short_comparison(each, speaker),
                "" if effect is None else signed(effect.change),
                say("numbers_table.none")
                if interval is None
                else f"{signed(interval.low)} … {signed(interval.high)}",
            )
        )
    return Table(
        key="differences-table",
        caption=say("trial_picture.title"),
        columns=(
            Column(heading=say("numbers_table.name")),
            Column(heading=say("numbers_table.comparison")),
            Column(heading=say("numbers_table.change"), numeric=True),
            Column(heading=say("numbers_table.interval", {"confidence": confidence}), numeric=True),
        ),
        rows=tuple(rows),
    )
