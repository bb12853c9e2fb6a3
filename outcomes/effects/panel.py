"""Everything a page needs to answer "what if": the outcomes' small models and the ground."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from outcomes.design.design import Design, IntArray, Term
from outcomes.effects.evidence import firing_scores
from outcomes.effects.glaze_effects import GlazeEffects, GlazeModel
from outcomes.effects.panel_ground import Ground, build_ground
from outcomes.effects.panel_model import PanelModel, build_panel_model
from outcomes.effects.support import LEVEL_FIRINGS
from outcomes.log.codebook import Role
from outcomes.log.firing_log import FiringLog
from outcomes.model.fit import CumulativeFit
from outcomes.model.likelihood import information_by_firing
from outcomes.resampling.leverage import build_pull


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelOutcome:
    """One outcome in the panel.

    Parameters
    ----------
    name
        Canonical.
    design
        Its pieces.
    models
        Glaze -> its model; "" in a log without glazes. A glaze that is missing was graded in
        fewer than two firings, or not at all.
    own
        Glaze -> the setting whose slopes are that glaze's own.
    """

    name: str
    design: Design
    models: Mapping[str, PanelModel]
    own: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Logged:
    """The pieces of a log that stand in an analysis, for the panel's settings.

    Parameters
    ----------
    terms
        Settings of any outcome, without the glaze, in the order of their first appearance.
    values : DataFrame, shape (n, ...)
        Of these settings, without blanks.
    glaze, firing : arrays, shape (n,)
    """

    terms: tuple[Term, ...]
    values: pd.DataFrame
    glaze: NDArray[np.object_]
    firing: IntArray

    @property
    def glazes(self) -> tuple[str, ...]:
        """Return the names of the glazes in the order of the alphabet."""
        return tuple(sorted(set(self.glaze.tolist())))


def build_panel_outcome(
    design: Design,
    fit: CumulativeFit,
    *,
    glaze: NDArray[np.object_],
    values: Mapping[str, Sequence[float | str]],
    by_glaze: Sequence[GlazeEffects] = (),
    confidence: float = 0.95,
) -> PanelOutcome:
    """Return one outcome's small models, glaze by glaze.

    Parameters
    ----------
    design, fit
        Of the outcome.
    glaze : object array, shape (n,)
        Glaze of each piece of the design, see `name_glazes`.
    values
        Setting, the glaze included -> the values it may be given.
    by_glaze
        Where a setting acts differently on different glazes a glaze has slopes of its own for
        it; where several do, for the one that differs most clearly.
    confidence
        Of the intervals.
    """
    common = find_common_model(design, fit)
    every = np.arange(len(design.y))
    shared = build_panel_model(design, common, rows=every, values=values, confidence=confidence)
    differing = sorted((d for d in by_glaze if d.differs), key=lambda d: d.p_value)
    clearest = dict(differing[0].models) if differing else {}
    models: dict[str, PanelModel] = {}
    for name, rows in _rows_of_glazes(design, glaze).items():
        own = clearest.get(name)
        models[name] = (
            shared
            if own is None
            else build_panel_model(design, own, rows=rows, values=values, confidence=confidence)
        )
    return PanelOutcome(
        name=design.spec.outcome,
        design=design,
        models=models,
        own={name: differing[0].factor for name in models if name in clearest},
    )


def build_logged(log: FiringLog, designs: Sequence[Design]) -> Logged:
    """Return the settings of every piece that stands in an outcome's analysis."""
    glaze = log.codebook.glaze
    terms: dict[str, Term] = {}
    firings: dict[int, str] = {}
    for design in designs:
        for term in design.spec.terms:
            if term.role is Role.SETTING and term.factor != glaze:
                terms.setdefault(term.factor, term)
        names = [design.firing_names[k] for k in design.firing]
        firings |= dict(zip(design.rows.tolist(), names, strict=True))
    every = log.values.iloc[sorted(firings)][list(terms)]
    rows = np.array(sorted(firings))[every.notna().all(axis=1).to_numpy()]
    return Logged(
        terms=tuple(terms.values()),
        values=log.values.iloc[rows][list(terms)],
        glaze=name_glazes(log, rows),
        firing=np.unique([firings[int(row)] for row in rows], return_inverse=True)[1],
    )


def name_glazes(log: FiringLog, rows: IntArray) -> NDArray[np.object_]:
    """Return the glaze of some rows of a log; "" throughout where fewer than two occur."""
    nothing = np.full(len(rows), "", dtype=object)
    if log.codebook.glaze not in log.values:
        return nothing
    names = log.values[log.codebook.glaze]
    if names.nunique() < 2:  # noqa: PLR2004 - nothing to choose between
        return nothing
    return names.fillna("").astype(str).to_numpy(dtype=object)[rows]


def find_ground(logged: Logged) -> Ground:
    """Return the ground of the logged pieces."""
    return build_ground(
        logged.values, logged.terms, glaze=logged.glaze.tolist(), firing=logged.firing.tolist()
    )


def find_common_model(design: Design, fit: CumulativeFit) -> GlazeModel:
    """Return the fit of all glazes with the firings' pull on it."""
    information = information_by_firing(design.X, design.y, len(design.grades), design.firing, fit)
    scores = firing_scores(design, design.X, fit)
    pull = build_pull(fit.covariance, information, scores)
    return GlazeModel(parameters=fit.parameters(), pull=pull)


def _rows_of_glazes(design: Design, glaze: NDArray[np.object_]) -> dict[str, IntArray]:
    """Return the pieces of each glaze that was graded in at least two firings."""
    found = {name: np.flatnonzero(glaze == name) for name in sorted(set(glaze.tolist()))}
    return {
        name: rows
        for name, rows in found.items()
        if len(set(design.firing[rows].tolist())) >= LEVEL_FIRINGS
    }
