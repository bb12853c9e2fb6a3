"""Logs of any size in the hand of the demo's maker: rough cells, dittos, blanks, slips.

Run by hand, to have such a file::

    python tests/benchmarks/big_logs.py 1000000 20000 big.csv

What is written is what `data_demo/make_hollowmere.py` writes for 220 pieces (its headers, words
and ways of writing a number), a column at a time so that a million rows take half a minute.
"""

import csv
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "data_demo"))

from hollowmere_hand import (  # noqa: E402 - the demo's folder is no package
    DITTO_MARKS,
    DITTO_SHARE,
    HEADERS,
    NOT_GRADED,
    OUTCOMES,
    PIECE_NOTES,
    SCALE_WORDS,
    SHELVES,
    WAYS,
    WORDS,
)

from outcomes.simulate.hollowmere import (  # noqa: E402
    HANDFUL_G,
    SHEET_G,
    hollowmere_firings,
    hollowmere_habits,
)
from outcomes.simulate.rough import Way, write_amount  # noqa: E402

CODEBOOK = ROOT / "data_demo" / "hollowmere_codebook.toml"
LONGEST_DAYS = 8000  # two decades, so that no firing lies in the future
BLANK_SHARE = 0.003
SLIP_SHARE = 0.001
SLIPS = {
    "seconds_to_can": ("a few", "ASAP", ">20"),
    "lid_delay_s": ("when flaming",),
    "time_in_can_min": ("till cool", "1 hr+"),
    "combustible_g": ("lots",),
    "wall_thickness_mm": ("thick",),
}
DATE_STYLES = ("%Y-%m-%d", "%d %b %Y", "%d/%m/%Y")


def write_big_log(path: Path, *, pieces: int, firings: int, seed: int = 1) -> None:
    """Write a log of so many pieces in so many firings, the same bytes every time."""
    happened, hand = np.random.default_rng(seed).spawn(2)
    cells = write_cells(draw_year(pieces, firings, rng=happened), rng=hand)
    cells[list(HEADERS)].rename(columns=HEADERS).to_csv(
        path, index=False, lineterminator="\n", quoting=csv.QUOTE_MINIMAL
    )


def draw_year(pieces: int, firings: int, *, rng: np.random.Generator) -> pd.DataFrame:
    """Return the clean log: firings of nearly equal size at Hollowmere Yard."""
    sizes = np.full(firings, pieces // firings)
    sizes[: pieces % firings] += 1
    habits = replace(hollowmere_habits(), start="2003-03-02", days=min(LONGEST_DAYS, 3 * firings))
    return hollowmere_firings([int(size) for size in sizes], habits=habits, rng=rng)


def write_cells(year: pd.DataFrame, *, rng: np.random.Generator) -> pd.DataFrame:
    """Return every cell as typed."""
    n = len(year)
    firing = pd.factorize(year["firing_id"])[0]
    shelf, photo, note = rng.integers(3, size=n), rng.random(n), rng.random(n)
    written: dict[str, np.ndarray] = {
        "firing_id": year["firing_id"].to_numpy(),
        "piece_id": year["piece_id"].to_numpy(),
        "fired_on": _dates(year, firing, rng),
        "pull_temp_c": _temperatures(year, firing, rng),
        "combustible_g": _combustibles(year, rng),
        "shelf": np.array(SHELVES, dtype=object)[shelf],
        "photo": np.where(photo < 0.4, [f"IMG_{i}" for i in range(n)], "").astype(object),
        "notes": np.where(
            note < 0.1, np.array(PIECE_NOTES, dtype=object)[shelf + 3 * (note < 0.05)], ""
        ),
    }
    for name in HEADERS:
        if name in written:
            continue
        values = year[name].to_numpy()
        written[name] = (
            in_ways(values, WAYS[name], rng) if name in WAYS else in_words(values, name, rng)
        )
    return _with_dittos(year, pd.DataFrame(_spoilt(written, rng)), rng)


def in_ways(values: np.ndarray, ways: tuple[Way, ...], rng: np.random.Generator) -> np.ndarray:
    """Return each number written in one of these ways; every text is made once."""
    weights = np.array([way.weight for way in ways])
    drawn = rng.choice(len(ways), size=len(values), p=weights / weights.sum())
    kinds, at = np.unique(np.round(values.astype(float), 6), return_inverse=True)
    texts = [[write_amount(float(kind), way) for way in ways] for kind in kinds]
    return np.array(texts, dtype=object)[at, drawn]


def in_words(values: np.ndarray, name: str, rng: np.random.Generator) -> np.ndarray:
    """Return each level as one of its words, the first most often."""
    written = np.full(len(values), "", dtype=object)
    text = pd.Series(values, dtype=object).fillna("").map(str)
    for level, words in WORDS[name].items():
        rows = np.flatnonzero(text == level)
        usual = rng.random(len(rows)) < 0.6
        drawn = np.where(usual, 0, rng.integers(len(words), size=len(rows)))
        written[rows] = np.array(words, dtype=object)[drawn]
    if name in OUTCOMES:
        empty = np.flatnonzero(text == "")
        written[empty] = np.array(NOT_GRADED, dtype=object)[rng.integers(4, size=len(empty))]
    return written


def _dates(year: pd.DataFrame, firing: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return dates in three ways, one way a firing."""
    days = year["fired_on"].groupby(firing).first()
    style = rng.integers(3, size=len(days))
    texts = [day.strftime(DATE_STYLES[s]) for day, s in zip(days, style, strict=True)]
    return np.array(texts, dtype=object)[firing]


def _temperatures(year: pd.DataFrame, firing: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Return temperatures on each firing's own scale, the unit in the cell."""
    celsius = year["pull_temp_c"].to_numpy()
    on_f = (year["thermometer"] == "F").to_numpy()
    number = np.round(np.where(on_f, celsius * 1.8 + 32, celsius)).astype(int).astype(str)
    word = rng.integers(4, size=firing.max() + 1)[firing]
    unit = np.where(
        on_f,
        np.array(SCALE_WORDS["F"], dtype=object)[word],
        np.array(SCALE_WORDS["C"], dtype=object)[word],
    )
    about = np.where(rng.random(len(year)) < 0.04, "~", "").astype(object)
    return about + number.astype(object) + unit


def _combustibles(year: pd.DataFrame, rng: np.random.Generator) -> np.ndarray:
    """Return sheets of newspaper and handfuls of sawdust, a few weighed in grams."""
    grams = year["combustible_g"].to_numpy()
    paper = (year["combustible_kind"] == "newspaper").to_numpy()
    weighed = rng.random(len(year)) < 0.12
    sheets = in_ways(grams / SHEET_G, WAYS["sheets"], rng)
    handfuls = in_ways(grams / HANDFUL_G, WAYS["handfuls"], rng)
    texts = np.where(paper, sheets, handfuls)
    whole = weighed & (grams % 1 == 0)
    texts[whole] = [f"{gram:g} g" for gram in grams[whole]]
    return texts


def _spoilt(written: dict[str, np.ndarray], rng: np.random.Generator) -> dict[str, np.ndarray]:
    """Return the columns with a few cells left empty and a few that nobody can read."""
    for name, texts in written.items():
        if name in ("firing_id", "piece_id", "fired_on"):
            continue
        draw = rng.random(len(texts))
        texts[draw < BLANK_SHARE] = ""
        slipped = np.flatnonzero(draw > 1.0 - SLIP_SHARE)
        if name in SLIPS:
            words = np.array(SLIPS[name], dtype=object)
            texts[slipped] = words[rng.integers(len(words), size=len(slipped))]
    return written


def _with_dittos(year: pd.DataFrame, cells: pd.DataFrame, rng: np.random.Generator) -> pd.DataFrame:
    """Return the cells with ditto marks where the one above says the same."""
    same_firing = (year["firing_id"] == year["firing_id"].shift()).to_numpy()
    for name, share in DITTO_SHARE.items():
        texts = cells[name].to_numpy()
        same = same_firing & (year[name] == year[name].shift()).to_numpy() & (texts != "")
        marked = same & (rng.random(len(texts)) < share)
        marks = np.array(DITTO_MARKS, dtype=object)[rng.integers(len(DITTO_MARKS), size=len(texts))]
        cells[name] = np.where(marked, marks, texts)
    return cells


if __name__ == "__main__":
    write_big_log(Path(sys.argv[3]), pieces=int(sys.argv[1]), firings=int(sys.argv[2]))
