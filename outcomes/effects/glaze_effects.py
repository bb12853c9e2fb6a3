"""The records of what a setting does on each glaze."""

from dataclasses import dataclass

from outcomes.design.design import FloatArray
from outcomes.resampling.interval import Interval
from outcomes.resampling.leverage import Pull


@dataclass(frozen=True, slots=True, kw_only=True)
class GlazeEffect:
    """What a contrast does on one glaze.

    ``change`` is the glaze's own (partly borrowed) when ``is_own``, else that of the common
    slope on its pieces; ``interval`` is None when not its own or under the floors.
    ``firings``, ``pieces`` count those of the glaze.
    """

    glaze: str
    change: float
    interval: Interval | None
    firings: int
    pieces: int
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GlazeModel:
    """The model as it holds for one glaze, in the plain design's columns.

    Parameters
    ----------
    parameters : array, shape (q,)
        Thresholds, then slopes.
    pull
        How much each firing pulls them.
    """

    parameters: FloatArray
    pull: Pull


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GlazeEffects:
    """Whether one setting acts differently on different glazes.

    Parameters
    ----------
    outcome, factor
        Canonical names.
    omega
        Standard deviation of the slopes' deviations, log-odds per unit of the factor's first
        column; 0 when one effect for all foretells best.
    multiple
        The same in units of max(|common slope|, 0.25).
    chosen_by
        How omega was chosen, for the research page.
    scores
        ((multiple, ranked probability score of left-out pieces), ...) of those compared.
    p_value
        Of the deviations, from the firings' own scores.
    effects
        One a glaze, commonest first.
    differs
        True when omega is above 0: worth showing glaze by glaze.
    models
        ((glaze, its model), ...); () when omega is 0.
    sentence
        Plain words.
    """

    outcome: str
    factor: str
    omega: float
    multiple: float
    chosen_by: str
    scores: tuple[tuple[float, float], ...]
    p_value: float
    effects: tuple[GlazeEffect, ...]
    differs: bool
    models: tuple[tuple[str, GlazeModel], ...]
    sentence: str
