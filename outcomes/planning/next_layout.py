"""Who stands where: glazes over the firings, usual firings, random order, names."""

from collections.abc import Collection, Sequence

import numpy as np
from numpy.typing import NDArray

from outcomes.errors import RequestError
from outcomes.planning.next_choices import Choice, Value

IntArray = NDArray[np.int64]


def build_start(choices: Sequence[Choice], *, glaze: str, firings: int, pieces: int) -> IntArray:
    """Return every piece at the usual settings, glazes balanced, index (F, m, J).

    Raises
    ------
    RequestError
        If a firing cannot hold every glaze.
    """
    start = np.empty((firings, pieces, len(choices)), dtype=np.int64)
    for j, choice in enumerate(choices):
        start[..., j] = usual_index(choice)
        if choice.factor == glaze:
            count = len(choice.values)
            _check_room(choice, pieces)
            # Dealt round and round, so that what is left over falls on each glaze in turn.
            start[..., j] = np.arange(firings * pieces).reshape(firings, pieces) % count
    return start


def usual_index(choice: Choice) -> int:
    """Return which value is the usual one, or the nearest to it.

    >>> usual_index(Choice(factor="x", values=(900.0, 950.0), usual=930.0))
    1
    """
    if choice.usual in choice.values:
        return choice.values.index(choice.usual)
    if isinstance(choice.usual, str):
        return 0
    return int(np.argmin(np.abs(np.array(choice.values, dtype=float) - choice.usual)))


def usual_firings(firings: int, repeats: int) -> NDArray[np.bool_]:
    """Return which firings repeat the usual settings, before their order is drawn."""
    return np.arange(firings) >= firings - repeats


def shuffle(index: IntArray, rng: np.random.Generator) -> tuple[IntArray, IntArray]:
    """Return the arrangement with firings and places in random order, and that of the firings."""
    order = rng.permutation(len(index))
    return np.array([index[f][rng.permutation(index.shape[1])] for f in order]), order


def name_firings(count: int, taken: Collection[str]) -> tuple[str, ...]:
    """Return names no firing of the log has.

    >>> name_firings(2, {"N1"})
    ('NN1', 'NN2')
    """
    prefix = "N"
    used = {name.casefold() for name in taken}
    while any(f"{prefix}{k + 1}".casefold() in used for k in range(count)):
        prefix += "N"
    return tuple(f"{prefix}{k + 1}" for k in range(count))


def _check_room(choice: Choice, pieces: int) -> None:
    count = len(choice.values)
    if count <= pieces:
        return
    names: tuple[Value, ...] = choice.values
    raise RequestError(
        f"{pieces} pieces a firing were asked for, and {count} glazes are to be in every firing "
        f"({', '.join(map(str, names))}). Ask for at least {count} with --pieces, or name the "
        f"glazes you will use, such as --only 'glaze={names[0]}'."
    )
