"""Whether a log can answer a plan at all; what stands in the way, by line of the plan."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from outcomes.design.firings import find_firings
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import has_column
from outcomes.log.quoting import list_words, quote_text
from outcomes.planning.counting import BoolArray
from outcomes.planning.plan import Hypothesis, Plan, Unit, show_value
from outcomes.planning.plan_problems import PlanProblem
from outcomes.planning.trial_pieces import (
    TrialPieces,
    block_column,
    build_units,
    find_pieces,
    has_value,
)
from outcomes.resampling.permutation import count_arrangements


def check_columns(plan: Plan, log: FiringLog) -> tuple[PlanProblem, ...]:
    """Return the columns a plan needs and the log does not have."""
    found = []
    for at, factor in enumerate(plan.factors):
        if any(h.factor == factor.name for h in plan.hypotheses):
            found += _miss(log, factor.name, ("factors", at, "name"))
    for at, hypothesis in enumerate(plan.hypotheses):
        found += _miss(log, hypothesis.outcome, ("hypotheses", at, "outcome"))
    for column, _ in plan.blocks:
        try:
            block_column(log, column)
        except KeyError:
            found += _miss(log, column, ("blocks", column))
    return tuple(found)


def check_counted(plan: Plan, counted: BoolArray) -> tuple[PlanProblem, ...]:
    """Return the problem that no piece counts, or that there is none."""
    if counted.any():
        return ()
    if not len(counted):
        return (
            PlanProblem(
                place=("firings",),
                found="a log without a single piece",
                expected=f"a row for every piece of the {plan.firings} firings planned",
                remedy="Fill in the run sheet, one row a piece, and test it then.",
            ),
        )
    return (
        PlanProblem(
            place=("counts_from",),
            found=f"{plan.counts_from.isoformat()}, and every piece of the log is older",
            expected="pieces fired on or after that day",
            remedy="Test the firings made for this plan; older ones may have given the idea.",
        ),
    )


def check_pieces(
    plan: Plan, at: int, log: FiringLog, *, counted: BoolArray
) -> tuple[PlanProblem, ...]:
    """Return why a hypothesis cannot be tested with the counted pieces of this log."""
    hypothesis = plan.hypotheses[at]
    found = tuple(_check_values(hypothesis, at, log, counted))
    if found:
        return found
    if found := tuple(_check_blocks_whole(plan, hypothesis, at, log)):
        return found
    pieces = find_pieces(plan, hypothesis, log, counted=counted)
    return tuple(_check_arms(pieces, hypothesis, at, log))


def _miss(log: FiringLog, column: str, place: tuple[int | str, ...]) -> list[PlanProblem]:
    if has_column(log, column):
        return []
    held = [*log.values.columns, *(quote_text(str(name)) for name in log.aside.columns)]
    return [
        PlanProblem(
            place=place,
            found=f"{column!r}, a column this log does not have",
            expected=f"a column of the log, which holds {list_words(held, most=12)}",
            remedy="Add the column to the log, or name the codebook the log was written for.",
        )
    ]


def _check_values(
    hypothesis: Hypothesis, at: int, log: FiringLog, counted: BoolArray
) -> Iterator[PlanProblem]:
    """Both values must occur among the counted pieces."""
    values = log.values[hypothesis.factor]
    for key, value in (("from", hypothesis.from_value), ("to", hypothesis.to_value)):
        if not (has_value(values, value) & counted).any():
            held = [
                each if isinstance(each, str) else f"{each:.4g}"
                for each in sorted(pd.unique(values[counted].dropna()))
            ]
            yield PlanProblem(
                place=("hypotheses", at, key),
                found=f"{show_value(value)}, which no counted piece of the log has",
                expected=f"a value of {hypothesis.factor} in the log: "
                f"{list_words(held, most=8) or 'none is written'}",
                remedy="Fire pieces at that value first, or look whether the log uses another "
                "unit or name for it.",
            )


def _check_blocks_whole(
    plan: Plan, hypothesis: Hypothesis, at: int, log: FiringLog
) -> Iterator[PlanProblem]:
    """Blocks of whole firings must be the same on every piece of a firing."""
    planned = plan.factor(hypothesis.factor)
    if planned.assigned_to is not Unit.FIRING:
        return
    firing = pd.Series(find_firings(log).labels)
    for name in planned.blocks:
        kinds = block_column(log, name).reset_index(drop=True).groupby(firing).nunique()
        torn = [str(label) for label in kinds.index[kinds > 1]]
        if torn:
            yield PlanProblem(
                place=("blocks", name),
                found=f"a block that differs within {list_words(torn)}",
                expected="one block for all pieces of a firing, as whole firings are assigned",
                remedy="Correct the log, or take another column for the blocks.",
            )


def _check_arms(
    pieces: TrialPieces, hypothesis: Hypothesis, at: int, log: FiringLog
) -> Iterator[PlanProblem]:
    """Something must have been able to come out otherwise."""
    outcome = log.codebook.outcome(hypothesis.outcome)
    if len(np.unique(pieces.grade)) < 2:
        found = f"no usable grade of {outcome.name}"
        if len(pieces.grade):
            level = outcome.levels[int(pieces.grade[0])].name
            found = f"{len(pieces.grade)} usable grades of {outcome.name}, all {level!r}"
        yield PlanProblem(
            place=("hypotheses", at, "outcome"),
            found=found,
            expected="pieces of both values with at least two different grades",
            remedy="Grade every piece; where all come out alike there is nothing to compare.",
        )
        return
    units = build_units(pieces, pieces.grade.astype(np.float64))
    if count_arrangements(units.arm, units.layout.stratum) < 2:
        is_firing = pieces.unit is Unit.FIRING
        within = "block" if is_firing else "firing and block"
        whole = "firings" if is_firing else "pieces"
        yield PlanProblem(
            place=("hypotheses", at, "factor"),
            found=f"{len(units.arm)} usable {whole} in {len(np.unique(units.layout.stratum))} "
            f"strata, none of which holds both values",
            expected=f"{whole} of both values within the same {within}",
            remedy="Fire both values there; or, if the values were given to "
            + ("pieces" if is_firing else "whole firings")
            + ", say so with assigned_to.",
        )
