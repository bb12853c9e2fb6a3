"""Make Hollowmere's second gradings: 72 pieces of the year, graded again by three people.

``python data_demo/make_regrades.py [FOLDER]`` writes hollowmere_regrades.csv and
hollowmere_regrades_truth.toml into FOLDER (default: the folder of this script), the same bytes
every time. Luster is judged by eye and the three see it differently; crackle is counted with a
ruler and they do not.
"""

import csv
import io
import sys
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
from scipy.special import ndtri

from outcomes.model.fit import FloatArray
from outcomes.simulate.regrades import GraderTruth, RegradeTruth, draw_grades

SEED = 20  # that of the year; never changed to please
PIECES = 72
SESSIONS = 9
FIRST_DAY = date(2025, 3, 3)
DAYS_BETWEEN = 9
TRUTHS = {
    "luster": RegradeTruth(
        graders=(
            GraderTruth(name="W", halo=1.2),
            GraderTruth(name="K", strict=1.5),
            GraderTruth(name="Joan", drift=2.4),
        ),
        thresholds=(-2.6, -0.9, 0.9, 2.6),
        piece_sd=2.6,
    ),
    "crackle_density": RegradeTruth(
        graders=(GraderTruth(name="W"), GraderTruth(name="K"), GraderTruth(name="Joan")),
        thresholds=(-5.5, -2.0, 2.0, 5.5),
        piece_sd=6.0,
    ),
}
HEADERS = ("piece_id", "firing_id", "grader", "graded_on", "blind", "luster", "crackle_density")
WORDS = ("none", "trace", "patchy", "broad", "full")  # how Joan writes luster
NOT_FOUND = 3  # pieces that K could not find


def write_regrades(folder: Path, seed: int = SEED) -> None:
    """Write both files; another seed gives other eyes on other pieces."""
    chosen, looked, lost = np.random.default_rng(seed).spawn(3)
    year = pd.read_csv(Path(__file__).parent / "hollowmere_clean.csv", dtype=str)
    pieces = choose_pieces(year, rng=chosen)
    rows = grade_pieces(pieces, rng=looked)
    rows = lose_some(rows, rng=lost)
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([HEADERS, *rows])
    (folder / "hollowmere_regrades.csv").write_bytes(text.getvalue().encode())
    (folder / "hollowmere_regrades_truth.toml").write_bytes(describe_truth(seed).encode())


def choose_pieces(year: pd.DataFrame, *, rng: np.random.Generator) -> pd.DataFrame:
    """Return pieces with both grades, a few from every firing, in random order."""
    both = year[year["luster"].notna() & year["crackle_density"].notna()]
    shuffled = both.iloc[rng.permutation(len(both))]
    place = shuffled.groupby("firing_id").cumcount()
    return shuffled.assign(place=place).sort_values("place", kind="stable").head(PIECES)


def grade_pieces(pieces: pd.DataFrame, *, rng: np.random.Generator) -> list[list[str]]:
    """Return every grading as a row: W knowing, then W, K and Joan blind, day by day."""
    n = len(pieces)
    session = rng.permutation(np.arange(n) % SESSIONS)
    when = session / (SESSIONS - 1)
    looks = [("W", False), ("W", True), ("K", True), ("Joan", True)]
    grades = {
        (name, place): draw_grades(
            truth, _qualities(pieces[name], truth), grader=_find(truth, grader),
            when=when, is_known=not is_blind, rng=rng,
        )
        for name, truth in TRUTHS.items()
        for place, (grader, is_blind) in enumerate(looks)
    }  # fmt: skip
    rows = []
    for place, (grader, is_blind) in enumerate(looks):
        for at in np.argsort(session, kind="stable"):
            piece = pieces.iloc[at]
            day = FIRST_DAY + timedelta(days=int(session[at]) * DAYS_BETWEEN - 2 * (not is_blind))
            luster = int(grades["luster", place][at])
            rows.append(
                [piece["piece_id"], piece["firing_id"], grader, day.isoformat(),
                 "yes" if is_blind else "no", WORDS[luster] if grader == "Joan" else str(luster),
                 str(int(grades["crackle_density", place][at]))]
            )  # fmt: skip
    return rows


def _find(truth: RegradeTruth, name: str) -> GraderTruth:
    return next(grader for grader in truth.graders if grader.name == name)


def _qualities(grades: "pd.Series[str]", truth: RegradeTruth) -> FloatArray:
    """Return how good each piece really is: in the order of the log's grades, normal in shape."""
    order = np.lexsort((grades.index.to_numpy(), grades.astype(int).to_numpy()))
    rank = np.empty(len(grades))
    rank[order] = np.arange(len(grades))
    return truth.piece_sd * ndtri((rank + 0.5) / len(grades))


def lose_some(rows: list[list[str]], *, rng: np.random.Generator) -> list[list[str]]:
    """Return the rows without the pieces K could not find, and one cell that cannot be read."""
    of_k = [place for place, row in enumerate(rows) if row[2] == "K"]
    gone = {int(place) for place in rng.choice(of_k, size=NOT_FOUND + 1, replace=False)}
    between = max(gone)
    told = [list(row) for row in rows]
    told[between][5] = "2 or 3"
    return [row for place, row in enumerate(told) if place not in gone - {between}]


def describe_truth(seed: int) -> str:
    """Return what is really so, as TOML; every number in log-odds of a higher grade."""
    lines = [
        "# What is really so in hollowmere_regrades.csv. Made by make_regrades.py.",
        f"seed = {seed}",
        f"pieces = {PIECES}",
        f"days = {DAYS_BETWEEN * (SESSIONS - 1)}",
    ]
    for name, truth in TRUTHS.items():
        lines += ["", f"[{name}]", f"reliability = {truth.reliability():.3f}"]
        for grader in truth.graders:
            lines.append(
                f"{grader.name} = {{ strict = {grader.strict}, drift = {grader.drift}, "
                f"halo = {grader.halo} }}"
            )
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    write_regrades(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
