"""The tables of how settings run: best values, gains, thresholds, glaze by glaze."""

from collections.abc import Iterable

import pandas as pd

from outcomes.report.study_json_shapes import build_shape_entries
from outcomes.study.record import OutcomeStudy, Study

BEST_VALUES = ("outcome", "factor", "kind", "best", "low", "high", "confidence", "tried_low",
               "tried_high", "best_reach_per_100", "near_low", "near_high", "near_sure_low",
               "near_sure_high", "near_possible_low", "near_possible_high",
               "sentence")  # fmt: skip
GAINS = ("outcome", "factor", "at", "low", "high", "levels_off", "tried_low", "tried_high",
         "reach_low_per_100", "reach_high_per_100", "sentence")  # fmt: skip
THRESHOLDS = ("outcome", "factor", "found", "kind", "at", "low", "high", "looked_low",
              "looked_high", "p_value", "sentence")  # fmt: skip
GLAZE_EFFECTS = ("outcome", "factor", "differs", "p_value", "omega", "glaze", "change_per_100",
                 "low", "high", "confidence", "firings", "pieces", "is_own")  # fmt: skip


def build_shape_tables(study: Study) -> dict[str, pd.DataFrame]:
    """Return best values, gains, thresholds and glaze effects by file name stem."""
    return {
        "best_values": _frame(study, "optima", BEST_VALUES),
        "gains": _frame(study, "gains", GAINS),
        "thresholds": _frame(study, "thresholds", THRESHOLDS),
        "glaze_effects": pd.DataFrame(
            [row for part in study.outcomes for row in _glaze_rows(part)],
            columns=list(GLAZE_EFFECTS),
        ),
    }


def _frame(study: Study, name: str, columns: tuple[str, ...]) -> pd.DataFrame:
    """Return the entries of study.json of that name, one row each."""
    rows = [
        {"outcome": part.outcome.name, **_plain(entry)}
        for part in study.outcomes
        for entry in _entries(part, name)
    ]
    return pd.DataFrame(rows, columns=list(columns))


def _entries(part: OutcomeStudy, name: str) -> list[dict[str, object]]:
    entries = build_shape_entries(part)[name]
    assert isinstance(entries, list)  # noqa: S101
    return entries


def _plain(entry: dict[str, object]) -> dict[str, object]:
    """Return an entry whose words are plain texts."""
    return {name: str(item) if isinstance(item, str) else item for name, item in entry.items()}


def _glaze_rows(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield one row a setting and glaze."""
    for entry in _entries(part, "by_glaze"):
        shared = {name: entry[name] for name in ("factor", "differs", "p_value", "omega")}
        effects = entry["effects"]
        assert isinstance(effects, list)  # noqa: S101
        for one in effects:
            yield {"outcome": part.outcome.name, **shared, **one}
