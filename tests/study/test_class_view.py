"""The class view of Ninefold Lane, and what it refuses or leaves unsaid."""

from dataclasses import replace

import pandas as pd
import pytest

from outcomes.errors import RequestError
from outcomes.study.class_view import build_class_view
from outcomes.study.coaching_asked import parse_coached


@pytest.fixture(scope="module")
def view(ninefold_study):
    return build_class_view(ninefold_study)


def with_options(study, **fields):
    return replace(study, options=replace(study.options, **fields))


def test_who_has_fewer_than_ten_pieces_is_named_and_not_compared(view):
    assert view.too_few == ("I",)
    assert view.people == tuple("ABCDEFGH")
    spoken_of = {habit.person for habit in view.habits}
    spoken_of |= {one.person for part in view.outcomes for one in part.people}
    spoken_of |= {one.person for one in view.suggestions}
    assert "I" not in spoken_of


def test_nobody_gets_more_than_one_suggestion(view):
    people = [one.person for one in view.suggestions]
    assert len(people) == len(set(people))
    assert people == sorted(people)


def test_suggestions_stay_inside_what_the_class_logged(view, ninefold_log):
    assert view.suggestions
    for one in view.suggestions:
        values = ninefold_log.values[one.worth.factor].dropna()
        if isinstance(one.worth.better, str):
            assert one.worth.better in set(values)
        else:
            assert values.quantile(0.05) <= one.worth.better <= values.quantile(0.95)


def test_the_one_who_did_not_follow_is_offered_the_lid_delay(view):
    offers = {one.person: one.worth.factor for one in view.suggestions}
    assert offers["G"] == "lid_delay_s"


def test_the_coached_habit_is_found_without_being_told(view):
    assert view.step is not None
    assert (view.coaching.factor, view.coaching.since) == (
        "lid_delay_s",
        pd.Timestamp("2025-03-18"),
    )


def test_what_was_asked_for_is_taken_instead(ninefold_study):
    asked = build_class_view(with_options(ninefold_study, coached="seconds_to_can:2025-03-25"))
    assert asked.step is None
    assert asked.coaching.factor == "seconds_to_can"
    assert asked.outcomes[0].coached.firings == (18, 12)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("lid:2025-03-18", r"'lid' is no setting of this log\. Name one of: glaze, pull_temp_c"),
        ("lid_delay_s", r"'' is no day\. Write it as lid_delay_s:2025-03-18"),
        ("lid_delay_s:18/03", "'18/03' is no day"),
        ("lid_delay_s:2024-01-01", "no dated piece lies before 2024-01-01"),
        ("lid_delay_s:2030-01-01", "Give a day inside the log"),
    ],
)
def test_a_wrong_coaching_is_refused_with_what_to_do(ninefold_log, text, expected):
    with pytest.raises(RequestError, match=expected):
        parse_coached(text, ninefold_log)


def test_a_log_without_people_is_told_of_nobody(ninefold_study):
    values = ninefold_study.log.values.drop(columns="maker")
    view = build_class_view(replace(ninefold_study, log=replace(ninefold_study.log, values=values)))
    assert (view.group, view.people, view.habits, view.suggestions) == (None, (), (), ())


def test_a_log_without_dates_has_no_coaching(ninefold_study):
    values = ninefold_study.log.values.drop(columns="fired_on")
    view = build_class_view(replace(ninefold_study, log=replace(ninefold_study.log, values=values)))
    assert (view.step, view.coaching) == (None, None)


def test_the_same_study_gives_the_same_view(ninefold_study, view):
    again = build_class_view(ninefold_study)
    assert again.outcomes[0].people == view.outcomes[0].people
    assert again.suggestions == view.suggestions
