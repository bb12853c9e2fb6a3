"""The table of claims as a page to read."""

from math import sqrt

Row = dict[str, str]
_HEAD = """\
# Declared tests, measured

How often `outcomes test` claims what is not so, on invented trials whose values were given by lot.
Made by `python tests/evidence/run_trial_evidence.py` (seeds fixed); every log has 8 pieces a
firing, five grades, and firing luck of the stated standard deviation (log-odds; a piece's own luck
has 1.81). Level 5 %. Every figure stands with its Monte-Carlo standard error.

"""
_SIZE = """\
## A difference is claimed where there is none

Grades depend on a glaze, on each firing's weather and on luck, not on what was assigned.
*Adjusted* permutes the residuals of a model with glaze and weather, *ranks* the grades' ranks;
both are studentised by firing. *Forgets firings* is a t test on all pieces, for comparison.

"""
_WHY = """\

Why some cells lie under 4 %: a test that enumerates its arrangements can only give certain p
values. Six firings dealt into two threes have 20 arrangements, so no two-sided p is under 0.1 and
5 % cannot be reached at all (one-sided it can, just). Firings in pairs are worse off: three pairs
have 8 arrangements, smallest two-sided p 0.25; six pairs have 64, and the largest two-sided p not
above 0.05 is 2/64 = 3.1 %. `outcomes declare` says so before anybody looks. All other cells have
arrangements enough.

"""
_EQUIVALENCE = """\
## Equivalence is claimed where the change is just the margin

The true change of pieces at the aim is 20 in 100, and so is the margin: every claim of
equivalence is false, and at most 5 in 100 are allowed. Where whole firings get the value and have
luck of their own, intervals are often wider than the margin, and then nothing is claimed.

"""


def describe_trials(rows: list[Row]) -> str:
    """Return the page of a table of claims."""
    sizes = [row for row in rows if row["asked"] == "size"]
    margins = [row for row in rows if row["asked"] == "equivalence"]
    return (
        _HEAD
        + _SIZE
        + _table(sizes, ("adjusted", "ranks", "adjusted, one-sided", "forgets firings"))
        + _WHY
        + _EQUIVALENCE
        + _table(margins, ("equivalence",))
    )


def _table(rows: list[Row], claims: tuple[str, ...]) -> str:
    """Return a Markdown table, one line a cell, claims in 100 logs with their error."""
    lines = [
        "| the lot falls on | firings | firing luck | logs | " + " | ".join(claims) + " |",
        "| --- | --- | --- | --- |" + " --- |" * len(claims),
    ]
    for name in dict.fromkeys(row["cell"] for row in rows):
        here = {row["claim"]: row for row in rows if row["cell"] == name}
        first = next(iter(here.values()))
        shown = [show_share(here[claim]) if claim in here else "" for claim in claims]
        lines.append(
            f"| {first['lot']} | {first['firings']} | {first['firing_sd']} | {first['logs']} | "
            + " | ".join(shown)
            + " |"
        )
    return "\n".join(lines) + "\n"


def show_share(row: Row) -> str:
    """Return claims in 100 with their standard error.

    >>> show_share({"logs": "400", "claimed": "20"})
    '5.0 ± 1.1'
    """
    logs, share = int(row["logs"]), int(row["claimed"]) / int(row["logs"])
    return f"{100 * share:.1f} ± {100 * sqrt(share * (1 - share) / logs):.1f}"
