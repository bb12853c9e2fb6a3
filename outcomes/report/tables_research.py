"""The tables for the researcher: estimates, parameters, covariances, tests, computed values."""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import pandas as pd

from outcomes.doubts.skill import SkillValue
from outcomes.effects.effect import Effect
from outcomes.effects.odds import LogOdds
from outcomes.log.computed import COMPUTED_NOTE
from outcomes.report.parameters import name_parameters
from outcomes.report.study_json_research import (
    build_collinearity,
    build_imputed,
    build_odds,
    build_parallel,
    build_parameters,
)
from outcomes.resampling.interval import Interval
from outcomes.study.record import OutcomeStudy, Study

ESTIMATES = (
    "outcome", "factor", "role", "from", "to", "unit", "comparisons", "change_per_100",
    "standard_error", "df", "p_value", "p_adjusted", "effective_firings", "low", "high",
    "interval_method", "low_90", "high_90", "resample_low", "resample_high", "resample_method",
    "jackknife_low", "jackknife_high", "jackknife_method", "confidence", "mean_grade_change",
    "mean_grade_low", "mean_grade_high", "log_odds", "log_odds_error", "log_odds_df",
    "log_odds_low", "log_odds_high", "odds_ratio", "odds_low", "odds_high",
)  # fmt: skip
PARAMETERS = ("outcome", "name", "kind", "value", "model_error", "sandwich_error",
              "jackknife_error", "df", "low", "high", "p_value")  # fmt: skip
COVARIANCE = ("outcome", "row", "column", "model", "sandwich", "jackknife")
PARALLEL = ("outcome", "factor", "test", "statistic", "df", "rank", "p_value", "separated")
COLLINEARITY = ("outcome", "what", "name", "value")
IMPUTED = ("outcome", "factor", "pieces", "complete", "imputations", "complete_per_100",
           "complete_error_per_100", "pooled_per_100", "pooled_error_per_100",
           "gap_error_per_100", "gap_df")  # fmt: skip
BLANKS = ("outcome", "column", "blank", "pieces", "firings")
HABIT_CHANGES = ("outcome", "factor", "changes", "after_bad", "correlation", "p_value")
EXPLANATIONS = (
    "outcome", "quantity", "instead_of", "pieces", "firings", "columns_logged",
    "columns_computed", "also_differ", "skill_logged", "skill_logged_low", "skill_logged_high",
    "skill_computed", "skill_computed_low", "skill_computed_high", "difference",
    "difference_low", "difference_high", "sentence",
)  # fmt: skip
_DEGREES = 1  # decimals of a computed temperature; every other quantity has three


def build_research_tables(study: Study) -> dict[str, pd.DataFrame]:
    """Return the tables by file name stem; changes are in pieces per 100."""
    confidence = study.options.confidence
    made = {
        "estimates": (_estimates, ESTIMATES),
        "parameters": (lambda part: _named(part, build_parameters(part, confidence)), PARAMETERS),
        "covariance": (_covariance, COVARIANCE),
        "parallel_tests": (_parallel, PARALLEL),
        "collinearity": (_collinearity, COLLINEARITY),
        "imputed": (_imputed, IMPUTED),
        "blanks": (_blanks, BLANKS),
        "habit_changes": (_habit_changes, HABIT_CHANGES),
        "explanations": (_explanations, EXPLANATIONS),
    }
    tables = {
        name: pd.DataFrame(
            [row for part in study.outcomes for row in rows(part)], columns=list(columns)
        )
        for name, (rows, columns) in made.items()
    }
    return {**tables, "computed": build_computed_table(study)}


def build_computed_table(study: Study) -> pd.DataFrame:
    """Return the computed values of every piece, each row marked as computed."""
    log = study.log
    table = log.origin.loc[:, ["file", "row"]].copy()
    for name in (log.codebook.firing, log.codebook.piece):
        if name and name in log.values:
            table = table.assign(**{name: log.values[name]})
    for made in study.computed:
        name, column = made.quantity.factor.name, made.column
        decimals = _DEGREES if made.quantity.factor.unit == "C" else 3
        table = table.assign(**{name: np.round(column.values, decimals)})
        if np.isfinite(column.sd).any():
            table = table.assign(**{f"{name}_sd": np.round(column.sd, decimals)})
        if column.assumed.any():
            table = table.assign(**{f"{name}_wall_assumed": column.assumed})
    return table.assign(note=COMPUTED_NOTE) if study.computed else table.iloc[:0]


def _named(part: OutcomeStudy, rows: Iterable[Mapping[str, object]]) -> list[dict[str, object]]:
    return [{"outcome": part.outcome.name, **row} for row in rows]


def _estimates(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield one row an effect, every interval beside the others."""
    odds: Sequence[LogOdds | None] = part.log_odds or (None,) * len(part.effects)
    for effect, one in zip(part.effects, odds, strict=True):
        yield {**_estimate(effect), **({} if one is None else _on_odds(effect, one))}


def _estimate(effect: Effect) -> dict[str, object]:
    contrast, interval = effect.contrast, effect.interval
    error = effect.standard_error
    return {
        "outcome": effect.outcome,
        "factor": contrast.factor,
        "role": str(contrast.role),
        "from": contrast.from_value,
        "to": contrast.to_value,
        "unit": contrast.unit,
        "comparisons": contrast.comparisons,
        "change_per_100": 100 * effect.change,
        "standard_error": None if error is None else 100 * error,
        "df": effect.df,
        "p_value": effect.p_value,
        "p_adjusted": effect.p_adjusted,
        "effective_firings": effect.effective_firings,
        **_limits(interval, ""),
        "interval_method": None if interval is None else interval.method,
        "low_90": None if effect.interval_90 is None else 100 * effect.interval_90.low,
        "high_90": None if effect.interval_90 is None else 100 * effect.interval_90.high,
        **_with_method(effect.resample_interval, "resample"),
        **_with_method(effect.jackknife_interval, "jackknife"),
        "confidence": None if interval is None else interval.confidence,
        "mean_grade_change": effect.mean_grade_change,
        "log_odds": effect.log_odds,
    }


def _limits(interval: Interval | None, prefix: str) -> dict[str, object]:
    return {
        f"{prefix}low": None if interval is None else 100 * interval.low,
        f"{prefix}high": None if interval is None else 100 * interval.high,
    }


def _with_method(interval: Interval | None, name: str) -> dict[str, object]:
    method = None if interval is None else interval.method
    return {**_limits(interval, f"{name}_"), f"{name}_method": method}


def _on_odds(effect: Effect, one: LogOdds) -> dict[str, object]:
    entry = build_odds(effect, one)
    return {
        **{name: entry[name] for name in ("mean_grade_low", "mean_grade_high", "odds_ratio",
                                          "odds_low", "odds_high")},
        "log_odds_error": entry["standard_error"],
        "log_odds_df": entry["df"],
        "log_odds_low": entry["low"],
        "log_odds_high": entry["high"],
    }  # fmt: skip


def _covariance(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield the lower triangle, diagonal included: thresholds, then slopes."""
    if part.fit is None:
        return
    names, robust = name_parameters(part), part.robust
    jackknife = None if robust is None else robust.jackknife
    for row, name in enumerate(names):
        for column in range(row + 1):
            yield {
                "outcome": part.outcome.name,
                "row": name,
                "column": names[column],
                "model": float(part.fit.covariance[row, column]),
                "sandwich": None if robust is None else float(robust.sandwich[row, column]),
                "jackknife": None if jackknife is None else float(jackknife[row, column]),
            }


def _parallel(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    if part.parallel is None:
        return
    separated = part.parallel.separated
    yield from _named(part, [{**row, "separated": separated} for row in build_parallel(part)])
    if separated:
        yield {"outcome": part.outcome.name, "separated": True}


def _collinearity(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield inflation factors, grouped R² and condition indexes in one long table."""
    overlap, name = part.overlap, part.outcome.name
    for row in build_collinearity(part):
        value = row["inflation"]
        yield {"outcome": name, "what": "inflation", "name": row["column"], "value": value}
    if overlap is None:
        return
    for one in overlap.factors:
        yield {"outcome": name, "what": "explained", "name": one.factor, "value": one.explained}
        yield {"outcome": name, "what": "adjusted", "name": one.factor, "value": one.adjusted}
    for place, index in enumerate(overlap.condition_indexes.tolist(), start=1):
        yield {"outcome": name, "what": "condition index", "name": str(place), "value": index}


def _imputed(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    study = part.imputed
    for one in () if study is None else study.effects:
        assert study is not None  # noqa: S101
        yield {
            "outcome": part.outcome.name,
            "pieces": study.pieces,
            "complete": study.complete,
            "imputations": study.imputations,
            **build_imputed(one),
        }


def _blanks(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    for one in part.blanks:
        yield {
            "outcome": part.outcome.name,
            **{name: getattr(one, name) for name in BLANKS[1:]},
        }


def _habit_changes(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    for one in part.habit_changes:
        yield {"outcome": part.outcome.name} | {n: getattr(one, n) for n in HABIT_CHANGES[1:]}


def _explanations(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    for one in part.explanations:
        yield {
            "outcome": part.outcome.name,
            "quantity": one.quantity,
            "instead_of": "; ".join(one.replaced),
            "pieces": one.pieces,
            "firings": one.firings,
            "columns_logged": one.columns_logged,
            "columns_computed": one.columns_computed,
            "also_differ": "; ".join(one.also_differ),
            **_skill(one.logged, "skill_logged"),
            **_skill(one.computed, "skill_computed"),
            **_skill(one.difference, "difference"),
            "sentence": one.sentence,
        }


def _skill(value: SkillValue | None, name: str) -> dict[str, object]:
    if value is None:
        return {}
    return {name: value.value, f"{name}_low": value.low, f"{name}_high": value.high}
