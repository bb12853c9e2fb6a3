"""A plan file, TOML text on disk, read into the frozen records of `plan`."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from outcomes.errors import PlanError
from outcomes.planning.plan import (
    Claim,
    Direction,
    Hypothesis,
    Plan,
    PlannedFactor,
    Unit,
)
from outcomes.planning.plan_entries import HypothesisEntry, PlanEntry, parse_entries
from outcomes.planning.plan_lines import Place, find_lines
from outcomes.planning.plan_problems import describe_plan_problems
from outcomes.planning.plan_rules import check_rules


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Where:
    """Where a plan stands, for messages: the file's name and the line of every key."""

    file: str
    lines: Mapping[Place, int]


NOWHERE = Where(file="The plan", lines=MappingProxyType({}))  # a plan that was never a file

# A plan is written by hand; the longest sensible one has a few pages.
LARGEST_FILE_BYTES = 200_000


def read_plan(path: Path) -> Plan:
    """Return the plan in a TOML file, sealed or not.

    Raises
    ------
    PlanError
        When the file cannot be read or used: names the file, the line and the key, what was
        found, what was expected and what to do.
    """
    return parse_plan(read_plan_text(path), file=path.name)


def read_plan_text(path: Path) -> str:
    """Return the text of a plan file, guarded against what is no plan.

    Raises
    ------
    PlanError
        When it cannot be opened, is far too long or is not UTF-8.
    """
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        raise PlanError(
            f"{path}: the plan could not be opened ({error.strerror or error}). Expected a TOML "
            "file as `outcomes declare` writes it. Check the name."
        ) from error
    if len(content) > LARGEST_FILE_BYTES:
        raise PlanError(
            f"{path}: the file has more than {LARGEST_FILE_BYTES:,} bytes. Expected a plan of a "
            "few pages of text. Check that the log was not given as the plan."
        )
    try:
        # utf-8-sig: the mark that some editors put first is no part of the text.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise PlanError(
            f"{path} line {line}: found the byte {content[error.start]:#04x}, which is not UTF-8. "
            "Expected a TOML file in UTF-8. Check that the log was not given as the plan, or save "
            "the plan again with the encoding UTF-8."
        ) from error


def parse_plan(text: str, *, file: str) -> Plan:
    """Return the plan written in TOML text; ``file`` is its name in messages.

    Raises
    ------
    PlanError
        As for `read_plan`.
    """
    lines = find_lines(text)
    entry = parse_entries(_parse_toml(text, file=file))
    if isinstance(entry, tuple):
        raise PlanError(describe_plan_problems(entry, file=file, lines=lines))
    plan = _build_plan(entry)
    if problems := check_rules(plan):
        raise PlanError(describe_plan_problems(problems, file=file, lines=lines))
    return plan


def find_where(path: Path) -> Where:
    """Return the lines of a plan file's keys, for messages about a plan that was read."""
    return Where(file=path.name, lines=find_lines(read_plan_text(path)))


def _parse_toml(text: str, *, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", str(error))
        written = text.splitlines() or [""]
        number = int(place[1]) if place and place[1] else len(written)
        reason = str(error)[: place.start()] if place else str(error)
        shown = written[min(number, len(written)) - 1].strip()[:80]
        raise PlanError(
            f"{file} line {number}: found {shown!r}, which is not TOML ({reason}). Expected "
            "key = value, with text in quotes, or a table such as [[hypotheses]]. Correct this "
            "line or the one before it."
        ) from error
    except RecursionError as error:
        raise PlanError(
            f"{file}: found brackets nested too deeply to be a plan. Expected lists one deep. "
            "Remove the extra brackets."
        ) from error


def _build_plan(entry: PlanEntry) -> Plan:
    return Plan(
        title=entry.title,
        declared_on=entry.declared_on,
        counts_from=entry.counts_from,
        level=entry.level,
        firings=entry.firings,
        pieces=entry.pieces,
        factors=tuple(
            PlannedFactor(
                name=each.name,
                values=tuple(each.values),
                assigned_to=Unit(each.assigned_to),
                blocks=tuple(each.blocks),
            )
            for each in entry.factors
        ),
        hypotheses=tuple(_build_hypothesis(each) for each in entry.hypotheses),
        blocks=tuple((column, tuple(values)) for column, values in entry.blocks.items()),
        adjust_for=tuple(entry.adjust_for),
        randomised=entry.randomised,
        stopping=entry.stopping,
        seed=entry.seed,
        seal=entry.seal.sha256 if entry.seal else "",
    )


def _build_hypothesis(entry: HypothesisEntry) -> Hypothesis:
    return Hypothesis(
        name=entry.name,
        outcome=entry.outcome,
        factor=entry.factor,
        from_value=entry.from_value,
        to_value=entry.to_value,
        claim=Claim(entry.claim),
        direction=Direction(entry.direction),
        margin=entry.margin,
        margin_grade=entry.margin_grade,
    )
