"""Columns that let one factor act differently on every glaze.

The slope of glaze k is the common slope plus a deviation that is pulled toward 0. Every glaze
has one, the commonest too: with one of them taken as the reference, the pull would depend on
which. A column of deviations is the factor's own column on that glaze's pieces and 0 elsewhere,
times a width: under the fit's weak penalty a narrow column is pulled hard, a wide one hardly.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.design.design import Design, FloatArray, IntArray
from outcomes.design.matrix import find_term
from outcomes.design.shapes import pooled_names


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Deviations:
    """The columns of glaze-specific deviations of one factor.

    Parameters
    ----------
    glazes
        Names, commonest first; rare ones under the name they are counted under.
    of : array, shape (n,)
        Which glaze each piece has, a position in ``glazes``.
    slots : array, shape (c,)
        The factor's columns in the design.
    columns : array, shape (n, K c)
        Width 1; glaze by glaze.
    """

    glazes: tuple[str, ...]
    of: IntArray
    slots: IntArray
    columns: FloatArray


def build_deviations(design: Design, factor: str, *, glaze: str) -> Deviations | None:
    """Return the deviation columns of a factor; None with fewer than two glazes."""
    if glaze not in design.frame or factor == glaze:
        return None
    names = glaze_names(design, glaze)
    glazes = tuple(str(name) for name in names.value_counts().index)
    if len(glazes) < 2:
        return None
    slots = np.array(find_term(design.spec, factor).slots, dtype=np.int64)
    of = names.map({name: k for k, name in enumerate(glazes)}).to_numpy().astype(np.int64)
    held = np.eye(len(glazes))[of]
    columns = (held[:, :, None] * design.X[:, None, slots]).reshape(len(of), -1)
    return Deviations(glazes=glazes, of=of, slots=slots, columns=columns)


def glaze_names(design: Design, glaze: str) -> pd.Series:
    """Return the glaze of every piece, rare ones under the name they are counted under."""
    names = design.frame[glaze]
    terms = [term for term in design.spec.terms if term.factor == glaze]
    return (pooled_names(names, terms[0]) if terms else names).astype(str)


def fold_deviations(
    parameters: FloatArray, deviations: Deviations, *, widths: FloatArray, glaze: int, cuts: int
) -> FloatArray:
    """Return the parameters that hold for one glaze, in the plain design's columns.

    Parameters
    ----------
    parameters : array, shape (B, q + K c)
        Of the design with deviation columns appended.
    deviations
        Those columns.
    widths : array, shape (c,)
        What they were multiplied by.
    glaze
        Position in ``deviations.glazes``.
    cuts
        Number of thresholds.

    Returns
    -------
    array, shape (B, q)
    """
    c, n_own = len(deviations.slots), parameters.shape[1] - deviations.columns.shape[1]
    folded = parameters[:, :n_own].copy()
    own = parameters[:, n_own + glaze * c : n_own + (glaze + 1) * c]
    folded[:, cuts + deviations.slots] += own * widths
    return folded
