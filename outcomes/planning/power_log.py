"""What a log knows of the pots before a trial: shares of grades, luck, pieces a firing."""

import math

import numpy as np
from threadpoolctl import threadpool_limits

from outcomes.design.design import Design
from outcomes.design.matrix import build_design
from outcomes.effects.share_fits import fit_shares
from outcomes.effects.shares import Shares
from outcomes.errors import LogError
from outcomes.log.checks import check_log, refusal, set_impossible_aside
from outcomes.log.codebook import Codebook, Outcome
from outcomes.log.firing_log import FiringLog
from outcomes.planning.power_question import Background, Luck

_INSTEAD = "State it instead: --shares, --luck and --pieces."


def read_background(log: FiringLog, outcome: Outcome, *, luck: float | None = None) -> Background:
    """Return what the log says about one outcome.

    Parameters
    ----------
    log
        As read; impossible values are set aside here.
    outcome
        One of the codebook's.
    luck
        Stated sd of the firings' luck; None takes the log's own and its upper limit.

    Returns
    -------
    Background
        Shares over all graded pieces. The luck is what is left between firings when every
        recorded setting and condition has been allowed for, by the random-intercept model.

    Raises
    ------
    LogError
        If the log cannot say it; names what is missing and what to state instead.
    """
    refused = refusal(log, check_log(log))
    if refused is not None:
        raise LogError(refused)
    usable = set_impossible_aside(log)
    if outcome.name not in usable.values.columns:
        raise LogError(f"The log has no column for {outcome.label}. {_INSTEAD}")
    with threadpool_limits(limits=1):
        design = build_design(usable, outcome)
        if isinstance(design, str):
            raise LogError(f"{outcome.label}: {design} {_INSTEAD}")
        lucks = _find_lucks(design, log.codebook) if luck is None else ((luck, Luck.STATED),)
    counts = np.bincount(design.y, minlength=len(design.grades))
    return Background(
        shares=tuple((counts / counts.sum()).tolist()),
        aim=_find_aim(design, outcome),
        lucks=lucks,
        sizes=tuple(sorted(np.bincount(design.firing).tolist())),
        firings=len(design.firing_names),
        pieces=len(design.y),
    )


def _find_aim(design: Design, outcome: Outcome) -> int:
    """Return the aim among the grades that occur; refuse one that nobody or everybody reached."""
    below = sum(grade < outcome.aim for grade in design.grades)
    if not 0 < below < len(design.grades):
        reached = "No piece" if below else "Every piece"
        aim = outcome.levels[outcome.aim].name
        raise LogError(
            f"{outcome.label}: {reached} in the log reached the aim, {aim!r}, so it cannot say "
            f"how often that happens. {_INSTEAD}"
        )
    return below


def _find_lucks(design: Design, codebook: Codebook) -> tuple[tuple[float, Luck], ...]:
    """Return the log's firing luck, and the largest it allows where there is a limit."""
    shares = fit_shares(design, codebook)
    if isinstance(shares, str):
        raise LogError(f"The log cannot say how much luck the firings share: {shares} {_INSTEAD}")
    found = (_corrected_sd(shares), Luck.ESTIMATED)
    if not math.isfinite(shares.firing_sd_upper):
        return (found,)
    return found, (max(found[0], shares.firing_sd_upper), Luck.UPPER)


def _corrected_sd(shares: Shares) -> float:
    """Return the sd of the luck as the shares hold it, corrected for the slopes fitted."""
    share = {part.name: part.share for part in shares.parts}
    return math.sqrt(shares.piece_variance * share["firing_luck"] / share["piece_luck"])
