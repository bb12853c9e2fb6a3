"""The usual settings as somebody has really used them together."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from outcomes.log.codebook import Codebook
from outcomes.planning.next_choices import Choice
from outcomes.planning.next_limits import hot_sign, round_cold
from outcomes.planning.next_pairs import seen_together


def settle_usual(
    choices: Mapping[str, Choice], values: pd.DataFrame, codebook: Codebook
) -> dict[str, Choice]:
    """Return the choices with usual values that some logged piece was no cooler or slower than.

    Each usual value is the middle of its own column, and the middles of two columns need not
    have met: where hot firings were always slow ones, hot and fast at once may be new. Then the
    most typical logged piece, rounded to the cooler and slower side, stands for the usual.
    """
    names: list[str] = [
        n for n, c in choices.items() if hot_sign(codebook.factor(n)) and not c.kept
    ]
    if _have_met([choices[n] for n in names], values, codebook):
        return dict(choices)
    logged = values.loc[:, names].dropna()
    if logged.empty:
        return dict(choices)
    spread = logged.std().replace(0.0, 1.0)
    distance = ((logged - logged.median()) / spread).abs().sum(axis=1)
    typical = logged.iloc[int(np.argmin(distance.to_numpy()))]
    settled = dict(choices)
    for name in names:
        usual = round_cold(float(typical[name]), codebook.factor(name), logged[name])
        numbers = {usual, *(v for v in choices[name].values if not isinstance(v, str))}
        settled[name] = replace(choices[name], usual=usual, values=tuple(sorted(numbers)))
    return settled


def _have_met(choices: list[Choice], values: pd.DataFrame, codebook: Codebook) -> bool:
    alone = [replace(choice, values=(choice.usual,)) for choice in choices]
    return all(
        bool(np.all(seen_together(first, second, values, codebook)))
        for k, first in enumerate(alone)
        for second in alone[:k]
    )
