"""Every link's interval terms against mpmath at 80 digits."""

from collections.abc import Callable

import mpmath
import numpy as np
import pytest

from outcomes.model.fit import Link
from outcomes.model.links import (
    distribution,
    interval_terms,
    log_interval_probability,
    quantile,
    survival,
)

LOG_PROBABILITY_TOLERANCE = 1e-13  # relative: the figure promised for eta up to 1e4
DERIVATIVE_TOLERANCE = 1e-10  # relative to the largest term that enters the derivative

TINY = 1e-290  # what underflows a double is right when it is 0

Number = mpmath.mpf

LOWER_TAIL: dict[Link, Callable[[Number], Number]] = {
    Link.LOGIT: lambda x: 1 / (1 + mpmath.exp(-x)),
    Link.PROBIT: mpmath.ncdf,
    Link.CLOGLOG: lambda x: -mpmath.expm1(-mpmath.exp(x)),
    Link.LOGLOG: lambda x: mpmath.exp(-mpmath.exp(-x)),
    Link.CAUCHIT: lambda x: mpmath.atan2(1, -x) / mpmath.pi,
}
MIRROR = {Link.CLOGLOG: Link.LOGLOG, Link.LOGLOG: Link.CLOGLOG}
DENSITY: dict[Link, Callable[[Number], Number]] = {
    Link.LOGIT: lambda x: mpmath.exp(-abs(x)) / (1 + mpmath.exp(-abs(x))) ** 2,
    Link.PROBIT: mpmath.npdf,
    Link.CLOGLOG: lambda x: mpmath.exp(x - mpmath.exp(x)),
    Link.LOGLOG: lambda x: mpmath.exp(-x - mpmath.exp(-x)),
    Link.CAUCHIT: lambda x: 1 / (mpmath.pi * (1 + x * x)),
}
DENSITY_SCORE: dict[Link, Callable[[Number], Number]] = {
    Link.LOGIT: lambda x: -mpmath.tanh(x / 2),
    Link.PROBIT: lambda x: -x,
    Link.CLOGLOG: lambda x: 1 - mpmath.exp(x),
    Link.LOGLOG: lambda x: mpmath.exp(-x) - 1,
    Link.CAUCHIT: lambda x: -2 * x / (1 + x * x),
}
# Middles at which every link's probability is a double; the tails each link reaches are below.
MIDDLES = (-5.0, -2.5, -0.3, 0.0, 0.7, 1.9, 3.5)
GAPS = (1e-9, 1e-5, 0.01, 0.2, 0.5, 3.0, 12.0)
FAR = {
    Link.LOGIT: (-1e4, -700.0, -40.0, 40.0, 700.0, 1e4),
    Link.PROBIT: (-1e4, -300.0, -38.0, 38.0, 300.0, 1e4),
    Link.CAUCHIT: (-1e4, -300.0, 300.0, 1e4),
    Link.CLOGLOG: (-1e4, -700.0, -40.0, 5.0),
    Link.LOGLOG: (-5.0, 40.0, 700.0, 1e4),
}


def exact_probability(lower: float, upper: float, link: Link) -> Number:
    """F(u) - F(l) from the smaller tails, so that 80 digits are ample."""
    low, high = mpmath.mpf(lower), mpmath.mpf(upper)
    if lower > 0:
        above = LOWER_TAIL[MIRROR.get(link, link)]
        return above(-low) - (above(-high) if np.isfinite(upper) else 0)
    below = LOWER_TAIL[link]
    at_upper = below(high) if np.isfinite(upper) else 1
    return at_upper - (below(low) if np.isfinite(lower) else 0)


def relative_error(found: float, exact: Number) -> float:
    return float(abs((mpmath.mpf(float(found)) - exact) / exact))


@pytest.mark.parametrize("link", list(Link))
def test_the_log_probability_agrees_with_mpmath_for_every_gap(link):
    mpmath.mp.dps = 80
    worst = 0.0
    for middle in MIDDLES:
        for gap in GAPS:
            lower, upper = middle - gap / 2, middle + gap / 2
            exact = mpmath.log(exact_probability(lower, upper, link))
            found = log_interval_probability(np.array([lower]), np.array([upper]), link)[0]
            worst = max(worst, relative_error(found, exact))
    assert worst < LOG_PROBABILITY_TOLERANCE


@pytest.mark.parametrize("link", list(Link))
@pytest.mark.parametrize("gap", [1e-9, 1e-3, 1.0, np.inf])
def test_the_log_probability_agrees_with_mpmath_in_the_far_tails(link, gap):
    mpmath.mp.dps = 80
    worst = 0.0
    for end in FAR[link]:
        # An interval reaching inwards from the far end, or the whole tail beyond it.
        if np.isfinite(gap):
            lower, upper = (end, end + gap) if end < 0 else (end - gap, end)
        else:
            lower, upper = (-np.inf, end) if end < 0 else (end, np.inf)
        exact = mpmath.log(exact_probability(lower, upper, link))
        found = log_interval_probability(np.array([lower]), np.array([upper]), link)[0]
        worst = max(worst, relative_error(found, exact))
    assert worst < LOG_PROBABILITY_TOLERANCE


@pytest.mark.parametrize("link", list(Link))
def test_the_derivatives_agree_with_mpmath(link):
    mpmath.mp.dps = 80
    worst = 0.0
    for middle in MIDDLES:
        for gap in GAPS[2:]:
            lower, upper = middle - gap / 2, middle + gap / 2
            terms = interval_terms(*(np.array([v]) for v in (lower, upper, upper - lower)), link)
            low, high = mpmath.mpf(lower), mpmath.mpf(upper)
            chance = exact_probability(lower, upper, link)
            up, down = DENSITY[link](high) / chance, DENSITY[link](low) / chance
            score_up, score_down = DENSITY_SCORE[link](high), DENSITY_SCORE[link](low)
            lean = up - down
            pairs = [
                (terms.upper_pull, up, up),
                (terms.lower_pull, down, down),
                (terms.lean, lean, up + down),
                (terms.upper_curve, up * (lean - score_up), up * (up + down + abs(score_up))),
                (
                    terms.lower_curve,
                    down * (score_down - lean),
                    down * (up + down + abs(score_down)),
                ),
                (terms.coupling, up * down, up * down),
            ]
            for found, exact, size in pairs:
                worst = max(worst, float(abs(mpmath.mpf(float(found[0])) - exact) / (size + TINY)))
    assert worst < DERIVATIVE_TOLERANCE


@pytest.mark.parametrize("link", [Link.LOGIT, Link.PROBIT, Link.CLOGLOG, Link.LOGLOG])
def test_the_curves_of_thresholds_a_billionth_apart_keep_their_digits(link):
    # Half the information of a single point: (log f)'' (x) = 2 curve as the gap closes.
    x, gap = 0.7, 1e-9
    terms = interval_terms(np.array([x - gap / 2]), np.array([x + gap / 2]), np.array([gap]), link)
    mpmath.mp.dps = 50
    bend = float(-mpmath.diff(DENSITY_SCORE[link], mpmath.mpf(x)))
    assert bend / 2 == pytest.approx(terms.upper_curve[0], rel=1e-6)
    assert bend / 2 == pytest.approx(terms.lower_curve[0], rel=1e-6)


@pytest.mark.parametrize("link", list(Link))
def test_no_eta_up_to_ten_thousand_gives_a_term_that_is_not_finite(link):
    etas = np.concatenate([-np.logspace(4, -3, 60), [0.0], np.logspace(-3, 4, 60)])
    for gap in (*GAPS, 1e4, np.inf):
        for lower, upper in ((etas, etas + gap), (etas - gap, etas)):
            terms = interval_terms(lower, upper, np.full_like(etas, gap), link)
            for name in terms.__slots__:
                assert np.isfinite(getattr(terms, name)).all(), name


@pytest.mark.parametrize("link", list(Link))
def test_curves_and_pulls_are_never_negative_for_concave_links(link):
    etas = np.linspace(-30.0, 30.0, 241)
    terms = interval_terms(etas, etas + 1.3, np.full_like(etas, 1.3), link)
    assert (terms.upper_pull >= 0.0).all()
    assert (terms.lower_pull >= 0.0).all()
    concave = link is not Link.CAUCHIT
    assert concave == bool((terms.upper_curve >= 0.0).all() and (terms.lower_curve >= 0.0).all())


@pytest.mark.parametrize("link", list(Link))
def test_quantile_undoes_distribution_and_survival_is_the_rest(link):
    x = np.array([-2.0, -0.4, 0.0, 0.9, 1.5])
    np.testing.assert_allclose(x, quantile(distribution(x, link), link), rtol=1e-12, atol=1e-13)
    np.testing.assert_allclose(1.0 - distribution(x, link), survival(x, link), rtol=1e-13)


def test_the_whole_line_has_probability_one():
    for link in Link:
        terms = interval_terms(*(np.array([v]) for v in (-np.inf, np.inf, np.inf)), link)
        assert terms.log_probability[0] == 0.0
        assert terms.lean[0] == pytest.approx(0.0, abs=1e-100)
