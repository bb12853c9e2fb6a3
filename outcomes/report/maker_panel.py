"""The section "Try a setting": a panel the reader moves, from numbers that travel in the page."""

from outcomes.model.fit import Link
from outcomes.report.document import Block, Callout, Paragraph, Section, Tone, TryPanel
from outcomes.report.panel_data import render_panel_data
from outcomes.report.panel_offer import build_panel
from outcomes.report.panel_words import name_groups
from outcomes.report.teller import Teller
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.study.record import OutcomeStudy

MOST_BYTES = 150_000


def build_try(teller: Teller) -> tuple[Section, ...]:
    """Return the section; none where no outcome has intervals, or no setting varied."""
    say = teller.wording.say
    parts = [part for part in teller.study.outcomes if has_chances(part)]
    panel = build_panel(parts, teller)
    if panel is None:
        return ()
    data = render_panel_data(panel, teller)
    blocks: list[Block] = [
        Paragraph(text=say("panel.lead"), tone=Tone.LEAD),
        Paragraph(text=say("panel.meaning")),
    ]
    if len(data.encode()) > MOST_BYTES and any(outcome.own for outcome in panel.outcomes):
        common = build_panel(parts, teller, by_glaze=False)
        data = data if common is None else render_panel_data(common, teller)
        blocks.append(Paragraph(text=say("panel.common", name_groups(teller)), tone=Tone.FINE))
    blocks.append(TryPanel(key="panel", data=data, off=say("panel.off")))
    if teller.study.log.codebook.handles_hot_ware:
        caution = Callout(title=say("page.caution"), items=(say("panel.hot"),), tone=Tone.SAFETY)
        blocks.insert(2, caution)
    return (Section(key="try", title=say("panel.title"), blocks=tuple(blocks)),)


def has_chances(part: OutcomeStudy) -> bool:
    """Return whether chances of an outcome may be shown: fitted, and intervals were given."""
    if not part.usable or part.design is None or part.fit is None:
        return False
    if part.firings < FEWEST_FIRINGS or part.fit.options.link is not Link.LOGIT:
        return False
    return any(effect.interval is not None for effect in part.effects)
