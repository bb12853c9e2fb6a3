"""Adjusted p values."""

import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from outcomes.effects.multiplicity import METHODS, adjust_p_values
from outcomes.errors import RequestError

NAMES = {
    "BH": "fdr_bh",
    "BY": "fdr_by",
    "Holm": "holm",
    "Hochberg": "simes-hochberg",
    "Bonferroni": "bonferroni",
}
REFERENCE_KEYS = {name: name if name.isupper() else name.lower() for name in METHODS}


@pytest.mark.parametrize("method", METHODS)
def test_the_published_example_is_reproduced(reference, method):
    # P11: Benjamini & Hochberg (1995), section 4; adjusted values by R p.adjust
    case = reference("P11_multiplicity_bh1995")
    expected = case["expected"]["adjusted"][REFERENCE_KEYS[method]]
    adjusted = adjust_p_values(case["data"]["p"], method)
    assert adjusted == pytest.approx(np.array(expected), abs=case["tol"]["abs"])
    rejected = case["expected"]["n_reject_0_05"][REFERENCE_KEYS[method]]
    assert int((adjusted < 0.05).sum()) == rejected


@pytest.mark.parametrize("method", METHODS)
def test_statsmodels_agrees_on_shuffled_p_values_with_ties(method):
    p = np.random.default_rng(4).random(40).round(2) * 0.2
    referee = multipletests(p, method=NAMES[method])[1]
    assert adjust_p_values(p, method) == pytest.approx(referee, abs=1e-12)


@pytest.mark.parametrize("method", METHODS)
def test_one_look_needs_no_adjustment(method):
    assert adjust_p_values([0.03], method).tolist() == [0.03]


def test_no_look_gives_nothing():
    assert adjust_p_values([]).tolist() == []


def test_an_unknown_method_is_refused_in_words():
    with pytest.raises(RequestError) as refused:
        adjust_p_values([0.1], "tukey")
    assert str(refused.value) == (
        "method 'tukey' is not known; choose one of BH, BY, Holm, Hochberg, Bonferroni."
    )
