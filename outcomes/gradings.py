"""The public functions about gradings: compare, write, draw a list. `api` opens them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from outcomes.arguments import check_paths
from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import find_codebook
from outcomes.log.files import Files, list_paths

if TYPE_CHECKING:
    from outcomes.graders.agreement import Agreement


def compare_graders(
    paths: Files,
    *,
    codebook: str | Path | Codebook | None = None,
    key: str | Path | None = None,
    confidence: float = 0.95,
) -> Agreement:
    """Compare two or more gradings of the same pieces.

    Parameters
    ----------
    paths
        One file with a column of graders or one column a grader, or one file a grader.
    codebook
        A codebook, the path of one, or None for post-firing reduction.
    key
        Key of a blind list, as `write_regrade_list` makes it, or None.
    confidence
        Of every interval.

    Returns
    -------
    Agreement
        Ordinal alpha (Krippendorff 2019, chapter 12), kappas, offsets in grades; intervals by
        leaving out each firing, or each piece where no firing is written.

    Raises
    ------
    LogError, CodebookError, RequestError
        With where, what was found, what was expected and what to do.
    """
    from outcomes import __version__
    from outcomes.graders.agreement import compare_gradings
    from outcomes.graders.key_file import read_key
    from outcomes.graders.reading import read_gradings

    check_paths("paths", paths)
    if not 0.5 <= confidence < 1.0:
        raise RequestError(f"A confidence of {confidence!r} was asked for; use 0.8 to 0.99.")
    gradings = read_gradings(
        list_paths(paths),
        find_codebook(codebook),
        key=None if key is None else read_key(Path(key)),
    )
    return compare_gradings(gradings, confidence=confidence, version=__version__)


def write_agreement(agreement: Agreement, folder: str | Path) -> Path:
    """Write the page, agreement.json and the tables, all or none; return the page."""
    from outcomes.report.agree_results import PAGE, build_agree_results
    from outcomes.report.writing import write_results

    write_results(build_agree_results(agreement), Path(folder), made_by="agree")
    return Path(folder) / PAGE


def write_regrade_list(
    paths: Files,
    folder: str | Path,
    *,
    number: int,
    codebook: str | Path | Codebook | None = None,
    seed: int = 1,
) -> Path:
    """Write a blind list of graded pieces, a sheet for it and its key; return the list.

    Parameters
    ----------
    paths
        A log, or gradings, with the pieces' ids and grades.
    folder
        As in `write_study`.
    number
        How many pieces; spread over the grades and the firings.
    codebook
        A codebook, the path of one, or None for post-firing reduction.
    seed
        Decides pieces, order and codes.
    """
    from outcomes import __version__
    from outcomes.graders.reading import read_gradings
    from outcomes.graders.regrade import choose_regrades
    from outcomes.report.agree_list import build_list_files
    from outcomes.report.filled import refuse_filled
    from outcomes.report.writing import write_results

    gradings = read_gradings(list_paths(paths), find_codebook(codebook), may_be_single=True)
    regrades = choose_regrades(gradings, number, seed=seed)
    files = build_list_files(regrades, gradings, version=__version__)
    typed = {name: content for name, content in files.items() if name.endswith(".csv")}
    refuse_filled(typed, Path(folder), what="this blank list or its key", option="--out")
    write_results(files, Path(folder), made_by="regrade")
    return Path(folder) / "regrade.html"
