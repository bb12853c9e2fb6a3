"""The leader's page: codes for names, honest words, cautions in place."""

import re
from dataclasses import replace

import pytest

from outcomes.report.document import Section, Statements, Table, iterate_blocks
from outcomes.report.html import render_page
from outcomes.report.leader import build_leader_document
from outcomes.report.leader_view import name_people


@pytest.fixture(scope="module")
def page(ninefold_study):
    return build_leader_document(ninefold_study)


def rename(study, names):
    """Return the study of a class with other names for A, B ..., in the log and the models."""
    called = dict(zip("ABCDEFGHI", names, strict=True))
    values = study.log.values.assign(maker=study.log.values["maker"].map(called))
    parts = []
    for part in study.outcomes:
        frame = part.design.frame.assign(maker=part.design.frame["maker"].map(called))
        terms = tuple(
            replace(
                term,
                levels=tuple(called.get(level, level) for level in term.levels),
                columns=tuple(f"maker={n}" for n in range(len(term.columns))),
            )
            if term.factor == "maker"
            else term
            for term in part.design.spec.terms
        )
        spec = replace(part.design.spec, terms=terms)
        parts.append(replace(part, design=replace(part.design, frame=frame, spec=spec)))
    return replace(study, log=replace(study.log, values=values), outcomes=tuple(parts))


NAMES = ("Ada", "Bram", "Cleo", "Dora", "Ezra", "Faye", "Gus", "Hugo", "Ines")


def texts_of(document, all_texts):
    return " ".join(all_texts(document))


def test_names_do_not_stand_on_the_page_unless_asked_for(ninefold_study, all_texts):
    named = rename(ninefold_study, NAMES)
    coded = texts_of(build_leader_document(named), all_texts)
    assert not set(NAMES) & set(re.findall(r"\w+", coded))
    assert "--names shows the names" in coded
    shown = replace(named, options=replace(named.options, names=True))
    words = set(re.findall(r"\w+", texts_of(build_leader_document(shown), all_texts)))
    assert set(NAMES) <= words


def test_codes_in_the_log_stay_as_they_are(page, all_texts):
    assert "A, B, C, D, E, F, G and H" in texts_of(page, all_texts)
    assert name_people(["A1", "7"], show=False) == ("A1", "7")


def test_people_are_never_ranked(page):
    for block in iterate_blocks(page.sections):
        if isinstance(block, Table) and block.key.startswith(("hands-", "coaching-own")):
            names = [row[0] for row in block.rows]
            assert names == sorted(names)


def test_every_suggestion_of_hot_work_has_its_caution_and_nobody_is_sent_to_hurry(page):
    (offers,) = (b for b in page.sections[1].blocks if isinstance(b, Statements))
    assert len(offers.items) >= 4
    for offer in offers.items:
        is_cold = offer.text.startswith("Wall thickness")
        assert bool(offer.cautions) is not is_cold, offer.title
        assert not re.search(r"\b(faster|quicker|speed up|sooner)\b", offer.text)
    arranged = [offer.text for offer in offers.items if "Seconds to the can" in offer.text]
    assert arranged
    assert all("nobody is to be told to hurry" in text for text in arranged)


def test_whoever_has_too_few_pieces_is_only_said_not_to_be_compared(page, all_texts):
    said = [text for text in all_texts(page) if re.search(r"\bI\b", text)]
    assert said == ["Not compared, because of fewer than ten pieces: I (8)."]


def test_luck_and_the_return_to_the_usual_are_said(page, all_texts):
    text = texts_of(page, all_texts)
    assert "luck and what nobody wrote down" in text
    assert "would follow whatever is changed" in text
    assert "could be luck" in text


def test_the_page_has_its_sections_in_order(page):
    keys = [section.key for section in page.sections if isinstance(section, Section)]
    assert keys == [
        "glance", "suggestions", "habits", "split", "coaching", "hands", "method", "cautions",
    ]  # fmt: skip


def test_a_log_without_people_says_so_and_keeps_the_cautions(study, all_texts):
    document = build_leader_document(study)
    assert [section.key for section in document.sections] == ["glance", "cautions"]
    assert "names no two people" in texts_of(document, all_texts)


def test_hostile_names_are_only_text(ninefold_study):
    attack = tuple(f"<script>alert({i})</script>" for i in range(9))
    named = rename(ninefold_study, attack)
    shown = replace(named, options=replace(named.options, names=True))
    page = render_page(build_leader_document(shown))
    assert "<script" not in page
    assert "&lt;script&gt;alert(3)" in page


def test_the_same_study_gives_the_same_bytes(ninefold_study):
    one, two = (render_page(build_leader_document(ninefold_study)) for _ in range(2))
    assert one == two
