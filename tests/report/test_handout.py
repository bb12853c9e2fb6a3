"""The students' handout: what it tells, what it never tells, and in what words."""

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from outcomes.effects.effect import Effect, Verdict, Word
from outcomes.log.codebook import Direction
from outcomes.report.handout import build_handout, shorten
from outcomes.report.handout_page import render_handout
from outcomes.study.class_view import find_worth

HURRY = re.compile(r"\b(faster|quicker|quickly|speed|sooner|hotter|rush|closer)\b", re.IGNORECASE)


class Texts(HTMLParser):
    """Everything a reader sees or hears of a page."""

    def __init__(self, page):
        super().__init__()
        self.texts, self.inside = [], []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        if tag not in ("meta", "link", "use", "path", "br"):
            self.inside.append(tag)

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        self.inside.pop()

    def handle_data(self, data):
        if data.strip() and "style" not in self.inside:
            self.texts.append(" ".join(data.split()))


@pytest.fixture
def tell():
    """A function that renders the handout of a study."""
    return lambda study: render_handout(build_handout(study))


@pytest.fixture
def with_verdicts(study):
    """A function: the invented study with one verdict word for all settings of all outcomes."""

    def change(word, **fields):
        def judge(effect: Effect) -> Effect:
            if effect.verdict is None:
                return effect
            return replace(effect, verdict=Verdict(word=word, reason="."), **fields)

        parts = [
            replace(part, effects=tuple(judge(e) for e in part.effects), not_learnt=())
            for part in study.outcomes
        ]
        return replace(study, outcomes=tuple(parts))

    return change


def test_only_what_changes_the_surface_is_worth_changing(study):
    handout = build_handout(study)
    sure = {
        (e.contrast.factor, part.outcome.name)
        for part in study.outcomes
        for e in part.effects
        if e.verdict is not None and e.verdict.word is Word.CHANGES
    }
    told = {(one.factor, one.outcome.name) for one in find_worth(study)}
    assert told <= sure
    assert len(handout.habits) <= len(told)


def test_a_lean_never_makes_a_habit_worth_changing(with_verdicts):
    handout = build_handout(with_verdicts(Word.LEANS))
    assert handout.habits == ()
    assert "Nothing yet" in handout.worth_note


def test_with_nothing_to_tell_the_page_still_says_so_and_keeps_the_cautions(with_verdicts, tell):
    page = tell(with_verdicts(Word.CANNOT_TELL))
    assert "No habit in this log stands clear of luck" in page
    assert "Nobody knows yet" in page
    assert "never gloved hands" in page
    assert "Nothing is ruled out yet." in page


def test_only_what_is_too_small_may_be_let_go(with_verdicts):
    small, unknown = build_handout(with_verdicts(Word.SMALL)).lists[:2]
    assert small.items
    assert unknown.items == ()
    small, unknown = build_handout(with_verdicts(Word.LEANS)).lists[:2]
    assert small.items == ()
    assert unknown.items


def test_what_moved_together_is_to_be_parted_not_only_written_down(with_verdicts):
    _, unknown, tangled = build_handout(with_verdicts(Word.TANGLED)).lists
    assert unknown.items == ()
    assert tangled.items
    assert tangled.lead == (
        "These moved together. Ask your leader to change one without the other in some firings."
    )


def test_what_leans_for_one_outcome_is_not_let_go_for_another(study):
    first, *others = study.outcomes
    factor = first.effects[0].contrast.factor
    verdicts = [Verdict(word=word, reason=".") for word in (Word.SMALL, Word.LEANS)]
    parts = [
        replace(part, effects=(replace(first.effects[0], verdict=v),), not_learnt=())
        for part, v in zip([first, others[0]], verdicts, strict=True)
    ]
    small, unknown = build_handout(replace(study, outcomes=tuple(parts))).lists[:2]
    label = study.log.codebook.factor(factor).label
    assert small.items == ()
    assert unknown.items == (label,)


def test_a_matter_of_taste_is_nobodys_habit_to_correct(with_verdicts, study):
    changed = with_verdicts(Word.CHANGES)
    parts = [
        replace(part, outcome=replace(part.outcome, wanted=Direction.NEITHER))
        for part in changed.outcomes
    ]
    handout = build_handout(replace(changed, outcomes=tuple(parts)))
    assert handout.habits == ()
    assert handout.lists[2].title == "Two sides"


def test_every_hot_habit_stands_with_its_caution(with_verdicts):
    study = with_verdicts(Word.CHANGES)
    factors = {f.name: f for f in study.log.codebook.factors}
    handout = build_handout(study)
    notes = [factors[one.factor].safety_note for one in find_worth(study)][: len(handout.habits)]
    assert [habit.safely for habit in handout.habits if habit.safely] == [n for n in notes if n]


def test_no_sentence_sends_anybody_to_hurry(with_verdicts):
    for sign in (-0.3, 0.3):
        handout = build_handout(with_verdicts(Word.CHANGES, change=sign))
        ours = [habit.title + habit.text for habit in handout.habits] + list(handout.cautions)
        assert [text for text in ours if HURRY.search(text)] == []


def test_nobody_is_named(study, tell):
    names = ["Wilhelmina", "Bartholomew"]
    values = study.log.values.assign(maker=[names[i % 2] for i in range(len(study.log.values))])
    page = tell(replace(study, log=replace(study.log, values=values)))
    words = set(re.findall(r"[\w'-]+", " ".join(Texts(page).texts)))
    assert set(names) & words == set()
    assert "Maker" not in words


def test_every_number_of_a_habit_has_its_interval(study):
    for habit in build_handout(study).habits:
        assert re.search(r"Luck leaves open (\d+|less than 1) to \d+\.", habit.text)


def test_the_pictures_say_in_words_what_they_show(study, tell):
    page = tell(study)
    handout = build_handout(study)
    pictures = [one for habit in handout.habits for one in (habit.before, habit.after)]
    assert pictures
    assert page.count('role="img"') == len(pictures)
    for picture in pictures:
        assert f">{picture.alt}</title>" in page
        assert str(picture.black) in picture.alt


def test_each_picture_has_a_hundred_pots_of_two_shapes_of_ink(study, tell):
    page = tell(study)
    handout = build_handout(study)
    black = sum(one.black for habit in handout.habits for one in (habit.before, habit.after))
    assert page.count('href="#black"') == black
    assert page.count('href="#white"') == 200 * len(handout.habits) - black


def test_no_color_carries_meaning(study, tell):
    colors = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", tell(study)))
    assert {color for color in colors if len(set(color[1:])) > 1} <= {"#black", "#white"}


def test_it_reads_like_a_newspaper(with_verdicts, study, readability, tell):
    for one in (study, with_verdicts(Word.CHANGES), with_verdicts(Word.CANNOT_TELL)):
        handout = build_handout(one)
        ours = [handout.source, handout.honest, handout.worth_note]
        ours += [f"{habit.title}. {habit.text} {habit.safely}" for habit in handout.habits]
        ours += [f"{part.title}. {part.lead}" for part in handout.lists]
        assert readability.grade_of(" ".join([*ours, *handout.cautions])) <= 9.0


def test_the_readability_measure_gives_the_textbook_grade(readability):
    # 6 words, 1 sentence, 6 syllables: 0.39 x 6 + 11.8 - 15.59, computed by hand.
    assert readability.grade_of("The cat sat on the mat.") == pytest.approx(-1.45)


@pytest.mark.parametrize(
    ("word", "expected"),
    [("firing", 2), ("luster", 2), ("ware", 1), ("table", 2), ("combustible", 4), ("hurried", 2),
     ("poison", 2), ("decided", 3), ("broad", 1), ("temperature", 4)],
)  # fmt: skip
def test_syllables_are_counted_as_in_a_dictionary(readability, word, expected):
    assert abs(expected - readability.count_syllables(word)) <= (word == "temperature")


def test_hostile_names_are_only_text(study, with_codebook, tell):
    attack = "<script>alert(1)</script>{{7*7}}"
    factors = tuple(replace(f, label=attack) for f in study.log.codebook.factors)
    page = tell(with_codebook(study, title=attack, factors=factors))
    assert "<script" not in page
    assert "49" not in re.findall(r"\b49\b", "".join(Texts(page).texts))
    assert "&lt;script&gt;" in page


def test_a_caution_is_never_cut_a_habit_gives_way(with_verdicts, with_codebook):
    study = with_verdicts(Word.CHANGES)
    long = "Mind the flame. " * 30
    factors = tuple(replace(f, safety_note=long.strip()) for f in study.log.codebook.factors)
    handout = build_handout(with_codebook(study, factors=factors))
    assert len(handout.habits) == 1
    assert handout.habits[0].safely == long.strip()
    assert "more; see the maker's report" in handout.worth_note


def test_a_caution_too_long_for_the_sheet_sends_to_the_leader(with_verdicts, with_codebook):
    study = with_verdicts(Word.CHANGES)
    factors = tuple(replace(f, safety_note="Mind it. " * 300) for f in study.log.codebook.factors)
    handout = build_handout(with_codebook(study, factors=factors))
    assert handout.habits[0].title.endswith("ask your leader")
    assert handout.habits[0].safely.startswith("The caution for this is too long")


def test_without_hot_ware_no_fire_cautions_are_printed(study, with_codebook):
    handout = build_handout(with_codebook(study, handles_hot_ware=False))
    assert handout.cautions == ("Change one thing at a time, in small steps.",)


def test_the_same_study_gives_the_same_bytes(study, tell):
    assert tell(study) == tell(study)


def test_a_no_break_space_before_a_unit_is_kept():
    assert shorten("5\u202fs") == "5\u202fs"
