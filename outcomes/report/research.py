"""The research page as content: every estimate with what it rests on, from the same study."""

from outcomes.report.cautions import build_cautions
from outcomes.report.document import Document
from outcomes.report.maker import build_facts, build_legend
from outcomes.report.maker_reading import build_reading
from outcomes.report.maker_shares import build_shares
from outcomes.report.research_computed import build_computed_section
from outcomes.report.research_family import build_family
from outcomes.report.research_methods import build_methods
from outcomes.report.research_outcome import build_research_outcome
from outcomes.report.research_overview import build_overview
from outcomes.report.research_references import build_references
from outcomes.report.research_reproduce import build_reproduction
from outcomes.report.teller import build_teller
from outcomes.report.wording import join_words
from outcomes.study.record import Study


def build_research_document(study: Study) -> Document:
    """Return the research page: overview, methods, outcome by outcome, how to do it again."""
    teller = build_teller(study)
    say = teller.wording.say
    return Document(
        language=say("page.language"),
        title=say("research.title"),
        subtitle=join_words([file.name for file in study.log.files]),
        facts=build_facts(teller),
        sections=(
            build_overview(teller),
            build_methods(teller),
            *(build_research_outcome(part, teller) for part in study.outcomes),
            *build_shares(teller),
            build_family(teller),
            *build_computed_section(teller),
            build_reading(teller),
            build_reproduction(teller),
            build_references(teller),
            build_cautions(teller),
        ),
        legend=build_legend(teller),
        wide=True,
        labels=(
            *(
                (name, say(f"page.{name}"))
                for name in ("contents", "legend", "caution", "cautions")
            ),
            ("skip", say("research.skip")),
            ("paper", say("research.paper")),
        ),
        footer=teller.wording.say_all(
            "page.footer",
            {
                "version": study.version,
                "files": join_words([file.name for file in study.log.files]),
            },
        ),
    )
