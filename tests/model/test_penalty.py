"""The weak pull toward no effect: its formula, its derivatives, its referee."""

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions, FitStatus, Penalty
from outcomes.model.penalty import penalty_gradient, penalty_information, penalty_value

SLOPES = np.array([-700.0, -3.0, -0.2, 0.0, 0.4, 5.0, 700.0])
PENALTIES = [
    FitOptions(penalty=Penalty.LOG_F, strength=1.0),
    FitOptions(penalty=Penalty.LOG_F, strength=3.0),
    FitOptions(penalty=Penalty.RIDGE, strength=2.5),
    FitOptions(penalty=Penalty.NONE),
]


@pytest.mark.parametrize("m", [1.0, 2.0, 5.0])
def test_log_f_is_the_log_density_of_a_log_f_variable(m):
    # If V is F(m, m) then log V is log-F(m, m) (Greenland & Mansournia 2015, section 2); the
    # density of the log is v f(v).
    beta = np.array([-4.0, -0.5, 0.3, 2.0])
    log_density = stats.f.logpdf(np.exp(beta), m, m) + beta
    at_zero = float(stats.f.logpdf(1.0, m, m))
    options = FitOptions(penalty=Penalty.LOG_F, strength=m)
    ours = [float(penalty_value(np.array([b]), options)) for b in beta]
    np.testing.assert_allclose(log_density - at_zero, ours, rtol=1e-10)


@pytest.mark.parametrize("options", PENALTIES)
def test_the_penalty_is_largest_at_no_effect_and_finite_everywhere(options):
    values = [float(penalty_value(np.array([b]), options)) for b in SLOPES]
    assert max(values) == 0.0
    assert values[3] == 0.0
    assert np.isfinite(values).all()


@pytest.mark.parametrize("options", PENALTIES)
def test_gradient_and_curvature_are_its_derivatives(options):
    inner, step = SLOPES[1:-1], 1e-4
    value = [
        float(penalty_value(np.array([b + step]), options))
        - float(penalty_value(np.array([b - step]), options))
        for b in inner
    ]
    rise = penalty_gradient(inner + step, options) - penalty_gradient(inner - step, options)
    gradient, information = penalty_gradient(inner, options), penalty_information(inner, options)
    np.testing.assert_allclose(np.array(value) / (2 * step), gradient, atol=1e-7)
    np.testing.assert_allclose(-rise / (2 * step), information, atol=1e-7)


def test_log_f_is_maximum_likelihood_with_two_half_pieces_a_column(endometrial):
    # Greenland & Mansournia (2015), section 3: log-F(m, m) is the likelihood of m/2 made-up
    # cases with and m/2 without the outcome at that column's unit, all else and the intercept 0.
    n, p = endometrial.X.shape
    made_up = np.hstack([np.zeros((p, 1)), np.eye(p)])
    design = np.vstack([np.hstack([np.ones((n, 1)), endometrial.X]), made_up, made_up])
    outcome = np.concatenate([endometrial.y, np.ones(p), np.zeros(p)])
    weights = np.concatenate([np.ones(n), np.full(2 * p, 0.5)])
    referee = sm.GLM(outcome, design, family=sm.families.Binomial(), freq_weights=weights)
    expected = referee.fit(tol=1e-14, maxiter=100).params
    fit = fit_cumulative(endometrial.X, endometrial.y, 2)
    np.testing.assert_allclose(expected[1:], fit.slopes, rtol=1e-8)
    assert -expected[0] == pytest.approx(fit.thresholds[0], rel=1e-8)


def test_a_separated_column_gets_a_finite_estimate_near_firths(endometrial):
    # Qualitative: another penalty, so another number, but inside Firth's 95 % limits and of
    # the same sign (P08; Heinze & Schemper 2002, values from logistf and brglm2).
    low, high = endometrial.expected["profile_ci"]["NV"]
    fit = fit_cumulative(endometrial.X, endometrial.y, 2)
    assert low < fit.slopes[0] < high
    assert fit.status is FitStatus.DOUBTFUL
    np.testing.assert_allclose(
        [endometrial.expected["coef"]["PI"], endometrial.expected["coef"]["EH"]],
        fit.slopes[1:],
        rtol=0.05,
    )


def test_the_referee_for_separation_reproduces_firths_published_fit(endometrial):
    expected = endometrial.expected["coef"]
    coefficients = firth(np.column_stack([np.ones(len(endometrial.y)), endometrial.X]), endometrial)
    np.testing.assert_allclose(list(expected.values()), coefficients, atol=1e-4)


def firth(design, data) -> np.ndarray:
    """Newton on the modified score U + A'h(1/2 - pi) (Heinze & Schemper 2002, equation 2)."""
    beta = np.zeros(design.shape[1])
    for _ in range(200):
        chance = 1.0 / (1.0 + np.exp(-design @ beta))
        spread = chance * (1.0 - chance)
        inverse = np.linalg.inv(design.T @ (spread[:, None] * design))
        leverage = spread * np.einsum("ij,jk,ik->i", design, inverse, design)
        score = design.T @ (data.y - chance + leverage * (0.5 - chance))
        step = inverse @ score
        beta = beta + step / max(1.0, np.abs(step).max())
    return beta
