"""The default codebook against the trade.

Ranges, typical values and spellings marked "common practice, no source" have none; the two
with a source name it.
"""

import pytest

from outcomes.log.cells import parse_grade, parse_level
from outcomes.log.codebook import Codebook, Direction, Kind, Role, Shape
from outcomes.log.codebook_headers import fold_header
from outcomes.log.units import to_base

DEFAULT_COLUMNS = [
    "glaze",
    "clay_body",
    "form",
    "maker",
    "kiln",
    "load_no",
    "pull_order",
    "pull_temp_c",
    "seconds_to_can",
    "combustible_g",
    "combustible_kind",
    "can_volume_l",
    "lid_delay_s",
    "time_in_can_min",
    "glaze_thickness_mm",
    "wall_thickness_mm",
    "quench",
    "seal",
    "burps",
    "air_temp_c",
    "humidity_pct",
    "wind",
]

# (factor, lowest and highest typical value): common practice, no source.
TYPICAL = [
    ("pull_temp_c", 870, 1010),
    ("seconds_to_can", 3, 20),
    ("combustible_g", 20, 300),
    ("lid_delay_s", 2, 15),
    ("time_in_can_min", 10, 30),
    ("glaze_thickness_mm", 0.3, 1),
    ("can_volume_l", 20, 80),
    ("wall_thickness_mm", 5, 8),
    ("burps", 0, 3),
]
# Degrees Fahrenheit a maker would type: glaze smooths and turns glossy 1600-1700, firing range
# 1500-1800, hair marks 1450-1600. Common practice, no source.
TYPED_FAHRENHEIT = [1450, 1500, 1600, 1650, 1700, 1800]
# What makers disagree about is not settled by a shape; the shapes the beliefs need.
SHAPES = {
    "pull_temp_c": Shape.WINDOW,
    "seconds_to_can": Shape.STRAIGHT,
    "combustible_g": Shape.SATURATING,
    "lid_delay_s": Shape.WINDOW,
    "time_in_can_min": Shape.SATURATING,
    "glaze_thickness_mm": Shape.STRAIGHT,
    "wall_thickness_mm": Shape.STRAIGHT,
    "can_volume_l": Shape.STRAIGHT,
    "burps": Shape.STRAIGHT,
    "air_temp_c": Shape.STRAIGHT,
    "humidity_pct": Shape.STRAIGHT,
}


def test_the_default_columns_are_all_there_in_order(codebook: Codebook) -> None:
    names = [factor.name for factor in codebook.factors]
    assert [name for name in names if name in DEFAULT_COLUMNS] == DEFAULT_COLUMNS


def test_the_graded_outcomes_are_luster_crackle_color_and_cracks(codebook: Codebook) -> None:
    expected = ["luster", "crackle_density", "color_shift", "cracked"]
    assert expected == [outcome.name for outcome in codebook.outcomes]


@pytest.mark.parametrize(("name", "low", "high"), TYPICAL)
def test_typical_values_are_plausible(
    codebook: Codebook, name: str, low: float, high: float
) -> None:
    plausible = codebook.factor(name).plausible
    assert plausible is not None
    assert low in plausible
    assert high in plausible


@pytest.mark.parametrize("typed", TYPED_FAHRENHEIT)
def test_a_usual_pull_temperature_typed_in_fahrenheit_is_plausible(
    codebook: Codebook, typed: float
) -> None:
    plausible = codebook.factor("pull_temp_c").plausible
    assert plausible is not None
    assert to_base(typed, "F", "C") in plausible


@pytest.mark.parametrize("typed", [1450, 1600, 1850])
def test_fahrenheit_taken_for_celsius_is_impossible(codebook: Codebook, typed: float) -> None:
    possible = codebook.factor("pull_temp_c").possible
    assert possible is not None
    assert typed not in possible


def test_a_step_of_temperature_is_no_finer_than_the_thermocouple(codebook: Codebook) -> None:
    # IEC 60584-1, type K, class 2: the larger of 2.5 degrees and 0.75 %, so 7.35 at 980.
    tolerance = max(2.5, 0.0075 * 980)
    assert tolerance <= (codebook.factor("pull_temp_c").step or 0)


@pytest.mark.parametrize(("name", "shape"), SHAPES.items())
def test_each_number_has_the_shape_its_beliefs_need(
    codebook: Codebook, name: str, shape: Shape
) -> None:
    assert shape is codebook.factor(name).shape


def test_every_number_has_ranges_a_step_and_a_convertible_unit(codebook: Codebook) -> None:
    for factor in codebook.factors:
        if factor.kind is not Kind.NUMBER:
            continue
        assert factor.possible is not None
        assert factor.plausible is not None
        assert factor.step is not None
        assert factor.step < factor.plausible.high - factor.plausible.low
        for unit in factor.accepted_units:
            assert pytest.approx(to_base(to_base(5.0, unit, factor.unit), factor.unit, unit)) == 5.0


def test_a_temperature_without_a_scale_stays_a_question(codebook: Codebook) -> None:
    for name in ("pull_temp_c", "air_temp_c"):
        assert codebook.factor(name).unstated_unit == ""


def test_weather_and_order_of_work_are_conditions(codebook: Codebook) -> None:
    conditions = ("load_no", "pull_order", "air_temp_c", "humidity_pct", "wind", "rain")
    found = tuple(f.name for f in codebook.factors if f.role is Role.CONDITION)
    assert conditions == found


def test_who_which_kiln_and_whose_eyes_are_groupings(codebook: Codebook) -> None:
    assert [f.name for f in codebook.factors if f.role is Role.GROUPING] == [
        "maker",
        "kiln",
        "grader",
    ]


# Faster, hotter or closer handling carries its caution.
HOT = {
    "pull_temp_c": Direction.HIGHER,
    "seconds_to_can": Direction.LOWER,
    "combustible_g": Direction.HIGHER,
    "lid_delay_s": Direction.EITHER,
    "time_in_can_min": Direction.LOWER,
    "burps": Direction.HIGHER,
    "quench": Direction.EITHER,
}


@pytest.mark.parametrize(("name", "direction"), HOT.items())
def test_hot_handling_is_marked(codebook: Codebook, name: str, direction: Direction) -> None:
    assert direction is codebook.factor(name).hot


def test_a_caution_is_there_exactly_where_a_direction_is_hot(codebook: Codebook) -> None:
    for factor in codebook.factors:
        assert (factor.hot is not Direction.NEITHER) == bool(factor.safety_note)


def test_no_caution_advises_haste(codebook: Codebook) -> None:
    for factor in codebook.factors:
        note = factor.safety_note.lower()
        for word in ("faster", "quick", "speed up", "shorten", "as fast"):
            assert word not in note


def test_the_caution_for_seconds_says_what_to_do_instead(codebook: Codebook) -> None:
    note = codebook.factor("seconds_to_can").safety_note
    assert "move the can nearer" in note
    assert "rehearse the path" in note
    assert "never run with a molten pot" in note


# Spellings seen in logs: common practice, no source.
SPELLINGS = [
    ("pull temp", "pull_temp_c"),
    ("Temp pulled", "pull_temp_c"),
    ("secs to can", "seconds_to_can"),
    ("TRANSFER TIME", "seconds_to_can"),
    ("paper g", "combustible_g"),
    ("reduction time", "time_in_can_min"),
    ("mins in can", "time_in_can_min"),
    ("lid", "lid_delay_s"),
    ("coats", "glaze_thickness_mm"),
    ("wet towel", "seal"),
    ("potter", "maker"),
    ("RH", "humidity_pct"),
    ("Lustre", "luster"),
    ("crackle", "crackle_density"),
    ("colour shift", "color_shift"),
    ("Broken", "cracked"),
]


@pytest.mark.parametrize(("written", "column"), SPELLINGS)
def test_makers_spellings_are_aliases(codebook: Codebook, written: str, column: str) -> None:
    meant = {
        fold_header(alias): item.name
        for item in (*codebook.factors, *codebook.outcomes)
        for alias in item.aliases
    }
    assert column == meant[fold_header(written)]


def test_aliases_are_lower_case_and_ambiguous_words_are_absent(codebook: Codebook) -> None:
    aliases = [a for item in (*codebook.factors, *codebook.outcomes) for a in item.aliases]
    assert aliases == [alias.lower() for alias in aliases]
    # "flash" and "reduction" mean several things in the trade: common practice, no source.
    assert {"flash", "reduction"}.isdisjoint(aliases)


@pytest.mark.parametrize(
    ("name", "aim", "wanted", "smallest"),
    [
        ("luster", "3", Direction.HIGHER, 10),
        ("crackle_density", "3", Direction.HIGHER, 10),
        ("color_shift", "3", Direction.NEITHER, 10),
        ("cracked", "yes", Direction.LOWER, 5),
    ],
)
def test_aims_are_what_the_report_counts(
    codebook: Codebook, name: str, aim: str, wanted: Direction, smallest: float
) -> None:
    outcome = codebook.outcome(name)
    assert aim == outcome.levels[outcome.aim].name
    assert wanted is outcome.wanted
    assert smallest == outcome.smallest_difference
    assert outcome.phrase


def test_every_grade_has_its_wording_and_can_be_written_as_its_word(codebook: Codebook) -> None:
    for outcome in codebook.outcomes:
        assert all(level.wording for level in outcome.levels)
        for level, index in zip(outcome.levels, range(len(outcome.levels)), strict=True):
            assert index == parse_grade(level.name, outcome).value
        for word, level_name in outcome.level_words:
            names = [level.name for level in outcome.levels]
            assert names.index(level_name) == parse_grade(word, outcome).value


def test_every_word_for_a_level_is_read_as_that_level(codebook: Codebook) -> None:
    for factor in codebook.factors:
        for word, level in factor.level_words:
            assert level == parse_level(word, factor.levels, factor.level_words).value
