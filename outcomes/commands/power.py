"""`outcomes power`: how many firings and pieces would notice a difference that matters."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from outcomes.commands.options import (
    codebook_option,
    out_option,
    quiet_option,
    seed_option,
    with_progress,
    workers_option,
)

if TYPE_CHECKING:
    from outcomes.planning.power_request import PowerRequest


def parse_numbers(
    _context: click.Context, _option: click.Parameter, text: str | None
) -> tuple[float, ...] | None:
    """Return the numbers of a text such as "8,12,24"; None when nothing was given."""
    if text is None:
        return None
    try:
        return tuple(float(part) for part in text.split(",") if part.strip())
    except ValueError:
        raise click.BadParameter(
            f"{text!r} holds something that is no number. Write numbers with commas between "
            "them, for example 8,12,24."
        ) from None


@click.command()
@click.argument("plan", required=False, type=click.Path(path_type=Path))
@click.argument("logs", nargs=-1, metavar="[LOG]...")
@codebook_option
@click.option("--firings", callback=parse_numbers, help="Firings to look at: 8,12,24.")
@click.option("--pieces", callback=parse_numbers, help="Pieces a firing: 4,6,8.")
@click.option(
    "--effect",
    type=float,
    default=None,
    help="Smallest difference that matters, pieces in 100.  [default: 10]",
)
@click.option("--odds-ratio", type=float, default=None, help="The same as an odds ratio.")
@click.option(
    "--shares",
    callback=parse_numbers,
    help="How 100 pieces fall over the grades, lowest first: 10,20,30,25,15.",
)
@click.option(
    "--aim",
    type=int,
    default=None,
    help="Grade from which a piece counts, the lowest is 0.  [default: the middle]",
)
@click.option(
    "--luck", type=float, default=None, help="Luck that firings share: 0 none, 0.8 usual, 1.5 much."
)
@click.option(
    "--by",
    type=click.Choice(["firing", "piece"]),
    default=None,
    help="What the lot falls on.  [default: firing]",
)
@click.option(
    "--confidence",
    type=click.FloatRange(0.8, 0.99),
    default=None,
    help="Confidence of the limits.  [default: 0.95]",
)
@click.option(
    "--runs",
    type=int,
    default=1000,
    show_default=True,
    help="Simulated trials a place of the grid.",
)
@out_option("outcomes-power", "the page and the table")
@seed_option
@workers_option
@quiet_option
def power(  # noqa: PLR0913 - one argument an option
    plan: Path | None,
    logs: tuple[str, ...],
    codebook: Path | None,
    out: Path,
    workers: int | None,
    quiet: bool,
    **asked: Any,
) -> None:
    """Say how many firings of how many pieces would notice a difference.

    From a PLAN and the LOG of earlier firings, or from nothing but a guess:

    outcomes power --shares 10,20,30,25,15 --effect 15 --luck 0.8
    """
    from outcomes import api
    from outcomes.planning.power_request import prepare_power
    from outcomes.planning.power_study import count_all_runs, simulate_questions
    from outcomes.report.figure_fonts import load_own_fonts
    from outcomes.report.power_text import describe_power
    from outcomes.workers import default_workers

    load_own_fonts()
    prepared = prepare_power(_build_request(plan, logs, codebook, asked))
    study = with_progress(
        lambda progress: simulate_questions(
            prepared, workers=workers or default_workers(), progress=progress
        ),
        quiet=quiet,
        total=count_all_runs(prepared),
        label="Simulating trials",
    )
    page = api.write_power(study, out)
    if not quiet:
        click.echo(describe_power(study) + "\n")
    click.echo(f"Page: {page.resolve()}")


def _build_request(
    plan: Path | None, logs: Sequence[str], codebook: Path | None, asked: dict[str, Any]
) -> "PowerRequest":
    """Return what was asked for, with the plan and the log read."""
    from outcomes import api
    from outcomes.planning.plan import Unit
    from outcomes.planning.plan_file import find_where, read_plan
    from outcomes.planning.power_request import NOWHERE, PowerRequest, parse_shares, parse_whole

    book = api.read_codebook(codebook)
    return PowerRequest(
        plan=None if plan is None else read_plan(plan),
        where=NOWHERE if plan is None else find_where(plan),
        log=api.read_log(logs, codebook=book) if logs else None,
        codebook=book,
        shares=None if asked["shares"] is None else parse_shares(asked["shares"]),
        aim=asked["aim"],
        effect=asked["effect"],
        odds_ratio=asked["odds_ratio"],
        luck=asked["luck"],
        assigned=None if asked["by"] is None else Unit(asked["by"]),
        firings=parse_whole(asked["firings"] or (), option="--firings"),
        pieces=parse_whole(asked["pieces"] or (), option="--pieces"),
        confidence=asked["confidence"],
        runs=asked["runs"],
        seed=asked["seed"],
    )
