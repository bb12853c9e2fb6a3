"""Dates are read a column at a time; the order of day and month is never guessed."""

import locale

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from outcomes.log.dates import (
    DAY_FIRST,
    DAY_NUMBER,
    MONTH_FIRST,
    NO_SUCH_DAY,
    NO_YEAR,
    NOT_A_DATE,
    ORDER_UNKNOWN,
    YEAR_OUT_OF_RANGE,
    parse_dates,
)
from outcomes.log.firing_log import How


def day_of(text: str, order: str = "") -> str:
    """The day one cell alone is read as."""
    return str(parse_dates([text], order).values[0])[:10]


@pytest.mark.parametrize(
    "text",
    [
        "2025-03-04", "2025/03/04", "2025.03.04", "2025-3-4", "20250304",
        "4 March 2025", "4 march 2025", "4th March 2025", "4th of March, 2025", "04 Mar 2025",
        "4-Mar-25", "4-Mar-2025", "4Mar2025", "4 Mar. 2025", "Mar 4 2025", "March 4, 2025",
        "March 4th, 2025", "Mar-4-2025", "2025 March 4", "2025-Mar-04", "4 Mar '25",
        "Tue 4 March 2025", "Tuesday, 4 March 2025", "  4\u00a0March 2025 ", "4 MAR 2025",
        "2025-03-04 00:00:00", "2025-03-04T10:30:00Z", "2025-03-04 10:30:00.123456",
        "2025-03-04T10:30+13:00", "4 March 2025 2:30 pm", "4 March 2025 at 9am",
        "４ March ２０２５", "2025–03–04",
    ],
)  # fmt: skip
def test_the_fourth_of_march_is_read_in_every_plain_form(text):
    assert day_of(text) == "2025-03-04"


@pytest.mark.parametrize(
    ("text", "clock"),
    [
        ("2025-03-04 14:30", "14:30:00"),
        ("2025-03-04T14:30:15", "14:30:15"),
        ("4 March 2025 2:30 pm", "14:30:00"),
        ("4 March 2025, 12:05 am", "00:05:00"),
        ("4 March 2025 12 pm", "12:00:00"),
        ("2025-03-04", "00:00:00"),
    ],
)
def test_a_time_of_day_is_kept(text, clock):
    assert str(parse_dates([text]).values[0]) == f"2025-03-04T{clock}"


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("31 April 2025", NO_SUCH_DAY),
        ("2025-02-29", NO_SUCH_DAY),
        ("2025-13-04", NO_SUCH_DAY),
        ("31/04/2025", NO_SUCH_DAY),
        ("13/13/2025", NO_SUCH_DAY),
        ("0/0/2025", NO_SUCH_DAY),
        ("4 March", NO_YEAR),
        ("Mar 4", NO_YEAR),
        ("03/04", NO_YEAR),
        ("45658", DAY_NUMBER),
        ("45658.5", DAY_NUMBER),
        ("1025-03-04", YEAR_OUT_OF_RANGE),
        ("4 March 20225", YEAR_OUT_OF_RANGE),
        ("3/4/225", YEAR_OUT_OF_RANGE),
        ("March 2025", NOT_A_DATE),
        ("yesterday", NOT_A_DATE),
        ("2025-03-04 25:00", NOT_A_DATE),
        ("2025-03-04 13:30 pm", NOT_A_DATE),
        ("٤ March 2025", NOT_A_DATE),
        ("4 März 2025", NOT_A_DATE),
        ("3-4 March 2025", NOT_A_DATE),
        ("x" * 500, NOT_A_DATE),
        ("4 March 2025" + " " * 3 + "x" * 300, NOT_A_DATE),
        ("03/04/2025", ORDER_UNKNOWN),
        ("4.3.2025", ORDER_UNKNOWN),
        ("3-4-25", ORDER_UNKNOWN),
    ],
)
def test_what_is_not_one_day_is_set_aside_because(text, reason):
    column = parse_dates([text])
    assert ((How.SET_ASIDE,), (reason,)) == (column.how, column.reasons)
    assert np.isnat(column.values[0])


def test_blank_and_ditto_are_told_apart_from_dates():
    column = parse_dates(["", "-", "NA", '"', "same", "2025-03-04"])
    blank, ditto = How.BLANK, How.DITTO
    assert (blank, blank, blank, ditto, ditto, How.EXACT) == column.how
    assert column.reasons == ("",) * 6
    assert np.isnat(column.values).tolist() == [True] * 5 + [False]


def test_an_entry_above_twelve_settles_the_order_for_the_column():
    column = parse_dates(["03/04/24", "25/04/24", ""])
    assert column.order == DAY_FIRST
    assert [str(day)[:10] for day in column.values] == ["2024-04-03", "2024-04-25", "NaT"]
    assert column.ambiguous == ()


def test_the_month_goes_first_when_the_second_number_is_above_twelve():
    column = parse_dates(["03/04/24", "04/25/24"])
    assert column.order == MONTH_FIRST
    assert [str(day)[:10] for day in column.values] == ["2024-03-04", "2024-04-25"]


def test_without_an_entry_above_twelve_nothing_is_guessed():
    column = parse_dates(["03/04/24", "2024-05-06", "05/06/24"])
    assert column.order == ""
    assert column.ambiguous == (0, 2)
    assert np.isnat(column.values).tolist() == [True, False, True]
    assert column.reasons == (ORDER_UNKNOWN, "", ORDER_UNKNOWN)


def test_entries_that_disagree_settle_nothing_for_the_others():
    column = parse_dates(["13/04/24", "04/14/24", "01/02/24"])
    assert column.order == ""
    assert column.ambiguous == (2,)
    assert [str(day)[:10] for day in column.values] == ["2024-04-13", "2024-04-14", "NaT"]


def test_a_month_first_date_with_slashes_leaves_dotted_dates_open():
    column = parse_dates(["3.6.25", "5/13/2025", "3/6/25"])
    assert column.ambiguous == (0,)
    assert [str(day)[:10] for day in column.values] == ["NaT", "2025-05-13", "2025-03-06"]


def test_dates_with_dots_and_with_slashes_are_each_settled_by_their_own():
    column = parse_dates(["3.6.25", "25.6.25", "5/13/2025", "3/6/25"])
    assert column.ambiguous == ()
    days = [str(day)[:10] for day in column.values]
    assert days == ["2025-06-03", "2025-06-25", "2025-05-13", "2025-03-06"]


def test_a_day_first_date_with_slashes_settles_dotted_dates():
    assert parse_dates(["3.6.25", "25/6/25"]).values.astype(str)[0][:10] == "2025-06-03"


def test_a_dotted_date_of_its_own_may_put_the_month_first():
    assert parse_dates(["3.6.25", "5.13.25"]).values.astype(str)[0][:10] == "2025-03-06"


def test_the_same_day_both_ways_round_is_no_question():
    column = parse_dates(["03/03/24"])
    assert (day_of("03/03/24"), ()) == ("2024-03-03", column.ambiguous)


@pytest.mark.parametrize(("order", "day"), [(DAY_FIRST, "2024-04-03"), (MONTH_FIRST, "2024-03-04")])
def test_the_codebooks_order_answers_the_question(order, day):
    assert day == day_of("03/04/24", order)
    assert order == parse_dates(["03/04/24"], order).order


def test_a_date_that_is_real_one_way_round_only_is_read_under_any_order():
    assert day_of("25/12/2024", MONTH_FIRST) == "2024-12-25"
    assert day_of("12/25/2024", DAY_FIRST) == "2024-12-25"


def test_a_day_that_does_not_exist_is_still_a_witness_of_the_order():
    column = parse_dates(["31/04/2024", "03/04/2024"])
    assert (column.order, column.reasons[0]) == (DAY_FIRST, NO_SUCH_DAY)
    assert str(column.values[1])[:10] == "2024-04-03"


@pytest.mark.parametrize(
    ("year", "read"), [("00", 2000), ("25", 2025), ("68", 2068), ("69", 1969), ("99", 1999)]
)
def test_a_year_of_two_figures_lies_between_1969_and_2068(year, read):
    # POSIX.1-2017, strptime, %y: 69-99 is 1969-1999, 00-68 is 2000-2068.
    assert f"{read}-03-04" == day_of(f"4 March {year}")


def test_the_question_says_which_line_answers_it():
    assert 'set date_order to "day first" or "month first" in the codebook' in ORDER_UNKNOWN


@pytest.mark.parametrize("reason", [NOT_A_DATE, NO_YEAR, DAY_NUMBER, ORDER_UNKNOWN, NO_SUCH_DAY])
def test_a_reason_says_what_to_write(reason):
    assert "write" in reason
    assert not reason.endswith(".")


def test_an_empty_column_is_read():
    column = parse_dates([])
    assert (len(column.values), column.order, column.ambiguous) == (0, "", ())


def test_the_values_are_dates_in_seconds():
    assert np.dtype("datetime64[s]") == parse_dates(["", "2025-03-04"]).values.dtype


def test_month_names_do_not_depend_on_the_machines_language():
    before = locale.setlocale(locale.LC_ALL)
    try:
        for name in ("tr_TR.UTF-8", "de_DE.UTF-8", "C"):
            try:
                locale.setlocale(locale.LC_ALL, name)
            except locale.Error:
                continue
            assert day_of("4 MARCH 2025") == day_of("4 Mar 2025") == "2025-03-04"
    finally:
        locale.setlocale(locale.LC_ALL, before)


@given(
    st.dates(np.datetime64("1970-01-01").item(), np.datetime64("2068-12-31").item()),
    st.sampled_from(
        ["%Y-%m-%d", "%Y/%m/%d", "%Y%m%d", "%d {month} %Y", "{month} %d, %Y", "%d-{month}-%y"]
    ),
)
def test_a_date_written_plainly_is_read_back(day, form):
    month = ["January", "Feb", "March", "Apr", "May", "June", "Jul", "August", "Sept", "October"]
    name = [*month, "nov", "DECEMBER"][day.month - 1]
    assert day.isoformat() == day_of(day.strftime(form).replace("{month}", name))


@given(
    st.lists(
        st.one_of(
            st.text(max_size=40),
            st.text(alphabet="0123456789/-. :apmTZJanFebMarch", max_size=25),
            st.tuples(st.integers(0, 32), st.integers(0, 32), st.integers(0, 99)).map(
                lambda parts: "/".join(map(str, parts))
            ),
        ),
        max_size=8,
    ),
    st.sampled_from(["", DAY_FIRST, MONTH_FIRST]),
)
def test_any_column_whatever_is_read_entry_by_entry(texts, order):
    column = parse_dates(texts, order)
    assert len(texts) == len(column.values) == len(column.how) == len(column.reasons)
    for at, (value, how, reason) in enumerate(
        zip(column.values, column.how, column.reasons, strict=True)
    ):
        assert bool(reason) == (how is How.SET_ASIDE)
        assert np.isnat(value) == (how is not How.EXACT)
        assert (at in column.ambiguous) == (reason == ORDER_UNKNOWN)
    assert not (order and column.ambiguous)
