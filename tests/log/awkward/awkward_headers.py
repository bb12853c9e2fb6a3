"""Headers: doubled, respelt, missing; columns empty, swapped, without end."""

from awkward_case import FINDINGS, FINE, REFUSED, Case, one_file
from awkward_log import HEADERS, N_ROWS, clean_rows, column, csv_lines, csv_text, edited, join_lines

ROWS = clean_rows()
GRADES = HEADERS[14:18]
RESPELT = {
    "firing_id": "Firing No.",
    "luster": "LUSTRE",
    "color_shift": "Colour  shift",
    "pull_temp_f": "Pull temp (°F)",
    "seconds_to_can": "Secs to can",
    "cracked": "Cracked?",
}


def _case(name: str, text: str, *expect: str, used: int | None = N_ROWS, **more: object) -> Case:
    rows = None if REFUSED in expect else N_ROWS
    return Case(
        name=name,
        write=one_file(text),
        expect=expect,
        rows=rows,
        used=used if rows else None,
        **more,
    )


def _with_more(names: list[str], cells: list[str]) -> str:
    lines = csv_lines()
    return join_lines([",".join([lines[0], *names]), *(",".join([x, *cells]) for x in lines[1:])])


def _without(*names: str) -> str:
    return csv_text(headers=[header for header in HEADERS if header not in names])


def _blank(*names: str) -> str:
    return csv_text([row | dict.fromkeys(names, "") for row in ROWS])


SWAPPED = [
    row | {"pull_temp_f": row["seconds_to_can"], "seconds_to_can": row["pull_temp_f"]}
    for row in ROWS
]
ALL_NUMBERS = {"luster": "3", "crackle_density": "3", "color_shift": "3", "cracked": "no"}
WEIGHTS = [row["combustible_g"] for row in ROWS]

CASES = (
    _case(
        "headers respelt, with units and capitals",
        csv_text(names=RESPELT),
        FINE,
        says=("Pull temp (°F)", "known alias"),
    ),
    _case(
        "columns in reverse order",
        csv_text(headers=HEADERS[::-1]),
        FINE,
        values=((2, "combustible_g", WEIGHTS[0]),),
    ),
    _case(
        "an outcome's header twice",
        _with_more(["luster"], ["4"]),
        FINDINGS,
        says=("luster", "second column"),
        values=((2, "luster", ROWS[0]["luster"]),),
    ),
    _case(
        "an unknown header twice",
        _with_more(["shelf", "shelf"], ["top", "left"]),
        FINE,
        keeps=("top", "left"),
    ),
    _case(
        "two spellings of one column",
        _with_more(["lustre"], ["1"]),
        FINDINGS,
        says=("lustre", "second column"),
        values=((2, "luster", ROWS[0]["luster"]),),
    ),
    _case(
        "two temperatures, °F and °C",
        _with_more(["pull_temp_c"], ["1000"]),
        FINDINGS,
        says=("pull_temp_c", "pull_temp_f"),
    ),
    _case("an unnamed column with text", _with_more([""], ["!"]), FINE, keeps=("!",)),
    _case(
        "a header of two lines",
        csv_text(names={"seconds_to_can": "seconds\nto can"}),
        FINE,
        values=((2, "seconds\nto can", ROWS[0]["seconds_to_can"]),),
    ),
    _case("a header of a thousand letters", _with_more(["x" * 1000], ["1"]), FINE),
    _case("headers that would run", _with_more(["=1+1", "<script>a()</script>"], ["1", "2"]), FINE),
    _case(
        "three thousand unknown columns",
        _with_more([f"sensor_{i}" for i in range(3000)], ["1"] * 3000),
        FINE,
    ),
    _case(
        "three thousand columns of words near to known ones",
        _with_more(
            [
                f"cracle densty{'abcdefghij'[i % 10]}{'klmnopq'[i % 7]}" * (1 + i % 2)
                for i in range(3000)
            ],
            ["1"] * 3000,
        ),
        FINE,
        FINDINGS,
    ),
    _case("one outcome missing", _without("luster"), FINDINGS, says=("luster",)),
    _case("every outcome missing", _without(*GRADES), REFUSED, says=("luster", "outcome")),
    _case(
        "every setting missing",
        csv_text(headers=["firing_id", "piece_id", *GRADES]),
        REFUSED,
        says=("seconds_to_can",),
    ),
    _case(
        "no firing and no date",
        _without("firing_id", "fired_on"),
        FINDINGS,
        says=("firing_id", "column"),
    ),
    _case("no firing, but a date", _without("firing_id"), FINE, FINDINGS, says=("firing",)),
    _case("every outcome blank", _blank(*GRADES), REFUSED, says=("grade", "luster")),
    _case(
        "one outcome blank",
        _blank("luster"),
        FINE,
        FINDINGS,
        says=("luster",),
        values=((2, "luster", ""),),
    ),
    _case("a setting blank", _blank("glaze_thickness_mm"), FINE, says=("glaze_thickness_mm",)),
    _case("the notes and the maker blank", _blank("notes", "maker"), FINE),
    _case(
        "one grade for everything",
        csv_text([row | ALL_NUMBERS for row in ROWS]),
        REFUSED,
        says=("same grade",),
    ),
    _case(
        "one outcome of one grade",
        csv_text([row | {"luster": "3"} for row in ROWS]),
        FINE,
        FINDINGS,
        says=("luster",),
    ),
    _case(
        "grades that are no steps",
        csv_text([row | dict.fromkeys(GRADES, "lovely") for row in ROWS]),
        REFUSED,
        says=("lovely",),
    ),
    _case(
        "one firing",
        csv_text(
            [
                row
                | {
                    "firing_id": "V1",
                    "fired_on": "2025-03-08",
                    "air_temp_c": "9",
                    "humidity_pct": "50",
                }
                for row in ROWS
            ]
        ),
        FINDINGS,
        says=("1 firing",),
    ),
    _case(
        "two columns swapped",
        csv_text(SWAPPED),
        FINDINGS,
        says=("48 cells", "pull_temp_f", "seconds_to_can"),
        values=((2, "pull_temp_f", ""),),
    ),
    _case(
        "two cells swapped",
        csv_text(
            edited(
                {
                    (8, "pull_temp_f"): ROWS[6]["seconds_to_can"],
                    (8, "seconds_to_can"): ROWS[6]["pull_temp_f"],
                }
            )
        ),
        FINDINGS,
        cells=(
            (8, "pull_temp_f", ROWS[6]["seconds_to_can"]),
            (8, "seconds_to_can", ROWS[6]["pull_temp_f"]),
        ),
    ),
    _case(
        "the whole column of temperatures without a unit",
        csv_text(
            names={"pull_temp_f": "pull temp"},
            rows=edited(column("pull_temp_f", ["1010"] * N_ROWS)),
        ),
        FINDINGS,
        says=("°C or °F", "unstated_unit"),
        values=((2, "pull_temp_c", ""),),
    ),
    _case(
        "temperatures that can only be °F",
        csv_text(names={"pull_temp_f": "pull temp"}),
        FINE,
        FINDINGS,
        says=("1200 °C",),
    ),
    _case(
        "°C among °F",
        csv_text(edited({(r, "pull_temp_f"): "1003" for r in (5, 17, 40)})),
        FINDINGS,
        cells=tuple((r, "pull_temp_f", "1003") for r in (5, 17, 40)),
        values=((5, "pull_temp_f", ""), (6, "pull_temp_f", ROWS[4]["pull_temp_f"])),
    ),
    _case(
        "°C under a header in °F",
        csv_text(
            edited(
                column(
                    "pull_temp_f", [f"{round((int(r['pull_temp_f']) - 32) / 1.8)}" for r in ROWS]
                )
            )
        ),
        FINDINGS,
        says=("pull_temp_f", "°C"),
    ),
)
