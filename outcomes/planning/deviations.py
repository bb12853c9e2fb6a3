"""Where a log and its plan differ: said, never forbidden."""

from collections.abc import Iterator

import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import has_column, positions_of, rows_at
from outcomes.log.quoting import count_of, list_words
from outcomes.planning.counting import BoolArray, fired_before, is_undated
from outcomes.planning.deviations_copies import check_copies
from outcomes.planning.deviations_list import check_list
from outcomes.planning.deviations_size import check_size, check_values
from outcomes.planning.plan import Plan, SealState, Unit
from outcomes.planning.seal import check_seal, compute_seal
from outcomes.planning.trial import Examined

_ORDER = (Severity.PROBLEM, Severity.WARNING, Severity.NOTE)


def find_deviations(
    plan: Plan, log: FiringLog, tested: tuple[Examined, ...], *, counted: BoolArray
) -> tuple[Finding, ...]:
    """Return everything in which the log differs from the plan, the gravest first."""
    found = [
        *check_the_seal(plan),
        *check_dates(plan, log),
        *check_size(plan, log, counted=counted),
        *check_copies(log, counted=counted),
        *check_values(plan, log, counted=counted),
        *check_list(plan, log, counted=counted),
        *check_adjusted(plan, log),
        *(finding for one in tested for finding in check_strata(one)),
    ]
    return tuple(sorted(found, key=lambda finding: _ORDER.index(finding.severity)))


def check_the_seal(plan: Plan) -> Iterator[Finding]:
    """Say when the plan is not the one that was sealed."""
    state = check_seal(plan)
    if state is SealState.BROKEN:
        yield Finding(
            code="seal_broken",
            severity=Severity.PROBLEM,
            message=f"The plan was changed after it was sealed: its seal says {plan.seal[:12]}…, "
            f"its content gives {compute_seal(plan)[:12]}….",
            advice="Say what was changed and why, or test the plan as it was sealed.",
        )
    if state is SealState.MISSING:
        yield Finding(
            code="seal_missing",
            severity=Severity.PROBLEM,
            message="The plan was never sealed, so nothing shows that it is older than its data.",
            advice="Seal a plan with `outcomes declare` before the first firing.",
        )


def check_dates(plan: Plan, log: FiringLog) -> Iterator[Finding]:
    """Say which pieces are older than the plan, counted or not, and which carry no date."""
    piece = log.codebook.piece_word
    if not has_column(log, log.codebook.date):
        yield Finding(
            code="no_dates",
            severity=Severity.WARNING,
            message="The log has no dates, so nothing shows that its pieces are younger than the "
            "plan.",
            advice=f"Add a column {log.codebook.date or 'fired_on'}.",
        )
        return
    declared, first = pd.Timestamp(plan.declared_on), pd.Timestamp(plan.counts_from)
    left_out = fired_before(log, first)
    if left_out.any():
        yield Finding(
            code="older_left_out",
            severity=Severity.NOTE,
            message=f"{count_of(int(left_out.sum()), piece)} fired before "
            f"{plan.counts_from.isoformat()} did not count, as the plan says.",
            advice="Nothing to do: what gave the idea cannot test it.",
            rows=_rows(log, left_out),
        )
    early = fired_before(log, declared) & ~left_out
    if early.any():
        yield Finding(
            code="older_than_plan",
            severity=Severity.PROBLEM,
            message=f"{count_of(int(early.sum()), piece)} counted although fired before the plan "
            f"was declared on {plan.declared_on.isoformat()}.",
            advice="A question that was asked after looking is no test: say so wherever you tell "
            "the answer.",
            rows=_rows(log, early),
        )
    undated = is_undated(log)
    if undated.any():
        yield Finding(
            code="undated",
            severity=Severity.WARNING,
            message=f"{count_of(int(undated.sum()), piece)} counted without a date.",
            advice="Write the dates: nothing shows that these are younger than the plan.",
            rows=_rows(log, undated),
        )


def check_adjusted(plan: Plan, log: FiringLog) -> Iterator[Finding]:
    """Say what could not be allowed for."""
    missing = [name for name in plan.adjust_for if not has_column(log, name)]
    if missing:
        yield Finding(
            code="not_adjusted",
            severity=Severity.WARNING,
            message=f"The plan allows for {list_words(missing)}, which the log does not have, so "
            "it was not allowed for.",
            advice="Add the column to the log.",
        )


def check_strata(tested: Examined) -> Iterator[Finding]:
    """Say where pieces were lost and where only one of the two values was left."""
    name = tested.hypothesis.name
    for reason, number in tested.left_out:
        yield Finding(
            code="pieces_missing",
            severity=Severity.WARNING,
            message=f"Hypothesis {name!r}: {count_of(number, 'piece')} {reason} could not be used.",
            advice="Grade every piece that was loaded, the broken ones too: pieces are seldom "
            "lost by chance.",
        )
    if tested.idle_strata:
        place = "blocks" if tested.unit is Unit.FIRING else "firings (or blocks within them)"
        total = tested.strata + tested.idle_strata
        yield Finding(
            code="one_value_only",
            severity=Severity.WARNING,
            message=f"Hypothesis {name!r}: in {tested.idle_strata} of {total} {place} only "
            "one of the two values is left; these say nothing in the test.",
            advice="Fire both values in each.",
        )


def _rows(log: FiringLog, mask: BoolArray) -> tuple[int, ...]:
    return rows_at(log, positions_of(pd.Series(mask)))
