"""The page, the table, the JSON and the lines of a power simulation."""

import csv
import io
import json
from dataclasses import replace
from datetime import date

import pytest

from outcomes.planning.plan import Claim, Direction, Hypothesis, Plan, PlannedFactor, Unit
from outcomes.planning.power_question import Background, Luck, Question, Wish
from outcomes.planning.power_request import PowerRequest, Prepared, prepare_power
from outcomes.planning.power_study import PowerStudy, simulate_questions
from outcomes.report.document import Picture, Table, iterate_blocks
from outcomes.report.power_page import build_power_document
from outcomes.report.power_results import build_power_results
from outcomes.report.power_tables import COLUMNS, build_power_table
from outcomes.report.power_text import describe_power

SHARES = (0.1, 0.2, 0.3, 0.25, 0.15)
KNOWN = Background(
    shares=SHARES,
    aim=3,
    lucks=((0.0, Luck.ESTIMATED), (1.2, Luck.UPPER)),
    sizes=(2, 4, 9),
    firings=3,
    pieces=15,
)
SLOW = Question(
    name="slow", direction=Direction.FEWER, smallest=0.2, level=0.025, tested=True,
    compared=("Luster", "Seconds to the can", "6", "18"),
)  # fmt: skip
SAME = replace(
    SLOW, name="=1+1 same", claim=Claim.EQUIVALENCE, direction=Direction.EITHER, tested=False
)


def simulate(*asked: tuple[Question, Background], firings=(4, 6, 60), runs=200) -> PowerStudy:
    wish = Wish(firings=firings, pieces=(6,), observed=True, runs=runs)
    return simulate_questions(Prepared(title="<b>Slower</b>", asked=asked, wish=wish))


@pytest.fixture(scope="module")
def planned() -> PowerStudy:
    return simulate((SLOW, KNOWN), (SAME, KNOWN))


@pytest.fixture(scope="module")
def guess(codebook) -> PowerStudy:
    request = PowerRequest(
        codebook=codebook, shares=SHARES, effect=25.0, luck=0.0, firings=(8, 48), pieces=(8,),
        runs=200,
    )  # fmt: skip
    return simulate_questions(prepare_power(request))


def words_of(study: PowerStudy) -> str:
    """The plain lines with their breaks taken out."""
    return " ".join(describe_power(study).split())


def test_a_guess_says_how_many_firings_it_takes(guess):
    assert (
        "To have at least 80 chances in 100 of noticing a true difference of 25 more of 100 "
        "pieces, fire 48 firings of 8 pieces (more than 99 in 100)." in words_of(guess)
    )


def test_a_grid_that_is_too_small_says_so_and_what_would_need_fewer(codebook):
    request = PowerRequest(
        codebook=codebook, shares=SHARES, effect=5.0, luck=1.0, firings=(8,), pieces=(4,), runs=200
    )
    said = words_of(simulate_questions(prepare_power(request)))
    assert "of noticing a true difference of 5 more of 100 pieces. The best of them" in said
    assert "let the lot fall on pieces instead (--by piece)" in said


def test_a_plan_says_supported_and_shows_the_most_luck_beside_the_likeliest(planned):
    said = words_of(planned)
    assert "that the plan's test says “supported” when the true difference is 20 fewer" in said
    assert "With the most luck it allows (1.2), " in said
    assert "No luck shared within firings was seen in the log" in said
    assert "two firings in three lie between" in said


def test_where_both_sides_share_the_luck_more_of_it_is_said_to_cost_nothing():
    within = replace(SLOW, assigned=Unit.PIECE)
    known = replace(KNOWN, lucks=((0.4, Luck.ESTIMATED), (1.5, Luck.UPPER)))
    assert "costs nothing here: with the most it allows (1.5)" in words_of(
        simulate((within, known), firings=(24,))
    )


def test_what_can_never_answer_is_said_with_the_reason(planned):
    said = words_of(planned)
    assert "With 4 firings no interval can be given at all: 6 is the least." in said
    assert "no result is rarer than 5 in 100, and 2.5 would be needed" in said
    assert "cannot" in said


def test_a_claim_that_could_only_follow_others_is_said_to():
    said = words_of(simulate((replace(SLOW, claims=2), KNOWN), firings=(6, 8)))
    assert "this one could be supported only after others were" in said
    assert "can never answer" not in said


def test_a_margin_taken_from_the_codebook_is_said():
    said = words_of(simulate((replace(SLOW, borrowed=True), KNOWN), firings=(8,)))
    assert "the codebook's smallest difference worth having, 20, stands in for it" in said


def test_an_equivalence_is_powered_where_there_is_no_difference(planned):
    said = words_of(planned)
    assert "at least 80 chances in 100 of being able to say “equivalent within 20” take" in said
    assert "say “equivalent” all the same; 2.5 in 100 are allowed." in said


def test_the_smallest_difference_is_powered_never_one_already_seen(planned):
    assert "They were never worked out from a difference already seen" in str(
        build_power_document(planned)
    )


def test_every_picture_has_its_table_and_tells_its_numbers(planned):
    blocks = list(iterate_blocks(build_power_document(planned).sections))
    pictures = [block for block in blocks if isinstance(block, Picture)]
    assert 4 == len(pictures)  # two questions, two lucks
    assert all(6 == len(picture.table.rows) for picture in pictures)
    assert "60 firings" in pictures[0].alt


def test_no_id_stands_twice(planned):
    blocks = list(iterate_blocks(build_power_document(planned).sections))
    keys = [b.key for b in blocks if hasattr(b, "key")]
    keys += [b.table.key for b in blocks if isinstance(b, Picture)]
    assert sorted(set(keys)) == sorted(keys)
    assert any(isinstance(b, Table) for b in blocks)


def test_the_page_escapes_the_plans_words(planned):
    page = build_power_results(planned)["power.html"].decode()
    assert "<b>Slower" not in page
    assert "&lt;b&gt;Slower&lt;/b&gt;" in page


def test_the_table_has_one_row_a_place_and_supposition(planned):
    table = build_power_table(planned)
    assert list(COLUMNS) == list(table.columns)
    assert 2 * 4 * 6 == len(table)
    able = table[(table["firings"] == 60) & (table["claim"] == "difference")]
    assert (able["supported_low"] <= able["supported_per_100"]).all()
    assert (able["supported_per_100"] <= able["supported_high"]).all()


def test_the_csv_is_safe_to_open_in_a_spreadsheet(planned):
    text = build_power_results(planned)["power.csv"].decode()
    names = {row["hypothesis"] for row in csv.DictReader(io.StringIO(text))}
    assert {"slow", "'=1+1 same"} == names


def test_the_json_holds_the_question_and_the_grid_without_nan(planned):
    document = json.loads(build_power_results(planned)["power.json"])
    assert "outcomes-power/1" == document["format"]
    assert [20.0, 20.0] == [q["smallest_difference_per_100"] for q in document["questions"]]
    assert 48 == len(document["grid"])
    few = next(row for row in document["grid"] if row["firings"] == 4)
    assert ("too few firings for an interval", None) == (few["barred"], few["noticed_low"])


def test_the_same_question_and_seed_give_the_same_bytes_at_any_number_of_workers():
    wish = Wish(firings=(6, 12), pieces=(5,), runs=600, seed=3)
    prepared = Prepared(title="t", asked=((SLOW, KNOWN),), wish=wish)
    first, second = (
        build_power_results(simulate_questions(prepared, workers=workers)) for workers in (1, 3)
    )
    assert first == second


def test_a_codebooks_own_words_are_used():
    known = replace(KNOWN, lucks=((0.5, Luck.ASSUMED),))
    wish = Wish(firings=(8,), pieces=(5,), runs=200)
    prepared = Prepared(
        title="", asked=((SLOW, known),), wish=wish, cluster_word="judge", piece_word="glass"
    )
    said = words_of(simulate_questions(prepared))
    assert "8 judges of 5 glasses" in said
    assert "firing" not in said.replace("--", "")


def test_three_values_sizes_and_shared_levels_are_told(planned, codebook):
    plan = Plan(
        title="Three", declared_on=date(2026, 4, 1), counts_from=date(2026, 4, 1), level=0.05,
        firings=12, pieces=6, stopping="After twelve.",
        factors=(
            PlannedFactor(
                name="seconds_to_can", values=(6.0, 12.0, 18.0), assigned_to=Unit.FIRING
            ),
        ),
        hypotheses=(
            Hypothesis(name="slow", outcome="luster", factor="seconds_to_can", from_value=6.0,
                       to_value=18.0),
        ),
    )  # fmt: skip
    request = PowerRequest(codebook=codebook, plan=plan, shares=SHARES, firings=(9,), runs=200)
    said = words_of(simulate_questions(prepare_power(request)))
    assert "3 values are assigned in equal parts; two of them are compared" in said
    assert "Firings are of different sizes, as in the log: 2 to 9 pieces, 5.0 on average." in (
        words_of(planned)
    )
    shared = simulate((replace(SLOW, claims=2), KNOWN), firings=(8,))
    assert "strictest step, 2.5 in 100" in words_of(shared)
