"""The content of a page, before anything is rendered.

A `Document` is a plain tree of frozen values: it can be compared, searched and tested without
a browser, and it holds no HTML. `html.render_page` turns it into text, and is the only place
that escapes; `figures` turns a picture's drawing into SVG.
"""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from outcomes.effects.effect import Word
from outcomes.report.drawings import Drawing

_NOT_IN_KEYS = re.compile(r"[^A-Za-z0-9_-]+")


class Tone(StrEnum):
    """How loud a paragraph or a callout speaks."""

    PLAIN = "plain"
    LEAD = "lead"  # the first words of a section
    FINE = "fine"  # a remark for the careful reader
    HONESTY = "honesty"  # what the numbers are not
    SAFETY = "safety"  # a caution about hot ware


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """One paragraph of running text."""

    text: str
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemList:
    """A list of short texts; ``ordered`` ones are numbered."""

    items: tuple[str, ...]
    ordered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Text to be copied letter by letter; ``label`` is what a screen reader calls it."""

    key: str
    label: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Callout:
    """A boxed remark; cautions are always one of these."""

    title: str
    items: tuple[str, ...]
    tone: Tone


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """One sentence that says what was learnt.

    Parameters
    ----------
    text
        The sentence, with its number and its interval.
    title
        A few words before it (a rank, a setting); "" for none.
    word
        The verdict, shown with its mark; None for conditions and groupings.
    basis
        What it rests on ("Rests on about 24 firings."); "" for none.
    doubts
        Reasons to doubt it, each with what to do.
    cautions
        Safety notes that must stand with this sentence.
    also
        Further sentences under the same title, without cautions or doubts of their own.
    """

    text: str
    title: str = ""
    word: Word | None = None
    basis: str = ""
    doubts: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    also: tuple["Statement", ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Statements:
    """Several statements; ``ordered`` when their order means something."""

    items: tuple[Statement, ...]
    ordered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table; ``numeric`` ones are set flush right."""

    heading: str
    numeric: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of texts; the first cell of a row names the row.

    ``key`` makes its id; unique in a document.
    """

    key: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    def __post_init__(self) -> None:
        widths = {len(row) for row in self.rows} - {len(self.columns)}
        assert not widths, f"table {self.key!r}: rows of {widths} cells"  # noqa: S101


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One picture with the words and the table that say the same.

    ``sentence`` says what the picture shows ("" for none); ``alt`` tells what is seen, with
    numbers; ``caption`` how to read it; ``summary`` is the line that opens the table behind it;
    ``cautions`` are the safety notes that must stand with it.
    """

    key: str
    drawing: Drawing
    title: str
    alt: str
    caption: str
    summary: str
    table: Table
    sentence: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TryPanel:
    """A place the page's own script fills: ``data`` is its JSON text.

    ``off`` stands there when no script runs.
    """

    key: str
    data: str
    off: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Depth:
    """Detail on demand: closed until asked for; on paper stands what the reader has opened."""

    key: str
    summary: str
    blocks: tuple["Block", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A titled part; its level follows from how deep it stands."""

    key: str
    title: str
    blocks: tuple["Block", ...]


Block: TypeAlias = (
    Paragraph
    | ItemList
    | Lines
    | Callout
    | Statements
    | Table
    | Picture
    | TryPanel
    | Depth
    | Section
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A whole page.

    ``facts`` are (name, value) pairs under the title; ``legend`` explains the verdict words
    that the page uses, in the order of `Word`. ``wide`` gives tables the width of a screen.
    """

    language: str
    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...]
    legend: tuple[tuple[Word, str], ...]
    labels: tuple[tuple[str, str], ...]
    footer: tuple[str, ...]
    wide: bool = False


def fold_table(table: Table) -> tuple["Depth", ...]:
    """Return a table as detail on demand under its own caption; nothing when it has no row."""
    if not table.rows:
        return ()
    return (Depth(key=f"more-{table.key}", summary=table.caption, blocks=(table,)),)


def make_key(text: str) -> str:
    """Return a text as it may stand in an id; texts that differ give keys that differ.

    >>> make_key("strip-luster"), make_key("strip-grün & co")
    ('strip-luster', 'strip-gr-n-co-2bf3be')
    """
    safe = _NOT_IN_KEYS.sub("-", text).strip("-")
    return safe if safe == text else f"{safe}-{hashlib.sha256(text.encode()).hexdigest()[:6]}"


def iterate_blocks(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """Yield every block, outer before inner, in reading order.

    >>> inner = Paragraph(text="b")
    >>> [type(b).__name__ for b in iterate_blocks((Section(key="a", title="A", blocks=(inner,)),))]
    ['Section', 'Paragraph']
    """
    for block in blocks:
        yield block
        if isinstance(block, Section | Depth):
            yield from iterate_blocks(block.blocks)
