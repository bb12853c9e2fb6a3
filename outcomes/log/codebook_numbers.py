"""Rules of a codebook file about numbers: ranges, steps, measures and units."""

from collections.abc import Iterator

from outcomes.log.codebook_entries import FactorEntry
from outcomes.log.codebook_problems import Problem, join_words, quote, suggest
from outcomes.log.units import UNITS, dimension_of, find_unit


def check_number(key: str, factor: FactorEntry) -> Iterator[Problem]:
    """Yield what is wrong with the step, shape, ranges and measures of a number."""
    if factor.step is None:
        yield Problem(
            key=f"{key}.step",
            found="no such key",
            expected="a practical change of this number, above 0",
            remedy="Add step = … in the base unit.",
        )
    if factor.shape == "levels":
        yield Problem(
            key=f"{key}.shape",
            found="'levels' for a number",
            expected="'straight', 'window' or 'saturating'",
            remedy='Choose one of the three, or set kind = "levels".',
        )
    yield from _check_ranges(key, factor)
    for word, amount in factor.measures.items():
        if factor.possible and not factor.possible[0] <= amount <= factor.possible[1]:
            yield Problem(
                key=f"{key}.measures.{word}",
                found=quote(amount),
                expected=f"an amount within possible = {factor.possible}",
                remedy="Weigh or measure it again, or widen possible.",
            )


def _check_ranges(key: str, factor: FactorEntry) -> Iterator[Problem]:
    ranges = {"possible": factor.possible, "plausible": factor.plausible}
    for label, pair in (ranges | {"feasible": factor.feasible}).items():
        if pair is None:
            continue
        if not pair[0] < pair[1]:
            yield Problem(
                key=f"{key}.{label}",
                found=quote(pair),
                expected="two numbers, the lower one first",
                remedy="Write it as [lower, higher].",
            )
        possible = factor.possible
        if possible and (pair[0] < possible[0] or pair[1] > possible[1]):
            yield Problem(
                key=f"{key}.{label}",
                found=quote(pair),
                expected=f"a range inside possible = {possible}",
                remedy=f"Narrow {label}, or widen possible.",
            )


def check_units(
    key: str, name: str, factor: FactorEntry, own_units: tuple[str, ...]
) -> Iterator[Problem]:
    """Yield what is wrong with the units of a number, its name's ending included."""
    known = (*UNITS, *own_units)
    if factor.unit and factor.unit not in known:
        yield Problem(
            key=f"{key}.unit",
            found=quote(factor.unit),
            expected=f"one of the units {', '.join(known)}",
            remedy=f"{_suggest_unit(factor.unit, known)}A unit of your own goes into own_units.",
        )
        return
    family = _family(factor.unit)
    accepted = factor.accepted_units or [factor.unit]
    for unit in factor.accepted_units:
        if unit not in family:
            yield _wrong_accepted(key, unit, factor.unit, family)
    if factor.unit not in accepted:
        yield Problem(
            key=f"{key}.accepted_units",
            found=quote(factor.accepted_units),
            expected=f"a list with the base unit {factor.unit!r} in it",
            remedy=f"Add {factor.unit!r} to the list.",
        )
    if factor.unstated_unit and factor.unstated_unit not in accepted:
        yield Problem(
            key=f"{key}.unstated_unit",
            found=quote(factor.unstated_unit),
            expected=f"one of accepted_units, {join_words(accepted)}",
            remedy="Choose one of these, or add it to accepted_units.",
        )
    yield from _check_suffix(key, name, factor.unit, family)


def _wrong_accepted(key: str, unit: str, base: str, family: tuple[str, ...]) -> Problem:
    return Problem(
        key=f"{key}.accepted_units",
        found=quote(unit),
        expected=f"units that convert to {base!r}: {join_words(family) or 'none'}",
        remedy=f"{_suggest_unit(unit, family)}Remove it or correct it.",
    )


def _check_suffix(key: str, name: str, base: str, family: tuple[str, ...]) -> Iterator[Problem]:
    ending = name.rpartition("_")[2]
    stated = next((unit for unit in family if unit.lower() == ending), base)
    if stated != base:
        yield Problem(
            key=f"{key}.unit",
            found=quote(base),
            expected=f"the unit that the name ends in, {stated!r}",
            remedy=f"Set unit = {stated!r}, or end the name in _{base.lower()}.",
        )


def _family(unit: str) -> tuple[str, ...]:
    """Return the units that convert into this one, itself first; () for no unit."""
    dimension = dimension_of(unit)
    others = (each for each in UNITS if dimension and UNITS[each].dimension == dimension)
    return (unit, *(each for each in others if each != unit)) if unit else ()


def _suggest_unit(written: str, known: tuple[str, ...]) -> str:
    """Return "Did you mean …?" for a unit written as makers write it ("grams")."""
    meant = find_unit(written, base=known[0] if known else "")
    return f"Did you mean {meant!r}? " if meant in known else suggest(written, known)
