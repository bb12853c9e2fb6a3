"""Boxes, bands and sticks: what matplotlib makes of them, without asking any axes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.collections import FillBetweenPolyCollection, LineCollection, PolyCollection
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle in pixels from the top left."""

    left: float
    right: float
    top: float
    bottom: float


def make_box(
    box: Box, *, fill: str, edge: str = "none", width: float = 0.0, zorder: float = 1
) -> PolyCollection:
    """Return a filled rectangle, with an edge of that width or without one."""
    foot_left, foot_right = (box.left, box.bottom), (box.right, box.bottom)
    # The foot twice: as the area between two lines is drawn.
    corners = [foot_left, (box.left, box.top), (box.right, box.top), *[foot_right] * 2, foot_left]
    return PolyCollection([corners], facecolor=fill, edgecolor=edge, linewidth=width,
                          zorder=zorder)  # fmt: skip


def make_band(
    at: FloatArray, low: FloatArray, high: FloatArray, *, colour: str
) -> FillBetweenPolyCollection:
    """Return the area between two lines; where one is not known there is none."""
    lines = (np.ma.masked_invalid(line) for line in (at, low, high))
    return FillBetweenPolyCollection("x", *lines, color=colour, linewidth=0)


def make_sticks(
    at: Sequence[float] | FloatArray,
    low: Sequence[float] | FloatArray,
    high: Sequence[float] | FloatArray,
    *,
    colour: str,
    width: float,
    zorder: float = 2,
) -> LineCollection:
    """Return upright lines at some places, each between two ends."""
    ends = np.stack([np.column_stack([at, low]), np.column_stack([at, high])], axis=1)
    return LineCollection(list(ends), colors=colour, linewidths=width, zorder=zorder)
