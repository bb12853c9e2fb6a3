"""Several files that are one log: the same, overlapping, in other columns and units."""

from collections.abc import Sequence
from pathlib import Path

from awkward_case import FINDINGS, FINE, Case, files
from awkward_log import HEADERS, N_ROWS, clean_rows, csv_text, edited

ROWS = clean_rows()
FIRST, SECOND = csv_text(ROWS[:24]), csv_text(ROWS[24:])
CELSIUS = [
    row | {"pull_temp_f": f"{(int(row['pull_temp_f']) - 32) / 1.8:.4f}"} for row in ROWS[24:]
]


def _twice(folder: Path) -> Sequence[Path]:
    (folder / "log.csv").write_text(csv_text())
    return [folder / "log.csv", folder / "log.csv"]


def _linked(folder: Path) -> Sequence[Path]:
    (folder / "log.csv").write_text(csv_text())
    (folder / "copy.csv").symlink_to(folder / "log.csv")
    return [folder / "log.csv", folder / "copy.csv"]


CASES = (
    Case(
        name="two halves of a year",
        write=files({"a.csv": FIRST, "b.csv": SECOND}),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
    ),
    Case(
        name="the same file twice",
        write=_twice,
        expect=(FINDINGS,),
        rows=2 * N_ROWS,
        used=N_ROWS,
        says=("holds the same as", "log.csv"),
    ),
    Case(
        name="the same file and a link to it",
        write=_linked,
        expect=(FINDINGS,),
        rows=2 * N_ROWS,
        used=N_ROWS,
        says=("copy.csv",),
    ),
    Case(
        name="a copy in other bytes",
        expect=(FINDINGS,),
        rows=2 * N_ROWS,
        used=N_ROWS,
        says=("copy.csv",),
        write=files({"log.csv": csv_text(), "copy.csv": csv_text(delimiter=";", end="\r\n")}),
    ),
    Case(
        name="exports that overlap",
        expect=(FINDINGS,),
        rows=60,
        used=N_ROWS,
        write=files({"a.csv": csv_text(ROWS[:30]), "b.csv": csv_text(ROWS[18:])}),
        says=("b.csv", "rows 2, 3, 4, 5, 6", "a.csv"),
    ),
    Case(
        name="an overlap with one cell corrected",
        expect=(FINDINGS,),
        rows=60,
        used=N_ROWS + 1,
        write=files(
            {
                "a.csv": csv_text(ROWS[:30]),
                "b.csv": csv_text(
                    edited({(2, "luster"): "0" if ROWS[18]["luster"] != "0" else "1"}, ROWS[18:])
                ),
            }
        ),
        says=("V4.1",),
    ),
    Case(
        name="other units in the second file",
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        write=files(
            {"a.csv": FIRST, "b.csv": csv_text(CELSIUS, names={"pull_temp_f": "pull_temp_c"})}
        ),
        values=((2, "pull_temp_c", ""),)[:0],
    ),
    Case(
        name="other columns in the second file",
        expect=(FINE, FINDINGS),
        rows=N_ROWS,
        used=N_ROWS,
        write=files(
            {
                "a.csv": FIRST,
                "b.csv": csv_text(
                    ROWS[24:], headers=[h for h in HEADERS if h not in ("maker", "luster")]
                ),
            }
        ),
    ),
    Case(
        name="a file of headers beside a log",
        write=files({"a.csv": csv_text(), "b.csv": csv_text([])}),
        expect=(FINE, FINDINGS),
        rows=N_ROWS,
        used=N_ROWS,
    ),
)
