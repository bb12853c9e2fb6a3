"""Rules between the keys of a codebook file, which no single type can express."""

from collections.abc import Iterator

from outcomes.log.codebook_entries import CodebookEntry, FactorEntry, OutcomeEntry
from outcomes.log.codebook_headers import check_headers
from outcomes.log.codebook_numbers import check_number, check_units
from outcomes.log.codebook_problems import Problem, join_words, quote, suggest
from outcomes.log.words import is_blank, is_ditto

_NUMBER_KEYS = (
    "unit",
    "accepted_units",
    "unstated_unit",
    "measures",
    "possible",
    "plausible",
    "feasible",
    "step",
)


def check_rules(entry: CodebookEntry) -> tuple[Problem, ...]:
    """Return every broken rule of a file whose types are right."""
    problems: list[Problem] = []
    for name, factor in entry.factors.items():
        problems.extend(_check_factor(f"factors.{name}", name, factor, tuple(entry.own_units)))
    for name, outcome in entry.outcomes.items():
        problems.extend(_check_outcome(f"outcomes.{name}", outcome))
    problems.extend(check_headers(entry))
    return tuple(problems)


def _check_factor(
    key: str, name: str, factor: FactorEntry, own_units: tuple[str, ...]
) -> Iterator[Problem]:
    if factor.kind == "number":
        yield from check_number(key, factor)
        yield from check_units(key, name, factor, own_units)
    else:
        yield from _check_no_number_keys(key, factor)
    yield from _check_levels(key, factor)
    yield from _check_hot(key, factor)


def _check_no_number_keys(key: str, factor: FactorEntry) -> Iterator[Problem]:
    for label in _NUMBER_KEYS:
        if getattr(factor, label):
            yield Problem(
                key=f"{key}.{label}",
                found=f"{quote(getattr(factor, label))} with kind = {factor.kind!r}",
                expected="this key only with kind = 'number'",
                remedy="Remove the key, or change kind. To give a default column another kind, "
                "name it in remove and write its table anew.",
            )


def _check_levels(key: str, factor: FactorEntry) -> Iterator[Problem]:
    if factor.kind == "levels":
        if len(factor.levels) < 2:
            yield Problem(
                key=f"{key}.levels",
                found=quote(factor.levels),
                expected="at least two levels with kind = 'levels'",
                remedy='Add levels = ["…", "…"] in their order.',
            )
        yield from _check_level_names(key, factor.levels, factor.words)
        if factor.shape not in ("", "levels"):
            yield Problem(
                key=f"{key}.shape",
                found=quote(factor.shape),
                expected="'levels' with kind = 'levels'",
                remedy="Remove shape, or change kind.",
            )
        return
    for label in ("levels", "words"):
        if getattr(factor, label):
            yield Problem(
                key=f"{key}.{label}",
                found=f"{quote(getattr(factor, label))} with kind = {factor.kind!r}",
                expected="this key only with kind = 'levels'",
                remedy='Remove the key, or set kind = "levels".',
            )


def _check_level_names(key: str, levels: list[str], words: dict[str, str]) -> Iterator[Problem]:
    folded = [level.lower() for level in levels]
    for position, level in enumerate(levels):
        if folded.index(level.lower()) < position:
            yield Problem(
                key=f"{key}.levels",
                found=f"{level!r} twice",
                expected="every level once",
                remedy="Rename or remove one of them.",
            )
    yield from _check_marks(
        key, (*(("levels", w) for w in folded), *((f"words.{w}", w) for w in words))
    )
    for word, level in words.items():
        if level not in levels:
            yield Problem(
                key=f"{key}.words.{word}",
                found=quote(level),
                expected=f"one of the levels {join_words(levels)}",
                remedy=f"{suggest(level, levels)}Correct it or remove the word.",
            )
        elif word in folded and levels[folded.index(word)] != level:
            yield Problem(
                key=f"{key}.words.{word}",
                found=f"the level {word!r} given the meaning {level!r}",
                expected="a word that is not itself another level",
                remedy="Remove the word.",
            )


def _check_marks(key: str, spelled: tuple[tuple[str, str], ...]) -> Iterator[Problem]:
    """Yield every level or word that a reader would take for an empty cell or a ditto mark."""
    for place, word in spelled:
        if is_ditto(word) or is_blank(word, number=False):
            yield Problem(
                key=f"{key}.{place}",
                found=f"{word!r} as a level or a word",
                expected="a word that does not mean an empty cell or 'as in the row above'",
                remedy="Choose another word.",
            )


def _check_hot(key: str, factor: FactorEntry) -> Iterator[Problem]:
    if factor.hot != "neither" and not factor.safety_note:
        yield Problem(
            key=f"{key}.safety_note",
            found=f"no safety note with hot = {factor.hot!r}",
            expected="a caution in one or more full sentences",
            remedy='Add safety_note = "…": what to do instead of hurrying with hot ware.',
        )
    if factor.safety_note and factor.safety_note[-1] not in ".!":
        yield Problem(
            key=f"{key}.safety_note",
            found=quote(factor.safety_note),
            expected="a full sentence, ending in a full stop",
            remedy="End it with a full stop.",
        )
    if factor.kind == "name" and factor.hot in ("higher", "lower"):
        yield Problem(
            key=f"{key}.hot",
            found=quote(factor.hot),
            expected="'either' or 'neither' with kind = 'name', as names have no order",
            remedy="Choose one of the two.",
        )


def _check_outcome(key: str, outcome: OutcomeEntry) -> Iterator[Problem]:
    names = [level.name for level in outcome.levels]
    yield from _check_level_names(key, names, outcome.words)
    if outcome.aim not in names:
        yield Problem(
            key=f"{key}.aim",
            found=quote(outcome.aim),
            expected=f"one of the levels {join_words(names)}",
            remedy=f"{suggest(outcome.aim, names)}Write the level as it stands in levels.",
        )
    elif outcome.aim == names[0]:
        yield Problem(
            key=f"{key}.aim",
            found=f"{outcome.aim!r}, the lowest level",
            expected="a higher level, as every piece is at the lowest level or above",
            remedy="Choose another level, or turn the order of levels round.",
        )
