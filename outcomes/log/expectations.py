"""What the codebook expects in a column, in the maker's own unit, as words for a message."""

from outcomes.log.codebook import Factor, Kind, Outcome, Range
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import unit_of
from outcomes.log.quoting import list_words
from outcomes.log.units import dimension_of, to_base

_SIGNS = {"C": "°C", "F": "°F", "pct": "%", "count": ""}


def unit_sign(unit: str) -> str:
    """Return a unit code as it is printed.

    >>> unit_sign("C"), unit_sign("count"), unit_sign("g")
    ('°C', '', 'g')
    """
    return _SIGNS.get(unit, unit)


def find_factor(log: FiringLog, column: str) -> Factor | None:
    """Return the codebook's factor of that name, None when it has none."""
    return next((factor for factor in log.codebook.factors if factor.name == column), None)


def find_outcome(log: FiringLog, column: str) -> Outcome | None:
    """Return the codebook's outcome of that name, None when it has none."""
    return next((outcome for outcome in log.codebook.outcomes if outcome.name == column), None)


def describe_range(limits: Range, *, base: str, unit: str = "") -> str:
    """Return a range in the unit of the maker's header, the base unit beside it.

    >>> describe_range(Range(low=400, high=1250), base="C", unit="F")
    '752 to 2282 °F (400 to 1250 °C)'
    >>> describe_range(Range(low=0, high=100), base="pct")
    '0 to 100 %'
    """
    plain = f"{limits.low:g} to {limits.high:g} {unit_sign(base)}".rstrip()
    if not unit or unit == base or not dimension_of(unit):
        return plain
    low, high = (to_base(end, base, unit) for end in (limits.low, limits.high))
    return f"{low:.6g} to {high:.6g} {unit_sign(unit)} ({plain})".replace("  ", " ")


def describe_expected(log: FiringLog, column: str, *, file: str | None = None) -> str:
    """Return what a cell of this column may hold, to follow "Expected"; "" when anything."""
    factor, outcome = find_factor(log, column), find_outcome(log, column)
    if outcome is not None:
        return "one of " + list_words([level.name for level in outcome.levels], most=12, last="or")
    if factor is not None:
        return _factor_expected(factor, unit=unit_of(log, column, file=file))
    if column and column == log.codebook.date:
        return "a day that exists, such as 2025-04-30"
    return "a number of pieces" if column and column == log.codebook.loaded else ""


def _factor_expected(factor: Factor, *, unit: str) -> str:
    """Return what a factor's cell may hold."""
    if factor.kind is Kind.LEVELS:
        return "one of " + list_words(factor.levels, most=12, last="or")
    if factor.kind is not Kind.NUMBER:
        return ""
    if factor.possible is None:
        return f"a number in {unit_sign(factor.unit)}" if factor.unit else "a number"
    return f"a number from {describe_range(factor.possible, base=factor.unit, unit=unit)}"
