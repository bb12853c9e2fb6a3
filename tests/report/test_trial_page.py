"""The page of a tested plan: fixed words, every number with its interval, cautions in place."""

import json
import re
from dataclasses import replace

import pytest

from outcomes.log.codebook_file import read_codebook
from outcomes.log.demo import demo_folder
from outcomes.log.reading import read_log
from outcomes.planning.plan import Direction
from outcomes.planning.plan_file import read_plan
from outcomes.planning.seal import seal_plan
from outcomes.planning.testing import run_trial
from outcomes.planning.trial import TrialOptions
from outcomes.report.document import Picture, Statements, iterate_blocks
from outcomes.report.trial_document import build_trial_document
from outcomes.report.trial_json import build_trial_json
from outcomes.report.trial_results import build_trial_results
from outcomes.report.trial_text import describe_trial
from outcomes.report.trial_words import show_count, show_p

NEVER = re.compile(r"\bprov(?:e|es|ed|en)\b|\bcauses?\b|\bsignifican", re.IGNORECASE)


@pytest.fixture(scope="module")
def kestrel():
    """The demo trial: codebook, log and plan."""
    folder = demo_folder()
    codebook = read_codebook(folder / "kestrel_codebook.toml")
    log = read_log([folder / "kestrel_bench.csv"], codebook)
    return log, read_plan(folder / "kestrel_plan.toml")


def run(kestrel, **changes):
    log, plan = kestrel
    changed = seal_plan(replace(plan, **changes)) if changes else plan
    options = TrialOptions(resamples=200, drawn=999)
    return run_trial(changed, log, options=options, progress=lambda _: None)


@pytest.fixture(scope="module")
def trial(kestrel):
    return run(kestrel)


@pytest.fixture(scope="module")
def results(trial) -> dict[str, bytes]:
    return build_trial_results(trial, plan_file="kestrel_plan.toml")


def statements(trial):
    document = build_trial_document(trial, plan_file="")
    blocks = iterate_blocks(document.sections)
    return next(block for block in blocks if isinstance(block, Statements)).items


def test_a_tested_plan_leaves_a_page_a_record_and_tables(results) -> None:
    expected = {"test.html", "test.json", *(f"tables/{t}.csv" for t in _TABLES)}
    assert expected == set(results)


_TABLES = ("answers", "deviations", "grades")


def test_every_hypothesis_has_its_answer_in_its_title(trial) -> None:
    titles = [item.title for item in statements(trial)]
    assert ["4 to 16: Supported", "16 like 64: Equivalent within the margin"] == titles


def test_no_reader_meets_a_word_that_says_too_much(trial, results) -> None:
    for text in (describe_trial(trial), results["test.html"].decode()):
        assert NEVER.search(text) is None


def test_the_text_and_the_page_say_the_same_sentences(trial, results) -> None:
    page = " ".join(re.sub(r"<[^>]+>", " ", results["test.html"].decode()).split())
    for item in statements(trial):
        for sentence in (item.text, *(more.text for more in item.also)):
            assert " ".join(sentence.split()) in page
            assert " ".join(sentence.split()) in " ".join(describe_trial(trial).split())


def test_the_difference_stands_with_its_interval_and_its_unit(trial) -> None:
    said = " ".join(describe_trial(trial).split())
    assert re.search(r"Of 100 pieces, about \d+ .* about \d+ at 16 min: \d+ more \(from", said)
    assert re.search(r"The 90 % interval of the difference, from \d+ fewer to \d+ more", said)


def test_an_answer_that_does_not_favour_the_later_opening_carries_the_caution(trial) -> None:
    first, second = statements(trial)
    assert () == first.cautions  # longer in the can is the calmer end
    assert "A can opened sooner holds hotter ware" in second.cautions[0]


def test_the_json_holds_finite_numbers_and_the_declared_plan(trial, kestrel) -> None:
    document = json.loads(json.dumps(build_trial_json(trial), allow_nan=False))
    assert "outcomes-test/1" == document["format"]
    assert kestrel[1].seal == document["plan"]["sha256"]
    assert ["supported", "equivalent within the margin"] == [
        answer["answer"] for answer in document["answers"]
    ]
    assert document["answers"][0]["p"] <= document["answers"][0]["p_holm"]


def test_the_trial_firing_and_the_slips_are_listed(trial) -> None:
    said = " ".join(describe_trial(trial).split())
    assert "6 pieces fired before 2025-09-01 did not count, as the plan says" in said
    assert "1 piece had a value that was not planned (20)" in said
    assert "1 piece without a usable grade could not be used" in said


def test_values_that_were_not_drawn_by_lot_are_said_so_first(kestrel) -> None:
    said = describe_trial(run(kestrel, randomised=False)).splitlines()
    assert said[1].startswith("The values were not drawn by lot.")


def test_an_edited_plan_is_said_on_the_page_above_the_answers(kestrel) -> None:
    log, plan = kestrel
    trial = run_trial(
        replace(plan, level=0.1), log, options=TrialOptions(resamples=200, drawn=999),
        progress=lambda _: None,
    )  # fmt: skip
    page = build_trial_results(trial)["test.html"].decode()
    warning = page.index("The plan was changed after it was sealed. Read every answer")
    assert warning < page.index("4 to 16: ")


def test_the_opposite_claim_reads_as_opposed(kestrel) -> None:
    first = replace(kestrel[1].hypotheses[0], direction=Direction.FEWER)
    said = describe_trial(run(kestrel, hypotheses=(first,)))
    assert "4 to 16: Opposed" in said
    assert "Opposed: the result speaks against what the plan said" in " ".join(said.split())


def test_the_picture_has_words_for_those_who_cannot_see_it(trial) -> None:
    document = build_trial_document(trial, plan_file="")
    (picture,) = [b for b in iterate_blocks(document.sections) if isinstance(b, Picture)]
    assert re.search(r"4 to 16, \d+ more \(from \d+ to \d+ more\); 16 like 64", picture.alt)


def test_the_same_trial_gives_the_same_bytes(trial, results) -> None:
    assert results == build_trial_results(trial, plan_file="kestrel_plan.toml")


def test_p_values_are_never_zero_and_counts_stay_readable() -> None:
    assert ("0.0001", "less than 0.0001", "0.050") == (show_p(1e-4), show_p(9e-6), show_p(0.05))
    assert "about 6.0 × 10^23" == show_count(602214076000000000000000)
