from pathlib import Path

import openpyxl
import pandas as pd
import pytest

from outcomes.errors import LogError
from outcomes.graders.agreement import compare_gradings
from outcomes.graders.columns import find_grade_columns
from outcomes.graders.reading import read_gradings

LONG = """piece,firing,grader,graded on,blind,lustre
p1,F1,Ann,2025-03-01,yes,3
p2,F1,Ann,2025-03-01,yes,trace
p1,F1,Bo,2025-03-02,no,2
p2,F1,Bo,2025-03-02,no,1
"""


@pytest.fixture
def write(tmp_path: Path):
    def put(name: str, text: str, encoding: str = "utf-8") -> Path:
        path = tmp_path / name
        path.write_text(text, encoding=encoding)
        return path

    return put


def grades(gradings, outcome: str = "luster") -> dict:
    kept = gradings.entries.dropna(subset=[outcome])
    return {(e.grader, e.piece): getattr(e, outcome) for e in kept.itertuples()}


EXPECTED = {("Ann", "p1"): 3.0, ("Ann", "p2"): 1.0, ("Bo", "p1"): 2.0, ("Bo", "p2"): 1.0}


def test_long_form_is_read_with_words_dates_and_blindness(write, codebook):
    read = read_gradings([write("g.csv", LONG)], codebook)
    assert grades(read) == EXPECTED
    assert read.entries["graded_on"].dt.day.tolist() == [1, 1, 2, 2]
    assert read.entries["blind"].tolist() == ["yes", "yes", "no", "no"]
    assert read.how == ("long",)


def test_wide_form_is_read_whichever_way_the_graders_are_named(write, codebook):
    text = "Piece,Firing,luster_Ann,Lustre (Bo)\np1,F1,3,2\np2,F1,trace,1\n"
    read = read_gradings([write("g.csv", text)], codebook)
    assert grades(read) == EXPECTED
    assert read.account.rows_read == read.account.rows_used == 2


def test_several_files_are_one_grader_each(write, codebook):
    one = write("Ann.csv", "piece;lustre\np1;3\np2;1\n", "utf-16")
    other = write("Bo.tsv", "pot id\tluster\np1\t2\nP2\t1\n")
    assert grades(read_gradings([one, other], codebook)) == EXPECTED


def test_a_workbook_is_read_like_any_log(tmp_path, codebook):
    book = openpyxl.Workbook()
    for row in (["piece", "luster A", "luster B"], ["p1", 3, 2], ["p2", 1, 1]):
        book.active.append(row)
    book.save(tmp_path / "g.xlsx")
    assert len(grades(read_gradings([tmp_path / "g.xlsx"], codebook))) == 4


def test_the_same_grades_in_three_forms_agree_alike(write, codebook):
    rows = [(f"p{n}", n % 5, (n * 3) % 5) for n in range(30)]
    long = "piece,grader,luster\n" + "".join(f"{p},A,{a}\n{p},B,{b}\n" for p, a, b in rows)
    wide = "piece,luster_A,luster_B\n" + "".join(f"{p},{a},{b}\n" for p, a, b in rows)
    files = [
        write("A.csv", "piece,luster\n" + "".join(f"{p},{a}\n" for p, a, _ in rows)),
        write("B.csv", "piece,luster\n" + "".join(f"{p},{b}\n" for p, _, b in rows)),
    ]
    alphas = {
        compare_gradings(read_gradings(paths, codebook), confidence=0.95, version="0")
        .outcomes[0]
        .alpha
        for paths in ([write("l.csv", long)], [write("w.csv", wide)], files)
    }
    assert len(alphas) == 1


def test_every_row_is_used_or_set_aside_with_its_reason(write, codebook):
    text = LONG + "p3,F1,,2025-03-01,yes,2\n,F1,Ann,2025-03-01,yes,2\np4,F1,Bo,2025-03-01,no,2.5\n"
    account = read_gradings([write("g.csv", text)], codebook).account
    assert (account.rows_read, account.rows_used) == (7, 4)
    assert [(row.row, row.reason.split(";")[0]) for row in account.set_aside] == [
        (6, "no grader is named in it"),
        (7, "no piece is named in it, so it cannot be compared"),
        (8, "no usable grade stands in it"),
    ]


def test_a_cell_that_cannot_be_used_is_named_once(write, codebook):
    text = "piece,firing,luster_A,luster_B\np1,F1,3,2\np2,F1,2 or 3,1\np3,F1,1,1\n"
    unusable = read_gradings([write("g.csv", text)], codebook).unusable
    assert unusable[["row", "column", "written"]].to_numpy().tolist() == [[3, "luster_A", "2 or 3"]]


def test_a_day_of_grading_that_is_no_date_is_named(write, codebook):
    text = LONG.replace("2025-03-02", "last week")
    unusable = read_gradings([write("g.csv", text)], codebook).unusable
    assert unusable["column"].tolist() == ["graded on", "graded on"]
    assert "not read as a date" in unusable["reason"].iloc[0]


def test_a_date_that_differs_within_a_piece_is_the_day_of_grading_and_that_is_said(write, codebook):
    read = read_gradings([write("g.csv", LONG.replace("graded on", "date"))], codebook)
    assert read.entries["graded_on"].notna().all()
    assert [f.code for f in read.findings if "date" in f.code] == ["date_is_day_of_grading"]


def test_the_day_of_firing_stands_for_a_firing_nobody_named(write, codebook):
    one = write("A.csv", "piece,fired_on,luster\np1,2025-01-04,3\np2,2025-01-11,1\n")
    other = write("B.csv", "piece,luster\np1,2\np2,1\n")
    firings = read_gradings([one, other], codebook).entries["firing"]
    assert firings.tolist() == ["2025-01-04", "2025-01-11"] * 2


def test_a_piece_number_used_in_two_firings_is_two_pieces(write, codebook):
    text = "firing,piece,luster_A,luster_B\nF1,1,3,3\nF2,1,0,1\n"
    read = read_gradings([write("g.csv", text)], codebook)
    assert sorted(read.entries["piece"].unique()) == ["F1 1", "F2 1"]


def test_a_row_that_does_not_say_which_of_two_pieces_it_means_is_set_aside(write, codebook):
    one = write("A.csv", "firing,piece,luster\nF1,1,3\nF2,1,0\nF2,2,1\n")
    other = write("B.csv", "piece,luster\n1,3\n2,1\n")
    account = read_gradings([one, other], codebook).account
    assert [(row.file, row.row) for row in account.set_aside] == [("B.csv", 2)]
    assert "write the firing too" in account.set_aside[0].reason


@pytest.mark.parametrize(
    ("headers", "found"),
    [
        (["piece", "luster", "luster_B"], [("luster", "the log"), ("luster", "B")]),
        (["piece", "luster (0-4)", "crackle count grade"], []),
        (["piece", "luster_A", "crackle_A"], []),
        (["piece", "Ann luster", "Bo luster"], [("luster", "Ann"), ("luster", "Bo")]),
        (["luster by Ann", "luster by ann b"], [("luster", "Ann"), ("luster", "ann b")]),
        (["luster_A", "crackle_a", "luster_B"],
         [("luster", "A"), ("crackle_density", "A"), ("luster", "B")]),
        (["luster", "luster notes", "luster date"], []),
    ],
)  # fmt: skip
def test_only_headers_that_name_a_grader_are_taken_for_one(headers, found, codebook):
    columns = find_grade_columns(headers, codebook)
    assert [(column.outcome, column.grader) for column in columns] == found


@pytest.mark.parametrize(
    ("files", "message"),
    [
        ({"a.csv": "piece,luster\np1,3\n"}, r"found one grading only, by 'a'.*--regrade 36"),
        ({"a.csv": "glaze,luster\nMoth,3\n"}, r"a.csv: no column names the piece.*Add the piece"),
        ({"a.csv": "piece,glaze\np1,Moth\n"}, r"a.csv: no column holds grades.*Name the column"),
        ({"a.csv": "piece,luster\np1,3\n", "b.csv": "piece,luster\np1,3\n"}, "given twice"),
        ({"a.csv": "piece,grader,luster\np1,A,x\n"}, r"found no row that names a piece"),
        ({"a.csv": "piece,luster\np1,3\n", "b.csv": "piece,luster\nq1,2\n"}, None),
    ],
)
def test_what_cannot_be_compared_is_refused_with_what_to_do(files, message, write, codebook):
    paths = [write(name, text) for name, text in files.items()]
    with pytest.raises(LogError, match=message or "No piece has two grades of one outcome"):
        compare_gradings(read_gradings(paths, codebook), confidence=0.95, version="0")


def test_nothing_that_was_read_is_changed(write, codebook):
    path = write("g.csv", LONG)
    before = path.read_bytes()
    read_gradings([path], codebook)
    assert path.read_bytes() == before


def test_entries_stand_in_order_of_time(write, codebook):
    turned = "\n".join([LONG.splitlines()[0], *LONG.splitlines()[:0:-1]]) + "\n"
    days = read_gradings([write("g.csv", turned)], codebook).entries["graded_on"]
    assert days.is_monotonic_increasing
    assert isinstance(days.iloc[0], pd.Timestamp)


def test_a_second_grade_of_the_same_kind_is_set_aside_and_the_first_counts(write, codebook):
    read = read_gradings([write("g.csv", LONG + "p1,F1,Ann,2025-03-05,yes,0\n")], codebook)
    assert grades(read) == EXPECTED
    assert [(row.row, row.reason.split(",")[0]) for row in read.account.set_aside] == [
        (6, "this grader graded this piece before")
    ]
