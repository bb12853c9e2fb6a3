"""What `outcomes check` prints, read as a potter and as a program would."""

import json
import re
from dataclasses import replace

import pytest

from outcomes.finding import Finding, Severity
from outcomes.log.checks import check_log, refusal
from outcomes.report.check_text import check_document, describe_account, describe_check

# A bad cell must show one of these words, a clean log none of them ("0 set aside" is no bad cell).
LOUD = re.compile(r"(?<!\bno )(?<!\b0 )\b(warnings?|set aside|ignored|not used|skipped)\b", re.I)


@pytest.fixture
def log_of(make_log):
    """Twelve firings of four pieces, clean unless columns say otherwise."""

    def make(columns=None, **more):
        clean = {
            "firing_id": [f"R{1 + i // 4}" for i in range(48)],
            "piece_id": [f"p{i}" for i in range(48)],
            "glaze": ["Tarn Lantern", "Moth Ledger"] * 24,
            "pull_temp_c": [940 + i for i in range(48)],
            "humidity_pct": [40 + i // 4 for i in range(48)],
            "luster": [i % 5 for i in range(48)],
            "crackle_density": [(i // 2) % 5 for i in range(48)],
            "color_shift": [(i // 3) % 5 for i in range(48)],
            "cracked": ["no", "no", "no", "yes"] * 12,
        }
        return make_log(clean | dict(columns or {}), **more)

    return make


def text_of(log):
    findings = check_log(log)
    return describe_check(log, findings, refusal(log, findings))


def flat(text):
    return " ".join(text.split())


def note(code="decimal_comma", severity=Severity.NOTE, **more):
    told = {"message": f"Something about {code}.", "advice": "Nothing.", "column": None} | more
    return Finding(code=code, severity=severity, **told)


def test_the_first_line_is_the_row_account(log_of):
    log = log_of(set_aside=[(50, "it begins with 'Total': a line of totals, not a piece")])
    first, second, *_ = text_of(log).splitlines()
    assert first == "49 rows read: 48 used, 1 set aside"
    assert second == "  log.csv row 50: it begins with 'Total': a line of totals, not a piece."


def test_one_row_is_one_row(make_log):
    assert text_of(make_log({"luster": [1]})).startswith("1 row read: 1 used, 0 set aside\n")


def test_a_clean_log_is_met_with_quiet_words(log_of):
    text = text_of(log_of())
    assert LOUD.search(text) is None
    assert "warning" not in text
    assert text.count("set aside") == 1
    assert "Nothing in the cells or rows asks for a second look." in text


def test_a_clean_log_with_notes_stays_quiet(log_of):
    log = log_of({"can_volume_l": [30] * 48, "shelf": ["top"] * 48})
    text = text_of(log)
    assert LOUD.search(text) is None
    assert "1 note\n" in text
    assert "it is always 30 L" in text


@pytest.mark.parametrize(
    "bad",
    [
        {"pull_temp_c": [9600] + [940 + i for i in range(47)]},
        {"pull_temp_c": [1200] + [940 + i for i in range(47)]},
        {"piece_id": ["p1"] + [f"p{i}" for i in range(1, 48)]},
    ],
    ids=["impossible", "implausible", "double"],
)
def test_a_log_with_a_bad_cell_is_loud(log_of, bad):
    assert LOUD.search(text_of(log_of(bad))) is not None


def test_a_question_to_settle_is_loud_and_comes_first(log_of):
    log = replace(log_of(), findings=(note(), note("scale_not_stated", Severity.PROBLEM)))
    text = text_of(log)
    assert LOUD.search(text) is not None
    assert text.index("1 warning to settle first") < text.index("1 note")
    assert "Next: settle the first warning above" in flat(text)


def test_every_bad_cell_stands_with_row_header_and_text(log_of):
    texts = [f"quite damp {i}" for i in range(20)]
    log = log_of(
        {"humidity_pct": [None] * 20 + [40 + i // 4 for i in range(20, 48)]},
        headers={"humidity_pct": "Humidity in %"},
        written={("humidity_pct", i): text for i, text in enumerate(texts)},
        unusable={("humidity_pct", i): "words are not read as a number" for i in range(20)},
    )
    text = text_of(log)
    assert "Column Humidity in %: 20 cells set aside" in text
    for i, written in enumerate(texts):
        assert re.search(rf"\b{i + 2} '{re.escape(written)}'", text), f"row {i + 2} is not shown"


def test_files_say_how_they_were_opened(log_of):
    log = log_of()
    (file,) = log.files
    spring = replace(file, name="spring.csv", delimiter=";", decimal=",", encoding="cp1252")
    book = replace(file, name="all.xlsx", kind="xlsx", sheet="Term 1", encoding="", delimiter="")
    text = text_of(replace(log, files=(spring, replace(book, header_row=3))))
    assert (
        "spring.csv  CSV, encoding cp1252, separated by semicolons, decimal comma, header" in text
    )
    assert "all.xlsx    XLSX, sheet 'Term 1', header in row 3" in text


def test_columns_say_what_they_were_taken_to_mean(log_of):
    log = log_of({"shelf": ["top"] * 48}, headers={"pull_temp_c": "Pull temp"})
    matched = tuple(
        replace(h, unit="F", how="another spelling") if h.column == "pull_temp_c" else h
        for h in log.headers
    )
    text = text_of(replace(log, headers=matched))
    expected = "Pull temp        Pull temperature, written in °F, kept in °C (another spelling)"
    assert expected in text
    assert "firing_id        which firing" in text
    assert "Kept beside, no part of the analysis: 'shelf'." in text


def test_outcomes_say_who_counts_and_who_does_not(log_of):
    luster = [None] * 6 + [i % 5 for i in range(42)]
    log = log_of({"luster": luster}, set_aside=[(50, "blank")])
    expected = "luster: 42 pieces graded in 11 firings; 7 left out: 6 blank, 1 in rows set aside."
    assert expected in text_of(log)
    assert "cracked: 48 pieces graded in 12 firings; none left out." in text_of(log_of())


def test_a_refusal_is_said_with_what_would_help_and_what_to_do_next(make_log):
    text = text_of(make_log({"shelf": [1, 2, 3], "seconds_to_can": [5, 6, 7]}))
    assert "Nothing can be learnt from log.csv: none of its headers names an outcome." in text
    assert "then run `outcomes check` on it again." in text


def test_a_usable_log_ends_with_the_next_step(log_of):
    last = text_of(log_of()).splitlines()[-1]
    assert last == "Next: `outcomes report` with the same files writes the report."


def test_terminal_escapes_are_shown_and_never_sent(log_of):
    evil = "\x1b]0;owned\x07\x9b2J\u202e"
    log = log_of(
        {"notes": [f"cracked {evil}"] + [""] * 47, f"shelf{evil}": ["a"] * 48},
        headers={"glaze": f"Glaze {evil}"},
        set_aside=[(60, f"it holds {evil}")],
        files=[f"log{evil}.csv"] * 48,
    )
    text = text_of(log)
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", text)
    assert "\\x1b]0;owned\\x07\\x9b2J\\u202e" in text


def test_a_hundred_thousand_bad_rows_fit_two_hundred_lines(make_log):
    n = 100_000
    log = make_log(
        {
            "firing_id": [f"F{i // 8}" for i in range(n)],
            "pull_temp_c": [9999] * n,
            "seconds_to_can": [300 + i % 200 for i in range(n)],
            "quench": [f"x{i % 50}" for i in range(n)],
            "luster": [i % 5 for i in range(n)],
        },
        set_aside=[(n + 2 + i, f"reason number {i}") for i in range(5000)],
    )
    findings = check_log(log)
    many = [note(f"kind_{i % 40}", Severity.WARNING, message="long " * 300) for i in range(500)]
    text = describe_check(log, [*findings, *many], None)
    assert len(text.splitlines()) <= 200
    assert max(len(line) for line in text.splitlines()) <= 100
    assert n == len(findings[0].rows)
    assert "and 99995 more" in text
    assert re.search(r"and \d+ more \(in full with --json\): .*\d+ kind", flat(text))


def test_twenty_warnings_are_printed_in_full_then_counted(log_of):
    many = tuple(note("odd_thing", Severity.WARNING, message=f"Odd {i}.") for i in range(27))
    text = text_of(replace(log_of(), findings=many))
    assert "27 warnings" in text
    assert ("Odd 19." in text, "Odd 20." in text) == (True, False)
    assert "and 7 more (in full with --json): 7 odd thing." in text


def test_findings_of_reading_are_told_once_whoever_passes_them(log_of):
    log = replace(log_of(), findings=(note(message="A comma was read."),))
    assert describe_check(log, (), None) == describe_check(log, log.findings, None)
    assert describe_check(log, log.findings, None).count("A comma was read.") == 1


def test_the_account_alone_has_rows_and_outcomes(log_of):
    text = describe_account(log_of())
    assert text.startswith("48 rows read: 48 used, 0 set aside\n")
    assert "color_shift: 48 pieces graded in 12 firings; none left out." in text


def test_text_is_the_same_before_and_after_setting_impossible_values_aside(log_of):
    from outcomes.log.checks import set_impossible_aside

    log = log_of({"pull_temp_c": [9600] + [940 + i for i in range(47)]})
    findings = check_log(log)
    assert describe_check(log, findings, None) == describe_check(
        set_impossible_aside(log), findings, None
    )


def test_the_document_is_finite_json_with_everything_in_it(log_of):
    log = log_of(
        {"pull_temp_c": [9600, float("inf")] + [940 + i for i in range(46)]},
        set_aside=[(50, "a line of totals")],
    )
    findings = check_log(log)
    document = check_document(log, findings, refusal(log, findings))
    read = json.loads(json.dumps(document, allow_nan=False))
    assert (read["format"], read["refused"]) == ("outcomes-check/1", None)
    assert {key: read["account"][key] for key in ("rows_read", "rows_used")} == {
        "rows_read": 49,
        "rows_used": 48,
    }
    assert (read["account"]["set_aside"]) == [
        {"file": "log.csv", "row": 50, "reason": "a line of totals"}
    ]
    (impossible,) = [f for f in read["findings"] if f["code"] == "impossible_value"]
    assert impossible["rows"] == [2, 3]
    assert [cell["written"] for cell in read["cells_set_aside"]] == ["9600", "inf"]
    (luster, *_) = read["outcomes"]
    assert luster == {
        "name": "luster",
        "pieces": 48,
        "firings": 12,
        "left_out": [{"reason": "in rows set aside", "pieces": 1}],
    }


def test_the_document_of_a_refused_log_says_why(make_log):
    log = make_log({"shelf": [1, 2]})
    document = check_document(log, (), refusal(log, ()))
    assert "none of its headers names an outcome" in document["refused"]
    assert document["outcomes"] == []
