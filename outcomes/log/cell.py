"""The record every cell of a log becomes."""

from dataclasses import dataclass

from outcomes.log.firing_log import How


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What one cell of text was read as.

    Parameters
    ----------
    value
        A finite number in the column's base unit, the name of a level, the index of a grade,
        or a name; None when blank, ditto or set aside.
    how
        How it was read.
    reason
        Why it cannot be used and what to write instead: a clause in lower case without a full
        stop, to follow "row 12, lid_delay_s: 'till cool' – ". Given exactly when ``how`` is
        `How.SET_ASIDE`.
    unit
        Unit code the cell itself stated ("F" in "1850F"); "" when it stated none.
    """

    value: float | str | None
    how: How
    reason: str = ""
    unit: str = ""

    def __post_init__(self) -> None:
        assert bool(self.reason) == (self.how is How.SET_ASIDE)  # noqa: S101


BLANK = Cell(value=None, how=How.BLANK)
DITTO = Cell(value=None, how=How.DITTO)


def set_aside(reason: str) -> Cell:
    """Return the cell that is written but not usable."""
    return Cell(value=None, how=How.SET_ASIDE, reason=reason)
