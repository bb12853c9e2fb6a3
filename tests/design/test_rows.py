"""Who enters an outcome's analysis, and who does not."""

from dataclasses import replace

import pytest

from outcomes.design.rows import choose_rows


def test_every_graded_piece_with_every_setting_enters(make_log, codebook, year):
    rows = choose_rows(make_log(year()), codebook.outcome("luster"))
    assert len(rows.positions) == 84
    assert rows.left_out == ()
    assert len(rows.firing_names) == 14


def test_pieces_leave_for_counted_reasons_that_add_up(make_log, codebook, year):
    columns = year()
    columns["luster"][:5] = [None] * 5
    columns["seconds_to_can"][4:8] = [None] * 4
    columns["quench"][7:9] = [None] * 2
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    assert rows.left_out == (
        ("Luster blank", 5),
        ("Seconds to the can blank", 3),
        ("Quench blank", 1),
    )
    assert len(rows.positions) + 5 + 3 + 1 == 84


def test_a_piece_of_another_glaze_leaves_an_outcome_that_does_not_apply(make_log, codebook, year):
    columns = year()
    only = replace(codebook.outcome("luster"), applies_to=("tarn lantern",))
    rows = choose_rows(make_log(columns), only)
    other = columns["glaze"].count("Moth Ledger")
    assert rows.left_out == (("of a glaze it does not apply to", other),)
    assert set(rows.frame["glaze"]) == {"Tarn Lantern"}


def test_a_mostly_blank_setting_leaves_rather_than_its_pieces(make_log, codebook, year):
    columns = year()
    columns["combustible_g"][:40] = [None] * 40
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    left = {e.factor: e for e in rows.excluded}
    assert left["combustible_g"].code == "mostly_blank"
    assert "blank on 40 of 84 graded pieces" in left["combustible_g"].reason
    assert len(rows.positions) == 84


def test_many_settings_with_some_blanks_do_not_empty_the_log(make_log, codebook, year):
    columns = year()
    for start, name in enumerate(["seconds_to_can", "combustible_g", "quench"]):
        columns[name] = [
            None if start * 28 <= i < start * 28 + 28 else value
            for i, value in enumerate(columns[name])
        ]
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    assert len(rows.positions) >= 42
    assert [e.code for e in rows.excluded if e.factor == "seconds_to_can"] == ["mostly_blank"]


def test_a_setting_that_never_varied_costs_no_piece(make_log, codebook, year):
    columns = year()
    columns["can_volume_l"] = [30.0] * 80 + [None] * 4
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    left = {e.factor: e for e in rows.excluded}
    assert left["can_volume_l"].code == "never_varied"
    assert left["can_volume_l"].reason == (
        "Can volume is 30 L on every graded piece, so it cannot be learnt about."
    )
    assert len(rows.positions) == 84


def test_a_setting_that_departs_in_one_firing_only_counts_as_never_varied(make_log, codebook, year):
    columns = year()
    columns["seal"] = ["yes"] * 6 + ["no"] * 78
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    left = {e.factor: e for e in rows.excluded}
    assert left["seal"].code == "never_varied"
    assert "in only 1 firing" in left["seal"].reason


def test_a_column_that_is_not_in_the_log_is_not_recorded(make_log, codebook, year):
    rows = choose_rows(make_log(year()), codebook.outcome("luster"))
    assert {e.factor for e in rows.excluded if e.code == "not_recorded"} >= {"burps", "clay_body"}


def test_a_condition_takes_its_firings_value_then_the_median(make_log, codebook, year):
    columns = year()
    columns["humidity_pct"] = [60.0] * 6 + [70.0] * 6 + [80.0] * 72
    columns["humidity_pct"][0] = None
    columns["humidity_pct"][12:18] = [None] * 6
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    filled = rows.frame["humidity_pct"].tolist()
    assert filled[0] == pytest.approx(60.0)
    assert filled[12:18] == [80.0] * 6
    said = next(f for f in rows.findings if f.column == "humidity_pct")
    assert "blank on 7 of 84 pieces" in said.message


def test_a_blank_grouping_becomes_a_level_of_its_own(make_log, codebook, year):
    columns = year()
    columns["maker"][:20] = [None] * 20
    rows = choose_rows(make_log(columns), codebook.outcome("luster"))
    assert rows.frame["maker"].tolist()[:20] == ["not stated"] * 20


def test_an_outcome_nobody_graded_is_refused_in_a_sentence(make_log, codebook, year):
    columns = year()
    columns["luster"] = [None] * 84
    why = choose_rows(make_log(columns), codebook.outcome("luster"))
    assert why == (
        "Luster: of the 84 pieces none can be used (84 × Luster blank). Grade some pieces in "
        "column luster."
    )


def test_an_outcome_without_a_column_is_refused_in_a_sentence(make_log, codebook, year):
    columns = {name: values for name, values in year().items() if name != "luster"}
    why = choose_rows(make_log(columns), codebook.outcome("luster"))
    assert "the log has no column luster" in why


def test_the_log_is_not_changed(make_log, codebook, year):
    columns = year()
    columns["humidity_pct"][:3] = [None] * 3
    log = make_log(columns)
    before = log.values.copy()
    choose_rows(log, codebook.outcome("luster"))
    assert log.values.equals(before)
