"""A studio's own codebook over the default one."""

import copy

import pytest

from outcomes.log.codebook import Codebook, Kind, Range, Shape
from outcomes.log.codebook_extends import build_extended
from outcomes.log.codebook_file import parse_codebook


def _extend(text: str) -> Codebook:
    return parse_codebook(f'extends = "default"\n{text}', file="mine.toml")


def test_an_empty_extension_is_the_default(codebook: Codebook) -> None:
    assert codebook == _extend("")


def test_a_single_key_changes_and_nothing_else(codebook: Codebook) -> None:
    own, default = _extend("[factors.burps]\nstep = 2"), codebook
    assert own.factor("burps").step == 2
    assert default.factor("burps").possible == own.factor("burps").possible
    changed = [f.name for f, g in zip(own.factors, default.factors, strict=True) if f != g]
    assert changed == ["burps"]


def test_a_studio_calibrates_its_own_measures() -> None:
    own = _extend("[factors.combustible_g.measures]\nSheet = 28\nhandful = 60")
    assert own.factor("combustible_g").measures == (("sheet", 28.0), ("handful", 60.0))


def test_a_range_is_replaced_as_a_whole() -> None:
    own = _extend("[factors.pull_temp_c]\nplausible = [900, 1000]")
    assert Range(low=900, high=1000) == own.factor("pull_temp_c").plausible


def test_a_new_column_stands_after_the_default_ones() -> None:
    own = _extend('[factors.soak_min]\nrole = "setting"\nkind = "number"\nunit = "min"\nstep = 5')
    assert own.factors[-1].name == "soak_min"


def test_aliases_and_words_are_added(codebook: Codebook) -> None:
    own = _extend('[factors.wind]\naliases = ["Gusts"]\n[factors.wind.words]\n"dead calm" = "calm"')
    default = codebook.factor("wind")
    assert ("gusts", *default.aliases) == own.factor("wind").aliases
    assert (*default.level_words, ("dead calm", "calm")) == own.factor("wind").level_words


def test_a_spelling_the_studio_claims_leaves_its_old_column() -> None:
    own = _extend('[factors.coats]\nrole = "setting"\nkind = "number"\nunit = "count"\nstep = 1')
    assert "coats" not in own.factor("glaze_thickness_mm").aliases
    assert "glaze coats" in own.factor("glaze_thickness_mm").aliases


def test_a_spelling_can_be_claimed_from_a_special_column() -> None:
    own = _extend('[factors.kiln_no]\nrole = "grouping"\nkind = "name"\naliases = ["batch"]')
    assert "batch" not in dict(own.special_aliases)["firing_id"]


def test_a_special_column_can_be_renamed_and_keeps_its_aliases() -> None:
    own = _extend('[columns]\nfiring = "burn"\n[column_aliases]\nfiring = ["burn no"]')
    assert own.firing == "burn"
    assert dict(own.special_aliases)["burn"][0] == "burn no"
    assert "load id" in dict(own.special_aliases)["burn"]


def test_a_special_column_can_be_left_out() -> None:
    own = _extend('[columns]\nloaded = ""')
    assert own.loaded == ""
    assert "pieces_loaded" not in [name for name, _ in own.special_aliases]


def test_columns_can_be_removed() -> None:
    own = _extend('remove = ["burps", "color_shift"]')
    with pytest.raises(KeyError, match="burps"):
        own.factor("burps")
    assert [o.name for o in own.outcomes] == ["luster", "crackle_density", "cracked"]


def test_a_removed_column_can_be_written_anew_with_another_kind() -> None:
    own = _extend(
        'remove = ["glaze_thickness_mm"]\n[factors.glaze_thickness_mm]\nrole = "setting"\n'
        'kind = "levels"\nlevels = ["thin", "thick"]'
    )
    factor = own.factor("glaze_thickness_mm")
    assert (factor.kind, factor.shape) == (Kind.LEVELS, Shape.LEVELS)
    assert factor.aliases == ()


def test_without_the_glaze_factor_there_is_no_glaze_column() -> None:
    assert _extend('remove = ["glaze"]').glaze == ""


def test_another_factor_can_be_the_glaze() -> None:
    assert _extend('[columns]\nglaze = "clay_body"').glaze == "clay_body"


def test_a_unit_of_ones_own_is_taken_as_it_is() -> None:
    own = _extend(
        'own_units = ["bar"]\n[factors.gas]\nrole = "setting"\nkind = "number"\nunit = "bar"\n'
        "step = 0.1"
    )
    assert (own.factor("gas").unit, own.factor("gas").accepted_units) == ("bar", ("bar",))


def test_levels_may_be_names_alone_or_with_wording() -> None:
    own = _extend(
        '[outcomes.run]\nlevels = ["no", { name = "yes", wording = "glaze on the foot" }]\n'
        'aim = "yes"\nwanted = "lower"'
    )
    assert [(level.name, level.wording) for level in own.outcome("run").levels] == [
        ("no", ""),
        ("yes", "glaze on the foot"),
    ]


def test_merging_changes_neither_table() -> None:
    own = {"extends": "default", "factors": {"a": {"aliases": ["x"], "step": 2}}}
    default = {"factors": {"a": {"aliases": ["y"]}, "b": {"aliases": ["x", "z"]}}}
    before = copy.deepcopy((own, default))
    merged = build_extended(own, default)
    assert merged["factors"] == {"a": {"aliases": ["x", "y"], "step": 2}, "b": {"aliases": ["z"]}}
    assert before == (own, default)
