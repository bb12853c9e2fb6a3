"""Which two values of a factor are compared.

straight, saturating
    20th to 80th percentile of the analysed pieces, rounded to the practical step.
window
    Three candidates: low end to middle, middle to high end, low to high (10th, 50th, 90th
    percentile). A setting with a best range changes little from low to high, so the headline
    is the candidate with the largest |t|, and its interval holds for all three together
    (`resampling.joint`); its p value also asks the whole curve (`window_looks`). 10/50/90
    rather than 20/50/80: the step from 20 to 50 spans 0.8 standard deviations, half of what a
    straight setting's 20 to 80 does, and would rank a window low for its shape alone; 10 to
    50 spans 1.3.
levels
    no to yes, or the two commonest levels; "other" only where one name is left beside it.

Numbers stay inside the 5-95 % range the main glazes share, see `tried`. When they are so
heaped that both percentiles agree, the 5th and 95th are taken, then the two commonest.
"""

import pandas as pd

from outcomes.design.design import Design, Term
from outcomes.design.matrix import find_term
from outcomes.design.shapes import OTHER, TREND
from outcomes.effects.effect import Contrast
from outcomes.effects.tried import Tried, find_tried, two_values, value_at
from outcomes.errors import RequestError
from outcomes.log.codebook import Codebook, Role, Shape

WINDOW_QUANTILES = (0.10, 0.50, 0.90)
TREND_LABEL = "Drift over the year"
TREND_STEP_DAYS = 30.0


def choose_contrasts(design: Design, codebook: Codebook) -> tuple[Contrast, ...]:
    """Return the contrasts to estimate, in the order of the design's terms.

    A window has up to three candidates in a row; `estimate_effects` reports one of them.
    """
    made: list[Contrast] = []
    glaze = design.frame.get(codebook.glaze)
    for term in design.spec.terms:
        values = design.frame[term.factor]
        if term.shape is Shape.LEVELS:
            made.extend(_level_contrast(term, values, codebook))
            continue
        tried = find_tried(values, glaze, _step(term, codebook))
        if term.shape is Shape.WINDOW:
            made.extend(_window_contrasts(term, tried, codebook))
        else:
            made.append(_number_contrast(term, tried, codebook))
    return tuple(made)


def build_contrast(
    design: Design,
    codebook: Codebook,
    *,
    factor: str,
    from_value: float | str,
    to_value: float | str,
) -> Contrast:
    """Return the contrast somebody asks for.

    Raises
    ------
    RequestError
        If the model does not hold the factor, a value was never logged, or both are equal.
    """
    try:
        term = find_term(design.spec, factor)
    except KeyError:
        held = ", ".join(t.factor for t in design.spec.terms)
        raise RequestError(
            f"factor {factor!r} is not in the model of {design.spec.outcome}; it holds {held}."
        ) from None
    _check_asked(term, design.frame[factor], from_value)
    _check_asked(term, design.frame[factor], to_value)
    if from_value == to_value:
        raise RequestError(f"{factor}: both values are {from_value!r}; give two different ones.")
    return Contrast(
        factor=factor,
        role=term.role,
        from_value=from_value,
        to_value=to_value,
        unit=_unit(term, codebook),
        chosen="asked for",
    )


def is_judged(contrast: Contrast, codebook: Codebook) -> bool:
    """Return whether a contrast is ranked and gets a verdict: settings other than the glaze.

    The glaze decides what a piece is, not how it is handled: outcomes are made to differ by
    glaze, so "changes the surface" would be trivially true of it, and a sure rejection in
    the family makes Benjamini-Hochberg more lenient to all the others. Clay body, form and
    kind of combustible are choices like any other setting and are judged.
    """
    return contrast.role is Role.SETTING and contrast.factor != codebook.glaze


def factor_label(name: str, codebook: Codebook) -> str:
    """Return a factor's label in the maker's words; the date trend has one too."""
    return TREND_LABEL if name == TREND else codebook.factor(name).label


def _check_asked(term: Term, values: pd.Series, value: float | str) -> None:
    """Refuse a value the log does not hold."""
    if term.shape is Shape.LEVELS:
        if value not in term.levels or value == OTHER:
            held = ", ".join(repr(level) for level in term.levels if level != OTHER)
            raise RequestError(f"{term.factor}: {value!r} is not among the levels {held}.")
        return
    low, high = float(values.min()), float(values.max())
    if isinstance(value, str) or not low <= value <= high:
        raise RequestError(
            f"{term.factor}: {value!r} lies outside {low:g} to {high:g}, the values of this "
            f"log; ask for two values inside."
        )


def _level_contrast(term: Term, values: pd.Series, codebook: Codebook) -> tuple[Contrast, ...]:
    """Return the contrast of a factor with levels."""
    named = [level for level in term.levels if level != OTHER]
    if len(named) < 2:
        named = list(term.levels[:2])
    pair = named[:2]
    order = codebook.factor(term.factor).levels
    if all(level in order for level in pair):
        pair = sorted(pair, key=order.index)
    return (
        Contrast(
            factor=term.factor,
            role=term.role,
            from_value=pair[0],
            to_value=pair[1],
            unit="",
            chosen="the two commonest" if len(set(values)) > 2 else "the two in the log",
        ),
    )


def _number_contrast(term: Term, tried: Tried, codebook: Codebook) -> Contrast:
    """Return the contrast of a straight or saturating factor."""
    low, high, chosen = two_values(tried)
    return _numbers(term, low, high, unit=_unit(term, codebook), chosen=chosen)


def _window_contrasts(term: Term, tried: Tried, codebook: Codebook) -> list[Contrast]:
    """Return the candidates of a window; one contrast when its values are heaped."""
    low, middle, high = (value_at(tried, q) for q in WINDOW_QUANTILES)
    pairs = [
        (low, middle, "low end to middle of the tried range"),
        (middle, high, "middle to high end of the tried range"),
        (low, high, "low end to high end of the tried range"),
    ]
    if not low < middle < high:
        return [_number_contrast(term, tried, codebook)]
    unit = _unit(term, codebook)
    return [_numbers(term, a, b, unit=unit, chosen=chosen, comparisons=3) for a, b, chosen in pairs]


def _numbers(
    term: Term, low: float, high: float, *, unit: str, chosen: str, comparisons: int = 1
) -> Contrast:
    return Contrast(
        factor=term.factor,
        role=term.role,
        from_value=low,
        to_value=high,
        unit=unit,
        chosen=chosen,
        comparisons=comparisons,
    )


def _step(term: Term, codebook: Codebook) -> float:
    """Return what a factor's values are rounded to; 0 for not at all."""
    return TREND_STEP_DAYS if term.factor == TREND else codebook.factor(term.factor).step or 0.0


def _unit(term: Term, codebook: Codebook) -> str:
    if term.factor == TREND:
        return "d"
    return "" if term.shape is Shape.LEVELS else codebook.factor(term.factor).unit
