"""Writing clean values the way a hurried hand does, so that what was meant stays known."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from outcomes.errors import RequestError

_FRACTIONS = {0.25: "¼", 0.5: "½", 0.75: "¾"}


class Style(StrEnum):
    """How one number is put on paper."""

    PLAIN = "plain"  # 12
    UNIT = "unit"  # 12 s
    TIGHT = "tight"  # 12s
    ABOUT = "about"  # ~12
    ISH = "ish"  # 12ish
    DOUBT = "doubt"  # 12?
    RANGE = "range"  # 11-13, whole numbers at both ends
    CLOCK = "clock"  # 0:12, of seconds
    PRIME = "prime"  # 12'30", of minutes that are not whole
    FRACTION = "fraction"  # 12½ sheets


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way of writing a column: its style, its unit word, how often, half a range's width."""

    style: Style
    unit: str = ""
    weight: float = 1.0
    reach: float = 1.0


def write_amount(value: float, way: Way) -> str:
    """Return a number as a hand would write it that way.

    The text always means ``value``: a range is centred on it. Where the style cannot say the
    number (a range below zero, 12½ of something that is not a half) it is written with its
    unit instead.

    >>> write_amount(12.0, Way(style=Style.RANGE, unit="min", reach=2))
    '10-14 min'
    >>> write_amount(12.5, Way(style=Style.FRACTION, unit="sheets"))
    '12½ sheets'
    """
    text, spaced = f"{value:.10g}", f" {way.unit}" if way.unit else ""
    low, high = f"{value - way.reach:.10g}", f"{value + way.reach:.10g}"
    minutes, seconds = divmod(round(60 * value if way.style is Style.PRIME else value), 60)
    written = {
        Style.PLAIN: text,
        Style.UNIT: text + spaced,
        Style.TIGHT: text + way.unit,
        Style.ABOUT: f"~{text}{spaced}",
        Style.ISH: f"{text}ish",
        Style.DOUBT: f"{text}?",
        Style.RANGE: f"{low}-{high}{spaced}",
        Style.CLOCK: f"{minutes}:{seconds:02d}",
        Style.PRIME: f"{minutes}'{seconds:02d}\"",
        Style.FRACTION: f"{int(value) or ''}{_FRACTIONS.get(value % 1, '')}{spaced}",
    }
    return written[way.style if _can_say(value, way) else Style.UNIT]


def _can_say(value: float, way: Way) -> bool:
    """Say whether the style can write the number without changing it."""
    match way.style:
        case Style.RANGE:
            return value > way.reach and (value - way.reach) % 1 == 0
        case Style.CLOCK:
            return value == round(value)
        case Style.PRIME:
            return value % 1 != 0 and 60 * value == round(60 * value)
        case Style.FRACTION:
            return value % 1 in _FRACTIONS
    return True


def write_column(
    values: Sequence[float], ways: Sequence[Way], *, rng: np.random.Generator
) -> list[str]:
    """Return each number written in one of these ways, drawn by weight; NaN gives ""."""
    weights = np.array([way.weight for way in ways])
    drawn = rng.choice(len(ways), size=len(values), p=weights / weights.sum())
    return [
        "" if np.isnan(value) else write_amount(float(value), ways[i])
        for value, i in zip(values, drawn, strict=True)
    ]


def write_words(
    values: Sequence[object],
    words: dict[str, tuple[str, ...]],
    *,
    rng: np.random.Generator,
) -> list[str]:
    """Return each level as one of its words, the first most often; None gives "".

    Raises
    ------
    RequestError
        If a level has no words.
    """
    texts = []
    for value in values:
        if value is None or value != value:  # noqa: PLR0124 - NaN is not itself
            texts.append("")
            continue
        choices = words.get(str(value))
        if not choices:
            raise RequestError(f"no words were given for {value!r}; there are {sorted(words)!r}.")
        usual = rng.random() < 0.6
        texts.append(choices[0] if usual else choices[int(rng.integers(len(choices)))])
    return texts


def write_dittos(
    texts: Sequence[str],
    same: Sequence[bool],
    *,
    share: float,
    marks: Sequence[str] = ('"',),
    rng: np.random.Generator,
) -> list[str]:
    """Return the texts with a ditto mark for some cells that repeat the one above.

    Parameters
    ----------
    texts
        The column as written.
    same
        True where the cell means the same as the one above it, and that one can be read.
    share
        Share of those cells that get a mark.
    marks
        The marks in use.
    """
    out = []
    for text, repeats in zip(texts, same, strict=True):
        draw = rng.random()
        marked = bool(repeats) and bool(text) and draw < share
        out.append(marks[int(rng.integers(len(marks)))] if marked else text)
    return out
