"""Where each finding about an outcome is told: beside its setting, or with its outcome.

Every finding is told in full exactly once. Notes on how values came to be stand with the
reading of the log; what concerns one setting stands under its sentence; the rest stands at
the head of its outcome.
"""

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Role
from outcomes.study.record import OutcomeStudy

HANGS = "hangs_on_one_firing"
UNEVEN = "differs_by_grade"
NOT_FORETOLD = "does_not_predict"


def doubts_of_setting(part: OutcomeStudy, factor: str) -> tuple[Finding, ...]:
    """Return the findings that stand beside the sentence of one setting."""
    return tuple(f for f in spoken_findings(part) if f.column == factor and factor in _told(part))


def doubts_of_outcome(part: OutcomeStudy) -> tuple[Finding, ...]:
    """Return the findings that stand at the head of an outcome."""
    return tuple(f for f in spoken_findings(part) if f.column not in _told(part))


def notes_of_outcome(part: OutcomeStudy) -> tuple[Finding, ...]:
    """Return the findings that are only said for completeness.

    How well new firings are foretold is not among them: its outcome says it in a sentence.
    """
    notes = (f for f in part.findings if f.severity is Severity.NOTE)
    return tuple(f for f in notes if f.code != NOT_FORETOLD or part.skill is None)


def hangs_on_one_firing(finding: Finding, factor: str) -> bool:
    """Return whether a finding says that one firing decides this factor's effect."""
    return finding.code == HANGS and finding.column == factor


def describe_doubt(finding: Finding) -> str:
    """Return a finding with its advice.

    >>> from outcomes.finding import Severity
    >>> describe_doubt(Finding(code="a", severity=Severity.WARNING, message="So.", advice="Go."))
    'So. Go.'
    """
    return f"{finding.message} {finding.advice}".strip()


def describe_own_doubt(finding: Finding, label: str) -> str:
    """Return a finding under the heading of its outcome, which it need not name again.

    >>> from outcomes.finding import Severity
    >>> found = Finding(code="a", severity=Severity.NOTE, message="Luster: so it is.", advice="")
    >>> describe_own_doubt(found, "Luster")
    'So it is.'
    """
    return drop_label(describe_doubt(finding), label)


def drop_label(text: str, label: str) -> str:
    """Return a sentence without the name of its outcome at the head, under that very heading."""
    rest = text.removeprefix(f"{label}: ")
    return rest[:1].upper() + rest[1:]


def spoken_findings(part: OutcomeStudy) -> tuple[Finding, ...]:
    """Return the findings of an outcome that a reader must weigh."""
    return tuple(f for f in part.findings if f.severity is not Severity.NOTE)


def _told(part: OutcomeStudy) -> frozenset[str | None]:
    """Return the settings that have a sentence of their own."""
    ranked = {place.factor for place in part.ranking}
    return frozenset(
        effect.contrast.factor
        for effect in part.effects
        if effect.contrast.role is Role.SETTING and effect.contrast.factor in ranked
    )
