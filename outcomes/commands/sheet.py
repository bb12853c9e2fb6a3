"""`outcomes sheet`: what a maker takes to the kiln."""

from pathlib import Path

import click

from outcomes.commands.options import codebook_option, out_option


@click.command()
@codebook_option
@out_option("log-sheets", "the sheets")
def sheet(codebook: Path | None, out: Path) -> None:
    """Write a blank log (CSV, XLSX), the grading card and the log's schema."""
    from outcomes.log.codebook_file import read_codebook
    from outcomes.report.sheets import write_sheets

    for path in write_sheets(read_codebook(codebook), out):
        click.echo(f"Written: {path.resolve()}")
