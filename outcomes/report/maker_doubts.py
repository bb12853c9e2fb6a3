"""The reasons to doubt in one list: what kind, and where each is told in full."""

from outcomes.finding import Finding
from outcomes.report.document import ItemList, Paragraph, Section
from outcomes.report.doubts_in_place import spoken_findings
from outcomes.report.teller import Teller
from outcomes.report.wording import mid_sentence
from outcomes.study.record import OutcomeStudy


def build_doubts(teller: Teller) -> list[Section]:
    """Return the list, one line a kind of doubt; nothing when the checks are silent."""
    say = teller.wording.say
    found: dict[str, list[str]] = {}
    outcomes: list[str] = []
    for part in teller.study.outcomes:
        for finding in spoken_findings(part):
            found.setdefault(finding.code, []).append(_name(finding, part, teller))
            outcomes.append(part.outcome.name)
    if not found:
        return []
    lines = tuple(
        say(
            "doubts.line",
            {"what": _describe_kind(code, teller), "items": "; ".join(dict.fromkeys(names))},
        )
        for code, names in found.items()
    )
    how = say("doubts.how", {"n": len(set(outcomes))})
    return [
        Section(
            key="unknown-doubts",
            title=say("doubts.title"),
            blocks=(Paragraph(text=how), ItemList(items=lines)),
        )
    ]


def _describe_kind(code: str, teller: Teller) -> str:
    key = f"doubts.{code}"
    return teller.wording.say(key if key in teller.wording.texts else "doubts.other")


def _name(finding: Finding, part: OutcomeStudy, teller: Teller) -> str:
    """Return "seconds to the can (luster)", or the outcome alone."""
    outcome = mid_sentence(part.outcome.label)
    if not finding.column or finding.column == part.outcome.name:
        return outcome
    label = mid_sentence(teller.label(finding.column))
    return teller.wording.say("doubts.item", {"label": label, "outcome": outcome})
