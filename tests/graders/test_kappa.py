import numpy as np
import pytest
from sklearn.metrics import cohen_kappa_score
from statsmodels.stats.inter_rater import cohens_kappa

from outcomes.graders.kappa import (
    LINEAR,
    NOMINAL,
    QUADRATIC,
    disagreement_weights,
    share_split,
    share_within,
    weighted_kappa,
)

EXACT = 1e-12  # the same sums in another order
PUBLISHED = 1e-7  # digits the reference file promises
POWERS = {"unweighted": NOMINAL, "linear": LINEAR, "quadratic": QUADRATIC}
SKLEARN = {NOMINAL: None, LINEAR: "linear", QUADRATIC: "quadratic"}


def kappa(counts, power: int) -> float:
    counts = np.asarray(counts, dtype=np.float64)
    return float(weighted_kappa(counts, disagreement_weights(counts.shape[0], power)))


@pytest.fixture
def counts(rng) -> np.ndarray:
    return rng.integers(0, 9, size=(5, 5)).astype(np.float64)


@pytest.mark.parametrize("weights", POWERS)
def test_the_published_table_of_four_grades_gives_its_kappas(published, weights):
    case = published("P09_weighted_kappa")
    expected = case["expected"]["sexualfun"][weights][0]
    assert kappa(case["data"]["sexualfun"], POWERS[weights]) == pytest.approx(
        expected, abs=PUBLISHED
    )


def test_cohens_own_example_with_his_weights_gives_his_kappas(published):
    case = published("P09_weighted_kappa")
    table = np.array(case["data"]["cohen1968_counts"])
    weights = np.array(case["data"]["cohen1968_disagreement_weights"])
    expected = case["expected"]["cohen1968"]
    assert kappa(table, NOMINAL) == pytest.approx(expected["kappa"], abs=PUBLISHED)
    assert float(weighted_kappa(table, weights)) == pytest.approx(
        expected["weighted"], abs=PUBLISHED
    )


@pytest.mark.parametrize("power", SKLEARN)
def test_scikit_learn_agrees_on_any_table(counts, power):
    first, second = np.nonzero(np.ones((5, 5)))
    times = counts.astype(int).ravel()
    expected = cohen_kappa_score(
        np.repeat(first, times), np.repeat(second, times), weights=SKLEARN[power]
    )
    assert kappa(counts, power) == pytest.approx(expected, abs=EXACT)


@pytest.mark.parametrize(("power", "word"), [(LINEAR, "linear"), (QUADRATIC, "quadratic")])
def test_statsmodels_agrees_on_any_table(counts, power, word):
    expected = cohens_kappa(counts, wt=word, return_results=False)
    assert kappa(counts, power) == pytest.approx(expected, abs=EXACT)


def test_a_table_checked_by_hand():
    # 10 pieces: 6 alike, 3 one apart, 1 two apart. Weights 0, 1, 4.
    table = [[2, 1, 1], [1, 2, 0], [0, 1, 2]]
    # chance of the quadratic weights: rows 4 3 3, columns 3 4 3 -> (16+9+12+9+12+4*12+4*9)/10
    seen, chance = 3 + 4, (4 * 4 + 3 * 3 + 3 * 3 + 3 * 4 + 4 * (4 * 3 + 3 * 3)) / 10
    assert kappa(table, QUADRATIC) == pytest.approx(1 - seen / chance, abs=EXACT)
    assert share_within(np.array(table), 0) == pytest.approx(0.6)
    assert share_within(np.array(table), 1) == pytest.approx(0.9)
    assert share_split(np.array(table), 1) == pytest.approx(0.3)
    assert share_split(np.array(table), 2) == pytest.approx(0.2)


@pytest.mark.parametrize("power", POWERS.values())
def test_swapping_the_graders_changes_nothing(counts, power):
    assert kappa(counts.T, power) == pytest.approx(kappa(counts, power), abs=EXACT)


@pytest.mark.parametrize("power", POWERS.values())
def test_turning_the_scale_round_changes_nothing(counts, power):
    assert kappa(counts[::-1, ::-1], power) == pytest.approx(kappa(counts, power), abs=EXACT)


def test_other_names_for_the_grades_leave_the_unweighted_kappa_alone(counts, rng):
    order = rng.permutation(5)
    shuffled = counts[np.ix_(order, order)]
    assert kappa(shuffled, NOMINAL) == pytest.approx(kappa(counts, NOMINAL), abs=EXACT)


def test_with_two_grades_every_weighting_is_the_same(rng):
    table = rng.integers(1, 9, size=(2, 2))
    assert kappa(table, LINEAR) == pytest.approx(kappa(table, NOMINAL), abs=EXACT)
    assert kappa(table, QUADRATIC) == pytest.approx(kappa(table, NOMINAL), abs=EXACT)


def test_perfect_agreement_is_one_and_one_grade_only_is_no_number():
    assert kappa(np.diag([3.0, 0.0, 4.0]), QUADRATIC) == 1.0
    assert np.isnan(kappa(np.diag([0.0, 7.0, 0.0]), QUADRATIC))


def test_the_quadratic_kappa_is_the_concordance_of_the_grades(counts):
    # Fleiss & Cohen (1973), Educational and Psychological Measurement 33, 613: the weighted kappa
    # with quadratic weights is an intraclass correlation; from the moments of the two graders.
    first, second = np.nonzero(np.ones((5, 5)))
    a, b = (np.repeat(side, counts.astype(int).ravel()) for side in (first, second))
    expected = 2 * np.cov(a, b, ddof=0)[0, 1] / (a.var() + b.var() + (a.mean() - b.mean()) ** 2)
    assert kappa(counts, QUADRATIC) == pytest.approx(expected, abs=EXACT)
