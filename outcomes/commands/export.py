"""`outcomes export`: a log as one clean table."""

from pathlib import Path

import click

from outcomes.commands.options import codebook_option, log_argument


@click.command()
@log_argument
@codebook_option
@click.option("--to", "target", type=click.Path(path_type=Path), required=True,
              help="CSV file to write.")  # fmt: skip
def export(logs: tuple[str, ...], codebook: Path | None, target: Path) -> None:
    """Write LOG... as one clean table, every piece with its file and row."""
    from outcomes import api

    api.write_cleaned(logs, codebook=codebook, target=target)
    click.echo(f"Table: {target.resolve()}")
