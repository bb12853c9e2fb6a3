"""The quantities that can be computed from logged ones, and how each is computed.

A computed quantity is a *condition*, though the maker chose what it is made of: nobody sets a
skin temperature, it follows from the pull, the seconds and the wall. As a condition it is never
ranked among the settings and never becomes advice, which it must not: "hotter at the can" says
"hurry". It repeats its ingredients, so it enters no model beside them (`derived_swap`).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.log.codebook import Direction, Factor, Kind, Role, Shape
from outcomes.log.cooling import cool
from outcomes.log.cooling_error import DEFAULT_ERRORS, estimate_cooling_error
from outcomes.log.slab import FloatArray

COMPUTED_NOTE = "computed, for ordering pieces only"
AIR_G_PER_L = 1.2  # near 20 °C at sea level
PAPER_NEEDS_AIR = 5.1  # g of air to burn 1 g: C6H10O5 + 6 O2, air being 23.2 % oxygen by mass
ASSUMED_WALL_MM = 6.0  # common practice, no source: walls of 5 to 8 mm are typical
ASSUMED_WALL_SD_MM = 2.0  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Computed:
    """One computed column.

    Parameters
    ----------
    values : array, shape (n,)
        In the factor's unit; NaN where an ingredient is missing.
    sd : array, shape (n,)
        What the readings alone leave open, same unit; NaN where that is not known.
    assumed : array, shape (n,)
        True where a value stands on the assumed wall.
    """

    values: FloatArray
    sd: FloatArray
    assumed: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CooledPieces:
    """Skin and mean temperature of every piece at the can: one computation, two quantities."""

    skin: Computed
    mean: Computed


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One quantity that can be computed.

    Parameters
    ----------
    factor
        As it would stand in a codebook.
    needs
        Canonical columns and base units without which there is no value.
    helps
        Columns and units that are used where they are written.
    replaces
        What it stands for in a comparison of explanations.
    compute
        Frame of ``needs`` and ``helps`` (float64, NaN for blank), and a function that returns the
        pieces at the can -> values.
    """

    factor: Factor
    needs: tuple[tuple[str, str], ...]
    helps: tuple[tuple[str, str], ...]
    replaces: tuple[str, ...]
    compute: Callable[[pd.DataFrame, Callable[[], CooledPieces]], Computed]


def fill_ratio(combustible_g: FloatArray, can_volume_l: FloatArray) -> FloatArray:
    """Return the combustible against what the enclosed air can burn, as paper.

    Parameters
    ----------
    combustible_g, can_volume_l : array
        g and L.

    Notes
    -----
    1: the can's air just burns it; above 1 it smokes. Every kind of combustible is reckoned
    as paper. The heat's thinning of the air and leaks are left out.

    Examples
    --------
    >>> float(fill_ratio(np.array([60.0]), np.array([30.0]))[0].round(1))
    8.5
    """
    return combustible_g * PAPER_NEEDS_AIR / (AIR_G_PER_L * can_volume_l)


def cool_pieces(frame: pd.DataFrame) -> CooledPieces:
    """Return how hot every piece is at the can; a blank wall counts as the assumed one.

    Each combination of readings is computed once: makers write round numbers.
    """
    pull, seconds, wall = _cooling_columns(frame)
    written = ~np.isnan(pull) & ~np.isnan(seconds)
    assumed = np.isnan(wall) & written
    readings = np.stack([pull, seconds, np.where(assumed, ASSUMED_WALL_MM, wall), assumed])
    distinct, which = np.unique(readings[:, written], axis=1, return_inverse=True)
    at_can = cool(*distinct[:3])
    wall_sd = np.where(distinct[3] > 0.0, ASSUMED_WALL_SD_MM, DEFAULT_ERRORS.wall_sd_mm)
    error = estimate_cooling_error(*distinct[:3], wall_sd_mm=wall_sd)
    found = np.full((4, len(frame)), np.nan)
    each = np.stack([at_can.skin_c, error.skin_sd_c, at_can.mean_c, error.mean_sd_c])
    found[:, written] = each[:, which.ravel()]
    skin, skin_sd, mean, mean_sd = found
    return CooledPieces(
        skin=Computed(values=skin, sd=skin_sd, assumed=assumed),
        mean=_without_assumption(
            np.where(assumed, np.nan, mean), np.where(assumed, np.nan, mean_sd)
        ),
    )


def _skin(_frame: pd.DataFrame, cooled: Callable[[], CooledPieces]) -> Computed:
    """Skin temperature; a blank wall counts as the assumed one."""
    return cooled().skin


def _mean(_frame: pd.DataFrame, cooled: Callable[[], CooledPieces]) -> Computed:
    """Mean temperature of the wall: without its thickness there is none."""
    return cooled().mean


def _per_litre(frame: pd.DataFrame, _cooled: Callable[[], CooledPieces]) -> Computed:
    """Combustible a litre of can."""
    values = _column(frame, "combustible_g") / _volume(frame)
    return _without_assumption(values, np.full(len(frame), np.nan))


def _to_air(frame: pd.DataFrame, _cooled: Callable[[], CooledPieces]) -> Computed:
    """Combustible against the can's air."""
    values = fill_ratio(_column(frame, "combustible_g"), _volume(frame))
    return _without_assumption(values, np.full(len(frame), np.nan))


def _without_assumption(values: FloatArray, sd: FloatArray) -> Computed:
    return Computed(values=values, sd=sd, assumed=np.zeros(len(values), dtype=bool))


def _cooling_columns(frame: pd.DataFrame) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return pull (°C), seconds and wall (mm), what cannot be made NaN."""
    pull, seconds = _column(frame, "pull_temp_c"), _column(frame, "seconds_to_can")
    wall = _column(frame, "wall_thickness_mm")
    return (
        np.where(pull > -273.15, pull, np.nan),
        np.where(seconds >= 0, seconds, np.nan),
        np.where(wall > 0, wall, np.nan),
    )


def _volume(frame: pd.DataFrame) -> FloatArray:
    volume = _column(frame, "can_volume_l")
    return np.where(volume > 0, volume, np.nan)


def _column(frame: pd.DataFrame, name: str) -> FloatArray:
    """Return a column, all NaN when there is none."""
    if name not in frame:
        return np.full(len(frame), np.nan)
    return frame[name].to_numpy(dtype=np.float64)


def _factor(name: str, label: str, *, unit: str, step: float, shape: Shape, note: str) -> Factor:
    return Factor(
        name=name,
        label=f"{label} (computed)",
        role=Role.CONDITION,
        kind=Kind.NUMBER,
        shape=shape,
        unit=unit,
        accepted_units=(unit,),
        step=step,
        hot=Direction.HIGHER,
        safety_note=note,
    )


_HASTE = (
    "This temperature is computed, not a target: do not hurry with hot ware; move the can "
    "nearer to the kiln, clear the ground and rehearse the path cold."
)
_FLAME = (
    "More combustible in a can means a taller flame: keep cans apart and the ground clear, "
    "and stand aside when you lay the lid on."
)
_COOLING = (("pull_temp_c", "C"), ("seconds_to_can", "s"))
_WALL = (("wall_thickness_mm", "mm"),)
_FILLING = (("combustible_g", "g"), ("can_volume_l", "L"))

COOLING_COLUMNS = (*_COOLING, *_WALL)
QUANTITIES: tuple[Quantity, ...] = (
    Quantity(
        factor=_factor(
            "skin_at_can_c",
            "Skin temperature at the can",
            unit="C",
            step=10.0,
            shape=Shape.WINDOW,
            note=_HASTE,
        ),
        needs=_COOLING,
        helps=_WALL,
        replaces=("pull_temp_c", "seconds_to_can"),
        compute=_skin,
    ),
    Quantity(
        factor=_factor(
            "mean_at_can_c",
            "Mean wall temperature at the can",
            unit="C",
            step=10.0,
            shape=Shape.WINDOW,
            note=_HASTE,
        ),
        needs=_COOLING + _WALL,
        helps=(),
        replaces=("pull_temp_c", "seconds_to_can"),
        compute=_mean,
    ),
    Quantity(
        factor=_factor(
            "combustible_per_litre",
            "Combustible per litre of can",
            unit="g/L",
            step=0.5,
            shape=Shape.SATURATING,
            note=_FLAME,
        ),
        needs=_FILLING,
        helps=(),
        replaces=("combustible_g", "can_volume_l"),
        compute=_per_litre,
    ),
    Quantity(
        factor=_factor(
            "combustible_to_air",
            "Combustible against what the can's air can burn",
            unit="",
            step=2.0,
            shape=Shape.SATURATING,
            note=_FLAME,
        ),
        needs=_FILLING,
        helps=(),
        replaces=("combustible_g", "can_volume_l"),
        compute=_to_air,
    ),
)
"""In the order they are shown."""

COMPARED = ("skin_at_can_c", "mean_at_can_c", "combustible_per_litre")
"""What is compared with its ingredients; the last two quantities differ by a constant factor."""
