"""Whether a piece stands in the log more than once: a copied row counts twice."""

from collections.abc import Iterator

import numpy as np
import pandas as pd

from outcomes.design.firings import find_firings
from outcomes.finding import Finding, Severity
from outcomes.log.check_pieces import check_identical_rows
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import has_column, rows_at
from outcomes.log.quoting import count_of, list_words, show_text
from outcomes.planning.counting import BoolArray


def check_copies(log: FiringLog, *, counted: BoolArray) -> Iterator[Finding]:
    """Name the pieces that stand in a firing twice; without names, the rows that are copies."""
    if not has_column(log, log.codebook.piece):
        yield from _copied_rows(log, counted)
        return
    named = counted & log.values[log.codebook.piece].notna().to_numpy(bool)
    at = np.flatnonzero(named)
    places = pd.DataFrame(
        {"firing": find_firings(log).labels[at], "piece": log.values[log.codebook.piece].iloc[at]}
    )
    repeated = places.duplicated().to_numpy(bool)
    if not repeated.any():
        return
    piece, cluster = log.codebook.piece_word, log.codebook.cluster_word
    twice = [
        f"{show_text(str(name))} in {cluster} {show_text(str(firing))}"
        for firing, name in places[repeated].drop_duplicates().itertuples(index=False)
    ]
    yield Finding(
        code="pieces_repeated",
        severity=Severity.PROBLEM,
        message=f"The same {piece} stands more than once within a {cluster}: "
        f"{list_words(twice)}; {count_of(int(repeated.sum()), 'row')} too many, as every row "
        f"counts as a {piece} of its own.",
        advice="Delete the copies; until then they count twice and make the answer too sure. If "
        f"they are different {piece}s, give each a name of its own.",
        column=log.codebook.piece,
        rows=rows_at(log, at[repeated]),
    )


def _copied_rows(log: FiringLog, counted: BoolArray) -> Iterator[Finding]:
    rows = set(rows_at(log, np.flatnonzero(counted)))
    for finding in check_identical_rows(log):
        if rows & set(finding.rows):
            yield finding
