"""How far a computed wall temperature moves when its readings are as wrong as they may be.

Only the *readings* are propagated here: thermocouple, stopwatch, wall. The constants of the
wall add 20 to 50 °C more, but they move all pieces of a studio together, as does a thermocouple
that reads wrong. So the numbers put pieces in order; they are no temperatures to state.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from outcomes.log.cooling import CLAY, ZERO_CELSIUS, Material, cool
from outcomes.log.slab import FloatArray

CONSTANTS_OFF_C = (20.0, 50.0)
"""What the clay's unknown constants may put a computed temperature off by, °C (cooling.cool)."""

_CLASS_2_C, _CLASS_2_SHARE = 2.5, 0.0075


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingErrors:
    """Standard deviations of what a studio reads off.

    Parameters
    ----------
    seconds_sd
        Stopwatch started and stopped by hand, s (American Journal of Physics 87, 2019, 110).
    wall_sd_mm
        Wall, mm: within 0.5 mm, all values alike (common practice, no source), so 0.5 / √3.
    """

    seconds_sd: float = 0.10
    wall_sd_mm: float = 0.29


DEFAULT_ERRORS = ReadingErrors()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CooledError:
    """Standard deviations of computed temperatures, °C, of the shape of the inputs."""

    skin_sd_c: FloatArray
    mean_sd_c: FloatArray


def thermocouple_limit(temperature_c: ArrayLike) -> FloatArray:
    """Return how far a type K thermocouple of class 2 may read off, °C.

    Parameters
    ----------
    temperature_c : array_like
        What it reads, °C.

    References
    ----------
    IEC 60584-1: class 2, type K, the larger of 2.5 °C and 0.75 %.

    Examples
    --------
    >>> thermocouple_limit([200.0, 980.0]).round(2).tolist()
    [2.5, 7.35]
    """
    temperature = np.asarray(temperature_c, dtype=np.float64)
    return np.maximum(_CLASS_2_C, _CLASS_2_SHARE * np.abs(temperature))


def thermocouple_sd(temperature_c: ArrayLike) -> FloatArray:
    """Return the standard deviation of a thermocouple reading, °C.

    Notes
    -----
    A limit with every value inside it alike has the standard deviation limit / √3 (Guide to
    the expression of uncertainty in measurement, JCGM 100:2008, 4.3.7).
    """
    return np.asarray(thermocouple_limit(temperature_c) / np.sqrt(3.0), dtype=np.float64)


def estimate_cooling_error(
    pull_temp_c: ArrayLike,
    seconds: ArrayLike,
    wall_mm: ArrayLike,
    *,
    wall_sd_mm: ArrayLike | None = None,
    errors: ReadingErrors = DEFAULT_ERRORS,
    material: Material = CLAY,
) -> CooledError:
    """Return the standard deviation that the readings give to skin and mean temperature.

    Parameters
    ----------
    pull_temp_c, seconds, wall_mm : array_like
        As in `cooling.cool`; they broadcast together.
    wall_sd_mm : array_like, optional
        Standard deviation of each wall, mm, where some are assumed, not measured.
    errors
        Of the readings; the thermocouple's follows from the temperature.
    material
        Constants of the wall and the air.

    Raises
    ------
    RequestError
        As `cooling.cool`.

    Notes
    -----
    Delta method by differences: every reading is moved up and down by its standard deviation
    (not below 0 s, nor below half the wall), and the halves of the three differences are added
    in squares. Readings are taken as independent. For *ordering* pieces: `CONSTANTS_OFF_C` is
    not in it.

    Examples
    --------
    >>> error = estimate_cooling_error(980, 10, 6)
    >>> round(float(error.skin_sd_c), 1), round(float(error.mean_sd_c), 1)
    (2.5, 5.4)
    """
    spread = errors.wall_sd_mm if wall_sd_mm is None else wall_sd_mm
    pull, time, wall, wall_sd = np.broadcast_arrays(
        np.asarray(pull_temp_c, dtype=np.float64),
        np.asarray(seconds, dtype=np.float64),
        np.asarray(wall_mm, dtype=np.float64),
        np.asarray(spread, dtype=np.float64),
    )
    readings = np.stack([pull, time, wall])
    sds = np.stack([thermocouple_sd(pull), np.full(time.shape, errors.seconds_sd), wall_sd])
    lowest = np.stack([np.full(pull.shape, -ZERO_CELSIUS), np.zeros(time.shape), wall / 2])
    skin, mean = np.zeros(pull.shape), np.zeros(pull.shape)
    for which in range(3):
        up, down = readings.copy(), readings.copy()
        up[which] = readings[which] + sds[which]
        down[which] = np.maximum(readings[which] - sds[which], lowest[which])
        both = cool(*np.stack([up, down], axis=1), material=material)
        skin += _moved(both.skin_c, sds[which], up[which] - down[which])
        mean += _moved(both.mean_c, sds[which], up[which] - down[which])
    return CooledError(skin_sd_c=np.sqrt(skin), mean_sd_c=np.sqrt(mean))


def _moved(ends: FloatArray, sd: FloatArray, apart: FloatArray) -> FloatArray:
    """Return the squared share of one reading: (slope times standard deviation)²."""
    slope = (ends[0] - ends[1]) / np.where(apart > 0, apart, 1.0)
    return np.asarray((slope * sd) ** 2, dtype=np.float64)
