"""Make the class log of Ninefold Lane: two clipboards and the truth, the same bytes every time.

The students at the front table (A to E) read the thermometer in °C, those at the back (F to I)
in °F; a firing holds pots of both. A few cells are approximate or empty, as on any clipboard.
"""

import csv
import io
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from outcomes.simulate.chance import true_change
from outcomes.simulate.ninefold import (
    COACHED,
    EVENINGS,
    NEVER_VARIED,
    SHEET_G,
    STUDENTS,
    ninefold_course,
    ninefold_truth,
)

SEED = 9
FRONT = ("A", "B", "C", "D", "E")
ABOUT = 0.08  # share of numbers written with a "~"
EMPTY = 0.01
HEADERS = {
    "firing_id": "Firing",
    "fired_on": "Date",
    "piece_id": "Pot",
    "maker": "Student",
    "glaze": "Glaze",
    "pull_temp_c": "Pull temp",
    "seconds_to_can": "Secs to can",
    "combustible_g": "Paper",
    "lid_delay_s": "Lid after",
    "time_in_can_min": "Mins in can",
    "wall_thickness_mm": "Wall (mm)",
    "quench": "Quench",
    "seal": "Wet towel",
    "can_volume_l": "Can volume (L)",
    "humidity_pct": "Humidity %",
    "luster": "Luster",
    "cracked": "Cracked?",
}
ROUGH = ("seconds_to_can", "lid_delay_s", "time_in_can_min")
CONTRASTS: tuple[tuple[str, str, float | str, float | str], ...] = (
    ("luster", "lid_delay_s", 8.0, 20.0),
    ("luster", "seconds_to_can", 7.0, 13.0),
    ("cracked", "quench", "none", "dunk"),
    ("cracked", "wall_thickness_mm", 5.5, 7.5),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clipboard:
    """One table's sheet: its file, its students, and how it writes a pull temperature."""

    file: str
    students: tuple[str, ...]
    scale: str
    write: Callable[[float], str]


CLIPBOARDS = (
    Clipboard(file="ninefold_front.csv", students=FRONT, scale="°C", write=lambda c: f"{c:.0f}"),
    Clipboard(
        file="ninefold_back.csv",
        students=tuple(s.code for s in STUDENTS if s.code not in FRONT),
        scale="°F",
        write=lambda c: f"{1.8 * c + 32:.0f}",
    ),
)


def write_demo(folder: Path) -> None:
    """Write both clipboards and the truth."""
    rng = np.random.default_rng(SEED)
    course = ninefold_course(rng)
    for board in CLIPBOARDS:
        mine = course[course["maker"].isin(board.students)]
        _write(folder / board.file, _write_board(mine, board, rng=rng))
    (folder / "ninefold_truth.toml").write_text(write_truth(course), encoding="utf-8")


def _write_board(mine: pd.DataFrame, board: Clipboard, *, rng: np.random.Generator) -> list[list]:
    """Return a clipboard's rows, header first."""
    written = {name: [_plain(value) for value in mine[name]] for name in HEADERS}
    written["fired_on"] = [day.strftime("%Y-%m-%d") for day in mine["fired_on"]]
    written["pull_temp_c"] = [board.write(value) for value in mine["pull_temp_c"]]
    written["combustible_g"] = [
        f"{g / SHEET_G:g} sheet{'s' * (g != SHEET_G)}" for g in mine["combustible_g"]
    ]
    written["cracked"] = ["yes" if grade else "no" for grade in mine["cracked"]]
    for name in ROUGH:
        written[name] = [_roughly(text, rng) for text in written[name]]
    headers = HEADERS | {"pull_temp_c": f"{HEADERS['pull_temp_c']} ({board.scale})"}
    return [list(headers.values()), *map(list, zip(*written.values(), strict=True))]


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def _roughly(text: str, rng: np.random.Generator) -> str:
    """Return a number as it is, with "~", or not at all."""
    chance = rng.random()
    return "" if chance < EMPTY else f"~{text}" if chance < EMPTY + ABOUT else text


def write_truth(course: pd.DataFrame) -> str:
    """Return the truth as a TOML text."""
    truth = ninefold_truth()
    lines = [
        "# The truth Ninefold Lane was made from. Written by make_ninefold.py; do not edit.",
        "# Everything here is invented.",
        "",
        f"seed = {SEED}",
        f"pieces = {len(course)}",
        f"firings = {course['firing_id'].nunique()}",
        f"sheet_g = {SHEET_G}",
        f"never_varied = [{', '.join(map(_quoted, NEVER_VARIED))}]",
        "",
        "[coached]",
        'factor = "lid_delay_s"',
        f'from_date = "{EVENINGS[COACHED]}"',
        'did_not_follow = ["G"]',
        "",
        "[halo]",
        'student = "D"',
        'outcome = "luster"',
        "log_odds = 1.2  # the leader's eye, not D's hands: nothing else differs between students",
        "",
    ]
    for outcome in truth.outcomes:
        lines += [
            f"[outcomes.{outcome.name}]",
            f"thresholds = {list(outcome.thresholds)}  # log-odds",
            f"aim = {outcome.aim}",
            f"firing_sd = {outcome.firing_sd}  # luck shared by a firing, log-odds",
            "",
        ]
    for outcome_name, factor, start, end in CONTRASTS:
        change = 100 * true_change(
            truth, course, factor=factor, from_value=start, to_value=end, outcome=outcome_name
        )
        lines += [
            "[[effects]]",
            f'outcome = "{outcome_name}"',
            f'factor = "{factor}"',
            f"from = {_quoted(start)}",
            f"to = {_quoted(end)}",
            f"pieces_per_100 = {change:.2f}",
            "",
        ]
    return "\n".join([*lines, *_students()])


def _students() -> list[str]:
    """Return every student's habits."""
    lines: list[str] = []
    for student in STUDENTS:
        lines += [
            f"[students.{student.code}]",
            f"seconds_to_can = {student.seconds}",
            f"lid_delay_s = {student.lid}",
            f"lid_delay_s_coached = {student.coached_lid}",
            f"sheets = {student.sheets}",
            f"wall_thickness_mm = {student.wall}",
            f"share_dunked = {student.dunks}",
            "",
        ]
    return lines


def _quoted(value: float | str) -> str:
    return f'"{value}"' if isinstance(value, str) else f"{value:g}"


def _write(path: Path, rows: list[list]) -> None:
    """Write a CSV, UTF-8, lines ended by LF."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    path.write_bytes(text.getvalue().encode())


if __name__ == "__main__":
    write_demo(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
