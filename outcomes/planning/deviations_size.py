"""Whether as many firings, pieces and values were fired as planned."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from outcomes.design.firings import find_firings
from outcomes.finding import Finding, Severity
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import has_column
from outcomes.log.quoting import count_of, list_words
from outcomes.planning.counting import BoolArray
from outcomes.planning.plan import Plan, PlannedFactor, show_value
from outcomes.planning.trial_pieces import has_value


def check_size(plan: Plan, log: FiringLog, *, counted: BoolArray) -> Iterator[Finding]:
    """Say when there are fewer or more firings, or pieces in them, than planned."""
    cluster = log.codebook.cluster_word
    sizes = pd.Series(find_firings(log).labels[counted], dtype=object).value_counts(sort=False)
    if len(sizes) < plan.firings:
        yield Finding(
            code="firings_missing",
            severity=Severity.WARNING,
            message=f"{count_of(len(sizes), cluster)} of the {plan.firings} planned were fired.",
            advice=f"The plan says when to stop: {plan.stopping} Stopping because of what was "
            "seen makes the answer too sure.",
        )
    if len(sizes) > plan.firings:
        yield Finding(
            code="firings_more",
            severity=Severity.WARNING,
            message=f"{count_of(len(sizes), cluster)} counted, {plan.firings} were planned.",
            advice="Going on until the answer pleases makes it too sure: say why more were fired.",
        )
    yield from _check_pieces(plan, log, sizes)


def _check_pieces(plan: Plan, log: FiringLog, sizes: "pd.Series[int]") -> Iterator[Finding]:
    """Say which firings hold fewer or more pieces than planned; ``sizes`` is by firing."""
    cluster, piece = log.codebook.cluster_word, log.codebook.piece_word
    small = [str(name) for name, size in sizes.items() if size < plan.pieces]
    if small:
        missing = int(sum(plan.pieces - size for size in sizes if size < plan.pieces))
        yield Finding(
            code="pieces_fewer",
            severity=Severity.WARNING,
            message=f"{count_of(missing, piece)} missing: {count_of(len(small), cluster)} "
            f"({list_words(small)}) with fewer than the {plan.pieces} planned.",
            advice=f"Write a row for every {piece} loaded, the broken ones too.",
        )
    large = [str(name) for name, size in sizes.items() if size > plan.pieces]
    if large:
        over = int(sum(size - plan.pieces for size in sizes if size > plan.pieces))
        yield Finding(
            code="pieces_more",
            severity=Severity.WARNING,
            message=f"{count_of(over, piece)} too many: {count_of(len(large), cluster)} "
            f"({list_words(large)}) with more than the {plan.pieces} planned.",
            advice="Delete rows that are copies; until then they count twice. If more were fired, "
            "say why: nobody drew their values by lot.",
        )


def check_values(plan: Plan, log: FiringLog, *, counted: BoolArray) -> Iterator[Finding]:
    """Say which values were not planned, and which planned ones never came."""
    for factor in plan.factors:
        if not has_column(log, factor.name):
            yield Finding(
                code="factor_missing",
                severity=Severity.WARNING,
                message=f"The log has no column {factor.name}, which the plan assigns.",
                advice="Add it: nobody can see otherwise who got what.",
                column=factor.name,
            )
            continue
        yield from _check_one(factor, log, counted)


def _check_one(factor: PlannedFactor, log: FiringLog, counted: BoolArray) -> Iterator[Finding]:
    values = log.values[factor.name][counted]
    known = np.any([has_value(values, value) for value in factor.values], axis=0)
    strange = values[~known & values.notna()]
    label = log.codebook.factor(factor.name).label
    if len(strange):
        shown = sorted({show_value(v if isinstance(v, str) else float(v)) for v in strange})
        yield Finding(
            code="unplanned_value",
            severity=Severity.WARNING,
            message=f"{label}: {count_of(len(strange), 'piece')} had a value that was not planned "
            f"({list_words(shown)}).",
            advice="Such pieces enter no comparison; say why they were fired so.",
            column=factor.name,
        )
    unused = [show_value(v) for v in factor.values if not has_value(values, v).any()]
    if unused:
        yield Finding(
            code="value_never_fired",
            severity=Severity.NOTE,
            message=f"{label}: no piece had {list_words(unused)}, which was planned.",
            advice="Nothing to do if no hypothesis needs it.",
            column=factor.name,
        )
    blank = int(values.isna().sum())
    if blank:
        yield Finding(
            code="value_blank",
            severity=Severity.WARNING,
            message=f"{label}: {count_of(blank, 'piece')} without a usable value.",
            advice="Such pieces enter no comparison; fill in what you still know.",
            column=factor.name,
        )
