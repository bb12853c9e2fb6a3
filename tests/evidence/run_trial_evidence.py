"""Run the size study of declared tests: ``python tests/evidence/run_trial_evidence.py``.

One process; every log has its own stream, so the figures do not depend on how far a run got.
Cells already in reports/evidence/trial.csv with all their logs are kept unless --again.
"""

import csv
import sys
from fnmatch import fnmatchcase
from pathlib import Path

import click
import numpy as np
from threadpoolctl import threadpool_limits
from trial_cells import Cell, all_cells
from trial_judges import build_trial_model, judge
from trial_logs import draw_trial, find_truth
from trial_page import describe_trials

REPORT = Path(__file__).parents[2] / "reports" / "evidence"
SEED = 20260501
FIELDS = ("cell", "asked", "lot", "firings", "firing_sd", "claim", "logs", "claimed")
Row = dict[str, str]


@click.command(help="Measure how often declared tests claim what is not so.")
@click.option(
    "--cells", "patterns", multiple=True, help="Only cells of this name; * is a wildcard."
)
@click.option("--logs", type=click.IntRange(1), help="Logs a cell, instead of each cell's own.")
@click.option("--again", is_flag=True, help="Also cells that are in the table already.")
@click.option("--report", type=click.Path(path_type=Path), default=REPORT)
def main(patterns: tuple[str, ...], logs: int | None, again: bool, report: Path) -> None:
    """Run what is missing, then write the table and the page."""
    held = [] if again and not patterns else read_rows(report / "trial.csv")
    for number, cell in enumerate(all_cells()):
        if patterns and not any(fnmatchcase(cell.name, pattern) for pattern in patterns):
            continue
        wanted = logs or cell.logs
        if not again and any(r["cell"] == cell.name and int(r["logs"]) >= wanted for r in held):
            continue
        held = [row for row in held if row["cell"] != cell.name]
        held += run_cell(cell, number, wanted)
        write_rows(held, report)
        click.echo(f"{cell.name}: {[(r['claim'], r['claimed']) for r in held[-4:]]}", err=True)
    write_rows(held, report)


def run_cell(cell: Cell, number: int, logs: int) -> list[Row]:
    """Return one row a claim: in how many logs it was made."""
    made: dict[str, float] = {}
    truth = find_truth(cell)
    like = build_trial_model(draw_trial(cell, truth, np.random.default_rng(SEED)))
    with threadpool_limits(limits=1):
        for log in range(logs):
            rng = np.random.default_rng([SEED, number, log])
            for claim, value in judge(cell, draw_trial(cell, truth, rng), rng, like=like).items():
                made[claim] = made.get(claim, 0.0) + value
    return [
        {
            "cell": cell.name,
            "asked": str(cell.asked),
            "lot": str(cell.lot),
            "firings": str(cell.firings),
            "firing_sd": f"{cell.firing_sd:g}",
            "claim": claim,
            "logs": str(logs),
            "claimed": f"{count:.0f}",
        }
        for claim, count in made.items()
    ]


def read_rows(path: Path) -> list[Row]:
    """Return the rows of an earlier run."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write_rows(rows: list[Row], folder: Path) -> None:
    """Write the table and the page, rows in the order of the cells."""
    order = [cell.name for cell in all_cells()]
    rows = sorted(rows, key=lambda row: order.index(row["cell"]))
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "trial.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, FIELDS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    (folder / "trial.md").write_text(describe_trials(rows), encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
