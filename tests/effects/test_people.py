"""Partial pooling of persons, against a published worked example and its own identities."""

import numpy as np
import pytest
from scipy import integrate

from outcomes.effects.people import shrink

# Coaching in eight schools: Rubin (1981), Journal of Educational Statistics 6, 377-401; the
# rounded numbers of Gelman et al. (2013), Bayesian Data Analysis, table 5.2.
EFFECTS = np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0])
ERRORS = np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0])
# Their posterior medians, table 5.3 of the same book, from memory; 200 simulation draws.
MEDIANS = np.array([10.0, 8.0, 7.0, 8.0, 5.0, 6.0, 10.0, 8.0])
NORMAL = 1e9  # degrees of freedom


def by_the_book(school: int) -> float:
    """Posterior mean of a school, by equations 5.17 to 5.21 of that book."""

    def density(tau):
        precision = 1.0 / (ERRORS**2 + tau**2)
        mu = (EFFECTS * precision).sum() / precision.sum()
        spread = np.exp(-0.5 * precision * (EFFECTS - mu) ** 2) * np.sqrt(precision)
        return spread.prod() / np.sqrt(precision.sum()), mu

    def pulled(tau):
        own, mu = 1.0 / ERRORS[school] ** 2, density(tau)[1]
        group = 1.0 / tau**2
        return (own * EFFECTS[school] + group * mu) / (own + group)

    top = integrate.quad(lambda t: density(t)[0] * pulled(t), 1e-6, 400, limit=400)[0]
    return top / integrate.quad(lambda t: density(t)[0], 1e-6, 400, limit=400)[0]


def test_eight_schools_come_out_as_by_the_book():
    expected = np.array([by_the_book(school) for school in range(8)])
    found = shrink(EFFECTS, np.diag(ERRORS**2), df=NORMAL)
    assert expected - expected.mean() == pytest.approx(found.middle, abs=0.1)


def test_eight_schools_come_near_the_published_medians():
    found = shrink(EFFECTS, np.diag(ERRORS**2), df=NORMAL)
    assert MEDIANS - MEDIANS.mean() == pytest.approx(found.middle, abs=2.0)


def test_no_school_stands_out_as_published():
    found = shrink(EFFECTS, np.diag(ERRORS**2), df=NORMAL)
    assert (found.low < 0).all()
    assert (found.high > 0).all()


def test_differences_are_from_the_middle_and_add_up_to_nothing():
    found = shrink(EFFECTS, np.diag(ERRORS**2), df=20.0)
    assert pytest.approx(0.0, abs=1e-9) == found.middle.sum()


def test_a_common_shift_changes_nothing():
    covariance = np.diag(ERRORS**2) + 30.0
    plain, moved = (shrink(EFFECTS + shift, covariance, df=20.0) for shift in (0.0, 55.0))
    assert plain.middle == pytest.approx(moved.middle, abs=1e-6)
    assert plain.high == pytest.approx(moved.high, abs=1e-6)


def test_luck_shared_by_all_persons_changes_nothing():
    alone = shrink(EFFECTS, np.diag(ERRORS**2), df=20.0)
    shared = shrink(EFFECTS, np.diag(ERRORS**2) + 400.0, df=20.0)
    # The grid of widths follows the size of the errors, so not to the last digit.
    assert alone.middle == pytest.approx(shared.middle, abs=0.2)


def test_sure_estimates_are_hardly_pulled():
    found = shrink(EFFECTS, np.diag(np.full(8, 0.01)), df=NORMAL)
    assert EFFECTS - EFFECTS.mean() == pytest.approx(found.middle, abs=0.01)


def test_equal_estimates_stay_at_the_middle_with_an_interval_that_is_not_nothing():
    found = shrink(np.full(6, 3.0), np.eye(6), df=25.0)
    assert np.zeros(6) == pytest.approx(found.middle, abs=1e-9)
    assert (found.high > 0.2).all()


def test_fewer_degrees_of_freedom_and_more_confidence_widen():
    covariance = np.diag(ERRORS**2)
    base = shrink(EFFECTS, covariance, df=50.0)
    few = shrink(EFFECTS, covariance, df=4.0)
    sure = shrink(EFFECTS, covariance, df=50.0, confidence=0.99)
    assert (few.high - few.low > base.high - base.low).all()
    assert (sure.high - sure.low > base.high - base.low).all()


def test_the_interval_holds_what_was_drawn(rng):
    # Persons drawn from the very bell curve assumed: the average coverage is then the stated one
    # but for the prior on the width. A group's share varies by about
    # 0.13, so the mean of 150 by 0.011: 95 % less three of these is 0.92.
    held = []
    for _ in range(150):
        true = rng.normal(0.0, 1.0, size=8)
        found = shrink(true + rng.normal(0.0, 1.0, size=8), np.eye(8), df=NORMAL)
        about = true - true.mean()
        held.append(((found.low <= about) & (about <= found.high)).mean())
    assert 0.92 <= np.mean(held) <= 0.985


def test_equal_persons_are_rarely_singled_out(rng):
    # At the confidence for all together 5 % of groups at most may single anybody out.
    singled = 0
    for _ in range(200):
        found = shrink(rng.normal(size=8), np.eye(8), df=29.0, confidence=1 - 0.05 / 8)
        singled += bool((found.low > 0).any() or (found.high < 0).any())
    assert singled <= 10
