"""Refit one design under many weights: redraws of firings, and each firing left out.

Notation as in `likelihood`; G firings, B replicates.

The replicates are cut into blocks (see `blocks`) whose arithmetic never depends on which thread
runs them, so the same bytes come out of any number of workers. BLAS is held to one thread: on
matrices this small more threads are several times slower.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from queue import SimpleQueue

import numpy as np

from outcomes.errors import RequestError
from outcomes.model.blocks import (
    Block,
    Done,
    Task,
    build_block_scratch,
    build_blocks,
    fit_block,
)
from outcomes.model.fit import CumulativeFit, FloatArray, IntArray, ManyFits
from outcomes.model.one_thread import hold_one_thread
from outcomes.model.variation import is_column_constant


def fit_many(  # noqa: PLR0913 - one design, its weights in either form, and how to run
    X: FloatArray,
    y: IntArray,
    n_grades: int,
    *,
    start: CumulativeFit,
    firing: IntArray | None = None,
    firing_weights: FloatArray | IntArray | None = None,
    weights: FloatArray | IntArray | None = None,
    workers: int = 1,
    progress: Callable[[int], None] | None = None,
) -> ManyFits:
    """Return every weighted refit of one design.

    Parameters
    ----------
    X, y, n_grades
        The design of the full fit, shapes (n, p), (n,) and K.
    start
        The full fit: where every refit begins, and its options.
    firing, firing_weights : array, shape (n,) and (B, G)
        Firing number 0..G-1 of each piece, and the weight of each firing in each replicate.
    weights : array, shape (B, n)
        Instead of the two: a weight for each piece.
    workers
        Threads; the result does not depend on it.
    progress
        Called from this thread with the number of refits just finished.

    Returns
    -------
    ManyFits
        In the order of the weights. ``unusual`` marks replicates in which a grade vanished
        (its thresholds are put at the limit they run to), a column became constant (its slope
        is the penalty's: 0) or the batched Newton did not arrive and the careful single fit
        took over.

    Raises
    ------
    RequestError
        If the weights do not fit the design, are negative or not finite, or a replicate
        weighs nothing.
    """
    firing, by_firing = _per_firing(len(y), firing, firing_weights, weights=weights)
    task = Task(X=X, y=y, n_grades=n_grades, firing=firing, weights=by_firing, start=start)
    n_replicates = len(by_firing)
    values = np.empty((n_replicates, n_grades - 1 + X.shape[1]))
    converged, unusual = np.zeros((2, n_replicates), dtype=bool)
    largest, iterations = np.zeros(n_replicates), np.zeros(n_replicates, dtype=np.int64)
    with hold_one_thread():
        for done in _run(task, workers=workers):
            at = done.replicates
            values[at], largest[at] = done.fits.values, done.fits.largest_gradient
            converged[at], iterations[at] = done.fits.converged, done.fits.iterations
            unusual[at] = done.fits.unusual
            if progress is not None:
                progress(len(at))
        unusual |= is_column_constant(X, firing=firing, weights=by_firing)
    return ManyFits(
        values=values,
        converged=converged,
        largest_gradient=largest,
        iterations=iterations,
        unusual=unusual,
    )


def _run(task: Task, *, workers: int) -> Iterator[Done]:
    """Refit all blocks, yielding them in their order whatever finishes first."""
    rooms: SimpleQueue[FloatArray] = SimpleQueue()
    for _ in range(max(1, workers)):
        rooms.put(build_block_scratch(task))

    def fit(block: Block) -> Done:
        scratch = rooms.get()
        try:
            return fit_block(block, scratch)
        finally:
            rooms.put(scratch)

    if workers <= 1:
        yield from map(fit, build_blocks(task))
        return
    pool = ThreadPoolExecutor(max_workers=workers)
    try:
        yield from pool.map(fit, build_blocks(task))
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _per_firing(
    n: int,
    firing: IntArray | None,
    firing_weights: FloatArray | IntArray | None,
    *,
    weights: FloatArray | IntArray | None,
) -> tuple[IntArray, FloatArray]:
    """Return firing numbers and weights per firing, checked; a piece may be its own firing."""
    if weights is not None:
        firing, firing_weights = np.arange(n), weights
    if firing is None or firing_weights is None:
        raise RequestError("fit_many needs firing and firing_weights, or weights")
    by_firing = np.asarray(firing_weights, dtype=np.float64)
    if by_firing.ndim != 2 or firing.shape != (n,) or by_firing.shape[1] <= firing.max():
        raise RequestError(
            f"the weights have shape {by_firing.shape} and the firing numbers "
            f"{firing.shape}, up to {firing.max()}; expected one column per firing (or per "
            f"piece) and one number for each of the {n} pieces"
        )
    if not np.isfinite(by_firing).all() or by_firing.min(initial=0.0) < 0.0:
        raise RequestError("the weights must be finite numbers, zero or more")
    if np.any(by_firing.sum(axis=1) <= 0.0):
        raise RequestError("a replicate in which every weight is zero cannot be fitted")
    return firing, by_firing
