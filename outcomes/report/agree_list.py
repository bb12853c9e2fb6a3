"""The list for a blind grading: a page to print, a sheet to fill, and the key."""

import csv
import io

from outcomes.graders.gradings import Gradings
from outcomes.graders.key_file import render_key
from outcomes.graders.regrade import RegradeList
from outcomes.log.codebook import Outcome
from outcomes.report.agree_page import build_labels
from outcomes.report.document import (
    Block,
    Callout,
    Column,
    Document,
    ItemList,
    Paragraph,
    Section,
    Table,
    Tone,
)
from outcomes.report.html import render_page
from outcomes.report.wording import (
    Value,
    Wording,
    capitalise,
    choose_words,
    join_words,
    read_wording,
)


def build_list_files(
    regrades: RegradeList, gradings: Gradings, *, version: str
) -> dict[str, bytes]:
    """Return the page, the sheet and the key by file name; only the key names the pieces."""
    graded = [o for o in gradings.codebook.outcomes if gradings.entries[o.name].notna().any()]
    page = render_page(build_list_document(regrades, gradings, graded, version=version))
    texts = {
        "regrade.html": page,
        "regrade_list.csv": render_sheet(regrades, gradings, graded),
        "regrade_key.csv": render_key(regrades),
    }
    return {name: text.encode() for name, text in texts.items()}


def render_sheet(regrades: RegradeList, gradings: Gradings, graded: list[Outcome]) -> str:
    """Return the sheet to type the grades into: codes in the order of the list."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    names = [outcome.name for outcome in graded]
    writer.writerow([gradings.codebook.piece, "grader", "graded_on", "blind", *names])
    for piece in regrades.pieces:
        writer.writerow([piece.code, "", "", "yes", *[""] * len(names)])
    return text.getvalue()


def build_list_document(
    regrades: RegradeList, gradings: Gradings, graded: list[Outcome], *, version: str
) -> Document:
    """Return the page to print; it says nothing of earlier grades, names or aims."""
    book = gradings.codebook
    wording = choose_words(read_wording(), cluster=book.cluster_word, piece=book.piece_word)
    say = wording.say
    values: dict[str, Value] = {"version": version, "seed": regrades.seed}
    return Document(
        language=say("page.language"),
        title=say("agree.list_title"),
        subtitle=join_words([outcome.label for outcome in graded]),
        facts=(
            (say("agree.list_facts_pieces"), str(len(regrades.pieces))),
            (say("agree.list_facts_by"), book.outcome(regrades.by).label),
        ),
        sections=(
            _build_how(regrades, wording, is_hot=book.handles_hot_ware),
            _build_words(graded, wording),
            _build_boxes(regrades, graded, wording),
        ),
        legend=(),
        labels=build_labels(wording, skip="agree.list_skip", paper="agree.list_paper"),
        footer=wording.say_all("agree.list_footer", values),
    )


def _build_how(regrades: RegradeList, wording: Wording, *, is_hot: bool) -> Section:
    say = wording.say
    blocks: list[Block] = [ItemList(items=wording.say_all("agree.list_how"), ordered=True)]
    if len(regrades.pieces) < regrades.asked:
        values = {"asked": regrades.asked, "n": len(regrades.pieces)}
        blocks.append(Paragraph(text=say("agree.list_short", values)))
    if is_hot:
        cold = (say("agree.cold"),)
        blocks.append(Callout(title=say("agree.cold_title"), items=cold, tone=Tone.SAFETY))
    return Section(key="how", title=say("agree.list_how_title"), blocks=tuple(blocks))


def _build_words(graded: list[Outcome], wording: Wording) -> Section:
    """Return every grade in its anchored words."""
    parts = tuple(
        Section(
            key=f"words-{outcome.name}",
            title=capitalise(outcome.label),
            blocks=(
                *((Paragraph(text=outcome.how_to_grade),) if outcome.how_to_grade else ()),
                ItemList(
                    items=tuple(
                        f"{level.name} – {level.wording}" if level.wording else level.name
                        for level in outcome.levels
                    )
                ),
            ),
        )
        for outcome in graded
    )
    return Section(key="words", title=wording.say("agree.list_words_title"), blocks=parts)


def _build_boxes(regrades: RegradeList, graded: list[Outcome], wording: Wording) -> Section:
    """Return the list with an empty box for every grade."""
    say = wording.say
    columns = (
        Column(heading=say("agree.list_place"), numeric=True),
        Column(heading=say("agree.list_code")),
        *(Column(heading=outcome.label) for outcome in graded),
    )
    rows = tuple(
        (str(place), piece.code, *["☐"] * len(graded))
        for place, piece in enumerate(regrades.pieces, start=1)
    )
    table = Table(key="boxes", caption=say("agree.list_table"), columns=columns, rows=rows)
    blocks = (Paragraph(text=say("agree.list_grader")), table)
    return Section(key="list", title=say("agree.list_section"), blocks=blocks)
