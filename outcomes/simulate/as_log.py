"""An invented log as a FiringLog, without going through a file."""

import numpy as np
import pandas as pd

from outcomes.log.codebook import Codebook, Kind
from outcomes.log.firing_log import FiringLog, HeaderMatch, How, RowAccount, SourceFile

INVENTED = "invented.csv"


def build_log(frame: pd.DataFrame, codebook: Codebook) -> FiringLog:
    """Return the log that reading this clean table would give.

    Parameters
    ----------
    frame : DataFrame, shape (n, ...)
        As `simulate_log` returns it: canonical columns, base units, grades as 0..K-1.
        Columns the codebook does not know are kept aside.
    codebook
        The codebook the columns belong to.

    Notes
    -----
    Row numbers start at 2, as under a header in row 1. Every value counts as exact.
    """
    columns = [str(name) for name in frame.columns]
    known = [name for name in columns if name in _names(codebook)]
    rest = [name for name in columns if name not in known]
    values = frame[known].reset_index(drop=True)
    values = values.assign(**{name: _typed(values[name], name, codebook) for name in known})
    blank = values.isna()
    file = SourceFile(name=INVENTED, sha256="", kind="csv", header_row=1)
    n = len(values)
    rows = np.arange(2, n + 2)
    return FiringLog(
        codebook=codebook,
        files=(file,),
        headers=tuple(_match(name, name in known) for name in columns),
        values=values,
        origin=pd.DataFrame({"file": pd.Series([INVENTED] * n, dtype=object), "row": rows}),
        written=values.astype(object).where(~blank, "").map(str).astype(object),
        how=blank.replace({True: str(How.BLANK), False: str(How.EXACT)}).astype(object),
        aside=frame[rest].reset_index(drop=True).map(str).astype(object),
        unusable=pd.DataFrame(columns=["file", "row", "column", "written", "reason"]),
        account=RowAccount(rows_read=n, rows_used=n, set_aside=()),
        findings=(),
    )


def _names(codebook: Codebook) -> set[str]:
    """Return every canonical column name of a codebook."""
    factors = {factor.name for factor in codebook.factors}
    outcomes = {outcome.name for outcome in codebook.outcomes}
    return factors | outcomes | set(codebook.special_columns())


def _typed(column: pd.Series, name: str, codebook: Codebook) -> pd.Series:
    """Return the column with the type `FiringLog.values` promises."""
    if name == codebook.date:
        return column.astype("datetime64[s]")
    numbers = {factor.name for factor in codebook.factors if factor.kind is Kind.NUMBER}
    numbers |= {outcome.name for outcome in codebook.outcomes} | {codebook.loaded}
    if name in numbers:
        return column.astype(np.float64)
    text = column.astype(object)
    return text.where(text.notna(), None)


def _match(name: str, known: bool) -> HeaderMatch:
    """Return the header match of one column of an invented table."""
    return HeaderMatch(
        file=INVENTED,
        written=name,
        column=name if known else None,
        unit="",
        how="same name" if known else "not in the codebook",
    )
