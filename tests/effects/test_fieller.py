"""Fieller's set against published data, and the band quantile against simulation."""

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from outcomes.effects.bands import band_quantile
from outcomes.effects.fieller import SetKind, build_fieller_set
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, Penalty

PLAIN = FitOptions(penalty=Penalty.NONE)
NORMAL = stats.norm.ppf(0.975)


@pytest.fixture(scope="module")
def hunua(request):
    table = pd.read_csv(request.config.rootpath / "tests" / "reference" / "hunua.csv")
    return table["altitude"].to_numpy() / 100.0, table["agaaus"].to_numpy().astype(np.int64)


@pytest.fixture(scope="module")
def fit(hunua):
    altitude, seen = hunua
    return fit_cumulative(np.column_stack([altitude, altitude**2]), seen, 2, options=PLAIN)


def test_the_fit_of_the_referee_is_ours(fit, reference):
    case = reference("P27_quadratic_optimum")
    ours = np.array([-fit.thresholds[0], *fit.slopes])
    assert case["expected"]["coef"] == pytest.approx(ours, abs=case["tol"]["coef_abs"])


def test_fiellers_set_is_the_referees(fit, reference):
    case = reference("P27_quadratic_optimum")
    found = build_fieller_set(*fit.slopes, fit.covariance[1:, 1:], NORMAL)
    assert found.kind is SetKind.BOUNDED
    assert case["expected"]["optimum"] == pytest.approx(found.top, abs=case["tol"]["abs"])
    assert case["expected"]["fieller"] == pytest.approx(
        [found.low, found.high], abs=case["tol"]["abs"]
    )
    assert case["expected"]["fieller_A"] == pytest.approx(found.curvature, abs=1e-5)


def test_the_profile_interval_of_the_referee_comes_out_of_the_same_engine(hunua, fit, reference):
    # At a fixed top u the parabola has one column, x^2 - 2 u x.
    case, (altitude, seen) = reference("P27_quadratic_optimum"), hunua
    lost = [
        2.0
        * (
            fit.log_likelihood
            - fit_cumulative(
                (altitude**2 - 2.0 * u * altitude)[:, None], seen, 2, options=PLAIN
            ).log_likelihood
        )
        for u in case["expected"]["profile"]
    ]
    # The referee's limits are known to 0.002; the deviance there changes by about 6 a unit.
    assert lost == pytest.approx([stats.chi2.ppf(0.95, 1)] * 2, abs=0.03)


def test_without_clear_curvature_the_set_leaves_out_the_middle_or_nothing():
    covariance = np.diag([0.01, 1.0])
    assert build_fieller_set(2.0, -0.1, covariance, 2.0).kind is SetKind.OUTSIDE
    assert build_fieller_set(0.1, -0.1, covariance, 2.0).kind is SetKind.EVERYTHING


def test_the_band_holds_along_the_whole_curve_at_its_rate():
    rng = np.random.default_rng(4)
    u = np.linspace(-1.0, 1.0, 81)
    rows = np.column_stack([np.ones_like(u), u, u**2, u**3])
    df, draws = 15, 20_000
    errors = rng.normal(size=(draws, 4)) @ rows.T / np.linalg.norm(rows, axis=1)
    largest = np.abs(errors).max(axis=1) / np.sqrt(rng.chisquare(df, draws) / df)
    outside = (largest > band_quantile(rows, np.eye(4), df=df, confidence=0.95)).mean()
    # An upper bound that is nearly sharp; Monte-Carlo error 0.0015.
    assert 0.040 < outside < 0.0546
