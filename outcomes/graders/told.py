"""Which differences between graders are looked at, and which of them are told.

Whoever looks at twenty differences finds one. So all that a page looks at are one family, and
those are told whose false-discovery-adjusted probability is under 5 %, as with the settings of
a log.
"""

from collections.abc import Iterator
from typing import Final

from outcomes.effects.multiplicity import adjust_p_values
from outcomes.graders.agreement import Agreement, Band, OutcomeAgreement
from outcomes.graders.changes import Drift, Halo
from outcomes.graders.measured import Measured
from outcomes.graders.pairs import Offset

LEVEL: Final = 0.05
_TWO: Final = 2


def offsets_told(compared: OutcomeAgreement) -> tuple[Offset, ...]:
    """Return the offsets worth a sentence.

    Of two graders one, for the other's is its mirror; none where one grader's readings blind and
    knowing are compared, which is the halo.
    """
    worth = tuple(offset for offset in compared.offsets if offset.pieces)
    if compared.band is Band.UNKNOWN or (compared.one_grader and compared.halos):
        return ()
    return worth[:1] if len(compared.ratings.graders) == _TWO else worth


def drifts_told(compared: OutcomeAgreement) -> tuple[Drift, ...]:
    """Return the drifts worth a sentence: of two graders one, for the other's is its mirror."""
    if compared.band is Band.UNKNOWN:
        return ()
    return compared.drifts[:1] if len(compared.ratings.graders) == _TWO else compared.drifts


def halos_told(compared: OutcomeAgreement) -> tuple[Halo, ...]:
    """Return the halos worth a sentence: all, unless there is one grade only."""
    return () if compared.band is Band.UNKNOWN else compared.halos


def count_looks(agreement: Agreement) -> int:
    """Return how many differences are looked at."""
    return len(list(_looks(agreement)))


def find_limit(agreement: Agreement) -> float:
    """Return the largest probability that is told, 0.0 when none is (Benjamini & Hochberg)."""
    p_values = [measured.p for measured in _looks(agreement) if measured.interval is not None]
    adjusted = adjust_p_values(p_values) if p_values else ()
    told = (p for p, q in zip(p_values, adjusted, strict=True) if q < LEVEL)
    return max(told, default=0.0)


def is_told(measured: Measured, limit: float) -> bool:
    """Say whether a difference from 0 is told, at the limit that `find_limit` returns."""
    return measured.interval is not None and limit > 0.0 and measured.p <= limit


def _looks(agreement: Agreement) -> Iterator[Measured]:
    for compared in agreement.outcomes:
        yield from (offset.difference for offset in offsets_told(compared))
        yield from (drift.change for drift in drifts_told(compared))
        yield from (halo.difference for halo in halos_told(compared))
