"""Per outcome, every row read is graded or left out with a reason."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from outcomes.log.outcome_account import firings_graded, outcome_account


def test_a_fully_graded_log_leaves_nothing_out(tiny_log):
    expected = (("luster", 12, ()), ("crackle_density", 12, ()), ("cracked", 12, ()))
    assert expected == outcome_account(tiny_log)


def test_every_reason_is_counted(twelve, codebook):
    outcomes = tuple(
        replace(outcome, applies_to=("Tarn Lantern",)) if outcome.name == "luster" else outcome
        for outcome in codebook.outcomes
    )
    luster = [None if i in (0, 2, 4) else i % 5 for i in range(24)]
    log = twelve(
        {"luster": luster},
        codebook=replace(codebook, outcomes=outcomes),
        written={("luster", 4): "meh"},
        unusable={("luster", 4): "no grade"},
        set_aside=[(26, "a line of totals"), (27, "blank")],
    )
    name, graded, left_out = outcome_account(log)[0]
    assert (name, graded) == ("luster", 9)
    assert left_out == (
        ("blank", 2),
        ("written but not usable", 1),
        ("of a glaze it does not apply to", 12),
        ("in rows set aside", 2),
    )
    assert log.account.rows_read == graded + sum(number for _, number in left_out)


def test_a_piece_without_a_glaze_counts_where_it_is_graded(twelve, codebook):
    outcomes = tuple(
        replace(outcome, applies_to=("Tarn Lantern",)) for outcome in codebook.outcomes
    )
    log = twelve({"glaze": [None] * 24}, codebook=replace(codebook, outcomes=outcomes))
    assert outcome_account(log)[0][1] == 24


def test_firings_are_those_with_a_graded_piece(twelve, codebook):
    log = twelve({"luster": [None] * 20 + [1, 2, 3, 4]})
    assert firings_graded(log, codebook.outcome("luster")) == 2


def test_an_outcome_without_a_column_has_no_account(twelve):
    names = [name for name, _, _ in outcome_account(twelve(drop=["luster"]))]
    assert names == ["crackle_density", "color_shift", "cracked"]


@settings(max_examples=50, deadline=None)
@given(
    grades=st.lists(st.sampled_from([None, 0, 1, 4]), min_size=1, max_size=30),
    n_aside=st.integers(0, 3),
)
def test_graded_and_left_out_are_all_rows_read(make_log, grades, n_aside):
    rows = [(100 + i, "blank") for i in range(n_aside)]
    log = make_log({"luster": grades}, set_aside=rows)
    ((_, graded, left_out),) = outcome_account(log)
    assert log.account.rows_read == graded + sum(number for _, number in left_out)
