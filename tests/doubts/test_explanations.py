"""A computed quantity against what it is computed from, by left-out skill."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.design.matrix import build_design
from outcomes.doubts.explanations import compare_explanations
from outcomes.doubts.scores import average_by_firing, rank_scores
from outcomes.log.cooling import cool
from outcomes.log.derived_swap import swap_for_derived
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import FitOptions
from outcomes.model.prediction import predict_reach
from outcomes.resampling.intervals import jackknife_interval

PAIR = ("pull_temp_c", "seconds_to_can")
CUTS = np.array([-1.5, -0.3, 0.6, 1.8])


@pytest.fixture(scope="session")
def year(make_log, invent, draw_grades):
    """A function that makes a year whose luster follows the skin at the can, or the seconds."""

    def make(kind: str, *, firings: int = 24, cans: tuple[int, ...] = (30, 60)):
        rng = np.random.default_rng(11)
        columns = invent(rng, firings=firings)
        n = len(columns["luster"])
        pull, wall = rng.integers(88, 102, n) * 10.0, rng.integers(4, 10, n) * 1.0
        seconds = np.array(columns["seconds_to_can"])
        skin = cool(pull, seconds, wall).skin_c
        lean = {"skin": (skin - skin.mean()) / 15.0, "seconds": (seconds - 10.0) * 0.8}[kind]
        return make_log(
            columns
            | {
                "pull_temp_c": pull.tolist(),
                "wall_thickness_mm": wall.tolist(),
                "can_volume_l": rng.choice(cans, n).astype(float).tolist(),
                "luster": draw_grades(rng, CUTS - lean[:, None]),
            }
        )

    return make


def compare(log, name="skin_at_can_c", outcome="luster"):
    of = log.codebook.outcome(outcome)
    swap = swap_for_derived(log, name)
    return compare_explanations(
        swap,
        build_design(log, of),
        of,
        options=FitOptions(),
        seed=np.random.SeedSequence(1),
    )


def plain_scores(design) -> np.ndarray:
    """The left-out score of every firing, by an open loop of refits."""
    scores = np.empty(len(design.y))
    for firing in range(len(design.firing_names)):
        out = design.firing == firing
        fit = fit_cumulative(design.X[~out], design.y[~out], len(design.grades))
        grades = range(1, len(design.grades))
        reach = np.column_stack([reach_of(design.X[out], fit, grade) for grade in grades])
        scores[out] = rank_scores(reach, design.y[out])
    return average_by_firing(scores, design.firing)


def test_the_difference_is_that_of_two_open_loops_of_refits(year):
    log = year("seconds")
    of = log.codebook.outcome("luster")
    swap = swap_for_derived(log, "skin_at_can_c")
    logged, computed = build_design(swap.logged, of), build_design(swap.computed, of)
    first, second = plain_scores(logged), plain_scores(computed)
    usual = np.array([usual_score(logged, firing) for firing in range(24)])
    gain = (first - second) / usual.mean()
    error = gain.std(ddof=1) / 24**0.5
    expected = jackknife_interval(gain.mean(), error, 23)
    found = compare(log).difference
    assert gain.mean() == pytest.approx(found.value, abs=1e-6)
    assert [expected.low, expected.high] == pytest.approx([found.low, found.high], abs=1e-6)


def reach_of(X, fit, grade: int) -> np.ndarray:
    return predict_reach(X, fit.parameters(), len(fit.thresholds) + 1, grade).ravel()


def usual_score(design, firing: int) -> float:
    """The score of one firing foretold by the shares of grades in the others."""
    out = design.firing == firing
    shares = np.bincount(design.y[~out], minlength=len(design.grades)) / (~out).sum()
    reach = np.cumsum(shares[::-1])[::-1][1:]
    return float(rank_scores(np.tile(reach, (out.sum(), 1)), design.y[out]).mean())


def test_both_sides_stand_on_the_same_pieces_and_firings(year):
    found = compare(year("seconds"))
    assert (192, 24) == (found.pieces, found.firings)
    assert (PAIR, ()) == (found.replaced, found.also_differ)
    assert (9, 10) == (found.columns_logged, found.columns_computed)  # a spline for two lines


def test_where_the_seconds_alone_decide_the_logged_columns_win(year):
    found = compare(year("seconds"))
    assert found.difference.high < 0
    assert "foretells new firings worse than pull temperature and seconds" in found.sentence


def test_where_the_skin_decides_the_computed_column_is_not_behind(year):
    found = compare(year("skin"))
    assert found.difference.high > 0
    assert found.computed.low > 0


def test_the_two_scales_of_the_comparison_have_one_sign(year):
    found = compare(year("seconds"))
    ends = [(found.difference.low, found.gain.low), (found.difference.high, found.gain.high)]
    assert all(np.sign(one) == np.sign(other) for one, other in ends)


def test_amount_and_volume_can_be_set_against_the_amount_a_litre(year):
    found = compare(year("seconds"), "combustible_per_litre")
    assert ("combustible_g", "can_volume_l") == found.replaced
    assert found.columns_computed == found.columns_logged - 1


def test_a_column_less_is_no_better_explanation(year):
    # Neither amount nor volume matters here: one column of noise less foretells 0.003 better.
    found = compare(year("seconds"), "combustible_per_litre")
    assert 0 < found.difference.low < found.difference.value < 0.02
    assert 0 == found.stands
    assert "cannot be told apart" in found.sentence


def test_a_volume_that_never_varied_leaves_nothing_to_compare(year):
    found = compare(year("seconds", cans=(30,)), "combustible_per_litre")
    assert (None, ("can_volume_l",)) == (found.difference, found.absent)
    assert (
        "Combustible per litre of can (computed) is not compared for luster: can volume could not "
        "enter its model (never varied, or too few firings)."
    ) == found.sentence


def test_under_six_firings_nothing_is_compared(year):
    found = compare(year("seconds", firings=5))
    assert found.difference is None
    assert "not compared for luster" in found.sentence


def test_the_same_seed_gives_the_same_answer_with_heaps_too(year):
    log = year("seconds", firings=44)
    one, other = compare(log), compare(log)
    assert one == other
    assert replace(one, sentence="") != replace(compare(year("skin", firings=44)), sentence="")
