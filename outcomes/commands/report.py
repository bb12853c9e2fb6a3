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

READERS = ("maker", "class", "leader", "research", "all")


@click.command()
@out_option(DEFAULT_OUT, "the report")
@study_options
def demo(out: Path, **settings: Any) -> None:
    """Make the maker's report for the invented log of Hollowmere Yard."""
    from outcomes.log.demo import demo_folder

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
@click.option("--coached", default="", metavar="SETTING:DAY",
              help="For the leader: what was coached from which day on (lid_delay_s:2025-03-18).",
              )  # fmt: skip
@click.option("--names", is_flag=True, help="For the leader: names as in the log, not codes.")
@out_option(DEFAULT_OUT, "the report")
@study_options
def report(
    logs: tuple[str, ...], codebook: Path | None, reader: str, out: Path, **settings: Any
) -> None:
    """Learn from LOG... and write the page, its tables and study.json.

    Several files are one log. `workbook.xlsx#Sheet name` picks a sheet.
    """
    _check_for_leader(reader, settings)
    _report(logs, codebook=codebook, reader=reader, out=out, settings=settings)


def _check_for_leader(reader: str, settings: dict[str, Any]) -> None:
    """Refuse options of the leader's page where it is not asked for: they would do nothing."""
    asked = [name for name in ("coached", "names") if settings[name]]
    if asked and reader not in ("leader", "all"):
        raise click.UsageError(f"--{asked[0]} is for the leader's page: add --for leader.")


def _report(
    logs: tuple[str, ...],
    *,
    codebook: Path | None,
    reader: str,
    out: Path,
    settings: dict[str, Any],
) -> None:
    from outcomes import api
    from outcomes.study.coaching_asked import parse_coached

    log = api.read_log(logs, codebook=codebook)
    if settings.get("coached"):
        parse_coached(settings["coached"], log)
    study = learn_study(log, settings)
    page = api.write_study(study, out, reader=reader, workers=settings["workers"], own_fonts=True)
    click.echo(f"Report: {page.resolve()}")
