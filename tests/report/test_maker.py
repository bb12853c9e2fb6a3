import re
from dataclasses import replace

import pytest

from outcomes.effects.effect import Word
from outcomes.report.document import (
    Depth,
    Picture,
    Section,
    Statements,
    Table,
    iterate_blocks,
)
from outcomes.report.maker import build_maker_document

FORBIDDEN = re.compile(
    r"\b(causes?|caused|causing|prov(?:e|es|ed|en)|significan(?:t|ce|tly)|p.values?)\b|\bp\s?[=<>]",
    re.IGNORECASE,
)


def blocks_of(document, kind):
    return [block for block in iterate_blocks(document.sections) if isinstance(block, kind)]


def section_of(document, key):
    return next(s for s in blocks_of(document, Section) if s.key == key)


def test_the_sections_stand_in_the_promised_order(document):
    expected = [
        "take-away", "outcomes", "shares", "pictures", "conditions", "unknown", "reading", "method",
        "cautions",
    ]  # fmt: skip
    assert [section.key for section in document.sections] == expected


def test_the_same_study_makes_the_same_document(study, document):
    assert build_maker_document(study) == document


def test_no_sentence_claims_more_than_a_log_can_say(document, all_texts):
    titles = "Benjamini Y"  # a title of a cited paper is not ours to word
    found = [t for t in all_texts(document) if FORBIDDEN.search(t) and not t.startswith(titles)]
    assert found == []


def test_the_check_for_big_words_would_find_them():
    for text in (
        "this proves it",
        "it causes luster",
        "p = 0.03",
        "significantly more",
        "p-values",
    ):
        assert FORBIDDEN.search(text), text
    assert not FORBIDDEN.search("because it was improved")


def test_no_probability_is_none_or_all(document, all_texts):
    said = " ".join(all_texts(document))
    assert not re.search(r"\babout (0|100) (?:of 100|at|with|show|crack)\b", said)
    assert not re.search(r"\b(0|100) of 100\b", said)


def test_every_template_was_filled(document, all_texts):
    assert [text for text in all_texts(document) if re.search(r"[{}]", text)] == []


def test_numbers_and_nouns_agree(document, all_texts):
    said = " ".join(all_texts(document))
    for noun in ("piece", "firing", "row", "setting", "column", "condition"):
        assert not re.search(rf"\b1 {noun}s\b", said), noun
        assert not re.search(rf"\b(?:[2-9]|[1-9][0-9]+) {noun}\b(?! of)", said), noun


def test_every_picture_has_words_and_a_table(document):
    pictures = blocks_of(document, Picture)
    kinds = {type(p.drawing).__name__ for p in pictures}
    assert kinds >= {"PotsDrawing", "StripDrawing", "CurveDrawing"}
    for picture in pictures:
        assert len(picture.alt) > 60
        assert re.search(r"\d", picture.alt)
        assert picture.table.rows


def test_keys_are_unique_and_fit_for_ids(document):
    keys = [b.key for b in blocks_of(document, (Section, Depth, Picture, Table))]
    keys += [picture.table.key for picture in blocks_of(document, Picture)]
    assert len(keys) == len(set(keys))
    assert all(re.fullmatch(r"[A-Za-z][A-Za-z0-9_-]*", key) for key in keys)


def test_the_row_account_adds_up_wherever_it_is_told(document, all_texts):
    said = " ".join(all_texts(document))
    assert "The log has 43 rows; 40 are used and 3 are set aside" in said
    assert "43 rows read = 40 used + 3 set aside." in said
    files = next(t for t in blocks_of(document, Table) if t.key == "files")
    assert files.rows[0][1:4] == ("43", "40", "3")


def test_the_grades_add_up_to_the_pieces(document, all_texts):
    said = " ".join(all_texts(document))
    assert "38 pieces were graded: none 4, trace 6, patchy 9, broad 12, full 7." in said
    assert "Of 100 such pieces, 50 show broad luster or better." in said  # 19 of 38
    grades = next(t for t in blocks_of(document, Table) if t.key == "grades-luster")
    assert sum(int(row[-1]) for row in grades.rows) == 38


def test_pieces_that_could_not_be_compared_are_counted(study, with_luster, all_texts):
    page = build_maker_document(with_luster(study, pieces=31))
    assert "31 of them, from 24 firings, have everything written down" in " ".join(all_texts(page))


def test_strips_are_ordered_by_rank_and_carry_the_band(document):
    strip = next(p for p in blocks_of(document, Picture) if p.key == "strip-luster")
    assert strip.drawing.rows[0].label == "Seconds to the can"
    assert (strip.drawing.rows[0].change, strip.drawing.band) == (pytest.approx(-31), 10.0)
    assert "Seconds to the can, 6\u202fs → 18\u202fs: 31 fewer, from 15 to 44 fewer" in strip.alt


def test_what_stands_out_is_open_and_the_rest_folded(document):
    part = section_of(document, "outcome-luster")
    open_words = [item.word for b in part.blocks if isinstance(b, Statements) for item in b.items]
    assert open_words == [Word.CHANGES, Word.CHANGES, Word.LEANS]
    folded = next(b for b in part.blocks if isinstance(b, Depth) and b.key == "more-luster")
    assert folded.summary == "The other 4 settings in words"
    assert len(folded.blocks[0].items) == 4


def test_conditions_are_never_ranked_nor_judged(document, all_texts):
    part = section_of(document, "conditions")
    items = [i for b in iterate_blocks(part.blocks) if isinstance(b, Statements) for i in b.items]
    assert [item.word for item in items] == [None]
    assert "Humidity from 45% to 75% went with about 3 fewer of 100 pieces" in items[0].text
    page = section_of(document, "conditions")
    said = " ".join(all_texts(replace(document, sections=(page,))))
    assert "place" not in said.replace("placed", "")


def test_groups_stand_apart_in_a_table(document):
    table = next(t for t in blocks_of(document, Table) if t.key == "groups-luster")
    assert [row[0] for row in table.rows] == ["Maker"]


def test_what_cannot_be_said_is_grouped_by_why(document, all_texts):
    titles = [b.title for b in section_of(document, "unknown").blocks if isinstance(b, Section)]
    assert titles == [
        "Never varied", "Tangled habits", "Thin", "Cannot tell yet",
        "Left out of the comparison", "Reasons to doubt", "Outcomes that cannot be judged yet",
    ]  # fmt: skip
    said = " ".join(all_texts(document))
    assert "Can volume: Every piece was reduced in a can of 30 L." in said
    assert "Luster: combustible kind (some 35 more)." in said
    assert "Cracked: seconds to the can (hardly by more of the same kind)." in said
    assert "Not in this log, so nothing is said about: load number of the day." in said
    assert "Colour shift: Only 3 pieces have a grade for colour shift." in said


def test_a_reason_that_holds_for_some_outcomes_names_them(study, with_luster, all_texts):
    page = build_maker_document(with_luster(study, not_learnt=()))
    said = " ".join(all_texts(page))
    assert "Can volume: Every piece was reduced in a can of 30 L. (Concerns cracked.)" in said


def test_a_log_that_leaves_nothing_open_says_so(study, with_luster, all_texts):
    luster = study.outcomes[0]
    sure = tuple(e for e in luster.effects if e.verdict and e.verdict.word is Word.CHANGES)
    whole = with_luster(
        study, effects=sure, ranking=luster.ranking[:2], tangles=(), not_learnt=(), findings=()
    )
    page = build_maker_document(replace(whole, outcomes=whole.outcomes[:1]))
    assert "Nothing is left open" in " ".join(all_texts(page))


def test_few_firings_are_said_to_be_rough(study, all_texts):
    page = build_maker_document(replace(study, firings=9))
    said = " ".join(all_texts(page))
    assert "With 9 firings every interval here is rough" in said
    assert "This log holds 9 firings. Below 6 no interval is printed" in said


@pytest.mark.parametrize(
    ("cluster", "said"),
    [
        ("", "each was taken for itself. Luck shared by a firing is then understated"),
        ("fired_on", "The log has no firing column, so each date was taken as one firing."),
    ],
)
def test_what_stood_for_a_firing_is_said(study, all_texts, cluster, said):
    page = build_maker_document(replace(study, cluster=cluster))
    assert said in " ".join(all_texts(page))


def test_conversions_are_shown_with_an_example_and_its_row(document, all_texts):
    said = " ".join(all_texts(document)).replace("\u202f", " ")
    assert "Pull temperature: 40 converted from another unit" in said
    assert "2 approximate, taken at its value (“~8” as" in said
    assert "1 a range, taken at its middle (“8-12” as" in said
    assert "1 set aside, the rest of the row is used" in said


def test_findings_are_sorted_by_how_much_they_matter(document):
    callouts = [b.title for b in section_of(document, "findings").blocks if hasattr(b, "tone")]
    assert callouts == ["To settle before trusting the numbers"]


def test_rows_of_a_finding_are_named_five_at_most(document, all_texts):
    said = " ".join(all_texts(document))
    assert "(rows 4, 9, 11, 15, 16 and 3 more)" in said


def test_a_panel_is_told_in_its_own_words_throughout(study, with_codebook, all_texts, known):
    words = {"cluster_word": "judge", "piece_word": "glass", "handles_hot_ware": False,
             "title": "A tasting"}  # fmt: skip
    usable = replace(
        study, outcomes=tuple(replace(part, findings=()) for part in study.outcomes[:2])
    )  # findings bring words of their own
    page = build_maker_document(with_codebook(usable, **words))
    said = " ".join(all_texts(replace(page, sections=page.sections[:4])))
    assert "Rests on about 24 judges." in said
    assert "Of 100 glasses" in said
    said = said.replace(known.HURRY, "").replace(known.HOTTER, "")  # the codebook's own words
    assert re.findall(r".{30}\b(?:firings?|pieces?)\b", said) == []


def test_a_study_in_which_nothing_is_usable_still_makes_a_page(study, known, all_texts):
    nothing = tuple(
        known.build_unusable(part.outcome, "No piece is graded.") for part in study.outcomes
    )
    page = build_maker_document(replace(study, outcomes=nothing))
    said = " ".join(all_texts(page))
    assert "Nothing could be learnt about any outcome yet." in said
    assert said.count("Nothing can be said about it yet. No piece is graded.") == 3


def test_without_intervals_the_page_still_stands(study, with_luster, all_texts):
    bare = tuple(
        replace(e, interval=None, interval_90=None, resample_interval=None, p_value=None,
                jackknife_interval=None)
        for e in study.outcomes[0].effects
    )  # fmt: skip
    page = build_maker_document(with_luster(study, effects=bare))
    assert "31 fewer, too few firings for an interval" in " ".join(all_texts(page))


def test_a_sentence_about_a_hot_setting_warns_when_and_only_when_it_points_hot(document, known):
    """Hand-checked on the invented study: which sentences name a hot setting as the better end."""
    expected = {
        ("Luster", "about 31 fewer"): known.HURRY,  # shorter is better for luster
        ("Luster", "about 14 more"): known.HOTTER,  # hotter is better for luster
        ("Cracked", "about 7 more"): known.HURRY,  # shorter cracks less
    }
    seen = set()
    for section in document.sections[:2]:
        for block in iterate_blocks(section.blocks):
            if not isinstance(block, Statements):
                continue
            for item in block.items:
                match = [key for key in expected if key[1] in item.text]
                assert item.cautions == tuple(expected[key] for key in match), item.text
                seen.update(match)
    assert seen == set(expected)


def test_every_picture_along_a_hot_setting_that_points_hot_warns(document, known):
    cautions = {p.key: p.cautions for p in blocks_of(document, Picture)}
    assert cautions["pots-luster-seconds_to_can"] == (known.HURRY,)
    assert cautions["curve-luster-seconds_to_can"] == (known.HURRY,)
    assert cautions["curve-cracked-quench"] == ()
    assert cautions["strip-luster"] == (known.HURRY, known.HOTTER)
