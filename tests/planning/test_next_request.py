"""What a maker may ask for, and what is said when it makes no sense."""

import pytest

from outcomes.errors import RequestError
from outcomes.planning.next_request import (
    PlanRequest,
    parse_allow,
    parse_keep,
    parse_names,
    parse_never,
    parse_only,
)


def test_one_firing_in_five_repeats_the_usual_settings_unless_asked_otherwise():
    assert [0, 1, 1, 1, 1, 2] == [
        PlanRequest(firings=n).count_repeats() for n in (2, 3, 4, 5, 6, 8)
    ]
    assert PlanRequest(firings=4, repeats=0).count_repeats() == 0


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"firings": 1}, "1 firings were asked for; 2 to 24.*cannot be told from its luck"),
        ({"firings": 99}, "99 firings were asked for; 2 to 24.*plan again"),
        ({"pieces": 1}, "1 pieces were asked for; 2 to 40"),
        ({"repeats": 4}, "4 firings that repeat.*ask for 0 to 3"),
    ],
)
def test_numbers_that_cannot_be_planned_are_refused_in_words(asked, said):
    with pytest.raises(RequestError, match=said):
        PlanRequest(**asked)


@pytest.mark.parametrize(
    ("parse", "text", "said"),
    [
        (parse_keep, "quench", "is not NAME=VALUE"),
        (parse_only, "=a", "is not NAME=VALUE"),
        (parse_allow, "pull_temp_c=900:1000", "LOW:HIGH:STEP was expected"),
        (parse_allow, "pull_temp_c=a:b:c", "LOW:HIGH:STEP was expected"),
        (parse_allow, "pull_temp_c=900:nan:5", "LOW:HIGH:STEP was expected"),
        (parse_allow, "pull_temp_c=900:920:50", "a step of 50 does not fit between 900 and 920"),
        (parse_allow, "pull_temp_c=950:900:10", "does not fit between 950 and 900"),
        (parse_allow, "pull_temp_c=900:1000:0", "does not fit"),
        (parse_allow, "pull_temp_c=900:1000:1", "more than 25 values"),
        (parse_never, "quench=dunk", "joined by '&'"),
        (parse_never, "quench=dunk & wall_thickness_mm=5:3", "smaller number first"),
    ],
)
def test_what_cannot_be_read_says_how_to_write_it(parse, text, said):
    with pytest.raises(RequestError, match=said):
        parse([text])


def test_names_and_parts_are_read_as_written():
    assert parse_names("lid_delay_s, quench") == ("lid_delay_s", "quench")
    first, second = parse_never(["quench=dunk & wall_thickness_mm=3:5"])[0]
    assert first.holds("dunk")
    assert not first.holds("none")
    assert second.holds(4.0)
    assert not second.holds(5.5)
