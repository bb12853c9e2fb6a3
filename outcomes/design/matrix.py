"""One outcome's analysis table: the columns of everything that may change it."""

from dataclasses import replace

import numpy as np
import pandas as pd

from outcomes.design.aliasing import drop_aliased
from outcomes.design.budget import fit_budget
from outcomes.design.design import Design, DesignSpec, Excluded, FloatArray, Term
from outcomes.design.rows import (
    Rows,
    choose_rows,
    count_other_firings,
    explain_never_varied,
    without,
)
from outcomes.design.shapes import TREND, build_term, build_term_columns
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Factor, Kind, Outcome, Role, Shape
from outcomes.log.firing_log import FiringLog

TREND_DAYS = 60.0  # method.md §1


def build_design(log: FiringLog, outcome: Outcome) -> Design | str:
    """Return an outcome's analysis table, or the full sentence why nothing can be fitted.

    Notes
    -----
    Order of the columns: glaze and the other settings in codebook order, groupings,
    conditions, the date trend. When columns repeat one another exactly the later one goes.
    """
    rows = choose_rows(log, outcome)
    if isinstance(rows, str):
        return rows
    grades = tuple(int(level) for level in np.unique(rows.grade))
    if len(grades) < 2:
        return _one_grade(outcome, rows, log)
    rows = _still_varying(_with_trend(rows, log))
    if not rows.factors:
        return _nothing_varied(outcome, rows)
    return _assemble(rows, outcome, grades, log.codebook)


def build_columns(frame: pd.DataFrame, spec: DesignSpec) -> FloatArray:
    """Return the columns of any frame of values, shape (n, p).

    Parameters
    ----------
    frame : DataFrame, shape (n, ...)
        One column a factor of the recipe; blanks of conditions and groupings are filled
        with ``Term.fill``, a blank setting gives NaN (number) or the reference (level).
    spec
        The recipe.
    """
    X = np.empty((len(frame), spec.n_columns))
    for term in spec.terms:
        values = frame[term.factor]
        if term.fill is not None and values.hasnans:
            values = values.where(values.notna(), term.fill)
        X[:, list(term.slots)] = build_term_columns(values, term)
    return X


def build_spec(outcome: str, terms: tuple[Term, ...]) -> DesignSpec:
    """Return the recipe of some terms, their column positions given in order."""
    placed: list[Term] = []
    start = 0
    for term in terms:
        stop = start + len(term.columns)
        placed.append(replace(term, slots=tuple(range(start, stop))))
        start = stop
    return DesignSpec(outcome=outcome, terms=tuple(placed), n_columns=start)


def find_term(spec: DesignSpec, factor: str) -> Term:
    """Return a factor's term.

    Raises
    ------
    KeyError
        If the model does not hold it.
    """
    for term in spec.terms:
        if term.factor == factor:
            return term
    raise KeyError(factor)


def _assemble(rows: Rows, outcome: Outcome, grades: tuple[int, ...], codebook: Codebook) -> Design:
    """Return the design of pieces that can be compared."""
    terms, shape_findings = _build_terms(rows, codebook)
    free = drop_aliased(terms, rows.frame, codebook)
    budgeted = fit_budget(free.terms, rows, codebook)
    spec = build_spec(outcome.name, budgeted.terms)
    aim, aim_findings = _place_aim(outcome, grades)
    said = rows.findings + shape_findings + free.findings + budgeted.findings
    return Design(
        X=build_columns(rows.frame, spec),
        y=np.searchsorted(grades, rows.grade).astype(np.int64),
        firing=rows.firing,
        rows=rows.positions,
        frame=rows.frame,
        grades=grades,
        aim=aim,
        firing_names=rows.firing_names,
        spec=spec,
        excluded=rows.excluded + free.excluded + budgeted.excluded,
        findings=said + _unused_grades(outcome, grades) + aim_findings,
        left_out=rows.left_out,
    )


def _build_terms(rows: Rows, codebook: Codebook) -> tuple[tuple[Term, ...], tuple[Finding, ...]]:
    """Return the terms of the factors in play, those to keep first in front."""
    fills = dict(rows.fills)
    terms: list[Term] = []
    said: list[Finding] = []
    for factor in _priority(rows.factors, codebook):
        term, findings = build_term(factor, rows.frame[factor.name], rows.firing)
        terms.append(replace(term, fill=fills.get(factor.name)))
        said.extend(findings)
    return tuple(terms), tuple(said)


def _priority(factors: tuple[Factor, ...], codebook: Codebook) -> list[Factor]:
    """Return the factors with those to keep first: glaze, settings, groupings, conditions."""
    order = {Role.SETTING: 1, Role.GROUPING: 2, Role.CONDITION: 3}

    def place(factor: Factor) -> tuple[int, bool]:
        return (0 if factor.name == codebook.glaze else order[factor.role]), (factor.name == TREND)

    return sorted(factors, key=place)


def _with_trend(rows: Rows, log: FiringLog) -> Rows:
    """Add days since the first piece as a condition when the log spans more than 60 days."""
    name = log.codebook.date
    if not name or name not in rows.frame or rows.frame[name].isna().mean() > 0.4:
        return rows
    days = (rows.frame[name] - rows.frame[name].min()).dt.total_seconds() / 86400.0
    if not days.max() > TREND_DAYS:
        return rows
    middle = float(days.median())
    trend = Factor(
        name=TREND,
        label="Drift over the year",
        role=Role.CONDITION,
        kind=Kind.NUMBER,
        shape=Shape.STRAIGHT,
        unit="d",
        step=30.0,
    )
    return replace(
        rows,
        frame=rows.frame.assign(**{TREND: days.fillna(middle)}),
        factors=(*rows.factors, trend),
        fills=(*rows.fills, (TREND, middle)),
    )


def _still_varying(rows: Rows) -> Rows:
    """Take out what no longer varies once incomplete pieces have left."""
    for factor in rows.factors:
        values = rows.frame[factor.name]
        n_other = count_other_firings(values, rows.firing)
        if n_other < 2:
            reason = explain_never_varied(factor, values, n_other=n_other)
            rows = without(
                rows,
                Excluded(factor=factor.name, role=factor.role, code="never_varied", reason=reason),
            )
    return rows


def _place_aim(outcome: Outcome, grades: tuple[int, ...]) -> tuple[int, tuple[Finding, ...]]:
    """Return the aim among the grades that occur; say so when it had to move."""
    wanted = int(np.searchsorted(grades, outcome.aim))
    aim = min(max(wanted, 1), len(grades) - 1)
    if aim == wanted:
        return aim, ()
    aimed = outcome.levels[outcome.aim].name
    used = outcome.levels[grades[aim]].name
    seen = "no piece reached" if wanted > aim else "every piece reached"
    return aim, (
        Finding(
            code="aim_moved",
            severity=Severity.WARNING,
            message=(
                f"{outcome.label}: {seen} the aim '{aimed}', so pieces at '{used}' or above "
                f"are counted instead."
            ),
            advice=f"Set another aim for {outcome.name} in the codebook if you prefer.",
            column=outcome.name,
        ),
    )


def _unused_grades(outcome: Outcome, grades: tuple[int, ...]) -> tuple[Finding, ...]:
    """Say which grades never occurred."""
    unused = [level.name for i, level in enumerate(outcome.levels) if i not in grades]
    if not unused:
        return ()
    return (
        Finding(
            code="grades_unused",
            severity=Severity.NOTE,
            message=f"{outcome.label}: no piece was graded {', '.join(map(repr, unused))}.",
            advice="Nothing to do; these grades are left out of the model.",
            column=outcome.name,
        ),
    )


def _one_grade(outcome: Outcome, rows: Rows, log: FiringLog) -> str:
    word = log.codebook.piece_word
    level = outcome.levels[int(rows.grade[0])].name if len(rows.grade) else ""
    if not level:
        account = "; ".join(f"{n} × {reason}" for reason, n in rows.left_out)
        return (
            f"{outcome.label}: no graded {word} has every setting written down ({account}), "
            f"so nothing can be compared. Fill in the blanks you still know."
        )
    return (
        f"{outcome.label}: all {len(rows.grade)} usable {word}s have the grade '{level}', so "
        f"nothing can be compared. {word.capitalize()}s with other grades are needed."
    )


def _nothing_varied(outcome: Outcome, rows: Rows) -> str:
    pieces = f"{len(rows.grade)} usable pieces"
    if len(rows.firing_names) < 2:
        return (
            f"{outcome.label}: all {pieces} are of one firing, so nothing can be told from "
            f"that firing's luck. Grade pieces from more firings."
        )
    return (
        f"{outcome.label}: nothing that was written down varied over its {pieces}, so nothing "
        f"can be compared. Vary one setting between firings."
    )
