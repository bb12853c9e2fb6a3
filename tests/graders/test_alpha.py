import numpy as np
import pytest

from outcomes.graders.alpha import (
    count_coincidences,
    interval_distance,
    krippendorff_alpha,
    nominal_distance,
    ordinal_distance,
)
from outcomes.graders.kappa import NOMINAL, disagreement_weights, weighted_kappa

PUBLISHED = 1e-6
EXACT = 1e-12
DISTANCES = {
    "nominal": nominal_distance,
    "ordinal": ordinal_distance,
    "interval": interval_distance,
}


def alpha(grades, n_grades: int, distance=ordinal_distance) -> float:
    pairs = count_coincidences(np.asarray(grades, dtype=np.float64), n_grades)
    return float(krippendorff_alpha(pairs.sum(axis=0), distance))


@pytest.mark.parametrize("kind", DISTANCES)
def test_krippendorffs_own_example_with_gaps_gives_his_alphas(published, kind):
    case = published("P10_krippendorff")
    grades = np.array(case["data"]["raters_by_units"], dtype=np.float64).T - 1
    expected = case["expected"][kind]
    assert alpha(grades, 5, DISTANCES[kind]) == pytest.approx(expected, abs=PUBLISHED)


@pytest.fixture
def grades(rng) -> np.ndarray:
    drawn = rng.integers(0, 5, size=(20, 3)).astype(np.float64)
    drawn[rng.random((20, 3)) < 0.2] = np.nan
    return drawn


def test_the_order_of_pieces_and_of_graders_changes_nothing(grades, rng):
    shuffled = grades[rng.permutation(20)][:, rng.permutation(3)]
    assert alpha(shuffled, 5) == pytest.approx(alpha(grades, 5), abs=EXACT)


def test_turning_the_scale_round_changes_nothing(grades):
    assert alpha(4 - grades, 5) == pytest.approx(alpha(grades, 5), abs=EXACT)


def test_a_grade_nobody_gave_changes_nothing(grades):
    stretched = np.where(grades >= 2, grades + 1, grades)
    assert alpha(stretched, 6) == pytest.approx(alpha(grades, 5), abs=EXACT)


def test_a_piece_with_a_single_grade_changes_nothing(grades):
    more = np.vstack([grades, [[4.0, np.nan, np.nan]]])
    assert alpha(more, 5) == alpha(grades, 5)


def test_perfect_agreement_over_two_grades_is_one():
    assert alpha([[1, 1], [3, 3], [1, 1]], 5) == 1.0


def test_one_grade_only_is_no_number():
    assert np.isnan(alpha([[2, 2], [2, 2]], 5))


def test_many_pieces_and_two_graders_bring_nominal_alpha_to_the_kappa_of_one_pooled_grader(rng):
    # Scott's pi = kappa with both graders' shares pooled; alpha = 1 - (1 - pi)(1 - 1/(2n)).
    # Krippendorff (2011), section on the relation to pi.
    pairs = rng.integers(0, 3, size=(50, 2))
    counts = np.zeros((3, 3))
    np.add.at(counts, (pairs[:, 0], pairs[:, 1]), 1.0)
    pooled = float(weighted_kappa(counts + counts.T, disagreement_weights(3, NOMINAL)))
    expected = 1 - (1 - pooled) * (1 - 1 / 100)
    assert alpha(pairs, 3, nominal_distance) == pytest.approx(expected, abs=EXACT)
