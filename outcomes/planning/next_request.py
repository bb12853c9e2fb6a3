"""What a maker asks of a plan: how many firings, what may vary, what may not."""

from collections.abc import Iterable
from dataclasses import dataclass

from outcomes.errors import RequestError

FEWEST_FIRINGS, MOST_FIRINGS = 2, 24
FEWEST_PIECES, MOST_PIECES = 2, 40
MOST_VALUES = 25
ALTERNATIVES = (2, 4, 6, 8)
STARTS = 50  # method_in_depth.md §16: at least 50 random starts


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """Values a maker allows for one setting: names, or a range with a step in the base unit."""

    factor: str
    names: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0
    step: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One side of a pair: a setting at a name, or anywhere from ``low`` to ``high``."""

    factor: str
    name: str = ""
    low: float = 0.0
    high: float = 0.0

    def holds(self, value: float | str) -> bool:
        """Return whether a value of the setting is meant.

        >>> Part(factor="seconds_to_can", low=2, high=5).holds(4.0)
        True
        """
        if isinstance(value, str):
            return value == self.name
        return not self.name and self.low <= value <= self.high


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRequest:
    """What to plan; with the log it determines every byte of the plan.

    Parameters
    ----------
    firings, pieces
        How many, and how many pieces in each; None: as many as a usual firing of the log.
    factors
        The settings to vary; () leaves the choice to the plan.
    most_settings
        How many settings the plan may vary when ``factors`` is ().
    outcomes
        Whose questions count; () means every outcome's.
    keep
        (setting, value as written): held there.
    only
        (setting, names): the only names that may be used, such as the glazes mixed up.
    allow
        Values beyond those logged, or other steps.
    never
        Pairs that must not meet on one piece.
    repeats
        Firings that repeat the usual settings; None: one in five.
    alternatives
        Other numbers of firings to plan for comparison.
    starts, seed, confidence
        Of the search, and of the intervals whose width is foretold.
    """

    firings: int = 4
    pieces: int | None = None
    factors: tuple[str, ...] = ()
    most_settings: int = 4
    outcomes: tuple[str, ...] = ()
    keep: tuple[tuple[str, str], ...] = ()
    only: tuple[tuple[str, tuple[str, ...]], ...] = ()
    allow: tuple[Allowed, ...] = ()
    never: tuple[tuple[Part, Part], ...] = ()
    repeats: int | None = None
    alternatives: tuple[int, ...] = ALTERNATIVES
    starts: int = STARTS
    seed: int = 1
    confidence: float = 0.95

    def __post_init__(self) -> None:
        _check_count(self.firings, "firings", FEWEST_FIRINGS, MOST_FIRINGS)
        if self.pieces is not None:
            _check_count(self.pieces, "pieces", FEWEST_PIECES, MOST_PIECES)
        if self.repeats is not None and not 0 <= self.repeats < self.firings:
            raise RequestError(
                f"{self.repeats} firings that repeat the usual settings were asked for, of "
                f"{self.firings} in all. At least one must be left to vary something: ask for "
                f"0 to {self.firings - 1}."
            )

    def count_repeats(self) -> int:
        """Return how many firings repeat the usual settings: one in five, rounded.

        >>> [PlanRequest(firings=n).count_repeats() for n in (2, 4, 6, 8)]
        [0, 1, 1, 2]
        """
        return round(self.firings / 5) if self.repeats is None else self.repeats


def parse_keep(texts: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Return what is held where.

    >>> parse_keep(["quench=none"])
    (('quench', 'none'),)
    """
    return tuple(_split(text, "--keep", "quench=none") for text in texts)


def parse_only(texts: Iterable[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the only names that may be used.

    >>> parse_only(["glaze=Tarn Lantern, Moth Ledger"])
    (('glaze', ('Tarn Lantern', 'Moth Ledger')),)
    """
    pairs = (_split(text, "--only", "glaze=Tarn Lantern,Moth Ledger") for text in texts)
    return tuple((name, _names(value)) for name, value in pairs)


def parse_allow(texts: Iterable[str]) -> tuple[Allowed, ...]:
    """Return the values allowed: LOW:HIGH:STEP in the base unit, or names.

    >>> parse_allow(["pull_temp_c=900:1000:20"])[0].step
    20.0
    """
    return tuple(_parse_allowed(text) for text in texts)


def parse_never(texts: Iterable[str]) -> tuple[tuple[Part, Part], ...]:
    """Return pairs that must not meet, each "NAME=VALUE & NAME=VALUE".

    >>> parse_never(["quench=dunk & wall_thickness_mm=3:5"])[0][1].high
    5.0
    """
    return tuple(_parse_pair(text) for text in texts)


def parse_names(text: str) -> tuple[str, ...]:
    """Return comma-separated names; () for an empty text."""
    return _names(text)


def _check_count(count: int, what: str, fewest: int, most: int) -> None:
    if fewest <= count <= most:
        return
    why = (
        "what one firing differs in cannot be told from its luck"
        if what == "firings" and count < fewest
        else "fire what you can, then plan again with what you have learnt"
        if count > most
        else "pieces of one firing are compared with one another"
    )
    raise RequestError(
        f"{count} {what} were asked for; {fewest} to {most} can be planned: {why}. Ask for "
        f"another number with --{what}."
    )


def _split(text: str, option: str, example: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not (equals and name.strip() and value.strip()):
        raise RequestError(
            f"{option} {text!r} is not NAME=VALUE. Write it like {option} {example!r}."
        )
    return name.strip(), value.strip()


def _names(text: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))


def _parse_allowed(text: str) -> Allowed:
    name, value = _split(text, "--allow", "pull_temp_c=900:1000:20")
    if ":" not in value:
        return Allowed(factor=name, names=_names(value))
    numbers = _numbers(value)
    if numbers is None or len(numbers) != 3:
        raise RequestError(
            f"--allow {text!r}: {value!r} was found; LOW:HIGH:STEP was expected, three numbers "
            f"in the unit of the column's name. Write it like 'pull_temp_c=900:1000:20'."
        )
    low, high, step = numbers
    if not (low < high and 0 < step <= high - low):
        raise RequestError(
            f"--allow {text!r}: a step of {step:g} does not fit between {low:g} and {high:g}. "
            f"The second number must be the larger one, and the step no longer than the way "
            f"between them."
        )
    if (high - low) / step > MOST_VALUES - 1:
        raise RequestError(
            f"--allow {text!r}: that is more than {MOST_VALUES} values. Take a longer step; "
            f"few values far apart tell most."
        )
    return Allowed(factor=name, low=low, high=high, step=step)


def _parse_pair(text: str) -> tuple[Part, Part]:
    sides = text.split("&")
    if len(sides) != 2:
        raise RequestError(
            f"--never {text!r}: two settings joined by '&' were expected. Write it like "
            f"'quench=dunk & combustible_kind=straw'."
        )
    first, second = (_parse_part(side, text) for side in sides)
    return first, second


def _parse_part(side: str, text: str) -> Part:
    name, value = _split(side, f"--never {text!r}:", "quench=dunk & wall_thickness_mm=3:5")
    numbers = _numbers(value)
    if numbers is None:
        return Part(factor=name, name=value)
    if len(numbers) > 2 or numbers[0] > numbers[-1]:
        raise RequestError(
            f"--never {text!r}: {value!r} is no value and no LOW:HIGH. Write the smaller number "
            f"first, like 'wall_thickness_mm=3:5'."
        )
    return Part(factor=name, low=numbers[0], high=numbers[-1])


def _numbers(value: str) -> list[float] | None:
    """Return the numbers of "900:1000:20"; None when a part is no finite number."""
    try:
        numbers = [float(part) for part in value.split(":")]
    except ValueError:
        return None
    return numbers if all(abs(number) < 1e9 for number in numbers) else None
