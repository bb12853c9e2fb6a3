"""The study's figures as a table, a page and a picture: reports/evidence/."""

from collections.abc import Iterable
from pathlib import Path

import pandas as pd
from cells import Cell, Kind, all_cells
from claims import Claim, build_claims
from coverage_table import build_coverage_table, build_rule_table
from figure_coverage import draw_coverage
from figures import CARRIED, build_figures, carry_over, list_unlike, read_figures
from rules import PRINTED
from tallies import Chunk, read_chunks

INTRODUCTION = """# What the analysis promises, measured

Invented logs with known truth, analysed like any other. Made by
`python tests/evidence/run_evidence.py --workers 2`; the same command goes on where a run was
stopped. Every figure stands with its Monte-Carlo standard error. {logs} logs in {cells} kinds
of log (cells); {redraws} whole-firing redraws a fit where a figure rests on them (a report
makes 2 000: with fewer, a percentile interval covers slightly less).
{carried}
The analyst who knows the model, the yardstick for power and first places, knows which settings
act on an outcome and the exact shape of each effect, but not how strong it is.

"""
CARRIED_OVER = """
The figures of {cells} cells are carried over from an earlier run of the same study, not made
anew ({kinds}). Their logs are seeded: a rerun of a cell with the code it was made with gives
its figures again, digit for digit. What has changed since is said in DEVELOPERS.md ("Power").
"""


def write_summary(folder: Path, report: Path) -> tuple[Path, tuple[str, ...]]:
    """Write evidence.csv, evidence.md and the pictures from the results of a folder.

    Figures of cells that are not at hand are carried over from the evidence.csv that is there.

    Returns
    -------
    tuple
        The page, and the cells whose figures are not those of the earlier table.
    """
    report.mkdir(parents=True, exist_ok=True)
    table = report / "evidence.csv"
    earlier, made = read_figures(table), build_figures(read_results(folder))
    figures = carry_over(made, earlier)
    figures.to_csv(table, index=False, lineterminator="\n")
    coverage = figures[figures["kind"] == Kind.COVERAGE]
    if len(coverage):
        (report / "coverage.svg").write_bytes(draw_coverage(coverage))
        printed = coverage[coverage["rule"] == PRINTED]
        (report / "coverage_printed.svg").write_bytes(draw_coverage(printed))
    page = report / "evidence.md"
    page.write_text(
        _introduction(figures, folder.name.rpartition("-")[2])
        + describe_claims(build_claims(figures))
        + _describe_coverage(coverage),
        encoding="utf-8",
    )
    return page, list_unlike(made, earlier)


def read_results(folder: Path) -> dict[Cell, tuple[Chunk, ...]]:
    """Return the chunks of every cell that has any."""
    read = {cell: read_chunks(folder / f"{cell.name}.jsonl") for cell in all_cells()}
    return {cell: chunks for cell, chunks in read.items() if chunks}


def describe_claims(claims: Iterable[Claim]) -> str:
    """Return the table of aims and figures."""
    lines = ["| what | aim | measured | met |", "| --- | --- | --- | --- |"]
    lines += [f"| {c.what} | {c.aim} | {c.measured} | {c.verdict} |" for c in claims]
    return "\n".join(lines) + "\n\n"


def _introduction(figures: pd.DataFrame, redraws: str) -> str:
    cells = figures.drop_duplicates("cell")
    carried = cells[cells["from"] == CARRIED]
    kinds = carried["kind"].value_counts(sort=False)
    words = ", ".join(f"{count} of {kind}" for kind, count in kinds.items())
    return INTRODUCTION.format(
        logs=f"{int(cells['logs'].sum()):,}".replace(",", " "),
        cells=len(cells),
        redraws=redraws,
        carried=CARRIED_OVER.format(cells=len(carried), kinds=words) if len(carried) else "",
    )


def _describe_coverage(coverage: pd.DataFrame) -> str:
    """Return the tables of intervals: rule by rule, then cell by cell."""
    if not len(coverage):
        return ""
    return (
        "## Interval rules\n\n"
        "Share of intervals that hold the truth, in 100, over all cells and settings; in how "
        "many it lies in 94-96.5 (with sampling error left aside, and outside by more than two "
        "standard errors); mean width beside the printed rule's.\n\n"
        f"{_markdown(build_rule_table(coverage))}\n"
        "![Coverage of every rule in every cell](coverage.svg)\n\n"
        "## Cell by cell\n\n"
        "Coverage in 100 with the mean width in pieces per 100 behind it; **bold** outside "
        "94-96.5. The standard error of a coverage of 95 is 0.5 at 2 000 logs.\n\n"
        f"{_markdown(build_coverage_table(coverage))}\n"
    )


def _markdown(table: pd.DataFrame) -> str:
    """Return a table of texts as markdown."""
    head = ["| " + " | ".join(table.columns) + " |", "|" + " --- |" * len(table.columns)]
    rows = ["| " + " | ".join(map(str, row)) + " |" for row in table.itertuples(index=False)]
    return "\n".join([*head, *rows]) + "\n"
