import io

import pandas as pd
import pytest

from outcomes.report.tables import (
    build_tables,
    neutralise_cell,
    neutralise_table,
    render_csv,
)

# OWASP ASVS 1.2.10 and CWE-1236 list the beginnings that a spreadsheet runs as a formula.
PAYLOADS = (
    "=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1", "\r=1", "\n=1", "\x00=1", "＝1", "＋1",
    " =1", "\u00a0=cmd|' /C calc'!A0",
)  # fmt: skip


@pytest.fixture(scope="module")
def tables(study):
    return build_tables(study)


def test_every_promised_table_is_there(tables):
    assert set(tables) >= {
        "account", "cells_set_aside", "curves", "effects", "findings", "headers", "not_learnt",
        "ranking", "rows_set_aside", "tangles", "shares", "split", "skill", "calibration",
        "influence", "grade_effects",
    }  # fmt: skip


def test_an_effect_is_one_row_in_pieces_per_100(tables):
    effects = tables["effects"].set_index(["outcome", "factor"])
    row = effects.loc[("luster", "seconds_to_can")]
    assert (row["from"], row["to"], row["unit"]) == (6.0, 18.0, "s")
    assert (row["change_per_100"], row["low"], row["high"]) == pytest.approx((-31.0, -44.0, -15.0))
    assert row["verdict"] == "changes the surface"
    assert len(effects) == 11


def test_the_account_table_adds_up(tables, study):
    account = tables["account"].set_index(["outcome", "reason"])["rows"]
    assert (
        account[("", "rows read")] == account[("", "rows used")] + account[("", "rows set aside")]
    )
    assert account[("luster", "pieces in the analysis")] == 38


def test_every_cell_is_counted_once(tables, study):
    cells = tables["cells"].set_index("column")
    assert (cells.sum(axis=1) == study.log.account.rows_used).all()
    assert cells.loc["seconds_to_can", "approximate"] == 2


def test_a_curve_is_one_row_a_point_and_grade(tables, study):
    luster = study.outcomes[0]
    expected = sum(curve.chance.size for part in study.outcomes for curve in part.curves)
    assert len(tables["curves"]) == expected
    first = tables["curves"].iloc[0]
    assert first["chance_per_100"] == pytest.approx(100 * luster.curves[0].chance[0, 0])


def test_a_table_without_rows_keeps_its_columns(study, with_luster):
    empty = build_tables(with_luster(study, tangles=()))["tangles"]
    assert len(empty) == 0
    assert "joint_per_100" in empty.columns


@pytest.mark.parametrize("payload", PAYLOADS)
def test_a_formula_becomes_text(payload):
    assert neutralise_cell(payload) == "'" + payload


@pytest.mark.parametrize("number", ["-3", "-3,5", "+4", "-3.5e-4", "12", "", "a=b", "lid - late"])
def test_numbers_and_plain_words_stay(number):
    assert neutralise_cell(number) == number


def test_headings_are_made_safe_and_numbers_untouched():
    safe = neutralise_table(pd.DataFrame({"=x": [-1.5], "note": ["=1"]}))
    assert list(safe.columns) == ["'=x", "note"]
    assert safe.iloc[0, 0] == -1.5
    assert safe.iloc[0, 1] == "'=1"


def test_what_a_maker_typed_cannot_become_a_formula(study):
    from dataclasses import replace

    headers = tuple(replace(h, written="=cmd|'/C calc'!A0") for h in study.log.headers)
    hostile = replace(study, log=replace(study.log, headers=headers))
    written = render_csv(build_tables(hostile)["headers"])
    assert ",'=cmd|" in written


def test_csv_reads_back_to_the_same_numbers(tables):
    back = pd.read_csv(io.StringIO(render_csv(tables["effects"])))
    assert list(back["change_per_100"]) == pytest.approx(list(tables["effects"]["change_per_100"]))
    assert "\r" not in render_csv(tables["effects"])


def test_shares_are_rows_in_parts_of_100(tables):
    shares = tables["shares"].set_index(["outcome", "part"])
    assert shares.loc[("luster", "settings_firing"), "share_per_100"] == pytest.approx(21.0)
    assert shares.loc[("luster", "yours"), "high"] == pytest.approx(57.0)
    assert shares.loc[("cracked", "firing_luck"), "at_boundary"]


def test_a_reason_is_a_row_of_its_own(study, with_luster):
    shares = build_tables(with_luster(study, shares="One piece a firing."))["shares"]
    assert list(shares["why_not"].dropna()) == ["One piece a firing."]


def test_influence_is_a_row_a_setting_and_firing(tables):
    influence = tables["influence"]
    assert len(influence) == 24
    moved = influence.loc[influence["moves"].abs().idxmax()]
    assert (moved["firing"], moved["without_per_100"]) == ("7", pytest.approx(2.0))


def test_grade_effects_are_a_row_a_boundary(tables):
    assert list(tables["grade_effects"]["grade"]) == ["1", "2", "3", "4"]
    assert list(tables["grade_effects"]["free_per_100"]) == pytest.approx([2.0, 30.0, 22.0, 5.0])


def test_skill_names_what_it_is_measured_against(tables):
    skill = tables["skill"].set_index(["outcome", "against"])["value"]
    assert skill[("luster", "usual shares of grades")] == 0.234
    assert skill[("luster", "boosted trees against this model")] == -0.03


def test_numbers_are_written_with_seven_digits_and_no_rubbish():
    table = pd.DataFrame({"x": [1 / 3, 1e-17, 123456.789], "n": [1, 2, 3]})
    assert render_csv(table) == "x,n\n0.3333333,1\n0,2\n123456.8,3\n"


def test_shapes_are_tables_with_a_row_a_setting_or_glaze(tables):
    best = tables["best_values"].iloc[0]
    assert (best["outcome"], best["kind"], best["low"]) == ("luster", "inside", 952.0)
    assert list(tables["thresholds"]["looked_high"]) == [19.0]
    assert bool(tables["gains"]["levels_off"].iloc[0])
    assert list(tables["glaze_effects"]["glaze"]) == ["Tarn Lantern", "Moth Ledger", "Fennel Ash"]
    assert list(tables["glaze_effects"]["change_per_100"]) == pytest.approx([-42.0, 4.0, -30.0])


def test_values_along_a_curve_carry_no_rubbish(study, with_luster):
    from dataclasses import replace

    import numpy as np

    curve = study.outcomes[0].curves[0]
    noisy = replace(curve, at=np.full(12, 11.034999999999997))
    assert set(build_tables(with_luster(study, curves=(noisy,)))["curves"]["at"]) >= {11.035}
