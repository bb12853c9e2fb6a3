"""What each firing says about columns that are not in the model.

A firing's efficient score for a column z is its pull on the slope of z at 0, less what the
fitted parameters would take up of it::

    s_g(z) = U_g(z) - H_z H^-1 U_g,      t(z) = sum_g s_g / sqrt(sum_g s_g^2)

Nothing is refitted, so hundreds of columns cost one pass over the pieces. Firings are
independent of one another; under no effect s_g is as likely to pull one way as the other, so
the largest |t| over all columns is compared with what it becomes when whole firings change
their sign at random (a wild bootstrap of the scores). However many columns are looked at, and
however alike they are, the answer is one p value for all of them.

References
----------
Kline & Santos (2012), Journal of Econometric Methods 1, 23-41, doi:10.1515/2156-6674.1006.
Rao & Scott type efficient scores: Boos (1992), The American Statistician 46, 327-333.
"""

from dataclasses import replace

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.model.fit import CumulativeFit
from outcomes.model.likelihood import Pieces, evaluate, gradient_by_firing

FLIPS = 1999  # a p value of 5 % is then known to half of one percent


def efficient_scores(design: Design, fit: CumulativeFit, extra: FloatArray) -> FloatArray:
    """Return each firing's efficient score for every extra column, shape (G, m).

    Parameters
    ----------
    design, fit
        The model without the extra columns.
    extra : array, shape (n, m)
        Columns for the design's pieces.
    """
    X = np.concatenate([design.X, extra], axis=1)
    pieces = Pieces(X=X, y=design.y, weights=np.ones(len(design.y)), n_grades=len(design.grades))
    wider = replace(fit, slopes=np.concatenate([fit.slopes, np.zeros(extra.shape[1])]))
    at = evaluate(wider.parameters(), pieces, fit.options)
    known = len(fit.parameters())
    information = at.information[:known, :known] + np.diag(at.penalty_information[:known])
    scores = gradient_by_firing(pieces, firing=design.firing, fit=wider)
    taken_up = np.linalg.solve(information, at.information[:known, known:])
    return np.asarray(scores[:, known:] - scores[:, :known] @ taken_up)


def score_t(scores: FloatArray) -> FloatArray:
    """Return the t of every column, shape (m,); 0 where no firing says anything.

    >>> score_t(np.array([[1.0, 0.0], [1.0, 0.0]])).round(3).tolist()
    [1.414, 0.0]
    """
    size = np.sqrt(np.sum(scores**2, axis=0))
    return np.asarray(scores.sum(axis=0) / np.where(size > 0.0, size, 1.0))


def largest_t_p(scores: FloatArray, *, rng: np.random.Generator, flips: int = FLIPS) -> float:
    """Return the p value of the largest |t| over all columns.

    Notes
    -----
    ``(1 + how often a flipped set reaches it) / (1 + flips)``: never 0.

    Examples
    --------
    >>> same = np.ones((12, 1))
    >>> largest_t_p(same, rng=np.random.default_rng(1)) < 0.01
    True
    """
    size = np.sqrt(np.sum(scores**2, axis=0))
    scaled = scores[:, size > 0.0] / size[size > 0.0]
    if scaled.shape[1] == 0:
        return 1.0
    signs = 2.0 * rng.integers(0, 2, size=(flips, len(scores))) - 1.0
    seen = float(np.max(np.abs(scaled.sum(axis=0))))
    flipped = np.max(np.abs(signs @ scaled), axis=1)
    reached = int(np.sum(flipped >= seen * (1.0 - 1e-9)))
    return (1 + reached) / (1 + flips)
