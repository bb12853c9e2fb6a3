"""How a planned trial is laid out: firings, pieces in each, and who gets which value."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from outcomes.errors import RequestError
from outcomes.model.fit import IntArray
from outcomes.planning.plan import Unit
from outcomes.resampling import permutation

MOST_FIRINGS: Final = 500
MOST_PIECES: Final = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """One trial to be.

    Parameters
    ----------
    firings
        G.
    sizes
        Pieces in a firing: one number, or those observed, of which each firing draws one.
    assigned
        Whether whole firings or the pieces within each get their value by lot.
    values
        How many values are assigned in equal parts; two of them are compared.
    blocks
        Groups within which the lot is drawn: of firings, or of the pieces of a firing.
    """

    firings: int
    sizes: tuple[int, ...]
    assigned: Unit
    values: int = 2
    blocks: int = 1

    def __post_init__(self) -> None:
        if not self.values <= self.firings <= MOST_FIRINGS:
            raise RequestError(
                f"{self.firings} firings were asked for; {self.values} to {MOST_FIRINGS} can be "
                f"simulated. Write for example --firings 8,12,24."
            )
        least = 1 if self.assigned is Unit.FIRING else self.values
        if not self.sizes or not least <= min(self.sizes) <= max(self.sizes) <= MOST_PIECES:
            told = ", ".join(str(size) for size in sorted(set(self.sizes))) or "No"
            raise RequestError(
                f"{told} pieces a firing were asked for; {least} to {MOST_PIECES} can be "
                f"simulated where the lot falls on each {self.assigned}. Write for example "
                f"--pieces 4,6,8."
            )

    def mean_size(self) -> float:
        """Return the pieces a firing holds on average."""
        return float(np.mean(self.sizes))

    def size_variation(self) -> float:
        """Return the coefficient of variation of the sizes."""
        return float(np.std(self.sizes) / np.mean(self.sizes))


def draw_side_sizes(layout: Layout, trials: int, *, rng: np.random.Generator) -> IntArray:
    """Return how many pieces of each firing are on either side of the comparison.

    Parameters
    ----------
    layout
        The trial.
    trials
        B.
    rng
        Draws the size of each firing where they vary.

    Returns
    -------
    int array, shape (B, G, 2)
        The first value and the second; what has another value is left out. The values go
        round firings, or round the pieces of each firing starting one further every time.
    """
    if len(set(layout.sizes)) == 1:
        sizes = np.full((trials, layout.firings), layout.sizes[0], dtype=np.int64)
    else:
        sizes = rng.choice(np.array(layout.sizes, dtype=np.int64), (trials, layout.firings))
    sides = np.arange(2)
    start = np.arange(layout.firings) % layout.values
    if layout.assigned is Unit.FIRING:
        return np.asarray(sizes[..., None] * (start[:, None] == sides), dtype=np.int64)
    # Pieces s, s + k, s + 2k ... of a firing have the side's value, s its first such piece.
    first = (sides - start[:, None]) % layout.values
    return np.asarray((sizes[..., None] - first + layout.values - 1) // layout.values)


def smallest_p(layout: Layout, *, two_sided: bool = True) -> float:
    """Return the smallest p value the permutation test of such a trial can reach.

    Where there are too many ways to draw the lot to look at all of them, it is that of the
    ways drawn instead.

    Examples
    --------
    >>> smallest_p(Layout(firings=6, sizes=(8,), assigned=Unit.FIRING))
    0.1
    >>> smallest_p(Layout(firings=8, sizes=(8,), assigned=Unit.FIRING, blocks=4))
    0.125
    """
    value, stratum = _lay_units(layout)
    compared = value < 2
    arms, stratum = value[compared] == 1, stratum[compared]
    if permutation.count_arrangements(arms, stratum) > permutation.EXACT_UP_TO:
        return 1.0 / (permutation.DRAWN + 1.0)
    return permutation.smallest_p(arms, stratum, two_sided=two_sided)


def _lay_units(layout: Layout) -> tuple[IntArray, IntArray]:
    """Return the value and the stratum of every unit of the lot, in the smallest sizes."""
    firing = np.arange(layout.firings)
    if layout.assigned is Unit.FIRING:
        return firing % layout.values, firing * layout.blocks // layout.firings
    size = min(layout.sizes)
    piece, firing = np.tile(np.arange(size), layout.firings), np.repeat(firing, size)
    block = piece * layout.blocks // size
    return (piece + firing) % layout.values, firing * layout.blocks + block
