"""Published tests of proportional odds: likelihood ratio, score and Brant."""

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from outcomes.doubts.parallel_tests import brant_test, likelihood_ratio_test, score_test

PUBLISHED = 2e-4  # largest of the references' own tolerances
TO_FOUR_DIGITS = 1e-4


@pytest.fixture
def table(request) -> Callable[[str], pd.DataFrame]:
    folder = request.path.parents[1] / "reference"
    return lambda name: pd.read_csv(folder / name)


def mental(table) -> tuple[np.ndarray, np.ndarray]:
    data = table("mental.csv")
    return data[["ses", "life"]].to_numpy(float), (data["impair"] - 1).to_numpy()


def gradschool(table) -> tuple[np.ndarray, np.ndarray]:
    data = table("gradschool.csv")
    return data[["pared", "public", "gpa"]].to_numpy(float), data["y"].to_numpy()


@pytest.mark.parametrize(("column", "name"), [(0, "temp"), (1, "contact")])
def test_likelihood_ratio_of_each_wine_factor(table, reference, column: int, name: str) -> None:
    # P02: Christensen, ordinal vignette: temp 3.175 (p .3654), contact 0.5667 (p .9040).
    expected = reference("P02_wine_partial_po")["expected"]["nominal_test"][name]
    data = table("wine.csv")
    X = np.column_stack([data["temp"] == "warm", data["contact"] == "yes"]).astype(float)
    y = (data["rating"] - 1).to_numpy()
    test = likelihood_ratio_test(X, y, n_grades=5, free=[column])
    assert expected["LRT"] == pytest.approx(test.value, abs=PUBLISHED)
    assert expected["df"] == test.df
    assert expected["p"] == pytest.approx(test.p, abs=PUBLISHED)


def test_score_test_of_the_cheese_with_its_published_and_its_honest_df(table, reference) -> None:
    # P05: SAS prints 17.2866 on 21 df; the information can tell 17 of the 21 slopes.
    expected = reference("P05_cheese_clm")["expected"]["score_PO"]
    data = table("cheese.csv")
    X = np.column_stack([data["additive"] == a for a in "ABC"]).astype(float)
    y, freq = data["rating"].to_numpy() - 1, data["freq"].to_numpy(float)
    test = score_test(X, y, n_grades=9, weights=freq)
    assert expected["chi2_published"] == pytest.approx(test.value, abs=5e-4)
    assert expected["df_published"] == test.df
    assert expected["p_published"] == pytest.approx(test.p, abs=TO_FOUR_DIGITS)
    assert expected["honest_df"] == test.rank
    assert expected["p_df17"] == pytest.approx(test.honest_p, abs=PUBLISHED)
    with_expected = score_test(X, y, n_grades=9, weights=freq, expected=True)
    assert expected["chi2_expected_info"] == pytest.approx(with_expected.value, abs=PUBLISHED)


def test_score_test_of_mental_impairment_in_both_informations(table, reference) -> None:
    # P06: Agresti (2002): 2.33 on 4 df, p .676.
    expected = reference("P06_mental_impairment")["expected"]["score_PO"]
    X, y = mental(table)
    observed = score_test(X, y, n_grades=4)
    assert expected["chi2"] == pytest.approx(observed.value, abs=TO_FOUR_DIGITS)
    assert expected["p"] == pytest.approx(observed.p, abs=TO_FOUR_DIGITS)
    by_expected = score_test(X, y, n_grades=4, expected=True)
    assert expected["chi2_expected_info"] == pytest.approx(by_expected.value, abs=TO_FOUR_DIGITS)


def test_likelihood_ratio_with_all_slopes_free(table, reference) -> None:
    expected = reference("P06_mental_impairment")["expected"]
    X, y = mental(table)
    test = likelihood_ratio_test(X, y, n_grades=4, free=[0, 1])
    assert expected["LR_PO"] == pytest.approx(test.value, abs=TO_FOUR_DIGITS)
    assert expected["LR_PO_df"] == test.df


def test_brant_test_of_mental_impairment(table, reference) -> None:
    expected = reference("P06_mental_impairment")["expected"]["brant"]
    test = brant_test(*mental(table), n_grades=4)
    for name, mine in zip(("omnibus", "ses", "life"), (test.omnibus, *test.columns), strict=True):
        assert expected[name] == pytest.approx([mine.value, mine.df, mine.p], abs=TO_FOUR_DIGITS)


def test_brant_and_score_test_of_graduate_school(table, reference) -> None:
    # P07: UCLA IDRE prints Brant 4.34 (.227), pared .13 (.716), public 3.44 (.064), gpa .18 (.672).
    expected = reference("P07_gradschool")["expected"]
    X, y = gradschool(table)
    test = brant_test(X, y, n_grades=3)
    names = ("omnibus", "pared", "public", "gpa")
    for name, mine in zip(names, (test.omnibus, *test.columns), strict=True):
        assert expected["brant"][name] == pytest.approx(
            [mine.value, mine.df, mine.p], abs=TO_FOUR_DIGITS
        )
    assert np.array(expected["brant"]["binary_logits"]) == pytest.approx(
        test.logits, abs=TO_FOUR_DIGITS
    )
    for kind, flag in (("observed_info", False), ("expected_info", True)):
        score = score_test(X, y, n_grades=3, expected=flag)
        assert expected["score_PO"][kind] == pytest.approx(
            [score.value, score.df, score.p], abs=TO_FOUR_DIGITS
        )


def test_a_separated_boundary_has_no_brant_test() -> None:
    X = np.repeat([0.0, 1.0], 12)[:, None]
    y = np.array([0, 1, 2] * 4 + [2] * 12)
    assert brant_test(X, y, n_grades=3) is None


def made_firings(table) -> tuple[np.ndarray, np.ndarray]:
    """P30: columns z, z^2, red10, paper, glaze B, glaze C, thickness; grades 0..4."""
    data = table("synth_firings_A.csv")
    z = (data["pull_temp"] - 930.0) / 25.0
    columns = [z, z**2, data["reduction_min"] / 10.0, data["paper"]]
    columns += [data["glaze"] == "B", data["glaze"] == "C", data["thickness"]]
    return np.column_stack(columns).astype(float), data["luster"].to_numpy()


def test_brant_test_of_the_made_firings(table, reference) -> None:
    expected = reference("P30_synth_firings_A")["expected"]["brant"]
    test = brant_test(*made_firings(table), n_grades=5)
    mine = {"omnibus": test.omnibus} | {str(j): one for j, one in enumerate(test.columns)}
    for name, one in mine.items():
        assert expected[name] == pytest.approx([one.value, one.df, one.p], abs=PUBLISHED)


@pytest.mark.parametrize(("name", "columns"), [("paper", [3]), ("glaze", [4, 5]), ("red10", [2])])
def test_likelihood_ratio_of_the_made_firings(table, reference, name, columns) -> None:
    expected = reference("P30_synth_firings_A")["expected"]["nominal_LR"][name]
    test = likelihood_ratio_test(*made_firings(table), n_grades=5, free=columns)
    assert expected["LRT"] == pytest.approx(test.value, abs=PUBLISHED)
    assert expected["df"] == test.df
