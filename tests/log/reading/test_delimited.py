"""Text files: letters, delimiters, line ends, quotation marks, row numbers."""

import csv
import io
from collections.abc import Callable
from dataclasses import replace

import pytest

from outcomes.errors import LogError
from outcomes.finding import Severity
from outcomes.log.codebook import Codebook
from outcomes.log.delimited import read_delimited, vote_delimiter
from outcomes.log.encodings import decode_text
from outcomes.log.file_limits import DEFAULT_LIMITS
from outcomes.log.files import FileBytes
from outcomes.log.known_headers import known_headers
from outcomes.log.records import read_records, split_lines
from outcomes.log.tables import Grid

Rows = list[dict[str, str]]
Typed = Callable[..., str]


def grid_of(text: str, codebook: Codebook, **limits: int) -> Grid:
    file = FileBytes(name="log.csv", data=text.encode(), sha256="", kind="csv")
    allowed = replace(DEFAULT_LIMITS, **limits)
    return read_delimited(file, known_headers(codebook), limits=allowed)


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_every_delimiter_is_found(
    read: Callable, type_text: Typed, plain: Rows, delimiter: str
) -> None:
    log = read(type_text(plain, delimiter=delimiter))
    assert (delimiter, 20) == (log.files[0].delimiter, log.account.rows_used)
    assert plain[0]["seconds_to_can"] == log.written["seconds_to_can"][0]


def test_decimal_commas_do_not_win_the_vote_for_the_delimiter() -> None:
    lines = ["glaze;wall;air", "Moth;7,3;12,5", "Moth;7,1;11,0"]
    assert ";" == vote_delimiter(lines, frozenset({"glaze", "wall"}))


def test_a_declared_delimiter_is_no_row(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read("sep=;\r\n" + type_text(plain, delimiter=";"))
    assert (1, 2) == (log.files[0].header_row, log.origin["row"][0])


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_line_end_gives_the_same_rows(
    read: Callable, type_text: Typed, plain: Rows, end: str
) -> None:
    log = read(type_text(plain).replace("\n", end).encode())
    assert [*range(2, 22)] == log.origin["row"].tolist()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_letters_survive_every_encoding(
    read: Callable, type_text: Typed, plain: Rows, encoding: str
) -> None:
    text = type_text(plain, {(3, "glaze"): "Céladon ½ №4"})
    assert "Céladon ½ №4" == read(text.encode(encoding)).values["glaze"][1]


def test_utf16_without_its_mark_is_said(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read(type_text(plain).encode("utf-16-le"))
    (finding,) = [f for f in log.findings if f.code == "encoding_guessed"]
    assert "UTF-16 text without the mark that says so" in finding.message


def test_windows_letters_are_read_and_said(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read(type_text(plain, {(3, "glaze"): "Céladon"}).encode("cp1252"))
    (finding,) = [f for f in log.findings if f.code == "encoding_guessed"]
    assert ("Céladon", "cp1252") == (log.values["glaze"][1], log.files[0].encoding)
    assert Severity.WARNING is finding.severity
    assert "the first being line 3, were read as Windows-1252" in finding.message
    assert "'Céladon'" in finding.message


def test_one_windows_letter_does_not_spoil_the_rest() -> None:
    decoded = decode_text("naïve\nč\n".encode() + b"caf\xe9\n", "log.csv")
    assert "naïve\nč\ncafé\n" == decoded.text
    assert "utf-8 and cp1252" == decoded.encoding


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"glaze,luster\nMo\x00th,3\nA,1\n", "log.csv line 2 holds a zero byte"),
        (bytes(range(1, 32)) * 20, "is a binary file, not text"),
        (b"glaze\nMoth \x81\n", "line 2 holds the byte 0x81, which is a letter neither"),
        (b"\xff\xfeg\x00l", "breaks off at byte 4"),
        ("glaze\nMo\x00th".encode("utf-16"), "line 2 holds a zero character"),
    ],
)
def test_what_is_no_text_is_refused_with_its_place(data: bytes, message: str) -> None:
    with pytest.raises(LogError) as refused:
        decode_text(data, "log.csv")
    assert message in str(refused.value)


def test_blank_lines_count_as_rows_of_the_sheet_but_are_no_rows(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    lines = type_text(plain).splitlines()
    lines[3:3] = ["", ",,,", "   "]
    log = read("\n".join(lines))
    assert [2, 3, 7, 8] == log.origin["row"].tolist()[:4]
    assert 20 == log.account.rows_read


def test_a_note_over_several_lines_is_one_row(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    note = '"lid warped\nthen, after a while,\r\nit ""sang"""'
    log = read(type_text(plain, {(4, "notes"): note}).encode())
    assert 'lid warped\nthen, after a while,\r\nit "sang"' == log.values["notes"][2]
    assert [*range(2, 22)] == log.origin["row"].tolist()


@pytest.mark.parametrize("column", ["glaze", "maker", "luster", "notes"])
def test_a_mark_that_is_never_closed_swallows_nothing(
    read: Callable, type_text: Typed, plain: Rows, column: str
) -> None:
    typed = plain[3][column] or "x"
    log = read(type_text(plain, {(5, column): f'"{typed}'}))
    assert (20, [*range(2, 22)]) == (log.account.rows_used, log.origin["row"].tolist())
    assert typed == log.written[column][3]
    (finding,) = [f for f in log.findings if f.code == "stray_quotes"]
    assert (5,) == finding.rows


def test_two_open_marks_do_not_pair_across_rows(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    edits = {(5, "notes"): '"went well', (9, "notes"): 'went badly"'}
    log = read(type_text(plain, edits))
    assert 20 == log.account.rows_used
    assert ["went well", 'went badly"'] == log.values["notes"][[3, 7]].tolist()


def test_two_open_marks_in_one_column_do_not_pair(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(5, "glaze"): '"Moth', (6, "glaze"): 'Ledger"'}))
    assert 20 == log.account.rows_used
    assert ["Moth", 'Ledger"'] == log.values["glaze"][[3, 4]].tolist()


def test_a_broken_row_is_set_aside_with_its_reason(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(5, "glaze"): '"Moth, Ledger, old'}))
    (row,) = log.account.set_aside
    assert (5, 19, 20) == (row.row, log.account.rows_used, log.account.rows_read)
    assert "a quotation mark in this row has no partner" in row.reason
    assert "Moth" in row.written


@pytest.mark.parametrize("typed", ['"', '""""'])
def test_a_ditto_mark_is_no_quotation(
    read: Callable, type_text: Typed, plain: Rows, typed: str
) -> None:
    log = read(type_text(plain, {(5, "seconds_to_can"): typed, (5, "lid_delay_s"): typed}))
    for column in ("seconds_to_can", "lid_delay_s"):
        assert "ditto" == log.how[column][3]
        assert log.values[column][2] == log.values[column][3]
    assert [] == [f for f in log.findings if f.code == "stray_quotes"]


def test_a_ditto_mark_hides_no_stray_mark_beside_it(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(5, "seconds_to_can"): '"', (5, "notes"): '"went well'}))
    (finding,) = [f for f in log.findings if f.code == "stray_quotes"]
    assert (5,) == finding.rows
    assert "ditto" == log.how["seconds_to_can"][3]


def test_inches_and_nicknames_keep_their_marks(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(5, "notes"): '6" bowl', (6, "notes"): '"Moon" jar'}))
    assert ['6" bowl', '"Moon" jar'] == log.values["notes"][[3, 4]].tolist()


def test_sound_quoting_agrees_with_the_csv_module() -> None:
    out = io.StringIO(newline="")
    rows = [["a", 'b "c"', "d,e"], ["1", "two\nlines", ""], ["", "x", " y "]]
    csv.writer(out, quoting=csv.QUOTE_ALL).writerows(rows)
    records = read_records(split_lines(out.getvalue()), delimiter=",", width=3)
    assert rows == [record.cells for record in records]


def test_a_comma_after_every_row_shifts_nothing(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    whole = read(type_text(plain)).values
    for lines in (
        [f"{line}," for line in type_text(plain).splitlines()],
        [line if i == 0 else f"{line},," for i, line in enumerate(type_text(plain).splitlines())],
        [f"{line}," if i == 1 else line for i, line in enumerate(type_text(plain).splitlines())],
    ):
        log = read("\n".join(lines))
        assert whole.equals(log.values)
        assert () == log.account.set_aside


def test_a_row_with_a_value_too_many_is_set_aside_a_short_one_padded(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    lines = type_text(plain).splitlines()
    lines[4] = lines[4] + "extra"
    lines[5] = lines[5] + ",extra"
    lines[7] = ",".join(lines[7].split(",")[:8])
    log = read("\n".join(lines))
    (row,) = log.account.set_aside
    assert (6, 19) == (row.row, log.account.rows_used)
    assert "it has 14 cells where the header has 13; the last is 'extra'" in row.reason
    (finding,) = [f for f in log.findings if f.code == "ragged_rows"]
    assert (8,) == finding.rows
    assert "blank" == log.how["luster"][5]


@pytest.mark.parametrize(("rows", "is_refused"), [(19, True), (20, False), (21, False)])
def test_rows_at_the_edge(
    type_text: Typed, plain: Rows, codebook: Codebook, rows: int, is_refused: bool
) -> None:
    if is_refused:
        with pytest.raises(LogError, match="rows, more than the 19"):
            grid_of(type_text(plain), codebook, rows=rows)
    else:
        assert 21 == len(grid_of(type_text(plain), codebook, rows=rows).rows)


@pytest.mark.parametrize(("columns", "is_refused"), [(12, True), (13, False), (14, False)])
def test_columns_at_the_edge(
    type_text: Typed, plain: Rows, codebook: Codebook, columns: int, is_refused: bool
) -> None:
    if is_refused:
        with pytest.raises(LogError, match="row 1 has 13 cells, more than the 12 columns"):
            grid_of(type_text(plain), codebook, columns=columns)
    else:
        assert 21 == len(grid_of(type_text(plain), codebook, columns=columns).rows)


@pytest.mark.parametrize(("letters", "is_refused"), [(49, False), (50, False), (51, True)])
def test_cell_length_at_the_edge(
    type_text: Typed, plain: Rows, codebook: Codebook, letters: int, is_refused: bool
) -> None:
    text = type_text(plain, {(7, "notes"): "x" * letters})
    if is_refused:
        with pytest.raises(LogError, match="row 7 has a cell of 51 characters, more than the 50"):
            grid_of(text, codebook, cell_characters=50)
    else:
        assert 21 == len(grid_of(text, codebook, cell_characters=50).rows)
