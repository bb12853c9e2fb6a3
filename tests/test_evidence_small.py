"""The evidence study in small: its short cuts are the analysis, its figures are in bounds.

The study itself (tests/evidence) is run by hand; see reports/evidence. Bounds here are chosen
from the binomial distribution so that a method that keeps its promise fails once in 10 000
runs; the seeds are fixed all the same.
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner
from scipy import stats

sys.path.insert(0, str(Path(__file__).parent / "evidence"))  # a folder of scripts, no package

import candidates
import cells
import figures
import known_log
import one_log
import rules
import run_evidence
import short_log
import tallies
import tangled_log
import whole_log

from outcomes.design.matrix import build_design
from outcomes.effects.change import estimate_effects
from outcomes.log.codebook import Codebook, Direction, Factor, Kind, Level, Outcome, Role, Shape
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import jackknife_interval
from outcomes.simulate.as_log import build_log
from outcomes.simulate.chance import true_change
from outcomes.simulate.greywether import null_year
from outcomes.study.analysis import analyse
from outcomes.study.record import StudyOptions

ROOT = Path(__file__).parents[1]
REPORT = ROOT / "reports" / "evidence"
WORDING = ROOT / "outcomes" / "report" / "wording.toml"
RARE = 1e-4
CELL = cells.Cell(kind=cells.Kind.COVERAGE, logs=150, firings=12, firing_sd=0.8)
CLOSE = 1e-9  # two routes to one number: rounding only


def in_bounds(held: int, n: int, *, low: float = 0.94, high: float = 0.965) -> bool:
    """Say whether so many of n intervals may hold the truth at a coverage from low to high."""
    return bool(stats.binom.ppf(RARE, n, low) <= held <= stats.binom.isf(RARE, n, high))


@pytest.fixture(scope="module")
def studio() -> Codebook:
    """A codebook for the four judged columns of a short log, without date or glaze."""
    factors = tuple(
        Factor(
            name=name,
            label=name,
            role=Role.SETTING,
            kind=Kind.NUMBER if name.endswith("number") else Kind.LEVELS,
            shape=Shape.STRAIGHT if name.endswith("number") else Shape.LEVELS,
            levels=() if name.endswith("number") else short_log.NO_YES,
        )
        for name in short_log.JUDGED
    )
    outcome = Outcome(
        name=short_log.OUTCOME,
        label="Luster",
        levels=tuple(Level(name=str(k), wording="") for k in range(5)),
        aim=3,
        wanted=Direction.HIGHER,
        phrase="shine",
    )
    return Codebook(title="Study", factors=factors, outcomes=(outcome,), date="", glaze="")


def test_a_short_log_is_the_design_the_package_builds(studio):
    _, frame = short_log.draw_frame(CELL, np.random.default_rng(3))
    log = short_log.draw_short_log(CELL, np.random.default_rng(3))
    design = build_design(build_log(frame, studio), studio.outcomes[0])
    order = [
        term.slots[0]
        for name in short_log.JUDGED
        for term in design.spec.terms
        if term.factor == name
    ]
    np.testing.assert_allclose(log.X, design.X[:, order], rtol=0, atol=CLOSE)
    assert log.y.tolist() == design.y.tolist()
    assert log.firing.tolist() == design.firing.tolist()
    assert (log.n_grades, log.aim) == (len(design.grades), design.aim)


def test_the_truth_of_a_short_log_is_that_of_simulate():
    truth, frame = short_log.draw_frame(CELL, np.random.default_rng(3))
    log = short_log.draw_short_log(CELL, np.random.default_rng(3))
    for name, mine in zip(short_log.JUDGED, log.truth, strict=True):
        low, high = short_log.two_values(frame[name])
        expected = true_change(
            truth, frame, factor=name, from_value=low, to_value=high, outcome=short_log.OUTCOME
        )
        assert expected == pytest.approx(mine, abs=CLOSE)


def test_the_studys_printed_interval_is_the_one_the_package_prints(studio):
    _, frame = short_log.draw_frame(CELL, np.random.default_rng(4))
    log = short_log.draw_short_log(CELL, np.random.default_rng(4))
    mine = candidates.measure_candidates(log, redraws=99, rng=np.random.default_rng(5))
    design = build_design(build_log(frame, studio), studio.outcomes[0])
    fit = fit_cumulative(design.X, design.y, log.n_grades)
    weights = draw_firing_weights(12, 99, rng=np.random.default_rng(5))
    redraws, jackknife = (
        fit_many(
            design.X, design.y, log.n_grades, firing=design.firing, firing_weights=w, start=fit
        )
        for w in (weights, leave_one_out_weights(12))
    )
    effects = estimate_effects(design, studio, fit=fit, redraws=redraws, jackknife=jackknife)
    printed = {effect.contrast.factor: effect.interval for effect in effects}
    for name, one in zip(short_log.JUDGED, mine, strict=True):
        interval = rules.build_intervals(one)[rules.PRINTED]
        assert interval.low == pytest.approx(printed[name].low, abs=1e-6)
        assert interval.high == pytest.approx(printed[name].high, abs=1e-6)


def test_a_whole_log_of_the_study_is_judged_as_the_analysis_judges_it(codebook):
    year = null_year(np.random.default_rng(6), firings=14)
    frame = year.drop(columns=["crackle_density", "color_shift"])
    whole = whole_log.learn_whole_log(frame, codebook, redraws=30, rng=np.random.default_rng(1))
    study = analyse(
        build_log(frame, codebook),
        options=StudyOptions(resamples=30, seed=1),
        workers=1,
        progress=lambda _: None,
    )
    said = {(e.outcome, e.contrast.factor): e for part in study.outcomes for e in part.effects}
    for effect in whole.judged:
        theirs = said[effect.outcome, effect.contrast.factor]
        assert theirs.p_adjusted == pytest.approx(effect.p_adjusted, abs=CLOSE)
        assert theirs.change == pytest.approx(effect.change, abs=CLOSE)
        assert whole_log.is_claimed(theirs) == whole_log.is_claimed(effect)


@pytest.mark.parametrize(
    ("resample", "jackknife", "effective", "expected"),
    [
        ((0.0, 1.0), (0.0, 1.2), 20.0, "expanded percentile"),
        ((0.0, 1.2), (0.0, 1.0), 20.0, "expanded percentile"),
        ((0.0, 1.0), (0.0, 1.3), 20.0, "jackknife t"),
        ((0.0, 1.3), (0.0, 1.0), 20.0, "jackknife t"),
        ((0.0, 1.0), (0.0, 1.0), 11.9, "jackknife t"),
        ((0.0, 1.0), (0.0, 1.0), 12.0, "expanded percentile"),
        ((0.0, 0.0), (0.0, 0.0), 24.0, "expanded percentile"),
    ],
)
def test_the_rule_of_method_md_falls_back_on_the_jackknife(
    resample, jackknife, effective, expected
):
    chosen = rules.choose_interval(
        Interval(low=resample[0], high=resample[1], confidence=0.95, method="expanded percentile"),
        Interval(low=jackknife[0], high=jackknife[1], confidence=0.95, method="jackknife t"),
        n_firings=24,
        effective_firings=effective,
    )
    assert expected == chosen.method


@pytest.fixture(scope="module")
def covered() -> dict[str, tallies.Tally]:
    chunk = one_log.judge_chunk(CELL, 0, CELL.logs, redraws=199)[1]
    return dict(chunk.tallies)


@pytest.mark.parametrize("setting", short_log.JUDGED)
@pytest.mark.parametrize("rule", [rules.PRINTED, "jackknife, df halfway"])
def test_intervals_hold_the_truth_as_often_as_they_say(covered, setting, rule):
    held = covered[f"held|{setting}|{rule}"]
    assert held.n == CELL.logs
    assert in_bounds(round(held.total), held.n), held.mean


def test_intervals_that_ignore_the_firings_would_be_found_out():
    # The bounds above can fail: a model that takes every piece for its own firing does.
    cell = replace(CELL, firing_sd=1.5)
    held = 0
    for seed in range(100):
        log = short_log.draw_short_log(cell, np.random.default_rng([9, seed]))
        alone = replace(log, firing=np.arange(len(log.y)))
        one = candidates.measure_candidates(alone, redraws=0, rng=np.random.default_rng(0))[1]
        interval = jackknife_interval(one.change, one.error, len(log.y) - 1.0)
        held += interval.low <= log.truth[1] <= interval.high
    assert not in_bounds(held, 100), held


@pytest.mark.parametrize("pair", ["same", "one-apart", "firings-follow", "pieces-follow"])
def test_settings_that_move_together_are_named(pair, codebook):
    cell = cells.Cell(kind=cells.Kind.TANGLED, logs=20, firings=24, pair=pair)
    named = [
        dict(tangled_log.judge_tangled(cell, codebook, rng=np.random.default_rng([7, seed])))
        for seed in range(cell.logs)
    ]
    found = sum(scores["both of the pair were named"] for scores in named)
    assert found >= stats.binom.ppf(RARE, cell.logs, 0.95)
    untied = sum(scores["an untied setting was named"] for scores in named)
    assert untied <= stats.binom.isf(RARE, cell.logs, 0.05)


def test_planted_effects_are_found_and_next_to_nothing_else(codebook):
    # The study measures a power of 0.75 at 24 firings and a false-discovery share of 0.03;
    # effects of one log are not independent, so the bounds allow 0.6 and 0.05.
    cell = next(c for c in cells.whole_cells() if c.name == "known_G24")
    scores = [
        score
        for seed in range(3)
        for score in known_log.judge_known(
            cell, codebook, redraws=20, rng=np.random.default_rng([11, seed])
        )
    ]
    added = tallies.add_scores([scores])
    found, claims, false = added["power|all"], added["claims"], added["false claims"]
    assert found.n == 3 * sum(len(planted) for planted in known_log.PLANTED.values())
    assert found.total >= stats.binom.ppf(RARE, found.n, 0.6)
    assert false.total <= stats.binom.isf(RARE, int(claims.total), 0.05)
    assert added["claims of the wrong sign"].total == 0


def test_a_log_is_the_same_whoever_makes_it_when():
    cell = replace(CELL, firings=8)
    whole = one_log.judge_chunk(cell, 0, 4, redraws=20)[1].tallies
    parts = [one_log.judge_chunk(cell, *span, redraws=20)[1].tallies for span in ((2, 4), (0, 2))]
    together = tallies.add_tallies(parts)
    assert set(whole) == set(together)
    for name, tally in whole.items():
        assert tally.n == together[name].n
        assert tally.total == pytest.approx(together[name].total, abs=CLOSE)


@pytest.fixture
def arguments(tmp_path) -> list[str]:
    places = ["--results", str(tmp_path / "results"), "--report", str(tmp_path / "report")]
    return ["--cells", "coverage_G8_sd0_6-8_p4", "--redraws", "20", *places]


def test_one_command_runs_goes_on_and_writes_the_summary(arguments, tmp_path):
    first = CliRunner().invoke(run_evidence.main, [*arguments, "--logs", "60"])
    assert first.exit_code == 0, first.output
    (file,) = (tmp_path / "results").rglob("*.jsonl")
    assert [(0, 50), (50, 60)] == [(c.first, c.last) for c in tallies.read_chunks(file)]
    so_far = file.read_text(encoding="utf-8")
    file.write_text(so_far[:-40], encoding="utf-8")  # stopped while writing the last line
    again = CliRunner().invoke(run_evidence.main, [*arguments, "--logs", "60"])
    assert again.exit_code == 0, again.output
    assert [(0, 50), (50, 60)] == [(c.first, c.last) for c in tallies.read_chunks(file)]
    page = (tmp_path / "report" / "evidence.md").read_text(encoding="utf-8")
    assert "60 logs in 1 kinds" in page
    assert rules.PRINTED in page
    assert (tmp_path / "report" / "coverage.svg").read_bytes().startswith(b"<?xml")


def table(cell: str, logs: int, value: float) -> pd.DataFrame:
    row = {"cell": cell, "kind": "null", "logs": logs, "measure": "a null log with a claim"}
    rest = {"setting": "", "rule": "", "n": logs, "value": value, "error": 0.01, "from": ""}
    return pd.DataFrame([{**row, **rest}])


def test_figures_of_cells_that_are_not_at_hand_are_carried_over_and_marked():
    earlier = pd.concat([table("null_G24", 500, 0.03), table("null_G36", 500, 0.04)])
    both = figures.carry_over(table("null_G36", 1000, 0.05), earlier)
    assert both["cell"].tolist() == ["null_G24", "null_G36"]
    assert both["value"].tolist() == [0.03, 0.05]
    assert both["from"].tolist() == ["carried over", ""]


def test_a_trial_of_few_logs_does_not_displace_the_figures_of_many():
    both = figures.carry_over(table("null_G24", 10, 0.5), table("null_G24", 1000, 0.03))
    assert (both["value"].tolist(), both["logs"].tolist()) == ([0.03], [1000])


def test_a_rerun_that_gives_other_figures_is_named():
    mine, other = table("null_G24", 500, 0.03), table("null_G24", 500, 0.04)
    assert figures.list_unlike(mine, mine) == ()
    assert figures.list_unlike(mine, other) == ("null_G24",)
    assert figures.list_unlike(mine, table("null_G24", 400, 0.04)) == ()


def test_the_page_and_the_readme_say_what_was_measured():
    measured = figures.read_figures(REPORT / "evidence.csv")
    held = measured[(measured["measure"] == "held") & (measured["rule"] == rules.PRINTED)]
    value = 100 * held["value"]
    span = f"{value.min():.1f} to {value.max():.1f}"
    assert span in (ROOT / "README.md").read_text(encoding="utf-8")
    said = WORDING.read_text(encoding="utf-8")
    assert f"{value.min():.0f} to {value.max():.0f} in 100" in said
    assert f"{value.mean():.1f} on average" in said
    logs = int(held.groupby("cell")["logs"].first().sum())
    assert f"measured on {logs // 1000} 000 invented logs" in said


@pytest.mark.parametrize(
    ("kind", "measure"),
    [
        ("null", "a null log with a claim"),
        ("known", "false-discovery share"),
        ("demo", "false-discovery share"),
        ("known", "power, of the knower's"),
        ("known", "largest ranked first, of the knower's"),
    ],
)
def test_the_readme_gives_the_figures_of_the_study(kind, measure):
    measured = figures.read_figures(REPORT / "evidence.csv")
    rows = measured[(measured["kind"] == kind) & (measured["measure"] == measure)]
    said = [f"{100 * v:.1f} ± {100 * e:.1f}" for v, e in rows[["value", "error"]].to_numpy()]
    assert " and ".join(said) in (ROOT / "README.md").read_text(encoding="utf-8")


def test_a_cell_that_does_not_exist_is_said(arguments):
    arguments[1] = "nothing*"
    result = CliRunner().invoke(run_evidence.main, arguments)
    assert result.exit_code == 2
    assert "no cell is called 'nothing*'" in result.output


def test_every_level_the_study_promises_occurs():
    coverage = cells.coverage_cells()
    assert {8, 12, 24, 48} == {cell.firings for cell in coverage}
    assert {0.0, 0.8, 1.5} == {cell.firing_sd for cell in coverage}
    assert {(6, 8), (2, 12)} == {cell.sizes for cell in coverage}
    assert {4, 12} == {cell.columns for cell in coverage}
    assert any(cell.treated == 3 and cell.firings == 12 for cell in coverage)
    assert len({cell.name for cell in cells.all_cells()}) == len(cells.all_cells())
    assert all(cell.logs >= 2000 for cell in coverage)
