"""What is to be drawn, in the reader's units, before anything draws it.

These records hold no matplotlib object, so that a document can be built, compared and tested
without it. Everything is on the pieces-per-100 scale or in the unit shown to the reader.
"""

from dataclasses import dataclass
from typing import TypeAlias

from outcomes.effects.effect import Word


@dataclass(frozen=True, slots=True, kw_only=True)
class StripRow:
    """One line of a strip picture.

    ``change``, ``low``, ``high`` in pieces per 100; ``low`` and ``high`` None when there is
    no interval. ``number`` is the change in words ("31 fewer").
    """

    label: str
    detail: str
    number: str
    change: float
    low: float | None
    high: float | None
    word: Word | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StripDrawing:
    """Dots and intervals on a pieces-per-100 scale, with the band that is too small to matter.

    ``fewer``, ``more``, ``band_label`` are the words at the ends and on the band.
    """

    rows: tuple[StripRow, ...]
    band: float
    fewer: str
    more: str
    band_label: str
    axis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePanel:
    """The chances along one factor, for one group of pieces.

    ``at`` are numbers in the shown unit, or level names; ``chance`` one tuple a grade
    (lowest grade first), ``reach``, ``low``, ``high`` one value a grid point, all 0..100;
    ``low``/``high`` are empty when there is no interval. ``rug`` are the logged values.
    """

    title: str
    at: tuple[float, ...] | tuple[str, ...]
    chance: tuple[tuple[float, ...], ...]
    reach: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    rug: tuple[float, ...] | tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveDrawing:
    """The chance of reaching the aim above, the chance of each grade below, and the rug."""

    panel: CurvePanel
    grades: tuple[str, ...]
    aim: int
    axis: str
    reach_label: str
    grades_label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GlazeDrawing:
    """The chance of reaching the aim, one small picture a glaze, on one scale."""

    panels: tuple[CurvePanel, ...]
    axis: str
    reach_label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PotsDrawing:
    """Two hundreds of small pots: how many reach the aim at each of two values.

    ``counts`` are whole pieces of 100, 1 to 99.
    """

    titles: tuple[str, str]
    counts: tuple[int, int]
    count_labels: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class SharesRow:
    """One bar: what an outcome's differences divide into.

    ``parts`` are (name of the part, parts in 100) in the order they are drawn; ``low``,
    ``high`` the interval of what is yours, None when there is none.
    """

    label: str
    parts: tuple[tuple[str, float], ...]
    yours: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SharesDrawing:
    """One bar an outcome, all from 0 to 100; ``names`` are the (part, words) of the key."""

    rows: tuple[SharesRow, ...]
    names: tuple[tuple[str, str], ...]
    yours: str
    axis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerLine:
    """What trials with so many pieces a firing do as firings grow.

    ``value`` one number a place of ``firings``, per 100; ``low`` and ``high`` how far the
    simulation leaves it open, empty where nothing is to be drawn.
    """

    label: str
    firings: tuple[int, ...]
    value: tuple[float, ...]
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerPanel:
    """Several lines over firings on a scale from 0 to ``top``, with a line to reach at ``goal``."""

    title: str
    lines: tuple[PowerLine, ...]
    top: int = 100
    goal: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerDrawing:
    """Panels over the same firings; the lines have the same labels in all."""

    panels: tuple[PowerPanel, ...]
    axis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GridDrawing:
    """How often two graders gave which grades: ``counts`` rows by ``one``, columns by ``other``."""

    grades: tuple[str, ...]
    counts: tuple[tuple[int, ...], ...]
    one: str
    other: str


Drawing: TypeAlias = (
    StripDrawing
    | CurveDrawing
    | GlazeDrawing
    | PotsDrawing
    | SharesDrawing
    | PowerDrawing
    | GridDrawing
)
