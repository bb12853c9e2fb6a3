"""From a finished study to the firings that would answer what it left open."""

from collections.abc import Callable
from statistics import median

from threadpoolctl import threadpool_limits

from outcomes.design.firings import find_firings
from outcomes.errors import LogError
from outcomes.log.firings import pieces_per_firing
from outcomes.planning.next_known import Known, find_luck
from outcomes.planning.next_plan import Logged, NextFirings, plan_firings
from outcomes.planning.next_request import FEWEST_PIECES, MOST_PIECES, PlanRequest
from outcomes.study.record import Study


def plan_next_firings(
    study: Study, request: PlanRequest, *, progress: Callable[[int], None] = lambda _: None
) -> NextFirings:
    """Return what to fire next so that what the study leaves open becomes decidable.

    Raises
    ------
    LogError
        If nothing could be learnt about any outcome; each outcome says why.
    RequestError
        If the request does not fit the log.
    """
    known = tuple(
        Known(
            outcome=part.outcome,
            design=part.design,
            fit=part.fit,
            effects=part.effects,
            tangles=part.tangles,
            luck=find_luck(part.shares),
        )
        for part in study.outcomes
        if part.usable and part.design is not None and part.fit is not None
    )
    if not known:
        reasons = " ".join(part.why_not for part in study.outcomes)
        raise LogError(f"No firings can be planned from this log. {reasons}".strip())
    log = study.log
    sizes = list(pieces_per_firing(log).values())
    usual = int(median(sizes)) if sizes else FEWEST_PIECES
    logged = Logged(
        values=log.values,
        codebook=log.codebook,
        firings=tuple(sorted({str(label) for label in find_firings(log).labels})),
        usual_pieces=min(max(usual, FEWEST_PIECES), MOST_PIECES),
    )
    # Small matrices: two BLAS threads are several times slower than one.
    with threadpool_limits(limits=1):
        return plan_firings(known, logged, request, progress=progress)
