"""Whether a window matters at all: four looks at its curve, one p value.

The contrast that is printed compares chances at two values, where a curve of several columns is
known from the few pieces nearby. Whether the setting matters is a larger question, and all pieces
answer it. So a fourth look joins the three that are printed (low end to middle, middle to high
end, low end to high end, as changes of chances): the middle half of the pieces against the two
outer quarters, each quarter counted alike, on the scale of the linear predictor.

It is what makes a window a window, read from averages over the pieces instead of three points.
All four are 0 if the setting changes nothing, and they lie in three dimensions (the three printed
ones in two, but for pieces of a glaze that was not tried at some of the values), so that the
largest |t| has a p value by `resampling.joint`, as that of the three had. It is a multiple
contrast test for an effect that may go up, down, or up and down again.

A setting that matters somewhere is not yet a number that can be printed: the p value of an effect
is this one only where the printed contrast is itself clear at 5 % after its three looks, else the
larger of both. So no p value under 0.05 stands beside a 95 % interval that holds 0.

References
----------
Stewart & Ruberg (2000), Detecting dose response with contrasts, Statistics in Medicine 19,
913-921: two or more well-chosen contrasts are worth their multiplicity (volume and pages from
memory). Bretz & Hothorn (2002), Detecting dose-response using contrasts: asymptotic power and
sample size determination for binomial data, Statistics in Medicine, doi:10.1002/sim.1324: trend
tests as multiple contrast tests. What this one does is measured in
tests/effects/test_window_looks.py and reports/evidence.
"""

from collections.abc import Sequence

import numpy as np

from outcomes.design.design import Design, FloatArray, Term
from outcomes.design.matrix import find_term
from outcomes.effects.evidence import Evidence
from outcomes.effects.measured import Measured, strength
from outcomes.resampling.joint import correlate, joint_p
from outcomes.resampling.leverage import corrected_error

CLEAR = 0.05  # the printed contrast must be this clear for the whole curve to speak


def window_p(evidence: Evidence, candidates: Sequence[Measured]) -> float:
    """Return the p value of "this window changes nothing", two-sided.

    Parameters
    ----------
    evidence
        The outcome's fit.
    candidates
        The window's three contrasts as measured, with their standard errors.
    """
    look = build_look(evidence, candidates[0].contrast.factor)
    error, df = corrected_error(look, evidence.pull)
    t = abs(float(look @ evidence.fit.parameters())) / max(error, float(np.finfo(float).tiny))
    clearest = max(candidates, key=strength)
    if strength(clearest) > t:
        t, df = strength(clearest), clearest.df or 1.0
    looks = [*(one.gradient for one in candidates), look]
    return joint_p(t, correlate(looks, evidence.fit.covariance), df)


def effect_p(own: float, whole: float) -> float:
    """Return a window's p value from its printed contrast's own and that of the whole curve.

    >>> effect_p(0.01, 0.0001), effect_p(0.06, 0.0001), effect_p(0.01, 0.2)
    (0.0001, 0.06, 0.2)
    """
    return whole if own <= CLEAR else max(own, whole)


def build_look(evidence: Evidence, factor: str) -> FloatArray:
    """Return what the fourth look adds up from the parameters, shape (q,)."""
    term = find_term(evidence.design.spec, factor)
    look = np.zeros(len(evidence.fit.covariance))
    look[evidence.n_grades - 1 + np.array(term.slots)] = middle_against_ends(evidence.design, term)
    return look


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
