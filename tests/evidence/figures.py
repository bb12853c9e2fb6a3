"""Every figure of the study as one table, evidence.csv: of the cells at hand, else carried over.

The results of a run (counts, chunk by chunk) are kept on the machine that made them; the table
is committed. A cell whose results are not at hand keeps the figures it has in the table and is
marked there. That is sound as long as its logs and the rules compared stay what they were: logs
are seeded, so that a rerun gives the same figures. After a change that touches them delete the
table's rows of that cell, or run it again.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import pandas as pd
from cells import Cell, Kind, all_cells
from tallies import Chunk, add_tallies, mean, ratio

Results = Mapping[Cell, tuple[Chunk, ...]]

CARRIED = "carried over"
OF_THE_KNOWER = (
    ("power", "power|all", "power of the knower|all"),
    ("largest ranked first", "largest ranked first", "largest ranked first by the knower"),
)
TEXTS = ("cell", "kind", "measure", "setting", "rule", "from")


def build_figures(results: Results) -> pd.DataFrame:
    """Return every figure of the results, one a row.

    Columns: the cell, what makes it, its logs; measure, setting, rule; n, value (the mean),
    error; and where the row is from, "" for these results.
    """
    rows = [
        {**_describe_cell(cell, chunks), **row}
        for cell, chunks in results.items()
        for row in (*_means(chunks), *_ratios(cell, chunks))
    ]
    return pd.DataFrame([{**row, "from": ""} for row in rows])


def read_figures(path: Path) -> pd.DataFrame:
    """Return a table of figures; an empty one where there is no file."""
    if not path.exists():
        return pd.DataFrame()
    kept = {"dtype": dict.fromkeys(TEXTS, str), "keep_default_na": False}
    return pd.read_csv(path, na_values={"error": [""], "value": [""]}, **kept)


def carry_over(figures: pd.DataFrame, earlier: pd.DataFrame) -> pd.DataFrame:
    """Return the figures, with those of an earlier table where it knows a cell from more logs."""
    now, then = (dict(list(t.groupby("cell"))) if len(t) else {} for t in (figures, earlier))
    tables = []
    for name in (cell.name for cell in all_cells()):
        if name in then and (name not in now or _logs(then[name]) > _logs(now[name])):
            tables.append(then[name].assign(**{"from": CARRIED}))
        elif name in now:
            tables.append(now[name])
    return pd.concat(tables, ignore_index=True)


def list_unlike(figures: pd.DataFrame, earlier: pd.DataFrame) -> tuple[str, ...]:
    """Return the cells that both tables know from as many logs, with figures that differ."""
    if not len(figures) or not len(earlier):
        return ()
    keys = ["cell", "logs", "measure", "setting", "rule"]
    both = figures.merge(earlier, on=keys, suffixes=("", "_then"))
    differs = (both["value"] - both["value_then"]).abs() > 0.0
    return tuple(dict.fromkeys(both.loc[differs, "cell"]))


def _logs(rows: pd.DataFrame) -> int:
    return int(rows["logs"].iloc[0])


def _describe_cell(cell: Cell, chunks: tuple[Chunk, ...]) -> dict[str, object]:
    return {
        "cell": cell.name,
        "kind": str(cell.kind),
        "firings": cell.firings,
        "firing_sd": cell.firing_sd,
        "fewest_pieces": cell.sizes[0],
        "most_pieces": cell.sizes[1],
        "columns": cell.columns,
        "treated": cell.treated,
        "grades": cell.grades,
        "gain": cell.gain,
        "logs": sum(chunk.last - chunk.first for chunk in chunks),
    }


def _means(chunks: tuple[Chunk, ...]) -> Iterator[dict[str, object]]:
    """Return the mean of every score."""
    for name, tally in add_tallies(chunk.tallies for chunk in chunks).items():
        yield {**_name(name), "n": tally.n, **_numbers(*mean(name, chunks))}


def _ratios(cell: Cell, chunks: Iterable[Chunk]) -> Iterator[dict[str, object]]:
    """Return what was found relative to the analyst who knows the model."""
    if cell.kind is not Kind.KNOWN:
        return
    held = tuple(chunks)
    tallies = add_tallies(chunk.tallies for chunk in held)
    for what, own, known in OF_THE_KNOWER:
        if known in tallies:
            name = _name(f"{what}, of the knower's")
            yield {**name, "n": tallies[known].n, **_numbers(*ratio(own, known, held))}


def _name(name: str) -> dict[str, str]:
    """Return a score's name in its parts: measure, setting or subject, rule."""
    measure, setting, rule = (*name.split("|"), "", "")[:3]
    return {"measure": measure, "setting": setting, "rule": rule}


def _numbers(value: float, error: float) -> dict[str, float]:
    return {"value": round(value, 6), "error": round(error, 6)}
