"""What the panel is given, before any browser opens it."""

import json
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from outcomes.design.matrix import find_term
from outcomes.effects.glaze_effects import GlazeEffects, GlazeModel
from outcomes.effects.panel import build_panel_outcome, find_common_model, name_glazes
from outcomes.log.codebook import Direction, Factor, Kind, Role, Shape
from outcomes.report import maker_panel
from outcomes.report.cautions import find_hot_way
from outcomes.report.document import Paragraph, TryPanel, iterate_blocks
from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document
from outcomes.report.maker_panel import MOST_BYTES, build_try, has_chances
from outcomes.report.panel_stops import MOST_STOPS, Stops, build_stops, find_allowed
from outcomes.report.teller import build_teller


@pytest.fixture(scope="module")
def panel_study(load_known):
    return load_known("known_panel").build_panel_study()


@pytest.fixture(scope="module")
def panel(panel_study):
    return panel_of(panel_study)


@pytest.fixture(scope="module")
def data(panel):
    return json.loads(panel.data)


def panel_of(study) -> TryPanel:
    sections = build_try(build_teller(study))
    return next(b for b in iterate_blocks(sections) if isinstance(b, TryPanel))


def test_the_numbers_of_a_year_stay_small(panel):
    assert len(panel.data.encode()) < MOST_BYTES


def test_the_same_study_gives_the_same_bytes(panel, panel_study):
    assert panel.data == panel_of(panel_study).data


def test_settings_go_no_farther_than_their_glaze_was_fired(data, panel_study):
    values = panel_study.log.values
    for glaze in data["glazes"]:
        own = values[values["glaze"] == glaze["name"]]
        for setting, allowed in zip(data["settings"], glaze["allowed"], strict=True):
            if setting["number"] and setting["name"] == "seconds_to_can":
                low, high = own["seconds_to_can"].quantile([0.05, 0.95])
                ends = [float(setting["stops"][k].split("\u202f")[0]) for k in allowed]
                assert low - 1 <= min(ends)
                assert max(ends) <= high + 1


def test_numbers_stand_in_the_unit_the_maker_writes(data):
    stops = next(s["stops"] for s in data["settings"] if s["name"] == "pull_temp_c")
    assert stops[0] == "1620\u202f°F (882\u202f°C)"
    assert stops[1] == "1640\u202f°F (893\u202f°C)"


def test_an_outcome_has_no_answer_on_a_glaze_it_is_not_graded_on(data):
    names = [glaze["name"] for glaze in data["glazes"]]
    crackle = next(o for o in data["outcomes"] if o["name"] == "crackle_density")
    answered = {name: own is not None for name, own in zip(names, crackle["glazes"], strict=True)}
    assert {"Brackwater Nine": True, "Moth Ledger": True, "Tarn Lantern": False} == answered


def test_every_setting_that_makes_handling_hotter_brings_its_caution(data, panel_study):
    for setting in data["settings"]:
        factor = next(f for f in panel_study.log.codebook.factors if f.name == setting["name"])
        assert (setting["hot"] is None) == (factor.hot is Direction.NEITHER)
        assert setting["note"] == factor.safety_note
    ways = {setting["name"]: setting["hot"] for setting in data["settings"]}
    assert (1, -1, 0) == (ways["pull_temp_c"], ways["seconds_to_can"], ways["lid_delay_s"])


def test_a_setting_without_a_note_needs_no_caution():
    factor = Factor(name="x", label="X", role=Role.SETTING, kind=Kind.NUMBER, shape=Shape.STRAIGHT)
    assert find_hot_way(factor) is None


def test_every_setting_moved_is_told_with_its_verdict(data):
    assert all(
        word == "cannot tell yet" for o in data["outcomes"] for word in o["verdicts"] if word
    )


def test_nothing_a_maker_typed_can_end_the_data(panel_study, load_known):
    glaze = '</script><script>alert(1)</script>&<!--"'
    values = panel_study.log.values.assign(glaze=lambda t: t["glaze"].replace("Moth Ledger", glaze))
    renamed = replace(panel_study.log, values=values)
    known = load_known("known_panel")
    page = render_page(known.build_panel_document(known.build_panel_study(renamed)))
    assert page.count("</script>") == 2
    assert "alert(1)" in page
    island = page.split('id="panel-data">')[1].split("</script>")[0]
    assert "<" not in island
    assert glaze in {g["name"] for g in json.loads(island)["glazes"]}


def test_a_page_without_a_panel_holds_no_script(study):
    page = render_page(build_maker_document(study))
    assert "<script" not in page
    assert "script-src" not in page


def test_an_outcome_without_intervals_is_not_in_the_panel(panel_study):
    first, *others = panel_study.outcomes
    bare = tuple(replace(effect, interval=None) for effect in first.effects)
    few = replace(panel_study, outcomes=(replace(first, effects=bare), *others))
    assert not has_chances(few.outcomes[0])
    names = [o["name"] for o in json.loads(panel_of(few).data)["outcomes"]]
    assert first.outcome.name not in names
    nothing = replace(panel_study, outcomes=(few.outcomes[0],))
    assert build_try(build_teller(nothing)) == ()


def test_a_long_range_is_cut_into_few_round_steps(panel_study):
    factor = next(f for f in panel_study.log.codebook.factors if f.name == "seconds_to_can")
    values = pd.Series(np.arange(3.0, 300.0))
    stops = build_stops(factor, values, build_teller(panel_study))
    assert len(stops.values) <= MOST_STOPS
    gaps = np.diff(np.array(stops.values, dtype=float))
    assert gaps == pytest.approx(10.0)
    assert all(value % factor.step == 0 for value in stops.values)


def test_a_level_needs_two_firings_of_the_glaze_and_the_commonest_is_always_there(panel_study):
    factor = next(f for f in panel_study.log.codebook.factors if f.name == "quench")
    stops = Stops(factor=factor, values=("none", "mist", "dunk"))
    values = pd.Series(["none", "none", "mist", "mist", "dunk"])
    allowed = find_allowed(stops, values, [1, 2, 3, 3, 4])
    assert ((0,), 0) == (allowed.stops, allowed.usual)
    alone = find_allowed(stops, pd.Series(["dunk"]), [1])
    assert ((2,), 2) == (alone.stops, alone.usual)


def with_differing_glaze(study):
    """The study with an effect of seconds of its own on one glaze's luster."""
    first, *others = study.outcomes
    common = build_panel_outcome(
        first.design,
        first.fit,
        glaze=name_glazes(study.log, first.design.rows),
        values={"seconds_to_can": (6.0, 18.0)},
    )
    assert common.own == {}
    twice = first.fit.parameters().copy()
    slots = find_term(first.design.spec, "seconds_to_can").slots
    twice[[len(first.design.grades) - 1 + slot for slot in slots]] *= 2.0
    pull = find_common_model(first.design, first.fit).pull
    differing = GlazeEffects(
        outcome=first.outcome.name,
        factor="seconds_to_can",
        omega=1.0,
        multiple=1.0,
        chosen_by="",
        scores=(),
        p_value=0.01,
        effects=(),
        differs=True,
        models=(("Tarn Lantern", GlazeModel(parameters=twice, pull=pull)),),
        sentence="",
    )
    return replace(study, outcomes=(replace(first, by_glaze=(differing,)), *others))


def test_a_glaze_with_its_own_effect_is_tried_with_it_and_says_so(panel_study, data):
    found = json.loads(panel_of(with_differing_glaze(panel_study)).data)
    names = [glaze["name"] for glaze in found["glazes"]]
    luster = found["outcomes"][0]
    own = luster["glazes"][names.index("Tarn Lantern")]
    assert own["own"].startswith("Seconds to the can acts differently on different glazes")
    assert luster["glazes"][names.index("Brackwater Nine")]["own"] == ""
    models = luster["models"]
    changed = [
        (a, b)
        for a, b in zip(models[0]["slopes"], models[own["model"]]["slopes"], strict=True)
        if a != b
    ]
    assert [(a, pytest.approx(2 * a, rel=1e-5)) for a, _ in changed] == changed
    assert len(changed) == 1
    assert len(data["outcomes"][0]["models"]) == 1


def test_a_page_that_would_grow_too_large_says_what_was_left_out(panel_study, monkeypatch):
    monkeypatch.setattr(maker_panel, "MOST_BYTES", 1000)
    section = build_try(build_teller(with_differing_glaze(panel_study)))[0]
    texts = [block.text for block in section.blocks if isinstance(block, Paragraph)]
    assert any("the panel uses one effect for all glazes" in text for text in texts)
    found = json.loads(next(b.data for b in section.blocks if isinstance(b, TryPanel)))
    assert len(found["outcomes"][0]["models"]) == 1


def test_a_log_of_one_glaze_offers_no_choice_of_glaze(panel_study, load_known):
    kept = replace(panel_study.log, values=panel_study.log.values.assign(glaze="Brackwater Nine"))
    found = json.loads(panel_of(load_known("known_panel").build_panel_study(kept)).data)
    assert [glaze["name"] for glaze in found["glazes"]] == [""]
    assert all(outcome["glazes"][0] is not None for outcome in found["outcomes"])
