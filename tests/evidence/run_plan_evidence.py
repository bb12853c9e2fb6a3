"""Measure what a plan is worth: ``nice -n 15 python tests/evidence/run_plan_evidence.py``.

Results grow log by log in build/evidence, so a run that was stopped goes on where it was; the
seed of a log is its number. At the end reports/evidence/next_firings.md is written.
"""

import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

import click
import numpy as np
from plan_log import LUCK, PIECES, STUDIOS, Studio, Width, compare_log, plain_codebook
from plan_table import count_held, count_tangled, find_ratio, median_width
from threadpoolctl import threadpool_limits

from outcomes.resampling.proportion import wilson_interval

ROOT = Path(__file__).parents[2]
RESULTS = ROOT / "build" / "evidence"
REPORT = ROOT / "reports" / "evidence" / "next_firings.md"
PLANNED = 4
HABITUAL = (4, 8, 12, 16, 24, 32, 48, 64)
PULL = "pull_temp_c"

Keep = Callable[[Width], bool]


@click.command(help="Compare logs extended by plan with logs extended by habit.")
@click.option("--logs", default=150, show_default=True, help="Logs of each kind of studio.")
@click.option("--report-only", is_flag=True, help="Write the table from what is there.")
def main(logs: int, report_only: bool) -> None:
    """Run what is missing, then write the table."""
    codebook = plain_codebook()
    RESULTS.mkdir(parents=True, exist_ok=True)
    found = {studio.name: _read(studio) for studio in STUDIOS}
    with threadpool_limits(limits=1):
        for seed in range(0 if report_only else logs):
            for studio in STUDIOS:
                if seed >= len(found[studio.name]):
                    widths = compare_log(
                        studio, codebook, planned=PLANNED, habitual=HABITUAL, seed=seed
                    )
                    _append(studio, widths)
                    found[studio.name].append(widths)
    REPORT.write_text(build_report(found), encoding="utf-8")
    click.echo(f"Table: {REPORT}")


def build_report(found: dict[str, list[list[Width]]]) -> str:
    """Return the table as Markdown."""
    lines = [
        "# What a planned firing is worth",
        "",
        f"Invented logs of 16 firings of {PIECES} pieces (firing luck sd {LUCK}), one graded "
        f"outcome, six settings with small or no effects. Each log is analysed, {PLANNED} firings "
        "are planned from that analysis alone (one of them repeats the usual settings), and the "
        f"log is extended by them, or by 0 to {HABITUAL[-1]} firings by the same habits as before. "
        "Compared is the width of the 95 % firing-score t interval of one comparison of values. "
        "**Ratio**: pieces fired as before that give the width which one planned piece gives "
        "(mean log width, straight lines between the sizes tried), with a 95 % interval from "
        "redrawing whole logs. Made by `tests/evidence/run_plan_evidence.py`; the seed of a log is "
        "its number.",
        "",
        "| habits | questions | logs (questions) | width today | after the plan | after as many "
        "pieces by habit | ratio |",
        "|---|---|---|---|---|---|---|",
    ]
    for name, logs in found.items():
        for label, keep in _groups():
            line = _line(name, label, logs, keep)
            if line:
                lines.append(line)
    lines += ["", *_promises(found), ""]
    return "\n".join(lines)


def _groups() -> list[tuple[str, Keep]]:
    return [
        ("tangled", lambda w: w.open == "tangled"),
        ("undecided, from piece to piece", lambda w: w.open == "undecided" and w.factor != PULL),
        ("undecided, same for a firing", lambda w: w.open == "undecided" and w.factor == PULL),
    ]


def _line(name: str, label: str, logs: list[list[Width]], keep: Keep) -> str:
    ratio = find_ratio(logs, keep, rng=np.random.default_rng(1))
    if ratio is None:
        return ""
    cells = [
        median_width(logs, lambda w, a=arm, f=firings: keep(w) and (w.arm, w.firings) == (a, f))
        for arm, firings in (("habit", 0), ("plan", PLANNED), ("habit", PLANNED))
    ]
    largest = HABITUAL[-1] / PLANNED
    low, middle, high = (
        f"over {largest:g}" if value >= largest else f"{value:.1f}"
        for value in (ratio.low, ratio.ratio, ratio.high)
    )
    widths = " | ".join(f"{width:.0f}" for width in cells)
    return (
        f"| {name} | {label} | {ratio.logs} ({ratio.questions}) | {widths} | "
        f"**{middle}** ({low} to {high}) |"
    )


def _promises(found: dict[str, list[list[Width]]]) -> list[str]:
    """Return how often tangles stayed, and how often the intervals held the truth."""
    logs = [widths for some in found.values() for widths in some]
    lines = []
    for arm, firings in (("plan", PLANNED), ("habit", PLANNED), ("habit", HABITUAL[-1])):

        def mine(w: Width, arm: str = arm, firings: int = firings) -> bool:
            return (w.arm, w.firings) == (arm, firings)

        left, tangled = count_tangled(logs, lambda w, mine=mine: mine(w) and w.open == "tangled")
        held, asked = count_held(logs, mine)
        if not asked:
            continue
        how = "by plan" if arm == "plan" else "by habit"
        lines.append(
            f"- {firings} firings {how}: {left} of the {tangled} tangled settings still tangled; "
            f"{held} of the {asked} intervals held the truth ({_share(held, asked)})."
        )
    return lines


def _share(count: int, n: int) -> str:
    """Return a share with Wilson's 95 % interval."""
    interval = wilson_interval(count, n)
    low, high = 100 * interval.low, 100 * interval.high
    return f"{100 * count / n:.1f} %, 95 % interval {low:.1f} to {high:.1f}"


def _file(studio: Studio) -> Path:
    return RESULTS / f"next_firings_{studio.name.replace(' ', '_')}.jsonl"


def _read(studio: Studio) -> list[list[Width]]:
    path = _file(studio)
    if not path.exists():
        return []
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return [[Width(**width) for width in row] for row in rows]


def _append(studio: Studio, widths: list[Width]) -> None:
    with _file(studio).open("a", encoding="utf-8") as file:
        file.write(json.dumps([asdict(width) for width in widths]) + "\n")


if __name__ == "__main__":
    main()
