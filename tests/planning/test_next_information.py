"""The algebra of firings: against plain inverses, textbook variances and identities."""

import numpy as np
import pytest

from outcomes.planning.next_information import (
    contrast_variance,
    firing_information,
    log_information,
    summed_variance,
    take_out,
)

ROUNDING = 1e-10


def random_firing(seed: int, pieces: int = 6, columns: int = 3) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.column_stack([np.ones(pieces), rng.normal(size=(pieces, columns))])


@pytest.mark.parametrize("luck", [0.0, 0.2, 1.5])
def test_a_firings_information_is_that_of_the_covariance_written_out(luck):
    Z = random_firing(1)
    written_out = Z.T @ np.linalg.inv(np.eye(6) + luck * np.ones((6, 6))) @ Z
    np.testing.assert_allclose(firing_information(Z, luck), written_out, rtol=ROUNDING)


def test_a_piece_that_is_not_graded_neither_tells_nor_shares_luck():
    Z = random_firing(2)
    padded = np.vstack([Z, np.zeros((2, Z.shape[1]))])
    np.testing.assert_allclose(
        firing_information(padded, 0.4), firing_information(Z, 0.4), rtol=ROUNDING
    )


def test_split_plot_variances_are_the_textbook_ones():
    """Balanced two-level split plot (textbook algebra, from memory: Cochran & Cox 1957, ch. 7).

    Piece luck 1, firing luck tau, F firings of m pieces, half of each kind: the difference of a
    firing setting has variance 4 (tau + 1/m) / F, that of a piece setting 4 / (F m).
    """
    n_firings, pieces, luck = 8, 6, 0.7
    total = np.zeros((3, 3))
    for number in range(n_firings):
        whole = np.full(pieces, (-1.0) ** number)
        part = np.tile([-1.0, 1.0], pieces // 2)
        total += firing_information(np.column_stack([np.ones(pieces), whole, part]), luck)
    differences = 2.0 * np.eye(3)[1:]
    expected = [4.0 * (luck + 1.0 / pieces) / n_firings, 4.0 / (n_firings * pieces)]
    np.testing.assert_allclose(expected, contrast_variance(total, differences), rtol=ROUNDING)


def test_taking_columns_out_leaves_the_leading_block_of_the_inverse():
    information = firing_information(random_firing(3, pieces=12, columns=4), 0.3)
    kept = take_out(information, 2)
    np.testing.assert_allclose(np.linalg.inv(information)[:2, :2], np.linalg.inv(kept), rtol=1e-9)


def test_a_log_fired_twice_halves_every_variance():
    Z = np.vstack([random_firing(seed) for seed in range(5)])
    firing = np.repeat(np.arange(5), 6)
    once = log_information(Z, firing, 0.2)
    twice = log_information(np.vstack([Z, Z]), np.concatenate([firing, firing + 5]), 0.2)
    contrasts = np.eye(4)
    np.testing.assert_allclose(
        0.5 * contrast_variance(once, contrasts), contrast_variance(twice, contrasts), rtol=1e-9
    )


@pytest.mark.parametrize("seed", range(20))
def test_another_firing_never_makes_a_contrast_less_sure(seed):
    rng = np.random.default_rng(seed)
    firings = [random_firing(100 + seed * 7 + k) for k in range(4)]
    known = sum(firing_information(Z, 0.5) for Z in firings[:3])
    more = known + firing_information(firings[3], 0.5)
    contrasts = rng.normal(size=(10, 4))
    before, after = contrast_variance(known, contrasts), contrast_variance(more, contrasts)
    assert (after <= before * (1 + ROUNDING)).all()


def test_the_summed_variance_is_the_sum_of_the_weighted_variances():
    information = firing_information(random_firing(9, pieces=10), 0.2)
    contrasts, weights = np.random.default_rng(9).normal(size=(3, 4)), np.array([1.0, 3.0, 0.5])
    total = (weights[:, None, None] * contrasts[:, :, None] * contrasts[:, None, :]).sum(axis=0)
    expected = float(weights @ contrast_variance(information, contrasts))
    assert float(summed_variance(information, total)) == pytest.approx(expected, rel=1e-9)
