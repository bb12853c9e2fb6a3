"""The research page of the invented study, read as content."""

import re
from dataclasses import replace

import pytest

from outcomes.effects.effect import Word
from outcomes.model.fit import Penalty
from outcomes.report.document import Depth, Lines, Picture, Section, Table, iterate_blocks
from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document
from outcomes.report.research import build_research_document
from outcomes.report.research_methods import describe_methods
from outcomes.report.research_reproduce import build_command, build_python
from outcomes.report.results import build_results, find_pages
from outcomes.report.teller import build_teller
from outcomes.study.record import StudyOptions

BIG_WORDS = re.compile(r"\b(caus(es?|ed|ing)|prov(e|es|ed|en)|significan(t|ce|tly))\b", re.I)


@pytest.fixture(scope="module")
def page(researched):
    return build_research_document(researched)


def blocks_of(page, kind):
    return [block for block in iterate_blocks(page.sections) if isinstance(block, kind)]


def table(page, key: str) -> Table:
    return next(block for block in blocks_of(page, Table) if block.key == key)


def rows(page, key: str) -> dict[str, tuple[str, ...]]:
    return {row[0]: row[1:] for row in table(page, key).rows}


def test_the_sections_stand_in_the_promised_order(page):
    expected = [
        "overview", "methods", "outcome-luster", "outcome-cracked", "outcome-color_shift",
        "shares", "family", "computed", "reading", "reproduce", "references", "cautions",
    ]  # fmt: skip
    assert expected == [section.key for section in page.sections]


def test_an_estimate_stands_with_error_df_p_adjusted_p_and_effective_firings(page):
    expected = ("setting", "6\u202fs → 18\u202fs", "−31.0", "7.0", "18.0", "0.012", "0.030", "23.6",
                "36 / 38", "changes the surface")  # fmt: skip
    assert expected == rows(page, "changes-luster")["Seconds to the can"]


def test_every_interval_names_the_method_that_made_it(researched, page):
    first, *others = researched.outcomes
    cells = rows(page, "intervals-luster")["Seconds to the can"]
    assert ("−44.0 to −15.0", first.effects[0].interval.method) == cells[2:4]
    effect = first.effects[0]
    other = replace(effect.interval, method="some other rule")
    changed = replace(effect, interval=other, resample_interval=None, jackknife_interval=other)
    study = replace(researched, outcomes=(replace(first, effects=(changed,), log_odds=()), *others))
    told = table(build_research_document(study), "intervals-luster")
    assert ("some other rule", "–") == (told.rows[0][4], told.rows[0][5])
    assert "Leaving firings out: some other rule" in [column.heading for column in told.columns]
    paragraphs = " ".join(describe_methods(build_teller(study)))
    assert "some other rule intervals (1 effect)" in paragraphs


def test_odds_and_mean_grade_stand_with_their_intervals(page):
    cells = rows(page, "odds-luster")["Seconds to the can"]
    expected = ("−0.78", "−0.44 to −0.15", "−1.24", "0.40", "18.0", "0.289", "0.125 to 0.670")
    assert expected == cells[2:]


def test_thresholds_and_slopes_have_three_errors(page):
    found = rows(page, "parameters-luster")
    assert ["0|1", "1|2", "2|3", "3|4", "column 0", "column 1"] == list(found)
    estimate, model, sandwich, jackknife, df, limits, p = found["column 0"]
    assert ("−0.610", "1.00", "0.200", "0.300", "23") == (estimate, model, sandwich, jackknife, df)
    assert ("−1.23 to 0.0106", "0.054") == (limits, p)
    assert "–" == found["0|1"][-1]  # a threshold of 0 is nobody's question


def test_ranks_stand_alone_and_all_together(page):
    assert ("1", "1–4", "1–3", "60", "30.0") == rows(page, "ranks-luster")["Seconds to the can"]


def test_the_published_tests_stand_with_the_degrees_the_data_can_tell(page):
    found = table(page, "parallel-luster")
    assert ("all together", "score", "12.50", "7 (8)", "0.085") == found.rows[0]
    assert ("Seconds to the can", "likelihood ratio", "4.11", "3", "0.25") == found.rows[2]
    assert ("Wet-towel seal", "likelihood ratio", "no finite fit", "–", "–") == found.rows[3]
    assert "take pieces as independent" in found.note


def test_collinearity_names_what_repeats(page):
    assert ("∞",) != rows(page, "inflation-luster")["column 1"] == ("–",)
    assert ("0.62", "0.31") == rows(page, "explained-luster")["Wet-towel seal"]
    assert "41.0" in table(page, "inflation-luster").note


def test_tangles_influence_and_boundaries_stand_with_their_numbers(page):
    assert ("quench", "0.86", "0.70", "−6.0", "−5.0", "−11.0") == rows(page, "tangles-luster")[
        "Lid delay"
    ]
    assert ("14.0", "7", "2.0", "−2.40") == rows(page, "pivots-luster")["Pull temperature"]
    boundary = table(page, "boundaries-luster").rows[0]
    assert ("20.0", "5.0", "2.0", "6.0", "3.10 (3, 21)", "0.0040", "0.30") == boundary[2:]


def test_the_family_says_how_many_would_pass_by_luck(researched, page):
    n = sum(e.p_adjusted is not None for part in researched.outcomes for e in part.effects)
    lead = next(s for s in page.sections if s.key == "family").blocks[0].text
    assert f"{n} comparisons were judged together" in lead
    assert f"about {0.05 * n:.1f} would pass p < 0.05 by luck" in lead
    assert len(table(page, "family-table").rows) == n


def test_a_computed_quantity_is_compared_and_is_no_target(page):
    found = table(page, "explanations-table").rows
    expected = ("Luster", "Skin temperature at the can (computed)",
                "pull temperature and seconds to the can", "36 / 23", "0.300", "0.420", "0.120",
                "0.070 to 0.170")  # fmt: skip
    assert expected == found[0]
    section = next(s for s in page.sections if s.key == "computed")
    texts = " ".join(str(block) for block in section.blocks)
    assert "no target and no reason to hurry" in texts
    assert "do not hurry with hot ware" in texts


def test_verdicts_and_changes_are_those_of_the_makers_page(researched, page):
    maker = build_maker_document(researched)
    for part in researched.outcomes[:2]:
        name = part.outcome.name
        pictures = {one.key: one.table for one in blocks_of(maker, Picture)}
        plain = {row[0]: row for row in pictures[f"strip-{name}"].rows}
        full = rows(page, f"changes-{name}")
        ranked = [one.factor for one in part.ranking]
        for effect in part.effects:
            if effect.contrast.factor not in ranked:
                continue
            label = build_teller(researched).label(effect.contrast.factor)
            verdict = full[label][-1]
            assert verdict in plain[label]
            size = re.search(r"\d+", next(c for c in plain[label] if re.search("more|fewer", c)))
            assert abs(abs(float(full[label][2].replace("−", "-"))) - int(size[0])) <= 0.5


def test_the_legend_explains_every_verdict_word_the_page_uses(page):
    used = {row[-1] for row in table(page, "overview-table").rows}
    assert used <= {str(word) for word, _ in page.legend}
    assert str(Word.CHANGES) in used


def test_p_values_stand_here_and_not_on_the_makers_page(researched, page):
    headings = [column.heading for one in blocks_of(page, Table) for column in one.columns]
    assert {"p", "Adjusted p"} <= set(headings)
    maker = build_maker_document(researched)
    pictures = [one.table for one in blocks_of(maker, Picture)]
    plain = [c.heading for one in (*blocks_of(maker, Table), *pictures) for c in one.columns]
    assert not {"p", "Adjusted p"} & set(plain)


def test_no_sentence_of_the_page_claims_more_than_a_log_can_say(page, all_texts):
    cited = set(page.sections[-2].blocks[0].items)  # titles of papers are not ours to word
    found = [text for text in all_texts(page) if BIG_WORDS.search(text) and text not in cited]
    assert [] == found


def test_every_table_and_fold_has_a_key_of_its_own(page):
    keys = [block.key for block in iterate_blocks(page.sections)
            if isinstance(block, Table | Section | Depth | Lines)]  # fmt: skip
    assert len(keys) == len(set(keys))
    assert all(one.caption and one.columns for one in blocks_of(page, Table))


def test_an_outcome_without_a_fit_says_why(page):
    section = next(s for s in page.sections if s.key == "outcome-color_shift")
    assert "Only 3 pieces have a grade for colour shift." in section.blocks[0].text


def test_the_methods_are_filled_with_the_studys_own_numbers(researched):
    text = " ".join(describe_methods(build_teller(researched)))
    for words in (
        "The log holds 43 rows, of which 40 were used and 3 set aside",
        "luster (5 grades; 38 pieces from 24 firings)",
        "weak log-F(1,1) penalty",
        "2\u202f000 redraws of whole firings were made, seed 1",
        "adjusted for 9 comparisons (Benjamini and Hochberg 1995)",
        "10 pieces in 100 for luster and 5 pieces in 100 for cracked",
        "outcomes 0.1.0",
        "Python 3.99.1 and numpy 9.8.7",
        "Settings were not assigned at random",
    ):
        assert words in text
    assert "{" not in text


def test_the_software_stands_only_where_it_was_passed_in(researched):
    run = dict(table(build_research_document(researched), "run").rows)
    assert "9.8.7" == run["numpy"]
    bare = dict(table(build_research_document(replace(researched, software=())), "run").rows)
    assert "numpy" not in bare
    assert "ab" * 32 == bare["SHA-256 of year.csv"]


def test_the_commands_carry_every_option(researched):
    options = StudyOptions(resamples=500, seed=9, confidence=0.9, penalty=Penalty.NONE)
    study = replace(researched, options=options)
    command = " ".join(line.rstrip("\\").strip() for line in build_command(study))
    assert (
        "outcomes report year.csv --codebook codebook.toml --for research --resamples 500 "
        "--seed 9 --confidence 0.9 --penalty none"
    ) == command
    compile("\n".join(build_python(study)), "python", "exec")


def test_a_file_name_with_spaces_is_quoted_in_the_command(researched):
    file = replace(researched.log.files[0], name="my year; rm -rf.xlsx", sheet="Sheet 1")
    study = replace(researched, log=replace(researched.log, files=(file,)))
    assert "'my year; rm -rf.xlsx#Sheet 1'" in build_command(study)[0]


def test_the_page_and_its_figures_are_written_for_the_researcher_only(researched):
    files = build_results(researched, reader="research")
    assert {"research.html", "study.json"} <= set(files)
    assert "report.html" not in files
    stems = {name.rsplit(".", 1)[0] for name in files if name.startswith("figures/")}
    assert {"figures/strip-luster", "figures/curve-luster-pull_temp_c", "figures/shares-bars"} <= (
        stems
    )
    assert not any(name.startswith("figures/") for name in build_results(researched))
    assert {"report.html", "research.html"} <= {page.file for page in find_pages("all")}


def test_the_same_study_makes_the_same_bytes(researched, page):
    assert render_page(page) == render_page(build_research_document(researched))


def test_a_script_in_a_name_is_shown_as_typed(researched):
    attack = "<script>document.title='owned'</script>"
    file = replace(researched.log.files[0], name=attack)
    study = replace(researched, log=replace(researched.log, files=(file,)), version=attack)
    text = render_page(build_research_document(study))
    assert attack not in text
    assert "&lt;script&gt;document.title=" in text
