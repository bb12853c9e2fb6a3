"""Everything a study leaves in its folder, as names and bytes."""

from collections.abc import Callable
from dataclasses import dataclass

from outcomes.errors import RequestError
from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document
from outcomes.report.study_json import render_study_json
from outcomes.report.tables import build_tables, render_csv
from outcomes.study.record import Study

ALL = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One reader's page: who reads it, the file it stands in, and what makes its text."""

    reader: str
    file: str
    render: Callable[[Study], str]


def _render_maker(study: Study) -> str:
    return render_page(build_maker_document(study))


PAGES: tuple[Page, ...] = (Page(reader="maker", file="report.html", render=_render_maker),)


def build_results(study: Study, *, reader: str = "maker") -> dict[str, bytes]:
    """Return a reader's page (or all of them), study.json and the tables, by file name."""
    files = {page.file: page.render(study) for page in find_pages(reader)}
    files["study.json"] = render_study_json(study)
    files |= {
        f"tables/{name}.csv": render_csv(table) for name, table in build_tables(study).items()
    }
    return {name: text.encode("utf-8") for name, text in files.items()}


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
