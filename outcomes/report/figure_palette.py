"""The colours of the pages: ash, ember and glaze, told apart by lightness and shape as well.

Every text colour keeps at least 4.5:1 on the paper colour, every mark at least 3:1 (WCAG 2.2,
success criteria 1.4.3 and 1.4.11); the tests measure it. Grades run from pale to dark in even
steps of lightness, so that they stay in order for every kind of colour vision and in print.
"""

from dataclasses import dataclass

from outcomes.effects.effect import Word

PAPER = "#fbf9f5"  # biscuit
INK = "#2a2421"  # soot
SMOKE = "#675d55"  # quiet text
ASH = "#8d8379"  # lines that carry meaning
PALE_ASH = "#d8d0c5"  # lines that only guide
BAND = "#e8e1d6"  # too small to matter
EMBER = "#a83a12"
COPPER = "#8f5f14"
GLAZE = "#1c6763"
PALE_GLAZE = "#bcd6d1"

# Pale ash to soot, through clay, copper and ember.
GRADE_ENDS = ("#efe7da", "#e0bd94", "#c8834a", "#97421a", "#47190f")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """How a verdict is drawn: matplotlib marker, edge and fill, and the same sign as text."""

    marker: str
    edge: str
    fill: str
    size: float
    sign: str


MARKS: dict[Word | None, Mark] = {
    Word.CHANGES: Mark(marker="o", edge=EMBER, fill=EMBER, size=9, sign="●"),
    Word.LEANS: Mark(marker="D", edge=COPPER, fill=COPPER, size=7, sign="◆"),
    Word.SMALL: Mark(marker="s", edge=SMOKE, fill=SMOKE, size=6.5, sign="■"),
    Word.CANNOT_TELL: Mark(marker="o", edge=SMOKE, fill=PAPER, size=8, sign="○"),
    Word.NEVER_VARIED: Mark(marker="_", edge=SMOKE, fill=SMOKE, size=8, sign="–"),
    Word.TANGLED: Mark(marker="^", edge=SMOKE, fill=PAPER, size=8, sign="△"),
    Word.THIN: Mark(marker="D", edge=SMOKE, fill=PAPER, size=6.5, sign="◇"),
    None: Mark(marker="o", edge=GLAZE, fill=PAPER, size=8, sign="○"),
}


def pick_grade_colours(n: int) -> tuple[str, ...]:
    """Return n colours from pale to dark, evenly along the ends.

    >>> pick_grade_colours(2)
    ('#efe7da', '#47190f')
    """
    if n == 1:
        return (GRADE_ENDS[-1],)
    stops = [_to_rgb(colour) for colour in GRADE_ENDS]
    last = len(stops) - 1
    return tuple(_mix(stops, last * slot / (n - 1)) for slot in range(n))


def mix_colours(pale: str, dark: str, share: float) -> str:
    """Return a colour that share of the way from a pale one to a dark one.

    >>> mix_colours("#000000", "#ffffff", 0.5)
    '#808080'
    """
    return _mix([_to_rgb(pale), _to_rgb(dark)], share)


def _mix(stops: list[tuple[int, int, int]], where: float) -> str:
    left = min(int(where), len(stops) - 2)
    share = where - left
    mixed = (round(a + (b - a) * share) for a, b in zip(stops[left], stops[left + 1], strict=True))
    return "#" + "".join(f"{part:02x}" for part in mixed)


def _to_rgb(colour: str) -> tuple[int, int, int]:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return red, green, blue
