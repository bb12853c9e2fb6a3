"""Rows of text kept by column: every distinct text once, and which of them each row holds.

A million pieces are a few hundred distinct texts in most columns. Kept so, a log takes half the
room of rows of cells, and each text is looked at once.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, count
from typing import TypeAlias, overload

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Row: TypeAlias = tuple[int, tuple[str, ...]]
Texts: TypeAlias = NDArray[np.object_]
Positions: TypeAlias = NDArray[np.int64]

# Where most cells are texts of their own, as names of pieces are, looking each up as it comes
# takes four times as long as all at once.
FEWEST_OWN = 10_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TextColumn:
    """One column of cells.

    Parameters
    ----------
    codes
        Shape (n,): the place in ``distinct`` of each row's text.
    distinct
        The texts; each is held by some row.
    """

    codes: NDArray[np.int32]
    distinct: Texts

    def spread(self) -> Texts:
        """Return the text of each row, shape (n,)."""
        return self.distinct.take(self.codes)

    def marks(self, holds: Callable[[str], bool]) -> NDArray[np.bool_]:
        """Return which rows hold a text of which something holds; each text is asked once."""
        marks: NDArray[np.bool_] = np.array(list(map(holds, self.distinct)), dtype=bool)
        return marks.take(self.codes)

    def take(self, positions: Positions) -> "TextColumn":
        """Return the column with these rows only, and their texts only."""
        codes = self.codes[positions]
        used = np.bincount(codes, minlength=len(self.distinct)) > 0
        if used.all():
            return TextColumn(codes=codes, distinct=self.distinct)
        new = np.cumsum(used, dtype=np.int32) - 1
        return TextColumn(codes=new.take(codes), distinct=self.distinct[used])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TextRows(Sequence[Row]):
    """Rows of equal width, ``(row number as a spreadsheet shows it, cells)`` each.

    Parameters
    ----------
    numbers
        Row numbers, shape (n,), ascending.
    columns
        Each of length n.
    """

    numbers: NDArray[np.int64]
    columns: tuple[TextColumn, ...]

    def __len__(self) -> int:
        """Return how many rows there are."""
        return len(self.numbers)

    @overload
    def __getitem__(self, at: int) -> Row: ...

    @overload
    def __getitem__(self, at: slice) -> "TextRows": ...

    def __getitem__(self, at: int | slice) -> "Row | TextRows":
        """Return one row, or some."""
        if isinstance(at, slice):
            return self.take(np.arange(len(self), dtype=np.int64)[at])
        cells = tuple([column.distinct[column.codes[at]] for column in self.columns])
        return int(self.numbers[at]), cells

    def take(self, positions: Positions) -> "TextRows":
        """Return the rows at these positions."""
        return TextRows(
            numbers=self.numbers[positions],
            columns=tuple(column.take(positions) for column in self.columns),
        )

    def pick(self, places: Iterable[int]) -> "TextRows":
        """Return the rows with these columns only."""
        return TextRows(numbers=self.numbers, columns=tuple(self.columns[at] for at in places))

    def find_longest(self) -> tuple[int, int]:
        """Return how many characters the longest cell has, and the first row with one such."""
        each = [max(map(len, column.distinct), default=0) for column in self.columns]
        longest = max(each, default=0)
        rows = [
            self.numbers[column.marks(lambda text: len(text) == longest)][0]
            for column, length in zip(self.columns, each, strict=True)
            if longest and length == longest
        ]
        return longest, min(map(int, rows), default=0)

    def without_blank(self) -> "TextRows":
        """Return the rows in which something other than spaces is written."""
        blank = np.ones(len(self), dtype=bool)
        for column in self.columns:
            blank &= column.marks(lambda text: not text.strip())
            if not blank.any():
                return self
        return self.take(np.flatnonzero(~blank))


class TextRowsBuilder:
    """Takes rows of one width, some at a time, so that equal texts are one from the beginning."""

    def __init__(self, width: int) -> None:
        self._columns = [_ColumnBuilder() for _ in range(width)]
        self._numbers: list[NDArray[np.int64]] = []

    def add(self, numbers: NDArray[np.int64], rows: Sequence[Sequence[str]]) -> None:
        """Take rows with their numbers."""
        self._numbers.append(numbers)
        cells = zip(*rows, strict=True) if rows else [()] * len(self._columns)
        for column, texts in zip(self._columns, cells, strict=True):
            column.add(texts)

    def build(self) -> TextRows:
        """Return all rows taken."""
        numbers = np.concatenate(self._numbers)
        return TextRows(numbers=numbers, columns=tuple(each.build() for each in self._columns))


class _ColumnBuilder:
    """One column while rows are taken: equal texts are one as long as that pays."""

    def __init__(self) -> None:
        # A text met for the first time gets the next number.
        self._places: defaultdict[str, int] = defaultdict(count().__next__)
        self._codes: list[NDArray[np.int32]] = []
        self._rows = 0
        self._others: list[tuple[str, ...]] = []

    def add(self, texts: tuple[str, ...]) -> None:
        """Take some cells."""
        if self._others or len(self._places) > max(FEWEST_OWN, self._rows / 2):
            self._others.append(texts)
            return
        found = map(self._places.__getitem__, texts)
        self._codes.append(np.fromiter(found, dtype=np.int32, count=len(texts)))
        self._rows += len(texts)

    def build(self) -> TextColumn:
        """Return all cells taken."""
        distinct = np.fromiter(self._places, dtype=object, count=len(self._places))
        column = TextColumn(codes=np.concatenate(self._codes), distinct=distinct)
        self._places.clear()
        self._codes.clear()
        return column if not self._others else self._with_others(column)

    def _with_others(self, first: TextColumn) -> TextColumn:
        others = np.fromiter(chain.from_iterable(self._others), dtype=object)
        codes, distinct = pd.factorize(np.concatenate([first.spread(), others]))
        self._others.clear()
        return TextColumn(codes=codes.astype(np.int32), distinct=distinct)


def gather_rows(rows: Sequence[Row], width: int) -> TextRows:
    """Return rows of one width by column.

    >>> gather_rows([(2, ("Tarn", "3")), (5, ("Tarn", ""))], 2)[1]
    (5, ('Tarn', ''))
    """
    builder = TextRowsBuilder(width)
    numbers = np.array([number for number, _ in rows], dtype=np.int64)
    builder.add(numbers, [cells for _, cells in rows])
    return builder.build()
