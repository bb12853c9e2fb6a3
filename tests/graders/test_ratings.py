import numpy as np
import pandas as pd
import pytest

from outcomes.graders.alpha import count_coincidences
from outcomes.graders.pairs import compare_pairs, measure_alpha, measure_offsets
from outcomes.graders.ratings import build_ratings, number_clusters


def entries_of(rows):
    columns = ["piece", "firing", "grader", "blind", "grade"]
    table = pd.DataFrame(rows, columns=columns).assign(graded_on=pd.NaT, file="f", row=2)
    return table.astype({"firing": object, "blind": object})


def test_a_piece_graded_twice_by_one_grader_counts_once_and_the_blind_grade_counts(five_grades):
    entries = entries_of(
        [("p1", None, "A", "no", 4.0), ("p1", None, "A", "yes", 2.0), ("p1", None, "B", "yes", 1.0)]
    )
    assert build_ratings(entries, five_grades).grades.tolist() == [[2.0, 1.0]]


def test_of_two_equal_readings_the_first_counts(five_grades):
    entries = entries_of([("p1", None, "A", None, 4.0), ("p1", None, "A", None, 2.0),
                          ("p1", None, "B", None, 1.0)])  # fmt: skip
    assert build_ratings(entries, five_grades).grades.tolist() == [[4.0, 1.0]]


def test_one_graders_own_readings_are_compared(five_grades):
    twice = entries_of([("p1", None, "A", None, 4.0), ("p1", None, "A", None, 2.0)])
    both = entries_of([("p1", None, "A", "no", 4.0), ("p1", None, "A", "yes", 2.0)])
    assert build_ratings(twice, five_grades).graders == ("A, reading 1", "A, reading 2")
    assert build_ratings(both, five_grades).graders == ("A, blind", "A, knowing")


def test_no_piece_with_two_grades_is_nothing_to_compare(five_grades):
    entries = entries_of([("p1", None, "A", None, 4.0), ("p2", None, "B", None, 2.0)])
    assert build_ratings(entries, five_grades) is None


@pytest.mark.parametrize(("named", "by_firing"), [(5, False), (6, True)])
def test_firings_are_left_out_from_six_on_else_pieces(named, by_firing):
    firings = [f"F{n}" for n in range(named)] * 2
    cluster, told = number_clusters(firings)
    assert (len(set(cluster.tolist())), told) == ((6, True) if by_firing else (10, False))


def test_every_pair_of_a_piece_counts_once(make_ratings):
    ratings = make_ratings([[0, 1, 2], [3, None, 3]])
    assert ratings.count_all_pairs().sum(axis=(1, 2)).tolist() == [3.0, 1.0]


def test_leaving_out_sums_is_leaving_out_pieces(make_ratings, rng):
    rows = rng.integers(0, 5, size=(24, 3)).astype(float)
    ratings = make_ratings(rows.tolist(), per_firing=4)
    parts = ratings.sum_clusters(count_coincidences(ratings.grades, 5))
    without = count_coincidences(rows[ratings.cluster != 2], 5).sum(axis=0)
    np.testing.assert_allclose(parts.sum(axis=0) - parts[2], without, atol=1e-12)


def test_a_piece_graded_by_one_more_changes_alpha_only_not_the_pairs(make_ratings, rng):
    rows = rng.integers(0, 5, size=(20, 2)).tolist()
    alone = [[row[0], row[1], None] for row in rows]
    extra = [*alone, [None, 1, 4]]
    first, second = make_ratings(alone), make_ratings(extra)
    assert compare_pairs(second, confidence=0.95)[0].quadratic.value == (
        compare_pairs(first, confidence=0.95)[0].quadratic.value
    )
    assert measure_alpha(second, confidence=0.95).value != (
        measure_alpha(first, confidence=0.95).value
    )


def test_two_graders_offsets_are_mirrors(make_ratings, rng):
    rows = rng.integers(0, 5, size=(20, 2)).tolist()
    one, other = measure_offsets(make_ratings(rows), confidence=0.95)
    assert one.difference.value == pytest.approx(-other.difference.value)
    assert one.difference.interval.low == pytest.approx(-other.difference.interval.high)


def test_gradings_given_twice_do_not_make_an_agreement_surer(make_ratings, rng):
    rows = rng.integers(0, 5, size=(24, 2)).tolist()
    once = measure_alpha(make_ratings(rows, per_firing=3), confidence=0.95)
    doubled = [row for row in rows for _ in range(2)]
    twice = measure_alpha(make_ratings(doubled, per_firing=6), confidence=0.95)
    # The firings stay eight: the width changes by the small-sample term of alpha only.
    assert twice.interval.width() == pytest.approx(once.interval.width(), rel=0.05)
