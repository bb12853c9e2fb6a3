"""One outcome for the researcher: the model, every estimate, the ranks, and every doubt."""

from outcomes.report.document import Block, Paragraph, Section, make_key
from outcomes.report.doubts_in_place import drop_label
from outcomes.report.maker_outcomes import describe_grades
from outcomes.report.research_doubts import build_research_doubts
from outcomes.report.research_estimates import build_estimates
from outcomes.report.research_model import build_model
from outcomes.report.research_overlap import build_overlap
from outcomes.report.research_ranking import build_ranking
from outcomes.report.research_skill import build_research_skill
from outcomes.report.research_split import build_research_split
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_research_outcome(part: OutcomeStudy, teller: Teller) -> Section:
    """Return an outcome's section; one sentence where nothing could be learnt."""
    say = teller.wording.say
    key = make_key(f"outcome-{part.outcome.name}")
    title = part.outcome.label
    if not part.usable or part.fit is None:
        text = say("outcomes.not_usable", {"why_not": drop_label(part.why_not, part.outcome.label)})
        return Section(key=key, title=title, blocks=(Paragraph(text=text),))
    blocks: list[Block] = [Paragraph(text=describe_grades(part, teller))]
    for build in (
        build_estimates,
        build_ranking,
        build_model,
        build_research_skill,
        build_research_split,
        build_overlap,
        build_research_doubts,
    ):
        blocks += build(part, teller)
    return Section(key=key, title=title, blocks=tuple(blocks))
