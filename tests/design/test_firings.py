"""Which pieces share a firing."""

from outcomes.design.firings import find_firings, number_firings


def test_pieces_with_the_same_id_share_a_firing(tiny_log):
    firings = find_firings(tiny_log)
    assert firings.cluster == "firing_id"
    assert firings.labels.tolist() == ["1"] * 4 + ["2"] * 4 + ["3"] * 4


def test_without_ids_the_date_is_the_firing(make_log):
    log = make_log({"fired_on": ["2025-03-01", "2025-03-01", "2025-03-08"], "luster": [1, 2, 3]})
    firings = find_firings(log)
    assert firings.cluster == "fired_on"
    assert firings.labels.tolist() == ["2025-03-01", "2025-03-01", "2025-03-08"]


def test_with_neither_every_piece_is_its_own_firing(make_log):
    firings = find_firings(make_log({"luster": [1, 2, 3]}))
    assert firings.cluster == ""
    assert len(set(firings.labels.tolist())) == 3


def test_a_piece_without_an_id_joins_the_only_firing_of_its_day(make_log):
    log = make_log(
        {
            "firing_id": ["A", None, "B", "C", None, None],
            "fired_on": ["2025-03-01"] * 2 + ["2025-03-08"] * 3 + [None],
            "luster": [1, 2, 3, 0, 1, 2],
        }
    )
    firings = find_firings(log)
    assert firings.labels.tolist() == ["A", "A", "B", "C", "2025-03-08", "piece in row 7"]


def test_an_unreadable_date_is_the_firing_of_all_pieces_of_its_text(make_log):
    log = make_log(
        {"fired_on": ["2025-03-01"] + [None] * 4, "luster": [1, 2, 3, 0, 1]},
        written={("fired_on", i): "Mon 12 May" for i in (1, 2, 3)},
        unusable={("fired_on", i): "this date has no year" for i in (1, 2, 3)},
    )
    labels = find_firings(log).labels.tolist()
    assert labels == ["2025-03-01"] + ["Mon 12 May"] * 3 + ["piece in row 6"]


def test_a_piece_without_an_id_joins_the_only_firing_of_its_unreadable_date(make_log):
    log = make_log(
        {"firing_id": ["A", None, "B"], "fired_on": [None] * 3, "luster": [1, 2, 3]},
        written={("fired_on", i): text for i, text in enumerate(["9 May", "9 May", "18 May"])},
        unusable={("fired_on", i): "this date has no year" for i in range(3)},
    )
    assert find_firings(log).labels.tolist() == ["A", "A", "B"]


def test_firings_are_numbered_in_order_of_first_appearance(tiny_log):
    codes, names = number_firings(find_firings(tiny_log).labels[::-1])
    assert names == ("3", "2", "1")
    assert codes.tolist() == [0] * 4 + [1] * 4 + [2] * 4
