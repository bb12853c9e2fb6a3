"""A workshop whose every field is hostile, and everything the commands write from it."""

import csv
import io
import zipfile
from pathlib import Path

from click.testing import CliRunner
from openpyxl import load_workbook

from outcomes.cli import program
from outcomes.log.formula_guard import neutralise_cell

DEMO = Path(__file__).parents[1] / "data_demo"
SCRIPT = "<script>window.hurt=1</script>"
PICTURE = '"><img src=http://127.0.0.1:9/x onerror="window.hurt=1">'
FORMULA = '=HYPERLINK("http://127.0.0.1:9/","tap me")'
# In the place of every name a maker may write: glazes, people, firings, pieces.
NAMES = (SCRIPT, PICTURE, FORMULA, "+1+cmd|' /C calc'!A0", "@SUM(A1)", "-2+3", "</style></svg>",
         "{{ 7*7 }}{% raw %}", "javascript:window.hurt=1", "\u202egnp.exe", "＝1+1",
         "\t=1+1", "]]></text><svg onload=window.hurt=1>")  # fmt: skip
NAMED = ("firing_id", "piece_id")
BOOK = f"""extends = "default"
title = '{SCRIPT}'
piece_word = "pot"
[factors.combustible_kind]
label = '{FORMULA}'
[factors.odd_habit]
label = '{PICTURE}'
role = "setting"
kind = "number"
unit = "g"
step = 10
possible = [0, 100]
"""


def prepare(folder: Path) -> None:
    """Write a log, a codebook and gradings in which every name is hostile."""
    with (DEMO / "hollowmere_clean.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))[:90]
    for number, row in enumerate(rows):
        row |= {name: _spoil(name, row[name]) for name in NAMED}
        row["glaze"], row["maker"] = NAMES[number % 3], NAMES[3 + number % 5]
        row["notes"] = NAMES[number % len(NAMES)]
        row["odd_habit"] = str(number * 7 % 60)
        row[FORMULA] = row[SCRIPT] = PICTURE
        del row["source_row"]
    rows[3]["seconds_to_can"], rows[4]["luster"], rows[5]["fired_on"] = SCRIPT, FORMULA, PICTURE
    _write(folder / f"log {FORMULA[:6]} <b>.csv", rows)
    (folder / "book.toml").write_text(BOOK, encoding="utf-8")
    with (DEMO / "hollowmere_regrades.csv").open(encoding="utf-8", newline="") as file:
        grades = list(csv.DictReader(file))
    for row in grades:
        row |= {name: _spoil(name, row[name]) for name in (*NAMED, "grader") if name in row}
    _write(folder / "grades.csv", grades)


def _spoil(name: str, text: str) -> str:
    """Return the name behind a hostile one, so that different things stay different."""
    return f"{NAMES[(len(name) + sum(text.encode())) % len(NAMES)]} {text}"


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)


def write_everything(inputs: Path, out: Path) -> None:
    """Run every command that writes pages or tables from a maker's own words."""
    log = str(next(inputs.glob("log*.csv")))
    book = ("--codebook", str(inputs / "book.toml"))
    quick = ("--resamples", "200", "--quiet")
    grades = str(inputs / "grades.csv")
    declared = ("--outcome", "luster", "--factor", "glaze", "--compare", NAMES[1],
                FORMULA, "--title", SCRIPT, "--stop", PICTURE, "--firings", "8", "--pieces", "4",
                "--date", "2020-03-02")  # fmt: skip
    plan = str(out / "plan.toml")
    for words in (
        ("report", log, *book, "--for", "all", "--out", str(out / "report"), *quick),
        ("plan", log, *book, "--firings", "2", "--pieces", "4", "--out", str(out / "next"), *quick),
        ("export", log, *book, "--to", str(out / "clean.csv")),
        ("sheet", *book, "--out", str(out / "sheets")),
        ("sheet", "--phone", *book, "--out", str(out / "sheets")),
        ("agree", grades, "--out", str(out / "agree"), "--quiet"),
        ("agree", grades, "--regrade", "36", "--out", str(out / "regrade")),
        ("declare", *declared, *book, "--to", plan, "--sheet", str(out / "run")),
        ("test", plan, log, *book, "--out", str(out / "test"), *quick),
        ("power", plan, log, *book, "--runs", "100", "--out", str(out / "power"), "--quiet"),
    ):
        done = CliRunner().invoke(program, words)
        if done.exit_code:
            raise AssertionError(f"{words[0]}: {done.exception!r} {done.output}")


def find_formulas(file: Path) -> list[str]:
    """Return the cells of a CSV or XLSX file that a spreadsheet would execute."""
    if file.suffix == ".xlsx":
        if any("externalLink" in name for name in zipfile.ZipFile(file).namelist()):
            return ["an external link"]
        book = load_workbook(file)
        cells = (cell for sheet in book for row in sheet.iter_rows() for cell in row)
        return [str(cell.value) for cell in cells if cell.data_type == "f"]
    text = file.read_text(encoding="utf-8-sig")
    return [c for row in csv.reader(io.StringIO(text)) for c in row if neutralise_cell(c) != c]
