"""A study in a few lines: what its pages say first, cautions in their place."""

from outcomes.errors import RequestError
from outcomes.planning.next_plan import NextFirings
from outcomes.report.check_text import describe_account
from outcomes.report.document import Block, Callout, Paragraph, Statements
from outcomes.report.leader import build_leader_document
from outcomes.report.maker_takeaways import build_takeaways
from outcomes.report.plan_page import build_plan_document
from outcomes.report.section_text import render_blocks, render_section
from outcomes.report.teller import build_teller
from outcomes.study.record import Study

_LEADER = ("glance", "suggestions")


def describe_study(study: Study, *, reader: str = "maker") -> str:
    """Return what a maker or a leader reads first, lines of at most 100 columns.

    Raises
    ------
    RequestError
        If nothing is told to a reader of that name in plain lines.
    """
    if reader == "leader":
        sections = build_leader_document(study).sections
        told = [render_section(section) for section in sections if section.key in _LEADER]
        return _join([line for lines in told for line in lines])
    if reader != "maker":
        raise RequestError(
            f"Nothing is told to {reader!r} in plain lines. Name maker or leader; "
            "write_study makes the pages of all readers."
        )
    return _join(_describe_maker(study))


def describe_next_firings(study: Study, plan: NextFirings) -> str:
    """Return what a plan's page says first, lines of at most 100 columns."""
    first = build_plan_document(study, plan).sections[0]
    return _join(render_blocks(first.blocks))


def _describe_maker(study: Study) -> list[str]:
    """Return the take-away; what it says of other sections of the page is said otherwise."""
    teller = build_teller(study)
    blocks = build_takeaways(teller).blocks
    places = [at for at, block in enumerate(blocks) if isinstance(block, Statements | Callout)]
    lead: tuple[Block, ...] = blocks[: places[0]] if places else blocks
    said = tuple(block for block in blocks if isinstance(block, Statements))
    honest = tuple(block for block in blocks if isinstance(block, Callout))
    rest = Paragraph(text=teller.wording.say("study_text.rest"))
    account = describe_account(study.log).splitlines()
    return [*account, "", *render_blocks((*lead, *said, rest, *honest))]


def _join(lines: list[str]) -> str:
    return "\n".join(lines).strip().replace("\u202f", " ")
