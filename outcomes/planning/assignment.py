"""The list a plan draws: which piece, or which firing, gets which value.

Every value comes equally often where the numbers allow it: in each firing (and block) where
pieces are assigned, in each block of firings where firings are. What is left over is dealt from
a shuffled pack that goes on from one firing to the next, so that it evens out over the trial.
"""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Final

import numpy as np
import pandas as pd

from outcomes.planning.plan import Plan, PlannedFactor, Unit, Value

FIRING: Final = "firing"  # column of the list: the firing's number, from 1
PIECE: Final = "piece"  # the piece's number in its firing, from 1
_LIST_STREAM: Final = 1  # keeps the lot apart from every other use of the plan's seed


def draw_assignment(plan: Plan) -> pd.DataFrame:
    """Return the assignment list; the same plan gives the same list.

    Returns
    -------
    DataFrame, shape (firings * pieces, ...)
        ``firing`` and ``piece`` (numbers from 1), the block columns, the planned factors.
    """
    firing = np.repeat(np.arange(plan.firings), plan.pieces)
    piece = np.tile(np.arange(plan.pieces), plan.firings)
    frame = pd.DataFrame({FIRING: firing + 1, PIECE: piece + 1})
    frame = frame.assign(**_lay_blocks(plan, firing, piece))
    for number, factor in enumerate(plan.factors):
        key = np.random.SeedSequence(plan.seed, spawn_key=(_LIST_STREAM, number))
        rng = np.random.default_rng(key)
        frame = frame.assign(**{factor.name: _draw_factor(frame, factor, rng=rng)})
    return frame


def row_names(drawn: pd.DataFrame) -> tuple[list[str], list[str]]:
    """Return the run sheet's names of the firings and the pieces of a drawn list."""
    firings = [name_firing(number) for number in drawn[FIRING]]
    pieces = [name_piece(f, p) for f, p in zip(drawn[FIRING], drawn[PIECE], strict=True)]
    return firings, pieces


def name_firing(number: int) -> str:
    """Return what a run sheet calls a firing.

    >>> name_firing(3)
    'T03'
    """
    return f"T{number:02d}"


def name_piece(firing: int, piece: int) -> str:
    """Return what a run sheet calls a piece.

    >>> name_piece(3, 1)
    'T03-1'
    """
    return f"{name_firing(firing)}-{piece}"


def _lay_blocks(plan: Plan, firing: np.ndarray, piece: np.ndarray) -> dict[str, pd.Series]:
    """Return the block columns: of whole firings in turn, of pieces within each firing."""
    of_firings = _columns_of(plan, Unit.FIRING)
    of_pieces = [name for name in _columns_of(plan, Unit.PIECE) if name not in of_firings]
    return {
        **_lay(plan, of_firings, at=firing, of=plan.firings),
        **_lay(plan, of_pieces, at=piece, of=plan.pieces),
    }


def _columns_of(plan: Plan, unit: Unit) -> list[str]:
    """Return the block columns of the factors assigned to a unit, each once."""
    named = [name for f in plan.factors if f.assigned_to is unit for name in f.blocks]
    return list(dict.fromkeys(named))


def _lay(plan: Plan, names: Sequence[str], *, at: np.ndarray, of: int) -> dict[str, pd.Series]:
    """Return columns that split ``of`` places into equal runs, one a combination of blocks."""
    cells = list(product(*(plan.block_values(name) for name in names)))
    which = at * len(cells) // of
    return {
        name: pd.Series([cells[cell][place] for cell in which], dtype=object)
        for place, name in enumerate(names)
    }


def _draw_factor(
    frame: pd.DataFrame, factor: PlannedFactor, *, rng: np.random.Generator
) -> pd.Series:
    """Return one factor's values by lot."""
    by = [*factor.blocks] if factor.assigned_to is Unit.FIRING else [FIRING, *factor.blocks]
    units = frame
    if factor.assigned_to is Unit.FIRING:
        units = frame.drop_duplicates(FIRING).reset_index(drop=True)
    pack = _deal(factor.values, rng)
    drawn: list[Value] = [factor.values[0]] * len(units)
    groups = units.groupby(by, sort=False).indices.values() if by else [np.arange(len(units))]
    for members in groups:
        each, left = divmod(len(members), len(factor.values))
        hand = [*factor.values] * each + [next(pack) for _ in range(left)]
        for place, value in zip(members, rng.permutation(len(hand)), strict=True):
            drawn[place] = hand[value]
    if factor.assigned_to is Unit.FIRING:
        drawn = [drawn[number - 1] for number in frame[FIRING]]
    return pd.Series(drawn, dtype=object if isinstance(drawn[0], str) else np.float64)


def _deal(values: Sequence[Value], rng: np.random.Generator) -> Iterator[Value]:
    """Yield values for ever, a freshly shuffled pack after every pack."""
    while True:
        yield from (values[place] for place in rng.permutation(len(values)))
