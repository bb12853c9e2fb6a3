"""`outcomes sheet`: what a maker takes to the kiln."""

from pathlib import Path

import click

from outcomes.commands.options import codebook_option, out_option


@click.command()
@codebook_option
@out_option("log-sheets", "the sheets")
@click.option("--phone", is_flag=True, help="Instead the page to fill in on a phone, phone.html.")
def sheet(codebook: Path | None, out: Path, phone: bool) -> None:
    """Write blank logs (paper, CSV, XLSX), the grading card and the log's schema."""
    from outcomes.log.codebook_file import read_codebook
    from outcomes.report.sheet_phone import write_phone
    from outcomes.report.sheets import write_sheets

    book = read_codebook(codebook)
    for path in (write_phone(book, out),) if phone else write_sheets(book, out):
        click.echo(f"Written: {path.resolve()}")
