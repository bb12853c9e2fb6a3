"""Arguments of the public functions: one of a wrong type is refused in words, at the door."""

from collections.abc import Sequence
from pathlib import Path

from outcomes.errors import RequestError

# What a reader calls a type, and what to do to get a value of it.
_SOURCES = {
    "FiringLog": "a log. Call read_log first",
    "Study": "a study. Call analyse first",
    "StudyOptions": "StudyOptions(...) or None. Leave it out for the usual ones",
    "Plan": "a plan. Call read_plan or declare first",
    "TrialOptions": "TrialOptions(...) or None. Leave it out for the usual ones",
    "Declaration": "a Declaration. Build one, or read a plan with read_plan",
    "PowerRequest": "a PowerRequest. Build one first",
    "PlanRequest": "a PlanRequest or None. Leave it out for four firings",
}


def check_argument(name: str, value: object, wanted: type) -> None:
    """Refuse an argument that is no value of its type.

    Raises
    ------
    RequestError
        Naming the argument, what was found, what was expected and what to do.
    """
    if not isinstance(value, wanted):
        raise RequestError(
            f"{name}: found {describe_type(value)}; expected {_SOURCES[wanted.__name__]}."
        )


def check_paths(name: str, value: object) -> None:
    """Refuse what is neither a path nor a list of paths.

    Raises
    ------
    RequestError
        As `check_argument`.
    """
    several = [value]
    if isinstance(value, Sequence) and not isinstance(value, str | bytes):
        several = list(value)
    for each in several:
        if not isinstance(each, str | Path):
            raise RequestError(
                f"{name}: found {describe_type(each)}; expected the path of a file, or a list of "
                "paths. Give the file's name in quotes."
            )


def describe_type(value: object) -> str:
    """Return what a value is, in a few words.

    >>> describe_type(None), describe_type(5)
    ('None', 'a value of type int')
    """
    return "None" if value is None else f"a value of type {type(value).__name__}"
