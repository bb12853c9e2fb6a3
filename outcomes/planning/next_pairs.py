"""Which values of two settings may meet on one piece.

Two rules. What the maker says must never meet. And on any two numbers whose change means
faster, hotter or closer handling, a planned piece is never further along both at once than some
logged piece was: the hottest pull with the shortest carry is asked for only where somebody has
done both together, or more.
"""

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook, Kind
from outcomes.planning.next_choices import Choice, Value, find_setting
from outcomes.planning.next_limits import hot_sign
from outcomes.planning.next_request import Part

BoolArray = NDArray[np.bool_]
Pairs = Mapping[tuple[int, int], BoolArray]


def build_pairs(
    choices: Sequence[Choice],
    values: pd.DataFrame,
    codebook: Codebook,
    never: Sequence[tuple[Part, Part]],
) -> dict[tuple[int, int], BoolArray]:
    """Return, for each two settings with a rule, which of their values may meet.

    Returns
    -------
    dict
        (j, k) -> array, shape (values of j, values of k), both orders; pairs without a rule
        are left out.
    """
    pairs: dict[tuple[int, int], BoolArray] = {}
    resolved = resolve_never(never, codebook)
    for j, first in enumerate(choices):
        for k, second in enumerate(choices[:j]):
            ok = np.array(
                [
                    [_may_meet((first, a), (second, b), resolved) for b in second.values]
                    for a in first.values
                ]
            )
            ok &= seen_together(first, second, values, codebook)
            if not ok.all():
                pairs[j, k], pairs[k, j] = ok, ok.T
    return pairs


def resolve_never(
    never: Sequence[tuple[Part, Part]], codebook: Codebook
) -> tuple[tuple[Part, Part], ...]:
    """Return the forbidden pairs under canonical names."""

    def named(part: Part) -> Part:
        factor = find_setting(part.factor, codebook, "--never")
        if part.name and factor.kind is Kind.NUMBER:
            raise RequestError(
                f"--never {factor.name}: {part.name!r} was found; a number or LOW:HIGH was "
                f"expected, such as '{factor.name}=3:5'."
            )
        if factor.kind is Kind.LEVELS and part.name not in factor.levels:
            raise RequestError(
                f"--never {factor.name}: {part.name!r} is not among {', '.join(factor.levels)}."
            )
        return Part(factor=factor.name, name=part.name, low=part.low, high=part.high)

    return tuple((named(first), named(second)) for first, second in never)


def _may_meet(
    first: tuple[Choice, Value], second: tuple[Choice, Value], never: Sequence[tuple[Part, Part]]
) -> bool:
    (one, a), (other, b) = first, second
    for left, right in never:
        for x, y in ((left, right), (right, left)):
            if (x.factor, y.factor) == (one.factor, other.factor) and x.holds(a) and y.holds(b):
                return False
    return True


def seen_together(
    first: Choice, second: Choice, values: pd.DataFrame, codebook: Codebook
) -> BoolArray:
    """Return which values are no further along both hot directions than some logged piece."""
    every = np.ones((len(first.values), len(second.values)), dtype=bool)
    signs = [hot_sign(codebook.factor(choice.factor)) for choice in (first, second)]
    if 0.0 in signs:
        return every
    logged = values[[first.factor, second.factor]].dropna().to_numpy(float) * signs
    if not len(logged):
        return ~every
    a = signs[0] * np.array(first.values, dtype=float)
    b = signs[1] * np.array(second.values, dtype=float)
    hotter = (logged[:, 0] >= a[:, None, None]) & (logged[:, 1] >= b[None, :, None])
    return np.asarray(hotter.any(axis=2))
