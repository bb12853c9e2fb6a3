"""A study in plain lines says what the page says, each caution with its setting."""

from outcomes.report.document import Picture, Statements, iterate_blocks
from outcomes.report.maker import build_maker_document
from outcomes.report.section_text import render_section
from outcomes.report.shown import collect_pictures
from outcomes.report.study_text import describe_study


def find_cards(study):
    (section,) = (s for s in build_maker_document(study).sections if s.key == "take-away")
    return [
        item
        for block in iterate_blocks((section,))
        if isinstance(block, Statements)
        for item in block.items
    ]


def test_every_statement_of_the_take_away_is_told_with_its_cautions(study):
    told = [" ".join(part.split()) for part in describe_study(study).split("\n\n")]
    cards = find_cards(study)
    assert any(card.cautions for card in cards)
    for card in cards:
        text = card.text.replace("\u202f", " ")
        (part,) = (part for part in told if text in part)
        missing = [note for note in card.cautions if f"! {note}" not in part]
        assert [] == missing


def test_nothing_told_points_at_another_part_of_a_page(study):
    told = " ".join(describe_study(study).split())
    assert "below" not in told
    assert "stands in the table of effects" in told
    assert max(len(line) for line in describe_study(study).splitlines()) <= 100


def test_a_section_in_plain_lines_keeps_every_sentence_in_order(study):
    (section,) = (s for s in build_maker_document(study).sections if s.key == "take-away")
    told = " ".join(render_section(section))
    places = [told.replace("  ", " ").find(card.title) for card in find_cards(study)]
    assert -1 not in places
    assert sorted(places) == places


def test_the_cautions_of_a_picture_stand_under_it(study):
    blocks = build_maker_document(study).sections
    warned = [b for b in iterate_blocks(blocks) if isinstance(b, Picture) and b.cautions]
    assert warned
    for picture in warned:
        html = collect_pictures(blocks)[picture.key]._repr_html_()
        assert [] == [note for note in picture.cautions if note not in html]
