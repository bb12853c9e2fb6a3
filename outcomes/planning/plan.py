"""A question stated before anybody looks: the records a plan file is read into.

A plan says which factors are assigned to what, and which pairs of their values are compared on
which outcome. Numbers are in the codebook's base units, levels are its names.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final

from outcomes.card import describe_line, render_card

FORMAT: Final = "outcomes-plan/1"
Value = float | str


class Unit(StrEnum):
    """What one value of a factor is given to."""

    PIECE = "piece"  # pieces of one firing may differ: shuffled within firings
    FIRING = "firing"  # all pieces of a firing share it: whole firings are shuffled


class Claim(StrEnum):
    """What a hypothesis says about two values of a factor."""

    DIFFERENCE = "difference"  # they differ, in the declared direction
    EQUIVALENCE = "equivalence"  # they differ by less than the margin


class Direction(StrEnum):
    """Where a difference is expected: pieces at the aim or above, going from ``from`` to ``to``."""

    EITHER = "either"
    MORE = "more"
    FEWER = "fewer"


class SealState(StrEnum):
    """What the seal says about the content."""

    WHOLE = "whole"  # the content is the one that was sealed
    BROKEN = "broken"  # the content was changed since
    MISSING = "missing"  # never sealed


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFactor:
    """A factor whose values the plan assigns.

    Parameters
    ----------
    name
        Canonical factor name of the codebook.
    values
        Every value that will be fired, at least two, in base unit or level names.
    assigned_to
        Piece or firing.
    blocks
        Columns within which the values are shuffled, beside the firing where pieces are; each
        is a key of ``Plan.blocks``.
    """

    name: str
    values: tuple[Value, ...]
    assigned_to: Unit
    blocks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hypothesis:
    """One claim about two values of a planned factor.

    Parameters
    ----------
    name
        Unique in the plan.
    outcome, factor
        Canonical names; the factor is one of ``Plan.factors``.
    from_value, to_value
        Two of its values.
    claim, direction
        ``direction`` is ``EITHER`` for an equivalence.
    margin
        Pieces per 100: the smallest difference worth having, and within which two values count
        as equivalent. None when there is none.
    margin_grade
        The same on the mean grade; None when there is none.
    """

    name: str
    outcome: str
    factor: str
    from_value: Value
    to_value: Value
    claim: Claim = Claim.DIFFERENCE
    direction: Direction = Direction.EITHER
    margin: float | None = None
    margin_grade: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """A whole plan.

    Parameters
    ----------
    title
        The question, one line.
    declared_on
        The day it was declared.
    counts_from
        Pieces fired before this day do not count; usually ``declared_on``.
    level
        Chance allowed of claiming anything false, shared by all hypotheses (Holm).
    firings, pieces
        Planned firings, and pieces in each.
    factors, hypotheses
        At least one of each.
    blocks
        ((column, its values in order), ...): where pieces are assigned, each firing holds all of
        them in equal parts; where firings are, the firings fall into them in turn, the first
        ones into the first. A column the codebook does not know is kept aside by the reader
        and used all the same.
    adjust_for
        Factors known before the assignment that the estimate allows for.
    randomised
        True when the values are drawn by lot, as `assignment.draw_assignment` does.
    stopping
        When to stop, one line.
    seed
        Of the drawn list and of Monte-Carlo rearrangements.
    seal
        SHA-256 as written in the file, "" when there is none.
    """

    title: str
    declared_on: date
    counts_from: date
    level: float
    firings: int
    pieces: int
    factors: tuple[PlannedFactor, ...]
    hypotheses: tuple[Hypothesis, ...]
    blocks: tuple[tuple[str, tuple[str, ...]], ...] = ()
    adjust_for: tuple[str, ...] = ()
    randomised: bool = True
    stopping: str
    seed: int = 1
    seal: str = ""

    def factor(self, name: str) -> PlannedFactor:
        """Return the planned factor of that name.

        Raises
        ------
        KeyError
            If there is none.
        """
        for factor in self.factors:
            if factor.name == name:
                return factor
        raise KeyError(name)

    def block_values(self, column: str) -> tuple[str, ...]:
        """Return the values of a block column, in order.

        Raises
        ------
        KeyError
            If there is none of that name.
        """
        return dict(self.blocks)[column]

    def _facts(self) -> tuple[tuple[str, object], ...]:
        return (
            ("", self.title),
            (f"firings of {self.pieces} pieces", self.firings),
            (self.declared_on.isoformat(), "declared"),
            (self.seal[:12] or "none", "seal"),
        )

    def __repr__(self) -> str:
        return describe_line("Plan", self._facts())

    def _repr_html_(self) -> str:
        columns = ("hypothesis", "claim", "outcome", "factor", "from", "to", "margin per 100")
        rows = [
            (h.name, h.claim, h.outcome, h.factor, show_value(h.from_value),
             show_value(h.to_value), None if h.margin is None else f"{h.margin:g}")
            for h in self.hypotheses
        ]  # fmt: skip
        return render_card("Plan", self._facts(), columns, rows)


def show_value(value: Value) -> str:
    """Return a value as it is written in a plan or a log.

    >>> show_value(16.0), show_value("dunk")
    ('16', 'dunk')
    """
    return value if isinstance(value, str) else f"{value:.10g}"


def show_values(values: Sequence[Value]) -> str:
    """Return values as a list to read.

    >>> show_values((2.0, 4.0))
    '2, 4'
    """
    return ", ".join(show_value(value) for value in values)
