"""The outline of a pot, for pictures and for the panel's own script."""

# A round-bellied pot with a narrow neck and a flared lip, drawn for these pages:
# unit height, lip at the top, foot ring at the bottom (y grows downward on the sheet).
POT_POINTS = (
    ("M", (-0.20, -0.50)), ("L", (0.20, -0.50)),
    ("C", (0.16, -0.40)), ("C", (0.11, -0.36)), ("C", (0.12, -0.30)),
    ("C", (0.42, -0.18)), ("C", (0.48, 0.20)), ("C", (0.18, 0.43)),
    ("L", (0.20, 0.50)), ("L", (-0.20, 0.50)), ("L", (-0.18, 0.43)),
    ("C", (-0.48, 0.20)), ("C", (-0.42, -0.18)), ("C", (-0.12, -0.30)),
    ("C", (-0.11, -0.36)), ("C", (-0.16, -0.40)), ("C", (-0.20, -0.50)),
)  # fmt: skip


def outline_pot(height: float) -> str:
    """Return the pot as the path of an SVG, its middle at 0,0.

    >>> outline_pot(10.0)[:13]
    'M-2 -5 L2 -5 '
    """
    curve = [f"{x * height:g} {y * height:g}" for letter, (x, y) in POT_POINTS if letter == "C"]
    parts: list[str] = []
    for letter, (x, y) in POT_POINTS:
        if letter != "C":
            parts.append(f"{letter}{x * height:g} {y * height:g}")
        elif (seen := len(curve)) and curve:
            head = "C" if seen % 3 == 0 else ""
            parts.append(head + curve.pop(0))
    return " ".join(parts)
