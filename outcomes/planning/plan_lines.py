"""On which line of a plan file a key stands."""

import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType

_HEADER = re.compile(r"^\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?")
_KEY = re.compile(r"^\s*\"?([A-Za-z0-9_-]+)\"?\s*=")
Place = tuple[int | str, ...]


def find_lines(text: str) -> Mapping[Place, int]:
    r"""Return the line of every table and key, counted from 1.

    A key of the second ``[[hypotheses]]`` is ``("hypotheses", 1, "factor")``.

    >>> dict(find_lines('level = 0.05\n[[factors]]\nname = "glaze"'))
    {('level',): 1, ('factors', 0): 2, ('factors', 0, 'name'): 3}
    """
    lines: dict[Place, int] = {}
    table: Place = ()
    counts: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if header := _HEADER.match(line):
            name = header[2]
            table = (name,)
            if header[1] == "[[":
                table = (name, counts.get(name, 0))
                counts[name] = counts.get(name, 0) + 1
            lines.setdefault(table, number)
        elif key := _KEY.match(line):
            lines.setdefault((*table, key[1]), number)
    return MappingProxyType(lines)


def find_line(lines: Mapping[Place, int], place: Sequence[int | str]) -> int | None:
    """Return the line of a key, or of the nearest table around it; None when there is neither.

    >>> find_line({("factors", 0): 2}, ("factors", 0, "values", 3))
    2
    """
    for end in range(len(place), 0, -1):
        if tuple(place[:end]) in lines:
            return lines[tuple(place[:end])]
    return None
