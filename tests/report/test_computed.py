"""What was worked out from the log, on the maker's page and in its table."""

from dataclasses import replace

import numpy as np
import pytest

from outcomes.report.document import Callout, Depth, ItemList, iterate_blocks
from outcomes.report.maker import build_maker_document
from outcomes.report.maker_computed import build_computed
from outcomes.report.tables import build_tables
from outcomes.report.teller import build_teller


def passage(study) -> Depth:
    (depth,) = build_computed(build_teller(study))
    return depth


def lines(study) -> list[str]:
    return [item for block in passage(study).blocks
            if isinstance(block, ItemList) for item in block.items]  # fmt: skip


def with_explanation(study, **fields):
    first, *others = study.outcomes
    changed = replace(first, explanations=(replace(first.explanations[0], **fields),))
    return replace(study, outcomes=(changed, *others))


def test_the_passage_is_folded_and_says_it_is_no_target(researched):
    depth = passage(researched)
    text = " ".join(str(block) for block in depth.blocks)
    assert "skin temperature at the can" in depth.summary
    for words in ("nobody measured them", "not a target, and no reason to hurry"):
        assert words in text
    assert any(isinstance(b, Callout) and "do not hurry" in str(b.items) for b in depth.blocks)


def test_it_stands_among_what_was_recorded_and_not_chosen(researched):
    document = build_maker_document(researched)
    section = next(s for s in document.sections if s.key == "conditions")
    assert "more-computed" in [getattr(b, "key", "") for b in iterate_blocks((section,))]


def test_temperatures_are_told_to_ten_degrees_in_both_scales(researched):
    spread = lines(researched)[0]
    column = researched.computed[0].column.values
    low, high = np.quantile(column[np.isfinite(column)], [0.25, 0.75])
    shown = [f"{10 * round((1.8 * value + 32) / 10)}" for value in (low, high)]
    assert all(f"{value}\u202f°F" in spread for value in shown)
    assert f"{10 * round(low / 10)}\u202f°C" in spread


def test_an_assumed_wall_is_told(researched):
    assert (
        "No wall thickness is written for 39 of these pieces; 6\u202fmm was assumed there."
        in lines(researched)[0]
    )


def test_a_clear_difference_is_said_with_its_interval_and_a_small_one_is_none(researched):
    found = lines(researched)
    assert (
        "For luster, skin temperature at the can foretells new firings better than pull "
        "temperature and seconds to the can as you wrote them: the error is 17 % smaller "
        "(from 10 to 24 % smaller)."
    ) in found
    assert any("For cracked, skin temperature" in line and "told apart" in line for line in found)


def test_a_worse_explanation_is_said_to_be_worse(researched):
    first = researched.outcomes[0].explanations[0]
    worse = {
        name: replace(value, value=-value.value, low=-value.high, high=-value.low)
        for name, value in (("difference", first.difference), ("gain", first.gain))
    }
    found = lines(with_explanation(researched, **worse))
    assert any("foretells new firings worse" in line and "17 % larger" in line for line in found)


def test_what_cannot_be_compared_anywhere_is_said_once(researched):
    none = dict.fromkeys(("difference", "gain", "logged", "computed"))
    study = with_explanation(researched, **none, absent=("can_volume_l",))
    first, second, *others = study.outcomes
    study = replace(study, outcomes=(first, replace(second, explanations=()), *others))
    assert (
        "Skin temperature at the can cannot be set against pull temperature and seconds to the "
        "can: can volume never varied, or in too few firings."
    ) == lines(study)[-1]


def test_a_log_without_the_ingredients_has_no_such_passage(study):
    assert () == build_computed(build_teller(study))


def test_the_table_of_computed_values_has_a_row_a_piece_and_is_marked(researched):
    table = build_tables(researched)["computed"]
    assert len(table) == len(researched.log.values)
    assert {"computed, for ordering pieces only"} == set(table["note"])
    column = researched.computed[0].column
    np.testing.assert_allclose(column.values, table["skin_at_can_c"], atol=0.05)
    assert column.assumed.tolist() == table["skin_at_can_c_wall_assumed"].tolist()
    assert 39 == column.assumed.sum()  # this log writes no wall, and of one piece no seconds
    assert table["row"].tolist() == researched.log.origin["row"].tolist()


def test_without_computed_quantities_the_table_is_empty(study):
    assert 0 == len(build_tables(study)["computed"])


def test_comparisons_stand_in_their_table_and_in_study_json(researched):
    table = build_tables(researched)["explanations"].set_index("outcome")
    row = table.loc["luster"]
    assert ("skin_at_can_c", "pull_temp_c; seconds_to_can") == (row["quantity"], row["instead_of"])
    assert [0.12, 0.07, 0.17] == pytest.approx(
        [row["difference"], row["difference_low"], row["difference_high"]]
    )
