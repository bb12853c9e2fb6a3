"""Which values of each setting a plan may use: what the maker has done, within the codebook.

A number runs over the 5-95 % range of the log, inside the codebook's feasible (else plausible)
range, on whole practical steps: three values, five where a best range is expected. Names are
those of the log. `--allow` widens either, with two limits that nothing moves: the codebook's
range, and, for a setting whose change means faster, hotter or closer handling of hot ware, what
the maker has already logged in that direction. A plan never teaches anybody to hurry.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook, Direction, Factor, Kind, Role
from outcomes.planning.next_limits import (
    allowed_numbers,
    limits_of,
    logged_numbers,
    round_to_step,
    why_limited,
)
from outcomes.planning.next_request import Allowed, PlanRequest

Value = float | str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What may be chosen of one setting.

    Parameters
    ----------
    factor
        Canonical name.
    values
        Ascending numbers, or names; one value: it stays there.
    usual
        The log's median or commonest value, or where the maker keeps it; among ``values``
        unless the maker's own list leaves it out.
    hard
        Constant within a firing.
    kept
        True when the maker holds it.
    """

    factor: str
    values: tuple[Value, ...]
    usual: Value
    hard: bool = False
    kept: bool = False


def build_choices(
    values: pd.DataFrame, codebook: Codebook, request: PlanRequest
) -> dict[str, Choice]:
    """Return what may be chosen of every setting of the log, by canonical name.

    Parameters
    ----------
    values : DataFrame
        Of the log, impossible values set aside.
    codebook, request
        Ranges and steps; what the maker keeps, allows and limits.

    Raises
    ------
    RequestError
        If a setting is not known or not logged, or a value lies outside the limits.
    """
    keep = {find_setting(name, codebook, "--keep").name: text for name, text in request.keep}
    only = {find_setting(name, codebook, "--only").name: names for name, names in request.only}
    allow = {find_setting(a.factor, codebook, "--allow").name: a for a in request.allow}
    _check_logged(values, codebook, {**keep, **only, **allow})
    choices: dict[str, Choice] = {}
    for factor in codebook.factors:
        if factor.role is not Role.SETTING or not _is_logged(values, factor.name):
            continue
        logged = values[factor.name].dropna()
        choice = _build(factor, logged, allow.get(factor.name))
        if factor.name in only:
            choice = _limited(factor, choice, only[factor.name])
        if factor.name in keep:
            choice = _kept(factor, choice, keep[factor.name], logged)
        choices[factor.name] = choice
    return choices


def find_setting(text: str, codebook: Codebook, option: str) -> Factor:
    """Return the setting a maker names, by its column, label or alias.

    Raises
    ------
    RequestError
        If there is none, or it is not a setting.
    """
    wanted = text.strip().casefold()
    for factor in codebook.factors:
        known = {factor.name.casefold(), factor.label.casefold(), *factor.aliases}
        if wanted not in known:
            continue
        if factor.role is not Role.SETTING:
            raise RequestError(
                f"{option}: {factor.label} ({factor.name}) is a {factor.role}, and only what a "
                f"maker chooses can be planned. Leave it out; the sheet has a place to record it."
            )
        return factor
    held = ", ".join(f.name for f in codebook.factors if f.role is Role.SETTING)
    raise RequestError(
        f"{option}: {text!r} is no setting of this codebook. It has {held}. Write one of these."
    )


def _build(factor: Factor, logged: pd.Series, allowed: Allowed | None) -> Choice:
    """Return the choice of one setting before it is limited or kept."""
    if factor.kind is not Kind.NUMBER:
        names = (
            _allowed_names(factor, logged, allowed) if allowed else _logged_names(factor, logged)
        )
        name = str(logged.mode().iloc[0])
        return Choice(factor=factor.name, values=names, usual=name, hard=factor.hard_to_change)
    low, high = limits_of(factor, logged)
    middle = round_to_step(float(logged.median()), factor.step)
    usual = float(np.clip(middle, max(low, logged.min()), min(high, logged.max())))
    if allowed is not None:
        numbers = allowed_numbers(factor, allowed, low, high)
    else:
        numbers = logged_numbers(factor, logged, low, high)
        if low <= usual <= high:
            numbers = tuple(sorted({*numbers, usual}))
    return Choice(
        factor=factor.name, values=numbers or (usual,), usual=usual, hard=factor.hard_to_change
    )


def _logged_names(factor: Factor, logged: pd.Series) -> tuple[str, ...]:
    """Return the names of the log: in the codebook's order, else the commonest first."""
    counts = logged.value_counts(sort=False)
    order = sorted(counts.index, key=lambda name: (-int(counts[name]), str(name)))
    if factor.levels:
        order = sorted(order, key=factor.levels.index)
    return tuple(str(name) for name in order)


def _allowed_names(factor: Factor, logged: pd.Series, allowed: Allowed) -> tuple[str, ...]:
    seen = _logged_names(factor, logged)
    known = factor.levels or seen
    for name in allowed.names:
        if name not in known:
            raise RequestError(
                f"--allow {factor.name}: {name!r} is not among {', '.join(known)}. Write one of "
                f"these, or add it to the codebook first."
            )
        if name not in seen and factor.hot is not Direction.NEITHER:
            raise RequestError(
                f"--allow {factor.name}: {name!r} is not in your log yet, and a plan never sends "
                f"you to handle hot ware in a way you have not done before. Logged so far: "
                f"{', '.join(seen)}."
            )
    if not allowed.names:
        raise RequestError(
            f"--allow {factor.name}: it has names, not numbers. Write them with commas, like "
            f"'{factor.name}={','.join(known[:2])}'."
        )
    return allowed.names


def _limited(factor: Factor, choice: Choice, names: tuple[str, ...]) -> Choice:
    """Return the choice with only these names left."""
    values = tuple(_match(factor, choice, name, "--only") for name in names)
    usual = choice.usual if choice.usual in values else values[0]
    return Choice(factor=choice.factor, values=values, usual=usual, hard=choice.hard)


def _kept(factor: Factor, choice: Choice, text: str, logged: pd.Series) -> Choice:
    """Return the choice held at one value."""
    if factor.kind is Kind.NUMBER:
        value: Value = _parse_kept(factor, text, logged)
    else:
        value = _match(factor, choice, text, "--keep")
    return Choice(factor=choice.factor, values=(value,), usual=value, hard=choice.hard, kept=True)


def _parse_kept(factor: Factor, text: str, logged: pd.Series) -> float:
    low, high = limits_of(factor, logged)
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        raise RequestError(
            f"--keep {factor.name}: {text!r} was found; a number from {low:g} to {high:g} "
            f"({factor.unit or 'no unit'}) was expected: {why_limited(factor)}"
        )
    return value


def _match(factor: Factor, choice: Choice, text: str, option: str) -> Value:
    """Return the value a maker means among those that may be chosen."""
    for value in choice.values:
        written = value if isinstance(value, str) else f"{value:g}"
        if written.casefold() == text.casefold():
            return value
    held = ", ".join(v if isinstance(v, str) else f"{v:g}" for v in choice.values)
    raise RequestError(
        f"{option} {factor.name}: {text!r} is not among {held}. Write one of these as it stands."
    )


def _is_logged(values: pd.DataFrame, name: str) -> bool:
    return name in values and bool(values[name].notna().any())


def _check_logged(values: pd.DataFrame, codebook: Codebook, asked: Mapping[str, object]) -> None:
    for name in asked:
        if not _is_logged(values, name):
            label = codebook.factor(name).label
            raise RequestError(
                f"{label} ({name}) is not written in this log, so what it usually was is not "
                f"known and nothing can be compared with it. Write it down for the pieces you "
                f"remember, or record it from now on."
            )
