"""Everything that was judged, on one screen: settings by outcomes, with verdicts."""

from outcomes.effects.effect import Effect
from outcomes.report.cautions import find_cautions
from outcomes.report.document import (
    Block,
    Callout,
    Column,
    Paragraph,
    Section,
    Table,
    Tone,
)
from outcomes.report.maker_findings import describe_eyes
from outcomes.report.maker_outcomes import ranked_effects
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.numerals import NONE, decimal, number, probability, span
from outcomes.report.sentences import word_of
from outcomes.report.teller import Teller


def build_overview(teller: Teller) -> Section:
    """Return the section: what the page is, what it is not, and the table of verdicts."""
    say = teller.wording.say
    blocks: list[Block] = [
        Paragraph(text=say("research.lead"), tone=Tone.LEAD),
        Callout(
            title=say("takeaway.honesty_title"),
            items=(say("takeaway.honesty"), *describe_eyes(teller)),
            tone=Tone.HONESTY,
        ),
        _build_table(teller),
    ]
    if cautions := _cautions(teller):
        blocks.append(Callout(title=say("page.cautions"), items=cautions, tone=Tone.SAFETY))
    return Section(key="overview", title=say("research.overview"), blocks=tuple(blocks))


def _cautions(teller: Teller) -> tuple[str, ...]:
    """Return the safety notes of every setting that points to hotter or faster handling."""
    notes: dict[str, None] = {}
    for part in teller.study.outcomes:
        effects = [effect for effect, _ in ranked_effects(part)]
        notes |= dict.fromkeys(find_cautions(effects, part.outcome, teller))
    return tuple(notes)


def _build_table(teller: Teller) -> Table:
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    headings = ("research.change", "columns.interval", "research.p_adjusted", "research.g_eff")
    rows = [
        (part.outcome.label, *_cells(effect, f"{r.rank} ({r.rank_low}–{r.rank_high})", teller))
        for part in teller.study.outcomes
        for effect, r in ranked_effects(part)
    ]
    return Table(
        key="overview-table",
        caption=say("research.overview_table"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("columns.setting")),
            Column(heading=say("research.contrast")),
            *(Column(heading=say(heading, confidence), numeric=True) for heading in headings),
            Column(heading=say("research.rank"), numeric=True),
            Column(heading=say("columns.verdict")),
        ),
        rows=tuple(rows),
        note=say("research.overview_note"),
    )


def _cells(effect: Effect, rank: str, teller: Teller) -> tuple[str, ...]:
    limits = effect.interval
    return (
        teller.label(effect.contrast.factor),
        teller.short_contrast(effect.contrast),
        decimal(100 * effect.change, places=1),
        NONE if limits is None else span(100 * limits.low, 100 * limits.high),
        probability(effect.p_adjusted),
        number(effect.effective_firings),
        rank,
        str(word_of(effect) or NONE),
    )
