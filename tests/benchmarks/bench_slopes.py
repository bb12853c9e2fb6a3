"""How cost grows with pieces, firings, columns, grades and redraws, as a picture with slopes.

Run by hand::

    python tests/benchmarks/bench_slopes.py

writes reports/speed/slopes.svg and slopes.csv. Measured is a batch of whole-firing refits (the
part of a report that grows fastest), and reading and checking a log. One thing varies at a
time; processor time of one thread, the shortest of a few runs. A slope is the exponent of
the cost: least squares on the logarithms. Slope 1 means that twice as much takes twice as long.
"""

import io
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pandas as pd
from big_logs import CODEBOOK, write_big_log
from matplotlib.figure import Figure
from threadpoolctl import threadpool_limits

import outcomes
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import draw_firing_weights

FOLDER = Path(__file__).parents[2] / "reports" / "speed"
FIXED = {"svg.hashsalt": "speed", "svg.fonttype": "none", "font.family": "DejaVu Sans"}
INK = "#7a3b12"
REPEATS = 3
CHECKED = (8_000, 32_000, 128_000)


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How large a problem is."""

    pieces: int = 1600
    firings: int = 64
    columns: int = 12
    grades: int = 5
    redraws: int = 400


VARIED: dict[str, tuple[int, ...]] = {
    "pieces": (1600, 6400, 25_600, 102_400),
    "firings": (16, 64, 256, 1024),
    "columns": (6, 12, 24, 48),
    "grades": (2, 4, 8),
    "redraws": (200, 800, 3200),
}


def time_refits(size: Size) -> float:
    """Return the seconds one batch of redraws takes."""
    rng = np.random.default_rng(0)
    firing = np.arange(size.pieces) * size.firings // size.pieces
    X = rng.normal(size=(size.pieces, size.columns))
    score = X @ np.linspace(-0.5, 0.5, size.columns)
    score += 0.5 * rng.normal(size=size.firings)[firing] + rng.logistic(size=size.pieces)
    y = np.searchsorted(np.quantile(score, np.arange(1, size.grades) / size.grades), score)
    start = fit_cumulative(X, y, size.grades)
    weights = draw_firing_weights(size.firings, size.redraws, rng=rng).astype(float)
    return shortest(
        lambda: fit_many(X, y, size.grades, firing=firing, firing_weights=weights, start=start)
    )


def time_check(pieces: int) -> float:
    """Return the seconds that reading and checking a log of so many pieces takes."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        write_big_log(path, pieces=pieces, firings=max(2, pieces // 50))
        return shortest(lambda: outcomes.check(path, codebook=CODEBOOK))


def shortest(work: Callable[[], object]) -> float:
    """Return the shortest of a few runs, seconds of processor time."""
    times = []
    for _ in range(REPEATS):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def slope_of(sizes: list[int], seconds: list[float]) -> float:
    """Return the exponent of the cost, by least squares on the logarithms.

    >>> round(slope_of([1, 2, 4], [3.0, 6.0, 12.0]), 6)
    1.0
    """
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


def measure_all() -> pd.DataFrame:
    """Return one row a measurement: what was measured, what varied, how much, seconds, slope."""
    rows = []
    with threadpool_limits(limits=1):
        for name, sizes in VARIED.items():
            times = [time_refits(replace(Size(), **{name: size})) for size in sizes]
            rows += [("refits", name, *row) for row in zip(sizes, times, strict=True)]
        time_check(CHECKED[0])  # the first one imports
        rows += [("check", "pieces", size, time_check(size)) for size in CHECKED]
    table = pd.DataFrame(rows, columns=["what", "varied", "size", "seconds"])
    slopes = {
        key: slope_of(list(part["size"]), list(part["seconds"]))
        for key, part in table.groupby(["what", "varied"])
    }
    keys = zip(table["what"], table["varied"], strict=True)
    return table.assign(slope=[round(slopes[key], 2) for key in keys]).round({"seconds": 4})


def draw_slopes(table: pd.DataFrame) -> bytes:
    """Return an SVG: a panel for each thing that varied, both axes logarithmic."""
    groups = list(table.groupby(["what", "varied"], sort=False))
    with mpl.rc_context(FIXED):  # type: ignore[arg-type]
        figure = Figure(figsize=(9.0, 5.2), layout="constrained")
        for panel, ((what, varied), part) in zip(figure.subplots(2, 3).flat, groups, strict=True):
            sizes, seconds = part["size"].to_numpy(float), part["seconds"].to_numpy(float)
            slope = part["slope"].iloc[0]
            middle = np.exp(np.log(seconds).mean() - slope * np.log(sizes).mean())
            panel.loglog(sizes, middle * sizes**slope, color=INK, linewidth=1.0)
            panel.loglog(sizes, seconds, "o", color=INK, markersize=5)
            panel.set_xticks(sizes, [f"{size:,.0f}" for size in sizes])
            panel.set_yticks(seconds[[0, -1]], [f"{second:.2g}" for second in seconds[[0, -1]]])
            panel.minorticks_off()
            panel.tick_params(labelsize=8)
            panel.set_title(f"{what}: {varied}, slope {slope:.2f}", loc="left", fontsize=10)
            panel.set_xlabel(f"{varied}", fontsize=9)
            panel.set_ylabel("seconds", fontsize=9)
            panel.grid(visible=True, which="major", color="#e4ddd3", linewidth=0.6)
            panel.spines[["top", "right"]].set_visible(False)
        file = io.BytesIO()
        figure.savefig(file, format="svg", metadata={"Date": None})
    return file.getvalue()


def write_slopes(folder: Path = FOLDER) -> pd.DataFrame:
    """Measure, write the table and the picture, and return the table."""
    table = measure_all()
    folder.mkdir(parents=True, exist_ok=True)
    table.to_csv(folder / "slopes.csv", index=False, lineterminator="\n")
    (folder / "slopes.svg").write_bytes(draw_slopes(table))
    return table


if __name__ == "__main__":
    print(write_slopes().to_string(index=False))
