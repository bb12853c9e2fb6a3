import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from outcomes.errors import CodebookError
from outcomes.log.codebook import Codebook, Direction, Kind, Range, Role, Shape
from outcomes.log.codebook_file import (
    LARGEST_FILE_BYTES,
    parse_codebook,
    read_codebook,
    read_default_codebook,
    read_default_text,
)

# A tasting panel: the judge is the cluster, nothing is hot, no glaze, no date.
PANEL = """
title = "Bitterness of wine"
cluster_word = "judge"
piece_word = "glass"
handles_hot_ware = false

[columns]
firing = "judge"
date = ""
piece = "bottle"
loaded = ""

[factors.temp]
role = "setting"
kind = "levels"
levels = ["cold", "warm"]

[factors.rest_h]
role = "condition"
kind = "number"
unit = "h"
step = 0.5

[outcomes.rating]
levels = ["1", "2", "3", "4", "5"]
aim = "4"
"""


def _panel() -> Codebook:
    return parse_codebook(PANEL, file="panel.toml")


def test_no_path_means_the_default_codebook() -> None:
    assert read_default_codebook() == read_codebook()


def test_a_codebook_of_its_own_stands_alone() -> None:
    panel = _panel()
    assert tuple(factor.name for factor in panel.factors) == ("temp", "rest_h")
    assert tuple(panel.special_columns()) == ("judge", "bottle", "notes")
    assert panel.glaze == ""
    assert panel.handles_hot_ware is False


def test_keys_left_out_get_plain_defaults() -> None:
    rest, rating = _panel().factor("rest_h"), _panel().outcome("rating")
    assert rest.label == "Rest h"
    assert rest.accepted_units == ("h",)
    assert Shape.STRAIGHT is rest.shape
    assert (rest.role, rest.kind, rest.hot) == (Role.CONDITION, Kind.NUMBER, Direction.NEITHER)
    assert rating.phrase == "are graded 4 or above"
    assert (rating.aim, rating.smallest_difference, rating.wanted) == (3, 10.0, Direction.HIGHER)


def test_the_phrase_of_a_top_level_does_not_say_above() -> None:
    panel = parse_codebook(PANEL.replace('aim = "4"', 'aim = "5"'), file="panel.toml")
    assert panel.outcome("rating").phrase == "are graded 5"


def test_hot_ware_is_assumed_unless_the_file_says_otherwise() -> None:
    silent = PANEL.replace("handles_hot_ware = false\n", "")
    assert parse_codebook(silent, file="panel.toml").handles_hot_ware is True


def test_a_file_on_disk_is_read_with_or_without_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "panel.toml"
    path.write_bytes(PANEL.encode())
    plain = read_codebook(path)
    path.write_bytes(b"\xef\xbb\xbf" + PANEL.replace("\n", "\r\n").encode())
    assert plain == read_codebook(path)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(CodebookError, match=r"nowhere\.toml: the codebook could not be opened .*"
                       r"Expected a TOML file\. Check the name after --codebook"):  # fmt: skip
        read_codebook(tmp_path / "nowhere.toml")


def test_a_folder_is_no_codebook(tmp_path: Path) -> None:
    with pytest.raises(CodebookError, match="could not be opened"):
        read_codebook(tmp_path)


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(b"#" * (LARGEST_FILE_BYTES + 1))
    with pytest.raises(CodebookError, match=r"more than 500,000 bytes\. .* Check that the log"):
        read_codebook(path)


def test_a_file_that_is_not_utf8_names_the_line(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_bytes('title = "a"\n# Tönnchen'.encode("latin-1"))
    with pytest.raises(CodebookError, match=r"mine\.toml line 2: found the byte 0xf6, which is"
                       r" not UTF-8.*Save it again"):  # fmt: skip
        read_codebook(path)


@pytest.mark.parametrize(
    ("text", "line", "shown"),
    [
        ('extends = "default"\nstep = 0,5\n', 2, "step = 0,5"),
        ('title = "a"\ntitle = "b"\n', 2, 'title = "b"'),
        ('extends = "default"\n\nremove = ["burps"', 3, 'remove = ["burps"'),
        ("", None, ""),
    ],
)
def test_text_that_is_not_toml_names_its_line(text: str, line: int | None, shown: str) -> None:
    with pytest.raises(CodebookError) as caught:
        parse_codebook(text, file="mine.toml")
    if line is None:
        assert "mine.toml, title: found no such key" in str(caught.value)
    else:
        assert f"mine.toml line {line}: found {shown!r}, which is not TOML" in str(caught.value)
        assert "Correct this line or the one before it." in str(caught.value)


def test_deep_brackets_are_refused_in_words() -> None:
    with pytest.raises(CodebookError, match="brackets nested too deeply"):
        parse_codebook("a = " + "[" * 5000, file="mine.toml")


def test_the_default_text_is_what_the_default_codebook_is_read_from() -> None:
    assert read_default_codebook() == parse_codebook(read_default_text(), file="any.toml")


_LABELS = st.text(st.characters(codec="utf-8", categories=("L", "N")), min_size=1, max_size=20)
_NUMBERS = st.floats(-1e6, 1e6, allow_nan=False).filter(lambda x: abs(x) > 1e-3 or x == 0)


@given(
    label=_LABELS,
    ends=st.lists(_NUMBERS, min_size=4, max_size=4, unique=True),
    step=st.floats(1e-3, 1e3),
)
@settings(max_examples=50, deadline=None)
def test_what_is_written_is_what_is_read(label: str, ends: list[float], step: float) -> None:
    low, inner_low, inner_high, high = sorted(ends)
    text = (
        f"{PANEL}\n[factors.x]\nrole = 'setting'\nkind = 'number'\nstep = {step!r}\n"
        f"label = {json.dumps(label, ensure_ascii=False)}\n"
        f"possible = [{low!r}, {high!r}]\nplausible = [{inner_low!r}, {inner_high!r}]\n"
    )
    factor = parse_codebook(text, file="mine.toml").factor("x")
    assert label == factor.label
    assert Range(low=low, high=high) == factor.possible
    assert Range(low=inner_low, high=inner_high) == factor.plausible
    assert step == factor.step


_WRONG = st.sampled_from(
    ["3", "-1.5", "nan", "true", '""', '"Größe x"', "[]", '["a", 3]', "[1, 2, 3]", "{}",
     '{ a = "b" }', "1979-05-27", '[{ name = "0" }]', '"\\u0007"', '"same"']
)  # fmt: skip
_KEYS = st.sampled_from(
    ["title", "extends", "remove", "date_order", "own_units", "columns", "columns.firing",
     "columns.glaze", "column_aliases", "column_aliases.date", "factors", "factors.burps",
     "factors.burps.step", "factors.burps.unit", "factors.burps.possible", "factors.burps.aliases",
     "factors.burps.measures", "factors.wind.levels", "factors.wind.words", "factors.wind.hot",
     "outcomes", "outcomes.luster.levels", "outcomes.luster.aim", "outcomes.luster.words",
     "outcomes.luster.applies_to", "outcomes.luster.smallest_difference", "how_to_grade"]
)  # fmt: skip


@given(key=_KEYS, value=_WRONG)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_value_anywhere_gets_past_as_anything_but_a_codebook_error(key: str, value: str) -> None:
    first = "" if key == "extends" else 'extends = "default"\n'
    try:
        codebook = parse_codebook(f"{first}{key} = {value}\n", file="mine.toml")
    except CodebookError as error:
        assert str(error).startswith("mine.toml")  # noqa: PT017 - both ends are legitimate
    else:
        assert codebook.factors
