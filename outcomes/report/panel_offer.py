"""What the panel offers: outcomes, settings with their stops, and what each glaze allows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from outcomes.effects.panel import (
    Logged,
    PanelOutcome,
    build_logged,
    build_panel_outcome,
    find_ground,
    name_glazes,
)
from outcomes.effects.panel_ground import Ground
from outcomes.report.panel_stops import Allowed, Stops, build_stops, find_allowed
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Panel:
    """What is offered: outcomes, settings with their stops, glazes with what each allows.

    ``allowed`` holds one entry a setting for every glaze; ``glazes`` is ("",) without glazes.
    """

    outcomes: tuple[PanelOutcome, ...]
    logged: Logged
    ground: Ground
    stops: tuple[Stops, ...]
    glazes: tuple[str, ...]
    allowed: tuple[tuple[Allowed, ...], ...]


def build_panel(
    parts: Sequence[OutcomeStudy], teller: Teller, *, by_glaze: bool = True
) -> Panel | None:
    """Return what the panel offers on some outcomes; None where no setting can be moved.

    ``by_glaze`` gives a glaze its own effect of the setting that differs most clearly between
    glazes: a model more for every glaze and outcome.
    """
    designs = [part.design for part in parts if part.design is not None]
    if not designs:
        return None
    logged = build_logged(teller.study.log, designs)
    if not logged.terms:
        return None
    stops = tuple(_stop(term.factor, logged, teller) for term in logged.terms)
    told = parts if by_glaze else [replace(part, by_glaze=()) for part in parts]
    outcomes = tuple(_learn(part, logged, stops, teller) for part in told)
    graded = {name for outcome in outcomes for name in outcome.models}
    glazes = tuple(name for name in logged.glazes if name in graded)
    return Panel(
        outcomes=outcomes,
        logged=logged,
        ground=find_ground(logged),
        stops=stops,
        glazes=glazes,
        allowed=tuple(_allow(name, logged, stops) for name in glazes),
    )


def _stop(name: str, logged: Logged, teller: Teller) -> Stops:
    factor = teller.factor(name)
    assert factor is not None, name  # noqa: S101 - settings are of the codebook
    return build_stops(factor, logged.values[name], teller)


def _learn(
    part: OutcomeStudy, logged: Logged, stops: Sequence[Stops], teller: Teller
) -> PanelOutcome:
    assert part.design is not None  # noqa: S101 - `maker_panel.has_chances`
    assert part.fit is not None  # noqa: S101 - `maker_panel.has_chances`
    glaze = teller.study.log.codebook.glaze
    values: dict[str, Sequence[float | str]] = {one.factor.name: one.values for one in stops}
    return build_panel_outcome(
        part.design,
        part.fit,
        glaze=name_glazes(teller.study.log, part.design.rows),
        values=values | {glaze: logged.glazes},
        by_glaze=part.by_glaze,
        confidence=teller.study.options.confidence,
    )


def _allow(name: str, logged: Logged, stops: Sequence[Stops]) -> tuple[Allowed, ...]:
    rows = np.flatnonzero(logged.glaze == name)
    return tuple(
        find_allowed(one, logged.values[one.factor.name].iloc[rows], logged.firing[rows].tolist())
        for one in stops
    )
