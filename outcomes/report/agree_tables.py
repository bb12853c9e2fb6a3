"""The agreement as tables, one question each, written as CSV beside the page."""

import pandas as pd

from outcomes.graders.agreement import Agreement
from outcomes.graders.measured import Measured
from outcomes.report.tables import neutralise_table


def build_agreement_tables(agreement: Agreement) -> dict[str, pd.DataFrame]:
    """Return the tables by file name stem; texts are safe to open in a spreadsheet."""
    tables = {
        "agreement": _agreement(agreement),
        "pairs": _pairs(agreement),
        "steps": _steps(agreement),
        "graders": _graders(agreement),
        "changes": _changes(agreement),
        "gradings": agreement.gradings.entries.assign(
            graded_on=agreement.gradings.entries["graded_on"].dt.strftime("%Y-%m-%d")
        ),
        "cells_set_aside": agreement.gradings.unusable,
        "rows_set_aside": pd.DataFrame(
            [(a.file, a.row, a.reason, a.written) for a in agreement.gradings.account.set_aside],
            columns=["file", "row", "reason", "written"],
        ),
    }
    return {name: neutralise_table(table) for name, table in tables.items()}


def _told(name: str, measured: Measured) -> dict[str, object]:
    """Return a number and its interval as three cells."""
    interval = measured.interval
    return {
        name: measured.value,
        f"{name}_low": None if interval is None else interval.low,
        f"{name}_high": None if interval is None else interval.high,
    }


def _agreement(agreement: Agreement) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "outcome": compared.ratings.outcome.name,
                "graders": len(compared.ratings.graders),
                "pieces": compared.pieces,
                "word": str(compared.band),
                **_told("alpha", compared.alpha),
                **_told("exact", compared.exact),
                **_told("within_one", compared.near),
                **_told("reliability", compared.shifts.reliability),
                "left_out": compared.alpha.clusters,
                "leaves_out": "firings" if compared.ratings.by_firing else "pieces",
            }
            for compared in agreement.outcomes
        ]
    )


def _pairs(agreement: Agreement) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "outcome": compared.ratings.outcome.name,
                "one": pair.one,
                "other": pair.other,
                "pieces": pair.pieces,
                **_told("exact", pair.exact),
                **_told("within_one", pair.near),
                **_told("kappa_quadratic", pair.quadratic),
                **_told("kappa_linear", pair.linear),
            }
            for compared in agreement.outcomes
            for pair in compared.pairs
        ]
    )


def _steps(agreement: Agreement) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "outcome": compared.ratings.outcome.name,
                "from": compared.ratings.outcome.levels[boundary.upper - 1].name,
                "to": compared.ratings.outcome.levels[boundary.upper].name,
                **_told("split", boundary.split),
                "pairs": boundary.pairs,
            }
            for compared in agreement.outcomes
            for boundary in compared.boundaries
        ]
    )


def _graders(agreement: Agreement) -> pd.DataFrame:
    rows = []
    for compared in agreement.outcomes:
        shifts = compared.shifts.shifts
        for place, offset in enumerate(compared.offsets):
            shift = {} if shifts is None else _told("log_odds", shifts[place])
            rows.append(
                {
                    "outcome": compared.ratings.outcome.name,
                    "grader": offset.grader,
                    "pieces": offset.pieces,
                    **_told("grades_above_others", offset.difference),
                    **shift,
                }
            )
    return pd.DataFrame(rows)


def _changes(agreement: Agreement) -> pd.DataFrame:
    rows = [
        {"outcome": compared.ratings.outcome.name, "kind": kind, "grader": grader,
         "pieces": pieces, "days": days, **_told("grades", measured)}
        for compared in agreement.outcomes
        for kind, grader, pieces, days, measured in (
            *(("drift", d.grader, d.pieces, d.days, d.change) for d in compared.drifts),
            *(("halo", h.grader, h.pieces, h.days, h.difference) for h in compared.halos),
        )
    ]  # fmt: skip
    columns = ["outcome", "kind", "grader", "pieces", "days", "grades", "grades_low", "grades_high"]
    return pd.DataFrame(rows, columns=columns)
