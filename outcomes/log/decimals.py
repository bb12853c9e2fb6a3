"""Which mark a column's numbers use for the decimals: a point or a comma."""

import re
from collections.abc import Iterable

# A comma followed by exactly three digits may group thousands ("1,850"), so it decides nothing.
_COMMA = re.compile(
    r"(?<![\d.,])(?:0,\d+|\d+,(?:\d{1,2}|\d{4,})|\d{1,3}(?:\.\d{3})+,\d+)(?![\d.,])"
)
_POINT = re.compile(
    r"(?<![\d.,])(?:0?\.\d+|\d+\.(?:\d{1,2}|\d{4,})|\d{1,3}(?:,\d{3})+\.\d+)(?![\d.,])"
)
_THREE = re.compile(r"(?<![\d.,])\d{1,3},\d{3}(?![\d.,])")


def count_marks(texts: Iterable[str]) -> tuple[int, int, int]:
    """Return how many texts hold a certain decimal comma, a certain point, or "1,850".

    >>> count_marks(["985,5", "0,75", "1.5", "1,850", "30"])
    (2, 1, 1)
    """
    commas = points = threes = 0
    for text in texts:
        commas += bool(_COMMA.search(text))
        points += bool(_POINT.search(text))
        threes += bool(_THREE.search(text))
    return commas, points, threes


def decide_marks(columns: Iterable[Iterable[str]]) -> tuple[str, ...]:
    """Return "," or "." for each column of numbers in one file.

    A column with certain marks decides for itself, the commoner mark winning; a column without
    any follows the file: the comma when some column certainly uses it and none the point.

    >>> decide_marks([["985,5"], ["30"], ["1.5", "2"]])
    (',', '.', '.')
    >>> decide_marks([["985,5"], ["30"]])
    (',', ',')
    """
    counts = [count_marks(column) for column in columns]
    comma_file = any(c > p for c, p, _ in counts) and not any(p > c for c, p, _ in counts)
    return tuple(
        "," if commas > points or (commas == points == 0 and comma_file) else "."
        for commas, points, _ in counts
    )
