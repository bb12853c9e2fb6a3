"""`outcomes plan`: what to fire next, and the run sheet for it."""

from pathlib import Path
from typing import Any

import click

from outcomes.commands.learning import learn_study
from outcomes.commands.options import (
    codebook_option,
    log_argument,
    out_option,
    study_options,
    with_progress,
)

DEFAULT_OUT = "next-firings"


@click.command()
@log_argument
@codebook_option
@click.option("--firings", type=int, default=4, show_default=True, help="How many to plan.")
@click.option(
    "--pieces",
    type=int,
    default=None,
    help="Pieces in each. Without it: as many as in a usual firing of yours.",
)
@click.option(
    "--factors",
    default="",
    metavar="NAME,NAME",
    help="The settings to vary. Without it: the most urgent four.",
)
@click.option(
    "--outcome",
    "only_outcomes",
    multiple=True,
    metavar="NAME",
    help="Plan for the questions of this outcome only; may be repeated.",
)
@click.option(
    "--keep",
    multiple=True,
    metavar="NAME=VALUE",
    help="Hold a setting there, such as quench=none; may be repeated.",
)
@click.option(
    "--only",
    multiple=True,
    metavar="NAME=A,B",
    help="Use only these names, such as the glazes you have mixed.",
)
@click.option(
    "--allow",
    multiple=True,
    metavar="NAME=LOW:HIGH:STEP",
    help="Values beyond those you have logged, inside the codebook's range.",
)
@click.option(
    "--never",
    multiple=True,
    metavar="'NAME=X & NAME=Y'",
    help="Two things that must not meet on one piece.",
)
@click.option(
    "--repeats",
    type=int,
    default=None,
    help="Firings that repeat your usual settings. Without it: one in five.",
)
@out_option(DEFAULT_OUT, "the plan")
@study_options
def plan(logs: tuple[str, ...], codebook: Path | None, out: Path, **settings: Any) -> None:
    """Say what to fire after LOG... so that open questions become decidable.

    Writes a page with the run sheet to print, and the same sheet as CSV and XLSX: filled in,
    it is read together with the old log.
    """  # fmt: skip
    from outcomes import api
    from outcomes.planning.next_plan import count_searches

    request = _build_request(settings)
    study = learn_study(api.read_log(logs, codebook=codebook), settings)
    planned = with_progress(
        lambda progress: api.plan_next_firings(study, request=request, progress=progress),
        quiet=settings["quiet"],
        total=count_searches(request),
        label="Searching plans",
    )
    page = api.write_next_firings(study, planned, out)
    click.echo(f"Plan: {page.resolve()}")


def _build_request(settings: dict[str, Any]) -> Any:
    from outcomes.planning.next_request import (
        PlanRequest,
        parse_allow,
        parse_keep,
        parse_names,
        parse_never,
        parse_only,
    )

    return PlanRequest(
        firings=settings["firings"],
        pieces=settings["pieces"],
        factors=parse_names(settings["factors"]),
        outcomes=settings["only_outcomes"],
        keep=parse_keep(settings["keep"]),
        only=parse_only(settings["only"]),
        allow=parse_allow(settings["allow"]),
        never=parse_never(settings["never"]),
        repeats=settings["repeats"],
        seed=settings["seed"],
        confidence=settings["confidence"],
    )
