"""What the maker's page says of a log of one firing, or of three: nothing that is not there."""

import pytest

from outcomes.log.reading import read_log
from outcomes.report.maker import build_maker_document
from outcomes.study.analysis import analyse
from outcomes.study.record import StudyOptions

GRADES = (4, 0, 3, 2, 3, 3, 1, 1, 2, 0, 0, 3, 2, 3, 3)


@pytest.fixture(scope="module")
def page_of(codebook, tmp_path_factory, all_texts):
    """A function: all words of the page of so many firings of five, the first one hotter."""

    def build(firings: int) -> str:
        rows = ["firing,pull temp,secs to can,lid delay,lustre"]
        for n in range(5 * firings):
            temp = 980 if n < 5 and firings > 1 else 945
            rows.append(f"{1 + n // 5},{temp} C,{4 + 3 * n % 17},{2 + 5 * n % 13},{GRADES[n]}")
        path = tmp_path_factory.mktemp("small") / "small.csv"
        path.write_text("\n".join(rows) + "\n", encoding="utf-8")
        log, options = read_log([path], codebook), StudyOptions(resamples=200)
        study = analyse(log, options=options, workers=1, progress=lambda _: None)
        return "\n".join(all_texts(build_maker_document(study)))

    return build


@pytest.fixture(scope="module")
def one(page_of) -> str:
    return page_of(1)


@pytest.fixture(scope="module")
def three(page_of) -> str:
    return page_of(3)


def test_no_interval_is_called_rough_where_none_is_printed(one, three):
    assert "With 1 firing no interval is printed: that takes 6." in one
    assert "With 3 firings no interval is printed: that takes 6." in three


def test_graded_pieces_that_were_not_compared_are_accounted_for(one):
    assert "5: graded, but nothing could be compared" in one


def test_an_outcome_is_named_once_at_the_head_of_its_reason(one):
    assert "Luster: all 5 usable pieces are of one firing" in one
    assert "Luster: Luster" not in one
    assert "Nothing can be said about it yet. All 5 usable pieces" in one


def test_no_redraw_is_described_that_was_not_made(one, three):
    assert "Nothing was redrawn" in one
    assert "whole firings with replacement" not in one
    assert "drawing 3 whole firings with replacement" in three


def test_no_picture_is_explained_that_is_not_there(one):
    assert "The dot is the best estimate" not in one


def test_what_departs_in_one_firing_is_not_called_always_the_same(three):
    assert "or that was other in one firing only" in three
    assert "It was always the same, so" not in three


def test_what_gave_way_is_named_by_its_label_with_the_order_told(three):
    assert "can carry 1 column;" in three
    assert "seconds_to_can" not in three.partition("How your log was read")[0]
    assert "then the settings that were changed in the fewest firings" in three


def test_with_nothing_set_aside_the_account_says_so(one):
    assert "The log has 5 rows; 5 are used and none is set aside." in one
