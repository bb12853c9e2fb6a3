"""Cells: names that look like nothing, numbers that look like none, text that would run."""

from awkward_case import FINDINGS, FINE, Case, one_file
from awkward_log import N_ROWS, clean_rows, column, csv_text, edited

ROWS = clean_rows()


def _good(name: str, edits: dict[tuple[int, str], str], **more: object) -> Case:
    """Nothing is wrong with these cells."""
    return Case(
        name=name,
        write=one_file(csv_text(edited(edits))),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        **more,
    )


def _bad(name: str, edits: dict[tuple[int, str], str], **more: object) -> Case:
    """Every one of these cells must be named; none may be taken for a value."""
    told = {
        "cells": tuple((row, header, text) for (row, header), text in edits.items()),
        "values": tuple((row, header, "") for row, header in edits),
        "used": N_ROWS,
    }
    return Case(
        name=name,
        write=one_file(csv_text(edited(edits))),
        expect=(FINDINGS,),
        rows=N_ROWS,
        **(told | more),
    )


def _kept(header: str, texts: list[str]) -> dict[str, object]:
    """Texts in one column that must come back as typed."""
    return {
        "edits": column(header, texts),
        "values": tuple((row, header, text) for row, text in enumerate(texts, start=2)),
    }


RUNNING = ['=HYPERLINK("http://x","y")', "+1+1", "@SUM(A1)", "-2+3", "\t=1", "＝1+1"]
MARKUP = [
    "<script>alert(1)</script>",
    "<img src=x onerror=a()>",
    'Tom & "Jo" <jo@x.org>',
    "{{7*7}}",
]
ODD_NAMES = ["🔥 Glaze 🏺", "גלזורה לבנה", "زجاج ١٢", "Žluť ﬁn", "a\u0301b", "#12b", "12 (refire)"]
NOTHINGS = ["Null", "None", "NA", "nan", "True", "inf", "undefined", "N", "0"]
LONG = "hot " * 60_000

CASES = (
    _good("makers called Null, None, NA and nan", **_kept("maker", NOTHINGS)),
    _good("ids 007 and 7", **_kept("piece_id", ["007", "7", "07", "7.0", "1e5", "00"])),
    _good(
        "firings 01 and 1",
        column("firing_id", ["01"] * 6 + ["1"] * 6),
        values=((2, "firing_id", "01"), (8, "firing_id", "1")),
    ),
    _good(
        "ids that look like dates and numbers",
        **_kept("piece_id", ["3-4", "MAR1", "1/2", "2025-01-01", "12:30", "1,5", "0x1F", "%d"]),
    ),
    _good("emoji, right to left, accents apart", **_kept("glaze", ODD_NAMES)),
    _good("markup in names", **_kept("maker", MARKUP)),
    _good("spreadsheet formulas in names", **_kept("maker", RUNNING[:4])),
    _good("spreadsheet formulas in notes", column("notes", RUNNING), keeps=tuple(RUNNING)),
    _good("a note of a quarter of a million letters", {(5, "notes"): LONG}, keeps=(LONG,)),
    _good(
        "terminal controls in notes and names",
        {(3, "notes"): "\x1b[2J\x1b]0;x\x07", (4, "maker"): "Od\u202ed", (5, "maker"): "\x1b[31mX"},
    ),
    _good(
        "yes and no in many ways",
        column("cracked", ["TRUE", "False", "y", "N", "1", "0", "Yes", "no ", "✓", "NO"]),
        values=tuple(
            (r, "cracked", v)
            for r, v in enumerate(
                ["yes", "no", "yes", "no", "yes", "no", "yes", "no", "yes", "no"], 2
            )
        ),
    ),
    _good(
        "grades as 3.0, 3 , ３ and 03",
        column("luster", ["3.0", " 3 ", "３", "03", "3."]),
        values=tuple((r, "luster", "3") for r in range(2, 7)),
    ),
    _good(
        "blanks in many ways",
        column("seconds_to_can", ["-", "–", "n/a", "NA", "?", ".", "N/A", " "]),
        values=tuple((r, "seconds_to_can", "") for r in range(2, 10)),
    ),
    _good(
        "dates in words and with times",
        column(
            "fired_on",
            [
                "8 March 2025",
                "Sat 8 Mar 2025",
                "2025/03/08",
                "March 8, 2025",
                "2025-03-08T14:05:00Z",
                "20250308",
            ],
        ),
        values=(
            (2, "fired_on", "2025-03-08"),
            (5, "fired_on", "2025-03-08"),
            (7, "fired_on", "2025-03-08"),
        ),
    ),
    _good(
        "dates day first, shown by one of them",
        column(
            "fired_on",
            [
                f"{8 + 7 * (i // 6) if i < 24 else 5 + 7 * (i // 6 - 4)}/0{3 if i < 24 else 4}/2025"
                for i in range(N_ROWS)
            ],
        ),
        values=((2, "fired_on", "2025-03-08"), (49, "fired_on", "2025-04-26")),
    ),
    _good(
        "thousands with a comma",
        column("pull_temp_f", ["1,815", "1 815", "1\u202f815", "1815.0"]),
        values=tuple((r, "pull_temp_f", "1815") for r in range(2, 6)),
    ),
    _good(
        "numbers with a space and their unit",
        {
            **column(
                "combustible_g", ["120 g", "120\xa0g", "120g", "0.12 kg", "120 grams", "１２０"]
            )
        },
        values=tuple((r, "combustible_g", "120") for r in range(2, 8)),
    ),
    _good(
        "percent signs",
        column("humidity_pct", ["56%"] * 6 + ["61 %"] * 6),
        values=((2, "humidity_pct", "56"), (8, "humidity_pct", "61")),
    ),
    _good(
        "an apostrophe that says text",
        column("seconds_to_can", ["'12", "'7"]),
        values=((2, "seconds_to_can", "12"), (3, "seconds_to_can", "7")),
    ),
    _bad(
        "huge, tiny and endless numbers",
        column(
            "combustible_g",
            ["1e309", "-1e309", "inf", "-inf", "Infinity", "1e99", "9" * 40, "123456789"],
        ),
    ),
    _bad("the word nan is a blank, NaN( is not", column("seconds_to_can", ["NaN(7)", "1.#QNAN"])),
    _bad(
        "negative amounts",
        {
            (3, "seconds_to_can"): "-8",
            (4, "combustible_g"): "-120",
            (5, "lid_delay_s"): "-1",
            (6, "time_in_can_min"): "-15",
            (7, "glaze_thickness_mm"): "-0.5",
        },
    ),
    _bad(
        "digits of other scripts and underscores",
        column("seconds_to_can", ["١٢", "१२", "1_2", "0x0C", "1²", "一二", "twelvish"]),
    ),
    _bad(
        "spreadsheet errors as text",
        column("seconds_to_can", ["#REF!", "#DIV/0!", "#NAME?", "#VALUE!", "#NUM!", "#NULL!"]),
    ),
    _bad(
        "a formula that was never computed",
        {(4, "combustible_g"): "=SUM(B2:B9)", (5, "seconds_to_can"): "=A1", (6, "luster"): "=2+1"},
    ),
    _bad(
        "grades between, above, below, in words",
        column("luster", ["2.5", "5", "-1", "4+", "B+", "meh", "3/4", "2-3", "10", "1e0"]),
    ),
    _bad(
        "yes and no that are neither",
        column("cracked", ["maybe", "2", "✗", "-1", "hairline", "nope?!"]),
    ),
    _bad(
        "text of all kinds among numbers",
        column(
            "seconds_to_can",
            [
                "🔥",
                "<b>9</b>",
                "9 or so of 10",
                "שבע",
                "9; DROP",
                "1,2,3",
                "9..5",
                "--9",
                "9-",
                "$9",
                "a" * 500,
            ],
        ),
    ),
    _bad(
        "two numbers in a cell",
        column("combustible_g", ["120 130", "120/130", "120, 130", "12.5.5"]),
    ),
    _bad(
        "the unit of another thing",
        {
            (3, "seconds_to_can"): "9 g",
            (4, "combustible_g"): "90 s",
            (5, "wall_thickness_mm"): "6 °C",
            (6, "humidity_pct"): "60 mm",
        },
    ),
    _bad(
        "days that do not exist",
        column(
            "fired_on",
            [
                "31 April 2025",
                "2025-13-01",
                "2025-02-30",
                "spring",
                "29/02/2023",
                "45724",
                "2025",
                "0000-01-01",
            ],
        ),
    ),
    _bad(
        "days as serial numbers",
        column("fired_on", [str(45724 + 7 * (i // 6)) for i in range(N_ROWS)]),
        cells=((2, "fired_on", "45724"),),
        says=("bare number",),
    ),
    _bad(
        "days in either order",
        column("fired_on", [f"0{1 + i // 6}/04/2025" for i in range(N_ROWS)]),
        cells=((2, "fired_on", "01/04/2025"),),
        says=("date_order",),
        values=((2, "fired_on", ""),),
    ),
    _bad(
        "times of day in columns of amounts",
        {
            (3, "time_in_can_min"): "00:25:00",
            (4, "seconds_to_can"): "12:00:09 AM",
            (5, "combustible_g"): "2025-03-04",
            (6, "lid_delay_s"): "3-Apr",
        },
    ),
)
