"""The columns a plan needs that the model does not hold: of settings that never varied."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from outcomes.design.design import Design, FloatArray, Term
from outcomes.design.shapes import TREND, build_term_columns, level_columns
from outcomes.effects.support import value_columns
from outcomes.log.codebook import Role, Shape
from outcomes.planning.next_choices import Choice


def find_plan_term(design: Design, choice: Choice) -> Term:
    """Return a setting's term: the model's own, else a straight one or one with levels.

    A new term spans about one unit over what may be chosen, so that the ridge means for it what
    it means for every other column.
    """
    for term in design.spec.terms:
        if term.factor == choice.factor:
            return term
    name = choice.factor
    if isinstance(choice.usual, str):
        others = tuple(str(value) for value in choice.values if value != choice.usual)
        levels = (choice.usual, *others)
        return Term(
            factor=name,
            role=Role.SETTING,
            shape=Shape.LEVELS,
            columns=level_columns(name, levels),
            slots=(),
            levels=levels,
        )
    numbers = np.array([choice.usual, *choice.values], dtype=float)
    return Term(
        factor=name,
        role=Role.SETTING,
        shape=Shape.STRAIGHT,
        columns=(name,),
        slots=(),
        centre=float(choice.usual),
        scale=float(np.ptp(numbers)) or 1.0,
    )


def old_columns(design: Design, term: Term, choice: Choice) -> FloatArray:
    """Return a setting's columns for the log's pieces, shape (n, columns of the term)."""
    if term.slots:
        return design.X[:, list(term.slots)]
    values = pd.Series([choice.usual] * len(design.y))
    if term.factor in design.frame:
        logged = design.frame[term.factor].reset_index(drop=True)
        values = logged.where(logged.notna(), choice.usual)
    return build_term_columns(values, term)


def new_columns(term: Term, choice: Choice) -> FloatArray:
    """Return a setting's columns at each value that may be chosen, shape (values, columns)."""
    return np.array([value_columns(term, value) for value in choice.values])


def settled_columns(
    design: Design, planned: Sequence[str], usual: dict[str, Choice]
) -> tuple[list[int], FloatArray]:
    """Return the slots of everything not planned, and what the new pieces will hold there.

    Settings stand at their usual value, people at the commonest, the trend at its last day;
    the weather is not known and stands at the log's average.
    """
    slots: list[int] = []
    values: list[float] = []
    for term in design.spec.terms:
        if term.factor in planned:
            continue
        slots += term.slots
        values += _settled(design, term, usual.get(term.factor)).tolist()
    return slots, np.array(values)


def _settled(design: Design, term: Term, usual: Choice | None) -> FloatArray:
    columns = design.X[:, list(term.slots)]
    if usual is not None:
        return value_columns(term, usual.usual)
    if term.role is Role.GROUPING:
        commonest = np.unique(columns, axis=0, return_counts=True)
        return np.asarray(commonest[0][int(np.argmax(commonest[1]))])
    return np.asarray(columns.max(axis=0) if term.factor == TREND else columns.mean(axis=0))
