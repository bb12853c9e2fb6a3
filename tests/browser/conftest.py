"""The maker's page of the invented study, in Debian's chromium."""

import importlib.util
import sys
from pathlib import Path

import pytest

from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document


def load_from_report_tests(name: str):
    """Import a helper module of tests/report (tests are no package)."""
    path = Path(__file__).parents[1] / "report" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def page_file(tmp_path_factory) -> Path:
    known = load_from_report_tests("known_study")
    log = load_from_report_tests("known_log").build_log(known.build_codebook())
    study = load_from_report_tests("known_doubts").add_doubts(known.build_known_study(log))
    study = load_from_report_tests("known_shapes").add_shapes(study)
    page = render_page(build_maker_document(study))
    file = tmp_path_factory.mktemp("page") / "report.html"
    file.write_text(page, encoding="utf-8")
    return file


@pytest.fixture
def open_page(browser, page_file):
    """A function that opens the page at a size and notes what it asks for and complains of."""
    contexts = []

    def open_at(width: int, height: int = 800, *, file: Path = page_file, **options: object):
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.requested, page.complaints = [], []
        page.on("request", lambda request: page.requested.append(request.url))
        page.on("console", lambda message: page.complaints.append(message.text))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.goto(file.as_uri())
        return page

    yield open_at
    for context in contexts:
        context.close()
