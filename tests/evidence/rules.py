"""The interval rules that are compared, all on the same fit of the same log."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from candidates import Candidate

from outcomes.resampling.interval import Interval
from outcomes.resampling.intervals import (
    choose_interval,
    effective_df,
    expanded_percentile,
    jackknife_interval,
)

CONFIDENCE = 0.95
METHOD_RULE = "rule of method.md §2"
PROPOSED = "firing-score t"
PRINTED = METHOD_RULE  # what effects.change prints: change it here when it changes there

Rule = Callable[[Candidate], Interval]


def build_intervals(candidate: Candidate) -> dict[str, Interval]:
    """Return the interval of every rule, by the rule's name.

    Rules that need redraws are left out where there are none.
    """
    rules = {**(WITH_REDRAWS if len(candidate.draws) else {}), **WITHOUT_REDRAWS}
    return {name: rule(candidate) for name, rule in rules.items()}


def _method_rule(one: Candidate) -> Interval:
    """Return the redraws' interval, or the jackknife's where the two disagree."""
    return choose_interval(
        _expanded(one),
        _jackknife_effective(one),
        n_firings=one.firings,
        effective_firings=one.effective,
    )


def _expanded(one: Candidate) -> Interval:
    return expanded_percentile(one.draws, one.firings, CONFIDENCE)


def _jackknife_effective(one: Candidate) -> Interval:
    return _t_interval(one, one.error, effective_df(one.firings, one.effective))


def _jackknife_plain(one: Candidate) -> Interval:
    return _t_interval(one, one.error, one.firings - 1.0)


def _jackknife_between(one: Candidate) -> Interval:
    df = effective_df(one.firings, one.effective)
    return _t_interval(one, one.error, (df + one.firings - 1.0) / 2.0)


def _jackknife_atanh(one: Candidate) -> Interval:
    df = effective_df(one.firings, one.effective)
    return jackknife_interval(one.change, one.error, df, CONFIDENCE, scale="atanh")


def _corrected(one: Candidate) -> Interval:
    return _t_interval(one, one.corrected, min(one.firings - 1.0, one.corrected_df))


def _corrected_atanh(one: Candidate) -> Interval:
    df = min(one.firings - 1.0, one.corrected_df)
    return jackknife_interval(one.change, one.corrected, df, CONFIDENCE, scale="atanh")


def _t_interval(one: Candidate, error: float, df: float) -> Interval:
    """Return estimate plus or minus t errors, cut at -1 and 1 as `effects.change` does."""
    interval = jackknife_interval(one.change, error, df, CONFIDENCE)
    return replace(interval, low=max(-1.0, interval.low), high=min(1.0, interval.high))


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
