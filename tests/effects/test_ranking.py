"""The order of the settings, with its own uncertainty."""

import numpy as np
import pytest

from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts
from outcomes.effects.ranking import rank_changes, rank_settings, shrinkage_weights
from outcomes.log.codebook import Role

NAMES = ("a", "b", "c", "d")


@pytest.fixture
def build(effect):
    def make(changes, errors, seed=3):
        effects = [
            effect(name, change=change, error=error)
            for name, change, error in zip(NAMES, changes, errors, strict=True)
        ]
        draws = np.random.default_rng(seed).normal(changes, errors, size=(4000, len(changes)))
        return effects, draws

    return make


def test_clearly_different_settings_are_put_in_order(build):
    effects, draws = build([0.50, -0.30, 0.15, 0.0], [0.01] * 4)
    ranked = rank_changes(effects, draws, n_firings=30)
    assert [r.factor for r in ranked] == ["a", "b", "c", "d"]
    assert [(r.rank_low, r.rank_high) for r in ranked] == [(1, 1), (2, 2), (3, 3), (4, 4)]
    assert ranked[0].share_first == pytest.approx(1.0)


def test_settings_alike_are_not_put_in_order(build):
    effects, draws = build([0.10, 0.11, -0.12, 0.09], [0.06] * 4)
    ranked = rank_changes(effects, draws, n_firings=30)
    assert [(r.rank_low, r.rank_high) for r in ranked] == [(1, 4)] * 4
    assert max(r.share_first for r in ranked) < 0.6


def test_the_interval_for_one_alone_is_no_wider_than_the_simultaneous_one(build):
    effects, draws = build([0.35, 0.22, 0.12, 0.02], [0.05, 0.04, 0.05, 0.03])
    for one in rank_changes(effects, draws, n_firings=20):
        assert one.rank_low <= one.alone_low <= one.rank <= one.alone_high <= one.rank_high


def test_fewer_firings_make_wider_rank_intervals(build):
    effects, draws = build([0.40, 0.25, 0.10, 0.0], [0.04] * 4)

    def widths(n_firings):
        ranked = rank_changes(effects, draws, n_firings=n_firings)
        return sum(r.rank_high - r.rank_low for r in ranked)

    assert widths(3) > widths(100)


def test_a_noisy_setting_does_not_rise_by_its_noise(build):
    effects, draws = build([0.30, 0.34, 0.02, 0.01], [0.02, 0.25, 0.02, 0.02])
    ranked = rank_changes(effects, draws, n_firings=30)
    assert ranked[0].factor == "a"


def test_shrinkage_follows_its_formula(effect):
    effects = [effect("a", change=0.3, error=0.1), effect("b", change=0.1, error=0.2)]
    between = (0.09 + 0.01) / 2 - (0.01 + 0.04) / 2
    assert shrinkage_weights(effects) == pytest.approx(
        [between / (between + 0.01), between / (between + 0.04)]
    )


def test_when_nothing_exceeds_the_noise_all_are_shrunk_to_nothing(effect):
    effects = [effect("a", change=0.05, error=0.1), effect("b", change=0.02, error=0.1)]
    assert shrinkage_weights(effects).tolist() == [0.0, 0.0]
    draws = np.random.default_rng(1).normal(size=(100, 2))
    ranked = rank_changes(effects, draws, n_firings=12)
    assert [(r.factor, r.shrunk, r.share_first) for r in ranked] == [
        ("a", 0.0, 0.5),
        ("b", 0.0, 0.5),
    ]


def test_without_standard_errors_any_order_is_possible(effect):
    effects = [
        effect("a", change=0.3, standard_error=None),
        effect("b", change=0.1, standard_error=None),
    ]
    ranked = rank_changes(effects, np.zeros((0, 2)), n_firings=5)
    assert [(r.factor, r.rank_low, r.rank_high) for r in ranked] == [("a", 1, 2), ("b", 1, 2)]


def test_one_setting_is_first_of_one(effect):
    draws = np.random.default_rng(1).normal(0.2, 0.03, size=(100, 1))
    (only,) = rank_changes([effect("a")], draws, n_firings=12)
    assert (only.rank, only.rank_low, only.rank_high, only.share_first) == (1, 1, 1, 1.0)


def test_only_settings_are_ranked(year):
    contrasts = choose_contrasts(year.design, year.codebook)
    effects = estimate_contrasts(year, contrasts)
    ranked = rank_settings(effects, year)
    assert {r.factor for r in ranked} == {
        e.contrast.factor
        for e in effects
        if e.contrast.role is Role.SETTING and e.contrast.factor != "glaze"
    }
    assert ranked[0].factor in ("seconds_to_can", "pull_temp_c")
    assert sum(r.share_first for r in ranked) == pytest.approx(1.0)


def test_true_ranks_are_covered_simultaneously(effect):
    # 200 sets of 4 changes with normal noise: at 95 % fewer than 181 covered has chance 0.2 %
    truth = np.array([0.25, 0.18, 0.10, 0.02])
    error = np.full(4, 0.07)
    rng = np.random.default_rng(8)
    covered = 0
    for _ in range(200):
        estimate = rng.normal(truth, error)
        draws = rng.normal(estimate, error, size=(400, 4))
        effects = [
            effect(name, change=change, error=0.07)
            for name, change in zip(NAMES, estimate, strict=True)
        ]
        ranked = {r.factor: r for r in rank_changes(effects, draws, n_firings=30)}
        covered += all(
            ranked[name].rank_low <= place <= ranked[name].rank_high
            for place, name in enumerate(NAMES, start=1)
        )
    assert covered >= 181
