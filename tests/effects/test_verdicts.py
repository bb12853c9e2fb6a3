"""Fixed words by fixed rules."""

from dataclasses import replace

import pytest
from scipy import stats

from outcomes.effects.effect import Contrast, Tangle, Word
from outcomes.effects.verdicts import further_firings, judge_effects
from outcomes.log.codebook import Role
from outcomes.resampling.interval import Interval


@pytest.fixture
def word(codebook):
    def judge(effect, **options):
        return judge_effects([effect], codebook, **options)[0].verdict

    return judge


def interval(low, high):
    return Interval(low=low, high=high, confidence=0.90, method="firing-score t")


def levels(factor="seal"):
    return Contrast(
        factor=factor,
        role=Role.SETTING,
        from_value="no",
        to_value="yes",
        unit="",
        chosen="the two in the log",
    )


def test_a_sure_and_large_change_changes_the_surface(effect, word):
    verdict = word(effect())
    assert verdict.word is Word.CHANGES
    assert "The change is +20" in verdict.reason


def test_a_sure_but_small_change_is_too_small_to_matter(effect, word):
    small = effect(change=0.04, error=0.01, interval_90=interval(0.02, 0.06))
    assert word(small).word is Word.SMALL
    assert "less than 10 pieces per 100 either way" in word(small).reason


def test_too_small_goes_before_leans(effect, word):
    both = effect(change=0.04, error=0.02, p=0.06, interval_90=interval(0.005, 0.075))
    assert word(both).word is Word.SMALL


def test_an_unsure_direction_leans(effect, word):
    assert word(effect(change=0.11, error=0.06, p=0.08)).word is Word.LEANS


def test_a_sure_change_below_the_smallest_difference_that_may_be_larger_leans(effect, word):
    assert word(effect(change=0.08, error=0.02, p=0.001)).word is Word.LEANS


def test_a_wide_interval_cannot_tell_and_says_how_many_more_firings(effect, word):
    verdict = word(effect(change=0.05, error=0.10, p=0.6))
    assert verdict.word is Word.CANNOT_TELL
    assert "runs from -15 to +25 pieces per 100" in verdict.reason
    assert verdict.further_firings > 24


def test_the_firings_asked_for_would_make_the_interval_short_enough(effect):
    one = effect(change=0.05, error=0.05, p=0.6)
    more = further_firings(one, 0.10)

    def length(extra):
        growth = (24 + extra) / 24
        return 2 * stats.t.ppf(0.95, 20.0 * growth) * 0.05 / growth**0.5

    assert length(more) <= 0.10 < length(more - 1)


def test_more_than_five_hundred_further_firings_are_not_promised(effect):
    assert further_firings(effect(error=0.5), 0.10) is None


def test_a_tangled_setting_is_named_before_anything_else(effect, word):
    tangle = Tangle(
        outcome="luster",
        factor="seconds_to_can",
        with_factors=("maker",),
        explained=0.93,
        deviance_change=0.4,
    )
    verdict = word(effect(), tangles=[tangle])
    assert verdict.word is Word.TANGLED
    assert verdict.tangled_with == ("maker",)
    assert "It moved together with Maker: 93 %" in verdict.reason


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"far_share": 0.45}, "45 % of the pieces compared would lie far"),
        ({"pieces_supported": 90}, "Only 90 of 200 pieces"),
        ({"contrast": levels(), "firings_to": 1}, "used in only 1 firing."),
    ],
)
def test_a_contrast_beyond_the_log_is_thin(effect, word, change, words):
    verdict = word(effect(**change))
    assert verdict.word is Word.THIN
    assert words in verdict.reason


def test_under_six_firings_nothing_can_be_told(effect, word):
    few = effect(firings=5, interval=None, interval_90=None, p=None, standard_error=None, df=None)
    verdict = word(few)
    assert verdict.word is Word.CANNOT_TELL
    assert "5 firings are too few for an interval" in verdict.reason
    assert verdict.further_firings == 1


def test_an_effect_that_cannot_be_refitted_without_a_firing_cannot_be_told(effect, word):
    broken = effect(interval=None, interval_90=None, p=None, standard_error=None, df=None)
    assert "without it nothing can be fitted" in word(broken).reason


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"firings": 11}, "11 firings are fewer than the 12"),
        ({"effective_firings": 5.2}, "It rests on about 5 firings"),
        ({"contrast": levels(), "firings_from": 2}, "used in only 2 firings"),
        ({"fragile": True, "pivot_change": 0.06}, "It hangs on one firing, F03 (+6 without it)"),
    ],
)
def test_a_gate_lets_a_sure_change_only_lean_and_says_why(effect, word, change, words):
    verdict = word(effect(**change))
    assert verdict.word is Word.LEANS
    assert words in verdict.reason


def test_a_change_whose_sign_one_firing_decides_cannot_be_told(effect, word):
    verdict = word(effect(fragile=True, pivot_change=-0.01))
    assert verdict.word is Word.CANNOT_TELL
    assert "It hangs on one firing, F03 (-1 without it)" in verdict.reason


@pytest.mark.parametrize("change", [{"firings": 7}, {"effective_firings": 3.1}])
def test_a_rough_interval_is_not_enough_to_call_a_setting_too_small(effect, word, change):
    small = effect(change=0.01, error=0.02, p=0.6, interval_90=interval(-0.02, 0.04), **change)
    assert word(small).word is Word.CANNOT_TELL


def test_conditions_groupings_and_the_glaze_get_no_verdict(effect, word):
    for factor, role in [
        ("humidity_pct", Role.CONDITION),
        ("maker", Role.GROUPING),
        ("glaze", Role.SETTING),
    ]:
        contrast = replace(effect().contrast, factor=factor, role=role)
        assert word(effect(contrast=contrast)) is None


def test_conditions_do_not_belong_to_the_family(effect, codebook):
    setting = effect(p=0.03)
    sure = replace(setting.contrast, factor="humidity_pct", role=Role.CONDITION)
    judged = judge_effects([setting, *[effect(contrast=sure, p=1e-9)] * 5], codebook)
    assert judged[0].p_adjusted == pytest.approx(0.03)
    assert judged[1].p_adjusted is None


def test_many_looks_cost_a_single_finding_its_word(effect, codebook):
    one = effect(p=0.01)
    idle = [
        effect(name, change=0.01, error=0.1, p=0.5)
        for name in ("pull_temp_c", "combustible_g", "lid_delay_s", "burps", "can_volume_l")
    ]
    assert judge_effects([one], codebook)[0].verdict.word is Word.CHANGES
    judged = judge_effects([one, *idle], codebook)[0]
    assert judged.p_adjusted == pytest.approx(0.06)
    assert judged.verdict.word is Word.LEANS


def test_the_dependence_safe_option_adjusts_more(effect, codebook):
    effects = [effect("burps", p=0.01), effect("can_volume_l", p=0.02)]
    plain = judge_effects(effects, codebook)[0].p_adjusted
    safe = judge_effects(effects, codebook, false_discovery="BY")[0].p_adjusted
    assert safe == pytest.approx(1.5 * plain)


def test_a_reason_never_holds_a_p_value(effect, word):
    for one in (effect(), effect(p=0.08, change=0.05, error=0.1), effect(p=0.7, error=0.1)):
        assert "p =" not in word(one).reason
        assert "p <" not in word(one).reason


def test_judging_changes_nothing_it_was_given(effect, codebook):
    one = effect()
    judge_effects([one], codebook)
    assert one.verdict is None
    assert one.p_adjusted is None


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (-0.15, 0.25, "neither no change nor one of 10 is ruled out."),
        (0.01, 0.21, "but single firings move it too much to count on."),
        (-0.04, 0.08, "other parts of the tried range are less sure."),
    ],
)
def test_cannot_tell_says_only_what_its_interval_leaves_open(effect, word, low, high, words):
    open_one = effect(
        change=0.05, p=0.2, interval=interval(low, high), interval_90=interval(-0.12, 0.2)
    )
    assert word(open_one).word is Word.CANNOT_TELL
    assert word(open_one).reason.endswith(words)
