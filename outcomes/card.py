"""How a record shows itself in a notebook: one line of text, or one small table.

Only names, numbers and the fixed words stand on a card; sentences are the report's. Everything
is escaped, nothing is styled or run, so that a notebook nobody has trusted yet shows it too.
"""

from collections.abc import Sequence
from html import escape

_MOST_ROWS = 12


def describe_line(name: str, facts: Sequence[tuple[str, object]]) -> str:
    """Return a record in one line.

    >>> describe_line("Study", [("pieces", 220), ("firings", 36)])
    '<Study: 220 pieces, 36 firings>'
    """
    told = ", ".join(f"{value} {word}" if word else f"{value}" for word, value in facts)
    return f"<{name}: {' '.join(told.split())}>"


def render_card(
    title: str,
    facts: Sequence[tuple[str, object]],
    columns: Sequence[str],
    rows: Sequence[Sequence[object]],
) -> str:
    """Return a record as a small HTML table under a line of facts, at most twelve rows.

    Parameters
    ----------
    title
        What it is.
    facts
        (word, value) pairs; a value stands before its word.
    columns, rows
        Headings and cells, each as plain text.

    Examples
    --------
    >>> render_card("Log", [("rows", 3)], ["a<b"], [["&"]])
    '<p><b>Log</b> · 3 rows</p><table><tr><th>a&lt;b</th></tr><tr><td>&amp;</td></tr></table>'
    """
    told = [f"{value} {word}".strip() for word, value in facts]
    head = " · ".join([f"<b>{escape(title)}</b>", *map(escape, told)])
    lines = [_render_row(columns, "th"), *(_render_row(row, "td") for row in rows[:_MOST_ROWS])]
    if len(rows) > _MOST_ROWS:
        lines.append(_render_row([f"… {len(rows) - _MOST_ROWS} more"], "td"))
    return f"<p>{head}</p><table>{''.join(lines)}</table>"


def _render_row(cells: Sequence[object], tag: str) -> str:
    told = ("–" if cell is None else str(cell) for cell in cells)
    return "<tr>" + "".join(f"<{tag}>{escape(text)}</{tag}>" for text in told) + "</tr>"
