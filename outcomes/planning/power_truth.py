"""What is supposed to be true of a trial before it is fired.

Everything a person states is what she would count over very many firings: the share of each
grade, how many more pieces in 100 reach the aim. The model of a single firing needs the same
with the firing's luck known, so the cut points are solved for (notation of `model.likelihood`)::

    share(grade <= k) = E[ F(theta_{k+1} - u) ],   u ~ normal(0, firing_sd^2),  F logistic
    effect on the log-odds scale of one firing = theta(rate now) - theta(rate wanted)

References
----------
Zeger, Liang & Albert (1988), Biometrics 44, 1049-1060: averaged and firing-specific odds.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import optimize, special

from outcomes.errors import RequestError
from outcomes.model.fit import FloatArray

LARGEST_LUCK: Final = 10.0  # odds from firing to firing differ by e^10: beyond any kiln
_NODES: Final = 101  # exact to 1e-9 for an sd up to 3, to 1e-4 at 10
_FURTHEST: Final = 60.0  # log-odds with luck of 10 in which every share above 1e-6 lies
_LEAST_SHARE: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """A supposed truth.

    Parameters
    ----------
    shares
        Share of each grade at the value the setting has now, lowest grade first; they add up
        to 1 and none is 0.
    aim
        The grade from which a piece counts, 1..K-1.
    change
        Difference of the chance to reach the aim, as a probability: 0.15 is 15 more in 100.
    firing_sd
        Sd of the firings' luck, log-odds; 0 for none.

    Raises
    ------
    RequestError
        If there cannot be such a truth.
    """

    shares: tuple[float, ...]
    aim: int
    change: float
    firing_sd: float

    def __post_init__(self) -> None:
        check_shares(self.shares)
        if not 1 <= self.aim < len(self.shares):
            last = len(self.shares) - 1
            range_told = "only be 1" if last == 1 else f"be 1 to {last}"
            raise RequestError(
                f"The aim is grade {self.aim}; with {last + 1} grades, the lowest numbered 0, it "
                f"can {range_told}. Correct --aim."
            )
        if not 0.0 <= self.firing_sd <= LARGEST_LUCK:
            raise RequestError(
                f"The firing luck is {self.firing_sd:g}; it is a standard deviation of "
                f"log-odds, 0 to {LARGEST_LUCK:g}. 0.4 is little, 0.8 is usual, 1.5 is much."
            )
        _check_change(self.rate_now(), self.change)

    def rate_now(self) -> float:
        """Return the chance to reach the aim as things are."""
        return float(sum(self.shares[self.aim :]))

    def rate_then(self) -> float:
        """Return the chance to reach the aim with the setting changed."""
        return self.rate_now() + self.change


def change_of_odds_ratio(shares: tuple[float, ...], aim: int, odds_ratio: float) -> float:
    """Return what an odds ratio of reaching the aim means as a difference of chances.

    >>> round(change_of_odds_ratio((0.5, 0.5), 1, 3.0), 4)
    0.25
    """
    if not (np.isfinite(odds_ratio) and odds_ratio > 0.0):
        raise RequestError(
            f"The odds ratio is {odds_ratio:g}; a number above 0 was expected, 1 for no "
            f"difference. Write for example --odds-ratio 2."
        )
    check_shares(shares)
    rate = float(sum(shares[aim:]))
    return float(special.expit(special.logit(rate) + np.log(odds_ratio))) - rate


def solve_cut(share_below: float, firing_sd: float) -> float:
    """Return theta with E[F(theta - u)] = share_below.

    >>> round(solve_cut(0.2, 0.0), 6) == round(float(special.logit(0.2)), 6)
    True
    """
    if firing_sd == 0.0:
        return float(special.logit(share_below))

    nodes, weights = _luck_nodes(firing_sd)

    def excess(theta: float) -> float:
        return float(weights @ special.expit(theta - nodes)) - share_below

    return float(optimize.brentq(excess, -_FURTHEST, _FURTHEST, xtol=1e-12))


def average_chance(theta: float, firing_sd: float) -> float:
    """Return E[F(theta - u)] over the firings' luck.

    >>> round(average_chance(0.0, 2.0), 12)
    0.5
    """
    nodes, weights = _luck_nodes(firing_sd)
    return float(weights @ special.expit(theta - nodes))


def solve_cuts(truth: Truth) -> FloatArray:
    """Return the K-1 cut points of a firing without luck either way."""
    below = np.cumsum(truth.shares)[:-1]
    return np.array([solve_cut(float(share), truth.firing_sd) for share in below])


def solve_log_odds(truth: Truth) -> float:
    """Return the effect on the log-odds within one firing; positive for higher grades."""
    now = solve_cut(1.0 - truth.rate_now(), truth.firing_sd)
    return now - solve_cut(1.0 - truth.rate_then(), truth.firing_sd)


def shares_then(truth: Truth) -> tuple[float, ...]:
    """Return the share of each grade with the setting changed."""
    moved = solve_cuts(truth) - solve_log_odds(truth)
    below = [average_chance(float(cut), truth.firing_sd) for cut in moved]
    return tuple(np.diff(np.array([0.0, *below, 1.0])).tolist())


def firing_range(truth: Truth) -> tuple[float, float]:
    """Return between which rates of reaching the aim about two in three firings lie."""
    middle = -solve_cut(1.0 - truth.rate_now(), truth.firing_sd)
    ends = special.expit(middle + truth.firing_sd * np.array([-1.0, 1.0]))
    return float(ends[0]), float(ends[1])


def _luck_nodes(firing_sd: float) -> tuple[FloatArray, FloatArray]:
    """Return where the luck is looked at (Gauss-Hermite), and how much each place weighs."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(_NODES)
    return firing_sd * nodes, weights / weights.sum()


def check_shares(shares: tuple[float, ...]) -> None:
    """Refuse what cannot be the shares of two grades or more.

    Raises
    ------
    RequestError
        Says what they add up to and what was expected.
    """
    told = _show_shares(shares)
    if len(shares) < 2:
        raise RequestError(
            f"The shares of the grades are {told}: at least two grades are needed. Write one "
            f"share a grade, the lowest grade first, for example --shares 10,20,30,25,15."
        )
    if not all(np.isfinite(share) and share >= _LEAST_SHARE for share in shares):
        raise RequestError(
            f"The shares of the grades are {told}: each must be above 0. Leave out a grade "
            f"that never occurs."
        )
    if abs(sum(shares) - 1.0) > 1e-6:
        raise RequestError(
            f"The shares of the grades are {told}: they add up to {100 * sum(shares):g}, not "
            f"to 100. Correct one of them."
        )


def _check_change(rate: float, change: float) -> None:
    """Refuse a difference that would leave 0..100."""
    if _LEAST_SHARE < rate + change < 1.0 - _LEAST_SHARE:
        return
    most = 100.0 * (1.0 - rate) if change > 0 else 100.0 * rate
    raise RequestError(
        f"A difference of {100 * change:+g} pieces per 100 was asked for, but {100 * rate:g} of "
        f"100 reach the aim already: it must stay smaller than {most:g}. Ask for a smaller "
        f"difference or another aim."
    )


def _show_shares(shares: tuple[float, ...]) -> str:
    """Return shares as they are typed, in pieces of 100.

    >>> _show_shares((0.1, 0.2, 0.7))
    '10, 20, 70'
    """
    return ", ".join(f"{100 * share:.4g}" for share in shares) or "none"
