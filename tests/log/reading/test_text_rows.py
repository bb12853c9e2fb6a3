"""Rows kept by column give back every cell as it was."""

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from outcomes.log.firings import compare_within
from outcomes.log.records import read_sound_rows, split_lines
from outcomes.log.text_rows import FEWEST_OWN, TextRowsBuilder, gather_rows

CELL = st.sampled_from(["", " ", "Tarn", "tarn", "3", "30 s", "½"])
ROWS = st.lists(st.tuples(CELL, CELL, CELL), max_size=12)


def by_column(cells):
    return gather_rows(list(enumerate(cells, start=2)), 3)


@settings(deadline=None)
@given(ROWS)
def test_every_row_comes_back_with_its_number(cells):
    assert list(enumerate(cells, start=2)) == list(by_column(cells))


@settings(deadline=None)
@given(ROWS, st.data())
def test_some_rows_hold_their_own_texts_only(cells, data):
    kept = data.draw(st.lists(st.sampled_from(range(len(cells))), unique=True)) if cells else []
    some = by_column(cells).take(np.array(sorted(kept), dtype=np.int64))
    assert [(at + 2, cells[at]) for at in sorted(kept)] == list(some)
    for place, column in enumerate(some.columns):
        assert {cells[at][place] for at in kept} == set(column.distinct)


@settings(deadline=None)
@given(ROWS)
def test_rows_of_spaces_only_are_left_out(cells):
    written = [row for row in enumerate(cells, start=2) if "".join(row[1]).strip()]
    assert written == list(by_column(cells).without_blank())


@settings(deadline=None)
@given(ROWS)
def test_the_longest_cell_is_found_where_it_stands_first(cells):
    longest = max((len(cell) for row in cells for cell in row), default=0)
    rows = [at for at, row in enumerate(cells, start=2) if longest in map(len, row)]
    assert (longest, rows[0] if longest else 0) == by_column(cells).find_longest()


def test_a_column_of_texts_of_its_own_reads_like_any_other():
    texts = [f"P{i}" for i in range(FEWEST_OWN + 500)] + ["P3", "P3", "new", ""]
    builder = TextRowsBuilder(2)
    for start in range(0, len(texts), 300):
        some = texts[start : start + 300]
        builder.add(np.arange(start, start + len(some)), [(text, "same") for text in some])
    (own, shared) = builder.build().columns
    assert (texts, list(dict.fromkeys(texts))) == (own.spread().tolist(), own.distinct.tolist())
    assert ["same"] == shared.distinct.tolist()


def test_a_record_over_two_lines_or_of_another_width_is_not_sound():
    for text in ('a,b\n"1\n2",3\n', "a,b\n1,2,3\n", 'a,b\n"1"x,2\n'):
        assert read_sound_rows(split_lines(text), delimiter=",", width=2) is None


def test_blank_lines_keep_their_numbers_and_are_no_rows():
    rows = read_sound_rows(split_lines('a,b\n\n , \n"1,5",2\n'), delimiter=",", width=2)
    assert [(1, ("a", "b")), (4, ("1,5", "2"))] == list(rows)


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["F1", "F2", None]), st.sampled_from([1.0, 2.0, np.nan])),
        min_size=1,
    )
)
def test_firings_are_compared_as_a_groupby_compares_them(pairs):
    labels = pd.Series([firing for firing, _ in pairs], dtype=object)
    values = pd.Series([value for _, value in pairs], dtype=float)
    codes, times, differs = compare_within(labels, values)
    expected = values.groupby(labels, sort=False).agg(["count", "nunique"])
    assert pd.factorize(labels)[0].tolist() == codes.tolist()
    assert expected["count"].tolist() == times.tolist()
    assert (expected["nunique"] > 1).tolist() == differs.tolist()
