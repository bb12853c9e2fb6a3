"""Counts kept instead of logs: how often, how much, how sure.

Every log gives scores, a name and a number each (covered 1 or 0, a width, ...). Scores of one
name are added up as n, sum and sum of squares, so that thousands of logs need a few lines and
two halves of a study can be added.
"""

import json
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

Scores = Iterable[tuple[str, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """n numbers, their sum and the sum of their squares."""

    n: int = 0
    total: float = 0.0
    squares: float = 0.0

    @property
    def mean(self) -> float:
        """Return the mean; NaN of nothing."""
        return self.total / self.n if self.n else math.nan

    @property
    def error(self) -> float:
        """Return the Monte-Carlo standard error of the mean; NaN of fewer than two."""
        if self.n < 2:
            return math.nan
        variance = max(0.0, self.squares - self.total**2 / self.n) / (self.n - 1)
        return math.sqrt(variance / self.n)


Tallies = Mapping[str, Tally]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chunk:
    """The tallies of the logs ``first`` .. ``last - 1`` of one cell."""

    first: int
    last: int
    tallies: Tallies


def add_scores(logs: Iterable[Scores]) -> dict[str, Tally]:
    """Return one tally a name over all the scores of some logs.

    >>> add_scores([[("held", 1.0)], [("held", 0.0)]])["held"].mean
    0.5
    """
    sums: dict[str, list[float]] = {}
    for scores in logs:
        for name, value in scores:
            n, total, squares = sums.get(name, [0.0, 0.0, 0.0])
            sums[name] = [n + 1, total + value, squares + value**2]
    return {
        name: Tally(n=int(n), total=total, squares=squares)
        for name, (n, total, squares) in sums.items()
    }


def add_tallies(parts: Iterable[Tallies]) -> dict[str, Tally]:
    """Return the tallies of all parts together."""
    sums: dict[str, Tally] = {}
    for part in parts:
        for name, tally in part.items():
            so_far = sums.get(name, Tally())
            sums[name] = Tally(
                n=so_far.n + tally.n,
                total=so_far.total + tally.total,
                squares=so_far.squares + tally.squares,
            )
    return sums


def ratio(top: str, bottom: str, chunks: Iterable[Chunk]) -> tuple[float, float]:
    """Return the ratio of two sums with its delete-a-chunk jackknife error."""
    pairs = [
        (part.tallies[top].total, part.tallies[bottom].total)
        for part in chunks
        if top in part.tallies and bottom in part.tallies
    ]
    above, below = (sum(column) for column in zip(*pairs, strict=True)) if pairs else (0.0, 0.0)
    if below == 0.0:
        return math.nan, math.nan
    if len(pairs) < 2:
        return above / below, math.nan
    without = [(above - a) / (below - b) for a, b in pairs if below != b]
    middle = sum(without) / len(without)
    spread = sum((value - middle) ** 2 for value in without)
    return above / below, math.sqrt(spread * (len(without) - 1) / len(without))


def read_chunks(path: Path) -> tuple[Chunk, ...]:
    """Return what a results file holds; a last line cut short by an interruption is passed over.

    The file's lines are chunks in the order they were finished.
    """
    if not path.exists():
        return ()
    chunks = []
    for line in path.read_text(encoding="utf-8").splitlines():
        try:
            held = json.loads(line)
        except json.JSONDecodeError:
            continue
        tallies = {
            name: Tally(n=int(n), total=total, squares=squares)
            for name, (n, total, squares) in held["tallies"].items()
        }
        chunks.append(Chunk(first=held["first"], last=held["last"], tallies=tallies))
    return tuple(sorted(chunks, key=lambda chunk: chunk.first))


def write_chunk(path: Path, chunk: Chunk) -> None:
    """Append one chunk to a results file, a line of its own."""
    tallies = {name: [t.n, t.total, t.squares] for name, t in chunk.tallies.items()}
    line = json.dumps({"first": chunk.first, "last": chunk.last, "tallies": tallies})
    cut_short = path.exists() and not path.read_bytes().endswith(b"\n")
    with path.open("a", encoding="utf-8") as file:
        file.write(("\n" if cut_short else "") + line + "\n")
