"""The README's table of speed, measured and written by one command.

Run by hand, on a machine that does nothing else (about five minutes)::

    python tests/benchmarks/bench_readme.py

It replaces what stands between the two marks in README.md and writes reports/speed/. With
``--quick`` it leaves out the large logs and the slopes and only prints.
"""

import datetime
import os
import platform
import sys
import tempfile
from pathlib import Path

import pandas as pd
from bench_commands import Cost, measure_demo, measure_large
from bench_refits import (
    BARE,
    BARE_ALONE,
    BARE_TWICE,
    FOUR_ONE,
    FOUR_TWO,
    ONE,
    ONE_CLOCK,
    TWO,
    measure_refits,
)
from bench_slopes import write_slopes

README = Path(__file__).parents[2] / "README.md"
BEGIN, END = "<!-- speed: written by bench_readme.py -->", "<!-- speed: end -->"
NUMBERS = {1: "one core", 2: "two cores", 4: "four cores", 8: "eight cores"}
AIMS = {
    "`outcomes demo`, 2 000 redraws": "6 s, 600 MB",
    "imports of a report, all in one process": "2 s",
    "`outcomes check`, 1 000 000 pieces": "20 s, 3 000 MB",
    "`outcomes report`, 100 000 pieces in 2 000 firings": "90 s",
}


def describe_machine() -> str:
    """Return the kind of machine and the day, no names."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    today = datetime.datetime.now(tz=datetime.UTC).date()
    kind = NUMBERS.get(cores or 0, f"{cores} cores")
    return f"{kind}, {platform.machine()}, Python {platform.python_version()}, {today:%-d %B %Y}"


def build_commands_table(costs: dict[str, Cost]) -> str:
    """Return the table of whole processes."""
    lines = ["| whole process | seconds | of processors | MB | aim |", "|---|---|---|---|---|"]
    lines += [
        f"| {what} | {cost.clock:.3g} | {cost.processor:.3g} | {cost.megabytes:.0f} "
        f"| {AIMS.get(what, '')} |"
        for what, cost in costs.items()
    ]
    return "\n".join(lines)


def build_refits_table(refits: dict[str, float]) -> str:
    """Return the table of one refit, ours on one worker being 1."""
    one = refits[ONE]
    lines = ["| one weighted refit | milliseconds | against ours |", "|---|---|---|"]
    lines += [f"| {what} | {ms:.3g} | {ms / one:.3g} |" for what, ms in refits.items()]
    return "\n".join(lines)


def build_slopes_sentence(slopes: pd.DataFrame | None) -> str:
    """Return how cost grows."""
    if slopes is None:
        return ""
    each = slopes.drop_duplicates(["what", "varied"])
    told = [f"{row.slope:.2f} in {row.varied}" for row in each.itertuples() if row.what == "refits"]
    check = each.loc[each["what"] == "check", "slope"].iloc[0]
    return (
        "How cost grows (the exponent: 1 means that twice as much takes twice as long; aim at "
        f"most 1.05): a batch of refits {', '.join(told)}; `outcomes check` {check:.2f} in pieces. "
        "[As a picture](reports/speed/slopes.svg)."
    )


def build_section(
    costs: dict[str, Cost], refits: dict[str, float], slopes: pd.DataFrame | None
) -> str:
    """Return everything between the two marks."""
    parts = [
        f"Measured in one run ({describe_machine()}); only ratios travel to another machine.",
        build_commands_table(costs),
        "Memory is the most that all processes of a command held together.",
        f"384 pieces, 48 firings, 12 columns, 5 grades, 2 000 whole-firing redraws: a refit costs "
        f"{refits[ONE] / refits[BARE]:.2f} times its bare arithmetic (aim: 2). Two workers that "
        "divide four outcomes, as a report does, are "
        f"{refits[FOUR_ONE] / refits[FOUR_TWO]:.2f} times as fast as one (aim: 1.8; two processes "
        "that do nothing but the bare arithmetic are "
        f"{refits[BARE_ALONE] / refits[BARE_TWICE]:.2f} times as fast as one here); two threads "
        "that divide one batch, as where no process can be copied, "
        f"{refits[ONE_CLOCK] / refits[TWO]:.2f} times.",
        build_refits_table(refits),
        build_slopes_sentence(slopes),
    ]
    return "\n\n".join(part for part in parts if part)


def replace_between(text: str, section: str) -> str:
    """Return the text with a new section between the marks."""
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise SystemExit(f"README.md holds no {BEGIN} ... {END}")
    return f"{before}{BEGIN}\n{section}\n{END}{after}"


def main() -> None:
    """Measure everything and rewrite the table."""
    quick = "--quick" in sys.argv
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        costs = measure_demo(folder)
        refits = measure_refits()
        if not quick:
            costs |= measure_large(folder)
    section = build_section(costs, refits, None if quick else write_slopes())
    print(section)
    if not quick:
        README.write_text(replace_between(README.read_text("utf-8"), section), "utf-8")


if __name__ == "__main__":
    main()
