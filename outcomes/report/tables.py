"""The study as tables: one DataFrame a question, written as CSV beside the page."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache

import pandas as pd
from pandas.api.types import is_float_dtype, is_numeric_dtype, is_object_dtype

from outcomes.effects.effect import Effect
from outcomes.finding import Finding
from outcomes.log.codebook import Codebook
from outcomes.log.formula_guard import neutralise_cell
from outcomes.report.study_json import round_number
from outcomes.report.study_json_log import count_cells
from outcomes.report.tables_doubts import build_doubt_tables
from outcomes.report.tables_research import build_research_tables
from outcomes.report.tables_shapes import build_shape_tables
from outcomes.study.record import OutcomeStudy, Study


def build_tables(study: Study) -> dict[str, pd.DataFrame]:
    """Return the tables by file name stem; texts are safe to open in a spreadsheet.

    Probabilities and changes are in pieces per 100, settings in the codebook's base units.
    """
    tables = {
        "account": _account(study),
        "cells": _cells(study),
        "cells_set_aside": study.log.unusable.loc[:, list(CELLS_SET_ASIDE)],
        "curves": _curves(study),
        "effects": _effects(study),
        "findings": _findings(study),
        "headers": _headers(study),
        "not_learnt": _not_learnt(study),
        "ranking": _ranking(study),
        "rows_set_aside": _rows_set_aside(study),
        "tangles": _tangles(study),
        **build_doubt_tables(study),
        **build_shape_tables(study),
        **build_research_tables(study),
    }
    return {name: neutralise_table(table) for name, table in tables.items()}


def render_csv(table: pd.DataFrame) -> str:
    """Return a table as CSV (RFC 4180 quoting, line feeds, seven significant digits)."""
    written = _map_columns(table, _write_column)
    return str(written.to_csv(index=False, lineterminator="\n"))


def _write_column(column: pd.Series) -> pd.Series:
    """Return a column as it is written; whole columns of numbers as text, "" for what is none."""
    if is_float_dtype(column):
        rounded = [round_number(number) for number in column.tolist()]
        texts = ["" if number is None else f"{number:.7g}" for number in rounded]
        return pd.Series(texts, index=column.index, dtype=object)
    if not is_object_dtype(column):
        return column
    return column.map(lambda cell: round_number(cell) if isinstance(cell, float) else cell)


def neutralise_table(table: pd.DataFrame) -> pd.DataFrame:
    """Return the table with every text cell and heading made safe; numbers are not touched."""
    guard = cache(neutralise_cell)  # a text stands in many rows

    def neutralise(column: pd.Series) -> pd.Series:
        if is_numeric_dtype(column):
            return column
        return column.map(lambda cell: guard(cell) if isinstance(cell, str) else cell)

    safe = _map_columns(table, neutralise)
    safe.columns = pd.Index([neutralise_cell(str(name)) for name in table.columns])
    return safe


def _map_columns(table: pd.DataFrame, change: Callable[[pd.Series], pd.Series]) -> pd.DataFrame:
    """Return a table with every column changed; two may have the same name."""
    columns = {place: change(table.iloc[:, place]) for place in range(table.shape[1])}
    changed = pd.DataFrame(columns, index=table.index)
    changed.columns = table.columns
    return changed


CELLS_SET_ASIDE = ("file", "row", "column", "written", "reason")
EFFECTS = (
    "outcome", "factor", "label", "role", "from", "to", "unit", "rate_from_per_100",
    "rate_to_per_100", "change_per_100", "low", "high", "confidence", "interval_method",
    "low_90", "high_90", "p_value", "p_adjusted", "effective_firings", "mean_grade_change",
    "log_odds", "pieces", "pieces_supported", "far_share", "firings_from", "firings_to",
    "verdict", "reason", "further_firings",
)  # fmt: skip


def _frame(rows: Iterable[Mapping[str, object]], columns: Sequence[str]) -> pd.DataFrame:
    """Return a table with these columns even when it has no row."""
    return pd.DataFrame(list(rows), columns=list(columns))


def _effects(study: Study) -> pd.DataFrame:
    codebook = study.log.codebook
    rows = [_effect(effect, codebook) for part in study.outcomes for effect in part.effects]
    return _frame(rows, EFFECTS)


def _effect(effect: Effect, codebook: Codebook) -> dict[str, object]:
    contrast, verdict, interval = effect.contrast, effect.verdict, effect.interval
    return {
        "outcome": effect.outcome,
        "factor": contrast.factor,
        "label": find_label(codebook, contrast.factor),
        "role": str(contrast.role),
        "from": contrast.from_value,
        "to": contrast.to_value,
        "unit": contrast.unit,
        "rate_from_per_100": 100 * effect.rate_from,
        "rate_to_per_100": 100 * effect.rate_to,
        "change_per_100": 100 * effect.change,
        "low": None if interval is None else 100 * interval.low,
        "high": None if interval is None else 100 * interval.high,
        "confidence": None if interval is None else interval.confidence,
        "interval_method": None if interval is None else interval.method,
        "low_90": None if effect.interval_90 is None else 100 * effect.interval_90.low,
        "high_90": None if effect.interval_90 is None else 100 * effect.interval_90.high,
        "p_value": effect.p_value,
        "p_adjusted": effect.p_adjusted,
        "effective_firings": effect.effective_firings,
        "mean_grade_change": effect.mean_grade_change,
        "log_odds": effect.log_odds,
        "pieces": effect.pieces,
        "pieces_supported": effect.pieces_supported,
        "far_share": effect.far_share,
        "firings_from": effect.firings_from,
        "firings_to": effect.firings_to,
        "verdict": None if verdict is None else str(verdict.word),
        "reason": None if verdict is None else verdict.reason,
        "further_firings": None if verdict is None else verdict.further_firings,
    }


def find_label(codebook: Codebook, factor: str) -> str:
    """Return the maker's words for a factor; the trend and unknown names stand for themselves."""
    for known in codebook.factors:
        if known.name == factor:
            return known.label
    return factor


def _ranking(study: Study) -> pd.DataFrame:
    columns = ("outcome", "factor", "rank", "rank_low", "rank_high", "alone_low", "alone_high",
               "share_first", "shrunk_per_100")  # fmt: skip
    rows = [
        {
            **{name: getattr(ranked, name) for name in columns[:-1]},
            "shrunk_per_100": 100 * ranked.shrunk,
        }
        for part in study.outcomes
        for ranked in part.ranking
    ]
    return _frame(rows, columns)


def _curves(study: Study) -> pd.DataFrame:
    columns = ("outcome", "factor", "glaze", "at", "grade", "chance_per_100", "reach_per_100",
               "reach_low", "reach_high")  # fmt: skip
    return _frame(
        (row for part in study.outcomes for row in _curve_rows(part)),
        columns,
    )


def _curve_rows(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield one row a grid point and grade."""
    for curve in part.curves:
        for point, at in enumerate(curve.at):
            for grade, chance in enumerate(curve.chance[point]):
                yield {
                    "outcome": curve.outcome,
                    "factor": curve.factor,
                    "glaze": curve.glaze,
                    "at": at if isinstance(at, str) else round_number(float(at)),
                    "grade": grade,
                    "chance_per_100": 100 * chance,
                    "reach_per_100": 100 * curve.reach[point],
                    "reach_low": 100 * curve.reach_low[point],
                    "reach_high": 100 * curve.reach_high[point],
                }


def _not_learnt(study: Study) -> pd.DataFrame:
    columns = ("outcome", "factor", "role", "code", "reason", "verdict")
    rows = [
        {
            "outcome": part.outcome.name,
            "factor": item.factor,
            "role": str(item.role),
            "code": item.code,
            "reason": item.reason,
            "verdict": None if item.verdict is None else str(item.verdict.word),
        }
        for part in study.outcomes
        for item in part.not_learnt
    ]
    return _frame(rows, columns)


def _tangles(study: Study) -> pd.DataFrame:
    columns = ("outcome", "factor", "with", "explained", "deviance_change", "alone_per_100",
               "twin_alone_per_100", "joint_per_100")  # fmt: skip
    rows = [
        {
            "outcome": tangle.outcome,
            "factor": tangle.factor,
            "with": "; ".join(tangle.with_factors),
            "explained": tangle.explained,
            "deviance_change": tangle.deviance_change,
            "alone_per_100": _per_100(tangle.alone),
            "twin_alone_per_100": _per_100(tangle.twin_alone),
            "joint_per_100": _per_100(tangle.joint),
        }
        for part in study.outcomes
        for tangle in part.tangles
    ]
    return _frame(rows, columns)


def _per_100(value: float | None) -> float | None:
    return None if value is None else 100 * value


def _findings(study: Study) -> pd.DataFrame:
    found = [("", finding) for finding in study.findings]
    found += [(part.outcome.name, f) for part in study.outcomes for f in part.findings]
    return build_findings_table(found)


def build_findings_table(found: Iterable[tuple[str, Finding]]) -> pd.DataFrame:
    """Return one row a finding, with the outcome it is about ("" for the whole log)."""
    columns = ("outcome", "code", "severity", "column", "file", "rows", "message", "advice")
    rows = [
        {
            "outcome": outcome,
            "code": finding.code,
            "severity": str(finding.severity),
            "column": finding.column,
            "file": finding.file,
            "rows": " ".join(str(row) for row in finding.rows),
            "message": finding.message,
            "advice": finding.advice,
        }
        for outcome, finding in found
    ]
    return _frame(rows, columns)


def _headers(study: Study) -> pd.DataFrame:
    columns = ("file", "written", "column", "unit", "how")
    rows = [{name: getattr(h, name) for name in columns} for h in study.log.headers]
    return _frame(rows, columns)


def _cells(study: Study) -> pd.DataFrame:
    counts = count_cells(study.log)
    rows = [{"column": column, **ways} for column, ways in counts.items()]
    ways = next(iter(counts.values()), {})
    return _frame(rows, ("column", *ways))


def _rows_set_aside(study: Study) -> pd.DataFrame:
    columns = ("file", "row", "reason")
    rows = [{name: getattr(row, name) for name in columns} for row in study.log.account.set_aside]
    return _frame(rows, columns)


def _account(study: Study) -> pd.DataFrame:
    columns = ("outcome", "reason", "rows")
    account = study.log.account
    rows: list[dict[str, object]] = [
        {"outcome": "", "reason": "rows read", "rows": account.rows_read},
        {"outcome": "", "reason": "rows used", "rows": account.rows_used},
        {"outcome": "", "reason": "rows set aside", "rows": len(account.set_aside)},
    ]
    for part in study.outcomes:
        name = part.outcome.name
        rows.append({"outcome": name, "reason": "pieces in the analysis", "rows": part.pieces})
        rows += [{"outcome": name, "reason": why, "rows": n} for why, n in part.left_out]
    return _frame(rows, columns)
