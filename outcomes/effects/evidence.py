"""Everything the effects of one outcome are read from, gathered once."""

from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design, FloatArray
from outcomes.effects.support import Reach, build_reach
from outcomes.log.codebook import Codebook
from outcomes.model.fit import CumulativeFit, Link, ManyFits
from outcomes.model.likelihood import Pieces, gradient_by_firing, information_by_firing
from outcomes.resampling.leverage import Pull, build_pull


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evidence:
    """One outcome's design, its fit and its replicates.

    Parameters
    ----------
    design, codebook, fit
        What was fitted.
    redraws : array, shape (B', q)
        Parameters of the redraws whose values are finite.
    without : array, shape (G, q)
        Parameters without each firing.
    information : array, shape (G, q, q)
        What each firing says about the parameters.
    pull
        How much each firing pulls the fit: standard errors are read from it.
    reach
        Distances for the "thin" rule.
    jackknife_ok
        False when a fit without one firing failed.
    """

    design: Design
    codebook: Codebook
    fit: CumulativeFit
    redraws: FloatArray
    without: FloatArray
    information: FloatArray
    pull: Pull
    reach: Reach
    jackknife_ok: bool

    @property
    def n_firings(self) -> int:
        """Return G."""
        return len(self.design.firing_names)

    @property
    def n_grades(self) -> int:
        """Return K, the grades that occur."""
        return len(self.design.grades)

    @property
    def link(self) -> Link:
        """Return the link of the fit."""
        return self.fit.options.link


def build_evidence(
    design: Design,
    codebook: Codebook,
    *,
    fit: CumulativeFit,
    redraws: ManyFits,
    jackknife: ManyFits,
) -> Evidence:
    """Gather what the effects are read from.

    Notes
    -----
    A redraw that needed help (a constant column, a vanished grade) is kept: the penalty gives
    it finite values. Only values that are not finite are left out; they are counted by
    whoever holds the `ManyFits`.
    """
    finite = np.isfinite(redraws.values).all(axis=1)
    usable = jackknife.converged & np.isfinite(jackknife.values).all(axis=1)
    information = information_by_firing(design.X, design.y, len(design.grades), design.firing, fit)
    return Evidence(
        design=design,
        codebook=codebook,
        fit=fit,
        redraws=redraws.values[finite],
        without=jackknife.values,
        information=information,
        pull=build_pull(fit.covariance, information, firing_scores(design, design.X, fit)),
        reach=build_reach(design),
        jackknife_ok=bool(usable.all()),
    )


def firing_scores(design: Design, X: FloatArray, fit: CumulativeFit) -> FloatArray:
    """Return each firing's score at a fit of the design's pieces by columns X, shape (G, q)."""
    pieces = Pieces(X=X, y=design.y, weights=np.ones(len(design.y)), n_grades=len(design.grades))
    return gradient_by_firing(pieces, firing=design.firing, fit=fit)
