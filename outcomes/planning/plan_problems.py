"""What is wrong with a plan, said with its line so that its author can mend it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from outcomes.planning.plan_lines import Place, find_line

_MOST_SHOWN = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanProblem:
    """One thing wrong in a plan.

    ``place`` is the path of the key, ``("hypotheses", 1, "factor")``; ``found`` and ``expected``
    are noun phrases, ``remedy`` is a full sentence.
    """

    place: Place
    found: str
    expected: str
    remedy: str


def describe_plan_problems(
    problems: Sequence[PlanProblem], *, file: str, lines: Mapping[Place, int]
) -> str:
    """Return one line per problem, at most five and then how many more there are.

    >>> wrong = PlanProblem(place=("level",), found="2", expected="a number of 0.2 or less",
    ...                     remedy="Correct it.")
    >>> describe_plan_problems([wrong], file="plan.toml", lines={("level",): 7})
    'plan.toml line 7, level: found 2; expected a number of 0.2 or less. Correct it.'
    """
    shown = []
    for problem in problems[:_MOST_SHOWN]:
        line = find_line(lines, problem.place)
        where = file if line is None else f"{file} line {line}"
        found = f"found {problem.found}; expected {problem.expected}."
        shown.append(f"{where}, {show_place(problem.place)}: {found} {problem.remedy}")
    if len(problems) > _MOST_SHOWN:
        shown.append(f"and {len(problems) - _MOST_SHOWN} more.")
    return "\n".join(shown)


def show_place(place: Place) -> str:
    """Return a key path; tables and entries of a list are counted from 1.

    >>> show_place(("hypotheses", 1, "factor"))
    'hypotheses 2, factor'
    """
    text = ""
    for part in place:
        if isinstance(part, int):
            text += f" {part + 1}"
        else:
            text += f", {part}" if text else part
    return text
