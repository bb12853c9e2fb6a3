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
        """Return the Monte-Carlo standard error of the mean; NaN of fewer than two.

        Of shares (scores of 0 and 1) it is that of two more of each, so that 50 hits in 50 do
        not look certain (Agresti & Coull 1998, The American Statistician 52, 119-126).
        """
        if self.n < 2:
            return math.nan
        if self.squares == self.total:
            share = (self.total + 2.0) / (self.n + 4.0)
            return math.sqrt(share * (1.0 - share) / (self.n + 4.0))
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
    parts = [part.tallies for part in chunks]
    return _jackknife([(p[top].total, p[bottom].total) for p in parts if top in p and bottom in p])


def mean(name: str, chunks: Iterable[Chunk]) -> tuple[float, float]:
    """Return the mean of a score with its Monte-Carlo error.

    Several scores of one log are not independent: their error is the delete-a-chunk jackknife's.
    """
    held = list(chunks)
    tally = add_tallies([{name: c.tallies[name]} for c in held if name in c.tallies])[name]
    logs = sum(chunk.last - chunk.first for chunk in held)
    if tally.n <= logs or len(held) < 2:
        return tally.mean, tally.error
    parts = [chunk.tallies[name] for chunk in held if name in chunk.tallies]
    return _jackknife([(part.total, float(part.n)) for part in parts])


def _jackknife(pairs: list[tuple[float, float]]) -> tuple[float, float]:
    """Return the ratio of the sums of pairs, and its error from leaving out each pair."""
    above, below = (sum(column) for column in zip(*pairs, strict=True)) if pairs else (0.0, 0.0)
    if below == 0.0:
        return math.nan, math.nan
    without = [(above - a) / (below - b) for a, b in pairs if below != b]
    if len(without) < 2:
        return above / below, math.nan
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
