"""Rules about pieces: is every row a piece of its own."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Kind
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.firings import cluster_column, firing_labels
from outcomes.log.places import (
    MOST_CELLS,
    Positions,
    about_rows,
    has_column,
    list_rows,
    positions_of,
    rows_at,
)
from outcomes.log.quoting import list_words, quote_text, show_text

# Where more than half of the numbers come back in other firings, numbering starts anew each time.
RESTARTING_SHARE = 0.5
# Without piece numbers two sparse rows may be alike by chance; this many filled cells, of which
# this many numbers, are not. A judgement, no source.
FILLED_CELLS = 8
NUMBER_CELLS = 3
# Rows that differ in the first columns are not compared cell by cell.
COLUMNS_FIRST = 6


def check_identical_rows(log: FiringLog) -> tuple[Finding, ...]:
    """Name rows in which every cell repeats another row of the log."""
    first = _copies(log)
    copies = np.array(sorted(first), dtype=np.int64)

    def words(here: Positions) -> tuple[str, str]:
        pairs = [
            f"row {_row(log, at)} repeats {_place(log, first[int(at)], here)}"
            for at in here[:MOST_CELLS]
        ]
        return (
            f"{list_words(pairs, total=len(here))}, cell by cell. Expected every row to be a "
            f"{log.codebook.piece_word} of its own.",
            "Delete the copies; until then they count twice.",
        )

    return about_rows(
        log, copies, column="", code="identical_rows", severity=Severity.WARNING, words=words
    )


def check_duplicate_ids(log: FiringLog) -> tuple[Finding, ...]:
    """Name pieces that carry the number of another piece.

    Numbers are compared over the whole log, or within the firing where numbering visibly
    starts anew with every firing. Rows that are copies as a whole are named elsewhere.
    """
    piece = log.codebook.piece
    if not has_column(log, piece) or log.values[piece].dropna().is_unique:
        return ()
    keys = _piece_keys(log).drop(index=log.values.index[list(_copies(log))])
    repeated = keys[keys.notna() & keys.duplicated(keep=False)]
    positions = log.values.index.get_indexer(repeated.index).astype(np.int64)

    def words(here: Positions) -> tuple[str, str]:
        distinct = list(dict.fromkeys(repeated.loc[log.values.index[here]]))
        told = [_alike(log, repeated.index[repeated == key], here) for key in distinct[:MOST_CELLS]]
        return (
            f"the same {log.codebook.piece_word} stands in several rows: "
            f"{list_words(told, total=len(distinct))}. Expected each {log.codebook.piece_word} "
            "once.",
            "If it is one piece written twice, delete a row; if they are two, give each its own "
            "number. Until then every row counts as a piece.",
        )

    return about_rows(
        log,
        positions,
        column=piece,
        code="duplicate_piece_id",
        severity=Severity.WARNING,
        words=words,
    )


def _alike(log: FiringLog, alike: pd.Index, here: Positions) -> str:
    """Name one number and the rows that carry it."""
    positions = log.values.index.get_indexer(alike)
    written = quote_text(str(log.values[log.codebook.piece].iloc[positions[0]]))
    if log.origin["file"].iloc[positions].nunique() == 1:
        return f"{written} in {list_rows(rows_at(log, positions))}"
    places = [_place(log, int(at), here) for at in positions[:MOST_CELLS]]
    return f"{written} in {list_words(places, total=len(positions))}"


def _piece_keys(log: FiringLog) -> "pd.Series[str]":
    """Each piece's number, with its firing in front where numbering restarts; None if blank."""
    ids = log.values[log.codebook.piece]
    if not cluster_column(log):
        return ids
    labels = firing_labels(log)
    firings_of_id = labels.groupby(ids).nunique()
    shared = ids.map(firings_of_id) > 1
    if not ids.notna().any() or shared[ids.notna()].mean() <= RESTARTING_SHARE:
        return ids
    keys = labels.fillna("").astype(str) + "\x1f" + ids.astype(str)
    return keys.where(ids.notna(), None)


def _copies(log: FiringLog) -> dict[int, int]:
    """Position of every row that repeats an earlier one -> position of that first one."""
    near = positions_of(
        log.written.duplicated(subset=list(log.written)[:COLUMNS_FIRST], keep=False)
    )
    texts = np.concatenate([_texts_at(log.written, near), _texts_at(log.aside, near)], axis=1)
    keys = pd.util.hash_pandas_object(pd.DataFrame(texts), index=False)
    first_of = {key: at for at, key in reversed(list(enumerate(keys)))}
    repeated = np.flatnonzero(keys.duplicated(keep="first"))
    first = np.array([first_of[key] for key in keys.iloc[repeated]], dtype=np.int64)
    alike = (texts[repeated] == texts[first]).all(axis=1)
    sure = alike & _holds_enough(log, near[repeated])
    pairs = zip(near[repeated[sure]], near[first[sure]], strict=True)
    return {int(at): int(start) for at, start in pairs}


def _texts_at(frame: pd.DataFrame, positions: Positions) -> NDArray[np.object_]:
    """Return the texts of some rows, shape (rows, columns)."""
    return frame.iloc[positions].to_numpy(dtype=object)


def _holds_enough(log: FiringLog, positions: Positions) -> NDArray[np.bool_]:
    """Whether rows hold so much that another row like them is a copy, not a coincidence."""
    filled = log.how.iloc[positions] != str(How.BLANK)
    if has_column(log, log.codebook.piece):
        return filled[log.codebook.piece].to_numpy(dtype=bool)
    numbers = [
        factor.name
        for factor in log.codebook.factors
        if factor.kind is Kind.NUMBER and has_column(log, factor.name)
    ]
    enough = (filled.sum(axis=1) >= FILLED_CELLS) & (filled[numbers].sum(axis=1) >= NUMBER_CELLS)
    return enough.to_numpy(dtype=bool)


def _row(log: FiringLog, position: int) -> int:
    """Return the maker's number of one row."""
    return rows_at(log, [position])[0]


def _place(log: FiringLog, position: int, here: Positions) -> str:
    """Name a row; its file too when that is not the file of the finding."""
    file = log.origin["file"].iloc[position]
    if file == log.origin["file"].iloc[here[0]]:
        return f"row {_row(log, position)}"
    return f"row {_row(log, position)} of {show_text(str(file))}"
