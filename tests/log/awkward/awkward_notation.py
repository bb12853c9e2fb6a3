"""What makers write in logs, entry by entry (the trade's own fixtures; common practice)."""

from awkward_case import FINDINGS, FINE, Case, one_file
from awkward_log import N_ROWS, column, csv_text, edited


def _read(name: str, header: str, read: dict[str, str], canonical: str = "") -> Case:
    """Texts that are read: what was written -> what it must read back as."""
    return Case(
        name=name,
        write=one_file(csv_text(edited(column(header, list(read))))),
        expect=(FINE,),
        rows=N_ROWS,
        used=N_ROWS,
        values=tuple((r, canonical or header, v) for r, v in enumerate(read.values(), 2)),
    )


def _left(name: str, header: str, texts: list[str]) -> Case:
    """Texts that are no number: each is named with its row, and reads back blank."""
    return Case(
        name=name,
        write=one_file(csv_text(edited(column(header, texts)))),
        expect=(FINDINGS,),
        rows=N_ROWS,
        used=N_ROWS,
        cells=tuple((row, header, text) for row, text in enumerate(texts, start=2)),
        values=tuple((row, header, "") for row, _ in enumerate(texts, start=2)),
    )


CASES = (
    _read(
        "seconds as makers write them",
        "seconds_to_can",
        {
            "~30": "30",
            "30ish": "30",
            "1'30\"": "90",
            "0:45": "45",
            "1.5m": "90",
            "90s": "90",
            "count of 10": "10",
            "10-15?": "12.5",
            "½ min": "30",
            "1 min 30 s": "90",
            "1m30": "90",
            "c. 20": "20",
            "20 (?)": "20",
            "8 secs": "8",
            "about 9": "9",
            "1-2 min": "90",
        },
    ),
    _read(
        "minutes as makers write them",
        "time_in_can_min",
        {
            "2-3 min": "2.5",
            "1 hr": "60",
            "1½ h": "90",
            "150s": "2.5",
            "20 mins": "20",
            "~ 20": "20",
            "half an hour": "30",
            "1h20": "80",
            "15 to 20": "17.5",
        },
    ),
    _read(
        "temperatures with their scale",
        "pull_temp_f",
        {
            "1850": "1850",
            "1010c": "1850",
            "1850F/1010C": "1850",
            "1850 °F": "1850",
            "1010 °C": "1850",
            "1850°": "1850",
            "1,850": "1850",
            "1850 F (1010 C)": "1850",
        },
    ),
    _read(
        "walls as makers write them",
        "wall_thickness_mm",
        {
            "6-8mm": "7",
            "½ in": "12.7",
            "1/4 in": "6.35",
            "0.6 cm": "6",
            "6,5": "6.5",
            "6": "6",
        },
    ),
    _read(
        "the same again",
        "maker",
        {
            "Gwen": "Gwen",
            "same": "Gwen",
            '"': "Gwen",
            "〃": "Gwen",
            "Odd": "Odd",
            "ditto": "Odd",
            '-"-': "Odd",
        },
    ),
    _read(
        "the same again, in numbers",
        "seconds_to_can",
        {"12": "12", '"': "12", "same": "12", "do.": "12", "9": "9", "''": "9"},
    ),
    _left(
        "seconds that are no number",
        "seconds_to_can",
        [
            "a few",
            "immed.",
            "ASAP",
            ">20",
            "till cool",
            "lots",
            "meh",
            "20+",
            "at once",
            "<5",
            "under 10",
            "03/04/24",
            "#12b",
        ],
    ),
    _left(
        "minutes that are no number",
        "time_in_can_min",
        [
            "overnight",
            "1 hr+",
            "till cool",
            "0:45",
            "a while",
            "ages",
            "until cold",
        ],
    ),
    _left(
        "temperatures that are none",
        "pull_temp_f",
        [
            "c06",
            "cone 06",
            "bright orange",
            "glossy",
            "^06",
            "Δ06",
            "1850F/1100C",
            "red heat",
        ],
    ),
    _left(
        "fuel a studio has not weighed",
        "combustible_g",
        [
            "5 sheets",
            "½ sheet",
            "2 handfuls",
            "lots",
            "a handful",
            "some",
            "1 1/2 in",
            "full can",
        ],
    ),
    _left("glaze a studio has not measured", "glaze_thickness_mm", ["3 coats", "thick", "2 dips"]),
    _left("grades that are no steps", "luster", ["4/5", "B+", "meh", "glossy", "3-4", "3?!", "½"]),
    Case(
        name="lids at once",
        expect=(FINE, FINDINGS),
        rows=N_ROWS,
        used=N_ROWS,
        write=one_file(csv_text(edited(column("lid_delay_s", ["at once", "immed.", "0"])))),
    ),
)
