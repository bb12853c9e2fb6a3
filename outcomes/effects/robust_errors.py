"""The covariance of thresholds and slopes when pieces of a firing share their luck.

Two estimates, for the researcher: the sandwich ``V (sum_g s_g s_g') V G/(G-1)`` ("CR1", V the
model's covariance, s_g a firing's score), and the delete-a-firing jackknife's. The first is too
small where few firings carry a column, the second errs on the wide side there; the interval of
a slope is the jackknife's with t on G - 1 degrees of freedom.

References
----------
Liang & Zeger (1986), Biometrika 73, 13-22, doi:10.1093/biomet/73.1.13. Cameron & Miller (2015),
Journal of Human Resources 50, 317-372, doi:10.3368/jhr.50.2.317.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.effects.evidence import Evidence
from outcomes.model.likelihood import Pieces, gradient_by_firing
from outcomes.resampling.intervals import FEWEST_FIRINGS, jackknife_covariance


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RobustErrors:
    """Covariances of thresholds then slopes, shape (q, q), and the degrees of freedom G - 1.

    ``jackknife`` is None where a fit without one firing failed.
    """

    sandwich: FloatArray
    jackknife: FloatArray | None
    df: int


def measure_robust_errors(evidence: Evidence) -> RobustErrors | None:
    """Return the covariances by firing; None under the floor of six firings."""
    n_firings = evidence.n_firings
    if n_firings < FEWEST_FIRINGS:
        return None
    design, fit = evidence.design, evidence.fit
    pieces = Pieces(
        X=design.X, y=design.y, weights=np.ones(len(design.y)), n_grades=evidence.n_grades
    )
    scores = gradient_by_firing(pieces, firing=design.firing, fit=fit)
    spread = scores.T @ scores * n_firings / (n_firings - 1.0)
    return RobustErrors(
        sandwich=np.asarray(fit.covariance @ spread @ fit.covariance),
        jackknife=jackknife_covariance(evidence.without) if evidence.jackknife_ok else None,
        df=n_firings - 1,
    )
