"""The panel in a real browser against the Python functions it repeats."""

import json
import re

import numpy as np
import pytest

from outcomes.effects.at_settings import move_columns, setting_slots
from outcomes.effects.panel_ground import is_far, place_value
from outcomes.effects.panel_model import predict_compact
from outcomes.report.amounts import clamp_per_100, describe_rate
from outcomes.report.html import read_part, render_page
from outcomes.report.panel_offer import build_panel
from outcomes.report.teller import build_teller

pytestmark = pytest.mark.browser

PHONE, LAPTOP = 390, 1280
# Numbers travel with seven digits, coordinates and t with three decimals.
ROUNDED = 0.0005
TRIED = 60


@pytest.fixture(scope="module")
def panel_study(load_known):
    return load_known("known_panel").build_panel_study()


@pytest.fixture(scope="module")
def panel(panel_study):
    return build_panel(panel_study.outcomes, build_teller(panel_study))


@pytest.fixture(scope="module")
def panel_file(panel_study, load_known, tmp_path_factory):
    document = load_known("known_panel").build_panel_document(panel_study)
    file = tmp_path_factory.mktemp("panel") / "panel.html"
    file.write_text(render_page(document), encoding="utf-8")
    return file


@pytest.fixture
def page(open_page, panel_file):
    return open_page(LAPTOP, file=panel_file)


def expect(panel, outcome, glaze: int, stops: list[int], study):
    """The chance Python predicts from the unrounded record, or None."""
    name = panel.glazes[glaze]
    if name not in outcome.models:
        return None
    model = outcome.models[name]
    values = {s.factor.name: s.values[k] for s, k in zip(panel.stops, stops, strict=True)}
    held = {term.factor for term in outcome.design.spec.terms}
    t = [model.quantiles[f][k] for f, k in zip(values, stops, strict=True) if f in held]
    settings = {factor: value for factor, value in values.items() if factor in held}
    column = study.log.codebook.glaze
    if column in held:
        settings[column] = name
        t.append(model.quantiles[column][panel.logged.glazes.index(name)])
    columns = move_columns(outcome.design, settings)[0, setting_slots(outcome.design)]
    return predict_compact(model, columns, max(t))


def try_some(panel) -> list[tuple[int, list[int]]]:
    """Combinations a reader could choose, some near the usual, some anywhere."""
    rng = np.random.default_rng(7)
    tried = []
    for _ in range(TRIED):
        glaze = int(rng.integers(len(panel.glazes)))
        share = rng.choice([0.2, 1.0])
        stops = [
            int(rng.choice(one.stops)) if rng.random() < share else one.usual
            for one in panel.allowed[glaze]
        ]
        tried.append((glaze, stops))
    return tried


def test_the_numbers_are_those_of_python(page, panel, panel_study):
    answers = page.evaluate(
        """tried => { const data = JSON.parse(document.getElementById('panel-data').textContent);
        return tried.map(([glaze, stops]) => data.outcomes.map(o => answer(o, glaze, stops))); }""",
        try_some(panel),
    )
    for (glaze, stops), found in zip(try_some(panel), answers, strict=True):
        for outcome, chance in zip(panel.outcomes, found, strict=True):
            expected = expect(panel, outcome, glaze, stops, panel_study)
            if expected is None:
                assert chance is None
                continue
            for name in ("reach", "low", "high"):
                assert getattr(expected, name) == pytest.approx(chance[name], abs=ROUNDED)


def test_what_is_far_from_the_log_is_far_in_both(page, panel):
    tried = try_some(panel)
    found = page.evaluate(
        """tried => { const data = JSON.parse(document.getElementById('panel-data').textContent);
        return tried.map(([glaze, stops]) => isFar(data, glaze, stops)); }""",
        tried,
    )
    expected = [
        is_far(panel.ground, panel.glazes[glaze], np.concatenate(
            [place_value(panel.ground, k, s.values[stop])
             for k, (s, stop) in enumerate(zip(panel.stops, stops, strict=True))]))
        for glaze, stops in tried
    ]  # fmt: skip
    assert expected == found
    assert {True, False} == set(found)


def test_what_is_shown_is_the_number_and_that_many_pots(page, panel, panel_study):
    teller = build_teller(panel_study)
    stops = [one.usual for one in panel.allowed[0]]
    for number, outcome in enumerate(panel.outcomes):
        chance = expect(panel, outcome, 0, stops, panel_study)
        card = page.locator(".panel-card").nth(number)
        if chance is None:
            assert card.locator(".panel-count").text_content().startswith("No answer")
            continue
        rates = [describe_rate(r, teller.wording) for r in (chance.reach, chance.low, chance.high)]
        text = f"about {rates[0]} of 100 (from {rates[1]} to {rates[2]})"
        assert text == card.locator(".panel-count").text_content()
        assert clamp_per_100(chance.reach) == card.locator("path.filled").count()
        assert card.locator("path").count() == 100


def test_a_key_moves_a_setting_its_text_and_the_pots(page, panel, panel_study):
    k = next(i for i, s in enumerate(panel.stops) if s.factor.name == "seconds_to_can")
    slider = page.locator(f"#panel-setting-{k}")
    slider.focus()
    before = int(slider.input_value())
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    assert before + 2 == int(slider.input_value())
    said = slider.get_attribute("aria-valuetext")
    assert said == page.locator(f"output[for=panel-setting-{k}]").text_content()
    stops = [one.usual for one in panel.allowed[0]]
    stops[k] += 2
    chance = expect(panel, panel.outcomes[0], 0, stops, panel_study)
    assert (
        clamp_per_100(chance.reach)
        == page.locator(".panel-card").first.locator("path.filled").count()
    )
    moved = page.locator(".panel-card").first.locator(".panel-moved").text_content()
    assert moved == "Moved: Seconds to the can (cannot tell yet)"


def test_the_change_is_heard_once_it_has_settled(page):
    page.locator("#panel input").first.press("ArrowLeft")
    status = page.locator("#panel [role=status]:not(:empty)")
    status.wait_for(state="attached")
    heard = status.text_content()
    assert re.match(r"Luster: about \d+ of 100 \(from \d+ to \d+\)\. Crackle density: ", heard)


def test_everything_can_be_reached_by_tab_and_has_a_name(page):
    names = page.evaluate(
        """[...document.querySelectorAll('#panel input, #panel select, #panel button')].map(
            e => e.labels && e.labels.length ? e.labels[0].textContent : e.textContent)"""
    )
    assert len(names) >= 10
    assert all(names)
    page.locator("#panel-glaze").focus()
    for expected in names[1:]:
        page.keyboard.press("Tab")
        assert expected == page.evaluate(
            """(e => e.labels && e.labels.length ? e.labels[0].textContent : e.textContent)(
                document.activeElement)"""
        )


def test_the_hot_direction_brings_its_caution_and_the_other_none(page, panel):
    k = next(i for i, s in enumerate(panel.stops) if s.factor.name == "seconds_to_can")
    note = page.locator(f"#panel-setting-{k}-note")
    assert not note.is_visible()
    page.locator(f"#panel-setting-{k}").press("ArrowRight")
    assert not note.is_visible()
    page.locator(f"#panel-setting-{k}").press("Home")
    assert note.text_content().startswith("Caution: Do not hurry with hot ware")
    assert note.is_visible()
    page.get_by_role("button").click()
    assert not page.locator(f"#panel-setting-{k}-note").is_visible()


def test_a_combination_nobody_fired_gets_no_number(page):
    page.evaluate(
        """document.querySelectorAll('#panel input').forEach(slider => {
            slider.value = slider.max; slider.dispatchEvent(new Event('input')); })"""
    )
    texts = page.locator(".panel-count").all_text_contents()
    assert all(text.startswith("No answer") for text in texts)
    assert page.locator("path.filled").count() == 0
    assert page.get_by_text("No logged piece is near this combination").is_visible()


def test_another_glaze_brings_its_usual_settings_and_keeps_what_was_moved(page, panel):
    k = next(i for i, s in enumerate(panel.stops) if s.factor.name == "seconds_to_can")
    page.locator(f"#panel-setting-{k}").press("ArrowRight")
    kept = int(page.locator(f"#panel-setting-{k}").input_value())
    page.locator("#panel-glaze").select_option(label="Tarn Lantern")
    allowed = panel.allowed[panel.glazes.index("Tarn Lantern")]
    for place, one in enumerate(allowed):
        control = page.locator(f"#panel-setting-{place}")
        if control.count():
            assert (kept if place == k else one.usual) == int(control.input_value())
    assert kept in allowed[k].stops


def test_another_glaze_keeps_what_it_allows_and_says_what_is_not_graded(page, panel):
    page.locator("#panel-glaze").select_option(label="Tarn Lantern")
    counts = dict(
        zip(
            page.locator(".panel-card h4").all_text_contents(),
            page.locator(".panel-count").all_text_contents(),
            strict=True,
        )
    )
    assert counts["Crackle density"] == "No answer: graded here in fewer than two firings."
    assert counts["Luster"].startswith("about ")
    place = panel.glazes.index("Tarn Lantern")
    for k, allowed in enumerate(panel.allowed[place]):
        control = page.locator(f"#panel-setting-{k}")
        if control.count():
            assert int(control.input_value()) in allowed.stops


def test_without_its_script_the_page_says_so_and_nothing_is_broken(open_page, panel_file):
    page = open_page(LAPTOP, file=panel_file, java_script_enabled=False)
    assert page.locator("#panel-off").is_visible()
    assert not page.locator("#panel").is_visible()


def test_a_changed_script_does_not_run(open_page, panel_file, tmp_path):
    changed = tmp_path / "changed.html"
    text = panel_file.read_text(encoding="utf-8").replace("const A_ROW = 20", "const A_ROW = 10")
    changed.write_text(text, encoding="utf-8")
    page = open_page(LAPTOP, file=changed)
    assert page.locator("#panel-off").is_visible()
    assert any("Content Security Policy" in complaint for complaint in page.complaints)


@pytest.mark.parametrize("width", [320, PHONE, 768, LAPTOP])
def test_it_asks_for_nothing_complains_of_nothing_and_never_scrolls_sideways(
    open_page, panel_file, width
):
    page = open_page(width, file=panel_file)
    assert page.locator("#panel").is_visible()
    assert page.requested == [page.url]
    assert page.complaints == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_on_a_phone_the_counts_stay_in_sight_while_a_setting_is_moved(open_page, panel_file):
    page = open_page(PHONE, 844, file=panel_file)
    page.locator("#panel-setting-1").scroll_into_view_if_needed()
    box = page.locator(".panel-bar").bounding_box()
    assert 0 < box["y"] + box["height"] <= 844 + 1
    assert "Luster: about" in page.locator(".panel-bar").text_content()


def test_wine_is_tried_in_its_own_words(open_page, load_known, wine_log, tmp_path):
    known = load_known("known_panel")
    file = tmp_path / "wine.html"
    study = known.build_panel_study(wine_log)
    file.write_text(render_page(known.build_panel_document(study)), encoding="utf-8")
    page = open_page(LAPTOP, file=file)
    text = page.locator("#try").text_content()
    assert page.locator("#panel-glaze").count() == 0
    assert re.search(r"about \d+ of 100 \(from \d+ to \d+\)", text)
    assert not re.search(r"\b(firings?|pots? like|ware|glaze)\b", text.split('{"words"')[0])
    assert page.complaints == []


def test_the_script_never_reads_text_as_markup():
    for name in ("panel_chance.js", "panel_controls.js", "panel_page.js"):
        script = read_part(name)
        assert not re.search(r"innerHTML|outerHTML|insertAdjacent|document\.write|eval\(", script)
        assert not re.search(r"fetch|XMLHttp|WebSocket|import\(|localStorage|</", script)


def test_the_data_are_plain_json(page):
    text = page.locator("#panel-data").text_content()
    assert {"words", "pot", "glazes", "settings", "limit", "outcomes"} == set(json.loads(text))
