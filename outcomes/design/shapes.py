"""How one factor becomes columns.

straight
    One column, (x - median) / scale.
window
    Two columns, u = (x - median) / scale and u². A quadratic rather than a spline: with
    12-60 firings it costs one column less, cannot wiggle between the few temperatures a
    studio tries, and its best value has a closed form with an exact interval (Fieller). It
    becomes straight with fewer than 12 distinct values or 40 pieces (method.md §4).
saturating
    One column, log(x + one practical step): it bends without costing a column, so it is
    kept however few distinct values there are.
levels
    One column a level, the commonest level being the reference.

The scale is the practical step or two standard deviations, whichever is larger. A weak
penalty acts per unit of scale. Per practical step alone it would be vanishingly weak on a
column that spans thirty steps (seconds logged from 3 to 60) and a slope there tiny; per two
standard deviations (Gelman 2008, doi:10.1002/sim.3107) every column, a yes/no one included,
spans about one unit, so the penalty means the same thing for all. The step still rules where
the log spans less than one of them: a slope is then not asked to exceed what one step does.
"""

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import FloatArray, Term
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Factor, Kind, Shape

WINDOW_VALUES = 12
WINDOW_PIECES = 40
RARE_FIRINGS = 3
OTHER = "other"
TREND = "date_trend"


def build_term(
    factor: Factor, values: pd.Series, firing: NDArray[np.int64]
) -> tuple[Term, tuple[Finding, ...]]:
    """Return one factor's term, its column positions still to be given.

    Parameters
    ----------
    factor
        From the codebook.
    values : Series, shape (n,)
        Without blanks.
    firing : array, shape (n,)
        Firing number of each piece.
    """
    between = bool((pd.Series(values).groupby(firing).nunique() <= 1).all())
    if factor.kind is Kind.NUMBER:
        term, findings = _number_term(factor, values)
    else:
        term, findings = _level_term(factor, values, firing)
    return replace(term, between=between), findings


def build_term_columns(values: pd.Series, term: Term) -> FloatArray:
    """Return a factor's columns for any values, shape (n, number of columns).

    A level the log never held is given the reference's columns: nothing is known about it.
    """
    if term.shape is Shape.LEVELS:
        names = pooled_names(values, term)
        return np.column_stack([(names == level).to_numpy(float) for level in term.levels[1:]])
    numbers = values.to_numpy(float)
    if term.shape is Shape.SATURATING:
        numbers = np.log(numbers + term.offset)
    unit = (numbers - term.centre) / term.scale
    if term.shape is Shape.WINDOW:
        return np.column_stack([unit, unit**2])
    return unit[:, None]


def pooled_names(values: pd.Series, term: Term) -> pd.Series:
    """Return a factor's levels with the rare ones under the name they are counted under."""
    return values.map(dict(term.pooled)).where(lambda s: s.notna(), values)


def straighten(term: Term) -> Term:
    """Return a window's term as a straight one."""
    return replace(term, shape=Shape.STRAIGHT, columns=term.columns[:1], slots=term.slots[:1])


def pool_level(term: Term, level: str) -> Term:
    """Return a term in which one level is counted with the reference level."""
    moved = tuple((name, term.levels[0] if to == level else to) for name, to in term.pooled)
    levels = tuple(name for name in term.levels if name != level)
    return replace(
        term,
        levels=levels,
        columns=level_columns(term.factor, levels),
        slots=(),
        pooled=(*moved, (level, term.levels[0])),
    )


def level_columns(factor: str, levels: tuple[str, ...]) -> tuple[str, ...]:
    """Return the column names of a factor's levels, the reference left out.

    >>> level_columns("quench", ("none", "mist"))
    ('quench=mist',)
    """
    return tuple(f"{factor}={level}" for level in levels[1:])


def _number_term(factor: Factor, values: pd.Series) -> tuple[Term, tuple[Finding, ...]]:
    """Return the term of a numeric factor."""
    step = factor.step or 0.0
    shape, findings = _choose_shape(factor, values)
    offset = (step or 1.0) if shape is Shape.SATURATING else 0.0
    numbers = values.to_numpy(float)
    if shape is Shape.SATURATING:
        middle = float(np.median(numbers)) + offset
        step = float(np.log1p(step / middle))
        numbers = np.log(numbers + offset)
    name = factor.name
    columns = {Shape.WINDOW: (name, f"{name}^2"), Shape.SATURATING: (f"log {name}",)}
    return Term(
        factor=name,
        role=factor.role,
        shape=shape,
        columns=columns.get(shape, (name,)),
        slots=(),
        centre=float(np.median(numbers)),
        scale=max(step, 2.0 * float(np.std(numbers))),
        offset=offset,
    ), findings


def _choose_shape(factor: Factor, values: pd.Series) -> tuple[Shape, tuple[Finding, ...]]:
    """Return the codebook's shape, or straight where a window cannot be seen."""
    if factor.shape is Shape.SATURATING and float(values.min()) < 0:
        return Shape.STRAIGHT, ()
    if factor.shape is not Shape.WINDOW:
        return (Shape.STRAIGHT if factor.shape is Shape.LEVELS else factor.shape), ()
    distinct = int(values.nunique())
    if distinct >= WINDOW_VALUES and len(values) >= WINDOW_PIECES:
        return Shape.WINDOW, ()
    return Shape.STRAIGHT, (
        Finding(
            code="window_straightened",
            severity=Severity.NOTE,
            message=(
                f"{factor.label} may have a best range, but {len(values)} pieces with "
                f"{distinct} distinct values cannot show one ({WINDOW_PIECES} pieces and "
                f"{WINDOW_VALUES} values are needed); it entered as a straight line."
            ),
            advice="Read its effect as the general direction over the values you tried.",
            column=factor.name,
        ),
    )


def _level_term(
    factor: Factor, values: pd.Series, firing: NDArray[np.int64]
) -> tuple[Term, tuple[Finding, ...]]:
    """Return the term of a factor with levels; rare ones of three or more become "other"."""
    seen = values.groupby(values).size().sort_values(ascending=False, kind="stable")
    firings = pd.Series(firing, index=values.index).groupby(values).nunique()
    order = [str(level) for level in seen.index]
    rare = [level for level in order[1:] if firings[level] < RARE_FIRINGS]
    if len(order) < 3:
        rare = []
    pooled = tuple((level, OTHER) for level in rare if level != OTHER)
    levels = [level for level in order if level not in rare]
    if rare and OTHER not in levels:
        levels.append(OTHER)
    term = Term(
        factor=factor.name,
        role=factor.role,
        shape=Shape.LEVELS,
        columns=level_columns(factor.name, tuple(levels)),
        slots=(),
        levels=tuple(levels),
        pooled=pooled,
    )
    return term, _pooled(factor, rare) if len(pooled) > 1 else ()


def _pooled(factor: Factor, rare: list[str]) -> tuple[Finding, ...]:
    named = ", ".join(repr(level) for level in rare[:5])
    more = f" and {len(rare) - 5} more" if len(rare) > 5 else ""
    return (
        Finding(
            code="levels_pooled",
            severity=Severity.NOTE,
            message=(
                f"{factor.label}: {named}{more} each occur in fewer than {RARE_FIRINGS} "
                f"firings and are counted together as '{OTHER}'."
            ),
            advice="Use them in more firings if you want to learn about each of them.",
            column=factor.name,
        ),
    )
