"""One log of the study: invent it, analyse it, say what is judged."""

from pathlib import Path

import numpy as np
from cells import Cell, Kind
from coverage_log import judge_coverage
from demo_log import judge_demo
from known_log import judge_known
from null_log import judge_null
from tallies import Chunk, Scores, add_scores
from tangled_log import judge_tangled
from threadpoolctl import threadpool_limits

from outcomes.log.codebook import Codebook
from outcomes.log.codebook_file import read_codebook

SEED = 20260
DEMO_CODEBOOK = Path(__file__).parents[2] / "data_demo" / "hollowmere_codebook.toml"


def judge_log(cell: Cell, index: int, *, codebook: Codebook, redraws: int) -> Scores:
    """Return the scores of one log.

    Parameters
    ----------
    cell, index
        Which log; together they are its seed, so a log is the same whoever makes it when.
    codebook
        Of this kind of log, from `read_codebook_of`.
    redraws
        Whole-firing redraws of every fit, where a figure rests on them.
    """
    rng = np.random.default_rng(np.random.SeedSequence([SEED, *cell.trail, index]))
    match cell.kind:
        case Kind.COVERAGE:
            return judge_coverage(cell, redraws=redraws, rng=rng)
        case Kind.TANGLED:
            return judge_tangled(cell, codebook, rng=rng)
        case Kind.NULL:
            return judge_null(cell, codebook, rng=rng)
        case Kind.KNOWN:
            return judge_known(cell, codebook, redraws=redraws, rng=rng)
        case Kind.DEMO:
            return judge_demo(codebook, rng=rng)


def judge_chunk(cell: Cell, first: int, last: int, *, redraws: int) -> tuple[Cell, Chunk]:
    """Return the tallies of the logs ``first`` .. ``last - 1`` of a cell, with the cell."""
    codebook = read_codebook_of(cell)
    # Small matrices: more BLAS threads are slower, and the workers share the processors.
    with threadpool_limits(limits=1):
        logs = [
            judge_log(cell, index, codebook=codebook, redraws=redraws)
            for index in range(first, last)
        ]
    return cell, Chunk(first=first, last=last, tallies=add_scores(logs))


def read_codebook_of(cell: Cell) -> Codebook:
    """Return the codebook a cell's logs are read by: the demo's own, or the default."""
    return read_codebook(DEMO_CODEBOOK if cell.kind is Kind.DEMO else None)
