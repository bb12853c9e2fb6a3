"""`outcomes agree`: how far gradings of the same pieces agree, or a list to grade again."""

import json
from pathlib import Path

import click

from outcomes.commands.options import (
    codebook_option,
    confidence_option,
    out_option,
    quiet_option,
    seed_option,
)


@click.command()
@click.argument("grades", nargs=-1, required=True, metavar="GRADES...")
@codebook_option
@click.option("--key", type=click.Path(path_type=Path), default=None,
              help="Key of a blind list: turns its codes back into pieces.")  # fmt: skip
@click.option("--regrade", type=click.IntRange(min=30), default=None, metavar="N",
              help="Write a blind list of N pieces to grade again, instead.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="One JSON document on standard output.")
@out_option("agreement", "the results")
@seed_option
@confidence_option
@quiet_option
def agree(  # noqa: PLR0913 - one argument an option
    grades: tuple[str, ...],
    *,
    codebook: Path | None,
    key: Path | None,
    regrade: int | None,
    as_json: bool,
    out: Path,
    seed: int,
    confidence: float,
    quiet: bool,
) -> None:
    """Compare two or more gradings of the same pieces.

    GRADES... is one file with a column `grader`, one file with a column a grader (`luster_A`,
    `luster_B`), or several files of the same pieces, one a grader. Optional columns: `graded_on`
    and `blind` (yes or no).
    """
    from outcomes import api
    from outcomes.report.figure_fonts import load_own_fonts

    if regrade is not None:
        page = api.write_regrade_list(grades, out, number=regrade, codebook=codebook, seed=seed)
        click.echo(f"List: {page.resolve()}\nKey: {page.resolve().parent / 'regrade_key.csv'}")
        return
    load_own_fonts()
    agreement = api.compare_graders(grades, codebook=codebook, key=key, confidence=confidence)
    page = api.write_agreement(agreement, out)
    if as_json:
        from outcomes.report.agree_json import agreement_document

        click.echo(json.dumps(agreement_document(agreement), indent=1, allow_nan=False))
        return
    if not quiet:
        from outcomes.report.agree_text import describe_agreement

        click.echo(describe_agreement(agreement) + "\n")
    click.echo(f"Page: {page.resolve()}")
