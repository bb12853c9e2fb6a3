import numpy as np
import pytest

from outcomes.graders.icc import intraclass_correlations

NAMES = {
    "ICC1": "one_way", "ICC2": "agreement", "ICC3": "consistency", "ICC1k": "mean_one_way",
    "ICC2k": "mean_agreement", "ICC3k": "mean_consistency",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_shrout_and_fleiss_own_example_gives_their_six_numbers(published, name):
    case = published("P25_icc_shrout_fleiss")
    found = intraclass_correlations(np.array(case["data"]["subjects_by_judges"]))
    assert getattr(found, NAMES[name]) == pytest.approx(case["expected"][name], abs=1e-6)


def test_the_mean_of_graders_is_spearman_and_browns(rng):
    grades = rng.normal(size=(12, 1)) + rng.normal(size=(12, 3))
    found = intraclass_correlations(grades)
    expected = 3 * found.consistency / (1 + 2 * found.consistency)
    assert found.mean_consistency == pytest.approx(expected)


@pytest.mark.parametrize("grades", [np.ones((4, 3)), np.ones((1, 3)), np.ones((4, 1))])
def test_too_little_to_compare_gives_nothing(grades):
    assert intraclass_correlations(grades) is None
