"""Arguments in, exit status out; no analysis.

Exit status: 0 done (findings allowed), 1 the input is refused with the reasons, 2 wrong
usage, 3 something unforeseen, 130 interrupted. Nothing heavy is imported before a command
runs, so that ``outcomes --help`` answers at once.
"""

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from outcomes import __version__
from outcomes.errors import OutcomesError

CODEBOOK_HELP = "Your own codebook (TOML). Without it: post-firing reduction."
DEFAULT_OUT = "outcomes-report"

_log_argument = click.argument("logs", nargs=-1, required=True, metavar="LOG...")
_codebook_option = click.option(
    "--codebook", type=click.Path(path_type=Path), default=None, help=CODEBOOK_HELP
)


def _study_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that every command making a study shares."""
    options = [
        click.option("--resamples", type=click.IntRange(200, 100_000), default=2000,
                     show_default=True, help="Redraws of whole firings."),
        click.option("--seed", type=click.IntRange(min=0), default=1, show_default=True,
                     help="Same files and same seed: same bytes."),
        click.option("--workers", type=click.IntRange(1, 64), default=None,
                     help="Threads; changes the speed, never the result."),
        click.option("--confidence", type=click.FloatRange(0.8, 0.99), default=0.95,
                     show_default=True, help="Confidence of the intervals."),
        click.option("--penalty", type=click.Choice(["log-F", "none"]), default="log-F",
                     show_default=True, help="Weak pull toward no effect, or none."),
        click.option("--quiet", is_flag=True, help="No progress bar, only the last line."),
    ]  # fmt: skip
    for option in reversed(options):
        command = option(command)
    return command


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="outcomes")
def program() -> None:
    """Learn from a firing log what the maker controls, and how surely.

    Start with `outcomes demo`, then `outcomes check my_log.csv`, then
    `outcomes report my_log.csv`. To write a log: `outcomes sheet`.
    """


@program.command()
@click.option("--out", type=click.Path(path_type=Path), default=Path(DEFAULT_OUT),
              show_default=True, help="Folder for the report.")  # fmt: skip
@_study_options
def demo(out: Path, **settings: Any) -> None:
    """Make the maker's report for the invented log of Hollowmere Yard."""
    from outcomes.report.samples import demo_folder

    folder = demo_folder()
    _report(
        (str(folder / "hollowmere_yard.csv"),),
        codebook=folder / "hollowmere_codebook.toml",
        out=out,
        settings=settings,
    )


@program.command()
@_log_argument
@_codebook_option
@click.option("--for", "reader", type=click.Choice(["maker"]), default="maker",
              show_default=True, help="Who will read it.")  # fmt: skip
@click.option("--out", type=click.Path(path_type=Path), default=Path(DEFAULT_OUT),
              show_default=True, help="Folder for the report.")  # fmt: skip
@_study_options
def report(
    logs: tuple[str, ...], codebook: Path | None, reader: str, out: Path, **settings: Any
) -> None:
    """Learn from LOG... and write one page, its tables and study.json.

    Several files are one log. `workbook.xlsx#Sheet name` picks a sheet.
    """
    _report(logs, codebook=codebook, out=out, settings=settings)


@program.command()
@_log_argument
@_codebook_option
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


@program.command()
@_log_argument
@_codebook_option
@click.option("--to", "target", type=click.Path(path_type=Path), required=True,
              help="CSV file to write.")  # fmt: skip
def export(logs: tuple[str, ...], codebook: Path | None, target: Path) -> None:
    """Write LOG... as one clean table, every piece with its file and row."""
    from outcomes import api

    api.write_cleaned(logs, codebook=codebook, target=target)
    click.echo(f"Table: {target.resolve()}")


@program.command()
@_codebook_option
@click.option("--out", type=click.Path(path_type=Path), default=Path("log-sheets"),
              show_default=True, help="Folder for the sheets.")  # fmt: skip
def sheet(codebook: Path | None, out: Path) -> None:
    """Write a blank log (CSV, XLSX), the grading card and the log's schema."""
    from outcomes.log.codebook_file import read_codebook
    from outcomes.report.sheets import write_sheets

    for path in write_sheets(read_codebook(codebook), out):
        click.echo(f"Written: {path.resolve()}")


def _report(
    logs: tuple[str, ...], *, codebook: Path | None, out: Path, settings: dict[str, Any]
) -> None:
    from outcomes import api
    from outcomes.model.fit import Penalty
    from outcomes.report.check_text import describe_account
    from outcomes.study.analysis import count_redraws
    from outcomes.study.record import StudyOptions

    quiet = settings["quiet"]
    options = StudyOptions(
        resamples=settings["resamples"],
        seed=settings["seed"],
        confidence=settings["confidence"],
        penalty=Penalty(settings["penalty"]),
    )
    log = api.read_log(logs, codebook=codebook)
    if not quiet:
        click.echo(describe_account(log))
    study = _with_progress(
        lambda progress: api.analyse(
            log, options=options, workers=settings["workers"], progress=progress
        ),
        quiet=quiet,
        total=count_redraws(log, options),
    )
    page = api.write_study(study, out)
    click.echo(f"Report: {page.resolve()}")


def _with_progress(work: Callable[[Callable[[int], None]], Any], *, quiet: bool, total: int) -> Any:
    """Run the work with a bar on standard error when somebody is watching it."""
    if quiet or not sys.stderr.isatty():
        return work(lambda _: None)
    with click.progressbar(length=total, label="Redrawing firings", file=sys.stderr) as bar:
        return work(bar.update)


def main() -> None:
    """Run the program and turn every ending into its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        status = program.main(standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Abort:
        status = _complain("Interrupted; nothing was written.", 130)
    except click.ClickException as error:
        error.show()
        status = error.exit_code
    except OutcomesError as error:
        status = _complain(str(error), 1)
    except BrokenPipeError:
        # The reader left (`outcomes check log.csv | head`): not our failure to report.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = 0
    except MemoryError:
        status = _complain("This machine ran out of memory; nothing was written.", 3)
    sys.exit(status if isinstance(status, int) else 0)


def _complain(sentence: str, status: int) -> int:
    click.echo(sentence, err=True)
    return status
