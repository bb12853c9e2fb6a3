"""The run sheet of a plan: the drawn list, with empty cells for what happens.

Two copies of one table: a CSV to fill in on a screen, which reads straight back into
`outcomes check`, and a page to print. Grades stand on the page in a table of their own, without
the values, so that whoever grades need not see who got what.
"""

import base64
import csv
import hashlib
import io
from importlib.resources import files
from pathlib import Path

import pandas as pd
from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from outcomes.log.codebook import Codebook
from outcomes.log.formula_guard import neutralise_cell
from outcomes.planning.assignment import draw_assignment, row_names
from outcomes.planning.plan import Plan, show_value
from outcomes.report.filled import refuse_filled
from outcomes.report.trial_cautions import factor_notes
from outcomes.report.trial_words import Speaker, build_speaker
from outcomes.report.writing import write_results

SHEET_CSV, SHEET_PAGE = "run_sheet.csv", "run_sheet.html"


def build_run_sheet(plan: Plan, codebook: Codebook) -> dict[str, bytes]:
    """Return the CSV and the page, by file name; the same plan gives the same bytes."""
    table = build_sheet_table(plan, codebook)
    return {
        SHEET_CSV: _render_csv(table),
        SHEET_PAGE: render_run_sheet(plan, table, codebook).encode("utf-8"),
    }


def build_sheet_table(plan: Plan, codebook: Codebook) -> pd.DataFrame:
    """Return one row a piece under the codebook's own headers, "" where something is to be filled.

    Returns
    -------
    DataFrame of str
        Firing, date, piece, blocks, the drawn values, what is allowed for, the graded outcomes,
        notes; columns the codebook does not have are left out.
    """
    drawn = draw_assignment(plan)
    firings, pieces = row_names(drawn)
    blank = [""] * len(drawn)
    assigned = [factor.name for factor in plan.factors]
    columns: dict[str, list[str]] = {
        codebook.firing or "firing_id": firings,
        codebook.date or "fired_on": blank,
        codebook.piece or "piece_id": pieces,
    }
    for name in [name for name, _ in plan.blocks] + assigned:
        values = drawn[name] if name in drawn else pd.Series(blank)
        columns[name] = [show_value(value) for value in values]
    for name in [*plan.adjust_for, *dict.fromkeys(h.outcome for h in plan.hypotheses)]:
        columns.setdefault(name, blank)
    if codebook.notes:
        columns[codebook.notes] = blank
    return pd.DataFrame(columns, dtype=object)


def write_run_sheet(plan: Plan, codebook: Codebook, folder: Path) -> Path:
    """Write the run sheet into a folder, all at once; return the page.

    Raises
    ------
    ReportError
        When the folder holds a run sheet somebody has filled in, or the disk refuses; nothing
        has been written then.
    """
    sheet = build_run_sheet(plan, codebook)
    filled = {SHEET_CSV: sheet[SHEET_CSV]}
    refuse_filled(filled, folder, what="this empty run sheet", option="--sheet")
    write_results(sheet, folder, made_by="declare")
    return folder / SHEET_PAGE


def render_run_sheet(plan: Plan, table: pd.DataFrame, codebook: Codebook) -> str:
    """Return the page to print: one table a firing, then the grading tables."""
    speaker = build_speaker(codebook)
    style = _read("run_sheet.css")
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        keep_trailing_newline=True,
    )  # fmt: skip
    graded = list(dict.fromkeys(h.outcome for h in plan.hypotheses))
    key = codebook.firing or "firing_id"
    hidden = {*graded, key, codebook.date or "fired_on", codebook.notes}
    fired = [str(name) for name in table.columns if name not in hidden]
    groups = [(str(name), rows) for name, rows in table.groupby(key, sort=False)]
    return environment.from_string(_read("run_sheet.html.jinja")).render(
        plan=plan,
        say=speaker.wording.say,
        style=Markup(style),  # noqa: S704 - our own file, without anything a maker wrote
        style_hash=_hash(style),
        cluster=codebook.cluster_word.capitalize(),
        heads=[_head(name, speaker) for name in fired],
        groups=[(name, rows[fired].to_numpy().tolist()) for name, rows in groups],
        grade_heads=[_head(name, speaker) for name in graded],
        pieces=[(name, rows[codebook.piece or "piece_id"].tolist()) for name, rows in groups],
        cautions=factor_notes([factor.name for factor in plan.factors], speaker),
        hot=codebook.handles_hot_ware,
    )


def _head(name: str, speaker: Speaker) -> tuple[str, str]:
    """Return a column's label with its unit, and its header in the CSV."""
    codebook = speaker.codebook
    labels = {
        codebook.piece: codebook.piece_word.capitalize(),
        **{factor.name: factor.label for factor in codebook.factors},
        **{outcome.name: outcome.label for outcome in codebook.outcomes},
    }
    label = labels.get(name, name.replace("_", " ").capitalize())
    unit = {each.name: each.unit for each in codebook.factors}.get(name, "")
    sign = speaker.wording.texts.get(f"units.{unit}", unit) if unit else ""
    return (f"{label} ({sign})" if sign else label), name


def _render_csv(table: pd.DataFrame) -> bytes:
    """Return the table as CSV (RFC 4180, UTF-8); without the mark, spreadsheets misread it."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow([neutralise_cell(str(name)) for name in table.columns])
    writer.writerows([neutralise_cell(cell) for cell in row] for row in table.to_numpy().tolist())
    whole = text.getvalue()
    return whole.encode("ascii" if whole.isascii() else "utf-8-sig")


def _hash(style: str) -> str:
    """Return the style's hash as a Content-Security-Policy source (CSP level 3, 6.7.3)."""
    digest = hashlib.sha256(style.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"


def _read(name: str) -> str:
    return files("outcomes.report").joinpath(name).read_text(encoding="utf-8")
