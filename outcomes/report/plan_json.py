"""The plan as JSON, for other programs: format ``outcomes-next-firings/1``."""

import json
from collections.abc import Sequence

from outcomes.planning.next_choices import Choice
from outcomes.planning.next_expected import Foretold
from outcomes.planning.next_plan import NextFirings
from outcomes.report.plan_sheet import name_piece
from outcomes.report.study_json import round_number
from outcomes.study.record import Study

FORMAT = "outcomes-next-firings/1"


def render_plan_json(study: Study, plan: NextFirings) -> str:
    """Return the plan as text: widths are pieces per 100, values in base units."""
    request = plan.request
    document = {
        "format": FORMAT,
        "version": study.version,
        "files": [{"name": f.name, "sha256": f.sha256} for f in study.log.files],
        "seed": request.seed,
        "starts": request.starts,
        "confidence": request.confidence,
        "confirms": plan.confirms,
        "firings": list(plan.firings),
        "usual_firings": list(plan.usual),
        "pieces_per_firing": request.pieces,
        "varied": [_choice(choice) for choice in plan.varied],
        "settled": [_choice(choice) for choice in plan.settled],
        "pieces": [
            {
                "firing": piece.firing,
                "place": piece.place,
                "piece": name_piece(piece),
                "settings": dict(piece.settings),
            }
            for piece in plan.pieces
        ],
        "questions": [_question(one) for one in plan.foretold],
        "alternatives": [
            {
                "firings": other.firings,
                "pieces": other.pieces,
                "decided": other.decided,
                "pulled_apart": other.apart,
                "width_left": _rounded(other.width),
            }
            for other in plan.alternatives
        ],
        "left_open": [
            {"factor": one.factor, "code": one.code, "outcomes": list(one.outcomes)}
            for one in plan.unplanned
        ],
    }
    return json.dumps(document, allow_nan=False, ensure_ascii=False, indent=1) + "\n"


def _choice(choice: Choice) -> dict[str, object]:
    values: Sequence[object] = choice.values
    return {
        "factor": choice.factor,
        "values": list(values),
        "usual": choice.usual,
        "hard_to_change": choice.hard,
        "kept": choice.kept,
    }


def _question(one: Foretold) -> dict[str, object]:
    question = one.question
    return {
        "outcome": question.outcome,
        "factor": question.factor,
        "open": str(question.open),
        "with": list(question.with_factors),
        "from": question.contrast.from_value,
        "to": question.contrast.to_value,
        "width_now": _per_100(one.width_now),
        "width_then": _per_100(one.width_then),
        "width_as_before": _per_100(one.width_as_before),
        "decides": one.decides,
        "pulls_apart": one.pulls_apart,
        "explained_now": _rounded(one.explained_now),
        "explained_then": _rounded(one.explained_then),
        "firings_planned": one.firings_planned,
        "firings_as_before": one.firings_as_before,
        "pieces_as_before_per_planned_piece": _rounded(one.times),
    }


def _per_100(value: float | None) -> float | None:
    return None if value is None else round_number(100.0 * value)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round_number(value)
