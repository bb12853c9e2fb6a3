"""Make the Kestrel Bench demo: the sealed plan, the drawn list, the log, and the truth.

``python data_demo/make_kestrel.py [FOLDER]`` writes kestrel_plan.toml, kestrel_assignment.csv,
kestrel_bench.csv and kestrel_truth.toml into FOLDER (default: the folder of this script), the
same bytes every time.

What happened to the log on the way, so that a test has something to tell: a trial firing of six
tiles stands before the plan; one tile broke and carries no grade; one can was opened after 20
minutes instead of 16.
"""

import csv
import io
import sys
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from outcomes.log.codebook_file import read_codebook
from outcomes.planning.assignment import FIRING, PIECE, draw_assignment, row_names
from outcomes.planning.declaring import Declaration, build_plan
from outcomes.planning.plan import Claim, Direction, Plan, show_value
from outcomes.planning.plan_text import render_plan
from outcomes.planning.seal import seal_plan
from outcomes.report.run_sheet import SHEET_CSV, build_run_sheet
from outcomes.simulate.kestrel import (
    CANS,
    FIRING_SD,
    FIRINGS,
    GAINS,
    LEAK,
    LEAKY,
    MINUTES,
    kestrel_grades,
    kestrel_truth,
)

SEED = 64  # chosen once, before any analysis of the result, and never changed to please
DECLARED = date(2025, 9, 1)
A_DAY = 4  # firings
HEADERS = ("Firing", "Date", "Tile", "Can", "Time in can (min)", "Luster", "Notes")


def write_demo(folder: Path) -> None:
    """Write the four files."""
    codebook = read_codebook(Path(__file__).parent / "kestrel_codebook.toml")
    plan = declare_plan()
    (folder / "kestrel_plan.toml").write_bytes(render_plan(plan).encode())
    (folder / "kestrel_assignment.csv").write_bytes(build_run_sheet(plan, codebook)[SHEET_CSV])
    rows = [list(HEADERS), *trial_firing(), *bench_rows(plan)]
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    (folder / "kestrel_bench.csv").write_bytes(text.getvalue().encode())
    (folder / "kestrel_truth.toml").write_bytes(describe_truth().encode())


def declare_plan() -> Plan:
    """Return what was declared before the first firing."""
    asked = Declaration(
        title="How long in the can? Four minutes against sixteen, sixteen against sixty-four",
        outcomes=("luster",),
        factor="time_in_can_min",
        differences=(("4", "16"),),
        equivalences=(("16", "64"),),
        values=tuple(show_value(value) for value in MINUTES),
        direction=Direction.MORE,
        margin=20.0,
        adjust_for=("can",),
        firings=FIRINGS,
        pieces=len(CANS),
        seed=SEED,
        declared_on=DECLARED,
        stopping="After 48 firings, on twelve days, whatever they show.",
    )
    codebook = read_codebook(Path(__file__).parent / "kestrel_codebook.toml")
    plan = seal_plan(build_plan(asked, codebook))
    assert plan.hypotheses[1].claim is Claim.EQUIVALENCE
    return plan


def bench_rows(plan: Plan) -> list[list[str]]:
    """Return the rows of the trial as they were typed."""
    luck, slips = np.random.default_rng(SEED).spawn(2)
    drawn = draw_assignment(plan)
    firings, pieces = row_names(drawn)
    given = drawn["time_in_can_min"]
    cans = pd.Series([CANS[number - 1] for number in drawn[PIECE]], dtype=object)
    grades = kestrel_grades(given, cans, pd.Series(firings, dtype=object), rng=luck)
    broken, late = choose_slips(given, rng=slips)
    rows = []
    for place, minutes in enumerate(given):
        day = DECLARED + timedelta(days=2 + 7 * ((int(drawn[FIRING][place]) - 1) // A_DAY))
        note = {broken: "broke on the tongs, not graded", late: "forgot the clock"}.get(place, "")
        rows.append(
            [
                firings[place],
                day.isoformat(),
                pieces[place],
                cans[place],
                "20" if place == late else show_value(float(minutes)),
                "" if place == broken else f"{grades[place]:.0f}",
                note,
            ]
        )
    return rows


def choose_slips(given: pd.Series, *, rng: np.random.Generator) -> tuple[int, int]:
    """Return the tile that broke, and the one whose can was opened late."""
    broken = int(rng.choice(np.flatnonzero(given == 64.0)))
    late = int(rng.choice(np.flatnonzero(given == 16.0)))
    return broken, late


def trial_firing() -> list[list[str]]:
    """Return the six tiles fired to try the cans, a week before the plan."""
    day = (DECLARED - timedelta(days=7)).isoformat()
    grades = ("2", "3", "3", "1", "3", "4")
    times = ("4", "8", "16", "16", "32", "64")
    return [
        ["Try", day, f"Try-{can}", can, minutes, grade, "to try the cans"]
        for can, minutes, grade in zip(CANS, times, grades, strict=True)
    ]


def describe_truth() -> str:
    """Return the truth the log was drawn from, as TOML."""
    (luster,) = kestrel_truth().outcomes
    gains = ", ".join(f'"{minutes:g}" = {gain}' for minutes, gain in GAINS)
    return (
        "# What is really so at Kestrel Bench (simulate/kestrel.py); log-odds.\n"
        f"seed = {SEED}\n"
        f"thresholds = {list(luster.thresholds)}\n"
        f"firing_sd = {FIRING_SD}\n"
        f'leaky_can = "{LEAKY}"    # whichever time it was given: {LEAK}\n'
        f"gains = {{ {gains} }}    # minutes; 16 and 64 are truly equal, 4 and 16 truly differ\n"
    )


if __name__ == "__main__":
    write_demo(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
