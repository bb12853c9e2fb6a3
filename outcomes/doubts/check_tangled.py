"""Settings the log cannot tell from something else that moved with them (method.md §8).

A setting in the model is tangled when one of these holds.

*Repeated.* Another factor repeats it exactly (`design.aliasing` then kept one of the set).

*Explained.* The other columns explain at least 80 % of its variance - adjusted for how many
there are, with firings as the units when it is constant within firings, and not by chance
(F test, 1 % over all other factors). The raw R² of a firing-level setting tends to 1 as
columns approach firings: that is a small log, answered by a wide interval, and names no
partner. Of a window the straight column counts: its square need not follow another's.

*Twin.* One other factor explains at least 64 % of it (correlation 0.8, adjusted likewise) and
putting that factor in its place changes the deviance by less than 2. The deviance alone
must not decide: for two irrelevant, unrelated settings either can replace the other too.

*Discordant.* Both are yes/no, constant within firings, and differ in at most one firing
(method_in_depth.md §11: 0 is not separable, 1 practically not).

With each tangle go three changes: with only this factor in the model, with only its twin,
and with both moved together in the full model.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from outcomes.design.design import Design, Excluded, FloatArray, Term
from outcomes.design.matrix import find_term
from outcomes.doubts.collinearity import (
    adjusted_share,
    chance_of_share,
    condense,
    condensed_share,
)
from outcomes.effects.averages import Moved, predict_change
from outcomes.effects.contrasts import choose_contrasts, is_judged
from outcomes.effects.effect import Contrast, Effect, Tangle
from outcomes.effects.support import value_columns
from outcomes.log.codebook import Codebook, Role, Shape
from outcomes.model.cumulative import fit_cumulative
from outcomes.model.fit import CumulativeFit

EXPLAINED = 0.80
TWIN_EXPLAINED = 0.64
TWIN_DEVIANCE = 2.0
DISCORDANT = 1
CHANCE = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class _Suspect:
    """A setting and what it may be tangled with."""

    factor: str
    twins: tuple[str, ...]
    explained: float
    deviance_change: float | None = None


def find_tangles(
    design: Design, codebook: Codebook, *, fit: CumulativeFit, effects: Iterable[Effect] = ()
) -> tuple[Tangle, ...]:
    """Return the settings of one outcome that cannot be told from something else.

    Parameters
    ----------
    design, fit
        The outcome's table and its fit.
    codebook
        Says which factors are settings.
    effects
        Of this outcome, for the contrasts to compare; else `choose_contrasts` gives them.
    """
    contrasts = {effect.contrast.factor: effect.contrast for effect in effects}
    if any(term.factor not in contrasts for term in design.spec.terms):
        contrasts = {c.factor: c for c in choose_contrasts(design, codebook)} | contrasts
    judged = [t for t in design.spec.terms if is_judged(contrasts[t.factor], codebook)]
    repeated = _repeated(design.excluded, {t.factor for t in judged}, codebook)
    taken = {suspect.factor for suspect in repeated}
    suspects, columns = list(repeated), condense(design.X)
    for term in judged:
        if term.factor not in taken:
            suspect = _suspect(design, columns, term, fit)
            if suspect is not None:
                suspects.append(suspect)
    return tuple(_tangle(design, fit, suspect, contrasts) for suspect in suspects)


def _repeated(
    excluded: Iterable[Excluded], judged: set[str], codebook: Codebook
) -> tuple[_Suspect, ...]:
    """Return every setting of an exactly repeated set with the rest of that set."""
    twins: dict[str, list[str]] = {}
    for out in excluded:
        if out.code != "aliased":
            continue
        whole = (out.factor, *out.with_factors)
        for member in whole:
            is_setting = out.role is Role.SETTING and out.factor != codebook.glaze
            if member in judged or (member == out.factor and is_setting):
                twins.setdefault(member, []).extend(name for name in whole if name != member)
    return tuple(
        _Suspect(
            factor=name, twins=tuple(dict.fromkeys(others)), explained=1.0, deviance_change=0.0
        )
        for name, others in twins.items()
    )


def _suspect(
    design: Design, columns: FloatArray, term: Term, fit: CumulativeFit
) -> _Suspect | None:
    """Return the first rule that a setting breaks, or None."""
    others = [other for other in design.spec.terms if other.factor != term.factor]
    if not others:
        return None
    twin = max(others, key=lambda other: _share(columns, term, [other]))
    by_chance = CHANCE / len(others)
    share, chance = _honest_share(design, columns, term, others)
    if share >= EXPLAINED and chance < by_chance:
        names = _smallest_set(columns, term, others)
        return _Suspect(
            factor=term.factor,
            twins=names,
            explained=share,
            deviance_change=_swap(design, fit, term, find_term(design.spec, names[0])),
        )
    share, chance = _honest_share(design, columns, term, [twin])
    if share >= TWIN_EXPLAINED and chance < by_chance:
        swap = _swap(design, fit, term, twin)
        if abs(swap) < TWIN_DEVIANCE:
            return _Suspect(
                factor=term.factor, twins=(twin.factor,), explained=share, deviance_change=swap
            )
    return _discordant(design, columns, term, others)


def _share(columns: FloatArray, term: Term, others: Sequence[Term]) -> float:
    """Return the grouped R² of a factor on some others, of condensed columns."""
    slots = [slot for other in others for slot in other.slots]
    mine = list(term.slots[:1] if term.shape is Shape.WINDOW else term.slots)
    return condensed_share(columns[:, mine], columns[:, slots])


def _honest_share(
    design: Design, columns: FloatArray, term: Term, others: Sequence[Term]
) -> tuple[float, float]:
    """Return the adjusted R² and the chance of it, in units that were free to differ."""
    between = [other for other in others if other.between]
    counted = between if term.between else others
    n_units = len(design.firing_names) if term.between else len(design.y)
    n_columns = max(1, sum(len(other.columns) for other in counted))
    share = _share(columns, term, others)
    return (
        adjusted_share(share, units=n_units, regressors=n_columns),
        chance_of_share(share, units=n_units, regressors=n_columns),
    )


def _smallest_set(columns: FloatArray, term: Term, others: Sequence[Term]) -> tuple[str, ...]:
    """Return the fewest factors, best first, that explain nearly what all others do."""
    enough = min(EXPLAINED, 0.95 * _share(columns, term, others))
    chosen: list[Term] = []
    left = list(others)
    while left and (not chosen or _share(columns, term, chosen) < enough):
        best = max(left, key=lambda other: _share(columns, term, [*chosen, other]))
        chosen.append(best)
        left.remove(best)
    return tuple(other.factor for other in chosen)


def _discordant(
    design: Design, columns: FloatArray, term: Term, others: Sequence[Term]
) -> _Suspect | None:
    """Return a yes/no twin that differs in at most one firing, if there is one."""
    if not _is_switch(term):
        return None
    first = np.unique(design.firing, return_index=True)[1]
    mine = design.X[first, term.slots[0]]
    for other in others:
        if _is_switch(other):
            differ = int((mine != design.X[first, other.slots[0]]).sum())
            if min(differ, len(first) - differ) <= DISCORDANT:
                share = _share(columns, term, [other])
                return _Suspect(factor=term.factor, twins=(other.factor,), explained=share)
    return None


def _is_switch(term: Term) -> bool:
    return term.between and term.shape is Shape.LEVELS and len(term.columns) == 1


def _swap(design: Design, fit: CumulativeFit, term: Term, twin: Term) -> float:
    """Return the deviance with only the twin minus the deviance with only the factor."""
    without_factor = _refit(design, fit, drop=(term,))
    without_twin = _refit(design, fit, drop=(twin,))
    return 2.0 * (without_twin.log_likelihood - without_factor.log_likelihood)


def _refit(design: Design, fit: CumulativeFit, *, drop: tuple[Term, ...]) -> CumulativeFit:
    return fit_cumulative(
        design.X[:, _kept_slots(design, drop)], design.y, len(design.grades), options=fit.options
    )


def _kept_slots(design: Design, drop: tuple[Term, ...]) -> list[int]:
    gone = {slot for term in drop for slot in term.slots}
    return [slot for slot in range(design.spec.n_columns) if slot not in gone]


def _tangle(
    design: Design, fit: CumulativeFit, suspect: _Suspect, contrasts: dict[str, Contrast]
) -> Tangle:
    """Return the record of a tangle with its three changes, where they can be had."""
    alone = twin_alone = joint = None
    held = {term.factor for term in design.spec.terms}
    mine = suspect.factor if suspect.factor in held else None
    twins = [name for name in suspect.twins if name in held]
    if mine and twins and suspect.explained < 1.0:
        term, twin = find_term(design.spec, mine), find_term(design.spec, twins[0])
        alone = _change(design, _refit(design, fit, drop=(twin,)), [contrasts[mine]], (twin,))
        twin_alone = _change(
            design, _refit(design, fit, drop=(term,)), [contrasts[twins[0]]], (term,)
        )
        joint = _change(design, fit, [contrasts[mine], contrasts[twins[0]]], ())
    elif mine or twins:
        joint = _change(design, fit, [contrasts[mine or twins[0]]], ())
        alone = twin_alone = joint
    return Tangle(
        outcome=design.spec.outcome,
        factor=suspect.factor,
        with_factors=suspect.twins,
        explained=min(1.0, suspect.explained),
        deviance_change=suspect.deviance_change,
        alone=alone,
        twin_alone=twin_alone,
        joint=joint,
    )


def _change(
    design: Design, fit: CumulativeFit, moved: Sequence[Contrast], drop: tuple[Term, ...]
) -> float:
    """Return the change when some factors are moved together, the first giving direction."""
    columns = design.X.copy()
    shift = np.zeros(design.spec.n_columns)
    lead: FloatArray | None = None
    for contrast in moved:
        term = find_term(design.spec, contrast.factor)
        slots = list(term.slots)
        start = value_columns(term, contrast.from_value)
        end = value_columns(term, contrast.to_value)
        score = design.X[:, slots] @ (end - start)
        if lead is None:
            lead = score - score.mean()
        elif float(lead @ score) < 0.0:
            start, end = end, start
        columns[:, slots] = start
        shift[slots] = end - start
    kept = _kept_slots(design, drop)
    change = predict_change(
        Moved(columns=columns[:, kept], shift=shift[kept]),
        fit.parameters()[None, :],
        n_grades=len(design.grades),
        grade=design.aim,
        link=fit.options.link,
    )
    return float(change[0])
