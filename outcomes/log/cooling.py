"""How hot a wall still is after some seconds in air: one-dimensional transient conduction.

A wall of thickness L leaves the kiln at one temperature all through. Its outer face radiates
and convects to the air; its inner face does the same at a fraction of the strength, because
the inside of a pot mostly sees itself. The Biot number is about 0.8 for 6 mm, so the wall
cannot be treated as one lump: the skin runs far ahead of the mean.

The result is **computed, never measured**. The constants are those of a typical open-bodied
clay, not of this pot; with them uncertain the value may be 20 to 50 °C off. It serves to put
pieces *in order*, not to state a temperature.

Notation: T temperature (K), q heat flux (W/m²), L wall (m), k conductivity, ``rho`` density,
``c`` heat capacity, Fo = k t / (rho c L²) the Fourier number.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from outcomes.errors import RequestError
from outcomes.log.slab import FloatArray, Slab, build_slab, solve_faces

STEFAN_BOLTZMANN = 5.670374e-8  # W/(m² K⁴), CODATA 2018
ZERO_CELSIUS = 273.15  # K
PIECES_AT_ONCE = 2048  # 29 x 2048 numbers are 480 kB an array: the march stays in the cache


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A wall and what it cools to.

    Parameters
    ----------
    conductivity
        k, W/(m K).
    density
        kg/m³.
    heat_capacity
        J/(kg K).
    emissivity
        Of the radiating faces, 0 to 1.
    convection
        h, W/(m² K).
    inner_share
        How much of an outer face's loss the inner face has, 0 to 1.
    air_c
        Temperature of air and surroundings, °C.
    """

    conductivity: float
    density: float
    heat_capacity: float
    emissivity: float
    convection: float
    inner_share: float
    air_c: float


CLAY = Material(
    conductivity=1.0,
    density=1900.0,
    heat_capacity=1050.0,
    emissivity=0.90,
    convection=10.0,
    inner_share=0.15,
    air_c=20.0,
)
"""An open clay body in still air; stated round values, no measurement of any one clay."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """How finely a wall is resolved: degree of the polynomials, steps of time."""

    degree: int = 28
    steps: int = 64


DEFAULT_GRID = Grid()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cooled:
    """Temperatures of walls, °C, each array of the shape the inputs broadcast to.

    Parameters
    ----------
    skin_c
        Outer face.
    mean_c
        Mean through the wall (what its stored heat would give when evened out).
    inner_c
        Inner face.
    """

    skin_c: FloatArray
    mean_c: FloatArray
    inner_c: FloatArray


def cool(
    pull_temp_c: ArrayLike,
    seconds: ArrayLike,
    wall_mm: ArrayLike,
    *,
    material: Material = CLAY,
    grid: Grid = DEFAULT_GRID,
) -> Cooled:
    """Return how hot walls are some seconds after they left the kiln.

    Parameters
    ----------
    pull_temp_c : array_like
        Temperature all through the wall at the start, °C.
    seconds : array_like
        Time since, s, at least 0.
    wall_mm : array_like
        Wall thickness, mm, above 0. The three broadcast together.
    material
        Constants of the wall and the air.
    grid
        Resolution.

    Returns
    -------
    Cooled
        Temperatures, °C. NaN wherever an input is NaN.

    Raises
    ------
    RequestError
        If a time is negative, a wall is not above 0 or a temperature is below absolute zero.

    Notes
    -----
    ``rho c dT/dt = k d²T/dx²``; at the outer face ``-k dT/dx = q``, at the inner face
    ``inner_share * q``, with ``q(T) = emissivity sigma (T⁴ - Ta⁴) + h (T - Ta)``. Legendre
    polynomials through the wall (`slab`); the second backward difference in s = sqrt(t), in
    which the sudden start is smooth; Newton steps for the two radiating faces.

    Measured against degree 80 and 1 200 steps on 1 500 random walls each: skin, mean and inner
    face within 0.1 °C of these equations for 400 to 1250 °C, 1 to 600 s, 2 to 40 mm (below 1 s
    the skin within 0.1 °C up to 10 mm and 1.5 °C in a 40 mm wall). What the constants leave
    open is hundreds of times more: with k 0.7 to 1.4, rho 1700 to 2100, c 950 to 1200,
    emissivity 0.80 to 0.95, h 5 to 20 and inner share 0 to 0.4 (our choice of what is
    plausible, no source), skin and mean of a 6 mm wall, 10 s from 980 °C, move by -30 to +30 °C.

    References
    ----------
    H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids, 2nd edition 1959, chapter 3
    (from memory).

    Examples
    --------
    >>> wall = cool(980, 10, 6)
    >>> round(float(wall.skin_c)), round(float(wall.mean_c))
    (778, 894)
    """
    pull, time, wall = np.broadcast_arrays(
        np.asarray(pull_temp_c, float), np.asarray(seconds, float), np.asarray(wall_mm, float)
    )
    _refuse_nonsense(pull, time, wall)
    known = np.isfinite(pull) & np.isfinite(time) & np.isfinite(wall)
    faces = np.full((3, known.size), np.nan)
    readings = np.stack([pull[known], time[known], wall[known]])
    # Makers write round numbers: a hundred thousand pieces hold some thousands of walls.
    distinct, which = np.unique(readings, axis=1, return_inverse=True)
    slab, cooled = build_slab(grid.degree), np.empty((3, distinct.shape[1]))
    for first in range(0, distinct.shape[1], PIECES_AT_ONCE):
        some = slice(first, first + PIECES_AT_ONCE)
        inputs = (distinct[0, some], distinct[1, some], distinct[2, some] / 1000.0)
        cooled[:, some] = _march(inputs, slab, steps=grid.steps, material=material)
    faces[:, known.ravel()] = cooled[:, which.ravel()]
    skin, mean, inner = faces.reshape((3, *pull.shape))
    return Cooled(skin_c=skin, mean_c=mean, inner_c=inner)


def heat_loss(face_c: ArrayLike, material: Material = CLAY) -> FloatArray:
    """Return what an outer face loses by radiation and convection, W/m².

    Parameters
    ----------
    face_c : array_like
        Temperature of the face, °C.
    material
        Constants of the face and the air.

    Examples
    --------
    >>> float(heat_loss(20.0))
    0.0
    """
    face, air = np.asarray(face_c, float) + ZERO_CELSIUS, material.air_c + ZERO_CELSIUS
    radiated = material.emissivity * STEFAN_BOLTZMANN * (face**4 - air**4)
    return np.asarray(radiated + material.convection * (face - air), dtype=np.float64)


def _refuse_nonsense(pull: FloatArray, time: FloatArray, wall: FloatArray) -> None:
    """Raise where an input cannot be; NaN passes."""
    checks: tuple[tuple[NDArray[np.bool_], FloatArray, str], ...] = (
        (pull < -ZERO_CELSIUS, pull, "a pull temperature is at least -273.15 °C"),
        (time < 0, time, "seconds to the can are at least 0"),
        (wall <= 0, wall, "a wall is thicker than 0 mm"),
    )
    for wrong, values, rule in checks:
        if wrong.any():
            found = float(values[wrong].flat[0])
            raise RequestError(f"Cooling in air: found {found:g}, but {rule}. Correct the value.")


def _march(
    inputs: tuple[FloatArray, FloatArray, FloatArray],
    slab: Slab,
    *,
    steps: int,
    material: Material,
) -> FloatArray:
    """Return skin, mean and inner face, °C, shape (3, m), of m pieces (°C, s, m)."""
    pull, time, wall = inputs
    diffusivity = material.conductivity / (material.density * material.heat_capacity)
    fourier = diffusivity * time / wall**2
    over_k = wall / material.conductivity
    start = pull + ZERO_CELSIUS
    before = last = np.outer(slab.uniform, start)
    faces = guess = np.stack([start, start])
    for step in range(1, steps + 1):
        # In s = sqrt(t) the equation is dT/ds = 2 s (...). The first step is the trapezoid,
        # whose s = 0 end vanishes; every other one the second backward difference.
        lead, reach = (1.0, fourier) if step == 1 else (1.5, fourier * (2.0 * step))
        reach = reach / steps**2
        damping = 1.0 / (lead + np.multiply.outer(slab.rates, reach))
        known = damping * (before if step == 1 else 2.0 * last - 0.5 * before)
        new_faces, losses = solve_faces(
            np.stack([slab.outer @ known, slab.inner @ known]),
            reach * over_k * slab.responses(damping),
            guess,
            loss=lambda face: _losses(face, material),
        )
        taken = slab.heat_taken(reach * over_k * losses)
        before, last = last, known - damping * taken
        guess, faces = 2.0 * new_faces - faces, new_faces
    return np.stack([faces[0], slab.uniform @ last, faces[1]]) - ZERO_CELSIUS


def _losses(faces: FloatArray, material: Material) -> tuple[FloatArray, FloatArray]:
    """Return loss (W/m²) and its slope (W/(m² K)) at both faces (K), shape (2, m) each."""
    share = np.array([[1.0], [material.inner_share]])
    air = material.air_c + ZERO_CELSIUS
    radiation = material.emissivity * STEFAN_BOLTZMANN
    cube = faces * faces * faces
    loss = radiation * (cube * faces - air**4) + material.convection * (faces - air)
    slope = 4.0 * radiation * cube + material.convection
    return share * loss, share * slope
