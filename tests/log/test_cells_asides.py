"""What is written but is not one number is set aside, and the reason says what to do."""

import pytest

from outcomes.log.amounts import BACKWARDS, DISAGREE
from outcomes.log.cells import (
    A_CONE,
    A_DATE,
    OPEN_ENDED,
    SCALE_NOT_STATED,
    TIME_OF_DAY,
    TOO_LONG,
    WORDS,
    parse_number,
)
from outcomes.log.codebook import Factor, Kind, Role, Shape
from outcomes.log.compounds import CLOCK_IN_MINUTES, NOT_A_CLOCK
from outcomes.log.firing_log import How
from outcomes.log.number_column import LOOKS_LIKE_A_GRADE, NOT_A_NUMBER, NUMBER_AND_MORE


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


COLUMNS = {
    "temp": number_factor("pull_temp_c", "C", "C F"),
    "lid": number_factor("lid_delay_s", "s", "s min"),
    "can": number_factor("time_in_can_min", "min", "min s h"),
    "fuel": number_factor("combustible_g", "g", "g oz lb kg"),
    "glaze": number_factor("glaze_thickness_mm", "mm", "mm in"),
    "humidity": number_factor("humidity_pct", "pct", "pct"),
    "burps": number_factor("burps", "count", "count"),
    "plain": number_factor("score", "", ""),
}

ASIDE = [
    *[(column, word, WORDS) for column, word in [
        ("can", "a few"), ("fuel", "lots"), ("can", "till cool"), ("can", "overnight"),
        ("glaze", "thick"), ("lid", "ASAP"), ("lid", "meh"), ("lid", "immed."),
        ("lid", "at once"), ("lid", "immediately"), ("temp", "bright orange"),
        ("temp", "glossy"), ("humidity", "about half"), ("burps", "twice"), ("burps", "none"),
        ("burps", "none?"), ("lid", "infinity"), ("lid", "<script>alert()</script>"),
        ("fuel", "a couple of sheets"), ("fuel", "half"), ("can", "until it stops smoking"),
    ]],
    *[(column, text, OPEN_ENDED) for column, text in [
        ("can", "1 hr+"), ("lid", ">20"), ("lid", "> 20 s"), ("lid", "<5"), ("lid", "≥20"),
        ("lid", "~>20"), ("lid", "20+"), ("lid", "20+?"), ("can", "over 30 min"),
        ("can", "at least 30"), ("can", "up to 30"), ("can", "30 or more"), ("can", "max 30"),
        ("can", "more than 1 hr"), ("lid", "under 10"), ("temp", "1850F+"),
    ]],
    *[("can", text, TIME_OF_DAY) for text in
      ["00:25:00", "0:25:00", "12:30 pm", "7am", "00:25:00.000000"]],
    *[("can", text, CLOCK_IN_MINUTES) for text in ["0:25", "12:30", "~0:25"]],
    *[("fuel", text, A_DATE) for text in
      ["2025-03-04", "2025-03-04 00:00:00", "4-Mar", "Mar-04", "4-Mar-25"]],
    *[("temp", text, A_CONE) for text in
      ["c06", "C06", "c 06", "cone 06", "Cone 6", "^06", "∆04", "cone 10 down", "c. 06"]],
    *[("temp", text, SCALE_NOT_STATED) for text in
      ["1010", "1000", "1200", "~980", "980-1000", "1010°", "1010 deg", "985,5", "1190-1850"]],
    *[("glaze", text, LOOKS_LIKE_A_GRADE) for text in ["4/5", "3/4", "3/8", "5/4", "12/25"]],
    *[("lid", text, BACKWARDS) for text in ["15-10", "10 to 5 s"]],
    *[("temp", text, DISAGREE) for text in ["1850F/1000C", "1850 F (1850 C)"]],
    *[(column, text, NOT_A_NUMBER) for column, text in [
        ("lid", "1_000"), ("lid", "1e309"), ("lid", "٣"), ("lid", "5²"), ("lid", "1.200,5"),
        ("lid", "1850/1010/990"), ("lid", "5 s 3 min"), ("lid", "1 min 90 s"), ("lid", "c06"),
        ("lid", "#12b"), ("lid", "03-04"), ("lid", "5, 6, 7"),
        ("temp", "1010C 30F"), ("lid", "30 s windy today 4"), ("temp", "1010 C 1850 F 3"),
        ("lid", "\x00\x1b[2J30"), ("lid", "=1+1"), ("lid", "2 3"), ("lid", "++5"),
        ("fuel", "½7"), ("fuel", "6-½7"), ("fuel", "1½7"), ("fuel", "½½"),
    ]],
    ("burps", "1:30", NOT_A_CLOCK),
    ("lid", "12 (refire)", NUMBER_AND_MORE),
    ("lid", "5 seconds (windy)", NUMBER_AND_MORE),
    ("lid", "5 (2 min)", NOT_A_NUMBER),
    ("lid", "3" * 201, TOO_LONG),
    ("lid", "word " * 1000, TOO_LONG),
]  # fmt: skip


@pytest.mark.parametrize(("column", "text", "reason"), ASIDE)
def test_an_entry_is_set_aside_because(column, text, reason):
    cell = parse_number(text, COLUMNS[column])
    assert (None, How.SET_ASIDE, reason) == (cell.value, cell.how, cell.reason)


def test_a_text_of_200_characters_is_still_looked_at():
    assert parse_number("0" * 199 + "7", COLUMNS["lid"]).value == 7.0


@pytest.mark.parametrize(
    ("column", "text", "word"),
    [
        ("fuel", "5 sheets", "sheets"),
        ("fuel", "½ sheet", "sheet"),
        ("fuel", "2 handfuls", "handfuls"),
        ("fuel", "2-3 sheets", "sheets"),
        ("glaze", "3 coats", "coats"),
        ("fuel", "2 big bags", "big bags"),
    ],
)
def test_a_measure_without_an_amount_says_which_line_to_add(column, text, word):
    factor = COLUMNS[column]
    reason = parse_number(text, factor).reason
    key = word if " " not in word else f'"{word}"'
    assert f"the codebook gives no amount for {word!r}" in reason
    assert f"find the {factor.unit} of one and add the line {key} = ... under" in reason
    assert f"under [factors.{factor.name}.measures]" in reason


def test_a_measure_in_the_header_without_an_amount_says_which_line_to_add():
    reason = parse_number("5", COLUMNS["fuel"], header_unit="sheet").reason
    assert "the codebook gives no amount for 'sheet'" in reason
    assert "add the line sheet = ... under [factors.combustible_g.measures]" in reason


@pytest.mark.parametrize(
    ("column", "text", "unit", "accepted"),
    [
        ("fuel", "2 gal", "gal", "g or oz or lb or kg"),
        ("lid", "1 h", "h", "s or min"),
        ("glaze", "0.1 cm", "cm", "mm or in"),
        ("humidity", "30 C", "C", "pct"),
        ("lid", "5-6 mm", "mm", "s or min"),
    ],
)
def test_a_unit_the_codebook_does_not_accept_is_named_with_those_it_does(
    column, text, unit, accepted
):
    reason = parse_number(text, COLUMNS[column]).reason
    assert f"the unit {unit} is not one the codebook accepts here" in reason
    assert f"write the amount in {accepted}" in reason


@pytest.mark.parametrize(
    ("column", "text", "word", "accepted"),
    [
        ("temp", "1283 K", "k", "C or F"),
        ("humidity", "80 points", "points", "pct"),
        ("burps", "3 lifts", "lifts", "count"),
        ("fuel", "30 q", "q", "g or oz or lb or kg"),
    ],
)
def test_a_word_that_cannot_be_a_measure_is_refused_as_a_unit(column, text, word, accepted):
    expected = f"{word!r} is not a unit the codebook accepts here; write the amount in {accepted}"
    assert expected == parse_number(text, COLUMNS[column]).reason


@pytest.mark.parametrize(
    ("column", "text"), [("lid", "3 sec delay"), ("fuel", "250 g sawdust"), ("glaze", "1mm thick")]
)
def test_a_remark_behind_the_unit_belongs_into_the_notes(column, text):
    assert parse_number(text, COLUMNS[column]).reason == NUMBER_AND_MORE


def test_a_column_without_a_unit_says_so():
    expected = "this column has no unit, so g cannot be used here; write the number alone"
    assert expected == parse_number("30 g", COLUMNS["plain"]).reason


def test_a_word_with_an_amount_of_its_own_is_read():
    lid = number_factor("lid_delay_s", "s", "s min", measures=(("immed", 0.0), ("at once", 0.0)))
    read = [parse_number(text, lid) for text in ("immed.", "At once", "immediately")]
    assert [cell.how for cell in read] == [How.WORD, How.WORD, How.SET_ASIDE]
    assert [cell.value for cell in read] == [0.0, 0.0, None]


@pytest.mark.parametrize("reason", sorted({reason for _, _, reason in ASIDE} - {SCALE_NOT_STATED}))
def test_a_reason_is_a_clause_that_says_what_to_write_instead(reason):
    assert reason[0].islower()
    assert not reason.endswith(".")
    assert any(word in reason for word in ("write", "keep"))
