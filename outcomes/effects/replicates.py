"""A fit and its whole-firing redraws: what is needed to ask a model a further question."""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.model.fit import CumulativeFit, ManyFits
from outcomes.model.prediction import predict_reach
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import expanded_percentile


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Replicates:
    """One outcome's fit with its redraws.

    Parameters
    ----------
    design, fit
        The outcome's analysis table and its fit.
    parameters : array, shape (1 + B, q)
        The fit's own parameters, then those of every redraw with finite values.
    confidence
        Of the intervals to be made.
    """

    design: Design
    fit: CumulativeFit
    parameters: FloatArray
    confidence: float

    @property
    def n_firings(self) -> int:
        """Return G."""
        return len(self.design.firing_names)

    @property
    def slopes(self) -> FloatArray:
        """Return the slopes, the fit's own first, shape (1 + B, p)."""
        return self.parameters[:, len(self.design.grades) - 1 :]

    def reach(self, X: FloatArray) -> FloatArray:
        """Return the chance of the aim of some rows of columns, shape (1 + B, n)."""
        link = self.fit.options.link
        return predict_reach(X, self.parameters, len(self.design.grades), self.design.aim, link)

    def spread(self, drawn: FloatArray) -> FloatArray:
        """Return the covariance of quantities over the redraws, shape (d, d).

        Redrawing G firings shows (G - 1) / G of the variance; that is made good.
        """
        inflated = self.n_firings / (self.n_firings - 1.0)
        return np.atleast_2d(np.cov(drawn[1:].T)) * inflated

    def interval(self, drawn: FloatArray, *, looks: int = 1) -> Interval:
        """Return the interval of one quantity, shape (1 + B,), for ``looks`` of them together."""
        confidence = 1.0 - (1.0 - self.confidence) / max(1, looks)
        return expanded_percentile(drawn[1:], self.n_firings, confidence)


def build_replicates(
    design: Design, fit: CumulativeFit, redraws: ManyFits, *, confidence: float = 0.95
) -> Replicates:
    """Return a fit with those of its redraws that have finite values."""
    finite = redraws.values[np.isfinite(redraws.values).all(axis=1)]
    return Replicates(
        design=design,
        fit=fit,
        parameters=np.vstack([fit.parameters(), finite]),
        confidence=confidence,
    )
