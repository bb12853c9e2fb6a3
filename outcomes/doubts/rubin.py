"""Rubin's rules: one answer from several completed data sets."""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import jackknife_interval


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """A quantity pooled over m completed data sets.

    Parameters
    ----------
    value, error
        Mean, and the square root of the total variance.
    within, between, total
        Mean variance within a data set, variance between them, and ``within + (1 + 1/m)
        between``.
    missing
        Share of the total variance that is due to what is missing (lambda).
    df
        Barnard-Rubin degrees of freedom.
    """

    value: float
    error: float
    within: float
    between: float
    total: float
    missing: float
    df: float

    def interval(self, confidence: float = 0.95) -> Interval:
        """Return the t interval."""
        return jackknife_interval(self.value, self.error, self.df, confidence)


def pool_estimates(values: FloatArray, variances: FloatArray, *, complete_df: float) -> Pooled:
    """Return the pooled estimate.

    Parameters
    ----------
    values, variances : array, shape (m,)
        The quantity and its squared standard error in each completed data set; m at least 2.
    complete_df
        Degrees of freedom had nothing been missing.

    References
    ----------
    Rubin (1987), Multiple Imputation for Nonresponse in Surveys; Barnard & Rubin (1999),
    Biometrika 86, 948-955, doi:10.1093/biomet/86.4.948.

    Examples
    --------
    >>> pooled = pool_estimates(np.array([2.0, 2.0]), np.array([0.5, 0.5]), complete_df=10.0)
    >>> pooled.value, pooled.total, round(pooled.df, 2)
    (2.0, 0.5, 8.46)
    """
    m = len(values)
    within, between = float(variances.mean()), float(values.var(ddof=1))
    total = within + (1.0 + 1.0 / m) * between
    missing = (1.0 + 1.0 / m) * between / total if total > 0.0 else 0.0
    observed = (complete_df + 1.0) / (complete_df + 3.0) * complete_df * (1.0 - missing)
    old = (m - 1) / missing**2 if missing > 0.0 else np.inf
    df = observed if np.isinf(old) else old * observed / (old + observed)
    return Pooled(
        value=float(values.mean()),
        error=float(np.sqrt(total)),
        within=within,
        between=between,
        total=total,
        missing=missing,
        df=float(df),
    )
