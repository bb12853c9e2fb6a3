"""Whole logs: headers, rows set aside, several files, dittos, what is said."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.errors import LogError
from outcomes.finding import Finding
from outcomes.log.checks import check_log
from outcomes.log.firing_log import FiringLog

Rows = list[dict[str, str]]
Typed = Callable[..., str]


def said(log: FiringLog, code: str) -> Finding:
    (finding,) = [finding for finding in log.findings if finding.code == code]
    return finding


def codes(log: FiringLog) -> set[str]:
    return {finding.code for finding in log.findings}


def test_a_plain_log_is_read_without_a_word_but_its_units(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain))
    assert {"units_converted", "column_missing"} == codes(log)
    assert (20, 20, ()) == (log.account.rows_read, log.account.rows_used, log.account.set_aside)
    assert [int(row["luster"]) for row in plain] == log.values["luster"].tolist()
    fahrenheit = np.array([float(row["pull_temp_f"]) for row in plain])
    np.testing.assert_allclose(log.values["pull_temp_c"], (fahrenheit - 32) / 1.8, rtol=1e-12)
    assert "<M8[s]" == log.values["fired_on"].dtype.str


def test_the_frames_share_rows_columns_and_types(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(3, "luster"): "meh", (4, "maker"): ""}))
    for frame in (log.written, log.how):
        assert list(log.values.columns) == list(frame.columns)
        assert list(log.values.index) == list(frame.index)
    assert ["file", "row"] == list(log.origin.columns)
    assert ["file", "row", "column", "written", "reason"] == list(log.unusable.columns)
    assert np.isnan(log.values["luster"][1])
    assert log.values["maker"][2] is None
    assert ("meh", "set aside") == (log.written["luster"][1], log.how["luster"][1])


def test_a_header_below_a_title_is_found_and_said(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read("Firing log,,,\nspring term\n\n" + type_text(plain))
    assert (4, 5) == (log.files[0].header_row, log.origin["row"][0])
    message = said(log, "header_row_found").message
    assert "the header was found in row 4, not in row 1" in message
    assert "rows 1 and 2" in message


def test_a_log_without_a_known_header_is_refused_with_what_was_seen(read: Callable) -> None:
    with pytest.raises(LogError) as refused:
        read("apples,pears\n1,2\n3,4\n")
    message = str(refused.value)
    assert "log.csv: no row among the first 20 names a column of the codebook" in message
    assert "'apples' and 'pears'" in message
    assert "such as firing_id" in message


def test_a_repeated_header_and_a_line_of_totals_are_set_aside(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    lines = type_text(plain).splitlines()
    lines.insert(8, lines[0])
    log = read("\n".join([*lines, "Total,,,,,,380,,,,,,", "Average:,,,,,,19,,,,,,"]))
    assert [(9, "it repeats the header")] == [
        (row.row, row.reason) for row in log.account.set_aside[:1]
    ]
    assert [23, 24] == [row.row for row in log.account.set_aside[1:]]
    assert "it begins with 'Average:': a line of totals" in log.account.set_aside[2].reason
    assert (23, 20) == (log.account.rows_read, log.account.rows_used)


@pytest.mark.parametrize(
    "word",
    ["Summe", "Gesamt:", "Zwischensumme", "Mittelwert", "Somme", "Sous-total", "moyenne", "Suma",
     "Promedio", "Totaal", "gemiddelde"],
)  # fmt: skip
def test_totals_in_the_studios_own_language_are_no_pieces(
    read: Callable, type_text: Typed, plain: Rows, word: str
) -> None:
    log = read(type_text(plain) + f"{word},,,,,,380,,,,,,\n")
    (row,) = log.account.set_aside
    assert f"it begins with '{word}': a line of totals" in row.reason


def test_a_glaze_named_like_a_total_is_a_piece(read: Callable) -> None:
    assert 1 == len(read("glaze,luster,firing_id\nSumma Moss,3,V1\n").values)


def test_a_footnote_is_no_piece(read: Callable, type_text: Typed, plain: Rows) -> None:
    log = read(type_text(plain) + "* refired in June\n")
    (row,) = log.account.set_aside
    assert (22, "* refired in June") == (row.row, row.written)
    assert "nothing is written in any setting, condition or outcome" in row.reason


def test_a_row_of_units_states_the_units_and_is_no_piece(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    lines = type_text(plain, headers={"pull_temp_f": "pull temp"}).splitlines()
    lines.insert(1, ",,,,,°F,s,g,s,°C,,,")
    log = read("\n".join(lines))
    (row,) = log.account.set_aside
    assert (2, "it holds the units of the columns, not a piece") == (row.row, row.reason)
    expected = (float(plain[0]["pull_temp_f"]) - 32) / 1.8
    assert expected == pytest.approx(log.values["pull_temp_c"][0])
    assert "scale_inferred" not in codes(log)


UNIT_ROWS = [
    "#,,,(secs),(min),(h),(y/n),(0-4)",
    ",,,(secs),(min after),(h),(y/n),(0-4)",
    ",,,(secs),(min),(hours),wet?,grade",
]


@pytest.mark.parametrize("units", UNIT_ROWS)
def test_units_are_read_beside_number_signs_choices_and_scales(read: Callable, units: str) -> None:
    head = "Firing,Pot,Glaze,Air time,Lid,Smoke time,Towel,Lustre"
    log = read(f"{head}\n{units}\n1,a,Sedge,5,1,0.5,y,3\n")
    assert [2] == [row.row for row in log.account.set_aside]
    assert (5.0, 60.0, 30.0) == tuple(
        log.values[name][0] for name in ("seconds_to_can", "lid_delay_s", "time_in_can_min")
    )


@pytest.mark.parametrize(
    "row", ["# hot day,,,,,,,", "# kiln at 3 h,,,h,min,,,", "#7,C,Sedge,5,1,0.5,y,3"]
)
def test_a_remark_or_piece_with_a_number_sign_states_no_units(read: Callable, row: str) -> None:
    head = "Firing,Pot,Glaze,Air time,Lid,Smoke time,Towel,Lustre"
    log = read(f"{head}\n{row}\n1,a,Sedge,5,1,0.5,y,3\n")
    assert "holds the units" not in "".join(row.reason for row in log.account.set_aside)
    assert 1.0 == log.values["lid_delay_s"].iloc[-1]


def test_columns_that_are_not_known_are_kept_aside_and_listed_to_twelve(read: Callable) -> None:
    extra = ",".join(f"sensor_{i}" for i in range(15))
    log = read(f"glaze,luster,firing_id,{extra}\nMoth,3,V1,{','.join('abcdefghijklmno')}\n")
    message = said(log, "column_not_in_codebook").message
    assert "15 columns are not in the codebook" in message
    assert "'sensor_11' and 3 more" in message
    assert "sensor_12" not in message
    assert "c" == log.aside["sensor_2"][0]


def test_a_second_column_for_the_same_thing_is_kept_aside_and_named(read: Callable) -> None:
    log = read("glaze,luster,firing_id,Lustre\nMoth,3,V1,4\n")
    finding = said(log, "column_kept_aside")
    assert "column D, 'Lustre', is not used" in finding.message
    assert (3.0, "4") == (log.values["luster"][0], log.aside["Lustre"][0])


def test_two_headers_without_a_name_are_called_by_their_letters(read: Callable) -> None:
    log = read("glaze,,luster,\nMoth,x,3,y\n")
    assert ["(column B, no header)", "(column D, no header)"] == list(log.aside.columns)
    assert "y" == log.aside["(column D, no header)"][0]


def test_a_missing_outcome_and_firing_are_named_once(read: Callable) -> None:
    log = read("glaze,crackle_density,seconds_to_can\nMoth,3,9\n")
    found = [*log.findings, *check_log(log)]
    assert ["missing_outcome_column"] == [f.code for f in found if "luster" in f.message]
    assert ["no_firing_column"] == [f.code for f in found if "names the firing" in f.message]


def test_a_ditto_repeats_the_value_above_and_is_counted(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    log = read(type_text(plain, {(r, "maker"): "same" for r in (3, 4, 5)}))
    assert [plain[0]["maker"]] * 4 == log.values["maker"].tolist()[:4]
    assert (3, 4, 5) == said(log, "ditto_read").rows


@pytest.mark.parametrize("above", ["", "a few", "-"])
def test_a_ditto_below_nothing_usable_is_set_aside(
    read: Callable, type_text: Typed, plain: Rows, above: str
) -> None:
    edits = {(6, "lid_delay_s"): above, (7, "lid_delay_s"): "ditto", (8, "lid_delay_s"): "ditto"}
    log = read(type_text(plain, edits))
    assert ["set aside"] * 2 == log.how["lid_delay_s"].tolist()[5:7]
    assert "the cell above it has no usable value" in log.unusable["reason"].iloc[-1]


def test_a_ditto_does_not_reach_over_a_row_that_could_not_be_read(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    lines = type_text(plain, {(7, "maker"): "same"}).splitlines()
    lines[5] += ",one too many"
    log = read("\n".join(lines))
    assert 6 == log.account.set_aside[0].row
    assert "set aside" == log.how["maker"][4]
    assert log.values["maker"][4] is None


def test_a_ditto_under_the_header_is_set_aside(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    assert "set aside" == read(type_text(plain, {(2, "maker"): "same"})).how["maker"][0]


def test_decimal_commas_are_found_column_by_column_and_said(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    rows = [{**row, "air_temp_c": row["air_temp_c"].replace(".", ",")} for row in plain]
    for text in (
        type_text(rows, delimiter=";"),
        type_text([{**row, "air_temp_c": f'"{row["air_temp_c"]}"'} for row in rows]),
    ):
        log = read(text)
        assert float(plain[0]["air_temp_c"]) == log.values["air_temp_c"][0]
        assert "," == log.files[0].decimal
        assert "air_temp_c" in said(log, "decimal_comma").message


def test_rough_values_ranges_and_conversions_are_counted(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    edits = {(2, "seconds_to_can"): "~30", (3, "seconds_to_can"): "10-14", (4, "lid_delay_s"): "7?"}
    log = read(type_text(plain, edits))
    rough = said(log, "approximate_values")
    assert (2, 4) == rough.rows
    assert "seconds_to_can 1 cell ('~30'; row 2)" in rough.message
    assert (3,) == said(log, "ranges_read_by_middle").rows
    assert "pull_temp_f 20 from F to C" in said(log, "units_converted").message
    assert [30.0, 12.0] == log.values["seconds_to_can"].tolist()[:2]


@pytest.mark.parametrize("error", ["#DIV/0!", "#REF!", "#VALUE!", "#NAME?"])
def test_a_spreadsheets_error_is_no_value_in_any_column(
    read: Callable, type_text: Typed, plain: Rows, error: str
) -> None:
    log = read(type_text(plain, {(3, "glaze"): error, (4, "combustible_g"): error}))
    assert ["glaze", "combustible_g"] == sorted(log.unusable["column"], reverse=True)
    assert log.values["glaze"][1] is None


def test_names_that_other_programs_take_for_missing_stay(
    read: Callable, type_text: Typed, plain: Rows
) -> None:
    typed = ["Null", "None", "NA", "nan", "007", "7"]
    log = read(type_text(plain, {(row, "maker"): n for row, n in enumerate(typed, start=2)}))
    assert typed == log.values["maker"].tolist()[:6]


def test_a_log_without_a_row_is_read_as_empty(read: Callable, type_text: Typed) -> None:
    log = read(type_text([]))
    assert (0, 0) == (log.account.rows_read, len(log.values))


@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    cells=st.lists(
        st.lists(st.text(alphabet='ab,;"\n\r\t |=-~½é1.0', max_size=6), min_size=1, max_size=7),
        max_size=8,
    ),
    delimiter=st.sampled_from([",", ";", "\t", "|"]),
    cut=st.integers(0, 200),
    encoding=st.sampled_from(["utf-8", "utf-16", "cp1252", "utf-8-sig"]),
)
def test_any_text_is_read_or_refused_in_words(
    read: Callable, cells: list[list[str]], delimiter: str, cut: int, encoding: str
) -> None:
    head = delimiter.join(["firing_id", "piece_id", "glaze", "luster", "notes"])
    text = "\n".join([head, *(delimiter.join(row) for row in cells)])
    data = text.encode(encoding)[: max(cut, 3)] if cut < 190 else text.encode(encoding)
    try:
        log = read(data)
    except LogError as error:
        refusal, log = str(error), None
    if log is None:
        assert refusal.startswith("log.csv")
        return
    account = log.account
    assert account.rows_read == account.rows_used + len(account.set_aside)
    assert account.rows_used == len(log.values) == len(log.written) == len(log.aside)
