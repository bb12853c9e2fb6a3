"""A power simulation as JSON, for machines: what was supposed, and the whole grid."""

import json

from outcomes.planning.power_study import PowerPart, PowerStudy
from outcomes.report.power_tables import build_power_table
from outcomes.report.study_json import round_number

FORMAT = "outcomes-power/1"


def render_power_json(study: PowerStudy) -> str:
    """Return the JSON text; numbers have seven significant digits."""
    first = study.parts[0].grid
    document = {
        "format": FORMAT,
        "version": study.version,
        "title": study.title,
        "seed": first.seed,
        "runs": first.runs,
        "questions": [_build_question(part) for part in study.parts],
        "grid": _build_rows(study),
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _build_question(part: PowerPart) -> dict[str, object]:
    question, known = part.question, part.background
    return {
        "hypothesis": question.name,
        "claim": str(question.claim),
        "direction": str(question.direction),
        "compared": list(question.compared),
        "assigned_to": str(question.assigned),
        "values": question.values,
        "blocks": question.blocks,
        "smallest_difference_per_100": round_number(100 * question.smallest),
        "level": round_number(question.level),
        "shares_per_100": [round_number(100 * share) for share in known.shares],
        "aim": known.aim,
        "lucks": [
            {"firing_sd": round_number(sd), "from": str(source)} for sd, source in known.lucks
        ],
        "firings_seen": known.firings,
        "pieces_seen": known.pieces,
    }


def _build_rows(study: PowerStudy) -> list[dict[str, object]]:
    table = build_power_table(study).astype(object)
    records = table.where(table.notna(), None).to_dict(orient="records")
    return [
        {
            str(name): round_number(value) if isinstance(value, float) else value
            for name, value in record.items()
        }
        for record in records
    ]
