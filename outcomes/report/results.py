"""Everything a study leaves in its folder, as names and bytes.

What makes a page is imported when that page is asked for: most runs write one of them.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial

from outcomes.errors import RequestError
from outcomes.model.one_thread import hold_one_thread
from outcomes.report.document import Document, Picture
from outcomes.report.html import draw, find_pictures, render_page
from outcomes.report.study_json import render_study_json
from outcomes.report.tables import build_tables, render_csv
from outcomes.study.record import Study
from outcomes.workers import spread

ALL = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One reader's page: who reads it, the file it stands in, and what it is made of.

    A page is a document (``build``) or has a layout of its own (``render``). ``figures`` are
    pictures that this reader gets as files, too.
    """

    reader: str
    file: str
    build: Callable[[Study], Document] | None = None
    render: Callable[[Study], str] | None = None
    figures: Callable[[Study], tuple[Picture, ...]] | None = None


def _build_maker(study: Study) -> Document:
    from outcomes.report.maker import build_maker_document

    return build_maker_document(study)


def _build_research(study: Study) -> Document:
    from outcomes.report.research import build_research_document

    return build_research_document(study)


def _build_figures(study: Study) -> tuple[Picture, ...]:
    from outcomes.report.research_figures import build_figures

    return build_figures(study)


def _render_handout(study: Study) -> str:
    from outcomes.report.handout import build_handout
    from outcomes.report.handout_page import render_handout

    return render_handout(build_handout(study))


def _build_leader(study: Study) -> Document:
    from outcomes.report.leader import build_leader_document

    return build_leader_document(study)


PAGES: tuple[Page, ...] = (
    Page(reader="maker", file="report.html", build=_build_maker),
    Page(reader="research", file="research.html", build=_build_research, figures=_build_figures),
    Page(reader="class", file="handout.html", render=_render_handout),
    Page(reader="leader", file="leader.html", build=_build_leader),
)


def build_results(
    study: Study, *, reader: str = "maker", workers: int = 1, own_fonts: bool = False
) -> dict[str, bytes]:
    """Return a reader's page (or all of them), study.json and the tables, by file name.

    First what is said, the longest first, then the pictures; each is divided among the workers.
    matplotlib is loaded meanwhile: nothing said needs it. ``own_fonts`` as in `api.write_study`.
    """
    pages = find_pages(reader)
    parts: list[Callable[[Study], _Told]]
    parts = [*(partial(_tell, page) for page in pages), _tell_tables, _tell_record]
    is_drawn = any(page.build for page in pages)
    with hold_one_thread():  # the panel's matrices are small
        told = spread(
            lambda part, _: part(study),
            parts,
            workers=workers,
            meanwhile=partial(_load_pictures, own_fonts) if is_drawn else lambda: None,
        )
    files = {name: text.encode("utf-8") for part in told for name, text in part.texts.items()}
    drawings = {place: drawing for part in told for place, drawing in part.drawings.items()}
    drawn = spread(lambda drawing, _: drawing(), list(drawings.values()), workers=workers)
    svgs: dict[str, dict[str, str]] = {}
    for (file, key), picture in zip(drawings, drawn, strict=True):
        if isinstance(picture, bytes):
            files[file] = picture
        else:
            svgs.setdefault(file, {})[key] = picture
    documents = {name: page for part in told for name, page in part.documents.items()}
    texts = {name: render_page(page, svgs.get(name)) for name, page in documents.items()}
    return files | {name: text.encode("utf-8") for name, text in texts.items()}


def _load_pictures(own_fonts: bool) -> None:
    """Import what draws."""
    if own_fonts:
        from outcomes.report.figure_fonts import load_own_fonts

        load_own_fonts()
    import outcomes.report.figures  # noqa: F401 - for the copies that draw


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """What is said, by file: whole texts, and pages whose pictures are still to be drawn.

    ``drawings`` are by (file, key of the picture in it): SVG for a page, bytes for a file.
    """

    texts: dict[str, str] = field(default_factory=dict)
    documents: dict[str, Document] = field(default_factory=dict)
    drawings: dict[tuple[str, str], Callable[[], str | bytes]] = field(default_factory=dict)


def _tell(page: Page, study: Study) -> _Told:
    """Return one reader's page."""
    texts = {page.file: page.render(study)} if page.render else {}
    documents = {page.file: page.build(study)} if page.build else {}
    drawings: dict[tuple[str, str], Callable[[], str | bytes]] = {
        (page.file, picture.key): partial(draw, picture)
        for document in documents.values()
        for picture in find_pictures(document)
    }
    for picture in page.figures(study) if page.figures else ():
        drawings[f"figures/{picture.key}.svg", ""] = partial(_draw_svg, picture)
        drawings[f"figures/{picture.key}.pdf", ""] = partial(_draw_pdf, picture)
    return _Told(texts=texts, documents=documents, drawings=drawings)


def _draw_svg(picture: Picture) -> bytes:
    from outcomes.report.figure_files import render_svg_file

    return render_svg_file(picture).encode("utf-8")


def _draw_pdf(picture: Picture) -> bytes:
    from outcomes.report.figure_files import render_pdf_file

    return render_pdf_file(picture)


def _tell_record(study: Study) -> _Told:
    return _Told(texts={"study.json": render_study_json(study)})


def _tell_tables(study: Study) -> _Told:
    tables = build_tables(study)
    return _Told(texts={f"tables/{name}.csv": render_csv(t) for name, t in tables.items()})


def find_pages(reader: str) -> tuple[Page, ...]:
    """Return the pages for a reader.

    Raises
    ------
    RequestError
        If nobody of that name reads our pages.
    """
    found = tuple(page for page in PAGES if reader in (page.reader, ALL))
    if not found:
        names = ", ".join([*(page.reader for page in PAGES), ALL])
        raise RequestError(f"No page is made for {reader!r}. Name one of: {names}.")
    return found
