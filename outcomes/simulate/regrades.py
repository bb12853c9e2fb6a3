"""Gradings of the same pieces with known truth: who is strict, who drifts, who hopes."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.model.fit import FloatArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class GraderTruth:
    """One grader; everything in log-odds of a higher grade.

    ``strict`` lowers every grade, ``drift`` raises them from the first to the last day,
    ``halo`` raises the grades of pieces that are known.
    """

    name: str
    strict: float = 0.0
    drift: float = 0.0
    halo: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RegradeTruth:
    """What is really so.

    Parameters
    ----------
    graders
        Who grades every piece.
    thresholds
        K-1 cut points, increasing, log-odds.
    piece_sd
        Spread of the pieces, their firings' luck included, log-odds.
    firing_share
        Share of the pieces' variance that lies between firings.
    """

    graders: tuple[GraderTruth, ...]
    thresholds: tuple[float, ...]
    piece_sd: float
    firing_share: float = 0.0

    def reliability(self) -> float:
        """Return the correlation of two grades of one piece.

        >>> truth = RegradeTruth(graders=(), thresholds=(0.0,), piece_sd=0.0)
        >>> truth.reliability()
        0.0
        """
        return self.piece_sd**2 / (self.piece_sd**2 + np.pi**2 / 3.0)


def draw_qualities(
    truth: RegradeTruth, firing: IntArray, *, rng: np.random.Generator
) -> FloatArray:
    """Return how good each piece really is, log-odds, shape (n,).

    Parameters
    ----------
    truth
        Spread of pieces and firings.
    firing : int array, shape (n,)
        Firing 0..G-1 of each piece.
    rng
        Where the luck comes from.
    """
    between = rng.normal(size=int(firing.max()) + 1)[firing]
    within = rng.normal(size=len(firing))
    share = truth.firing_share
    mixed = np.sqrt(share) * between + np.sqrt(1.0 - share) * within
    return np.asarray(truth.piece_sd * mixed)


def draw_grades(  # noqa: PLR0913 - a truth, the pieces, and the circumstances of one look
    truth: RegradeTruth,
    quality: FloatArray,
    *,
    grader: GraderTruth,
    when: FloatArray,
    is_known: bool,
    rng: np.random.Generator,
) -> IntArray:
    """Return one grader's grade of every piece, 0..K-1, shape (n,).

    Parameters
    ----------
    truth, quality, grader
        The scale, the pieces, the eyes.
    when : array, shape (n,)
        Day of grading, 0 the first and 1 the last.
    is_known
        True when the grader knows the pieces.
    rng
        Where the wavering comes from.
    """
    seen = quality - grader.strict + grader.drift * when + (grader.halo if is_known else 0.0)
    seen = seen + rng.logistic(size=len(quality))
    return np.asarray((seen[:, None] > np.asarray(truth.thresholds)).sum(axis=1), dtype=np.int64)


def draw_regrades(
    truth: RegradeTruth, *, firings: int, pieces: int, rng: np.random.Generator
) -> pd.DataFrame:
    """Return blind gradings of firings x pieces, as `Gradings.entries` has them.

    The outcome's column is "grade"; days of grading run over 60 days, piece by piece.
    """
    firing = np.repeat(np.arange(firings), pieces)
    n = len(firing)
    quality = draw_qualities(truth, firing, rng=rng)
    when = rng.permutation(n) / max(1, n - 1)
    days = pd.Timestamp("2025-01-01") + pd.to_timedelta(np.round(60 * when), unit="D")
    parts = [
        pd.DataFrame(
            {
                "file": "grades.csv",
                "row": np.arange(n) + 2,
                "piece": [f"P{number:04d}" for number in range(n)],
                "firing": [f"F{number:03d}" for number in firing],
                "grader": grader.name,
                "blind": "yes",
                "graded_on": days,
                "grade": draw_grades(
                    truth, quality, grader=grader, when=when, is_known=False, rng=rng
                ).astype(np.float64),
            }
        )
        for grader in truth.graders
    ]
    return pd.concat(parts, ignore_index=True)
