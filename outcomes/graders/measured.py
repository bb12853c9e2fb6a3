"""A number with the interval from leaving out each firing (or piece) in turn."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from outcomes.model.fit import FloatArray
from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import (
    FEWEST_FIRINGS,
    jackknife_error,
    jackknife_interval,
    two_sided_p,
)
from outcomes.resampling.proportion import wilson_interval

Statistic = Callable[[FloatArray], FloatArray]
_SAME = 1e-12  # leaving one out changes nothing but the last bits


class Scale(StrEnum):
    """On which scale the interval is computed, so that it stays where the number can be."""

    PLAIN = "plain"
    CORRELATION = "correlation"  # -1..1
    SHARE = "share"  # 0..1


class NoInterval(StrEnum):
    """Why a number has no interval."""

    NONE = ""
    FEW = "few"  # fewer than six firings or pieces to leave out
    ALIKE = "alike"  # no disagreement at all: leaving one out changes nothing
    FRAGILE = "fragile"  # without one firing the number would not exist


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One number and how sure it is.

    ``value`` is NaN when it cannot be assessed; ``clusters`` is how many firings or pieces were
    left out in turn; ``p`` is the two-sided probability of 0, 1.0 without an interval.
    """

    value: float
    interval: Interval | None
    clusters: int
    p: float = 1.0
    why_none: NoInterval = NoInterval.NONE


def measure(
    parts: FloatArray,
    statistic: Statistic,
    *,
    confidence: float,
    scale: Scale = Scale.PLAIN,
) -> Measured:
    """Return a number that is a function of sums, with its delete-one jackknife interval.

    Parameters
    ----------
    parts : array, shape (G, ...)
        Each firing's (or piece's) share of the sums; those that add nothing are not counted.
    statistic
        Sums of shape (..., same) to values; called once with a leading axis of G + 1.
    confidence
        Of the interval, t with G - 1 degrees of freedom.
    scale
        Where the number can lie.

    Examples
    --------
    >>> sums = np.array([[1.0, 2.0]] * 3 + [[0.0, 2.0]] * 3)
    >>> told = measure(sums, lambda s: s[..., 0] / s[..., 1], confidence=0.95, scale=Scale.SHARE)
    >>> told.value, round(told.interval.low, 3), round(told.interval.high, 3)
    (0.25, 0.067, 0.607)
    """
    parts = parts[np.abs(parts).reshape(len(parts), -1).sum(axis=1) > 0.0]
    total = parts.sum(axis=0)
    values = statistic(np.concatenate([total[None], total[None] - parts]))
    return from_leaving_out(float(values[0]), values[1:], confidence=confidence, scale=scale)


def from_leaving_out(
    value: float, without: FloatArray, *, confidence: float, scale: Scale = Scale.PLAIN
) -> Measured:
    """Return a number with the interval that its values without each firing give.

    Parameters
    ----------
    value
        Of everything; NaN when it cannot be assessed.
    without : array, shape (G,)
        The same without each firing in turn.
    confidence, scale
        As in `measure`.
    """
    clusters = len(without)
    if not np.isfinite(value):
        return Measured(value=float("nan"), interval=None, clusters=clusters)
    if clusters < FEWEST_FIRINGS:
        return _bare(value, clusters, NoInterval.FEW)
    if not np.isfinite(without).all():
        return _bare(value, clusters, NoInterval.FRAGILE)
    error = float(jackknife_error(without))
    if error < _SAME:
        return _without_spread(value, clusters, confidence=confidence, scale=scale)
    return Measured(
        value=value,
        interval=_interval(value, error, clusters, confidence=confidence, scale=scale),
        clusters=clusters,
        p=two_sided_p(value, error, clusters - 1.0),
    )


def _bare(value: float, clusters: int, why: NoInterval) -> Measured:
    return Measured(value=value, interval=None, clusters=clusters, why_none=why)


def _without_spread(value: float, clusters: int, *, confidence: float, scale: Scale) -> Measured:
    """Return a number that no firing changes: a share of all or none still has an interval."""
    if scale is Scale.SHARE and value in (0.0, 1.0):
        interval = wilson_interval(round(value * clusters), clusters, confidence)
        return Measured(value=value, interval=interval, clusters=clusters)
    return _bare(value, clusters, NoInterval.ALIKE)


def _interval(
    value: float, error: float, clusters: int, *, confidence: float, scale: Scale
) -> Interval:
    """Return the t interval on the scale's own footing."""
    df = clusters - 1.0
    if scale is Scale.PLAIN:
        return jackknife_interval(value, error, df, confidence)
    if scale is Scale.CORRELATION:
        return jackknife_interval(value, error, df, confidence, scale="atanh")
    if value in (0.0, 1.0):
        return wilson_interval(round(value * clusters), clusters, confidence)
    told = jackknife_interval(2.0 * value - 1.0, 2.0 * error, df, confidence, scale="atanh")
    return Interval(low=(told.low + 1.0) / 2.0, high=(told.high + 1.0) / 2.0,
                    confidence=confidence, method=told.method)  # fmt: skip
