"""Every text of a document, for tests that read the whole page."""

from outcomes.report.document import (
    Callout,
    Depth,
    ItemList,
    Lines,
    Paragraph,
    Picture,
    Section,
    Statements,
    Table,
    TryPanel,
    iterate_blocks,
)


def collect_texts(document) -> list[str]:
    """Return titles, sentences, captions, alt texts, cautions and table cells."""
    texts = [document.title, document.subtitle, *document.footer]
    texts += [part for fact in document.facts for part in fact]
    texts += [meaning for _, meaning in document.legend]
    for block in iterate_blocks(document.sections):
        texts += _texts_of(block)
    return texts


def _texts_of(block) -> list[str]:
    read = {
        Section: lambda b: [b.title],
        Depth: lambda b: [b.summary],
        Paragraph: lambda b: [b.text],
        ItemList: lambda b: list(b.items),
        Lines: lambda b: [b.label, *b.lines],
        Callout: lambda b: [b.title, *b.items],
        Statements: lambda b: [t for item in b.items for t in _texts_of_statement(item)],
        Picture: _texts_of_picture,
        Table: _texts_of_table,
        TryPanel: lambda b: [b.off],
    }
    return read[type(block)](block)


def _texts_of_statement(item) -> list[str]:
    further = [text for more in item.also for text in _texts_of_statement(more)]
    return [item.title, item.text, item.basis, *further, *item.doubts, *item.cautions]


def _texts_of_picture(block: Picture) -> list[str]:
    words = [block.title, block.alt, block.caption, block.sentence, *block.cautions]
    return words + _texts_of_table(block.table)


def _texts_of_table(block: Table) -> list[str]:
    cells = [cell for row in block.rows for cell in row]
    return [block.caption, block.note, *(column.heading for column in block.columns), *cells]
