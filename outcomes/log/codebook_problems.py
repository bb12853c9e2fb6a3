"""What is wrong with a codebook file, said so that its author can mend it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

_MOST_SHOWN = 5
_LONGEST_QUOTE = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong in a codebook file.

    ``key`` is the path of the key (``factors.burps.step``), ``found`` and ``expected`` are
    noun phrases, ``remedy`` is a full sentence.
    """

    key: str
    found: str
    expected: str
    remedy: str


def describe_problem(problem: Problem, *, file: str) -> str:
    """Return the problem as sentences: where, what was found, what was expected, what to do.

    >>> wrong = Problem(key="title", found="3", expected="text in quotes", remedy="Quote it.")
    >>> describe_problem(wrong, file="mine.toml")
    'mine.toml, title: found 3; expected text in quotes. Quote it.'
    """
    found = f"found {problem.found}; expected {problem.expected}."
    return f"{file}, {problem.key}: {found} {problem.remedy}"


def describe_problems(problems: Sequence[Problem], *, file: str) -> str:
    """Return one line per problem, at most five and then how many more there are."""
    lines = [describe_problem(problem, file=file) for problem in problems[:_MOST_SHOWN]]
    if len(problems) > _MOST_SHOWN:
        lines.append(f"and {len(problems) - _MOST_SHOWN} more.")
    return "\n".join(lines)


def quote(value: object) -> str:
    """Return a value as it stands in the file, shortened when long.

    >>> quote("pull temp")
    "'pull temp'"
    >>> quote(True)
    'true'
    """
    if isinstance(value, bool):
        return str(value).lower()
    shown = repr(value)
    return shown if len(shown) <= _LONGEST_QUOTE else shown[: _LONGEST_QUOTE - 1] + "…"


def suggest(word: object, known: Iterable[str]) -> str:
    """Return "Did you mean …?" with a trailing space, or "" when nothing is close.

    >>> suggest("plausable", ("possible", "plausible"))
    "Did you mean 'plausible'? "
    """
    near = get_close_matches(str(word).lower(), list(known), n=1, cutoff=0.6)
    return f"Did you mean {near[0]!r}? " if near else ""


def join_words(words: Iterable[str], *, last: str = "or") -> str:
    """Return the words quoted and joined for a sentence.

    >>> join_words(("calm", "light", "strong"))
    "'calm', 'light' or 'strong'"
    """
    quoted = [repr(word) for word in words]
    if len(quoted) < 2:
        return "".join(quoted)
    return f"{', '.join(quoted[:-1])} {last} {quoted[-1]}"
