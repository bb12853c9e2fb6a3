"""The invented study, built once; every record in it is frozen."""

import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import pytest

from outcomes.report.maker import build_maker_document
from outcomes.report.teller import build_teller
from outcomes.study.record import Study


def load_beside(name: str) -> ModuleType:
    """Import a helper module that stands in this folder (tests are no package)."""
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def load_known():
    """A function that imports one of the helper modules of this folder."""
    return load_beside


@pytest.fixture(scope="session")
def known():
    """The module that makes parts of the invented study."""
    return load_beside("known_study")


@pytest.fixture(scope="session")
def doubts():
    """The module that makes shares and doubts for it."""
    return load_beside("known_doubts")


@pytest.fixture(scope="session")
def shapes():
    """The module that makes best values, gains, bends and glaze differences for it."""
    return load_beside("known_shapes")


@pytest.fixture(scope="session")
def known_log(known):
    return load_beside("known_log").build_log(known.build_codebook())


@pytest.fixture(scope="session")
def study(known, known_log) -> Study:
    with_doubts = load_beside("known_doubts").add_doubts(known.build_known_study(known_log))
    return load_beside("known_shapes").add_shapes(with_doubts)


@pytest.fixture(scope="session")
def researched(study) -> Study:
    """The same study with what the research page shows besides."""
    return load_beside("known_research").add_research(study)


@pytest.fixture(scope="session")
def teller(study):
    return build_teller(study)


@pytest.fixture(scope="session")
def document(study):
    return build_maker_document(study)


@pytest.fixture(scope="session")
def with_codebook():
    """A function that returns a study whose codebook has some fields changed."""

    def change(study: Study, **fields: object) -> Study:
        codebook = replace(study.log.codebook, **fields)
        return replace(study, log=replace(study.log, codebook=codebook))

    return change


@pytest.fixture(scope="session")
def with_luster():
    """A function that returns a study whose first outcome has some fields changed."""

    def change(study: Study, **fields: object) -> Study:
        first, *others = study.outcomes
        return replace(study, outcomes=(replace(first, **fields), *others))

    return change


@pytest.fixture(scope="session")
def all_texts():
    """A function that returns every text of a page a reader can see or hear."""

    def collect(document) -> list[str]:
        return load_beside("page_texts").collect_texts(document)

    return collect


@pytest.fixture(scope="session")
def readability():
    """The module that grades how hard a text is to read."""
    return load_beside("readability")
