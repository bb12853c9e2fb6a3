"""Every message about a wrong key, read as its author would read it."""

import pytest

from outcomes.errors import CodebookError
from outcomes.log.codebook_file import parse_codebook
from outcomes.log.codebook_problems import Problem, describe_problems

# What is added to the default codebook, and what the message must say: the key, what was
# found, what was expected, what to do.
NUMBER = '[factors.x]\nrole = "setting"\nkind = "number"\nstep = 1\n'
LEVELS = '[factors.x]\nrole = "setting"\nkind = "levels"\nlevels = ["a", "b"]\n'
NAME = '[factors.x]\nrole = "setting"\nkind = "name"\n'
GRADED = '[outcomes.x]\nlevels = ["a", "b", "c"]\n'

TYPES = [
    (
        "[factors.burps]\nplausable = [0, 5]",
        "factors.burps.plausable: found the key 'plausable'; expected one of role, kind,",
        "Did you mean 'plausible'? Rename or remove it.",
    ),
    ("[factor.x]\nrole = 'setting'", "factor: found the key 'factor'", "Did you mean 'factors'?"),
    (
        "[outcomes.luster]\nlevels = [{ name = 'a', wordin = 'b' }, 'c']\naim = 'c'",
        "outcomes.luster.levels entry 1.wordin: found the key 'wordin'; expected one of name,",
        "Did you mean 'wording'?",
    ),
    ("[columns]\nkiln = 'oven'", "columns.kiln: found the key 'kiln'", "expected one of firing"),
    (
        "[factors.burps]\nrole = 'seting'",
        "factors.burps.role: found 'seting'; expected one of 'setting', 'condition' or 'grouping'",
        "Did you mean 'setting'? Correct 'role'.",
    ),
    ("[factors.burps]\nlabel = 3", "factors.burps.label: found 3; expected text in quotes.", ""),
    ("[factors.burps]\nstep = 'one'", "found 'one'; expected a number.", "Correct 'step'."),
    ("[factors.burps]\nstep = 0", "found 0; expected a number above 0.", "Correct 'step'."),
    ("[factors.burps]\nstep = true", "found true; expected a number.", ""),
    ("[factors.burps]\nstep = inf", "found inf; expected a finite number.", ""),
    ("[factors.burps]\nhard_to_change = 'yes'", "expected true or false, without quotes.", ""),
    ("[factors.burps]\naliases = 'burp'", "expected a list in square brackets.", ""),
    ("[factors.burps]\npossible = [0]", "found [0]; expected at least 2 entries.", ""),
    ("[factors.burps]\npossible = [0, 1, 2]", "expected at most 2 entries.", ""),
    ("[factors.burps]\nmeasures = 3", "found 3; expected a table.", ""),
    ("[factors.burps.measures]\nlift = -1", "factors.burps.measures.lift: found -1", "0 or more"),
    ("factors = 3", "mine.toml, factors: found 3; expected a table.", ""),
    ("[factors]\nburps = 3", "factors.burps: found 3; expected a table of keys.", ""),
    (
        "[factors.Pull-Temp]\nrole = 'setting'\nkind = 'name'",
        "factors.Pull-Temp: found 'Pull-Temp'; expected a column name in lower case",
        "Rename 'Pull-Temp'.",
    ),
    (
        "[factors.pull_temp]\nstep = 5",
        "factors.pull_temp.role: found no such key; expected one.",
        "Did you mean 'pull_temp_c'? Add role = … to [factors.pull_temp].",
    ),
    (
        "[factors.x3]\nrole = 'setting'\n[factors.x30]\nrole = 'setting'\nkind = 'name'",
        "factors.x3.kind: found no such key; expected one. Add kind = … to [factors.x3].",
        "",
    ),
    ('[factors.burps]\nlabel = "a\\u0007b"', "expected one line of text without control", ""),
    ("[factors.burps]\naliases = ['']", "factors.burps.aliases entry 1: found ''", "a word"),
    (f"[factors.burps]\nlabel = '{'x' * 81}'", "expected at most 80 characters.", ""),
    ("title = ''", "mine.toml, title: found ''; expected some text.", ""),
    (
        "[outcomes.luster]\nlevels = ['a', 3]\naim = 'a'",
        "outcomes.luster.levels entry 2: found 3; expected a level's name in quotes, or { name",
        "Correct that entry of the list.",
    ),
    (
        "[outcomes.luster]\nsmallest_difference = 100",
        "outcomes.luster.smallest_difference: found 100; expected a number below 100.",
        "",
    ),
    ("[outcomes.luster]\nsmallest_difference = 0", "expected a number above 0.", ""),
    (
        "date_order = 'day'",
        "expected one of '', 'day first' or 'month first'",
        "Correct 'date_order'.",
    ),
]

RULES = [
    (
        "[factors.burps]\nplausible = [0, 50]",
        "factors.burps.plausible: found [0.0, 50.0]; expected a range inside possible",
        "Narrow plausible, or widen possible.",
    ),
    ("[factors.burps]\nfeasible = [-1, 5]", "factors.burps.feasible: found [-1.0, 5.0];", "Narrow"),
    (
        "[factors.burps]\npossible = [5, 5]",
        "factors.burps.possible: found [5.0, 5.0]; expected two numbers, the lower one first.",
        "Write it as [lower, higher].",
    ),
    (
        NUMBER.replace("step = 1\n", ""),
        "factors.x.step: found no such key; expected a practical change of this number",
        "Add step = … in the base unit.",
    ),
    (f"{NUMBER}shape = 'levels'", "factors.x.shape: found 'levels' for a number;", "kind = "),
    (f"{LEVELS}shape = 'window'", "factors.x.shape: found 'window'; expected 'levels'", "Remove"),
    (
        "[factors.combustible_g.measures]\nsheet = 9000",
        "factors.combustible_g.measures.sheet: found 9000.0; expected an amount within possible",
        "Weigh or measure it again",
    ),
    (
        f"{NUMBER}unit = 'grams'",
        "factors.x.unit: found 'grams'; expected one of the units C, F, s,",
        "Did you mean 'g'? A unit of your own goes into own_units.",
    ),
    (
        "[factors.combustible_g]\naccepted_units = ['g', 'mm']",
        "factors.combustible_g.accepted_units: found 'mm'; expected units that convert to 'g'",
        "Remove it or correct it.",
    ),
    (
        "[factors.combustible_g]\naccepted_units = ['oz']",
        "found ['oz']; expected a list with the base unit 'g' in it.",
        "Add 'g' to the list.",
    ),
    (
        "[factors.pull_temp_c]\nunstated_unit = 'K'",
        "factors.pull_temp_c.unstated_unit: found 'K'; expected one of accepted_units, 'C' or 'F'",
        "Choose one of these",
    ),
    (
        "[factors.pull_temp_c]\nunit = 'F'",
        "factors.pull_temp_c.unit: found 'F'; expected the unit that the name ends in, 'C'.",
        "Set unit = 'C', or end the name in _f.",
    ),
    (
        "[factors.burps]\nkind = 'levels'\nlevels = ['no', 'yes']",
        "factors.burps.unit: found 'count' with kind = 'levels'; expected this key only with kind",
        "name it in remove and write its table anew.",
    ),
    (
        LEVELS.replace('"a", "b"', '"a"'),
        "factors.x.levels: found ['a']; expected at least two levels with kind = 'levels'.",
        "Add levels",
    ),
    (
        f"{NAME}levels = ['a', 'b']",
        "factors.x.levels: found ['a', 'b'] with kind = 'name'; expected this key only with",
        "Remove the key, or set kind",
    ),
    (f"{NUMBER}words = {{ a = 'b' }}", "factors.x.words: found {'a': 'b'} with kind = 'n", ""),
    (
        LEVELS.replace('"b"', '"A"'),
        "factors.x.levels: found 'A' twice; expected every level once.",
        "Rename or remove one of them.",
    ),
    (
        f"{LEVELS}words = {{ bee = 'c' }}",
        "factors.x.words.bee: found 'c'; expected one of the levels 'a' or 'b'.",
        "Correct it or remove the word.",
    ),
    (
        f"{LEVELS}words = {{ a = 'b' }}",
        "factors.x.words.a: found the level 'a' given the meaning 'b'; expected a word that is not",
        "Remove the word.",
    ),
    (
        LEVELS.replace('"b"', '"same"'),
        "factors.x.levels: found 'same' as a level or a word; expected a word that does not mean",
        "Choose another word.",
    ),
    (f"{LEVELS}words = {{ '-' = 'b' }}", "factors.x.words.-: found '-' as a level or a word", ""),
    (
        f"{NUMBER}hot = 'lower'",
        "factors.x.safety_note: found no safety note with hot = 'lower'; expected a caution",
        'Add safety_note = "…": what to do instead of hurrying with hot ware.',
    ),
    (
        "[factors.burps]\nsafety_note = 'Mind the flame'",
        "factors.burps.safety_note: found 'Mind the flame'; expected a full sentence",
        "End it with a full stop.",
    ),
    (f"{NAME}hot = 'lower'\nsafety_note = 'A.'", "factors.x.hot: found 'lower'; expected", "order"),
    (
        f"{GRADED}aim = 'd'",
        "outcomes.x.aim: found 'd'; expected one of the levels 'a', 'b' or 'c'.",
        "Write the level as it stands in levels.",
    ),
    (
        f"{GRADED}aim = 'a'",
        "outcomes.x.aim: found 'a', the lowest level; expected a higher level",
        "Choose another level",
    ),
    (
        "[columns]\nglaze = 'glaz'",
        "columns.glaze: found 'glaz'; expected a factor of kind 'name', or \"\" for none.",
        "Did you mean 'glaze'?",
    ),
    (
        "[columns]\nglaze = ''\n[outcomes.luster]\napplies_to = ['Tarn']",
        "outcomes.luster.applies_to: found ['Tarn']; expected no such key in a codebook without",
        "Remove it, or name the glaze column",
    ),
    (
        "[factors.notes]\nrole = 'setting'\nkind = 'name'",
        "factors.notes: found 'notes', which already means the column 'columns.notes';",
        "Rename or remove one of the two.",
    ),
    (
        "[columns]\npiece = 'firing_id'",
        "columns.piece: found 'firing_id', which already means the column 'columns.firing'",
        "",
    ),
    (
        f"{NAME}aliases = ['Time in  Can', 'luster']",
        "factors.x.aliases: found 'luster', which already means the column 'outcomes.luster';",
        "Rename or remove",
    ),
]

KEYS_OF_A_STUDIO = [
    ("extends = 'defalt'", "mine.toml, extends: found 'defalt'; expected 'default'", "describe"),
    ("extends = 'default'\nremove = 'burps'", "remove: found 'burps'; expected a list", "Write"),
    (
        "extends = 'default'\nremove = ['burp']",
        "remove: found 'burp'; expected the name of a factor or an outcome of the default codebook",
        "Did you mean 'burps'?",
    ),
    (
        "title = 'a'\nremove = ['burps']",
        "remove: found ['burps']; expected this key only together with extends",
        "Add extends",
    ),
    ("title = 'a'", "mine.toml, factors: found no such key; expected one.", "Add at least one"),
    ("cluster_word = 'a'", "mine.toml, title: found no such key", "Add title = … at the top of"),
]


def _message(text: str) -> str:
    with pytest.raises(CodebookError) as caught:
        parse_codebook(text, file="mine.toml")
    return str(caught.value)


@pytest.mark.parametrize(("added", "said", "advised"), TYPES + RULES)
def test_a_wrong_key_is_named_with_what_was_found_expected_and_to_be_done(
    added: str, said: str, advised: str
) -> None:
    message = _message(f'extends = "default"\n{added}\n')
    assert said in message
    assert advised in message


@pytest.mark.parametrize(("text", "said", "advised"), KEYS_OF_A_STUDIO)
def test_a_wrong_frame_is_named_too(text: str, said: str, advised: str) -> None:
    message = _message(text)
    assert said in message
    assert advised in message


def test_every_message_starts_with_the_file_and_ends_with_a_full_stop() -> None:
    for added, _, _ in TYPES + RULES:
        for line in _message(f'extends = "default"\n{added}\n').splitlines():
            assert line.startswith("mine.toml, ") or line == "and 1 more."
            assert line.endswith(".")


def test_five_problems_are_shown_and_the_rest_counted() -> None:
    problem = Problem(key="k", found="a", expected="b", remedy="Do c.")
    shown = describe_problems([problem] * 17, file="mine.toml").splitlines()
    assert shown == ["mine.toml, k: found a; expected b. Do c."] * 5 + ["and 12 more."]


def test_all_problems_of_a_file_are_found_at_once() -> None:
    text = 'extends = "default"\n[factors.burps]\nstep = 0\n[outcomes.luster]\naim = 3\n'
    message = _message(text)
    assert "factors.burps.step" in message
    assert "outcomes.luster.aim" in message
