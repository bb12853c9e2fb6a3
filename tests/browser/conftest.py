"""Our pages in Debian's chromium: the maker's page of the invented study, the phone's page."""

import importlib.util
import sys
from pathlib import Path

import pytest

from outcomes.api import read_log
from outcomes.log.codebook import Codebook
from outcomes.report.html import render_page
from outcomes.report.maker import build_maker_document
from outcomes.report.research import build_research_document
from outcomes.report.sheet_phone import render_phone


def load_from_report_tests(name: str):
    """Import a helper module of tests/report (tests are no package)."""
    return load_module(Path(__file__).parents[1] / "report" / f"{name}.py")


def load_module(path: Path):
    name = path.stem
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def load_known():
    """A function that imports one of the helper modules of tests/report."""
    return load_from_report_tests


@pytest.fixture(scope="session")
def wine_log():
    """Bitterness of wine, 9 judges x 8 glasses (Randall 1989), under its own codebook."""
    reference = Path(__file__).parents[1] / "reference"
    return read_log([reference / "wine.csv"], codebook=reference / "wine_codebook.toml")


@pytest.fixture(scope="session")
def known_study():
    """The invented study with its doubts and shapes."""
    known = load_from_report_tests("known_study")
    log = load_from_report_tests("known_log").build_log(known.build_codebook())
    study = load_from_report_tests("known_doubts").add_doubts(known.build_known_study(log))
    return load_from_report_tests("known_shapes").add_shapes(study)


@pytest.fixture(scope="session")
def page_file(known_study, tmp_path_factory) -> Path:
    """The maker's page."""
    file = tmp_path_factory.mktemp("page") / "report.html"
    file.write_text(render_page(build_maker_document(known_study)), encoding="utf-8")
    return file


@pytest.fixture(scope="session")
def research_file(known_study, tmp_path_factory) -> Path:
    """The research page of the same study."""
    study = load_from_report_tests("known_research").add_research(known_study)
    file = tmp_path_factory.mktemp("page") / "research.html"
    file.write_text(render_page(build_research_document(study)), encoding="utf-8")
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
        # The kiln-side page opens its store first: until then it is an empty shell.
        if page.locator("#kept").count():
            page.locator("main button").first.wait_for()
        return page

    yield open_at
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def phone_user():
    """The module that drives the kiln-side page."""
    return load_module(Path(__file__).with_name("phone_user.py"))


@pytest.fixture(scope="session")
def phone_file(tmp_path_factory, codebook: Codebook) -> Path:
    file = tmp_path_factory.mktemp("phone") / "phone.html"
    file.write_text(render_phone(codebook), encoding="utf-8")
    return file


@pytest.fixture
def open_phone(browser, phone_user, phone_file):
    """A function that opens the kiln-side page on a phone of its own, with faked time."""
    contexts = []

    def open_new(*, file: Path = phone_file, script: str = "", at: str = "2026-05-31T18:00:00Z",
                 **options: object):  # fmt: skip
        settings = {"viewport": phone_user.PHONE, "has_touch": True, "is_mobile": True,
                    "timezone_id": "Europe/Dublin", **options}  # fmt: skip
        context = browser.new_context(**settings)
        contexts.append(context)
        if script:
            context.add_init_script(script)
        return phone_user.PhoneUser(context, file, at=at)

    yield open_new
    for context in contexts:
        context.close()
