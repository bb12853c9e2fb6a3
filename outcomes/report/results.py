"""Everything a study leaves in its folder, as names and bytes."""

from collections.abc import Callable
from dataclasses import dataclass

from outcomes.errors import RequestError
from outcomes.report.figure_files import render_pdf_file, render_svg_file
from outcomes.report.handout import build_handout
from outcomes.report.handout_page import render_handout
from outcomes.report.html import render_page
from outcomes.report.leader import build_leader_document
from outcomes.report.maker import build_maker_document
from outcomes.report.research import build_research_document
from outcomes.report.research_figures import build_figures
from outcomes.report.study_json import render_study_json
from outcomes.report.tables import build_tables, render_csv
from outcomes.study.record import Study

ALL = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One reader's page: who reads it, the file it stands in, and what makes its text.

    ``beside`` makes further files that this reader gets, by file name; None for none.
    """

    reader: str
    file: str
    render: Callable[[Study], str]
    beside: Callable[[Study], dict[str, bytes]] | None = None


def _render_maker(study: Study) -> str:
    return render_page(build_maker_document(study))


def _render_research(study: Study) -> str:
    return render_page(build_research_document(study))


def _draw_figures(study: Study) -> dict[str, bytes]:
    """Return every picture as SVG and as PDF."""
    files: dict[str, bytes] = {}
    for picture in build_figures(study):
        files[f"figures/{picture.key}.svg"] = render_svg_file(picture).encode("utf-8")
        files[f"figures/{picture.key}.pdf"] = render_pdf_file(picture)
    return files


def _render_class(study: Study) -> str:
    return render_handout(build_handout(study))


def _render_leader(study: Study) -> str:
    return render_page(build_leader_document(study))


PAGES: tuple[Page, ...] = (
    Page(reader="maker", file="report.html", render=_render_maker),
    Page(reader="research", file="research.html", render=_render_research, beside=_draw_figures),
    Page(reader="class", file="handout.html", render=_render_class),
    Page(reader="leader", file="leader.html", render=_render_leader),
)


def build_results(study: Study, *, reader: str = "maker") -> dict[str, bytes]:
    """Return a reader's page (or all of them), study.json and the tables, by file name."""
    pages = find_pages(reader)
    texts = {page.file: page.render(study) for page in pages}
    texts["study.json"] = render_study_json(study)
    texts |= {
        f"tables/{name}.csv": render_csv(table) for name, table in build_tables(study).items()
    }
    files = {name: text.encode("utf-8") for name, text in texts.items()}
    for page in pages:
        files |= page.beside(study) if page.beside else {}
    return files


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
