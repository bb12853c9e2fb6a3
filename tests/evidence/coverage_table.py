"""Coverage of the interval rules: one line a rule, and one line a cell and setting."""

import pandas as pd
from rules import ORDER, PRINTED

LOW, HIGH = 0.94, 0.965


def build_rule_table(coverage: pd.DataFrame) -> pd.DataFrame:
    """Return one line a rule: worst, mean and best coverage, how many within the aim, width.

    Parameters
    ----------
    coverage
        The rows of evidence.csv of the coverage cells.
    """
    held, width = _of(coverage, "held"), _of(coverage, "width")
    usual = PRINTED if (width["rule"] == PRINTED).any() else width["rule"].iloc[0]
    first = width[width["rule"] == usual]["value"].mean()
    lines = []
    for rule, cells in held.groupby("rule", sort=False):
        value, error = cells["value"], cells["error"]
        surely = (value + 2 * error < LOW) | (value - 2 * error > HIGH)
        relative = width[width["rule"] == rule]["value"].mean() / first
        lines.append(
            {
                "rule": rule,
                "lowest": f"{100 * value.min():.1f}",
                "mean": f"{100 * value.mean():.1f}",
                "highest": f"{100 * value.max():.1f}",
                "within 94-96.5": f"{int(value.between(LOW, HIGH).sum())} of {len(cells)}",
                "surely outside": str(int(surely.sum())),
                "width": f"{relative:.2f}",
            }
        )
    return pd.DataFrame(lines)


def build_coverage_table(coverage: pd.DataFrame) -> pd.DataFrame:
    """Return one line a cell and setting, one column a rule."""
    lines = []
    for (cell, setting), rows in coverage.groupby(["cell", "setting"], sort=False):
        held, width = (
            dict(zip(part["rule"], part["value"], strict=True))
            for part in (_of(rows, "held"), _of(rows, "width"))
        )
        line = {"cell": str(cell).removeprefix("coverage_"), "setting": str(setting)}
        for rule, value in held.items():
            text = f"{100 * value:.1f}"
            text = text if LOW <= value <= HIGH else f"**{text}**"
            line[rule] = f"{text} ({100 * width[rule]:.0f})"
        lines.append(line)
    return pd.DataFrame(lines)


def _of(coverage: pd.DataFrame, measure: str) -> pd.DataFrame:
    """Return the rows of one measure, rules in their order, cells as they come."""
    rows = coverage[coverage["measure"] == measure]
    return rows.sort_values("rule", key=lambda rule: rule.map(ORDER.index), kind="stable")
