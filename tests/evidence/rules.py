"""The interval rules that are compared, all on the same fit of the same log."""

from collections.abc import Callable, Mapping

from candidates import Candidate

from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import (
    effective_df,
    expanded_percentile,
    jackknife_interval,
    t_interval,
)
from outcomes.resampling.leverage import METHOD, score_interval

CONFIDENCE = 0.95
METHOD_RULE = "rule of method.md §2"
PROPOSED = METHOD
PRINTED = PROPOSED  # what effects.change prints: change it here when it changes there
ALIKE = 1.25  # widths differing by more than a quarter do not tell the same story

Rule = Callable[[Candidate], Interval]


def build_intervals(candidate: Candidate) -> dict[str, Interval]:
    """Return the interval of every rule, by the rule's name.

    Rules that need redraws are left out where there are none.
    """
    rules = {**(WITH_REDRAWS if len(candidate.draws) else {}), **WITHOUT_REDRAWS}
    return {name: rule(candidate) for name, rule in rules.items()}


def choose_interval(
    resample: Interval, jackknife: Interval, *, n_firings: int, effective_firings: float
) -> Interval:
    """Return the redraws' interval, or the jackknife's where the two disagree.

    The jackknife's is taken when the two widths differ by more than a quarter or when the
    effect rests on fewer than half of the firings. So method.md, section 2, has it.
    """
    narrow, wide = sorted([resample.width(), jackknife.width()])
    if wide > ALIKE * narrow or effective_firings < 0.5 * n_firings:
        return jackknife
    return resample


def _method_rule(one: Candidate) -> Interval:
    return choose_interval(
        _expanded(one),
        _jackknife_effective(one),
        n_firings=one.firings,
        effective_firings=one.effective,
    )


def _expanded(one: Candidate) -> Interval:
    return expanded_percentile(one.draws, one.firings, CONFIDENCE)


def _jackknife_effective(one: Candidate) -> Interval:
    return _jackknife(one, effective_df(one.firings, one.effective))


def _jackknife_plain(one: Candidate) -> Interval:
    return _jackknife(one, one.firings - 1.0)


def _jackknife_between(one: Candidate) -> Interval:
    df = effective_df(one.firings, one.effective)
    return _jackknife(one, (df + one.firings - 1.0) / 2.0)


def _jackknife_atanh(one: Candidate) -> Interval:
    return _on_atanh(one, one.error, effective_df(one.firings, one.effective))


def _corrected(one: Candidate) -> Interval:
    return score_interval(one.change, one.corrected, one.corrected_df, CONFIDENCE).cut(-1.0, 1.0)


def _corrected_atanh(one: Candidate) -> Interval:
    return _on_atanh(one, one.corrected, one.corrected_df)


def _jackknife(one: Candidate, df: float) -> Interval:
    return jackknife_interval(one.change, one.error, df, CONFIDENCE).cut(-1.0, 1.0)


def _on_atanh(one: Candidate, error: float, df: float) -> Interval:
    """Return the interval of atanh(change), turned back: it never leaves -1..1."""
    return t_interval(one.change, error, df, CONFIDENCE, method="atanh t", scale="atanh")


WITH_REDRAWS: Mapping[str, Rule] = {
    METHOD_RULE: _method_rule,
    "expanded percentile": _expanded,
}
WITHOUT_REDRAWS: Mapping[str, Rule] = {
    "jackknife, t(min(G-1, G_eff-1))": _jackknife_effective,
    "jackknife, t(G-1)": _jackknife_plain,
    "jackknife, df halfway": _jackknife_between,
    "jackknife on atanh, t(min(G-1, G_eff-1))": _jackknife_atanh,
    PROPOSED: _corrected,
    "firing-score t on atanh": _corrected_atanh,
}
ORDER: tuple[str, ...] = (*WITH_REDRAWS, *WITHOUT_REDRAWS)
