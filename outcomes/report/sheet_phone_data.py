"""What the kiln-side page knows: the codebook's columns, the steps to tap, and its words."""

from dataclasses import dataclass

from outcomes.doubts.check_graders import GRADER
from outcomes.log.codebook import Codebook, Factor, Kind, Role
from outcomes.log.layout import TOTALS
from outcomes.log.units import UNITS
from outcomes.log.words import list_marks
from outcomes.report.sheet_columns import Holds, SheetColumn, build_columns
from outcomes.report.sheet_levels import is_of_firing
from outcomes.report.wording import Wording

# A codebook without a column for the piece's own code still needs one to tell pieces apart.
PIECE_WITHOUT_COLUMN = "phone_piece"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A column that is worked out from two taps: ``start`` and ``end`` name the steps."""

    column: str
    start: str
    end: str


STEPS = ("kiln", "can", "lid", "out")
SPANS = (
    Span(column="seconds_to_can", start="kiln", end="can"),
    Span(column="lid_delay_s", start="can", end="lid"),
    Span(column="time_in_can_min", start="can", end="out"),
)

Data = dict[str, object]


def build_phone_data(codebook: Codebook, wording: Wording) -> Data:
    """Return the page's data as plain lists and texts, the same ones every time.

    Parameters
    ----------
    codebook
        What the log holds.
    wording
        With the codebook's own words for a firing and a piece.
    """
    spans = find_spans(codebook)
    return {
        "title": codebook.title,
        "isHot": codebook.handles_hot_ware,
        "firing": codebook.firing,
        "date": codebook.date,
        "piece": codebook.piece or PIECE_WITHOUT_COLUMN,
        "glaze": codebook.glaze,
        "grader": GRADER,
        "fixed": [codebook.firing, codebook.date, codebook.loaded],
        "glazes": _list_glazes(codebook),
        "howToGrade": list(codebook.how_to_grade),
        "cautions": list(wording.say_all("cautions.hot")) if codebook.handles_hot_ware else [],
        "columns": _build_columns(codebook, spans, wording),
        "steps": _build_steps(spans, wording),
        "marks": list(list_marks()),
        "totals": f"^(?:{TOTALS.pattern})$",
        "words": dict(wording.words),
        "texts": {name: wording.texts[f"phone.{name}"] for name in _list_texts(wording)},
    }


def _list_texts(wording: Wording) -> list[str]:
    """Return the names of the texts the page's program says itself."""
    table = "phone."
    return [key.removeprefix(table) for key in wording.texts if key.startswith(table)]


def find_spans(codebook: Codebook) -> tuple[Span, ...]:
    """Return the spans whose columns the codebook has, as a time."""
    times = {
        factor.name
        for factor in codebook.factors
        if factor.kind is Kind.NUMBER and _is_time(factor)
    }
    return tuple(span for span in SPANS if span.column in times)


def _is_time(factor: Factor) -> bool:
    return factor.unit in UNITS and UNITS[factor.unit].dimension == "time"


def _build_steps(spans: tuple[Span, ...], wording: Wording) -> list[Data]:
    """Return the steps to tap, in order; none where nothing could be worked out from them."""
    if not spans:
        return []
    return [
        {
            "key": step,
            "label": wording.say(f"phone_steps.{step}"),
            "state": wording.say(f"phone_states.{step}"),
        }
        for step in STEPS
    ]


def _build_columns(codebook: Codebook, spans: tuple[Span, ...], wording: Wording) -> list[Data]:
    """Return the columns of the blank log, with what a phone has to know of each."""
    blank_log = build_columns(codebook)
    if not codebook.piece:
        label = codebook.piece_word.capitalize()
        code = SheetColumn(name=PIECE_WITHOUT_COLUMN, label=label, holds=Holds.TEXT, purpose="")
        blank_log = (code, *blank_log)
    columns = [_build_column(column, codebook, wording) for column in blank_log]
    by_name = {span.column: span for span in spans}
    for column in columns:
        span = by_name.get(str(column["name"]))
        if span is not None:
            unit = UNITS[codebook.factor(span.column).unit]
            column |= {"from": span.start, "to": span.end, "seconds": int(unit.over)}
    return columns


def _build_column(column: SheetColumn, codebook: Codebook, wording: Wording) -> Data:
    factor = next((each for each in codebook.factors if each.name == column.name), None)
    outcome = next((each for each in codebook.outcomes if each.name == column.name), None)
    return {
        "name": column.name,
        "label": column.label,
        "holds": column.holds.value,
        "unit": show_unit(column.unit, wording),
        "otherUnits": [show_unit(unit, wording) for unit in column.other_units],
        "possible": [column.possible.low, column.possible.high] if column.possible else None,
        "choices": [{"name": each.name, "wording": each.wording} for each in column.choices],
        "isGraded": column.is_graded,
        "isLong": column.name == codebook.notes,
        "isSetting": factor is not None and factor.role is not Role.CONDITION,
        "ofFiring": is_of_firing(codebook, column.name),
        "howTo": outcome.how_to_grade if outcome else "",
        "glazes": list(outcome.applies_to) if outcome else [],
    }


def show_unit(unit: str, wording: Wording) -> str:
    """Return a unit's sign as a potter writes it; a codebook's own unit as it is."""
    key = f"units.{unit}"
    return wording.say(key) if key in wording.texts else unit


def _list_glazes(codebook: Codebook) -> list[str]:
    """Return the glazes the codebook names, each once."""
    named = [glaze for outcome in codebook.outcomes for glaze in outcome.applies_to]
    return list(dict.fromkeys(named))
