"""The sources of every method on the research page, in one list."""

from outcomes.report.document import ItemList, Section
from outcomes.report.teller import Teller


def build_references(teller: Teller) -> Section:
    """Return the maker's page's sources and those that only this page needs, by author."""
    wording = teller.wording
    references = [
        *wording.say_all("method.references"),
        *wording.say_all("research_sources.references"),
    ]
    if teller.study.options.false_discovery == "BY":
        references.append(wording.say("method.references_by"))
    return Section(
        key="references",
        title=wording.say("method.references_title"),
        blocks=(ItemList(items=tuple(sorted(dict.fromkeys(references)))),),
    )
