"""A small invented log as reading leaves it, for the tests of pages, tables and files."""

import numpy as np
import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import (
    FiringLog,
    HeaderMatch,
    How,
    RowAccount,
    RowSetAside,
    SourceFile,
)

N_ROWS = 40


def build_values() -> pd.DataFrame:
    rng = np.random.default_rng(12)
    return pd.DataFrame(
        {
            "firing_id": pd.Series([f"F{i // 2:02d}" for i in range(N_ROWS)], dtype=object),
            "glaze": pd.Series(["Tarn Lantern", "Moth Ledger"] * 20, dtype=object),
            "seconds_to_can": rng.integers(4, 26, N_ROWS).astype(float),
            "pull_temp_c": np.round(rng.uniform(880, 1010, N_ROWS), 2),
            "luster": rng.integers(0, 5, N_ROWS).astype(float),
            "cracked": rng.integers(0, 2, N_ROWS).astype(float),
        }
    )


def build_how(values: pd.DataFrame) -> pd.DataFrame:
    how = pd.DataFrame(str(How.EXACT), index=values.index, columns=values.columns, dtype=object)
    how["pull_temp_c"] = str(How.CONVERTED)
    how.loc[[2, 5], "seconds_to_can"] = str(How.APPROXIMATE)
    how.loc[7, "seconds_to_can"] = str(How.RANGE_MIDDLE)
    how.loc[[9, 10], "luster"] = str(How.BLANK)
    how.loc[12, "glaze"] = str(How.DITTO)
    how.loc[20, "seconds_to_can"] = str(How.SET_ASIDE)
    return how


def build_written(values: pd.DataFrame) -> pd.DataFrame:
    written = values.astype(str).astype(object)
    written["pull_temp_c"] = [f"{c * 9 / 5 + 32:.0f}" for c in values["pull_temp_c"]]
    written.loc[[2, 5], "seconds_to_can"] = "~8"
    written.loc[7, "seconds_to_can"] = "8-12"
    written.loc[[9, 10], "luster"] = ""
    written.loc[12, "glaze"] = '"'
    written.loc[20, "seconds_to_can"] = "a few"
    return written


HEADERS = (
    ("Firing", "firing_id", "", "known alias"),
    ("Glaze", "glaze", "", "same name"),
    ("secs to can", "seconds_to_can", "s", "another spelling"),
    ("Pull temp (F)", "pull_temp_c", "F", "known alias"),
    ("Lustre", "luster", "", "another spelling"),
    ("Cracked?", "cracked", "", "same name"),
    ("Moon", None, "", "not in the codebook"),
)


def build_log(codebook: Codebook) -> FiringLog:
    """Return 43 rows read, 40 used, 3 set aside."""
    values = build_values()
    how = build_how(values)
    values.loc[[9, 10], "luster"] = np.nan
    values.loc[20, "seconds_to_can"] = np.nan
    set_aside = tuple(
        RowSetAside(file="year.csv", row=row, reason=reason)
        for row, reason in ((17, "no outcome is graded"), (18, "no outcome is graded"),
                            (42, "the row repeats piece 12b of row 41"))
    )  # fmt: skip
    return FiringLog(
        codebook=codebook,
        files=(SourceFile(name="year.csv", sha256="ab" * 32, kind="csv", header_row=1,
                          encoding="utf-8", delimiter=";", decimal=","),),
        headers=tuple(
            HeaderMatch(file="year.csv", written=w, column=c, unit=u, how=h)
            for w, c, u, h in HEADERS
        ),
        values=values,
        origin=pd.DataFrame({"file": "year.csv", "row": range(2, 2 + N_ROWS)}),
        written=build_written(values),
        how=how,
        aside=pd.DataFrame({"Moon": ["=1+1"] * N_ROWS}, dtype=object),
        unusable=pd.DataFrame(
            {"file": ["year.csv"], "row": [22], "column": ["secs to can"], "written": ["a few"],
             "reason": ["a word without a number"]}
        ),
        account=RowAccount(rows_read=43, rows_used=40, set_aside=set_aside),
        findings=(
            Finding(code="decimal_comma", severity=Severity.NOTE, file="year.csv",
                    message="Numbers are written with a decimal comma.", advice="Nothing to do."),
        ),
    )  # fmt: skip
