"""One search and its forecast, whatever the number of firings."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from outcomes.log.codebook import Codebook
from outcomes.planning.next_choices import Choice
from outcomes.planning.next_exchange import IntArray, Problem, search_plan
from outcomes.planning.next_expected import Foretold, foretell
from outcomes.planning.next_known import Known
from outcomes.planning.next_layout import build_start, usual_firings
from outcomes.planning.next_model import PlanModel, build_plan_model
from outcomes.planning.next_pairs import build_pairs
from outcomes.planning.next_questions import Question
from outcomes.planning.next_request import PlanRequest

FORGOTTEN = 0.01  # of the log's information: enough to keep what is never planned in place


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Task:
    """Everything a search and its forecast need, whatever the number of firings."""

    known: tuple[Known, ...]
    models: tuple[PlanModel, ...]
    questions: tuple[tuple[Question, ...], ...]
    varied: tuple[Choice, ...]
    settled: tuple[Choice, ...]
    values: pd.DataFrame
    codebook: Codebook


def build_task(
    known: Sequence[Known],
    questions: Sequence[Question],
    names: Sequence[str],
    choices: dict[str, Choice],
    *,
    values: pd.DataFrame,
    codebook: Codebook,
) -> Task:
    """Return what is searched for: outcomes that have a question about a planned setting."""
    glaze = (codebook.glaze,) if codebook.glaze in choices else ()
    varied = tuple(choices[name] for name in (*glaze, *names))
    settled = {n: c for n, c in choices.items() if n not in {*glaze, *names}}
    mine = [tuple(q for q in questions if _belongs(q, one, names)) for one in known]
    pairs = [(one, some) for one, some in zip(known, mine, strict=True) if some]
    models = tuple(
        build_plan_model(one, some, planned=varied, settled=settled, codebook=codebook)
        for one, some in pairs
    )
    return Task(
        known=tuple(one for one, _ in pairs),
        models=models,
        questions=tuple(some for _, some in pairs),
        varied=varied,
        settled=tuple(settled.values()),
        values=values,
        codebook=codebook,
    )


def arrange(
    task: Task,
    request: PlanRequest,
    *,
    pieces: int,
    starts: int,
    rng: np.random.Generator,
) -> IntArray:
    """Return the best arrangement found, index (F, m, J)."""
    glaze = task.codebook.glaze
    start = build_start(task.varied, glaze=glaze, firings=request.firings, pieces=pieces)
    everything = (*task.varied, *task.settled)
    pairs = build_pairs(everything, task.values, task.codebook, request.never)
    wide = np.zeros((*start.shape[:2], len(everything)), dtype=np.int64)
    wide[..., : len(task.varied)] = start
    found = search_plan(
        Problem(
            models=task.models,
            sizes=np.array([len(c.values) for c in task.varied] + [1] * len(task.settled)),
            hard=np.array([c.hard for c in everything]),
            fixed=np.array([c.factor == glaze for c in everything]),
            start=wide,
            repeats=usual_firings(request.firings, request.count_repeats()),
            pairs=pairs,
        ),
        starts=starts,
        rng=rng,
    )
    return found.index[..., : len(task.varied)]


def forget_log(task: Task) -> Task:
    """Return the task as if next to nothing were known: what rounds look like in the long run."""
    models = tuple(replace(model, full=FORGOTTEN * model.full) for model in task.models)
    return replace(task, models=models)


def foretell_all(
    task: Task, index: IntArray, confidence: float, *, later: IntArray | None = None
) -> tuple[Foretold, ...]:
    """Return what an arrangement is expected to tell about every question.

    ``later`` is what rounds after it look like; None: the same again.
    """
    after = index if later is None else later
    return tuple(
        foretell(one, model, question, place, rounds=(index, after), confidence=confidence)
        for one, model, some in zip(task.known, task.models, task.questions, strict=True)
        for place, question in enumerate(some)
    )


def _belongs(question: Question, one: Known, names: Sequence[str]) -> bool:
    return question.outcome == one.outcome.name and question.factor in names
