"""What makes one person's pieces come out better than another's: their habits, taken apart.

A person's average score is the sum, over the columns of the model, of slope times the average
value of their pieces. The variance of these averages between persons is divided among the
factors by their covariance with the sum, so that the parts add up exactly; a factor in which
everybody is alike gets nothing however strong it is. The person's own term is one of the
parts: hands, clay, and the eye of whoever graded.

Slopes carry luck, and the square of luck is positive: each part is lowered by what luck alone
adds to it, tr(K C) for the between-person covariance K of the columns and the covariance C of
the slopes (the unbiased estimate of a quadratic form).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray, IntArray
from outcomes.effects.replicates import Replicates
from outcomes.resampling.interval import Interval

SURE = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonPart:
    """One factor's part in what persons differ by.

    ``variance`` is on the scale of the score, squared log-odds; ``share`` of the whole is None
    when the whole is not clear of luck. ``share_first`` is the share of redraws in which the
    part is the largest.
    """

    factor: str
    variance: float
    share: float | None
    interval: Interval | None
    share_first: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonSplit:
    """The parts, largest first; ``spread`` is the standard deviation between persons."""

    parts: tuple[PersonPart, ...]
    spread: float
    is_clear: bool

    def first(self) -> PersonPart | None:
        """Return the part that is surely the largest, if any is."""
        if not self.is_clear:
            return None
        return next((part for part in self.parts if part.share_first >= SURE), None)


def split_between(replicates: Replicates, person: Sequence[int] | IntArray) -> PersonSplit:
    """Return what the average scores of persons differ by, factor by factor.

    Parameters
    ----------
    replicates
        One outcome's fit with its redraws.
    person : int, shape (n,)
        Number of the person of each piece, -1 for those of nobody who is compared.
    """
    design, slopes = replicates.design, replicates.slopes
    between = _between(design.X, np.asarray(person))
    luck = np.diag(between @ replicates.spread(slopes))
    # A redraw's slopes carry luck twice: their own and that of the log they were drawn from.
    twice = np.full((len(slopes), 1), 2.0)
    twice[0] = 1.0
    parts = _gather(
        slopes * (slopes @ between) - twice * luck,
        [list(term.slots) for term in design.spec.terms],
    )
    return _summarise([term.factor for term in design.spec.terms], parts, replicates)


def _between(X: FloatArray, person: np.ndarray) -> FloatArray:
    """Return the covariance of the columns' averages between persons, shape (p, p)."""
    numbers = np.unique(person[person >= 0])
    means = np.array([X[person == number].mean(axis=0) for number in numbers])
    sizes = np.array([(person == number).sum() for number in numbers], dtype=float)
    weights = sizes / sizes.sum()
    centred = means - weights @ means
    return np.asarray((centred * weights[:, None]).T @ centred)


def _gather(parts: FloatArray, slots: list[list[int]]) -> FloatArray:
    """Return the parts of the factors, shape (..., F)."""
    return np.stack([parts[..., own].sum(axis=-1) for own in slots], axis=-1)


def _summarise(names: list[str], parts: FloatArray, replicates: Replicates) -> PersonSplit:
    """Return the parts, shape (1 + B, F), in words of shares."""
    wholes = parts.sum(axis=1)
    is_clear = bool(wholes[0] > 0.0 and replicates.interval(wholes).low > 0.0)
    first = np.bincount(parts[1:].argmax(axis=1), minlength=len(names)) / (len(parts) - 1)
    # Redraws without any difference have no shares; the fit's own comes first and is kept.
    shares = parts[wholes > 0.0] / wholes[wholes > 0.0, None]
    found = [
        PersonPart(
            factor=name,
            variance=float(parts[0, f]),
            share=float(shares[0, f]) if is_clear else None,
            interval=replicates.interval(shares[:, f]) if is_clear else None,
            share_first=float(first[f]),
        )
        for f, name in enumerate(names)
    ]
    return PersonSplit(
        parts=tuple(sorted(found, key=lambda part: -part.variance)),
        spread=float(max(wholes[0], 0.0) ** 0.5),
        is_clear=is_clear,
    )
