"""Rules about what was done: columns that never vary, heaped times, rare and look-alike names."""

import re
from collections import Counter
from difflib import SequenceMatcher
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Factor, Kind, Role
from outcomes.log.expectations import unit_sign
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import (
    Positions,
    about_column,
    about_rows,
    has_column,
    positions_of,
)
from outcomes.log.quoting import count_of, list_words, quote_text

MOSTLY_BLANK = 0.5
# A level on fewer pieces than this says nothing by itself; in a small log every level is rare.
RARE_BELOW = 3
FEWEST_PIECES_FOR_RARE = 20
# One whole number in five ends in 0 or 5; three in five is a habit of the pen. Few distinct
# values are a plan, not a habit.
HEAPED_SHARE = 0.6
HEAPED_MULTIPLE = 5.0
FEWEST_FOR_HEAPING = 20
FEWEST_VALUES_FOR_HEAPING = 5
# Names this alike (share of matching letters) and this long may be one name misspelt.
ALIKE = 0.85
SHORTEST_ALIKE = 5
FAR_COMMONER = 4
MOST_NAMES_COMPARED = 200


def check_columns_that_never_vary(log: FiringLog) -> tuple[Finding, ...]:
    """Say which columns hold one value only, or few, or none: little can be learnt of them."""
    found = []
    for factor in _recorded(log):
        values = log.values[factor.name]
        codes, distinct = pd.factorize(values)
        n_written = int((codes >= 0).sum())
        if not n_written:
            case = "nothing usable is written in it, so nothing can be learnt about it."
            found.append(_note(log, factor, "column_blank", case=case))
        elif len(distinct) == 1:
            shown = _shown(values.dropna().iloc[0], factor)
            case = f"it is always {shown}. Nothing can be learnt about what never varies."
            found.append(_note(log, factor, "column_never_varies", case=case))
        elif len(values) - n_written > MOSTLY_BLANK * len(values):
            written = count_of(n_written, log.codebook.piece_word)
            case = f"it is written for {written} of {len(values)} only."
            found.append(_note(log, factor, "column_mostly_blank", case=case))
    return tuple(found)


def check_time_heaping(log: FiringLog) -> tuple[Finding, ...]:
    """Say where times were rounded by eye to 5, 10, 30, 60."""
    found = []
    for factor in _recorded(log):
        values = log.values[factor.name].dropna() if factor.unit in ("s", "min") else pd.Series()
        on_five = (values % HEAPED_MULTIPLE == 0).mean() if len(values) else 0.0
        if (
            len(values) < FEWEST_FOR_HEAPING
            or values.nunique() < FEWEST_VALUES_FOR_HEAPING
            or on_five < HEAPED_SHARE
        ):
            continue
        message = (
            f"{round(100 * on_five)} of every 100 values are whole multiples of 5 "
            f"{unit_sign(factor.unit)}, where about 20 would be by chance."
        )
        advice = "Times judged by eye blur what the log can say; a stopwatch sharpens it."
        found.append(
            about_column(
                log,
                factor.name,
                code="time_heaping",
                severity=Severity.NOTE,
                message=message,
                advice=advice,
            )
        )
    return tuple(found)


def check_rare_levels(log: FiringLog) -> tuple[Finding, ...]:
    """Name levels that stand on one or two pieces: they cannot speak for themselves."""
    if len(log.values) < FEWEST_PIECES_FOR_RARE:
        return ()
    found: list[Finding] = []
    for factor in _recorded(log):
        if factor.kind is Kind.NUMBER:
            continue
        counts = log.values[factor.name].value_counts()
        rare = [str(level) for level in sorted(counts.index[counts < RARE_BELOW])]
        if rare:
            positions = positions_of(log.values[factor.name].isin(rare))
            found += _rare(log, factor, rare, positions=positions)
    return tuple(found)


def check_look_alike_names(log: FiringLog) -> tuple[Finding, ...]:
    """Name texts that differ by capitals, spaces, signs or one slip of the pen only."""
    found: list[Finding] = []
    for column in _name_columns(log):
        counts = _count_names(log.values[column])
        alike = _same_but_for_case(counts)
        found += _look_alikes(log, column, pairs=alike, severity=Severity.WARNING)
        if column != log.codebook.firing:
            slips = _one_slip_apart(counts, known=set(alike))
            found += _look_alikes(log, column, pairs=slips, severity=Severity.NOTE)
    return tuple(found)


def _rare(
    log: FiringLog, factor: Factor, rare: list[str], *, positions: Positions
) -> tuple[Finding, ...]:
    """Word the rare levels of one column."""
    piece = log.codebook.piece_word

    def words(here: Positions) -> tuple[str, str]:
        return (
            f"{list_words([quote_text(level) for level in rare])} "
            f"{'stands' if len(rare) == 1 else 'stand each'} on fewer than {RARE_BELOW} {piece}s.",
            f"Nothing to correct if it is meant; more {piece}s would let it speak.",
        )

    return about_rows(
        log, positions, column=factor.name, code="rare_level", severity=Severity.NOTE, words=words
    )


def _look_alikes(
    log: FiringLog, column: str, *, pairs: dict[str, str], severity: Severity
) -> tuple[Finding, ...]:
    """Word the names of one column that are almost another name."""

    def words(here: Positions) -> tuple[str, str]:
        present = [name for name in dict.fromkeys(log.values[column].iloc[here]) if name in pairs]
        told = [f"{quote_text(name)} beside {quote_text(pairs[name])}" for name in present]
        return (
            f"{list_words(told)} may be one name written in two ways, and count as two.",
            "If they are one, write them alike; if not, nothing needs doing.",
        )

    return about_rows(
        log,
        positions_of(log.values[column].isin(list(pairs))),
        column=column,
        code="look_alike_names",
        severity=severity,
        words=words,
    )


def _recorded(log: FiringLog) -> list[Factor]:
    """Return the codebook's factors that have a column in the log."""
    return [factor for factor in log.codebook.factors if has_column(log, factor.name)]


def _count_names(values: "pd.Series[Any]") -> Counter[str]:
    """Return how often each name is written, in the order they come."""
    codes, names = pd.factorize(values.to_numpy(dtype=object))
    times = np.bincount(codes[codes >= 0], minlength=len(names)).tolist()
    return Counter(dict(zip(map(str, names), times, strict=True)))


def _name_columns(log: FiringLog) -> list[str]:
    """Return the columns of free names, the firing's among them."""
    names = [factor.name for factor in _recorded(log) if factor.kind is Kind.NAME]
    return [name for name in (log.codebook.firing, *names) if has_column(log, name)]


def _same_but_for_case(counts: Counter[str]) -> dict[str, str]:
    """Map each rarer spelling to the commonest that differs by case, spaces or signs only."""
    best: dict[str, str] = {}
    pairs: dict[str, str] = {}
    for name, _ in sorted(counts.items(), key=lambda item: (-item[1], item[0])):
        key = re.sub(r"[\W_]+", "", name.casefold()) or name
        if key in best:
            pairs[name] = best[key]
        best.setdefault(key, name)
    return pairs


def _one_slip_apart(counts: Counter[str], *, known: set[str]) -> dict[str, str]:
    """Map each rare name to a commoner one that is spelt almost alike, figures equal."""
    names = [name for name in counts if len(name) >= SHORTEST_ALIKE and name not in known]
    if len(names) > MOST_NAMES_COMPARED:
        return {}
    pairs: dict[str, str] = {}
    for one, other in combinations(sorted(names), 2):
        rare, common = sorted((one, other), key=lambda name: counts[name])
        if counts[common] >= FAR_COMMONER * counts[rare] and _are_alike(rare, common):
            pairs[rare] = common
    return pairs


def _are_alike(one: str, other: str) -> bool:
    """Whether two names hold the same figures and almost the same letters."""
    if re.findall(r"\d+", one) != re.findall(r"\d+", other):
        return False
    return SequenceMatcher(None, one.casefold(), other.casefold()).ratio() >= ALIKE


def _note(log: FiringLog, factor: Factor, code: str, *, case: str) -> Finding:
    """Say that a column teaches nothing, or little."""
    to_learn = f"To learn about it, change it for some {log.codebook.piece_word}s, and log it."
    return about_column(
        log,
        factor.name,
        code=code,
        severity=Severity.NOTE,
        message=case,
        advice=to_learn if factor.role is Role.SETTING else "Nothing needs doing.",
    )


def _shown(value: object, factor: Factor) -> str:
    """Return a value as a message shows it."""
    if isinstance(value, float):
        return f"{value:.6g} {unit_sign(factor.unit)}".rstrip()
    return quote_text(str(value))
