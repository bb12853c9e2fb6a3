"""Whether a window matters at all: four looks at its curve, one p value.

The contrast that is printed compares chances at two values, where a curve of several columns is
known from the few pieces nearby. Whether the setting matters is a larger question, and all pieces
answer it. So four looks are taken at the curve, on the scale of the linear predictor:

* low end to middle, middle to high end, low end to high end, the values that are printed;
* the middle half of the pieces against the two outer quarters, each quarter counted alike.

The last is what makes a window a window, read from averages over the pieces instead of three
points. All are 0 if the setting changes nothing, and lie in three dimensions, so that the largest
|t| of the four has a p value by `resampling.joint`, as that of the three had. It is a multiple
contrast test for an effect that may go up, down, or up and down again.

A setting that matters somewhere is not yet a number that can be printed: the p value of an effect
is this one only where the printed contrast is itself clear at 5 % after its three looks, else the
larger of both. So no p value under 0.05 stands beside a 95 % interval that holds 0.

References
----------
Stewart & Ruberg (2000), Detecting dose response with contrasts, Statistics in Medicine 19,
913-921: two or more well-chosen contrasts are worth their multiplicity. Bretz & Hothorn (2001),
Testing dose-response relationships with a priori unknown, possibly nonmonotone shapes, Journal
of Biopharmaceutical Statistics 11, 193-207. Cited from memory; what the test does is measured in
tests/effects/test_window_looks.py and reports/evidence.
"""

from collections.abc import Sequence

import numpy as np

from outcomes.design.design import Design, FloatArray, Term
from outcomes.design.matrix import find_term
from outcomes.effects.effect import Contrast
from outcomes.effects.evidence import Evidence
from outcomes.effects.support import value_columns
from outcomes.resampling.joint import correlate, joint_p
from outcomes.resampling.leverage import corrected_errors

CLEAR = 0.05  # the printed contrast must be this clear for the whole curve to speak


def window_p(evidence: Evidence, contrasts: Sequence[Contrast]) -> float:
    """Return the p value of "this window changes nothing", two-sided.

    Parameters
    ----------
    evidence
        The outcome's fit.
    contrasts
        The window's three candidates, in the order of `contrasts.choose_contrasts`.
    """
    gradients = build_looks(evidence, contrasts)
    errors, df = corrected_errors(gradients, evidence.pull)
    t = np.abs(gradients @ evidence.fit.parameters()) / np.maximum(errors, np.finfo(float).tiny)
    clearest = int(np.argmax(t))
    shared = correlate(tuple(gradients), evidence.fit.covariance)
    return joint_p(float(t[clearest]), shared, float(df[clearest]))


def build_looks(evidence: Evidence, contrasts: Sequence[Contrast]) -> FloatArray:
    """Return what each look adds up from the parameters, shape (4, q); the new one is last."""
    term = find_term(evidence.design.spec, contrasts[0].factor)
    looks = np.zeros((len(contrasts) + 1, len(evidence.fit.covariance)))
    steps = [_step(term, contrast) for contrast in contrasts]
    slots = evidence.n_grades - 1 + np.array(term.slots)
    looks[:, slots] = [*steps, middle_against_ends(evidence.design, term)]
    return looks


def effect_p(own: float, whole: float) -> float:
    """Return a window's p value from its printed contrast's own and that of the whole curve.

    >>> effect_p(0.01, 0.0001), effect_p(0.06, 0.0001), effect_p(0.01, 0.2)
    (0.0001, 0.06, 0.2)
    """
    return whole if own <= CLEAR else max(own, whole)


def middle_against_ends(design: Design, term: Term) -> FloatArray:
    """Return the mean columns of the middle half of the pieces less those of the outer quarters.

    Returns
    -------
    array, shape (number of columns,)
        An outer quarter without a piece, where values are heaped, is left out.
    """
    values = design.frame[term.factor].to_numpy(float)
    columns = design.X[:, list(term.slots)]
    low, high = np.quantile(values, [0.25, 0.75])
    ends = [columns[side].mean(axis=0) for side in (values < low, values > high) if side.any()]
    middle = columns[(low <= values) & (values <= high)].mean(axis=0)
    return np.asarray(middle - np.mean(ends, axis=0))


def _step(term: Term, contrast: Contrast) -> FloatArray:
    """Return what a contrast adds to the columns of its factor."""
    return value_columns(term, contrast.to_value) - value_columns(term, contrast.from_value)
