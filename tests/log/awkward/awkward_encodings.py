"""Bytes, delimiters and line ends."""

from awkward_case import FINDINGS, FINE, REFUSED, Case, one_file
from awkward_log import N_ROWS, clean_rows, csv_lines, csv_text, edited, join_lines

PLAIN = csv_text()
FIRST = clean_rows()[0]
# What must come back from any sound file: the first row's names and numbers.
SOUND = (
    (2, "firing_id", "V1"),
    (2, "pull_temp_f", FIRST["pull_temp_f"]),
    (2, "wall_thickness_mm", FIRST["wall_thickness_mm"]),
)
ACCENTED = edited({(3, "glaze"): "Céladon", (9, "maker"): "Søren"})
COMMAS = [
    {
        header: text.replace(".", ",") if header != "piece_id" else text
        for header, text in row.items()
    }
    for row in clean_rows()
]


def _sound(name: str, content: str | bytes, file: str = "log.csv", **more: object) -> Case:
    """A file that is only unusual: nothing is lost and nothing needs a warning."""
    return Case(
        name=name,
        write=one_file(content, file),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        values=SOUND,
        **more,
    )


def _mixed_ends() -> str:
    lines = csv_lines()
    ends = ["\n", "\r\n", "\r"]
    return "".join(line + ends[at % 3] for at, line in enumerate(lines))


CASES = (
    _sound("UTF-8 with its mark", "\ufeff" + PLAIN),
    _sound("UTF-8 with two marks", "\ufeff\ufeff" + PLAIN),
    _sound("UTF-16 little end, marked", b"\xff\xfe" + PLAIN.encode("utf-16-le")),
    _sound("UTF-16 big end, marked", b"\xfe\xff" + PLAIN.encode("utf-16-be")),
    _sound("UTF-16 little end, unmarked", PLAIN.encode("utf-16-le")),
    _sound("UTF-16 big end, unmarked", PLAIN.encode("utf-16-be")),
    _sound("UTF-32, marked", PLAIN.encode("utf-32")),
    _sound("UTF-8 accents", csv_text(ACCENTED), keeps=("Céladon", "Søren")),
    _sound(
        "UTF-16 tabs, as spreadsheets say Unicode text", csv_text(delimiter="\t").encode("utf-16")
    ),
    _sound("tabs in a file called csv", csv_text(delimiter="\t")),
    _sound("tabs in a file called tsv", csv_text(delimiter="\t"), "log.tsv"),
    _sound("semicolons", csv_text(delimiter=";")),
    _sound("bars", csv_text(delimiter="|"), "log.txt"),
    _sound("a line that names the delimiter", "sep=;\n" + csv_text(delimiter=";")),
    _sound("semicolons and decimal commas", csv_text(COMMAS, delimiter=";")),
    _sound("decimal commas between commas, quoted", csv_text(COMMAS)),
    _sound("line ends CR, as old Macs write", csv_text(end="\r")),
    _sound("line ends CR LF", csv_text(end="\r\n")),
    _sound("line ends mixed", _mixed_ends()),
    _sound("no line end at the end", PLAIN.rstrip("\n")),
    _sound("blank lines at the end", PLAIN + "\n\n\n"),
    _sound("lines of commas at the end", PLAIN + "," * 18 + "\n" + "," * 18 + "\n"),
    _sound("an end-of-file sign of DOS", PLAIN.encode() + b"\x1a"),
    _sound("a name without an ending", PLAIN, "firing log"),
    _sound("a name of emoji, spaces and signs", PLAIN, "log 🔥 'n' #3 (копия).csv"),
    _sound(
        "everything quoted",
        "".join(",".join(f'"{cell}"' for cell in line.split(",")) + "\n" for line in csv_lines()),
    ),
    _sound("a space behind every comma", PLAIN.replace(",", ", ")),
    _sound("no-break spaces around the headers", csv_text(names={"luster": "\xa0luster\xa0"})),
    Case(
        name="Latin-1 accents",
        write=one_file(csv_text(ACCENTED).encode("latin-1")),
        expect=(FINDINGS,),
        rows=N_ROWS,
        used=N_ROWS,
        values=(*SOUND, (3, "glaze", "Céladon"), (9, "maker", "Søren")),
        says=("Céladon", "Windows-1252"),
    ),
    Case(
        name="Windows-1252 curly quotes and an euro sign",
        write=one_file(csv_text(edited({(5, "notes"): "“€5” – dear"})).encode("cp1252")),
        expect=(FINDINGS,),
        rows=N_ROWS,
        used=N_ROWS,
        keeps=("“€5” – dear",),
    ),
    Case(
        name="UTF-8 with one line of Latin-1",
        write=one_file(
            csv_text(edited({(3, "glaze"): "Tarn Café"})).encode()
            + csv_lines()[1].replace("V1.1", "V8.7").replace("Gwen", "Zoë").encode("latin-1")
        ),
        expect=(FINDINGS,),
        rows=N_ROWS + 1,
        keeps=("Tarn Café",),
    ),
    Case(
        name="a letter of no encoding",
        write=one_file(PLAIN.encode() + b"V9,2025-06-01,V9.1,\x81\x8d\x8f,Odd\n"),
        expect=(REFUSED,),
        says=("line 50", "CSV (UTF-8)"),
    ),
    Case(
        name="a zero byte in the middle",
        write=one_file(PLAIN.encode()[:900] + b"\x00" + PLAIN.encode()[900:]),
        expect=(REFUSED,),
        says=("zero byte", "line"),
    ),
    Case(
        name="a zero in every line",
        write=one_file(PLAIN.replace("\n", "\x00\n").encode()),
        expect=(REFUSED,),
        says=("zero byte",),
    ),
    Case(
        name="UTF-16 that breaks off inside a letter",
        write=one_file(b"\xff\xfe" + PLAIN.encode("utf-16-le")[:-1]),
        expect=(REFUSED,),
        says=("damaged",),
    ),
    Case(
        name="marks and lines of another file inside",
        write=one_file("\ufeff" + PLAIN + "\ufeff" + PLAIN.replace("V", "W")),
        expect=(FINDINGS,),
        rows=2 * N_ROWS + 1,
        used=2 * N_ROWS,
        values=((N_ROWS + 3, "firing_id", "W1"),),
        says=("repeats the header",),
    ),
    Case(
        name="two delimiters in one file",
        write=one_file(
            join_lines(
                [
                    line.replace(",", ";") if at in (10, 20) else line
                    for at, line in enumerate(csv_lines())
                ]
            )
        ),
        expect=(FINDINGS,),
        rows=N_ROWS,
        used=N_ROWS - 2,
        says=("row 11", "row 21", "V2;"),
    ),
    Case(
        name="separators a terminal takes for line ends, inside cells",
        write=one_file(csv_text(edited({(4, "notes"): "a\u2028b\x0bc\x0cd\x85e"}))),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        keeps=("a\u2028b\x0bc\x0cd\x85e",),
    ),
)
