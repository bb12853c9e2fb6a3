"""How one factor becomes columns.

straight
    One column, (x - median) / scale.
window
    A natural cubic spline of four columns (see `splines`) with at least 24 firings and 20
    distinct values; else two columns, u = (x - median) / scale and u². A parabola cannot follow
    a window whose effect ends a little way out: it misses the middle and both ends at once.
    Measured (24 and 36 firings of 8 pieces, firing luck 0.7, a Gaussian window 0.7 or 1.25
    standard deviations of the temperatures wide, 150 invented logs each): the printed 95 %
    intervals of the contrasts from the middle to either end held the truth in 3-94 % of the
    logs with the parabola, in 39-97 % with a spline of three columns, in 90-97 % with four.
    It becomes straight with fewer than 12 distinct values or 40 pieces (method.md §4).
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
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import FloatArray, Term
from outcomes.design.firings import is_alike_within
from outcomes.design.splines import choose_knots, choose_turning, spline_columns
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Factor, Kind, Role, Shape

WINDOW_VALUES = 12
WINDOW_PIECES = 40
SPLINE_VALUES = 20
SPLINE_FIRINGS = 24
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
    between = is_alike_within(values, firing)
    if factor.kind is Kind.NUMBER:
        term, findings = _number_term(factor, values)
        if term.shape is Shape.WINDOW and len(np.unique(firing)) >= SPLINE_FIRINGS:
            term = _bend(term, values)
    else:
        term, findings = _level_term(factor, values, firing)
    return replace(term, between=between), findings


def build_term_columns(values: pd.Series, term: Term) -> FloatArray:
    """Return a factor's columns for any values, shape (n, number of columns).

    A level the log never held is given the reference's columns: nothing is known about it.
    """
    return build_array_columns(values.to_numpy(), term)


def build_array_columns(values: NDArray[Any], term: Term) -> FloatArray:
    """Return the same for values without an index, texts as objects."""
    if term.shape is Shape.LEVELS:
        names = _pool(values, term)
        return np.column_stack([names == level for level in term.levels[1:]]).astype(np.float64)
    numbers = values.astype(np.float64)
    if term.shape is Shape.SATURATING:
        numbers = np.log(numbers + term.offset)
    unit = (numbers - term.centre) / term.scale
    if term.knots:
        return spline_columns(unit, term.knots, term.turning)
    if term.shape is Shape.WINDOW:
        return np.column_stack([unit, unit**2])
    return unit[:, None]


def pooled_names(values: pd.Series, term: Term) -> pd.Series:
    """Return a factor's levels with the rare ones under the name they are counted under."""
    if not term.pooled:
        return values
    return pd.Series(_pool(values.to_numpy(), term), index=values.index, name=values.name)


def _pool(names: NDArray[Any], term: Term) -> NDArray[Any]:
    if not term.pooled:
        return names
    home = dict(term.pooled)
    return np.array([home.get(name, name) for name in names.tolist()], dtype=object)


def straighten(term: Term) -> Term:
    """Return a window's term as a straight one."""
    return replace(
        term,
        shape=Shape.STRAIGHT,
        columns=term.columns[:1],
        slots=term.slots[:1],
        knots=(),
        turning=(),
    )


def soften(term: Term) -> Term:
    """Return a window's term as a parabola."""
    name = term.columns[0]
    return replace(term, columns=(name, f"{name}^2"), slots=(), knots=(), turning=())


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


def _bend(term: Term, values: pd.Series) -> Term:
    """Return a window's term as a spline where the values are many enough."""
    unit = (values.to_numpy(float) - term.centre) / term.scale
    knots = choose_knots(unit)
    if len(np.unique(unit)) < SPLINE_VALUES or not knots:
        return term
    name = term.factor
    return replace(
        term,
        columns=(name, *(f"{name} bend {k}" for k in range(1, len(knots) - 1))),
        knots=knots,
        turning=choose_turning(unit, knots),
    )


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
    """Return the term of a factor with levels, rare ones of three or more pooled.

    A rare level of a *condition* with ordered levels joins its nearest neighbour ("strong"
    wind counts as "light"): a column of its own that one firing carries would vanish from a
    third of the redraws. A rare level of anything else becomes "other", so that what the
    maker chose is never mixed with something she did not.
    """
    codes, names = pd.factorize(values.to_numpy(), sort=True)
    met = np.unique(np.stack([codes, firing]), axis=1)[0]
    firings = dict(zip((str(name) for name in names), np.bincount(met).tolist(), strict=True))
    order = [str(names[code]) for code in np.argsort(-np.bincount(codes), kind="stable")]
    rare = [level for level in order[1:] if firings[level] < RARE_FIRINGS]
    if len(order) < 3:
        rare = []
    levels = [level for level in order if level not in rare]
    homes = [(level, _home(level, levels, factor)) for level in rare]
    pooled = tuple((level, home) for level, home in homes if level != home)
    if OTHER not in levels and any(home == OTHER for _, home in homes):
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
    is_said = len(pooled) > 1 or any(home != OTHER for _, home in pooled)
    return term, _pooled(factor, pooled) if is_said else ()


def _home(level: str, kept: list[str], factor: Factor) -> str:
    """Return the level a rare one is counted with."""
    known = [name for name in factor.levels if name in kept]
    if factor.role is not Role.CONDITION or level not in factor.levels or not known:
        return OTHER
    place = factor.levels.index(level)
    return min(known, key=lambda name: abs(factor.levels.index(name) - place))


def _pooled(factor: Factor, pooled: tuple[tuple[str, str], ...]) -> tuple[Finding, ...]:
    named = ", ".join(f"'{level}' as '{home}'" for level, home in pooled[:5])
    more = f" and {len(pooled) - 5} more" if len(pooled) > 5 else ""
    return (
        Finding(
            code="levels_pooled",
            severity=Severity.NOTE,
            message=(
                f"{factor.label}: what occurs in fewer than {RARE_FIRINGS} firings is counted "
                f"with something else: {named}{more}."
            ),
            advice="Use them in more firings if you want to learn about each of them.",
            column=factor.name,
        ),
    )
