"""Intraclass correlations: how much of the spread of grades lies between pieces.

They treat the steps of the scale as equally wide, so they stand in the tables for researchers
and never decide a word.
"""

from dataclasses import dataclass

import numpy as np

from outcomes.model.fit import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class IntraclassCorrelations:
    """The six forms of Shrout & Fleiss.

    ``one_way``: each piece by other graders; ``agreement``: graders drawn at random, their
    offsets count; ``consistency``: these graders, offsets do not count. ``mean_``: of the mean
    of all graders instead of one grade.
    """

    one_way: float
    agreement: float
    consistency: float
    mean_one_way: float
    mean_agreement: float
    mean_consistency: float


def intraclass_correlations(grades: FloatArray) -> IntraclassCorrelations | None:
    """Return the six intraclass correlations of pieces graded by everybody.

    Parameters
    ----------
    grades : array, shape (n, k)
        No gaps; at least two pieces and two graders.

    Returns
    -------
    IntraclassCorrelations or None
        None when there are too few, or all grades are one.

    References
    ----------
    Shrout & Fleiss (1979), Psychological Bulletin 86, 420-428, doi:10.1037/0033-2909.86.2.420.
    """
    n, k = grades.shape
    if min(n, k) < 2 or np.ptp(grades) == 0.0:
        return None
    mean, by_piece, by_grader = grades.mean(), grades.mean(axis=1), grades.mean(axis=0)
    between = k * float(((by_piece - mean) ** 2).sum()) / (n - 1)
    judges = n * float(((by_grader - mean) ** 2).sum()) / (k - 1)
    within = float(((grades - by_piece[:, None]) ** 2).sum()) / (n * (k - 1))
    left = grades - by_piece[:, None] - by_grader + mean
    residual = float((left**2).sum()) / ((n - 1) * (k - 1))
    return IntraclassCorrelations(
        one_way=_ratio(between - within, between + (k - 1) * within),
        agreement=_ratio(
            between - residual, between + (k - 1) * residual + k * (judges - residual) / n
        ),
        consistency=_ratio(between - residual, between + (k - 1) * residual),
        mean_one_way=_ratio(between - within, between),
        mean_agreement=_ratio(between - residual, between + (judges - residual) / n),
        mean_consistency=_ratio(between - residual, between),
    )


def _ratio(part: float, whole: float) -> float:
    return part / whole if whole > 0.0 else float("nan")
