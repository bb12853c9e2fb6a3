"""The whole test of a plan, as a table of contents: fit, permute, measure, answer."""

from collections.abc import Callable

import numpy as np

from outcomes import __version__
from outcomes.design.firings import find_firings
from outcomes.effects.effect import Effect
from outcomes.errors import PlanError
from outcomes.log.checks import set_impossible_aside
from outcomes.log.firing_log import FiringLog
from outcomes.planning.answering import answer_all
from outcomes.planning.counting import BoolArray, find_counted
from outcomes.planning.declaring import check_plan
from outcomes.planning.deviations import find_deviations
from outcomes.planning.equivalence import find_equivalence
from outcomes.planning.plan import Direction, Hypothesis, Plan
from outcomes.planning.plan_file import NOWHERE, Where
from outcomes.planning.plan_problems import PlanProblem, describe_plan_problems
from outcomes.planning.seal import check_seal
from outcomes.planning.trial import Examined, Statistic, Trial, TrialOptions
from outcomes.planning.trial_effect import estimate_effect, is_pulled
from outcomes.planning.trial_estimate import TrialModel, build_model, grade_ranks, null_residuals
from outcomes.planning.trial_fit import check_columns, check_counted, check_pieces
from outcomes.planning.trial_pieces import (
    TrialPieces,
    build_units,
    count_two_valued,
    find_pieces,
    take_pieces,
)
from outcomes.resampling.permutation import permutation_test, smallest_p

_TEST_STREAM = 2  # keeps the arrangements drawn apart from the list the plan draws


def run_trial(
    plan: Plan,
    log: FiringLog,
    *,
    options: TrialOptions,
    where: Where = NOWHERE,
    progress: Callable[[int], None],
) -> Trial:
    """Return the answers to a plan.

    Parameters
    ----------
    plan, log
        What was declared and what was fired; values outside the possible range are set aside.
    options
        How long to look.
    where
        The plan's file and lines, for messages.
    progress
        Called with 1 after every hypothesis.

    Raises
    ------
    PlanError
        When the plan does not fit the log; every problem with its line.
    """
    check_plan(plan, log.codebook, where=where)
    usable = set_impossible_aside(log)
    _refuse(check_columns(plan, usable), where)
    counted = find_counted(plan, usable)
    _refuse(check_counted(plan, counted), where)
    every = range(len(plan.hypotheses))
    _refuse(
        tuple(p for at in every for p in check_pieces(plan, at, usable, counted=counted)), where
    )
    tested = []
    for at in every:
        tested.append(_examine(plan, at, usable, counted=counted, options=options))
        progress(1)
    return Trial(
        plan=plan,
        seal=check_seal(plan),
        log=usable,
        answers=answer_all(tested, level=plan.level),
        deviations=find_deviations(plan, usable, tuple(tested), counted=counted),
        pieces=int(counted.sum()),
        firings=len(set(find_firings(usable).labels[counted].tolist())),
        options=options,
        version=__version__,
    )


def _refuse(problems: tuple[PlanProblem, ...], where: Where) -> None:
    if problems:
        raise PlanError(describe_plan_problems(problems, file=where.file, lines=where.lines))


def _examine(
    plan: Plan, at: int, log: FiringLog, *, counted: BoolArray, options: TrialOptions
) -> Examined:
    """Return one hypothesis, permuted and measured."""
    hypothesis = plan.hypotheses[at]
    shuffle, redraw = np.random.SeedSequence(plan.seed, spawn_key=(_TEST_STREAM, at)).spawn(2)
    pieces, model = _prepare(plan, hypothesis, log, counted)
    residuals = None if isinstance(model, str) else null_residuals(model)
    units = build_units(pieces, grade_ranks(pieces.grade) if residuals is None else residuals)
    effect = _measure(model, plan, options, np.random.default_rng(redraw))
    measured = None if isinstance(effect, str) else effect
    two_valued = count_two_valued(units)
    return Examined(
        hypothesis=hypothesis,
        unit=pieces.unit,
        pieces_from=int((pieces.arm == 0).sum()),
        pieces_to=int((pieces.arm == 1).sum()),
        firings=len(set(pieces.firing.tolist())),
        counts_from=_count(pieces, 0.0, hypothesis, log),
        counts_to=_count(pieces, 1.0, hypothesis, log),
        strata=two_valued,
        idle_strata=len(np.unique(units.layout.stratum)) - two_valued,
        smallest_p=smallest_p(
            units.arm, units.layout.stratum, two_sided=hypothesis.direction is Direction.EITHER
        ),
        permutation=permutation_test(
            units.arm,
            units.value,
            units.layout,
            rng=np.random.default_rng(shuffle),
            exact_up_to=options.exact_up_to,
            drawn=options.drawn,
        ),
        statistic=Statistic.RANKS if residuals is None else Statistic.RESIDUALS,
        effect=measured,
        pulled=measured is not None and not isinstance(model, str) and is_pulled(model),
        why_no_effect=effect if isinstance(effect, str) else "",
        equivalence=find_equivalence(hypothesis, measured, level=plan.level),
        left_out=pieces.left_out,
    )


def _prepare(
    plan: Plan, hypothesis: Hypothesis, log: FiringLog, counted: BoolArray
) -> tuple[TrialPieces, TrialModel | str]:
    """Return the pieces with their model, or with the sentence why there is none."""
    pieces = find_pieces(plan, hypothesis, log, counted=counted)
    model = build_model(plan, hypothesis, log, pieces=pieces)
    if isinstance(model, str):
        return pieces, model
    kept = take_pieces(pieces, model.design.rows, reason="without what is allowed for")
    return kept, model


def _measure(
    model: TrialModel | str, plan: Plan, options: TrialOptions, rng: np.random.Generator
) -> Effect | str:
    """Return the difference, or the sentence why there is none."""
    if isinstance(model, str):
        return model
    return estimate_effect(model, resamples=options.resamples, confidence=1.0 - plan.level, rng=rng)


def _count(
    pieces: TrialPieces, arm: float, hypothesis: Hypothesis, log: FiringLog
) -> tuple[int, ...]:
    """Return the pieces of one value at each grade of the codebook."""
    grades = len(log.codebook.outcome(hypothesis.outcome).levels)
    counts = np.bincount(pieces.grade[pieces.arm == arm], minlength=grades)
    return tuple(int(count) for count in counts)
