"""Which columns hold whose grades: a column of graders, or one column a grader."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from outcomes.doubts.check_graders import GRADER
from outcomes.log.codebook import Codebook, Factor, Kind, Outcome, Role, Shape
from outcomes.log.header_words import Words, parse_header, split_words
from outcomes.log.words import clean_text

GRADED_ON: Final = "graded_on"
BLIND_COLUMN: Final = "blind"
OWN: Final = "the log"  # whose grades stand in a plain column beside the graders' own

_NAMES: Final = (
    Factor(
        name=GRADER, label="Grader", role=Role.GROUPING, kind=Kind.NAME, shape=Shape.LEVELS,
        aliases=("graded by", "grader name", "graders", "rater", "rated by", "judge", "judged by",
                 "scored by", "assessor", "assessed by", "who graded", "grading by"),
    ),
    Factor(
        name=GRADED_ON, label="Graded on", role=Role.GROUPING, kind=Kind.NAME, shape=Shape.LEVELS,
        aliases=("grading date", "date graded", "graded", "graded date", "regraded on",
                 "date of grading", "scored on"),
    ),
    Factor(
        name=BLIND_COLUMN, label="Graded blind", role=Role.CONDITION, kind=Kind.LEVELS,
        shape=Shape.LEVELS, levels=("no", "yes"),
        level_words=(("blind", "yes"), ("blinded", "yes"), ("known", "no"), ("open", "no"),
                     ("knowing", "no"), ("not blind", "no")),
        aliases=("graded blind", "blinded", "blind grade", "blind grading", "blind?"),
    ),
)  # fmt: skip
# After an outcome's name these say how or when it was graded, not by whom.
_NO_GRADER = re.compile(
    r"grade|grades|score|scores|note|notes|date|comment|comments|why|photo|wording|level|mean|"
    r"average|[0-9.\s]+(?:-|to)[0-9.\s]+|yes|no|yes no|y n",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeColumn:
    """One column of a wide table: where it stands, which outcome, by whom."""

    place: int
    outcome: str
    grader: str


def with_grading_columns(codebook: Codebook) -> Codebook:
    """Return the codebook that also knows who graded, when, and whether blind."""
    taken = {factor.name for factor in codebook.factors} | {
        outcome.name for outcome in codebook.outcomes
    }
    added = tuple(factor for factor in _NAMES if factor.name not in taken)
    return replace(codebook, factors=(*codebook.factors, *added))


def with_header(codebook: Codebook, outcome: str, header: str) -> Codebook:
    """Return the codebook in which a header means an outcome."""
    alias = " ".join(_all_words(header))
    outcomes = tuple(
        replace(each, aliases=(*each.aliases, alias)) if each.name == outcome else each
        for each in codebook.outcomes
    )
    return replace(codebook, outcomes=outcomes)


def find_grade_columns(headers: Sequence[str], codebook: Codebook) -> tuple[GradeColumn, ...]:
    """Return the columns that each hold one grader's grades of one outcome.

    Parameters
    ----------
    headers
        As typed.
    codebook
        Its outcomes, with their aliases.

    Returns
    -------
    tuple of GradeColumn
        Empty unless an outcome has at least two of them; a plain column beside graders' own is
        by `OWN`.

    Examples
    --------
    >>> from outcomes.log.codebook_file import read_default_codebook
    >>> found = find_grade_columns(["piece", "luster_A", "Lustre (Bo)"], read_default_codebook())
    >>> [(column.outcome, column.grader) for column in found]
    [('luster', 'A'), ('luster', 'Bo')]
    """
    known = _known_words(codebook)
    found = [
        column
        for place, header in enumerate(headers)
        for column in _find(place, header, codebook, known)
    ]
    named = [column for column in found if column.grader != OWN]
    counts = [sum(c.outcome == o.name for c in found) for o in codebook.outcomes]
    if not named or max(counts) < 2:
        return ()
    return _one_spelling(found)


def _find(
    place: int, header: str, codebook: Codebook, known: frozenset[Words]
) -> Iterator[GradeColumn]:
    """Yield what a header holds, once at most."""
    words = _all_words(header)
    for outcome in codebook.outcomes:
        stems = sorted(_stems(outcome), key=len, reverse=True)
        if words in stems:
            yield GradeColumn(place=place, outcome=outcome.name, grader=OWN)
            return
        if words in known:
            continue
        grader = next((g for stem in stems if (g := _grader(header, words, stem))), "")
        if grader:
            yield GradeColumn(place=place, outcome=outcome.name, grader=grader)
            return


def _grader(header: str, words: Words, stem: Words) -> str:
    """Return who is named beside an outcome's name, "" for nobody."""
    if len(words) <= len(stem):
        return ""
    if words[: len(stem)] == stem:
        rest = slice(len(stem), None)
    elif words[-len(stem) :] == stem:
        rest = slice(0, len(words) - len(stem))
    else:
        return ""
    bracket = parse_header(header).brackets
    if bracket and _NO_GRADER.fullmatch(bracket[0]):
        return ""
    typed = re.findall(r"[^\W_]+", clean_text(header))
    told = typed if len(typed) == len(words) else list(words)
    name = " ".join(told[rest])
    name = re.sub(r"^by ", "", name, flags=re.IGNORECASE)
    return "" if _NO_GRADER.fullmatch(name) else name


def _all_words(header: str) -> Words:
    parsed = parse_header(header)
    return parsed.words + tuple(w for part in parsed.brackets for w in split_words(part))


def _stems(outcome: Outcome) -> frozenset[Words]:
    names = (outcome.name, outcome.label, *outcome.aliases)
    return frozenset(split_words(name) for name in names) - {()}


def _known_words(codebook: Codebook) -> frozenset[Words]:
    """Return every name of a column of the codebook: such a header names no grader."""
    named = [(item.name, item.label, item.aliases) for item in codebook.factors]
    named += [(item.name, item.label, item.aliases) for item in codebook.outcomes]
    names = [text for name, label, aliases in named for text in (name, label, *aliases)]
    names += list(codebook.special_columns())
    names += [alias for _, aliases in codebook.special_aliases for alias in aliases]
    return frozenset(split_words(name) for name in names)


def _one_spelling(found: Sequence[GradeColumn]) -> tuple[GradeColumn, ...]:
    """Return the columns with each grader in the spelling that stands first."""
    first: dict[str, str] = {}
    for column in found:
        first.setdefault(column.grader.casefold(), column.grader)
    return tuple(replace(column, grader=first[column.grader.casefold()]) for column in found)
