import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from matplotlib.patches import Rectangle
from matplotlib.text import Text

from outcomes.graders.agreement import Band, compare_gradings
from outcomes.graders.measured import Measured, NoInterval
from outcomes.graders.reading import read_gradings
from outcomes.graders.regrade import choose_regrades
from outcomes.report.agree_json import agreement_document
from outcomes.report.agree_list import build_list_files
from outcomes.report.agree_page import build_agree_document
from outcomes.report.agree_results import build_agree_results
from outcomes.report.agree_text import describe_agreement
from outcomes.report.agree_words import build_words, describe_measured, describe_plain
from outcomes.report.document import Picture, iterate_blocks
from outcomes.report.drawings import GridDrawing
from outcomes.report.figure_canvas import Size
from outcomes.report.figures import draw_picture
from outcomes.resampling.interval import Interval

FORBIDDEN = re.compile(r"\b(proves?|causes?|significan(t|ce))\b", re.IGNORECASE)


@pytest.fixture
def make_agreement(tmp_path, codebook):
    """A function that writes a long table of grades and compares them."""

    def make(rows, headers="piece,firing,grader,luster"):
        path = tmp_path / "grades.csv"
        lines = [",".join(str(cell) for cell in row) for row in rows]
        path.write_text("\n".join([headers, *lines]) + "\n", encoding="utf-8")
        return compare_gradings(read_gradings([path], codebook), confidence=0.95, version="0")

    return make


@pytest.fixture
def two(make_agreement):
    """Two graders of 40 pieces from 10 firings; B is a grade lower on every third piece."""
    rows = []
    for n in range(40):
        grade = (n * 7) % 5
        rows += [(f"p{n}", f"F{n // 4}", "Ann", grade)]
        rows += [(f"p{n}", f"F{n // 4}", "Bo", max(0, grade - (n % 3 == 0)))]
    return make_agreement(rows)


def words_of(agreement) -> str:
    class Reader(HTMLParser):
        def handle_data(self, data):
            told.append(data)

    told: list[str] = []
    Reader().feed(build_agree_results(agreement)["agreement.html"].decode())
    return " ".join(" ".join(told).split())


def test_the_word_stands_first_with_its_number_and_interval(two):
    said = words_of(two)
    assert two.outcomes[0].band is Band.GOOD
    assert re.search(r"Luster Good\. Agreement is 0\.9\d \(from 0\.\d\d to 0\.9\d\)", said)
    assert "Rests on 40 pieces from 10 firings." in said


def test_a_difference_that_is_told_says_who_and_how_much(two):
    assert re.search(
        r"Ann grades higher than Bo, by 0\.\d\d \(from 0\.\d\d to 0\.\d\d\) of a grade on the "
        r"same 40 pieces\.",
        words_of(two),
    )


def test_the_page_says_never_to_count_a_piece_twice_and_asks_for_blind_grading(two):
    said = words_of(two)
    assert "not more pieces. Keep one grade a piece in the log" in said
    assert "No sum takes that out of the grades again" in said


def test_grades_given_blind_are_not_scolded(make_agreement):
    rows = [(f"p{n}", g, "yes", n % 5) for n in range(12) for g in "AB"]
    said = words_of(make_agreement(rows, "piece,grader,blind,luster"))
    assert "hopes could not steer them" in said
    assert "No sum takes" not in said


def test_the_rule_of_thumb_is_folded_and_called_one(make_agreement, rng):
    rows = []
    for n in range(60):
        at = n % 5
        rows += [(f"p{n}", f"F{n // 4}", g, min(4, max(0, at + rng.integers(-1, 2)))) for g in "AB"]
    document = build_agree_document(make_agreement(rows))
    folded = next(b for b in iterate_blocks(document.sections) if getattr(b, "key", "") ==
                  "rule-of-thumb")  # fmt: skip
    said = folded.blocks[0].text
    assert folded.summary == "A rule of thumb for researchers"
    assert re.search(r"would be larger, by at least about \d+% \(from \d+ to \d+%\)", said)
    assert "a remark, never a headline" in said
    assert "log-odds" not in describe_agreement(make_agreement(rows))


def test_one_grade_only_cannot_be_assessed(make_agreement):
    rows = [(f"p{n}", f"F{n}", g, 2) for n in range(12) for g in "AB"]
    agreement = make_agreement(rows)
    assert agreement.outcomes[0].band is Band.UNKNOWN
    said = words_of(agreement)
    assert "It cannot be assessed: only one grade was used" in said
    assert "nan" not in said.lower().split()


def test_perfect_agreement_is_one_without_an_interval_and_says_why(make_agreement):
    rows = [(f"p{n}", f"F{n // 3}", g, n % 5) for n in range(36) for g in "AB"]
    said = words_of(make_agreement(rows))
    assert "Good. Agreement is 1.00." in said
    assert "There is no interval: leaving any of them out changes nothing" in said


def test_few_pieces_and_few_firings_are_doubts_in_place(make_agreement):
    rows = [(f"p{n}", f"F{n % 3}", g, (n + (g == "B" and n == 4)) % 5)
            for n in range(12) for g in "AB"]  # fmt: skip
    said = words_of(make_agreement(rows))
    assert "Only 12 pieces have two grades" in said
    assert "Fewer than six firings are named" in said


def test_no_word_is_used_that_claims_too_much(two):
    assert not FORBIDDEN.search(words_of(two))


def test_what_a_maker_typed_is_escaped(make_agreement):
    rows = [(f"<b>p{n}", "F", g, n % 5) for n in range(8) for g in ("<script>x", "B")]
    page = build_agree_results(make_agreement(rows))["agreement.html"].decode()
    assert "<script>" not in page
    assert "&lt;script&gt;x" in page


def test_a_grader_who_looks_like_a_formula_is_harmless_in_the_tables(make_agreement):
    rows = [(f"p{n}", "F", g, n % 5) for n in range(8) for g in ("=1+1", "B")]
    table = build_agree_results(make_agreement(rows))["tables/pairs.csv"].decode()
    assert "'=1+1" in table


def test_the_same_gradings_give_the_same_bytes(two):
    assert build_agree_results(two) == build_agree_results(two)


def test_every_picture_has_its_numbers_in_words_and_in_a_table(two):
    blocks = tuple(iterate_blocks(build_agree_document(two).sections))
    pictures = [block for block in blocks if isinstance(block, Picture)]
    assert len(pictures) == 1
    assert "Where Ann gave 0 none, Bo gave 0 none 8 times" in pictures[0].alt
    counts = [int(cell) for row in pictures[0].table.rows for cell in row[1:]]
    assert sum(counts) == 40


@pytest.mark.parametrize("size", Size)
def test_the_square_holds_every_count_that_is_not_nought(size):
    drawing = GridDrawing(
        grades=("0", "1"), counts=((3, 0), (1, 7)), one="A gave ↓", other="B gave →"
    )
    figure = draw_picture(drawing, size)
    assert {"3", "1", "7"} <= {text.get_text() for text in figure.findobj(Text)}
    cells = [artist for artist in figure.artists if isinstance(artist, Rectangle)]
    assert len(cells) == 4 + 2  # cells, framed diagonal


def test_the_document_holds_the_numbers_and_the_account(two):
    document = json.loads(json.dumps(agreement_document(two), allow_nan=False))
    assert document["format"] == "outcomes-agreement/1"
    assert document["account"] == {"rows_read": 80, "rows_used": 80, "set_aside": []}
    outcome = document["outcomes"][0]
    assert outcome["pairs"][0]["exact"]["value"] == pytest.approx(
        np.trace(np.array(outcome["pairs"][0]["counts"])) / 40, abs=1e-6
    )
    assert outcome["alpha"]["low"] < outcome["alpha"]["value"] < outcome["alpha"]["high"]


def test_the_summary_fits_a_terminal(two):
    lines = describe_agreement(two).splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0] == "80 rows were read: 80 used, 0 set aside. 0 cells in them could not be used."


def test_a_number_just_under_one_is_not_rounded_up_to_it(two):
    wording = build_words(two)
    interval = Interval(low=0.5, high=0.998, confidence=0.95, method="jackknife t")
    told = Measured(value=0.9, interval=interval, clusters=9, why_none=NoInterval.NONE)
    assert describe_measured(told, wording) == "0.90 (from 0.50 to over 0.99)"
    assert describe_measured(replace(told, interval=None), wording) == "0.90"
    assert describe_plain(-0.001) == "0.00"


@pytest.fixture
def list_files(tmp_path, codebook):
    path = tmp_path / "log.csv"
    rows = "".join(f"F{n // 4},secret{n:02d},{n % 5}\n" for n in range(60))
    path.write_text("firing,piece,luster\n" + rows, encoding="utf-8")
    gradings = read_gradings([path], codebook, may_be_single=True)
    return build_list_files(choose_regrades(gradings, 30, seed=1), gradings, version="0")


def test_the_list_names_no_piece_and_no_aim_and_only_the_key_does(list_files):
    assert sorted(list_files) == ["regrade.html", "regrade_key.csv", "regrade_list.csv"]
    for name in ("regrade.html", "regrade_list.csv"):
        assert b"secret" not in list_files[name]
    assert list_files["regrade_key.csv"].count(b"secret") == 30


def test_the_list_has_a_box_and_the_words_for_every_grade(list_files):
    page = list_files["regrade.html"].decode()
    assert page.count("☐") == 30
    assert "patchy: clear metal or rainbow" in page
    assert "Pieces out of the can are still hot" in page or "pieces out of the can" in page


def test_a_handful_of_pieces_gets_no_word(make_agreement):
    agreement = make_agreement([(f"p{n}", "F", g, n % 5) for n in range(9) for g in "AB"])
    assert agreement.outcomes[0].band is Band.UNKNOWN
    assert "only 9 pieces have two grades" in words_of(agreement)
    assert "Of 100 pairs" not in words_of(agreement)
    assert "of 100" not in describe_agreement(agreement)


def test_grades_that_are_nearly_all_one_are_a_doubt(make_agreement):
    rows = [(f"p{n}", "F", g, int(n == 0 and g == "A")) for n in range(40) for g in "AB"]
    assert "99 of 100 grades are one and the same" in words_of(make_agreement(rows))
