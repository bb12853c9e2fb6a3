"""What the panel's script needs, as one JSON text: numbers to seven digits, words, stops."""

import json
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from outcomes.design.matrix import find_term
from outcomes.design.shapes import build_term_columns
from outcomes.effects.panel import PanelOutcome
from outcomes.effects.panel_ground import place_value
from outcomes.effects.panel_model import PanelModel
from outcomes.effects.support import value_columns
from outcomes.model.fit import FloatArray
from outcomes.report.cautions import find_hot_way
from outcomes.report.panel_offer import Panel
from outcomes.report.panel_stops import Stops
from outcomes.report.panel_words import describe_outcome, describe_own, find_verdicts, list_words
from outcomes.report.pot_outline import outline_pot
from outcomes.report.study_json import round_number
from outcomes.report.teller import Teller

Json = None | bool | int | float | str | Sequence["Json"] | Mapping[str, "Json"]
POT_HEIGHT = 15.0
_DECIMALS = 3  # of a standard deviation, of a t


def render_panel_data(panel: Panel, teller: Teller) -> str:
    """Return the JSON text of a panel."""
    data: dict[str, Json] = {
        "words": list_words(teller),
        "pot": outline_pot(POT_HEIGHT),
        "glazes": [_glaze(panel, k) for k in range(len(panel.glazes))],
        "settings": [_setting(panel, k, teller) for k in range(len(panel.stops))],
        "limit": round_number(panel.ground.limit),
        "outcomes": [_outcome(panel, outcome, teller) for outcome in panel.outcomes],
    }
    return json.dumps(data, allow_nan=False, ensure_ascii=False, separators=(",", ":"))


def _glaze(panel: Panel, k: int) -> Json:
    own = panel.ground.points[panel.ground.glaze == panel.glazes[k]]
    return {
        "name": panel.glazes[k],
        "allowed": [list(one.stops) for one in panel.allowed[k]],
        "usual": [one.usual for one in panel.allowed[k]],
        "points": _thousandths(np.unique(np.round(own, _DECIMALS), axis=0)),
    }


def _setting(panel: Panel, k: int, teller: Teller) -> Json:
    stops = panel.stops[k]
    factor = stops.factor
    return {
        "name": factor.name,
        "label": factor.label,
        "number": stops.is_number,
        "stops": [teller.amount(value, factor.name) for value in stops.values],
        "hot": find_hot_way(factor),
        "note": factor.safety_note,
        "places": [_thousandths(place_value(panel.ground, k, value)) for value in stops.values],
    }


def _outcome(panel: Panel, outcome: PanelOutcome, teller: Teller) -> Json:
    models = list({id(model): model for model in outcome.models.values()}.values())
    places = {id(model): k for k, model in enumerate(models)}
    factors = [stops.factor.name for stops in panel.stops]
    held = [term.factor for term in outcome.design.spec.terms if term.factor in factors]
    described = describe_outcome(outcome, [f for f in factors if f not in held], teller)
    return {
        "name": outcome.name,
        **described,
        "verdicts": list(find_verdicts(outcome.name, factors, teller)),
        "order": [factors.index(factor) for factor in held],
        "columns": [
            _columns(outcome, stops) if stops.factor.name in held else None for stops in panel.stops
        ],
        "models": [_model(model, factors) for model in models],
        "glazes": [
            _of_glaze(panel, outcome, name, place=places[id(outcome.models[name])], teller=teller)
            if name in outcome.models
            else None
            for name in panel.glazes
        ],
    }


def _of_glaze(
    panel: Panel, outcome: PanelOutcome, name: str, *, place: int, teller: Teller
) -> Json:
    """Return which model holds for a glaze and what the glaze itself adds.

    The glaze is the first term of a design, so its columns stand before those of the settings.
    """
    first, glaze = outcome.design.spec.terms[0], teller.study.log.codebook.glaze
    is_held = first.factor == glaze
    t = outcome.models[name].quantiles.get(glaze, np.zeros(len(panel.logged.glazes)))
    return {
        "model": place,
        "columns": _numbers(value_columns(first, name)) if is_held else [],
        "t": round(float(t[panel.logged.glazes.index(name)]), _DECIMALS),
        "own": describe_own(outcome.own[name], teller) if name in outcome.own else "",
    }


def _columns(outcome: PanelOutcome, stops: Stops) -> Json:
    term = find_term(outcome.design.spec, stops.factor.name)
    return [_numbers(row) for row in build_term_columns(pd.Series(list(stops.values)), term)]


def _model(model: PanelModel, factors: Sequence[str]) -> Json:
    corner = np.tril_indices(len(model.covariance))
    return {
        "threshold": round_number(model.threshold),
        "slopes": _numbers(model.slopes),
        "shares": _numbers(model.shares),
        "means": [_numbers(row) for row in model.means],
        "leans": _numbers(model.leans),
        "covariance": _numbers(model.covariance[corner]),
        "t": [_thousandths(model.quantiles[f]) if f in model.quantiles else None for f in factors],
    }


def _numbers(values: FloatArray) -> list[Json]:
    return [round_number(float(value)) for value in values]


def _thousandths(values: FloatArray) -> Json:
    rounded = np.round(values, _DECIMALS) + 0.0
    return rounded.tolist()  # type: ignore[no-any-return]
