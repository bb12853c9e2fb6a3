"""What the checks of the log ask about: what to settle, what deserves a look, the rest folded.

Findings about one outcome stand with it (see `doubts_in_place`); only its notes come here.
"""

import re
from collections.abc import Sequence

from outcomes.doubts.check_graders import GRADER_UNNAMED, ONE_GRADER
from outcomes.finding import Finding, Severity
from outcomes.report.document import Block, Callout, Depth, ItemList, Paragraph, Section, Tone
from outcomes.report.doubts_in_place import notes_of_outcome
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words

_NAMES_ROWS = re.compile(r"\brows? \d")
NAMED_ROWS = 5
MANY_ALIKE = 4  # findings of one kind that are folded behind the first
# Findings of the whole log that belong to what cannot be told apart (doubts/check_groups.py).
SHARED_HABITS = ("person_moves_with_settings",)
# And these with what the numbers are not, at the head of the page (doubts/check_graders.py).
WHOSE_EYES = (ONE_GRADER, GRADER_UNNAMED)
_SEVERITIES = (
    (Severity.PROBLEM, "problem", Tone.SAFETY),
    (Severity.WARNING, "warning", Tone.HONESTY),
)


def build_findings(teller: Teller) -> Section:
    """Return the part: problems and warnings open, findings of one kind together, notes folded."""
    say, study = teller.wording.say, teller.study
    found = [
        finding for finding in study.findings if finding.code not in (*SHARED_HABITS, *WHOSE_EYES)
    ]
    blocks: list[Block] = []
    for severity, name, tone in _SEVERITIES:
        group = [finding for finding in found if finding.severity is severity]
        if group:
            items, folded = _group(group, teller)
            blocks.append(Callout(title=say(f"reading.{name}"), items=items, tone=tone))
            blocks += folded
    notes = [
        describe_finding(finding, teller) for finding in found if finding.severity is Severity.NOTE
    ]
    notes += [
        describe_finding(finding, teller, outcome=part.outcome.label)
        for part in study.outcomes
        for finding in notes_of_outcome(part)
    ]
    if notes:
        summary = say("reading.note", {"n": len(notes)})
        items = tuple(notes)
        blocks.append(Depth(key="more-notes", summary=summary, blocks=(ItemList(items=items),)))
    if not blocks:
        blocks.append(Paragraph(text=say("reading.findings_none")))
    return Section(key="findings", title=say("reading.findings_title"), blocks=tuple(blocks))


def _group(found: Sequence[Finding], teller: Teller) -> tuple[tuple[str, ...], list[Depth]]:
    """Return one item a finding, or a kind of which there are many, and these folded."""
    say = teller.wording.say
    kinds: dict[str, list[Finding]] = {}
    for finding in found:
        kinds.setdefault(finding.code, []).append(finding)
    items: list[str] = []
    folded: list[Depth] = []
    for code, alike in kinds.items():
        texts = tuple(describe_finding(finding, teller) for finding in alike)
        if len(alike) < MANY_ALIKE:
            items += texts
            continue
        first = _without_file(alike[0].message, teller)
        items.append(say("reading.alike", {"n": len(alike), "message": first}))
        columns = list(dict.fromkeys(f.column for f in alike if f.column))
        summary = say("reading.alike_all", {"n": len(alike)})
        if columns:
            values: dict[str, Value] = {"n": len(alike), "columns": join_words(columns)}
            summary = say("reading.alike_open", values)
        folded.append(
            Depth(key=f"more-{code.replace('_', '-')}", summary=summary,
                  blocks=(ItemList(items=texts),))
        )  # fmt: skip
    return tuple(items), folded


def describe_eyes(teller: Teller) -> tuple[str, ...]:
    """Return what is to be said about whose eyes the grades rest on; often one sentence."""
    found = (finding for finding in teller.study.findings if finding.code in WHOSE_EYES)
    return tuple(describe_finding(finding, teller) for finding in found)


def describe_finding(finding: Finding, teller: Teller, *, outcome: str = "") -> str:
    """Return a finding in one paragraph: what is the case, what to do, which rows."""
    message = _without_file(finding.message, teller)
    values: dict[str, Value] = {"message": message, "advice": finding.advice}
    # Messages about cells name their rows themselves.
    is_silent = bool(finding.rows) and not _NAMES_ROWS.search(finding.message)
    if is_silent:
        values["rows"] = describe_rows_named(finding.rows, teller)
    text = teller.wording.say(
        "reading.finding_rows" if is_silent else "reading.finding", values
    ).strip()
    return f"{outcome}: {text}" if outcome else text


def describe_rows_named(rows: Sequence[int], teller: Teller) -> str:
    """Return "rows 4, 9, 11, 15, 16 and 3 more"."""
    named = ", ".join(str(row) for row in rows[:NAMED_ROWS])
    if len(rows) > NAMED_ROWS:
        named = f"{named} {teller.wording.say('page.rows_more', {'n': len(rows) - NAMED_ROWS})}"
    elif len(rows) > 1:
        named = join_words([str(row) for row in rows])
    return teller.wording.say("page.row_numbers", {"n": len(rows), "rows": named})


def _without_file(message: str, teller: Teller) -> str:
    """Return a message without the name of the file it is about, when there is only one."""
    files = teller.study.log.files
    if len(files) != 1:
        return message
    bare = message.removeprefix(f"{files[0].name}, ").removeprefix(f"{files[0].name}: ")
    return bare[:1].upper() + bare[1:]
