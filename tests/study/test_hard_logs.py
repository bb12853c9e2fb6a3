"""Logs that are hard to count with: the whole command answers, finitely, or says why not."""

import csv
import json
import random
import re

import pytest
from click.testing import CliRunner

from outcomes.cli import program
from outcomes.errors import LogError

HEADERS = ("firing_id", "fired_on", "piece_id", "glaze", "seconds_to_can", "combustible_g",
           "time_in_can_min", "lid_delay_s", "luster", "cracked")  # fmt: skip
# What arithmetic leaves behind where nobody caught it; "none" is a word of a log.
LEFT_BEHIND = re.compile(r"(?<![\w-])(nan|NaN|-?inf|-?Infinity|None|NaT)(?![\w-])")


def clean(firings=12, pieces=5):
    draw = random.Random(11)
    return [
        {
            "firing_id": f"V{firing}",
            "fired_on": f"2025-{1 + firing // 25:02}-{1 + firing % 25:02}",
            "piece_id": f"V{firing}.{piece}", "glaze": draw.choice(["Tarn Lantern", "Moth Ledger"]),
            "seconds_to_can": draw.randint(4, 39), "combustible_g": draw.randint(81, 380),
            "time_in_can_min": draw.randint(11, 39), "lid_delay_s": draw.randint(0, 15),
            "luster": draw.randint(0, 4), "cracked": "",
        }
        for firing in range(1, firings + 1)
        for piece in range(pieces)
    ]  # fmt: skip


def changed(change, rows=None):
    """The clean rows, each after ``change(number, row)``."""
    rows = clean() if rows is None else rows
    for number, row in enumerate(rows):
        row.update(change(number, row))
    return rows


def half_missing():
    draw = random.Random(5)
    return changed(lambda _, row: {name: "" for name in HEADERS[3:9] if draw.random() < 0.5})


HARD = {
    "a setting splits the grades": changed(
        lambda _, row: {"luster": 4 if row["seconds_to_can"] < 20 else 0}
    ),
    "a glaze has one grade": changed(
        lambda n, row: {"luster": 4 if row["glaze"] == "Moth Ledger" else n % 4}
    ),
    "grades that nobody gave": changed(lambda n, _: {"luster": 4 * (n * 7 % 5 < 2)}),
    "one piece unlike the others": changed(lambda n, _: {"luster": 3 if n == 7 else 2}),
    "settings in step": changed(
        lambda _, row: {"time_in_can_min": row["seconds_to_can"] * 2,
                        "combustible_g": row["seconds_to_can"] * 3 + 80}
    ),
    "settings that follow the firing": changed(
        lambda n, _: {"seconds_to_can": 5 + n // 5, "combustible_g": 100 + 9 * (n // 5)}
    ),
    "settings that never change": changed(lambda *_: {"seconds_to_can": 9, "lid_delay_s": 0}),
    "numbers a hair apart": changed(
        lambda n, _: {"seconds_to_can": f"{10 + 1e-9 * n:.12f}", "lid_delay_s": f"{1e-12 * n:.3e}"}
    ),
    "typing errors of twelve orders": changed(
        lambda n, row: {"seconds_to_can": "1e12" if n % 9 == 0 else row["seconds_to_can"],
                        "combustible_g": "1e-12" if n % 7 == 0 else row["combustible_g"]}
    ),
    "half of the cells blank": half_missing(),
    "a glaze a piece": changed(lambda n, _: {"glaze": f"Glaze {n}"}),
    "firings of one piece": clean(40, 1),
    "one firing": clean(1, 30),
    "two pieces": changed(lambda n, _: {"luster": n}, clean(2, 1)),
    "one crack": changed(lambda n, _: {"cracked": "yes" if n == 8 else "no"}),
}  # fmt: skip


def write(path, rows):
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, HEADERS)
        writer.writeheader()
        writer.writerows(rows)
    return path


def report(path, folder):
    words = ["report", str(path), "--for", "all", "--out", str(folder), "--quiet"]
    return CliRunner().invoke(program, [*words, "--resamples", "200"], catch_exceptions=True)


@pytest.mark.parametrize("name", HARD)
def test_the_whole_report_is_finite_and_every_row_is_accounted_for(name, tmp_path):
    path = write(tmp_path / "log.csv", HARD[name])
    done = report(path, tmp_path / "out")
    assert done.exit_code == 0, done.exception
    study = json.loads((tmp_path / "out" / "study.json").read_text(), parse_constant=pytest.fail)
    assert study["account"]["rows_read"] == len(HARD[name])
    for page in (tmp_path / "out").rglob("*"):
        if page.suffix in {".html", ".csv", ".svg", ".json"}:
            text = re.sub(r"(?s)<(style|script).*?</\1>", "", page.read_text(encoding="utf-8"))
            assert LEFT_BEHIND.findall(text) == [], page.name


def test_numbers_twelve_orders_off_are_named_as_impossible(tmp_path):
    path = write(tmp_path / "log.csv", HARD["typing errors of twelve orders"])
    told = CliRunner().invoke(program, ["check", str(path)]).output
    assert "1e12" in told
    assert "row 2 '1e12'" in told


def test_one_grade_for_everything_is_refused_with_the_reason(tmp_path):
    path = write(tmp_path / "log.csv", changed(lambda *_: {"luster": 2}))
    done = report(path, tmp_path / "out")
    assert isinstance(done.exception, LogError)
    assert "every graded piece has the same grade" in str(done.exception)
    assert not (tmp_path / "out").exists()


def test_forty_settings_of_no_effect_in_thirty_firings_are_read_and_none_is_called_one(tmp_path):
    dials = [f"dial_{number:02}" for number in range(40)]
    book = tmp_path / "book.toml"
    book.write_text(
        'extends = "default"\n'
        + "".join(
            f'[factors.{dial}]\nlabel = "{dial}"\nrole = "setting"\nkind = "number"\n'
            'unit = "count"\naccepted_units = ["count"]\npossible = [0, 100]\n'
            'plausible = [0, 50]\nstep = 1\nshape = "straight"\n'
            for dial in dials
        ),
        encoding="utf-8",
    )
    few = ("firing_id", "fired_on", "piece_id", "glaze", "luster")
    draw = random.Random(40)
    rows = [
        {name: row[name] for name in few} | {dial: draw.randint(0, 20) for dial in dials}
        for row in clean(30, 6)
    ]
    with (tmp_path / "log.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, fieldnames=[*few, *dials])
        writer.writeheader()
        writer.writerows(rows)
    words = ["report", str(tmp_path / "log.csv"), "--codebook", str(book), "--quiet"]
    done = CliRunner().invoke(
        program, [*words, "--resamples", "200", "--out", str(tmp_path / "out")]
    )
    assert (0, None) == (done.exit_code, done.exception)
    study = json.loads((tmp_path / "out" / "study.json").read_text(encoding="utf-8"))
    (luster,) = (part for part in study["outcomes"] if part["name"] == "luster")
    told = [effect for effect in luster["effects"] if effect["factor"] in dials]
    assert told
    assert [] == [each for each in told if each["verdict"] == "changes the surface"]
