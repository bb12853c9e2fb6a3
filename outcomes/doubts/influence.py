"""How far each effect moves when one firing is left out; free from the jackknife.

A move is measured against the standard error *without* that firing: the full one holds the
firing's own square, so that no firing could ever move an effect by more than about one of it
(the squared jackknife error is nearly the sum of the squared moves). Above 1, one firing holds
more than half of all that is known about the effect's uncertainty (method_in_depth.md §21).
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import FloatArray
from outcomes.effects.averages import build_moved
from outcomes.effects.effect import Effect
from outcomes.effects.evidence import Evidence
from outcomes.effects.measured import predict_changes
from outcomes.effects.support import find_supported
from outcomes.resampling.intervals import jackknife_error

_HARDLY = 1e-3  # of all squares: less than this is not read from a difference


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Influence:
    """One effect without each firing in turn.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    change
        With all firings.
    without : array, shape (G,)
        The change without each firing, in the order of ``Design.firing_names``.
    errors : array, shape (G,)
        Its standard error, from the other firings' moves.
    """

    outcome: str
    factor: str
    change: float
    without: FloatArray
    errors: FloatArray

    @property
    def moves(self) -> FloatArray:
        """Return how far each firing moves the change, in those standard errors."""
        safe = np.where(self.errors > 0.0, self.errors, np.inf)
        return np.asarray((self.without - self.change) / safe)


def measure_influence(evidence: Evidence, effects: Iterable[Effect]) -> tuple[Influence, ...]:
    """Return the delete-one-firing table, one record an effect.

    Parameters
    ----------
    evidence
        The outcome's; its ``without`` holds the parameters without each firing.
    effects
        Of that outcome; those without a standard error are passed over.
    """
    return tuple(
        _one_influence(evidence, effect) for effect in effects if effect.standard_error is not None
    )


def _one_influence(evidence: Evidence, effect: Effect) -> Influence:
    design = evidence.design
    supported = find_supported(design, effect.contrast, evidence.codebook)
    moved = build_moved(design, effect.contrast, supported)
    without = predict_changes(evidence, moved, evidence.without)
    return Influence(
        outcome=effect.outcome,
        factor=effect.contrast.factor,
        change=effect.change,
        without=without,
        errors=_errors_without(without),
    )


def _errors_without(values: FloatArray) -> FloatArray:
    """Return the jackknife error of the firings that are left, leaving out each in turn.

    The squares of the others are all squares about the mean less the one's own, times
    ``G / (G - 1)``; next to nothing is left only where one firing holds them all.
    """
    left = len(values) - 1
    squares = (values - values.mean()) ** 2
    others = squares.sum() - squares * (left + 1.0) / left
    errors = np.sqrt(np.maximum(others, 0.0) * (left - 1.0) / left)
    for firing in np.flatnonzero(others < _HARDLY * squares.sum()):
        errors[firing] = jackknife_error(np.delete(values, firing))
    return np.asarray(errors)
