"""The picture: coverage of every rule in every cell and setting."""

import io

import matplotlib as mpl
import pandas as pd
from coverage_table import HIGH, LOW
from matplotlib.figure import Figure
from rules import ORDER

FIXED = {"svg.hashsalt": "evidence", "svg.fonttype": "none", "font.family": "DejaVu Sans"}
MARKS = {"between_number": "o", "between_level": "s", "within_number": "^", "within_level": "v"}
INKS = {
    "between_number": "#7a3b12",
    "between_level": "#c8641b",
    "within_number": "#1f5c63",
    "within_level": "#5aa6a0",
}
LABELS = {
    "between_number": "number, of the firing",
    "between_level": "two levels, of the firing",
    "within_number": "number, of the piece",
    "within_level": "two levels, of the piece",
}
LEFT, RIGHT = 88.0, 100.5


def draw_coverage(coverage: pd.DataFrame) -> bytes:
    """Return an SVG: a panel a rule, a row a number of firings, a mark a cell and setting.

    Parameters
    ----------
    coverage
        The rows of evidence.csv of the coverage cells.
    """
    held = coverage[coverage["measure"] == "held"]
    rules = sorted(set(held["rule"]), key=ORDER.index)
    with mpl.rc_context(FIXED):  # type: ignore[arg-type]
        figure = Figure(figsize=(9.0, 1.6 + 0.95 * len(rules)), layout="constrained")
        panels = figure.subplots(len(rules), 1, sharex=True, squeeze=False)[:, 0]
        for panel, rule in zip(panels, rules, strict=True):
            _draw_rule(panel, held[held["rule"] == rule], rule)
        panels[-1].set_xlabel("intervals that hold the truth, in 100 (aim: the shaded band)")
        panels[0].legend(
            *panels[0].get_legend_handles_labels(),
            loc="lower center",
            bbox_to_anchor=(0.5, 1.3),
            ncols=4,
            frameon=False,
        )
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


def _draw_rule(panel: mpl.axes.Axes, held: pd.DataFrame, rule: str) -> None:
    """Draw one rule's marks, cells with more firings further up."""
    firings = sorted(set(held["firings"]))
    panel.axvspan(100 * LOW, 100 * HIGH, color="#efe6da", zorder=0)
    for i, (setting, rows) in enumerate(held.groupby("setting", sort=False)):
        height = [firings.index(g) + 0.18 * (i - 1.5) for g in rows["firings"]]
        panel.scatter(
            (100 * rows["value"]).clip(LEFT, RIGHT),
            height,
            s=16,
            marker=MARKS[str(setting)],
            color=INKS[str(setting)],
            label=LABELS[str(setting)],
            alpha=0.75,
            linewidths=0,
        )
    panel.set_yticks(range(len(firings)), [f"{g}" for g in firings])
    panel.set_ylabel("firings", fontsize=8)
    panel.set_ylim(-0.6, len(firings) - 0.4)
    panel.set_xlim(LEFT, RIGHT)
    panel.set_title(rule, loc="left", fontsize=9)
    panel.spines[["top", "right"]].set_visible(False)
    panel.tick_params(labelsize=8)
