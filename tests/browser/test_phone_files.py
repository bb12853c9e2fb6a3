"""The log as a file: hostile names, other people's files, other people's spreadsheets."""

import csv
import io

import pytest

import outcomes
from outcomes.log.formula_guard import neutralise_cell, strip_guard
from outcomes.report.html import read_part

pytestmark = pytest.mark.browser

HOSTILE = [
    '<img src=x onerror="window.hurt=1">',
    '=HYPERLINK("http://example.org","tap me")',
    "</script><script>window.hurt=1</script>",
    'a "quoted", comma; semicolon',
    "+1 cup",
    "@home",
    "'twas hot",
    "Tenmoku 🔥 ½",
    "\u202egnp.exe",
    "زجاج نحاسي",
    "{n} {piece:one|many}",
    "__proto__",
]


@pytest.fixture
def hostile(open_phone):
    """A piece for each hostile name, as glaze and in its notes."""
    user = open_phone()
    user.start_firing()
    for name in HOSTILE:
        user.add_piece(name)
    return user


def test_hostile_names_are_shown_as_text_and_run_nothing(hostile):
    shown = hostile.page.locator(".glaze").all_inner_texts()
    assert shown == HOSTILE
    assert hostile.page.evaluate("window.hurt") is None
    assert hostile.page.locator("main img, main script").count() == 0
    assert hostile.complaints == []


def test_hostile_names_are_no_formula_in_a_spreadsheet(hostile):
    rows = hostile.rows()
    assert [row["glaze"] for row in rows] == [neutralise_cell(name) for name in HOSTILE]
    assert rows[1]["glaze"].startswith("'=HYPERLINK")


def test_hostile_names_come_back_the_same(hostile, open_phone, tmp_path):
    taken = hostile.take_out()
    other = open_phone()
    other.bring_in(taken)
    assert other.take_out() == taken
    other.visit("#/firing/1")
    assert other.page.locator(".glaze").all_inner_texts() == HOSTILE
    file = tmp_path / "log.csv"
    file.write_bytes(taken)
    read = outcomes.read_log([file])
    assert read.account.rows_used == len(HOSTILE)
    assert read.values["glaze"].tolist() == HOSTILE


def test_notes_of_several_lines_come_back_to_the_last_sign(open_phone, tmp_path):
    note = 'first line, with a comma\nsecond "line"\n\n=1+1; last'
    user = open_phone()
    user.start_firing()
    user.add_piece("Moth Ledger", code="P-1")
    user.add_piece("Moth Ledger", code="P-2")
    user.open_piece("P-1")
    user.page.get_by_label("Notes").fill(note)
    taken = user.take_out()
    file = tmp_path / "log.csv"
    file.write_bytes(taken)
    assert outcomes.read_log([file]).values["notes"].tolist() == [note, None]
    other = open_phone()
    other.bring_in(taken)
    assert other.take_out() == taken


CELLS = [
    "", "plain", "=1", "-1", "-1,5", "+1e3", "- none", " =1", "\u00a0=1", "\u200b=1", "\u200e@x",
    "＝1", "\t1", "\r1", "'=1", "''", "1-2", "\x85=1", "\ufeff-a", "\x1c=x", "~30", "½", "-", "+",
    "@", "1e5", "-0", " -3 ", "\u3000+x", "\x00=", "é=1",
]  # fmt: skip


def test_the_guard_against_formulas_is_the_program_s_own_rule(open_phone):
    page = open_phone(at="").page
    code = read_part("phone_csv.js")
    ours = page.evaluate(
        f"cells => {{ {code}; return cells.map(c => [guardCell(c), stripGuard(guardCell(c))]) }}",
        CELLS,
    )
    assert ours == [[neutralise_cell(cell), strip_guard(neutralise_cell(cell))] for cell in CELLS]


def test_the_table_is_what_python_reads_and_python_s_table_is_read_back(open_phone):
    page = open_phone(at="").page
    code = read_part("phone_csv.js")
    rows = [["a", "b"], ['q"q', "x,y"], ["two\nlines", " spaced "], ["", "é"], ["; |", "\tx\r\n"]]
    written = page.evaluate(f"rows => {{ {code}; return writeCsv(rows) }}", rows)
    read = list(csv.reader(io.StringIO(written.removeprefix("\ufeff"), newline="")))
    assert read == [[neutralise_cell(cell) for cell in row] for row in rows]
    stream = io.StringIO(newline="")
    csv.writer(stream).writerows(rows)
    assert page.evaluate(f"text => {{ {code}; return readCsv(text) }}", stream.getvalue()) == rows


def a_file(**changes: str) -> str:
    """One piece as the page writes it, with some cells changed."""
    cells = {"firing_id": "F1", "piece_id": "P1", "glaze": "Moth Ledger", "phone_stamps": ""}
    cells |= changes
    stream = io.StringIO(newline="")
    csv.writer(stream).writerows([cells.keys(), cells.values()])
    return stream.getvalue()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("pot,glaze,lustre\n1,Moth Ledger,3\n", "was not written by this page: the firing_id, "
         "piece_id and phone_stamps column is missing. Nothing was brought in."),
        ("", "was not written by this page"),
        ("PK\x03\x04\x00\x00", "was not written by this page"),
        (a_file(glaze="x") + 'F1,P2,"never closed\n', "is never closed"),
        (a_file() + "F1,P2\n", "Row 3 has 2 cells where the header has 4."),
        (a_file() + "F1,P1,Tarn Lantern,\n", "Rows 2 and 3 are both about P1"),
        (a_file(piece_id=""), "Row 2 has no firing code or no piece code."),
        (a_file(phone_stamps="kiln=yesterday"), "Row 2 has a time that this page did not write"),
        (a_file(phone_stamps="oven=2026-05-31T18:00:00.000Z"), "did not write"),
        ("firing_id,firing_id,piece_id,phone_stamps\nF1,F1,P1,\n", "have the same name"),
    ],
)  # fmt: skip
def test_another_file_is_refused_in_words_and_nothing_changes(open_phone, text, said):
    user = open_phone()
    user.start_firing()
    user.add_piece("Tarn Lantern")
    before = user.take_out()
    assert said in " ".join(user.bring_in(text.encode()).split())
    assert user.take_out() == before
    assert user.complaints == []


def test_a_piece_written_differently_here_is_replaced_only_after_two_questions(open_phone):
    user = open_phone()
    user.bring_in(a_file().encode())
    answer = user.bring_in(a_file(glaze="Tarn Lantern").encode())
    assert "1 piece is here already, but written differently: P1. It was left as it is" in answer
    assert user.rows()[0]["glaze"] == "Moth Ledger"
    user.bring_in(a_file(glaze="Tarn Lantern").encode())
    user.press("Take 1 from the file instead")
    user.say_yes_twice("Take 1 from the file instead")
    assert user.said() == "1 piece was replaced."
    assert user.rows()[0]["glaze"] == "Tarn Lantern"


def test_a_table_saved_by_a_spreadsheet_with_semicolons_is_read(open_phone):
    user = open_phone()
    answer = user.bring_in(a_file().replace(",", ";").encode("utf-8-sig"))
    assert "1 piece was added" in answer
    assert user.rows()[0]["glaze"] == "Moth Ledger"


def test_a_column_somebody_added_is_kept(open_phone):
    user = open_phone()
    user.bring_in(a_file(shelf="top", constructor="x").encode())
    user.reload()
    row = user.rows()[0]
    assert (row["shelf"], row["constructor"]) == ("top", "x")


def test_seconds_changed_in_a_spreadsheet_stand_above_the_taps(open_phone):
    stamps = "kiln=2026-05-31T18:00:00.000Z can=2026-05-31T18:00:08.000Z"
    user = open_phone()
    user.bring_in(a_file(seconds_to_can="9", phone_stamps=stamps).encode())
    assert user.rows()[0]["seconds_to_can"] == "9"
    user.visit("#/firing/1")
    user.open_piece("P1")
    assert "From the taps “Out of the kiln” and “In the can”: 8 s." in user.page.inner_text("main")


def test_a_firing_without_pieces_is_named_when_the_log_is_taken_out(open_phone):
    user = open_phone()
    user.start_firing()
    user.visit("#/out")
    assert "1 firing has no pieces and is not in the file." in user.page.inner_text("main")


def test_the_file_can_be_had_as_text_where_saving_does_not_work(hostile):
    taken = hostile.take_out().decode()
    hostile.touch(hostile.page.get_by_text("Where saving does not work"))
    shown = hostile.page.get_by_label("Tap into the box", exact=False).input_value()
    assert shown.split() == taken.split()


def test_the_page_says_whether_the_log_has_changed_since_it_was_taken_out(hostile):
    hostile.take_out()
    assert "nothing has changed since" in hostile.page.inner_text("main")
    hostile.visit("#/")
    hostile.touch(hostile.page.get_by_label("Beep at every tap"))
    hostile.visit("#/out")
    assert "nothing has changed since" in hostile.page.inner_text("main")
    hostile.visit("#/firing/1")
    hostile.tap("F260531/1", "Out of the kiln")
    hostile.visit("#/out")
    assert "it has changed since" in hostile.page.inner_text("main")
