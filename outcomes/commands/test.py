"""`outcomes test`: what a log answers to a plan."""

import json
from pathlib import Path

import click

from outcomes.commands.options import codebook_option, log_argument, quiet_option, with_progress

DEFAULT_TEST_OUT = "outcomes-test"


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@log_argument
@codebook_option
@click.option("--out", type=click.Path(path_type=Path), default=None,
              help=f"Folder for the page, test.json and tables.  [default: {DEFAULT_TEST_OUT}; "
              "none with --json]")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
@click.option("--resamples", type=click.IntRange(200, 100_000), default=2000, show_default=True,
              help="Redraws of whole firings, for the intervals.")  # fmt: skip
@quiet_option
def test(  # noqa: PLR0913, PLR0917 - one argument an option
    plan: Path,
    logs: tuple[str, ...],
    codebook: Path | None,
    out: Path | None,
    as_json: bool,
    resamples: int,
    quiet: bool,
) -> None:
    """Test a sealed PLAN with LOG..., and say where log and plan differ.

    Every answer is one of: supported, opposed, equivalent within the margin, undecided.
    """
    from outcomes import api
    from outcomes.planning.trial import TrialOptions
    from outcomes.report.figure_fonts import load_own_fonts
    from outcomes.report.trial_json import build_trial_json
    from outcomes.report.trial_text import describe_trial

    load_own_fonts()
    read = api.read_plan(plan)
    log = api.read_log(logs, codebook=codebook)
    trial = with_progress(
        lambda progress: api.run_trial(
            read,
            log,
            options=TrialOptions(resamples=resamples),
            plan_file=plan,
            progress=progress,
        ),
        quiet=quiet or as_json,
        total=len(read.hypotheses),
        label="Hypotheses",
    )
    target = out if as_json else out or Path(DEFAULT_TEST_OUT)
    page = None if target is None else api.write_trial(trial, target, plan_file=plan)
    if as_json:
        click.echo(json.dumps(build_trial_json(trial), indent=1, allow_nan=False))
        return
    if not quiet:
        click.echo(describe_trial(trial))
        click.echo("")
    click.echo(f"Page: {page.resolve() if page else ''}")
