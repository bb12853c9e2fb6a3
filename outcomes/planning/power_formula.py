"""A first guess without simulating: Whitehead's formula, stretched for shared luck.

With theta the log-odds ratio, p the mean share of each grade on both sides and N pieces in two
equal halves, the estimate has variance 12 / (N (1 - sum p^3)). Pieces of one firing tell less
than as many strangers: where whole firings are assigned the variance is multiplied by ::

    1 + (m (1 + cv^2) - 1) rho,   rho = sd^2 / (sd^2 + pi^2/3)

m and cv the mean size of a firing and its coefficient of variation. Where the pieces of each
firing are assigned, both sides share the luck and the factor is about 1. A normal quantile is
used, so few firings look better here than they are, by up to 6 in 100 at 24 firings, and with
much luck (sd 1.5) rho makes too much of it, by up to 8 in 100: the simulation decides.

References
----------
Whitehead (1993), Statistics in Medicine 12, 2257-2271, doi:10.1002/sim.4780122404. Donner &
Klar (2000), Design and Analysis of Cluster Randomization Trials, chapter 5; for unequal sizes
Eldridge, Ashby & Kerry (2006), International Journal of Epidemiology 35, 1292-1300. Cited from
memory; the first is checked against its worked example.
"""

import numpy as np
from scipy import special

from outcomes.planning.plan import Unit
from outcomes.planning.power_layout import Layout
from outcomes.planning.power_truth import Truth


def whitehead_power(
    shares: tuple[float, ...], log_odds: float, pieces: float, level: float = 0.05
) -> float:
    """Return the chance to find a log-odds ratio with so many independent pieces.

    Parameters
    ----------
    shares
        Mean share of each grade over both sides.
    log_odds
        theta.
    pieces
        N in all, half on each side.
    level
        Two-sided.

    Examples
    --------
    >>> average = (0.28885326, 0.48612741, 0.15313799, 0.07188134)
    >>> round(whitehead_power(average, 0.887, 187), 4)
    0.9
    """
    reach = abs(log_odds) * np.sqrt(pieces * (1.0 - np.sum(np.power(shares, 3))) / 12.0)
    z = float(special.ndtri(1.0 - level / 2.0))
    return float(special.ndtr(reach - z) + special.ndtr(-reach - z))


def whitehead_pieces(
    shares: tuple[float, ...], log_odds: float, *, power: float, level: float = 0.05
) -> float:
    """Return how many independent pieces in all, half on each side, reach a chance.

    >>> average = (0.28885326, 0.48612741, 0.15313799, 0.07188134)
    >>> round(whitehead_pieces(average, 0.887, power=0.9))
    187
    """
    quantiles = float(special.ndtri(1.0 - level / 2.0) + special.ndtri(power))
    return float(12.0 * quantiles**2 / (log_odds**2 * (1.0 - np.sum(np.power(shares, 3)))))


def luck_correlation(firing_sd: float) -> float:
    """Return how alike two pieces of a firing are on the log-odds scale, 0 to 1.

    >>> round(luck_correlation(0.8), 3)
    0.163
    """
    return firing_sd**2 / (firing_sd**2 + np.pi**2 / 3.0)


def design_effect(layout: Layout, firing_sd: float) -> float:
    """Return how many times as many pieces the shared luck asks for.

    >>> round(design_effect(Layout(firings=8, sizes=(6,), assigned=Unit.FIRING), 0.8), 3)
    1.814
    """
    if layout.assigned is Unit.PIECE:
        return 1.0
    in_step = layout.mean_size() * (1.0 + layout.size_variation() ** 2)
    return float(1.0 + (in_step - 1.0) * luck_correlation(firing_sd))


def guess_power(truth: Truth, layout: Layout, level: float = 0.05) -> float:
    """Return the chance that the limits exclude 0, by formula alone.

    Notes
    -----
    The log-odds ratio is that of reaching the aim, averaged over firings: the two-sided odds a
    person would count. Of two grades, below the aim and at it: only these give the limits.
    """
    odds = special.logit(truth.rate_then()) - special.logit(truth.rate_now())
    reached = 0.5 * (truth.rate_now() + truth.rate_then())
    compared = layout.firings * layout.mean_size() * 2.0 / layout.values
    pieces = compared / design_effect(layout, truth.firing_sd)
    return whitehead_power((1.0 - reached, reached), float(odds), pieces, level)
