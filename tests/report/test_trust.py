from dataclasses import replace

import pytest

from outcomes.doubts.skill import SkillValue
from outcomes.report.document import (
    Callout,
    Depth,
    ItemList,
    Paragraph,
    Section,
    Statements,
    Table,
    iterate_blocks,
)
from outcomes.report.doubts_in_place import doubts_of_outcome, doubts_of_setting
from outcomes.report.firing_names import name_firing
from outcomes.report.maker import build_maker_document
from outcomes.report.maker_takeaways import build_takeaways
from outcomes.report.maker_trust import describe_error, describe_skill
from outcomes.report.sentences import build_statement
from outcomes.report.teller import build_teller


def section_of(document, key):
    found = [b for b in iterate_blocks(document.sections) if isinstance(b, Section)]
    return next(section for section in found if section.key == key)


def statements_of(section):
    return [i for b in section.blocks if isinstance(b, Statements) for i in b.items]


def with_skill(study, doubts, value, low, high):
    luster, *others = study.outcomes
    skill = doubts.build_skill("luster", value, low, high)
    return replace(study, outcomes=(replace(luster, skill=skill), *others))


def test_a_finding_about_an_outcome_is_told_in_full_exactly_once(study, document, all_texts):
    said = " ".join(all_texts(document))
    findings = [f for part in study.outcomes for f in part.findings]
    assert len(findings) == 5
    for finding in findings:
        message = finding.message.removeprefix("Cracked: w").removeprefix("Luster: ")
        assert said.count(message) == 1, finding.code
        assert said.count(finding.advice) >= 1


def test_a_doubt_about_a_setting_stands_beside_its_sentence(document, doubts):
    items = {
        i.title.split(":")[0]: i for i in statements_of(section_of(document, "outcome-luster"))
    }
    assert items["Pull temperature"].doubts == (f"{doubts.HANGS.message} {doubts.HANGS.advice}",)
    assert items["Combustible amount"].doubts[0].startswith(doubts.UNEVEN.message)
    assert items["Seconds to the can"].doubts == ()


def test_a_setting_that_a_check_speaks_against_is_not_folded_away(study, doubts, with_luster):
    finding = replace(doubts.HANGS, column="seal")
    page = build_maker_document(with_luster(study, findings=(finding,)))
    titles = [i.title for i in statements_of(section_of(page, "outcome-luster"))]
    assert any(title.startswith("Wet-towel seal") for title in titles)


def test_a_doubt_about_a_whole_outcome_stands_at_its_head(document, doubts, study):
    part = section_of(document, "outcome-cracked")
    box = next(b for b in part.blocks if isinstance(b, Callout))
    assert box.title == "Before you build on this"
    assert box.items == (
        "What this log says is not shown to foretell a firing it has not seen. "
        f"{doubts.NOT_FORETOLD.advice}",
    )
    assert doubts_of_setting(study.outcomes[1], "quench") == ()
    assert len(doubts_of_outcome(study.outcomes[1])) == 1


def test_what_cannot_be_said_lists_the_kinds_of_doubt_and_where(document):
    lines = next(
        b for b in section_of(document, "unknown-doubts").blocks if isinstance(b, ItemList)
    )
    assert lines.items == (
        "A remark on what was compared: luster.",
        "A single firing decides: pull temperature (luster).",
        "Not alike at every grade: combustible amount (luster).",
        "New firings are not yet foretold: cracked.",
    )


def test_silent_checks_leave_no_list_of_doubts(study):
    quiet = tuple(replace(part, findings=()) for part in study.outcomes)
    page = build_maker_document(replace(study, outcomes=quiet))
    assert "unknown-doubts" not in [
        b.key for b in iterate_blocks(page.sections) if hasattr(b, "key")
    ]


def test_where_a_finding_names_the_firing_the_sentence_does_not_name_it_again(
    study, doubts, teller
):
    luster = study.outcomes[0]
    pull = next(e for e in luster.effects if e.contrast.factor == "pull_temp_c")
    effect = replace(pull, fragile=True, pivot_firing="F07", pivot_change=0.02)
    beside = build_statement(effect, luster.outcome, teller, doubts=(doubts.HANGS,))
    assert "hangs on" not in beside.text
    headline = build_statement(effect, luster.outcome, teller)
    assert headline.text.endswith(
        "It hangs on firing F07: without it the difference would be 2 more."
    )


def test_the_take_away_names_the_deciding_firing_too(study):
    luster, *others = study.outcomes
    effects = tuple(
        replace(e, pivot_firing="F07", pivot_change=0.02)
        if e.contrast.factor == "pull_temp_c"
        else e
        for e in luster.effects
    )
    told = replace(study, outcomes=(replace(luster, effects=effects), *others))
    section = build_takeaways(build_teller(told))
    card = next(i for i in statements_of(section) if i.title.startswith("Pull temperature"))
    assert "It hangs on firing F07: without it the difference would be 2 more." in card.text


def test_the_headline_says_for_which_outcomes_new_firings_are_not_foretold(teller):
    first = build_takeaways(teller).blocks[0]
    assert first == Paragraph(
        text="Read with care: for cracked, this log does not yet predict new firings."
    )


def test_the_headline_is_harder_where_guessing_does_better(study, doubts):
    worse = with_skill(study, doubts, -0.2, -0.3, -0.1)
    texts = [b.text for b in build_takeaways(build_teller(worse)).blocks[:2]]
    assert texts[0] == (
        "Read with care: for luster, this log foretells new firings worse than guessing the usual "
        "shares of grades would."
    )
    assert texts[1].endswith("for cracked, this log does not yet predict new firings.")


def test_a_skill_that_is_only_not_yet_shown_makes_no_headline(study, doubts):
    # method.md §10: the headline is for skill of 0 or less, not for an interval around it.
    softer = with_skill(study, doubts, 0.1, -0.02, 0.22)
    texts = [getattr(b, "text", "") for b in build_takeaways(build_teller(softer)).blocks[:2]]
    assert [text for text in texts if "for luster" in text] == []


def test_skill_is_one_plain_sentence_and_a_finding_takes_its_place(study, teller):
    luster, cracked, _ = study.outcomes
    assert describe_skill(luster, teller) == [
        "Knowing the settings, the grades of a firing left out of the learning are foretold better "
        "than by guessing the usual shares of grades: the error is 23 % smaller (from 10 to 36 % "
        "smaller)."
    ]
    assert describe_skill(cracked, teller) == []
    (said,) = describe_skill(replace(cracked, findings=()), teller)
    assert said.startswith("Knowing the settings is not yet shown to foretell a left-out firing")
    assert said.endswith("the error is 5 % larger (from 12 % larger to 2 % smaller).")


@pytest.mark.parametrize(
    ("numbers", "value", "limits"),
    [
        ((-0.2, -0.3, -0.1), "20 % larger", "from 10 to 30 % larger"),
        ((0.001, -0.1, 0.1), "about the same", "from 10 % larger to 10 % smaller"),
        ((0.16, -0.001, 0.33), "16 % smaller", "up to 33 % smaller"),
        ((0.1, float("-inf"), 1.0), "10 % smaller", "too few firings for an interval"),
    ],
)
def test_an_error_is_told_by_its_direction(teller, numbers, value, limits):
    found = describe_error(SkillValue(value=numbers[0], low=numbers[1], high=numbers[2]), teller)
    assert found == {"value": value, "limits": limits}


def test_what_stands_behind_the_trust_is_folded_with_its_tables(document):
    part = section_of(document, "outcome-luster")
    fold = next(b for b in part.blocks if isinstance(b, Depth) and b.key == "more-trust-luster")
    tables = {b.key: b for b in iterate_blocks(fold.blocks) if isinstance(b, Table)}
    assert tables["calibration-luster"].rows[0] == ("1", "fewer than 1", "3", "19", "15")
    assert tables["influence-luster"].rows == (
        ("Pull temperature", "14 more", "Firing 7", "2 more", "2.4"),
    )
    assert tables["grade-effects-luster"].rows == (
        ("Combustible amount", "2 more", "30 more", "22 more", "5 more"),
    )
    said = " ".join(b.text for b in iterate_blocks(fold.blocks) if isinstance(b, Paragraph))
    assert "differences came out about 76 % as large as foretold (from 50 to 102 %)" in said
    assert "1 piece has a level that no other firing has and was foretold at the average" in said
    assert "its error is 3 % larger (from 10 % larger to 4 % smaller)" in said


def test_a_second_opinion_that_does_better_is_said_to(study, with_luster, all_texts):
    opinion = study.outcomes[0].second_opinion
    better = replace(opinion, gain=SkillValue(value=0.08, low=0.03, high=0.13))
    page = build_maker_document(with_luster(study, second_opinion=better))
    said = " ".join(all_texts(page))
    assert "left-out firings better: its error is 8 % smaller (from 3 to 13 % smaller)" in said
    assert "no sign that a shape" not in said


def test_a_second_opinion_that_only_beats_an_idle_model_says_nothing(study, with_luster, all_texts):
    opinion = replace(
        study.outcomes[0].second_opinion,
        gain=SkillValue(value=0.08, low=0.03, high=0.13),
        beyond_usual=SkillValue(value=0.0, low=-0.1, high=0.1),
    )
    page = build_maker_document(with_luster(study, second_opinion=opinion))
    assert "nothing follows from it" in " ".join(all_texts(page))


def test_a_setting_that_is_not_alike_at_every_grade_gets_an_open_table(document):
    part = section_of(document, "outcome-luster")
    table = next(b for b in part.blocks if isinstance(b, Table))
    assert table.caption == "Luster and combustible amount, grade by grade"
    assert table.rows[1] == ("“patchy” or above", "30 more", "6", "20 more")


def test_a_firing_is_named_by_its_date_where_one_is_written(study, teller):
    luster = study.outcomes[0]
    assert name_firing("F07", luster, teller) == "firing F07"
