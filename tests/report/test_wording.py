import re
from pathlib import Path

import pytest

import outcomes.report
from outcomes.errors import ReportError
from outcomes.report.wording import (
    choose_words,
    join_words,
    mid_sentence,
    parse_wording,
    plural,
    read_wording,
)

ROOM = Path(outcomes.report.__file__).parent


def test_a_number_picks_its_word():
    wording = parse_wording('a = "{n} {n:pot is|pots are} {colour}"')
    assert wording.say("a", {"n": 1, "colour": "red"}) == "1 pot is red"
    assert wording.say("a", {"n": 0, "colour": "red"}) == "0 pots are red"


def test_a_value_is_never_read_as_a_template():
    wording = parse_wording('a = "{name}"')
    assert wording.say("a", {"name": "{n:a|b} {0.__class__}"}) == "{n:a|b} {0.__class__}"


def test_a_codebook_brings_its_own_words():
    wording = choose_words(
        parse_wording('a = "{n} {n:{cluster}|{clusters}}, {Pieces}"'),
        cluster="judge",
        piece="glass",
    )
    assert wording.say("a", {"n": 3}) == "3 judges, Glasses"


def test_a_missing_text_is_named_with_what_to_do():
    with pytest.raises(ReportError, match=r"no text 'page.title'.*restore the file"):
        parse_wording("").say("page.title")


def test_an_unknown_name_in_braces_is_named_with_the_known_ones():
    with pytest.raises(ReportError, match=r"a: the text asks for 'm'.*Known are n\. Correct"):
        parse_wording('a = "{m}"').say("a", {"n": 1})


@pytest.mark.parametrize("text", ["{n", "n}", "{n:a}", "{n.real}", "{n[0]}", "{0}"])
def test_a_lone_or_strange_brace_is_refused(text):
    with pytest.raises(ReportError, match=r"wording.toml, a: a brace stands alone"):
        parse_wording(f'a = "{text}"').say("a", {"n": 1})


def test_a_text_where_a_list_was_expected_is_refused_and_the_reverse():
    wording = parse_wording('a = "x"\nb = ["x"]')
    with pytest.raises(ReportError, match="a list was expected"):
        wording.say_all("a")
    with pytest.raises(ReportError, match="one text was expected"):
        wording.say("b")


def test_broken_toml_is_refused_in_words():
    with pytest.raises(ReportError, match=r"wording.toml cannot be read: .*line 2"):
        parse_wording('a = "x"\nb = c\n')


@pytest.mark.parametrize(
    ("items", "expected"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_items_are_joined_as_they_are_read_aloud(items, expected):
    assert join_words(items) == expected


def test_plurals_and_capitals_are_english():
    assert [plural(word) for word in ("piece", "box", "sherry")] == ["pieces", "boxes", "sherries"]
    assert mid_sentence("Can sealed") == "can sealed"
    assert mid_sentence("pH of the slip") == "pH of the slip"


def test_every_text_of_the_file_is_used_and_every_text_asked_for_exists():
    known = set(read_wording().texts)
    code = "\n".join(
        path.read_text(encoding="utf-8")
        for path in sorted([*ROOM.glob("*.py"), *ROOM.glob("*.jinja")])
    )
    whole = set(re.findall(r'"([a-z_]+\.[a-z_0-9]+)"', code)) & {key for key in known if "." in key}
    prefixes = set(re.findall(r'f"([a-z_]+\.[a-z_]*)\{', code))
    suffixed = {key for key in known if any(key.startswith(prefix) for prefix in prefixes)}
    asked = set(re.findall(r'say(?:_all)?\(\s*"([a-z_]+\.[a-z_0-9]+)"', code))
    asked -= {"count.pots"}  # the doctest of parse_wording brings its own text
    assert asked <= known, f"asked for but not in wording.toml: {sorted(asked - known)}"
    assert known <= whole | suffixed, f"never used: {sorted(known - whole - suffixed)}"
