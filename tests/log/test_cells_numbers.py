"""What makers write in columns of numbers, and the number each entry is read as."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.log.cells import Cell, parse_number
from outcomes.log.codebook import Factor, Kind, Role, Shape
from outcomes.log.firing_log import How


def number_factor(
    name: str, unit: str, accepted: str, *, measures: tuple[tuple[str, float], ...] = ()
) -> Factor:
    return Factor(
        name=name,
        label=name,
        role=Role.SETTING,
        kind=Kind.NUMBER,
        shape=Shape.STRAIGHT,
        unit=unit,
        accepted_units=tuple(accepted.split()),
        measures=measures,
    )


# A studio's own calibration, invented: common practice puts a handful at 40 to 100 g.
FUEL = number_factor(
    "combustible_g", "g", "g oz lb kg", measures=(("sheet", 28.0), ("handful", 60.0))
)
COLUMNS = {
    "temp": number_factor("pull_temp_c", "C", "C F"),
    "lid": number_factor("lid_delay_s", "s", "s min"),
    "can": number_factor("time_in_can_min", "min", "min s h"),
    "fuel": FUEL,
    "glaze": number_factor("glaze_thickness_mm", "mm", "mm in"),
    "coats": number_factor("glaze_thickness_mm", "mm", "mm in", measures=(("coat", 0.25),)),
    "wall": number_factor("wall_thickness_mm", "mm", "mm cm in"),
    "volume": number_factor("can_volume_l", "L", "L gal"),
    "humidity": number_factor("humidity_pct", "pct", "pct"),
    "burps": number_factor("burps", "count", "count"),
    "plain": number_factor("score", "", ""),
    "brix": number_factor("sweetness", "Brix", "Brix"),
}

EXACT, CONVERTED = How.EXACT, How.CONVERTED
ROUGH, MIDDLE, WORD = How.APPROXIMATE, How.RANGE_MIDDLE, How.WORD

READ = [
    # column, as written, value in the base unit, how, unit the cell states
    ("lid", "30", 30.0, EXACT, ""),
    ("lid", "~30", 30.0, ROUGH, ""),
    ("lid", "30ish", 30.0, ROUGH, ""),
    ("lid", "30-ish", 30.0, ROUGH, ""),
    ("lid", "30ish s", 30.0, ROUGH, "s"),
    ("lid", "30?", 30.0, ROUGH, ""),
    ("lid", "(about 30)", 30.0, ROUGH, ""),
    ("lid", "about 30", 30.0, ROUGH, ""),
    ("lid", "approx. 30 sec", 30.0, ROUGH, "s"),
    ("lid", "30 (approx)", 30.0, ROUGH, ""),
    ("lid", "c.30", 30.0, ROUGH, ""),
    ("lid", "c. 30", 30.0, ROUGH, ""),
    ("lid", "ca 30 s", 30.0, ROUGH, "s"),
    ("lid", "30 or so", 30.0, ROUGH, ""),
    ("lid", "2-3 min", 150.0, MIDDLE, "min"),
    ("lid", "30s - 1 min", 45.0, MIDDLE, "min"),
    ("lid", "10-15?", 12.5, MIDDLE, ""),
    ("lid", "10 to 15", 12.5, MIDDLE, ""),
    ("lid", "between 10 and 15", 12.5, MIDDLE, ""),
    ("lid", "10..15", 12.5, MIDDLE, ""),
    ("lid", "2 or 3", 2.5, MIDDLE, ""),
    ("lid", "5–6 s", 5.5, MIDDLE, "s"),
    ("lid", "20~30", 25.0, MIDDLE, ""),
    ("lid", "thirty seconds", 30.0, EXACT, "s"),
    ("lid", "30 (s)", 30.0, EXACT, "s"),
    ("lid", "2±0.5", 2.0, ROUGH, ""),
    ("lid", "20 +/- 5 s", 20.0, ROUGH, "s"),
    ("lid", "1'30\"", 90.0, CONVERTED, "min"),
    ("lid", "1’30”", 90.0, CONVERTED, "min"),
    ("lid", "1'30''", 90.0, CONVERTED, "min"),
    ("lid", '45"', 45.0, EXACT, "s"),
    ("lid", "2'", 120.0, CONVERTED, "min"),
    ("lid", "0:45", 45.0, EXACT, ""),
    ("lid", "1:35", 95.0, EXACT, ""),
    ("lid", "~1:35", 95.0, ROUGH, ""),
    ("lid", "1:00-1:30", 75.0, MIDDLE, ""),
    ("lid", "1.5m", 90.0, CONVERTED, "min"),
    ("lid", "90s", 90.0, EXACT, "s"),
    ("lid", "90 secs.", 90.0, EXACT, "s"),
    ("lid", "1 min 30 s", 90.0, CONVERTED, "min"),
    ("lid", "1m30", 90.0, CONVERTED, "min"),
    ("lid", "1m30s", 90.0, CONVERTED, "min"),
    ("lid", "1 minute, 5 seconds", 65.0, CONVERTED, "min"),
    ("lid", "half a minute", 30.0, CONVERTED, "min"),
    ("lid", "two minutes", 120.0, CONVERTED, "min"),
    ("lid", "a minute", 60.0, CONVERTED, "min"),
    ("lid", "ten", 10.0, EXACT, ""),
    ("lid", "count of 10", 10.0, ROUGH, ""),
    ("lid", "count of ten", 10.0, ROUGH, ""),
    ("lid", "counted to 8", 8.0, ROUGH, ""),
    ("lid", "0", 0.0, EXACT, ""),
    ("lid", "-0", 0.0, EXACT, ""),
    ("lid", "-5", -5.0, EXACT, ""),
    ("lid", "３０", 30.0, EXACT, ""),
    ("can", "30 min.", 30.0, EXACT, "min"),
    ("can", "30'", 30.0, EXACT, "min"),
    ("can", "1.5m", 1.5, EXACT, "min"),
    ("can", "90s", 1.5, CONVERTED, "s"),
    ("can", "2h", 120.0, CONVERTED, "h"),
    ("can", "1½ hrs", 90.0, CONVERTED, "h"),
    ("can", "1h20", 80.0, CONVERTED, "h"),
    ("can", "12:30 min", 12.5, EXACT, "min"),
    ("can", "1:30 h", 90.0, CONVERTED, "h"),
    ("can", "20–30 min", 25.0, MIDDLE, "min"),
    ("can", "count of 30", 0.5, ROUGH, ""),
    ("temp", "1010c", 1010.0, EXACT, "C"),
    ("temp", "1010 °C", 1010.0, EXACT, "C"),
    ("temp", "1850 F", 1010.0, CONVERTED, "F"),
    ("temp", "1850℉", 1010.0, CONVERTED, "F"),
    ("temp", "1850 deg f", 1010.0, CONVERTED, "F"),
    ("temp", "1,850F", 1010.0, CONVERTED, "F"),
    ("temp", "1850F/1010C", 1010.0, CONVERTED, "F"),
    ("temp", "1010C / 1850F", 1010.0, EXACT, "C"),
    ("temp", "1800F (980C)", 1800 * 5 / 9 - 160 / 9, CONVERTED, "F"),
    ("temp", "1850", 1010.0, CONVERTED, ""),
    ("temp", "~1850", 1010.0, ROUGH, ""),
    ("temp", "1832-1850", 1005.0, MIDDLE, ""),
    ("temp", "985,5 C", 985.5, EXACT, "C"),
    ("fuel", "5 sheets", 140.0, WORD, ""),
    ("fuel", "½ sheet", 14.0, WORD, ""),
    ("fuel", "half a sheet", 14.0, WORD, ""),
    ("fuel", "1 1/2 sheets", 42.0, WORD, ""),
    ("fuel", "2 handfuls", 120.0, WORD, ""),
    ("fuel", "a handful", 60.0, WORD, ""),
    ("fuel", "handful", 60.0, WORD, ""),
    ("fuel", "two Handsful", 120.0, WORD, ""),
    ("fuel", "~5 sheets", 140.0, ROUGH, ""),
    ("fuel", "2-3 handfuls", 150.0, MIDDLE, ""),
    ("fuel", "1,200", 1200.0, EXACT, ""),
    ("fuel", "1 lb 2 oz", 18 * 28.349523125, CONVERTED, "lb"),
    ("fuel", "4 oz", 113.3980925, CONVERTED, "oz"),
    ("fuel", "0.1 kg", 100.0, CONVERTED, "kg"),
    ("glaze", "1/2", 0.5, EXACT, ""),
    ("glaze", "½", 0.5, EXACT, ""),
    ("glaze", "1/32 in", 0.79375, CONVERTED, "in"),
    ("coats", "3 coats", 0.75, WORD, ""),
    ("wall", "1 1/2 in", 38.1, CONVERTED, "in"),
    ("wall", "1-1/2 in", 38.1, CONVERTED, "in"),
    ("wall", '½"', 12.7, CONVERTED, "in"),
    ("wall", "3/8 in", 9.525, CONVERTED, "in"),
    ("wall", "1/4-3/8 in", 7.9375, MIDDLE, "in"),
    ("wall", "6-8mm", 7.0, MIDDLE, "mm"),
    ("wall", "0.6 cm", 6.0, CONVERTED, "cm"),
    ("wall", "6mm/¼in", None, How.SET_ASIDE, ""),
    ("wall", "6.35 mm = ¼ in", 6.35, EXACT, "mm"),
    ("volume", "10 gal", 37.85411784, CONVERTED, "gal"),
    ("volume", "40 litres", 40.0, EXACT, "L"),
    ("humidity", "80%", 80.0, EXACT, "pct"),
    ("humidity", "80 % RH", 80.0, EXACT, "pct"),
    ("burps", "2x", 2.0, EXACT, "count"),
    ("burps", "three", 3.0, EXACT, ""),
    ("plain", "4.5", 4.5, EXACT, ""),
    ("brix", "12 brix", 12.0, EXACT, "Brix"),
]


@pytest.mark.parametrize(("column", "text", "value", "how", "unit"), READ)
def test_an_entry_is_read_as(column, text, value, how, unit):
    cell = parse_number(text, COLUMNS[column])
    assert (how, unit) == (cell.how, cell.unit)
    assert cell.value == (None if value is None else pytest.approx(value, rel=1e-14))


BLANK = ["", "  ", "–", "-", "—", "n/a", "N/A", "na", "nan", "?", "…", "null", "not recorded"]


@pytest.mark.parametrize("text", BLANK)
def test_a_mark_for_nothing_is_blank(text):
    assert Cell(value=None, how=How.BLANK) == parse_number(text, COLUMNS["lid"])


@pytest.mark.parametrize("text", ["same", '"', "do.", "〃", "”", "''", "ditto", '-"-'])
@pytest.mark.parametrize("column", ["lid", "wall", "temp"])
def test_a_ditto_mark_is_left_to_the_row_above(text, column):
    assert Cell(value=None, how=How.DITTO) == parse_number(text, COLUMNS[column])


@pytest.mark.parametrize(
    ("column", "text", "header", "value", "how"),
    [
        ("temp", "1850", "F", 1010.0, How.CONVERTED),
        ("temp", "980", "C", 980.0, How.EXACT),
        ("temp", "980 C", "F", 980.0, How.EXACT),
        ("temp", "1850F", "C", 1010.0, How.CONVERTED),
        ("temp", "1000", "F", 4840 / 9, How.CONVERTED),
        ("lid", "2", "min", 120.0, How.CONVERTED),
        ("lid", "90s", "min", 90.0, How.EXACT),
        ("can", "0:45", "s", 0.75, How.CONVERTED),
        ("wall", "3/8", "in", 9.525, How.CONVERTED),
        ("fuel", "5", "sheet", 140.0, How.WORD),
        ("fuel", "½", "sheet", 14.0, How.WORD),
        ("fuel", "3/4", "sheet", 21.0, How.WORD),
        ("fuel", "2-3", "sheet", 70.0, How.RANGE_MIDDLE),
        ("fuel", "140 g", "sheet", 140.0, How.EXACT),
    ],
)
def test_the_headers_unit_holds_unless_the_cell_states_its_own(column, text, header, value, how):
    cell = parse_number(text, COLUMNS[column], header_unit=header)
    assert how == cell.how
    assert cell.value == pytest.approx(value, rel=1e-14)


def test_an_unstated_unit_of_the_codebook_answers_the_question_of_the_scale():
    factor = Factor(
        name="air_temp_c",
        label="Air",
        role=Role.CONDITION,
        kind=Kind.NUMBER,
        shape=Shape.STRAIGHT,
        unit="C",
        accepted_units=("C", "F"),
        unstated_unit="F",
    )
    assert parse_number("50", factor).value == 10.0


def test_a_column_with_one_scale_only_is_not_asked_about():
    assert parse_number("980", number_factor("oven_c", "C", "C")).value == 980.0


@pytest.mark.parametrize(
    ("text", "decimal", "value"),
    [
        ("1,200", ".", 1200.0),
        ("1,200", ",", 1.2),
        ("1.200", ",", 1200.0),
        ("985,5", ".", 985.5),
        ("1,5-2,5", ",", 2.0),
        ("12,5 g", ",", 12.5),
    ],
)
def test_the_columns_decimal_mark_decides(text, decimal, value):
    assert value == parse_number(text, FUEL, decimal=decimal).value


CELLS = st.one_of(
    st.text(max_size=300),
    st.text(alphabet="0123456789.,:;/-+~?<>'\"½ °CFcfsminghozlb±⁄()eE%", max_size=40),
    st.sampled_from([entry[1] for entry in READ]).flatmap(
        lambda text: st.text(max_size=4).map(lambda tail: text + tail)
    ),
)


@given(
    CELLS, st.sampled_from(sorted(COLUMNS)), st.sampled_from(["", "F", "min", "sheet", "zzz"]),
    st.sampled_from([".", ","]),
)  # fmt: skip
def test_any_text_whatever_becomes_a_cell(text, column, header, decimal):
    cell = parse_number(text, COLUMNS[column], header_unit=header, decimal=decimal)
    assert bool(cell.reason) == (cell.how is How.SET_ASIDE)
    assert (cell.value is None) == (cell.how in {How.BLANK, How.DITTO, How.SET_ASIDE})
    assert cell.value is None or math.isfinite(cell.value)


@given(st.floats(-1e6, 1e6), st.sampled_from(["lid", "can", "fuel", "wall", "humidity", "plain"]))
def test_a_plain_number_is_read_back_exactly(value, column):
    assert parse_number(repr(value), COLUMNS[column]).value == value
