"""Gradings of the same pieces as they were read: one row a grading, nothing lost."""

from dataclasses import dataclass

import pandas as pd

from outcomes.finding import Finding
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import RowAccount, SourceFile


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gradings:
    """Several gradings read as one.

    Parameters
    ----------
    codebook
        The codebook they were read with.
    files
        In the order given.
    entries : DataFrame
        One row a piece, grader and reading: ``file``, ``row`` (the maker's own), ``piece``,
        ``firing`` (str or None), ``grader``, ``blind`` ("yes", "no" or None), ``graded_on``
        (datetime64, NaT when not written), and a column for each outcome of the codebook with
        the grade's index (NaN: none). Sorted by date where there is one, else as given.
    unusable : DataFrame
        Cells written but not usable: ``file``, ``row``, ``column``, ``written``, ``reason``.
    account
        Rows read = rows used + rows set aside.
    findings
        What reading found.
    how
        How each file tells its graders: "long", "wide" or "file".
    """

    codebook: Codebook
    files: tuple[SourceFile, ...]
    entries: pd.DataFrame
    unusable: pd.DataFrame
    account: RowAccount
    findings: tuple[Finding, ...]
    how: tuple[str, ...]
