"""The same pieces fitted with other columns, without the certificate of a first fit."""

from dataclasses import replace

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.effects.evidence import Evidence
from outcomes.model.fit import CumulativeFit
from outcomes.model.likelihood import (
    Pieces,
    evaluate,
    gradient_by_firing,
    information_by_firing,
)
from outcomes.model.newton import climb_one
from outcomes.model.standardise import centre_spread


def refit_columns(
    evidence: Evidence, X: FloatArray, *, start: FloatArray | None = None
) -> CumulativeFit:
    """Return the fit of other columns for the same pieces.

    Parameters
    ----------
    evidence
        Whose pieces, thresholds to start from and options are taken.
    X : array, shape (n, p')
        The columns.
    start : array, shape (p',), optional
        Slopes to start from; default zeros.

    Returns
    -------
    CumulativeFit
        Parameters, likelihoods and covariance are its own; the certificate is the old fit's.
    """
    design, cuts = evidence.design, evidence.n_grades - 1
    weights = np.ones(len(design.y))
    centre, spread = centre_spread(X, weights)
    pieces = Pieces(X=X - centre, y=design.y, weights=weights, n_grades=evidence.n_grades)
    slopes = np.zeros(X.shape[1]) if start is None else start
    # Seen from the middle of their columns the thresholds of any such fit lie close together.
    thresholds = evidence.fit.thresholds - design.X.mean(axis=0) @ evidence.fit.slopes
    arrival = climb_one(
        np.concatenate([thresholds, slopes]),
        pieces=pieces,
        options=evidence.fit.options,
        scale=np.concatenate([np.ones(cuts), spread]),
    )
    at, slopes = arrival.at, arrival.parameters[cuts:]
    back = np.eye(cuts + X.shape[1])
    back[:cuts, cuts:] = centre
    inverse = np.linalg.pinv(at.information + np.diag(at.penalty_information), hermitian=True)
    return replace(
        evidence.fit,
        thresholds=arrival.parameters[:cuts] + centre @ slopes,
        slopes=slopes,
        covariance=back @ inverse @ back.T,
        log_likelihood=at.log_likelihood,
        penalised_log_likelihood=at.log_likelihood + at.penalty,
    )


def step_without_firings(evidence: Evidence, X: FloatArray, fit: CumulativeFit) -> FloatArray:
    """Return the parameters without each firing, by one Newton step from a fit, shape (G, q).

    Notes
    -----
    ``theta - (H - H_g)^-1 U_g``, H the penalised information of all pieces, H_g and U_g the
    firing's own. One firing moves the fit little, so a step arrives close to the refit (a test
    holds how close) at a hundredth of its price: enough to compare forecasts, not to make
    intervals from.
    """
    design = evidence.design
    pieces = Pieces(X=X, y=design.y, weights=np.ones(len(design.y)), n_grades=evidence.n_grades)
    at = evaluate(fit.parameters(), pieces, fit.options)
    whole = at.information + np.diag(at.penalty_information)
    own = information_by_firing(X, design.y, evidence.n_grades, design.firing, fit)
    pull = gradient_by_firing(pieces, firing=design.firing, fit=fit)
    step = np.linalg.solve(whole - own, pull[..., None])[..., 0]
    return np.asarray(fit.parameters() - step)
