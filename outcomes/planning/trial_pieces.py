"""Which pieces of a log answer a hypothesis, and how they could have been assigned."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.firings import find_firings
from outcomes.log.firing_log import FiringLog
from outcomes.log.outcome_account import applies
from outcomes.log.places import has_column
from outcomes.model.fit import FloatArray, IntArray
from outcomes.planning.plan import Hypothesis, Plan, Unit, Value
from outcomes.planning.strata import number_strata
from outcomes.resampling.permutation import Layout

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrialPieces:
    """The pieces of one hypothesis.

    Parameters
    ----------
    positions : int array, shape (n,)
        Rows of ``FiringLog.values``.
    arm : array, shape (n,)
        1 where the piece has the hypothesis' ``to`` value, 0 where it has ``from``.
    grade : int array, shape (n,)
        Level index of the codebook.
    firing : array of str, shape (n,)
    blocks : DataFrame, shape (n, ...)
        The factor's block columns.
    unit
        Piece or firing.
    left_out
        ((reason, pieces), ...).
    """

    positions: IntArray
    arm: FloatArray
    grade: IntArray
    firing: NDArray[np.object_]
    blocks: pd.DataFrame
    unit: Unit
    left_out: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Units:
    """What was assigned, ready to permute: arms (u,), the value of each unit (u,), the layout."""

    arm: FloatArray
    value: FloatArray
    layout: Layout


def find_pieces(
    plan: Plan, hypothesis: Hypothesis, log: FiringLog, *, counted: BoolArray
) -> TrialPieces:
    """Return the counted pieces at either value that carry a grade.

    Parameters
    ----------
    plan, hypothesis, log
        They fit together, see `trial_fit.check_fit`.
    counted : bool array, shape (n,)
        From `counting.find_counted`.
    """
    planned = plan.factor(hypothesis.factor)
    outcome = log.codebook.outcome(hypothesis.outcome)
    values = log.values[hypothesis.factor]
    to = has_value(values, hypothesis.to_value)
    concerned = counted & (to | has_value(values, hypothesis.from_value))
    graded = log.values[outcome.name].notna().to_numpy() & applies(log, outcome).to_numpy(bool)
    blocks = pd.DataFrame(
        {name: block_column(log, name) for name in planned.blocks}, index=log.values.index
    )
    placed = blocks.notna().all(axis=1).to_numpy(bool)
    firing = find_firings(log).labels
    kept = concerned & graded & placed
    mixed = np.zeros(len(kept), dtype=bool)
    if planned.assigned_to is Unit.FIRING:
        mixed = kept & _is_mixed(firing, to, kept)
    usable = np.flatnonzero(kept & ~mixed)
    account = (
        ("without a usable grade", int((concerned & ~graded).sum())),
        ("without a block", int((concerned & graded & ~placed).sum())),
        ("in firings that hold both values", int(mixed.sum())),
    )
    return TrialPieces(
        positions=usable,
        arm=to[usable].astype(np.float64),
        grade=log.values[outcome.name].to_numpy()[usable].astype(np.int64),
        firing=firing[usable],
        blocks=blocks.iloc[usable].reset_index(drop=True),
        unit=planned.assigned_to,
        left_out=tuple((reason, number) for reason, number in account if number),
    )


def take_pieces(pieces: TrialPieces, kept: IntArray, *, reason: str) -> TrialPieces:
    """Return only some of the pieces, the others counted under a reason."""
    lost = len(pieces.positions) - len(kept)
    return replace(
        pieces,
        positions=pieces.positions[kept],
        arm=pieces.arm[kept],
        grade=pieces.grade[kept],
        firing=pieces.firing[kept],
        blocks=pieces.blocks.iloc[kept].reset_index(drop=True),
        left_out=(*pieces.left_out, (reason, lost)) if lost else pieces.left_out,
    )


def build_units(pieces: TrialPieces, values: FloatArray) -> Units:
    """Return the units that were assigned, with the value of each.

    Parameters
    ----------
    pieces
        Of one hypothesis.
    values : array, shape (n,)
        One a piece; a firing's value is the mean over its pieces.
    """
    blocks = [pieces.blocks[name].to_numpy(dtype=object) for name in pieces.blocks.columns]
    firing = number_strata([pieces.firing], length=len(values))
    if pieces.unit is Unit.PIECE:
        stratum = number_strata([firing, *blocks], length=len(values))
        return Units(arm=pieces.arm, value=values, layout=Layout(stratum=stratum, cluster=firing))
    numbers, first, size = np.unique(firing, return_index=True, return_counts=True)
    stratum = number_strata([block[first] for block in blocks], length=len(numbers))
    return Units(
        arm=pieces.arm[first],
        value=np.bincount(firing, values) / size,
        layout=Layout(stratum=stratum, cluster=np.arange(len(numbers), dtype=np.int64)),
    )


def count_two_valued(units: Units) -> int:
    """Return in how many strata both values occur: the others say nothing."""
    stratum = units.layout.stratum
    of_to = np.bincount(stratum, units.arm)
    return int(np.sum((of_to > 0) & (of_to < np.bincount(stratum))))


def has_value(column: pd.Series, value: Value) -> BoolArray:
    """Return where a column holds a planned value; numbers may differ in the seventh digit.

    >>> has_value(pd.Series([16.0, 15.0, None]), 16.0).tolist()
    [True, False, False]
    """
    if isinstance(value, str):
        return np.asarray(column == value, dtype=bool)
    close = np.isclose(column.to_numpy(dtype=np.float64), value, rtol=1e-6, atol=1e-9)
    return np.asarray(close, dtype=bool)


def block_column(log: FiringLog, name: str) -> pd.Series:
    """Return a block column as text, None where blank, also where the codebook lacks it.

    Raises
    ------
    KeyError
        If the log has no such column.
    """
    if has_column(log, name):
        return log.values[name]
    for header in log.aside.columns:
        if _fold(str(header)) == _fold(name):
            written = log.aside[header].astype(str).str.strip().astype(object)
            return written.where(written != "", None)
    raise KeyError(name)


def _fold(header: str) -> str:
    return " ".join(header.replace("_", " ").casefold().split())


def _is_mixed(firing: NDArray[np.object_], to: BoolArray, kept: BoolArray) -> BoolArray:
    """Return the pieces of firings in which both values were used."""
    mean = pd.Series(to.astype(float)).where(kept).groupby(firing).transform("mean")
    return np.asarray((mean > 0) & (mean < 1), dtype=bool)
