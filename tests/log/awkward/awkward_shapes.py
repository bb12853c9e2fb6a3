"""Rows: ragged, repeated, blank, quoted, totals, tables beside and below."""

from awkward_case import FINDINGS, FINE, REFUSED, Case, one_file
from awkward_log import N_ROWS, clean_rows, csv_lines, csv_text, edited, join_lines

LINES = csv_lines()
HEAD, BODY = LINES[0], LINES[1:]
WIDE = [row["wall_thickness_mm"] for row in clean_rows()]
SOUND = ((2, "wall_thickness_mm", WIDE[0]), (49, "wall_thickness_mm", WIDE[-1]))


def _sound(name: str, lines: list[str], **more: object) -> Case:
    return Case(
        name=name,
        write=one_file(join_lines(lines)),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        **({"values": SOUND} | more),
    )


def _marked(name: str, lines: list[str], **more: object) -> Case:
    return Case(name=name, write=one_file(join_lines(lines)), expect=(FINDINGS,), **more)


def _between(line: str, after: int) -> list[str]:
    """The clean lines with one more below line ``after`` (the header is line 1)."""
    return [*LINES[:after], line, *LINES[after:]]


def _replaced(row: int, line: str) -> list[str]:
    return [*LINES[: row - 1], line, *LINES[row:]]


def _without_cell(row: int, place: int) -> str:
    cells = LINES[row - 1].split(",")
    return ",".join([*cells[:place], *cells[place + 1 :]])


RECIPES = ["", "Glaze recipe,Frit,Copper", "Tarn Lantern,80,5", "Moth Ledger,75,0"]
BESIDE = [
    f"{line},,{extra}"
    for line, extra in zip(LINES, ["stock,kg", "frit,12", "copper,3", *[","] * 46], strict=True)
]
QUOTED = csv_text(edited({(5, "notes"): 'said "hot", twice\nthen left', (6, "notes"): "a,b"}))

CASES = (
    _sound("a comma behind the header only", [f"{HEAD},", *BODY]),
    _sound("a comma behind every row", [f"{line}," for line in LINES]),
    _sound("a comma behind every row but the header", [HEAD, *(f"{line}," for line in BODY)]),
    _sound("a comma behind the first row only", [HEAD, f"{BODY[0]},", *BODY[1:]]),
    _sound("many commas behind every row", [f"{line},,,,,," for line in LINES]),
    _sound(
        "blank lines between firings",
        [line for at, line in enumerate(LINES) for line in ([line, ""] if at % 6 == 0 else [line])],
        values=((3, "wall_thickness_mm", WIDE[0]),),
    ),
    _sound(
        "a title and a blank line above the header",
        ["Firing log, spring", "", *LINES],
        values=((4, "wall_thickness_mm", WIDE[0]), (51, "wall_thickness_mm", WIDE[-1])),
    ),
    _sound(
        "an address and five lines above the header",
        ["Hollow Yard;1;2", "Lane 3,,", "", "x", "season 2025,,,", *LINES],
        values=((7, "wall_thickness_mm", WIDE[0]),),
    ),
    _sound(
        "a cell of two lines and doubled quotes",
        QUOTED.split("\n")[:-1],
        keeps=('said "hot", twice\nthen left', "a,b"),
    ),
    _marked(
        "one value too many in a row",
        _replaced(9, LINES[8] + ",again"),
        rows=N_ROWS,
        used=N_ROWS - 1,
        says=("row 9", "again"),
    ),
    _marked(
        "two values too many in three rows",
        [line + ",x,y" if at in (3, 4, 30) else line for at, line in enumerate(LINES)],
        rows=N_ROWS,
        used=N_ROWS - 3,
        says=("row 4", "row 5", "row 31"),
    ),
    _marked(
        "a row that ends early",
        _replaced(12, ",".join(LINES[11].split(",")[:14])),
        rows=N_ROWS,
        used=N_ROWS,
        says=("12", "fewer cells"),
        values=((12, "humidity_pct", LINES[11].split(",")[13]), (12, "luster", "")),
    ),
    _marked(
        "a cell missing in the middle",
        _replaced(12, _without_cell(12, 6)),
        rows=N_ROWS,
        says=("12", "fewer cells"),
    ),
    _marked(
        "a row of one word",
        _between("rained off", 20),
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 21", "rained off"),
    ),
    _marked(
        "the header again in the middle",
        _between(HEAD, 20),
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 21", "repeats the header"),
    ),
    _marked(
        "the header again with capitals and spaces",
        _between(HEAD.upper().replace(",", " ,"), 20),
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 21", "repeats the header"),
    ),
    _marked(
        "a line of totals",
        [*LINES, "Total,,,,,,410,9000,,,,,,,96,80,77,,"],
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 50", "Total"),
    ),
    _marked(
        "averages with the word in another column",
        [*LINES, ",,,average,,1822,20,210,7,22,.9,6.5,12,60,2,2,2,,"],
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 50", "average"),
    ),
    _marked(
        "a line of counts",
        [*LINES, "count: 48" + "," * 18],
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 50", "count: 48"),
    ),
    _marked(
        "another table below",
        [*LINES, *RECIPES],
        rows=N_ROWS + 3,
        used=N_ROWS,
        says=("row 51", "row 52", "row 53", "Glaze recipe"),
    ),
    _sound("another table beside, its own columns", BESIDE, keeps=("frit", "copper")),
    _marked(
        "remarks that begin with #",
        ["# Hollow Yard 2025", *LINES[:10], "# new pyrometer from here", *LINES[10:]],
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 12", "# new pyrometer from here"),
    ),
    _marked(
        "a remark with commas that begins with #",
        _between("# hot, windy, late", 10),
        rows=N_ROWS + 1,
        used=N_ROWS,
        says=("row 11", "# hot"),
    ),
    _marked(
        "a quote that would swallow rows",
        _replaced(7, LINES[6] + '"oh no'),
        rows=N_ROWS,
        says=("row 7",),
        values=((8, "wall_thickness_mm", WIDE[6]),),
    ),
    _marked(
        "a quote that opens a cell and never closes",
        _replaced(7, '"' + LINES[6]),
        rows=N_ROWS,
        says=("row 7",),
        values=((49, "wall_thickness_mm", WIDE[-1]),),
    ),
    _sound(
        "inches written as a quotation mark",
        [
            line.replace(f",{WIDE[at - 1]},", ',1/4",') if at in (2, 5) else line
            for at, line in enumerate(LINES)
        ],
        values=((3, "wall_thickness_mm", "6.35"),),
    ),
    Case(
        name="the same row three times",
        write=one_file(join_lines([*LINES, LINES[4], LINES[4]])),
        expect=(FINDINGS,),
        rows=N_ROWS + 2,
        used=N_ROWS + 2,
        says=("row 50 repeats row 5", "row 51 repeats row 5"),
    ),
    Case(name="one row", write=one_file(join_lines(LINES[:2])), expect=(REFUSED,), says=("one",)),
    Case(name="header only", write=one_file(HEAD + "\n"), expect=(REFUSED,), says=("row",)),
    Case(
        name="header and blank rows",
        write=one_file(HEAD + "\n" + "," * 18 + "\n\n"),
        expect=(REFUSED,),
        says=("row",),
    ),
    Case(
        name="the header in row 40",
        write=one_file(join_lines([*["chat"] * 39, *LINES])),
        expect=(REFUSED,),
        says=("header", "first 20"),
    ),
    Case(
        name="no header at all",
        write=one_file(join_lines(BODY)),
        expect=(REFUSED,),
        says=("header",),
    ),
    Case(
        name="rows and columns exchanged",
        expect=(REFUSED,),
        says=("header",),
        write=one_file(
            join_lines(
                [
                    ",".join(cells)
                    for cells in zip(*(line.split(",") for line in LINES), strict=True)
                ]
            )
        ),
    ),
)
