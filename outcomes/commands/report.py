"""`outcomes demo` and `outcomes report`: learn from a log and write the pages."""

from pathlib import Path
from typing import Any

import click

from outcomes.commands.learning import learn_study
from outcomes.commands.options import (
    DEFAULT_OUT,
    codebook_option,
    log_argument,
    out_option,
    study_options,
)

READERS = ("maker", "research", "all")


@click.command()
@out_option(DEFAULT_OUT, "the report")
@study_options
def demo(out: Path, **settings: Any) -> None:
    """Make the maker's report for the invented log of Hollowmere Yard."""
    from outcomes.report.samples import demo_folder

    folder = demo_folder()
    _report(
        (str(folder / "hollowmere_yard.csv"),),
        codebook=folder / "hollowmere_codebook.toml",
        reader="maker",
        out=out,
        settings=settings,
    )


@click.command()
@log_argument
@codebook_option
@click.option("--for", "reader", type=click.Choice(READERS), default="maker",
              show_default=True, help="Who will read it.")  # fmt: skip
@out_option(DEFAULT_OUT, "the report")
@study_options
def report(
    logs: tuple[str, ...], codebook: Path | None, reader: str, out: Path, **settings: Any
) -> None:
    """Learn from LOG... and write the page, its tables and study.json.

    Several files are one log. `workbook.xlsx#Sheet name` picks a sheet.
    """
    _report(logs, codebook=codebook, reader=reader, out=out, settings=settings)


def _report(
    logs: tuple[str, ...],
    *,
    codebook: Path | None,
    reader: str,
    out: Path,
    settings: dict[str, Any],
) -> None:
    from outcomes import api

    study = learn_study(api.read_log(logs, codebook=codebook), settings)
    page = api.write_study(study, out, reader=reader)
    click.echo(f"Report: {page.resolve()}")
