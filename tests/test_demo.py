"""The demo's report recovers the truth the demo was made from."""

import tomllib
from pathlib import Path

import pandas as pd
import pytest

from outcomes.effects.effect import Word
from outcomes.log.codebook import Role
from outcomes.log.codebook_file import read_codebook
from outcomes.log.reading import read_log
from outcomes.study.analysis import analyse
from outcomes.study.record import StudyOptions

DEMO = Path(__file__).parents[1] / "data_demo"
STRONG = {  # planted: the setting moves the outcome this way between the two values contrasted
    ("luster", "seconds_to_can"): -1,
    ("luster", "combustible_g"): +1,
    ("crackle_density", "seconds_to_can"): +1,
    ("crackle_density", "glaze_thickness_mm"): +1,
    ("color_shift", "combustible_g"): +1,
    ("cracked", "wall_thickness_mm"): +1,
    ("cracked", "quench"): +1,
}
WINDOWS = {("luster", "pull_temp_c"): 980.0, ("color_shift", "lid_delay_s"): 12.0}


@pytest.fixture(scope="module")
def truth():
    return tomllib.loads((DEMO / "hollowmere_truth.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def study():
    codebook = read_codebook(DEMO / "hollowmere_codebook.toml")
    log = read_log([DEMO / "hollowmere_yard.csv"], codebook)
    options = StudyOptions(resamples=400, seed=1)
    return analyse(log, options=options, workers=1, progress=lambda _: None)


@pytest.fixture(scope="module")
def effects(study):
    return {
        (part.outcome.name, effect.contrast.factor): effect
        for part in study.outcomes
        for effect in part.effects
    }


@pytest.mark.parametrize(("outcome", "factor"), sorted(STRONG))
def test_a_planted_effect_is_found_with_its_sign(effects, outcome, factor):
    effect = effects[outcome, factor]
    assert effect.verdict.word == Word.CHANGES
    assert STRONG[outcome, factor] * effect.change > 0


@pytest.mark.parametrize(("outcome", "factor"), sorted(WINDOWS))
def test_a_planted_window_is_found_on_the_right_side_of_its_best_value(effects, outcome, factor):
    effect = effects[outcome, factor]
    best = WINDOWS[outcome, factor]
    start, end = effect.contrast.from_value, effect.contrast.to_value
    assert effect.verdict.word == Word.CHANGES
    assert effect.change * (abs(start - best) - abs(end - best)) > 0


def test_the_planted_settings_are_ranked_above_every_planted_nothing(study, truth):
    for part in study.outcomes:
        nothings = set(truth["outcomes"][part.outcome.name]["changes_nothing"])
        planted = {f for o, f in (*STRONG, *WINDOWS) if o == part.outcome.name}
        ranks = {ranked.factor: ranked.rank for ranked in part.ranking}
        assert max(ranks[f] for f in planted) < min(r for f, r in ranks.items() if f in nothings)


def test_no_planted_nothing_is_called_an_effect(effects, truth):
    called = [
        (outcome, factor)
        for (outcome, factor), effect in effects.items()
        if factor in (*truth["outcomes"][outcome]["changes_nothing"], "time_in_can_min")
        and effect.contrast.role is Role.SETTING
        and effect.verdict.word == Word.CHANGES
    ]
    assert called == []


def test_time_in_the_can_past_six_minutes_is_not_called_an_effect(effects):
    effect = effects["luster", "time_in_can_min"]
    assert effect.contrast.from_value >= 6
    assert effect.verdict.word != Word.CHANGES


def test_nearly_every_interval_holds_the_true_change(study, truth):
    # 95 % intervals of several dozen effects; one that misses is expected, four are not
    # (binomial, n = 40, p = 0.05: P(more than 5) = 0.014).
    from outcomes.simulate.chance import true_change
    from outcomes.simulate.hollowmere import hollowmere_truth

    missed = []
    settings = [
        (part, e)
        for part in study.outcomes
        for e in part.effects
        if e.contrast.role is Role.SETTING and e.contrast.factor != "glaze"
    ]
    for part, effect in settings:
        rows = study.log.values.iloc[part.design.rows].dropna(axis="columns", how="all")
        expected = true_change(
            hollowmere_truth(),
            rows,
            factor=effect.contrast.factor,
            from_value=effect.contrast.from_value,
            to_value=effect.contrast.to_value,
            outcome=effect.outcome,
        )
        if not effect.interval.low <= expected <= effect.interval.high:
            missed.append((effect.outcome, effect.contrast.factor))
    assert len(settings) >= 40
    assert len(missed) <= 5, missed


def test_the_helper_is_named_as_moving_with_seconds_and_combustible(study):
    named = [
        f for f in study.findings if f.code == "person_moves_with_settings" and "K" in f.message
    ]
    text = " ".join(f.message for f in named)
    assert "Seconds to the can" in text
    assert "Combustible" in text


def test_the_helper_is_never_ranked(study):
    for part in study.outcomes:
        assert "maker" not in {ranked.factor for ranked in part.ranking}


def test_the_can_is_said_never_to_have_varied(study):
    for part in study.outcomes:
        (can,) = [item for item in part.not_learnt if item.factor == "can_volume_l"]
        assert can.verdict.word == Word.NEVER_VARIED


def test_rows_read_are_rows_used_and_rows_set_aside_for_every_outcome(study):
    account = study.log.account
    assert account.rows_read == account.rows_used + len(account.set_aside)
    for part in study.outcomes:
        left_out = sum(n for _, n in part.left_out)
        assert part.pieces + left_out + len(account.set_aside) == account.rows_read


def _finding(study, code):
    (finding,) = [f for f in study.findings if f.code == code]
    return finding


def test_a_copied_piece_id_is_found(study, truth):
    copied = truth["mess"]["repeated_piece_id_row"]
    assert copied in _finding(study, "duplicate_piece_id").rows


def test_firings_with_fewer_pieces_than_loaded_are_found(study):
    clean = pd.read_csv(DEMO / "hollowmere_clean.csv")
    sizes = clean.groupby("firing_id").agg(n=("piece_id", "size"), loaded=("pieces_loaded", "max"))
    short = sizes.index[sizes["n"] < sizes["loaded"]]
    assert len(short) == 2
    message = _finding(study, "fewer_pieces_than_loaded").message
    assert all(name in message for name in short)


def test_cracks_that_stand_only_in_the_notes_are_found(study, truth):
    rows = set(truth["mess"]["hairline_only_in_notes_rows"])
    assert rows <= set(_finding(study, "notes_hint_missed_defect").rows)
