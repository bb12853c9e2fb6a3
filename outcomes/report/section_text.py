"""A section of a page as plain lines: its sentences with doubts and cautions, no tables."""

from collections.abc import Iterator

from outcomes.report.document import (
    Block,
    Callout,
    ItemList,
    Paragraph,
    Section,
    Statement,
    Statements,
    Tone,
)
from outcomes.report.plain_lines import wrap_text


def render_section(section: Section) -> list[str]:
    """Return a section as lines of at most 100 columns under its title.

    >>> blocks = (Paragraph(text="Dry."), ItemList(items=("Cold.",)))
    >>> render_section(Section(key="a", title="Weather", blocks=blocks))
    ['Weather', '', 'Dry.', '', '- Cold.', '']
    """
    return [section.title, "", *render_blocks(section.blocks)]


def render_blocks(blocks: tuple[Block, ...]) -> list[str]:
    """Return the sentences of some blocks, an empty line after each; what is folded stays so."""
    return [line for block in blocks for line in _render_block(block)]


def _render_block(block: Block) -> Iterator[str]:
    if isinstance(block, Section):
        yield from render_section(block)
        return
    if isinstance(block, Statements):
        for item in block.items:
            yield from (*_render_statement(item), "")
        return
    lines: list[str] = []
    if isinstance(block, Paragraph):
        lines = wrap_text(block.text)
    elif isinstance(block, ItemList):
        lines = [line for text in block.items for line in wrap_text(text, first="- ")]
    elif isinstance(block, Callout):
        mark = "! " if block.tone is Tone.SAFETY else "- "
        lines = wrap_text(block.title)
        lines += [line for text in block.items for line in wrap_text(text, first=mark)]
    yield from (*lines, "") if lines else ()


def _render_statement(statement: Statement) -> Iterator[str]:
    """Yield a statement under its title, then what else is said there, then its cautions."""
    if statement.title:
        yield from wrap_text(statement.title)
    for one in (statement, *statement.also):
        word = "" if one.word is None else f" [{one.word}]"
        for text in (one.text + word, one.basis, *one.doubts):
            yield from wrap_text(text, first="  ") if text else ()
    cautions = [*statement.cautions, *(note for one in statement.also for note in one.cautions)]
    for caution in dict.fromkeys(cautions):
        yield from wrap_text(caution, first="  ! ")
