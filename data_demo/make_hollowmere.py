"""Make the Hollowmere Yard demo: clean table, log as typed, and the truth behind both.

``python data_demo/make_hollowmere.py [FOLDER]`` writes hollowmere_yard.csv, hollowmere_clean.csv
and hollowmere_truth.toml into FOLDER (default: the folder of this script), the same bytes
every time.
"""

import csv
import io
import sys
from pathlib import Path

import numpy as np
import pandas as pd
from hollowmere_hand import (
    ASIDE,
    BLANKS,
    DITTO_MARKS,
    DITTO_SHARE,
    HAIRLINE_NOTES,
    HEADERS,
    NOT_GRADED,
    OUTCOMES,
    SCALE_WORDS,
    SHELVES,
    WAYS,
    WORDS,
    firing_notes,
    piece_notes,
)
from hollowmere_slips import SLIPS
from hollowmere_truth_file import Messy, write_truth

from outcomes.simulate.hollowmere import HANDFUL_G, SHEET_G, hollowmere_year
from outcomes.simulate.rough import write_column, write_dittos, write_words

SEED = 20  # chosen once, before any analysis of the result, and never changed to please
TITLE = "Hollowmere Yard - firings Mar 2024 to Feb 2025 (W.)"
FIRST_ROW = 4  # row 1 the title, row 2 empty, row 3 the headers
Place = tuple[int, str]


def write_demo(folder: Path, seed: int = SEED) -> None:
    """Write the three files; another seed gives another year of the same yard."""
    # Streams of their own: a change of handwriting must not change what happened.
    happened, lost, hand = np.random.default_rng(seed).spawn(3)
    year = lose_pieces(name_rows(hollowmere_year(happened)), rng=lost)
    messy = write_messily(year, rng=hand)
    log = [[TITLE], [], list(HEADERS.values())]
    log += messy.cells[list(HEADERS)].to_numpy().tolist()
    log += [["total", "", str(len(year)), *[""] * (len(HEADERS) - 3)]]
    _write(folder / "hollowmere_yard.csv", log)
    clean = clean_table(year)
    _write(folder / "hollowmere_clean.csv", [list(clean.columns), *clean.to_numpy().tolist()])
    (folder / "hollowmere_truth.toml").write_bytes(write_truth(year, messy, seed).encode())


def name_rows(year: pd.DataFrame) -> pd.DataFrame:
    """Return the year with her own names for firings and pieces."""
    return year.assign(
        firing_id=[f"H{name[1:]}" for name in year["firing_id"]],
        piece_id=[f"HY-{i + 1:03d}" for i in range(len(year))],
    )


def lose_pieces(year: pd.DataFrame, *, rng: np.random.Generator) -> pd.DataFrame:
    """Return the year without three broken pieces of two firings, which she never wrote down."""
    broken = year[year["cracked"] == 1].groupby("firing_id")["piece_id"].apply(list)
    several = [name for name, pieces in broken.items() if len(pieces) >= 3]
    first, second = rng.choice(several, size=2, replace=False)
    lost = [*broken[first][:2], broken[second][0]]
    return year[~year["piece_id"].isin(lost)].reset_index(drop=True)


def clean_table(year: pd.DataFrame) -> pd.DataFrame:
    """Return what she meant: base units, grades 0..K-1, and the row it stands on."""
    columns = [name for name in HEADERS if name not in (*ASIDE, "notes")]
    dates = year["fired_on"].dt.strftime("%Y-%m-%d")
    numbers = {
        name: [_number(value) for value in year[name]]
        for name in columns
        if year[name].dtype == np.float64
    }
    written = year[columns].assign(fired_on=dates).astype(object).assign(**numbers)
    written.insert(0, "source_row", [FIRST_ROW + i for i in range(len(year))])
    return written


def write_messily(year: pd.DataFrame, *, rng: np.random.Generator) -> Messy:
    """Return every cell as typed, and what was done to it."""
    cells = _write_columns(year, rng=rng)
    slipped = _place_slips(year, cells, rng=rng)
    blanked = _place_blanks(year, slipped, rng=rng)
    hairline = _place_hairlines(year, {*slipped, *blanked}, rng=rng)
    for (row, column), (text, _) in slipped.items():
        cells.loc[row, column] = text
    for row, column in (*blanked, *hairline):
        cells.loc[row, column] = ""
    for (row, _), note in hairline.items():
        cells.loc[row, "notes"] = note
    touched = {*slipped, *blanked, *hairline}
    dittoed = _with_dittos(year, cells, touched, rng=rng)
    copied = int(rng.integers(40, 160))
    dittoed.loc[copied, "piece_id"] = dittoed.loc[copied - 1, "piece_id"]
    return Messy(
        cells=dittoed,
        slipped={place: (dittoed.loc[place], reason) for place, (_, reason) in slipped.items()},
        blank=tuple(sorted({*blanked, *hairline})),
        hairline=tuple(row for row, _ in hairline),
        copied_piece=copied,
        first_row=FIRST_ROW,
    )


def _write_columns(year: pd.DataFrame, *, rng: np.random.Generator) -> pd.DataFrame:
    """Return every column in her hand, before slips, blanks and dittos."""
    written: dict[str, list[str]] = {
        "firing_id": list(year["firing_id"]),
        "piece_id": list(year["piece_id"]),
        "fired_on": _dates(year, rng=rng),
        "pull_temp_c": _temperatures(year, rng=rng),
        "combustible_g": _combustibles(year, rng=rng),
        "shelf": [SHELVES[int(i)] for i in rng.integers(len(SHELVES), size=len(year))],
        "photo": [f"IMG_{1200 + 3 * i}" if rng.random() < 0.4 else "" for i in range(len(year))],
        "notes": _notes(year, rng=rng),
    }
    for name in HEADERS:
        if name in written:
            continue
        if name in WAYS:
            written[name] = write_column(year[name].to_numpy(), WAYS[name], rng=rng)
        else:
            written[name] = write_words(year[name].tolist(), WORDS[name], rng=rng)
    for name in OUTCOMES:
        marks = rng.integers(len(NOT_GRADED), size=len(year))
        written[name] = [
            text or NOT_GRADED[int(mark)] for text, mark in zip(written[name], marks, strict=True)
        ]
    return pd.DataFrame(written, dtype=object)


def _notes(year: pd.DataFrame, *, rng: np.random.Generator) -> list[str]:
    """Return the notes: of a firing at its first piece, of a piece at the others."""
    starts = (year["firing_id"] != year["firing_id"].shift()).to_numpy()
    of_piece = piece_notes(len(year), rng=rng)
    of_firing = iter(firing_notes(int(starts.sum()), rng=rng))
    return [
        next(of_firing) if first else note for first, note in zip(starts, of_piece, strict=True)
    ]


def _dates(year: pd.DataFrame, *, rng: np.random.Generator) -> list[str]:
    """Return dates written in three ways, one way a firing."""
    formats = ("%Y-%m-%d", "%d %b %Y", "%d/%m/%Y")
    way = {name: formats[int(rng.integers(3))] for name in year["firing_id"].unique()}
    return [
        day.strftime(way[name])
        for day, name in zip(year["fired_on"], year["firing_id"], strict=True)
    ]


def _temperatures(year: pd.DataFrame, *, rng: np.random.Generator) -> list[str]:
    """Return temperatures on each firing's own scale, the unit written in the cell."""
    texts, unit = [], {}
    for row in year.itertuples():
        words = SCALE_WORDS[row.thermometer]
        unit.setdefault(row.firing_id, words[int(rng.integers(len(words)))])
        texts.append(("~" if rng.random() < 0.04 else "") + _degrees(row) + unit[row.firing_id])
    plain = year.index[(year["thermometer"] == "F")].to_numpy()
    for row in rng.choice(plain, size=3, replace=False):  # over 1200: can only be F
        texts[row] = _degrees(year.loc[row])
    return texts


def _degrees(row: "pd.Series[object]") -> str:
    """Return the number on the thermometer."""
    celsius = float(row.pull_temp_c)
    return f"{round(celsius * 1.8 + 32 if row.thermometer == 'F' else celsius)}"


def _combustibles(year: pd.DataFrame, *, rng: np.random.Generator) -> list[str]:
    """Return sheets of newspaper and handfuls of sawdust, a few weighed in grams."""
    paper = (year["combustible_kind"] == "newspaper").to_numpy()
    grams = year["combustible_g"].to_numpy()
    sheets = write_column(grams / SHEET_G, WAYS["sheets"], rng=rng)
    handfuls = write_column(grams / HANDFUL_G, WAYS["handfuls"], rng=rng)
    weighed = rng.random(len(year)) < 0.12
    texts = [
        f"{gram:g} g" if scale and gram % 1 == 0 else (sheet if is_paper else handful)
        for gram, scale, is_paper, sheet, handful in zip(
            grams, weighed, paper, sheets, handfuls, strict=True
        )
    ]
    singular = {
        "½ sheets": "½ sheet",
        "½ handfuls": "½ handful",
        "1 sheets": "1 sheet",
        "1 handfuls": "1 handful",
    }
    return [singular.get(text, text) for text in texts]


def _place_slips(
    year: pd.DataFrame, cells: pd.DataFrame, *, rng: np.random.Generator
) -> dict[Place, tuple[str, str]]:
    """Return (row, column) -> (what she wrote, why it cannot be read)."""
    placed: dict[Place, tuple[str, str]] = {}
    for slip in SLIPS:
        taken = {row for row, _ in placed}
        free = [row for row in year.index[slip.where(year)] if row not in taken]
        for row in rng.choice(free, size=slip.count, replace=False):
            number = _degrees(year.loc[row]) if slip.column == "pull_temp_c" else ""
            placed[int(row), slip.column] = (slip.text or number, slip.reason)
    return placed


def _place_blanks(
    year: pd.DataFrame, slipped: dict[Place, tuple[str, str]], *, rng: np.random.Generator
) -> list[Place]:
    """Return cells left empty, on rows without a slip."""
    taken = {row for row, _ in slipped}
    blanked = []
    for column, count in BLANKS.items():
        free = [row for row in year.index[year[column].notna()] if row not in taken]
        blanked += [(int(row), column) for row in rng.choice(free, size=count, replace=False)]
    return blanked


def _place_hairlines(
    year: pd.DataFrame, touched: set[Place], *, rng: np.random.Generator
) -> dict[Place, str]:
    """Return cracked pieces whose crack stands only in the notes."""
    taken = {row for row, column in touched if column == "cracked"}
    free = [row for row in year.index[year["cracked"] == 1] if row not in taken]
    rows = rng.choice(free, size=len(HAIRLINE_NOTES), replace=False)
    return {(int(row), "cracked"): note for row, note in zip(rows, HAIRLINE_NOTES, strict=True)}


def _with_dittos(
    year: pd.DataFrame, cells: pd.DataFrame, touched: set[Place], *, rng: np.random.Generator
) -> pd.DataFrame:
    """Return the cells with ditto marks where the one above says the same."""
    marked = {}
    for column, share in DITTO_SHARE.items():
        same = (year[column] == year[column].shift()) & (
            year["firing_id"] == year["firing_id"].shift()
        )
        clear = np.array([not {(i, column), (i - 1, column)} & touched for i in range(len(year))])
        marked[column] = write_dittos(
            list(cells[column]), list(same & clear), share=share, marks=DITTO_MARKS, rng=rng
        )
    return cells.assign(**marked)


def _number(value: float) -> str:
    """Return a number with at most four decimals, "" for none."""
    return "" if np.isnan(value) else f"{round(value, 4):.10g}"


def _write(path: Path, rows: list[list[object]]) -> None:
    """Write a CSV, UTF-8, lines ended by LF."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    path.write_bytes(text.getvalue().encode())


if __name__ == "__main__":
    write_demo(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
