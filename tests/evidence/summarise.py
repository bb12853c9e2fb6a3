"""The study's figures as a table, a page and a picture: reports/evidence/."""

from collections.abc import Iterable
from pathlib import Path

import pandas as pd
from cells import Cell, Kind, all_cells
from claims import Claim, build_claims
from coverage_table import build_coverage_table, build_rule_table
from figure_coverage import draw_coverage
from tallies import Chunk, add_tallies, mean, read_chunks

Results = dict[Cell, tuple[Chunk, ...]]

INTRODUCTION = """# What the analysis promises, measured

Invented logs with known truth, analysed like any other. Made by
`python tests/evidence/run_evidence.py --workers 2`; the same command goes on where a run was
stopped. Every figure stands with its Monte-Carlo standard error. {logs} logs in {cells} kinds
of log (cells); {redraws} whole-firing redraws a fit (a report makes 2 000: with fewer, a
percentile interval covers slightly less).

"""


def write_summary(folder: Path, report: Path) -> Path:
    """Write evidence.csv, evidence.md and coverage.svg from the results of a folder.

    Returns
    -------
    Path
        Of the page.
    """
    results = read_results(folder)
    report.mkdir(parents=True, exist_ok=True)
    figures = build_figures(results)
    figures.to_csv(report / "evidence.csv", index=False, lineterminator="\n")
    coverage = figures[figures["kind"] == Kind.COVERAGE]
    if len(coverage):
        (report / "coverage.svg").write_bytes(draw_coverage(coverage))
    page = report / "evidence.md"
    page.write_text(
        _introduction(results, folder.name.rpartition("-")[2])
        + describe_claims(build_claims(results))
        + _describe_coverage(coverage),
        encoding="utf-8",
    )
    return page


def read_results(folder: Path) -> Results:
    """Return the chunks of every cell that has any."""
    read = {cell: read_chunks(folder / f"{cell.name}.jsonl") for cell in all_cells()}
    return {cell: chunks for cell, chunks in read.items() if chunks}


def build_figures(results: Results) -> pd.DataFrame:
    """Return every figure of the study, one a row.

    Columns: the cell and what makes it, measure, setting, rule, n, value (the mean), error.
    """
    rows = [
        {**_describe_cell(cell), **_name(name), "n": tally.n, **_numbers(name, chunks)}
        for cell, chunks in results.items()
        for name, tally in add_tallies(chunk.tallies for chunk in chunks).items()
    ]
    return pd.DataFrame(rows)


def describe_claims(claims: Iterable[Claim]) -> str:
    """Return the table of aims and figures."""
    lines = ["| what | aim | measured | met |", "| --- | --- | --- | --- |"]
    lines += [f"| {c.what} | {c.aim} | {c.measured} | {c.verdict} |" for c in claims]
    return "\n".join(lines) + "\n\n"


def _introduction(results: Results, redraws: str) -> str:
    logs = sum(chunk.last - chunk.first for chunks in results.values() for chunk in chunks)
    return INTRODUCTION.format(
        logs=f"{logs:,}".replace(",", " "), cells=len(results), redraws=redraws
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


def _describe_cell(cell: Cell) -> dict[str, object]:
    return {
        "cell": cell.name,
        "kind": str(cell.kind),
        "firings": cell.firings,
        "firing_sd": cell.firing_sd,
        "fewest_pieces": cell.sizes[0],
        "most_pieces": cell.sizes[1],
        "columns": cell.columns,
        "treated": cell.treated,
        "grades": cell.grades,
        "gain": cell.gain,
    }


def _name(name: str) -> dict[str, str]:
    """Return a score's name in its parts: measure, setting or subject, rule."""
    measure, setting, rule = (*name.split("|"), "", "")[:3]
    return {"measure": measure, "setting": setting, "rule": rule}


def _numbers(name: str, chunks: tuple[Chunk, ...]) -> dict[str, float]:
    value, error = mean(name, chunks)
    return {"value": round(value, 6), "error": round(error, 6)}


def _markdown(table: pd.DataFrame) -> str:
    """Return a table of texts as markdown."""
    head = ["| " + " | ".join(table.columns) + " |", "|" + " --- |" * len(table.columns)]
    rows = ["| " + " | ".join(map(str, row)) + " |" for row in table.itertuples(index=False)]
    return "\n".join([*head, *rows]) + "\n"
