"""The plan: what to fire next, and what it is expected to tell."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from statistics import median

import numpy as np
import pandas as pd

from outcomes.card import describe_line, render_card
from outcomes.log.codebook import Codebook
from outcomes.planning.next_asked import asked_again, asked_outcomes, check_names
from outcomes.planning.next_choices import Choice, Value, build_choices
from outcomes.planning.next_exchange import IntArray
from outcomes.planning.next_expected import Foretold
from outcomes.planning.next_known import Known
from outcomes.planning.next_layout import name_firings, shuffle, usual_firings
from outcomes.planning.next_questions import (
    Unplanned,
    choose_settings,
    find_confirmations,
    find_questions,
    find_unplanned,
)
from outcomes.planning.next_request import PlanRequest
from outcomes.planning.next_task import Task, arrange, build_task, foretell_all, forget_log
from outcomes.planning.next_usual import settle_usual

ALTERNATIVE_STARTS = 20


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Logged:
    """The log a plan adds to.

    Parameters
    ----------
    values : DataFrame
        Of its pieces, impossible values set aside.
    codebook
        Ranges, steps, cautions.
    firings
        Names of its firings.
    usual_pieces
        Pieces in a usual firing: planned when the request names no number.
    """

    values: pd.DataFrame
    codebook: Codebook
    firings: tuple[str, ...] = ()
    usual_pieces: int = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPiece:
    """One piece of the plan: where it stands and every setting of it, (name, value)."""

    firing: str
    place: int
    settings: tuple[tuple[str, Value], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """What another number of firings is expected to tell.

    ``decided`` and ``apart`` count questions; ``width`` is the middle one of the shares of today's
    interval widths that are left, None where no question has an interval yet.
    """

    firings: int
    pieces: int
    decided: int
    apart: int
    width: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NextFirings:
    """A plan.

    Parameters
    ----------
    request
        What was asked.
    confirms
        True when nothing was open, so that the largest changes are asked again.
    firings, usual
        Names of the firings in the order to fire them, and of those that repeat the usual
        settings.
    pieces
        In the order of the sheet.
    varied, settled
        What changes from piece to piece or firing to firing (the glaze included), and what
        stays as usual.
    foretold, alternatives, unplanned
        See their records.
    """

    request: PlanRequest
    confirms: bool
    firings: tuple[str, ...]
    usual: tuple[str, ...]
    pieces: tuple[PlannedPiece, ...]
    varied: tuple[Choice, ...]
    settled: tuple[Choice, ...]
    foretold: tuple[Foretold, ...]
    alternatives: tuple[Alternative, ...]
    unplanned: tuple[Unplanned, ...]

    def _facts(self) -> tuple[tuple[str, object], ...]:
        return (
            ("firings", len(self.firings)),
            ("pieces", len(self.pieces)),
            ("settings varied", len(self.varied)),
            (f"of {len(self.foretold)} questions expected to be decided",
             sum(one.decides for one in self.foretold)),
        )  # fmt: skip

    def __repr__(self) -> str:
        return describe_line("NextFirings", self._facts())

    def _repr_html_(self) -> str:
        rows = [
            (one.firings, one.pieces, one.decided, one.apart,
             None if one.width is None else f"{100 * one.width:.0f} %")
            for one in self.alternatives
        ]  # fmt: skip
        columns = ("firings", "pieces", "decided", "pulled apart", "interval width left")
        return render_card("Next firings", self._facts(), columns, rows)


def plan_firings(
    known: Sequence[Known],
    logged: Logged,
    request: PlanRequest,
    *,
    progress: Callable[[int], None] = lambda _: None,
) -> NextFirings:
    """Return what to fire next.

    Parameters
    ----------
    known
        Every outcome that could be learnt about.
    logged
        The log the plan adds to.
    request
        What was asked for.
    progress
        Called with the number of searches just done, `count_searches` in all.

    Raises
    ------
    RequestError
        If the request does not fit the log, or nothing that may vary is left.

    References
    ----------
    method_in_depth.md §16; Jones & Goos (2007), Applied Statistics 56, 347-364.
    """
    values, codebook = logged.values, logged.codebook
    asked = asked_outcomes(known, request)
    choices = settle_usual(build_choices(values, codebook, request), values, codebook)
    open_now = find_questions(asked, choices, codebook)
    confirms = not open_now
    questions = (open_now or find_confirmations(asked)) + asked_again(
        asked, open_now, request, codebook
    )
    names = choose_settings(questions, choices, codebook, request)
    check_names(names, questions, choices, request, codebook)
    task = build_task(asked, questions, names, choices, values=values, codebook=codebook)
    pieces = request.pieces or logged.usual_pieces
    rng = np.random.default_rng(np.random.SeedSequence(request.seed, spawn_key=(0,)))
    index = arrange(task, request, pieces=pieces, starts=request.starts, rng=rng)
    progress(1)
    ordered, order = shuffle(index, rng)
    starts = min(request.starts, ALTERNATIVE_STARTS)
    later = arrange(forget_log(task), request, pieces=pieces, starts=starts, rng=rng)
    progress(1)
    firing_names = name_firings(request.firings, logged.firings)
    usual = usual_firings(request.firings, request.count_repeats())[order]
    return NextFirings(
        request=replace(request, pieces=pieces),
        confirms=confirms,
        firings=firing_names,
        usual=tuple(n for n, same in zip(firing_names, usual, strict=True) if same),
        pieces=_rows(ordered, task, firing_names),
        varied=task.varied,
        settled=task.settled,
        foretold=foretell_all(task, index, request.confidence, later=later),
        alternatives=_alternatives(task, request, index, progress=progress),
        unplanned=find_unplanned(open_now, names, choices, asked),
    )


def count_searches(request: PlanRequest) -> int:
    """Return how many searches a plan takes: itself, later rounds, other numbers of firings."""
    return 2 + len({*request.alternatives} - {request.firings})


def _rows(index: IntArray, task: Task, firings: Sequence[str]) -> tuple[PlannedPiece, ...]:
    """Return the pieces of an ordered arrangement, every setting written out."""
    same = tuple((choice.factor, choice.usual) for choice in task.settled)
    return tuple(
        PlannedPiece(
            firing=name,
            place=place + 1,
            settings=(
                *(
                    (choice.factor, choice.values[int(piece[j])])
                    for j, choice in enumerate(task.varied)
                ),
                *same,
            ),
        )
        for name, firing in zip(firings, index, strict=True)
        for place, piece in enumerate(firing)
    )


def _alternatives(
    task: Task, request: PlanRequest, index: IntArray, *, progress: Callable[[int], None]
) -> tuple[Alternative, ...]:
    """Return what fewer and more firings would tell, the asked number among them."""
    made, pieces = [], index.shape[1]
    for firings in sorted({*request.alternatives, request.firings}):
        arrangement = index
        if firings != request.firings:
            rng = np.random.default_rng(np.random.SeedSequence(request.seed, spawn_key=(firings,)))
            asked = replace(request, firings=firings, repeats=None)
            starts = min(request.starts, ALTERNATIVE_STARTS)
            arrangement = arrange(task, asked, pieces=pieces, starts=starts, rng=rng)
            progress(1)
        some = foretell_all(task, arrangement, request.confidence)
        left = [one.left for one in some if one.left is not None]
        made.append(
            Alternative(
                firings=firings,
                pieces=firings * pieces,
                decided=sum(one.decides for one in some),
                apart=sum(one.pulls_apart for one in some),
                width=median(left) if left else None,
            )
        )
    return tuple(made)
