"""Arguments and options that several commands share, and the bar that shows they work."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

CODEBOOK_HELP = "Your own codebook (TOML). Without it: post-firing reduction."
DEFAULT_OUT = "outcomes-report"

log_argument = click.argument("logs", nargs=-1, required=True, metavar="LOG...")
codebook_option = click.option(
    "--codebook", type=click.Path(path_type=Path), default=None, help=CODEBOOK_HELP
)
quiet_option = click.option("--quiet", is_flag=True, help="No progress bar, only the last line.")
seed_option = click.option(
    "--seed",
    type=click.IntRange(min=0),
    default=1,
    show_default=True,
    help="Same files and same seed: same bytes.",
)
workers_option = click.option(
    "--workers",
    type=click.IntRange(1, 64),
    default=None,
    help="Processes or threads; changes the speed, never the result.",
)
confidence_option = click.option(
    "--confidence",
    type=click.FloatRange(0.8, 0.99),
    default=0.95,
    show_default=True,
    help="Confidence of the intervals.",
)


def out_option(default: str, what: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Return the option that names the folder of the results."""
    return click.option(
        "--out",
        type=click.Path(path_type=Path),
        default=Path(default),
        show_default=True,
        help=f"Folder for {what}.",
    )


def study_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that every command making a study shares."""
    options = [
        click.option("--resamples", type=click.IntRange(200, 100_000), default=2000,
                     show_default=True, help="Redraws of whole firings."),
        seed_option,
        workers_option,
        confidence_option,
        click.option("--penalty", type=click.Choice(["log-F", "none"]), default="log-F",
                     show_default=True, help="Weak pull toward no effect, or none."),
        quiet_option,
    ]  # fmt: skip
    for option in reversed(options):
        command = option(command)
    return command


def with_progress(
    work: Callable[[Callable[[int], None]], Any], *, quiet: bool, total: int, label: str
) -> Any:
    """Run the work with a bar on standard error when somebody is watching it.

    Parameters
    ----------
    work
        Called with a function that takes the number of steps just done.
    quiet
        Whether no bar was asked for.
    total
        Steps in all.
    label
        What stands before the bar.
    """
    if quiet or not sys.stderr.isatty():
        return work(lambda _: None)
    with click.progressbar(length=total, label=label, file=sys.stderr) as bar:
        return work(bar.update)
