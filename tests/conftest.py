"""Logs and codebooks many tests start from."""

import math
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import settings

from outcomes.log.codebook import Codebook, Kind
from outcomes.log.codebook_file import read_codebook, read_default_codebook
from outcomes.log.firing_log import (
    FiringLog,
    HeaderMatch,
    How,
    RowAccount,
    RowSetAside,
    SourceFile,
)
from outcomes.log.reading import read_log

DEMO = Path(__file__).parents[1] / "data_demo"
CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)

# What lands must not hang on a throw of dice: CI tries the same examples every time, a developer
# others at every run (and thousands by hand, see DEVELOPERS.md).
settings.register_profile("ci", derandomize=True, print_blob=True)
if os.environ.get("CI") == "true":
    settings.load_profile("ci")

Columns = Mapping[str, Sequence[object]]
LogMaker = Callable[..., FiringLog]


@pytest.fixture
def rng() -> np.random.Generator:
    """A generator of its own for every test, always the same."""
    return np.random.default_rng(20250412)


@pytest.fixture(scope="session")
def codebook() -> Codebook:
    """The codebook that ships with the package."""
    return read_default_codebook()


@pytest.fixture(scope="session")
def make_log(codebook: Codebook) -> LogMaker:
    """A function that makes a `FiringLog` from typed columns; see `build_log`."""

    def make(
        columns: Columns,
        *,
        codebook: Codebook = codebook,
        headers: Mapping[str, str] | None = None,
        written: Mapping[tuple[str, int], str] | None = None,
        unusable: Mapping[tuple[str, int], str] | None = None,
        set_aside: Sequence[tuple[int, str]] = (),
        files: Sequence[str] = (),
    ) -> FiringLog:
        log = build_log(
            columns,
            codebook=codebook,
            headers=headers or {},
            written=written or {},
            set_aside=set_aside,
            files=files,
        )
        return mark_unusable(log, unusable or {})

    return make


@pytest.fixture(scope="session")
def browser():
    """Debian's chromium, one for all tests: playwright allows one loop in a process."""
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is not installed (apt-get install chromium)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=str(CHROMIUM), args=list(ARGUMENTS))
        yield launched
        launched.close()


@pytest.fixture(scope="session")
def ninefold_log() -> FiringLog:
    """The class log of Ninefold Lane, both clipboards."""
    codebook = read_codebook(DEMO / "ninefold_codebook.toml")
    return read_log([DEMO / "ninefold_front.csv", DEMO / "ninefold_back.csv"], codebook)


@pytest.fixture(scope="session")
def ninefold_study(ninefold_log: FiringLog):
    """What 200 redraws make of it."""
    from outcomes.study.analysis import analyse
    from outcomes.study.record import StudyOptions

    options = StudyOptions(resamples=200)
    return analyse(ninefold_log, options=options, workers=2, progress=lambda _: None)


@pytest.fixture
def tiny_log(make_log: LogMaker) -> FiringLog:
    """Twelve pieces in three firings; every number below may be checked by hand.

    luster >= 3: pieces 1, 2, 5, 9; cracked: 6 and 12; glaze A 6, glaze B 6.
    """
    return make_log(
        {
            "firing_id": ["1"] * 4 + ["2"] * 4 + ["3"] * 4,
            "fired_on": ["2025-03-01"] * 4 + ["2025-03-15"] * 4 + ["2025-04-05"] * 4,
            "piece_id": [f"{firing}.{piece}" for firing in (1, 2, 3) for piece in (1, 2, 3, 4)],
            "glaze": ["Tarn Lantern", "Moth Ledger"] * 6,
            "pull_temp_c": [970] * 4 + [985] * 4 + [955] * 4,
            "seconds_to_can": [6, 8, 11, 14, 5, 9, 12, 16, 7, 8, 10, 13],
            "combustible_g": [60, 80, 60, 80, 100, 90, 70, 60, 80, 80, 100, 90],
            "quench": ["none", "dunk", "none", "none"] * 3,
            "air_temp_c": [12.0] * 4 + [9.5] * 4 + [15.0] * 4,
            "luster": [4, 3, 2, 1, 4, 2, 1, 0, 3, 2, 2, 1],
            "crackle_density": [0, 1, 2, 3, 0, 1, 3, 4, 1, 1, 2, 3],
            "cracked": ["no"] * 5 + ["yes"] + ["no"] * 5 + ["yes"],
            "notes": [""] * 12,
        }
    )


def build_log(
    columns: Columns,
    *,
    codebook: Codebook,
    headers: Mapping[str, str],
    written: Mapping[tuple[str, int], str],
    set_aside: Sequence[tuple[int, str]],
    files: Sequence[str],
) -> FiringLog:
    """Make a log from columns of typed values, one entry a piece.

    Parameters
    ----------
    columns
        Canonical names -> values: numbers in the base unit, level names, dates as
        "2025-03-01", None (or "" or NaN) for blank. An outcome's values are level names, or
        numbers when it has no level of that name: then the level's index. A name the codebook
        does not know goes to ``aside``.
    headers
        Canonical name -> header as the maker typed it (default: the canonical name).
    written
        (canonical name, position 0..n-1) -> text as typed, where it is not ``str(value)``.
    set_aside
        (sheet row, reason) of rows that were read and set aside; pieces keep rows 2, 3, ...
    files
        One file name a piece; default: all from "log.csv". Rows count from 2 in each file.
    """
    n_rows = len(next(iter(columns.values())))
    assert all(len(values) == n_rows for values in columns.values())
    known = _known_columns(codebook)
    matched = {name: columns[name] for name in columns if name in known}
    names = list(files) or ["log.csv"] * n_rows
    texts = {name: [_text(value) for value in values] for name, values in matched.items()}
    for (name, position), text in written.items():
        texts[name][position] = text
    return FiringLog(
        codebook=codebook,
        files=tuple(_source(name) for name in dict.fromkeys(names or ["log.csv"])),
        headers=tuple(
            HeaderMatch(
                file=name,
                written=headers.get(column, column),
                column=column if column in known else None,
                unit="",
                how="same name" if column in known else "not in the codebook",
            )
            for name in dict.fromkeys(names or ["log.csv"])
            for column in columns
        ),
        values=_frame({n: _typed(n, v, codebook=codebook) for n, v in matched.items()}, n_rows),
        origin=_frame({"file": _objects(names), "row": pd.Series(_rows(names), dtype=int)}, n_rows),
        written=_frame({n: _objects(t) for n, t in texts.items()}, n_rows),
        how=_frame({n: _objects(_how(v)) for n, v in matched.items()}, n_rows),
        aside=_frame(
            {n: _objects([_text(x) for x in v]) for n, v in columns.items() if n not in known},
            n_rows,
        ),
        unusable=pd.DataFrame(columns=["file", "row", "column", "written", "reason"], dtype=object),
        account=RowAccount(
            rows_read=n_rows + len(set_aside),
            rows_used=n_rows,
            set_aside=tuple(
                RowSetAside(file="log.csv", row=row, reason=why) for row, why in set_aside
            ),
        ),
        findings=(),
    )


def mark_unusable(log: FiringLog, cells: Mapping[tuple[str, int], str]) -> FiringLog:
    """Mark blank cells as written but not usable: (canonical name, position) -> reason."""
    how, entries = log.how.copy(), []
    for (name, position), reason in cells.items():
        assert pd.isna(log.values[name].iloc[position])
        how.loc[position, name] = str(How.SET_ASIDE)
        place = log.origin.iloc[position]
        typed = next(match.written for match in log.headers if match.column == name)
        entries.append((place["file"], place["row"], typed, log.written[name][position], reason))
    unusable = pd.DataFrame(entries, columns=list(log.unusable.columns), dtype=object)
    return replace(log, how=how, unusable=unusable)


def _known_columns(codebook: Codebook) -> set[str]:
    factors = {factor.name for factor in codebook.factors}
    outcomes = {outcome.name for outcome in codebook.outcomes}
    return factors | outcomes | set(codebook.special_columns())


def _frame(columns: Mapping[str, pd.Series], n_rows: int) -> pd.DataFrame:
    return pd.DataFrame(dict(columns), index=range(n_rows))


def _objects(values: Sequence[object]) -> pd.Series:
    return pd.Series(list(values), dtype=object)


def _is_blank(value: object) -> bool:
    return value is None or value == "" or (isinstance(value, float) and math.isnan(value))


def _text(value: object) -> str:
    return "" if _is_blank(value) else str(value)


def _how(values: Sequence[object]) -> list[str]:
    return [str(How.BLANK if _is_blank(value) else How.EXACT) for value in values]


def _rows(names: Sequence[str]) -> list[int]:
    below_header = pd.Series(list(names), dtype=object).groupby(list(names)).cumcount()
    return [2 + int(count) for count in below_header]


def _source(name: str) -> SourceFile:
    return SourceFile(
        name=name, sha256="0" * 64, kind="csv", header_row=1, encoding="utf-8", delimiter=","
    )


def _typed(name: str, values: Sequence[object], *, codebook: Codebook) -> pd.Series:
    """One column with the dtype `FiringLog.values` promises."""
    if name == codebook.date:
        days = [None if _is_blank(value) else str(value) for value in values]
        return pd.Series(np.array(days, dtype="datetime64[s]"))
    for outcome in codebook.outcomes:
        if outcome.name == name:
            index = {level.name: float(i) for i, level in enumerate(outcome.levels)}
            return pd.Series(
                [math.nan if _is_blank(v) else index.get(str(v), v) for v in values], dtype=float
            )
    numbers = {factor.name for factor in codebook.factors if factor.kind is Kind.NUMBER}
    if name in numbers | {codebook.loaded}:
        return pd.Series([math.nan if _is_blank(v) else v for v in values], dtype=float)
    return _objects([None if _is_blank(value) else str(value) for value in values])


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests of copied processes come first: the browser's loop keeps a thread from then on."""
    items.sort(key=lambda item: item.get_closest_marker("one_thread") is None)


def pytest_sessionfinish(session: pytest.Session, exitstatus: int) -> None:
    """In CI a skipped test is a failure: whatever it needs, `.ci/run` installs."""
    reporter = session.config.pluginmanager.get_plugin("terminalreporter")
    skipped = len(reporter.stats.get("skipped", [])) if reporter else 0
    if os.environ.get("CI") == "true" and skipped and exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
        reporter.write_line(f"{skipped} skipped, which is a failure in CI.", red=True)
