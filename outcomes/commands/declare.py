"""`outcomes declare`: a question stated before the first firing, sealed, and drawn by lot."""

from pathlib import Path
from typing import Any

import click

from outcomes.commands.options import codebook_option

PLAN = "plan.toml"


@click.command()
@click.argument("draft", type=click.Path(path_type=Path), required=False)
@click.option("--outcome", "outcomes", multiple=True, metavar="COLUMN",
              help="What is graded; may be repeated.")  # fmt: skip
@click.option("--factor", metavar="COLUMN", help="The setting to try.")
@click.option("--compare", "differences", nargs=2, multiple=True, metavar="FROM TO",
              help="A hypothesis: these two values differ. May be repeated.")  # fmt: skip
@click.option("--equivalent", "equivalences", nargs=2, multiple=True, metavar="FROM TO",
              help="A hypothesis: they differ by less than the margin.")  # fmt: skip
@click.option("--direction", type=click.Choice(["either", "more", "fewer"]), default="either",
              show_default=True, help="Pieces at the aim, going from FROM to TO.")  # fmt: skip
@click.option("--margin", type=float, metavar="PIECES",
              help="Smallest difference worth having, in pieces per 100.")  # fmt: skip
@click.option("--margin-grade", type=float, metavar="GRADE", help="The same, on the mean grade.")
@click.option("--values", default="", metavar="A,B,C",
              help="Every value to fire; without it, those compared.")  # fmt: skip
@click.option("--assigned-to", type=click.Choice(["piece", "firing"]), default="piece",
              show_default=True, help="What one value is given to.")  # fmt: skip
@click.option("--block", "blocks", multiple=True, metavar="COLUMN=A,B",
              help="Draw the lot within these; may be repeated.")  # fmt: skip
@click.option("--adjust-for", multiple=True, metavar="COLUMN",
              help="Known before the lot falls, allowed for. May be repeated.")  # fmt: skip
@click.option("--firings", type=click.IntRange(2, 1000), help="Firings planned.")
@click.option("--pieces", type=click.IntRange(1, 1000), help="Pieces in each firing.")
@click.option("--level", type=click.FloatRange(0.001, 0.2), default=0.05, show_default=True,
              help="Chance allowed of any false claim.")  # fmt: skip
@click.option("--stop", "stopping", default="", metavar="TEXT", help="When to stop.")
@click.option("--title", default="", metavar="TEXT", help="The question, one line.")
@click.option("--date", "day", type=click.DateTime(["%Y-%m-%d"]),
              help="Day of the declaration; without it, today.")  # fmt: skip
@click.option("--counts-from", type=click.DateTime(["%Y-%m-%d"]),
              help="First day whose firings count; without it, the day declared.")  # fmt: skip
@click.option("--not-by-lot", is_flag=True, help="The values will not be drawn by lot.")
@click.option("--seed", type=click.IntRange(min=0), default=1, show_default=True,
              help="Of the lot and of the test.")  # fmt: skip
@click.option("--unsealed", is_flag=True, help="Write a draft to edit; seal it afterwards.")
@click.option("--to", "target", type=click.Path(path_type=Path), default=Path(PLAN),
              show_default=True, help="Plan file to write; never written over.")  # fmt: skip
@click.option("--sheet", "folder", type=click.Path(path_type=Path),
              help="Folder for the run sheet, to fill in and to print.")  # fmt: skip
@codebook_option
def declare(
    draft: Path | None,
    target: Path,
    folder: Path | None,
    codebook: Path | None,
    unsealed: bool,
    **asked: Any,
) -> None:
    """State a question before the first firing, and seal it.

    One factor and its pairs of values, straight from the options:

      outcomes declare --outcome luster --factor time_in_can_min --compare 4 16
      --equivalent 16 64 --margin 20 --firings 24 --pieces 6 --sheet run-sheet

    Anything more (several factors, a margin for each hypothesis): add --unsealed, edit the
    file it writes, then seal the DRAFT with `outcomes declare DRAFT --to plan.toml`. A plan
    that is sealed already is read again only to draw its run sheet (--sheet).

    Editing a sealed plan is not forbidden: `outcomes test` finds it and says so.
    """
    from outcomes import api, trials
    from outcomes.report.declare_text import describe_plan

    book = api.read_codebook(codebook)
    if draft is not None:
        _refuse_options(asked)
        if folder is not None and trials.is_sealed(api.read_plan(draft)):
            page = api.write_run_sheet(api.read_plan(draft), folder, codebook=book)
            click.echo(f"Run sheet: {page.resolve()}")
            return
        plan = trials.seal_file(draft, today=_day(asked), codebook=book)
    else:
        plan = api.declare(_declaration(asked), codebook=book, sealed=not unsealed)
    api.write_plan(plan, target, codebook=book, sheet=folder)
    click.echo(describe_plan(plan, book))
    click.echo("")
    if plan.seal:
        click.echo(f"Seal: {plan.seal}")
        click.echo("Keep a copy of the seal elsewhere, or send it to somebody, before you fire.")
    click.echo(f"{'Plan' if plan.seal else 'Draft'}: {target.resolve()}")
    if folder is not None:
        click.echo(f"Run sheet: {(folder / 'run_sheet.html').resolve()}")


def _refuse_options(asked: dict[str, Any]) -> None:
    """Refuse options beside a draft, which says everything itself: they would be lost."""
    context = click.get_current_context()
    given = [
        name
        for name in asked
        if name != "day"
        and context.get_parameter_source(name) is click.core.ParameterSource.COMMANDLINE
    ]
    if given:
        raise click.UsageError(
            "a draft says everything itself: leave out the options that describe the plan "
            f"({', '.join(sorted(given))}), and edit the draft instead."
        )


def _day(asked: dict[str, Any]) -> Any:
    from datetime import date

    return asked["day"].date() if asked["day"] else date.today()


def _declaration(asked: dict[str, Any]) -> Any:
    """Return the options as a declaration, or say which one is missing."""
    from outcomes.planning.declaring import Declaration
    from outcomes.planning.plan import Direction, Unit

    needed = {"--outcome": asked["outcomes"], "--factor": asked["factor"],
              "--compare or --equivalent": asked["differences"] or asked["equivalences"],
              "--firings": asked["firings"], "--pieces": asked["pieces"]}  # fmt: skip
    missing = [name for name, value in needed.items() if not value]
    if missing:
        raise click.UsageError(
            f"missing {', '.join(missing)}. A plan names an outcome, a factor, two values to "
            "compare, the firings and the pieces in each; or give a draft to seal."
        )
    own = ("outcomes", "factor", "differences", "equivalences", "margin", "margin_grade",
           "adjust_for", "firings", "pieces", "level", "stopping", "title", "seed")  # fmt: skip
    start = asked["counts_from"]
    return Declaration(
        **{name: asked[name] for name in own},
        values=_split(asked["values"]),
        direction=Direction(asked["direction"]),
        assigned_to=Unit(asked["assigned_to"]),
        blocks=tuple(_block(text) for text in asked["blocks"]),
        randomised=not asked["not_by_lot"],
        declared_on=_day(asked),
        counts_from=start.date() if start else None,
    )


def _block(text: str) -> tuple[str, tuple[str, ...]]:
    column, equals, values = text.partition("=")
    if not equals or not column.strip() or not _split(values):
        raise click.UsageError(
            f"--block {text!r}: expected a column and its blocks, such as --block kiln=A,B."
        )
    return column.strip(), _split(values)


def _split(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())
