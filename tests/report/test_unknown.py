from dataclasses import replace

from outcomes.effects.effect import NotLearnt, Verdict, Word
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Role
from outcomes.report.document import Section, Statements, iterate_blocks
from outcomes.report.maker import build_maker_document


def section_of(document, key):
    found = [b for b in iterate_blocks(document.sections) if isinstance(b, Section)]
    return next(section for section in found if section.key == key)


def test_what_is_out_of_the_model_stands_where_its_reason_belongs(study, with_luster, all_texts):
    twin = NotLearnt(
        factor="seal", role=Role.SETTING, code="aliased",
        reason="Wet-towel seal always went with quench.",
        verdict=Verdict(word=Word.TANGLED, reason="It repeats quench.", tangled_with=("quench",)),
    )  # fmt: skip
    page = build_maker_document(with_luster(study, not_learnt=(twin,)))
    tangled = section_of(page, "unknown-tangled")
    said = " ".join(i.text for b in tangled.blocks if isinstance(b, Statements) for i in b.items)
    assert "Wet-towel seal always went with quench. (Concerns luster.)" in said
    assert " ".join(all_texts(page)).count("always went with quench") == 1


def test_a_pair_found_from_both_sides_is_told_once(study, with_luster):
    (tangle,) = study.outcomes[0].tangles
    twin = replace(tangle, factor="quench", with_factors=("lid_delay_s",))
    page = build_maker_document(with_luster(study, tangles=(tangle, twin)))
    tangled = section_of(page, "unknown-tangled")
    items = [i for b in tangled.blocks if isinstance(b, Statements) for i in b.items]
    assert 1 == sum("moved together with" in item.text for item in items)


def test_a_person_whose_habits_moved_along_is_named_among_the_tangles(study):
    helper = Finding(
        code="person_moves_with_settings", severity=Severity.WARNING,
        message="Maker 'K' worked with other settings than the rest.", advice="Swap some.",
    )  # fmt: skip
    page = build_maker_document(replace(study, findings=(helper,)))
    tangled = section_of(page, "unknown-tangled")
    items = [i for b in tangled.blocks if isinstance(b, Statements) for i in b.items]
    assert (
        items[0].text
        == "Maker 'K' worked with other settings than the rest. What to do: Swap some."
    )
