"""The permutation test against enumeration (P31), Fisher (P14) and Agresti (P19)."""

import json
from itertools import permutations
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from outcomes.resampling.permutation import (
    Layout,
    clustered_t,
    count_arrangements,
    draw_arrangements,
    enumerate_arrangements,
    permutation_test,
    plain_sum,
    smallest_p,
)

REFERENCE = Path(__file__).parents[1] / "reference"


def case(name: str) -> dict:
    return json.loads((REFERENCE / f"{name}.json").read_text(encoding="utf-8"))


def one_stratum(n: int) -> Layout:
    return Layout(stratum=np.zeros(n, dtype=np.int64), cluster=np.arange(n))


@pytest.fixture
def firings():
    """Eight firings of P31: paper or not, mean grades, load pairs."""
    data = case("P31_exact_cluster_permutation")["data"]
    means = np.array([np.mean(grades) for grades in data["grades"]])
    return np.array(data["paper"], float), means, np.array(data["load_pair"]) - 1


@pytest.mark.parametrize("statistic", [clustered_t, plain_sum])
def test_whole_firings_give_the_p_values_of_full_enumeration(firings, statistic, rng) -> None:
    paper, means, _ = firings
    expected = case("P31_exact_cluster_permutation")["expected"]
    found = permutation_test(paper, means, one_stratum(8), rng=rng, statistic=statistic)
    assert (found.arrangements, found.is_exact) == (expected["n_assignments"], True)
    assert expected["p_two_sided"] == pytest.approx(found.p_either, abs=1e-12)
    assert expected["p_one_sided"] == pytest.approx(found.p_more, abs=1e-12)


@pytest.mark.parametrize("statistic", [clustered_t, plain_sum])
def test_firings_in_pairs_give_the_p_values_of_full_enumeration(firings, statistic, rng) -> None:
    paper, means, pair = firings
    expected = case("P31_exact_cluster_permutation")["expected"]
    layout = Layout(stratum=pair, cluster=np.arange(8))
    found = permutation_test(paper, means, layout, rng=rng, statistic=statistic)
    assert expected["blocked_n"] == found.arrangements
    assert expected["blocked_p_two_sided"] == pytest.approx(found.p_either, abs=1e-12)
    assert expected["blocked_p_one_sided"] == pytest.approx(found.p_more, abs=1e-12)


def test_four_pairs_can_never_reach_one_in_twenty() -> None:
    arms, pairs = np.array([0.0, 1] * 4), np.repeat(np.arange(4), 2)
    assert smallest_p(arms, pairs, two_sided=True) == 0.125
    assert smallest_p(arms, pairs, two_sided=False) == 0.0625


def test_unequal_arms_have_no_mirror_image() -> None:
    arms = np.array([1.0, 0, 0, 0])
    assert smallest_p(arms, np.zeros(4, dtype=int), two_sided=True) == 0.25


def test_tea_tasting_equals_fishers_exact_test(rng) -> None:
    expected = case("P14_lady_tasting_tea")["expected"]
    milk_first = np.repeat([1.0, 0.0], 4)
    said_so = np.array([1.0, 1, 1, 0, 1, 0, 0, 0])
    found = permutation_test(milk_first, said_so, one_stratum(8), rng=rng)
    assert expected["p_greater"] == pytest.approx(found.p_more, abs=1e-6)
    assert expected["p_two_sided"] == pytest.approx(found.p_either, abs=1e-6)


@pytest.mark.parametrize(
    ("incomes", "satisfactions", "key"),
    [
        ((1.0, 2, 3, 4), (1.0, 2, 3, 4), "lbl_equal_scores"),
        ((3.0, 10, 20, 35), (1.0, 3, 4, 5), "lbl_agresti_scores"),
    ],
)
def test_shuffling_within_gender_agrees_with_the_published_p(
    incomes, satisfactions, key, rng
) -> None:
    expected = case("P19_stratified_permutation")["expected"][key]["p"]
    table = pd.read_csv(REFERENCE / "jobsatisfaction.csv")
    people = table.loc[table.index.repeat(table["Freq"])]
    score = {
        column: people[column].map(dict(zip(table[column].unique(), scores, strict=True)))
        for column, scores in (("Income", incomes), ("Job.Satisfaction", satisfactions))
    }
    gender = pd.factorize(people["Gender"])[0].astype(np.int64)
    found = permutation_test(
        score["Income"].to_numpy(),
        score["Job.Satisfaction"].to_numpy(),
        Layout(stratum=gender, cluster=np.arange(len(people))),
        rng=rng,
        statistic=plain_sum,
        drawn=100_000,
    )
    assert expected == pytest.approx(found.p_either, abs=0.003)  # the case's own tolerance


def test_enumeration_finds_each_arrangement_once() -> None:
    arms, stratum = np.array([True, False, False, True, True]), np.array([0, 1, 0, 1, 1])
    found = {tuple(row) for row in enumerate_arrangements(arms, stratum)}
    brute = {
        order
        for order in permutations(arms.astype(float))
        if order[0] + order[2] == 1 and order[1] + order[3] + order[4] == 2
    }
    assert brute == found
    assert len(found) == count_arrangements(arms, stratum)


def test_drawn_arrangements_keep_every_stratum_and_are_equally_likely(rng) -> None:
    stratum = np.array([1, 0, 0, 1, 0])
    drawn = draw_arrangements(np.array([1.0, 0, 1, 0, 0]), stratum, 6000, rng=rng)
    assert {1.0} == set(drawn[:, stratum == 0].sum(axis=1)) == set(drawn[:, stratum == 1].sum(1))
    _, counts = np.unique(drawn, axis=0, return_counts=True)
    assert 6 == len(counts)
    assert np.abs(counts - 1000).max() < 150  # five standard errors


def test_drawing_approaches_enumeration(rng) -> None:
    arms = rng.permutation(np.repeat([0.0, 1.0], 6))
    values = rng.standard_normal(12) + arms
    exact = permutation_test(arms, values, one_stratum(12), rng=rng)
    drawn = permutation_test(arms, values, one_stratum(12), rng=rng, exact_up_to=10)
    assert not drawn.is_exact
    assert exact.p_either == pytest.approx(drawn.p_either, abs=5 * drawn.error(exact.p_either))


def test_a_drawn_p_value_is_never_zero(rng) -> None:
    arms, values = np.repeat([0.0, 1.0], 30), np.arange(60.0)
    assert 1 / 200 == permutation_test(arms, values, one_stratum(60), rng=rng, drawn=199).p_more


def test_what_all_pieces_of_a_firing_share_changes_nothing(rng) -> None:
    firing = np.repeat(np.arange(5), 4)
    arms, values = np.tile([0.0, 1.0], 10), rng.standard_normal(20)
    layout = Layout(stratum=firing, cluster=firing)
    luck = 10 * rng.standard_normal(5)[firing]
    plain, lucky = (clustered_t(arms[None, :], v, layout)[0] for v in (values, values + luck))
    assert plain == pytest.approx(lucky)


def test_turning_the_arms_round_turns_the_statistic(rng) -> None:
    firing = np.repeat(np.arange(6), 4)
    arms, values = np.tile([0.0, 1.0, 1.0, 0.0], 6), rng.standard_normal(24)
    layout = Layout(stratum=firing, cluster=firing)
    one, other = (permutation_test(a, values, layout, rng=rng) for a in (arms, 1 - arms))
    assert one.statistic == pytest.approx(-other.statistic)


def test_units_that_could_not_fall_otherwise_give_a_p_of_one(rng) -> None:
    firing = np.arange(4)
    found = permutation_test(
        np.array([0.0, 1, 0, 1]), np.arange(4.0), Layout(stratum=firing, cluster=firing), rng=rng
    )
    assert (1, 1.0) == (found.arrangements, found.p_either)
