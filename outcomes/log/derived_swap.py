"""Two logs of the same pieces: one with what was logged, one with the computed quantity.

"Pull temperature and seconds" against "temperature at the can": build the same design from both
logs and compare how well each predicts firings it has not seen. The pieces are the same to
the row, so that the comparison is paired.
"""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook, Factor, Role
from outcomes.log.computed import COMPUTED_NOTE, QUANTITIES, Quantity
from outcomes.log.derived import Derived, add_derived, compute_quantity, drop_computed, find_label
from outcomes.log.firing_log import FiringLog, RowAccount, RowSetAside
from outcomes.log.quoting import list_words

WORTH_SAYING = 0.02
"""Smallest difference in skill that is called one: 2 in 100 of the usual error."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Swap:
    """Two explanations of the same pieces.

    Parameters
    ----------
    logged
        The log with its own factors, only the pieces for which the quantity could be computed.
    computed
        The same pieces; the quantity stands in the codebook in place of what it replaces.
    quantity
        What was computed.
    replaced
        The factors that are in ``logged`` and not in ``computed``.

    Notes
    -----
    For the comparison only: nothing of ``computed`` is ranked or advised. The quantity has the
    *role* of what it replaces there, so that a small log drops neither before the other and
    blanks are treated alike. Before comparing, see that each design holds its side:
    ``replaced`` may be missing from a design because it never varied.
    """

    logged: FiringLog
    computed: FiringLog
    quantity: Factor
    replaced: tuple[str, ...]


def swap_for_derived(log: FiringLog, name: str) -> Swap | str:
    """Return the log with and without a computed quantity in place of its ingredients.

    Parameters
    ----------
    log
        As read, impossible values set aside; what `derive_quantities` added is ignored.
    name
        ``"skin_at_can_c"``, ``"mean_at_can_c"``, ``"combustible_per_litre"`` or
        ``"combustible_to_air"``.

    Returns
    -------
    Swap or str
        The sentence why not when no piece has what the quantity needs.

    Raises
    ------
    RequestError
        If there is no quantity of that name.
    """
    quantity = _find_quantity(name)
    plain = drop_computed(log)
    column = compute_quantity(plain, quantity)
    if column is None:
        return _nothing_to_compute(plain, quantity)
    return swap_in(plain, Derived(quantity=quantity, column=column))


def swap_in(plain: FiringLog, made: Derived) -> Swap:
    """Return the log with and without a quantity that was computed for its pieces already.

    Parameters
    ----------
    plain
        Without computed columns, impossible values set aside.
    made
        Computed for this log.
    """
    quantity = made.quantity
    known = np.isfinite(made.column.values)
    derived = add_derived(plain, made)
    reason = f"{quantity.factor.label}: what it is computed from is blank"
    present = {factor.name for factor in plain.codebook.factors} & set(plain.values)
    return Swap(
        logged=_keep(plain, known, reason),
        computed=replace(
            _keep(derived, known, reason), codebook=_swap_factors(plain.codebook, quantity)
        ),
        quantity=quantity.factor,
        replaced=tuple(name for name in quantity.replaces if name in present),
    )


def describe_swap(swap: Swap, *, difference: float, low: float, high: float) -> str:
    """Return the sentence that compares the two explanations.

    Parameters
    ----------
    swap
        What was compared.
    difference, low, high
        Skill on firings left out, computed minus logged (1 is a perfect forecast), and its
        interval.

    Raises
    ------
    RequestError
        If the three are not in order.
    """
    if not low <= difference <= high:
        raise RequestError(
            f"Comparing explanations: found a difference of {difference:g} outside its interval "
            f"{low:g} to {high:g}. Give the interval of this difference."
        )
    logged = list_words([find_label(swap.logged.codebook, name) for name in swap.replaced])
    word = swap.logged.codebook.cluster_word
    stands = stands_apart(difference=difference, low=low, high=high)
    verdict = (
        f"foretells new {word}s better than {logged} as they were written down"
        if stands > 0
        else f"foretells new {word}s worse than {logged} as they were written down"
        if stands < 0
        else f"and {logged} as they were written down cannot be told apart as explanations of "
        f"new {word}s"
    )
    return (
        f"{swap.quantity.label} {verdict} (difference in skill {difference:+.2f}, from "
        f"{low:+.2f} to {high:+.2f}); {COMPUTED_NOTE}."
    )


def stands_apart(*, difference: float, low: float, high: float) -> int:
    """Return 1 where the computed quantity foretells better, -1 worse, 0 where it is open.

    Notes
    -----
    A difference under `WORTH_SAYING` is never one: where neither side matters, the side with
    a column less foretells a little better for that reason alone, in nearly every firing.

    >>> stands_apart(difference=0.003, low=0.001, high=0.005)
    0
    """
    if abs(difference) < WORTH_SAYING:
        return 0
    return int(low > 0) - int(high < 0)


def _find_quantity(name: str) -> Quantity:
    for quantity in QUANTITIES:
        if quantity.factor.name == name:
            return quantity
    known = list_words([quantity.factor.name for quantity in QUANTITIES], last="or")
    raise RequestError(f"Computed quantities: found {name!r}, expected {known}. Ask for one.")


def _nothing_to_compute(log: FiringLog, quantity: Quantity) -> str:
    needs = list_words([find_label(log.codebook, name) for name, _ in quantity.needs])
    return (
        f"{quantity.factor.label} needs {needs} written for the same "
        f"{log.codebook.piece_word}, which this log does not have."
    )


def _swap_factors(codebook: Codebook, quantity: Quantity) -> Codebook:
    """Return a codebook with the quantity where the first factor it replaces stood."""
    stand_in = replace(quantity.factor, role=Role.SETTING)
    first = next(f.name for f in codebook.factors if f.name in quantity.replaces)
    swapped = (stand_in if f.name == first else f for f in codebook.factors)
    return replace(codebook, factors=tuple(f for f in swapped if f.name not in quantity.replaces))


def _keep(log: FiringLog, kept: NDArray[np.bool_], reason: str) -> FiringLog:
    """Return the log with only some pieces, the others set aside with the reason."""
    left = log.origin[~kept]
    texts = log.written[~kept].to_numpy(dtype=object)
    lost = tuple(
        RowSetAside(file=str(file), row=int(row), reason=reason, written=" | ".join(text))
        for file, row, text in zip(left["file"], left["row"].to_numpy(int), texts, strict=True)
    )
    account = log.account
    return replace(
        log,
        values=log.values[kept].reset_index(drop=True),
        origin=log.origin[kept].reset_index(drop=True),
        written=log.written[kept].reset_index(drop=True),
        how=log.how[kept].reset_index(drop=True),
        aside=log.aside[kept].reset_index(drop=True),
        unusable=_unusable_of(log, kept),
        account=RowAccount(
            rows_read=account.rows_read,
            rows_used=int(kept.sum()),
            set_aside=(*account.set_aside, *lost),
        ),
    )


def _unusable_of(log: FiringLog, kept: NDArray[np.bool_]) -> pd.DataFrame:
    """Return the unusable cells of the pieces that stay."""
    stay = set(zip(log.origin["file"][kept], log.origin["row"][kept], strict=True))
    cells = zip(log.unusable["file"], log.unusable["row"], strict=True)
    return log.unusable[[cell in stay for cell in cells]].reset_index(drop=True)
