"""The page on what to fire next: sentences, run sheet, widths, alternatives, cautions."""

from dataclasses import replace

from outcomes.log.codebook import Direction
from outcomes.planning.next_choices import Choice
from outcomes.planning.next_expected import MOST_FIRINGS
from outcomes.planning.next_known import find_luck
from outcomes.planning.next_plan import NextFirings
from outcomes.planning.next_questions import Unplanned
from outcomes.report.cautions import build_cautions
from outcomes.report.document import (
    Block,
    Callout,
    Document,
    ItemList,
    Paragraph,
    Section,
    Statement,
    Statements,
    Tone,
)
from outcomes.report.plan_tables import build_alternatives, build_sheet, build_widths
from outcomes.report.plan_words import describe_plan, list_questions, name_outcomes
from outcomes.report.teller import Teller, build_teller
from outcomes.report.wording import Value, capitalise, join_words, mid_sentence
from outcomes.study.record import Study


def build_plan_document(study: Study, plan: NextFirings) -> Document:
    """Return the page: what to fire first, cautions last, nothing rendered yet."""
    teller = build_teller(study)
    say = teller.wording.say
    files = join_words([file.name for file in study.log.files])
    own = {name: say(f"plan.{name}") for name in ("skip", "paper")}
    shared = ("contents", "legend", "caution", "cautions")
    return Document(
        language=say("page.language"),
        title=say("plan.title"),
        subtitle=files,
        facts=_build_facts(plan, teller),
        sections=(
            _build_first(plan, teller),
            build_sheet(plan, teller),
            build_widths(plan, teller),
            build_alternatives(plan, teller),
            _build_open(plan, teller),
            _build_method(plan, teller),
            _build_safety(teller),
        ),
        legend=(),
        labels=(*own.items(), *((name, say(f"page.{name}")) for name in shared)),
        footer=teller.wording.say_all("plan.footer", {"version": study.version, "files": files}),
    )


def _build_facts(plan: NextFirings, teller: Teller) -> tuple[tuple[str, str], ...]:
    say = teller.wording.say
    counts = {"n": len(plan.firings), "m": plan.request.pieces or 0}
    labels = [mid_sentence(teller.label(choice.factor)) for choice in plan.varied]
    return (
        (say("plan.facts_clusters"), say("plan.facts_clusters_value", counts)),
        (say("plan.facts_log"), say("plan.facts_log_value", {"n": teller.study.firings})),
        (say("plan.facts_varied"), join_words(labels)),
        (say("plan.facts_seed"), str(plan.request.seed)),
    )


def _build_first(plan: NextFirings, teller: Teller) -> Section:
    """Return what to fire, what changes how far, and how to go about it."""
    say = teller.wording.say
    lead, *rest = describe_plan(plan, teller)
    blocks: list[Block] = [Paragraph(text=lead, tone=Tone.LEAD)]
    blocks += [Paragraph(text=text) for text in rest]
    if plan.usual:
        values: dict[str, Value] = {"names": join_words(list(plan.usual)), "n": len(plan.usual)}
        blocks.append(Paragraph(text=say("plan.repeat", values)))
    logs = " ".join(file.name for file in teller.study.log.files)
    blocks += [
        Section(
            key="what-changes",
            title=say("plan.vary_title"),
            blocks=(
                Statements(items=tuple(_build_choice(c, teller) for c in plan.varied)),
                *_build_usual(plan, teller),
            ),
        ),
        Callout(
            title=say("plan.steps_title"),
            items=teller.wording.say_all("plan.steps", {"log": logs}),
            tone=Tone.HONESTY,
        ),
    ]
    return Section(key="what-to-fire", title=say("plan.first_title"), blocks=tuple(blocks))


def _build_choice(choice: Choice, teller: Teller) -> Statement:
    """Return the values of one setting, its caution in place."""
    codebook = teller.study.log.codebook
    factor = codebook.factor(choice.factor)
    key = "plan.vary_cluster" if choice.hard else "plan.vary_piece"
    if choice.factor == codebook.glaze:
        key = "plan.vary_glaze"
    values = join_words([teller.amount(value, choice.factor) for value in choice.values])
    is_hot = factor.hot is not Direction.NEITHER and factor.safety_note
    return Statement(
        title=factor.label,
        text=teller.wording.say(key, {"values": values}),
        cautions=(factor.safety_note,) if is_hot else (),
    )


def _build_usual(plan: NextFirings, teller: Teller) -> tuple[Block, ...]:
    """Return the settings held as usual; those about hot ware carry their caution."""
    if not plan.settled:
        return ()
    say, codebook = teller.wording.say, teller.study.log.codebook
    items = []
    notes = []
    for choice in plan.settled:
        label, value = teller.label(choice.factor), teller.amount(choice.usual, choice.factor)
        items.append(say("plan.usual_item", {"label": label, "value": value}))
        factor = codebook.factor(choice.factor)
        if factor.safety_note and factor.hot is not Direction.NEITHER:
            notes.append(factor.safety_note)
    lead = Statement(
        title=say("plan.usual_title"),
        text=f"{say('plan.usual_lead')} {'; '.join(items)}.",
        cautions=tuple(dict.fromkeys(notes)),
    )
    return (Statements(items=(lead,)),)


def _build_open(plan: NextFirings, teller: Teller) -> Section:
    """Return what stays open whatever happens, and why."""
    say = teller.wording.say
    later = [one for one in plan.unplanned if one.code == "later"]
    lines = [_describe_unplanned(one, teller) for one in plan.unplanned if one not in later]
    if later:
        items = "; ".join(_describe_later(one, teller) for one in later)
        lines.append(say("plan.cannot_later", {"items": items}))
    far = [one for one in plan.foretold if one.firings_planned is None]
    if far:
        asked = capitalise(join_words(list_questions(far, teller)))
        lines.insert(0, say("plan.cannot_far", {"questions": asked, "n": MOST_FIRINGS}))
    hard = [mid_sentence(teller.label(c.factor)) for c in plan.varied if c.hard]
    if hard:
        lines.append(say("plan.cannot_luck", {"labels": join_words(hard)}))
    blocks: tuple[Block, ...] = (Paragraph(text=say("plan.cannot_none")),)
    if lines:
        blocks = (ItemList(items=tuple(lines)),)
    return Section(key="left-open", title=say("plan.cannot_title"), blocks=blocks)


def _describe_unplanned(one: Unplanned, teller: Teller) -> str:
    factor = teller.study.log.codebook.factor(one.factor)
    code = one.code
    if code == "one_value" and factor.step is None:
        code = "one_level"
    return teller.wording.say(
        f"plan.cannot_{code}",
        {
            "label": factor.label,
            "factor": factor.name,
            "outcomes": name_outcomes(one.outcomes, teller),
        },
    )


def _describe_later(one: Unplanned, teller: Teller) -> str:
    values: dict[str, Value] = {
        "label": mid_sentence(teller.label(one.factor)),
        "factor": one.factor,
        "outcomes": name_outcomes(one.outcomes, teller),
    }
    return teller.wording.say("plan.cannot_later_item", values)


def _build_safety(teller: Teller) -> Section:
    """Return the cautions about hot ware.

    How to use a log's numbers ("change one thing at a time") is left out: where the settings
    are given out by plan, several may change at once.
    """
    section = build_cautions(teller)
    blocks = (
        block
        for block in section.blocks
        if not (isinstance(block, Callout) and block.tone is Tone.HONESTY)
    )
    return replace(section, blocks=tuple(blocks))


def _build_method(plan: NextFirings, teller: Teller) -> Section:
    say = teller.wording.say
    luck = [find_luck(part.shares) for part in teller.study.outcomes if part.usable]
    low, high = min(luck), max(luck)
    shown = f"{low:.2f}" if f"{low:.2f}" == f"{high:.2f}" else f"{low:.2f} to {high:.2f}"
    lines = teller.wording.say_all("plan.method", {"luck": shown, "starts": plan.request.starts})
    return Section(key="method", title=say("plan.method_title"), blocks=(ItemList(items=lines),))
