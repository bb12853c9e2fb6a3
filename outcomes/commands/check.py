"""`outcomes check`: how a log was read, row by row, and what deserves a look."""

import json
import sys
from pathlib import Path

import click

from outcomes.commands.options import codebook_option, log_argument


@click.command()
@log_argument
@codebook_option
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
def check(logs: tuple[str, ...], codebook: Path | None, as_json: bool) -> None:
    """Say how LOG... was read, row by row, and what deserves a look."""
    from outcomes import api
    from outcomes.report.check_text import check_document, describe_check

    checked = api.check(logs, codebook=codebook)
    if as_json:
        document = check_document(checked.log, checked.findings, checked.refused)
        click.echo(json.dumps(document, indent=1, allow_nan=False))
    else:
        click.echo(describe_check(checked.log, checked.findings, checked.refused))
    if checked.refused is not None:
        sys.exit(1)
