"""Run the evidence study: ``python tests/evidence/run_evidence.py --workers 2``.

Every cell's results stand in a file of their own and grow chunk by chunk, so a run that was
stopped goes on where it was; asking for more logs later adds to what is there. The seeds are
those of the logs, so neither the number of workers nor the order changes a figure. At the end
the table and the picture are written to reports/evidence/.

One machine is joblib's own processes. For many machines install ``dask[distributed]``, start a
scheduler and workers with this folder on their PYTHONPATH, and give ``--scheduler ADDRESS``.
"""

import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, nullcontext
from itertools import groupby
from pathlib import Path

import click
from cells import Cell, Kind, choose_cells
from joblib import Parallel, delayed, parallel_config  # type: ignore[import-untyped]
from one_log import judge_chunk
from summarise import write_summary
from tallies import read_chunks, write_chunk

ROOT = Path(__file__).parents[2]
RESULTS, REPORT = ROOT / "build" / "evidence", ROOT / "reports" / "evidence"
CHUNK = {Kind.COVERAGE: 50, Kind.TANGLED: 50}  # about two seconds of work
WHOLE_CHUNK = 5  # a whole analysis takes about a second
QUICK = 0.02  # share of the logs in a trial run

Task = tuple[Cell, int, int]


@click.command(help="Measure what the analysis promises, on invented logs with known truth.")
@click.option(
    "--cells", "patterns", multiple=True, help="Only cells of this name; * is a wildcard."
)
@click.option("--logs", type=click.IntRange(1), help="Logs a cell, instead of each cell's own.")
@click.option("--quick", is_flag=True, help="A fiftieth of the logs, to see that it runs.")
@click.option("--redraws", default=400, show_default=True, help="Whole-firing redraws of a fit.")
@click.option("--workers", default=1, show_default=True, help="Processes; -1 for all processors.")
@click.option("--scheduler", help="Address of a Dask scheduler, to use many machines.")
@click.option("--results", type=click.Path(path_type=Path), default=RESULTS)
@click.option("--report", type=click.Path(path_type=Path), default=REPORT)
def main(  # noqa: PLR0913, PLR0917 - one argument an option
    patterns: tuple[str, ...],
    logs: int | None,
    quick: bool,
    redraws: int,
    workers: int,
    scheduler: str | None,
    results: Path,
    report: Path,
) -> None:
    """Run what is missing, then write the summary of all there is."""
    cells = choose_cells(patterns)
    if not cells:
        raise click.UsageError(f"no cell is called {', '.join(map(repr, patterns))}.")
    folder = results / f"{'quick' if quick else 'full'}-{redraws}"
    folder.mkdir(parents=True, exist_ok=True)
    tasks = [
        task for cell in cells for task in list_missing(cell, _wanted(cell, logs, quick), folder)
    ]
    tasks.sort(key=lambda task: (task[0].kind in CHUNK, task[1]))  # long ones first, all cells
    length = sum(last - first for _, first, last in tasks)
    with (
        _machines(scheduler),
        click.progressbar(length=length, label="Logs", file=sys.stderr) as bar,
    ):
        for done in run_tasks(tasks, folder, redraws=redraws, workers=workers):
            bar.update(done)
    written, unlike = write_summary(folder, report)
    click.echo(f"Summary: {written}")
    if unlike:
        click.echo(f"Figures that are not those of the table before: {', '.join(unlike)}")


def list_missing(cell: Cell, logs: int, folder: Path) -> list[Task]:
    """Return the chunks of a cell that its results file does not hold yet."""
    chunks = read_chunks(results_file(cell, folder))
    held = {index for chunk in chunks for index in range(chunk.first, chunk.last)}
    step = CHUNK.get(cell.kind, WHOLE_CHUNK)
    missing = (index for index in range(logs) if index not in held)
    blocks = [list(block) for _, block in groupby(missing, key=lambda index: index // step)]
    return [(cell, block[0], block[-1] + 1) for block in blocks]


def run_tasks(tasks: list[Task], folder: Path, *, redraws: int, workers: int) -> Iterator[int]:
    """Run chunks, write each as it is finished, and yield how many logs it held."""
    pool = Parallel(n_jobs=workers, return_as="generator_unordered", batch_size=1)
    for cell, chunk in pool(delayed(judge_chunk)(*task, redraws=redraws) for task in tasks):
        write_chunk(results_file(cell, folder), chunk)
        yield chunk.last - chunk.first


def results_file(cell: Cell, folder: Path) -> Path:
    """Return where a cell's results stand."""
    return folder / f"{cell.name}.jsonl"


def _wanted(cell: Cell, logs: int | None, quick: bool) -> int:
    """Return how many logs of a cell are asked for."""
    whole = logs if logs is not None else cell.logs
    return max(2, round(QUICK * whole)) if quick else whole


def _machines(scheduler: str | None) -> AbstractContextManager[object]:
    """Return the setting in which the work is done: this machine, or those of a scheduler."""
    if scheduler is None:
        return nullcontext()
    from dask.distributed import Client  # type: ignore[import-not-found]

    Client(scheduler)
    machines: AbstractContextManager[object] = parallel_config(backend="dask")
    return machines


if __name__ == "__main__":
    main()
