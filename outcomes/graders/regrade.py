"""A list for a second, blind grading: which pieces, in what order, under what codes."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from outcomes.errors import LogError
from outcomes.graders.gradings import Gradings
from outcomes.log.words import word_key
from outcomes.model.fit import IntArray

FEWEST: Final = 30  # pieces: with fewer an agreement is hardly known at all
# No letter or figure that can be taken for another in handwriting; no words by accident.
_LETTERS: Final = "CDFHJKLMNPRTVWXY"
_FIGURES: Final = "34679"


@dataclass(frozen=True, slots=True, kw_only=True)
class RegradePiece:
    """One line of the list: the code it is graded under, and which piece that is."""

    code: str
    piece: str
    firing: str | None
    file: str
    row: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RegradeList:
    """The pieces to grade again, in the order to grade them.

    ``by`` is the outcome whose grades the pieces are spread over; ``asked`` how many were asked
    for, ``graded`` how many there are to choose from; ``grades`` counts the chosen ones by grade.
    """

    pieces: tuple[RegradePiece, ...]
    by: str
    asked: int
    graded: int
    grades: tuple[int, ...]
    seed: int


def choose_regrades(gradings: Gradings, number: int, *, seed: int) -> RegradeList:
    """Return pieces spread over the grades and the firings, shuffled and under codes.

    Parameters
    ----------
    gradings
        At least one grading; the first grade of a piece counts.
    number
        How many pieces; all of them when there are fewer.
    seed
        Decides the pieces, their order and their codes.

    Notes
    -----
    Piece by piece the grade with fewest chosen comes next, and within it the firing with fewest
    chosen; ties are settled by the shuffle. So rare grades are there, where two graders part.

    Raises
    ------
    LogError
        When no outcome has two grades in use.
    """
    rng = np.random.default_rng(np.random.SeedSequence(seed))
    by = _choose_outcome(gradings)
    graded = gradings.entries.dropna(subset=[by]).drop_duplicates("piece").sort_values("piece")
    shuffled = graded.iloc[rng.permutation(len(graded))]
    chosen = shuffled.iloc[_spread(shuffled, by, min(number, len(shuffled)))]
    chosen = chosen.iloc[rng.permutation(len(chosen))]
    taken = {word_key(piece) for piece in gradings.entries["piece"]}
    codes = _draw_codes(len(chosen), taken, rng=rng)
    levels = len(gradings.codebook.outcome(by).levels)
    return RegradeList(
        pieces=_build_pieces(codes, chosen),
        by=by,
        asked=number,
        graded=len(graded),
        grades=tuple(int((chosen[by] == grade).sum()) for grade in range(levels)),
        seed=seed,
    )  # fmt: skip


def _build_pieces(codes: list[str], chosen: pd.DataFrame) -> tuple[RegradePiece, ...]:
    firings = [None if firing is None else str(firing) for firing in chosen["firing"]]
    rows = zip(codes, chosen["piece"], firings, chosen["file"], chosen["row"], strict=True)
    return tuple(
        RegradePiece(code=code, piece=str(piece), firing=firing, file=str(file), row=int(row))
        for code, piece, firing, file, row in rows
    )


def _choose_outcome(gradings: Gradings) -> str:
    """Return the outcome with most grades in use among the pieces, the first of equals."""
    used = {o.name: gradings.entries[o.name].nunique() for o in gradings.codebook.outcomes}
    best = max(used, key=lambda name: used[name])
    if used[best] < 2:
        raise LogError(
            f"{gradings.files[0].name}: every piece has the same grade, expected at least two "
            "grades in use, so that a second grading can tell them apart. Grade more pieces first."
        )
    return best


def _spread(pieces: pd.DataFrame, by: str, number: int) -> list[int]:
    """Return positions of pieces, evenly over grades and, within them, over firings."""
    left = list(range(len(pieces)))
    grade = pieces[by].astype(int).tolist()
    firing = pd.factorize(pieces["firing"].fillna("").to_numpy())[0].tolist()
    of_grade: IntArray = np.zeros(max(grade) + 1, dtype=np.int64)
    of_firing: IntArray = np.zeros(max(firing) + 1, dtype=np.int64)
    chosen: list[int] = []
    while len(chosen) < number:
        at = min(left, key=lambda i: (of_grade[grade[i]], of_firing[firing[i]]))
        left.remove(at)
        chosen.append(at)
        of_grade[grade[at]] += 1
        of_firing[firing[at]] += 1
    return chosen


def _draw_codes(number: int, taken: set[str], *, rng: np.random.Generator) -> list[str]:
    """Return codes that no piece is called by, all different."""
    every = [
        f"{a}{n}{m}{b}" for a in _LETTERS for n in _FIGURES for m in _FIGURES for b in _LETTERS
    ]
    free = [code for code in every if word_key(code) not in taken]
    return [free[int(at)] for at in rng.permutation(len(free))[:number]]
