"""Columns that repeat one another exactly, named in words.

The columns enter one by one, most wanted first, and each is projected on those before it
(modified Gram-Schmidt, done twice). A pivoted QR would let column norms decide who stays;
here the written priority decides, and the coefficients of the projection name the set.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.design.design import Excluded, FloatArray, Term
from outcomes.design.shapes import TREND, build_term_columns, pool_level, straighten
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Shape

# A column whose residual is below this share of its own length repeats the others: rounding
# leaves about 1e-15, and a habit that differs on one piece of 10 000 leaves 1e-2.
EXACT = 1e-8


@dataclass(frozen=True, slots=True, kw_only=True)
class Unaliased:
    """Terms with linearly independent columns, and what repeated them."""

    terms: tuple[Term, ...]
    excluded: tuple[Excluded, ...]
    findings: tuple[Finding, ...]


def drop_aliased(terms: tuple[Term, ...], frame: pd.DataFrame, codebook: Codebook) -> Unaliased:
    """Return the terms whose columns are independent, the earlier ones preferred.

    Notes
    -----
    A factor all of whose columns repeat earlier ones is excluded as "aliased", and so is a
    window whose straight part does (its curve would be the other factor's). Of a factor
    with some repeated columns only those go: a window becomes straight, a level is counted
    with the reference, which leaves the fitted probabilities exactly as they were.
    """
    kept: list[Term] = []
    excluded: list[Excluded] = []
    findings: list[Finding] = []
    matrix = np.ones((len(frame), 1))
    for term in terms:
        columns = build_term_columns(frame[term.factor], term)
        free, twins = _independent(columns, matrix, kept)
        if not any(free) or (term.shape is Shape.WINDOW and not free[0]):
            excluded.append(_aliased(term, twins, codebook))
            continue
        if not all(free):
            findings.append(_partly_aliased(term, free, twins, codebook))
            term = _reduce(term, free)  # noqa: PLW2901
            columns = columns[:, free]
        matrix = np.column_stack([matrix, columns])
        kept.append(term)
    return Unaliased(terms=tuple(kept), excluded=tuple(excluded), findings=tuple(findings))


def _independent(
    columns: FloatArray, matrix: FloatArray, kept: list[Term]
) -> tuple[list[bool], tuple[str, ...]]:
    """Return which columns add a direction, and the factors that repeat the others."""
    owner = [""] + [term.factor for term in kept for _ in term.columns]
    free: list[bool] = []
    twins: list[str] = []
    for column in columns.T:
        coefficients = np.linalg.lstsq(matrix, column, rcond=None)[0]
        residual = column - matrix @ coefficients
        is_free = bool(np.linalg.norm(residual) > EXACT * np.linalg.norm(column))
        free.append(is_free)
        if is_free:
            matrix = np.column_stack([matrix, column])
            owner = [*owner, ""]
        else:
            used = np.abs(coefficients) > 1e-6 * np.abs(coefficients).max()
            twins += [name for name, is_used in zip(owner, used, strict=True) if is_used and name]
    return free, tuple(dict.fromkeys(twins))


def _reduce(term: Term, free: list[bool]) -> Term:
    """Return the term without its repeated columns."""
    if term.shape is Shape.WINDOW:
        return straighten(term)
    for level, is_free in zip(term.levels[1:], free, strict=True):
        if not is_free:
            term = pool_level(term, level)
    return term


def _aliased(term: Term, twins: tuple[str, ...], codebook: Codebook) -> Excluded:
    names = _in_words(twins, codebook)
    return Excluded(
        factor=term.factor,
        role=term.role,
        code="aliased",
        reason=(
            f"{_label(term.factor, codebook)}: in this log it always moved together with {names} "
            f"and follows exactly from it, so their effects cannot be told apart."
        ),
        with_factors=twins,
    )


def _partly_aliased(
    term: Term, free: list[bool], twins: tuple[str, ...], codebook: Codebook
) -> Finding:
    gone = ", ".join(name for name, ok in zip(term.columns, free, strict=True) if not ok)
    return Finding(
        code="partly_aliased",
        severity=Severity.WARNING,
        message=(
            f"{_label(term.factor, codebook)}: part of it ({gone}) is exactly determined by "
            f"{_in_words(twins, codebook) or 'its own other part'} in this log and cannot be "
            f"told apart from it."
        ),
        advice="Fire some pieces in which they differ.",
        column=term.factor,
    )


def _in_words(names: tuple[str, ...], codebook: Codebook) -> str:
    return " and ".join(_label(name, codebook) for name in names)


def _label(name: str, codebook: Codebook) -> str:
    """Return a factor's label."""
    if name == TREND:
        return "Drift over the year"
    return codebook.factor(name).label
