"""What `outcomes check` says: plain text for a terminal, and a document for a machine.

The first line is the row account in a fixed shape, "48 rows read: 47 used, 1 set aside",
because other programs read it. A clean log's text never holds the words a bad cell's does.
"""

from collections.abc import Sequence

from outcomes.finding import Finding, Severity
from outcomes.log.checks import set_impossible_aside
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import firings_graded, outcome_account
from outcomes.report.check_sections import (
    describe_columns,
    describe_files,
    describe_findings,
    describe_outcomes,
    describe_rows,
)
from outcomes.report.plain_lines import wrap_text
from outcomes.report.study_json_log import build_account, build_log_entries

FORMAT = "outcomes-check/1"
# Of two hundred, ten are left for the headings and counts of findings.
MOST_LINES = 190


def describe_check(log: FiringLog, findings: Sequence[Finding], refusal: str | None) -> str:
    """Return everything the check has to say, as lines of at most 100 columns.

    Parameters
    ----------
    log
        As read, or with its impossible values already set aside.
    findings
        Of the checks; those of reading are added where they are not among them.
    refusal
        Why nothing can be learnt; None when something can.
    """
    usable = set_impossible_aside(log)
    told = _all_findings(log, findings)
    before = [
        describe_rows(usable),
        [] if refusal is None else wrap_text(refusal),
        describe_files(usable),
        describe_columns(usable),
    ]
    after = [
        describe_outcomes(usable),
        wrap_text(_closing(told, is_refused=refusal is not None)),
    ]
    room = MOST_LINES - sum(len(lines) + 1 for lines in (*before, *after))
    sections = (*before, describe_findings(usable, told, most_lines=room), *after)
    return "\n\n".join("\n".join(lines) for lines in sections if lines)


def describe_account(log: FiringLog) -> str:
    """Return the row account and every outcome's, for the start of a report's run."""
    usable = set_impossible_aside(log)
    return "\n".join([*describe_rows(usable), *describe_outcomes(usable)])


def check_document(
    log: FiringLog, findings: Sequence[Finding], refusal: str | None
) -> dict[str, object]:
    """Return the same as a tree of plain values, ready for JSON; every number in it is finite.

    Parameters are those of `describe_check`.
    """
    usable = set_impossible_aside(log)
    return {
        "format": FORMAT,
        "refused": refusal,
        "account": build_account(usable.account),
        **build_log_entries(usable),
        "findings": [_finding_entry(finding) for finding in _all_findings(log, findings)],
        "outcomes": [
            {
                "name": name,
                "pieces": graded,
                "firings": firings_graded(usable, usable.codebook.outcome(name)),
                "left_out": [{"reason": reason, "pieces": n} for reason, n in left_out],
            }
            for name, graded, left_out in outcome_account(usable)
        ],
    }


def _all_findings(log: FiringLog, findings: Sequence[Finding]) -> list[Finding]:
    """Return the findings of the checks and of reading, each once, gravest first."""
    gravity = list(Severity)[::-1]
    told = [*(finding for finding in findings if finding not in log.findings), *log.findings]
    return sorted(told, key=lambda finding: gravity.index(finding.severity))


def _finding_entry(finding: Finding) -> dict[str, object]:
    """Return one finding as plain values."""
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
        "advice": finding.advice,
        "column": finding.column,
        "rows": list(finding.rows),
        "file": finding.file,
    }


def _closing(findings: Sequence[Finding], *, is_refused: bool) -> str:
    """Return what can be done next."""
    if is_refused:
        return "Next: mend the log as said above, then run `outcomes check` on it again."
    if any(finding.severity is Severity.PROBLEM for finding in findings):
        return (
            "Next: settle the first warning above; `outcomes report` with the same files writes "
            "the report from what could be read."
        )
    return "Next: `outcomes report` with the same files writes the report."
