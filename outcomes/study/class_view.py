"""What a leader may ask of a class's log: whose habits differ, what they cost, what was coached.

Nothing here is said of anybody with fewer than ten pieces, and nobody is ranked.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.design.firings import find_firings, number_firings
from outcomes.design.shapes import OTHER
from outcomes.doubts.check_graders import GRADER
from outcomes.effects.coaching import Coached, Coaching, measure_coaching
from outcomes.effects.coaching_found import HabitStep
from outcomes.effects.people import LEAST_PEOPLE, PersonEffect, measure_people
from outcomes.effects.people_habits import LEAST_PIECES, Habit, compare_habits, find_people
from outcomes.effects.people_split import PersonSplit, split_between
from outcomes.effects.replicates import Replicates, build_replicates
from outcomes.effects.suggestion import Suggestion, WorthChanging, find_worth_changing, suggest
from outcomes.log.codebook import Factor, Kind, Role
from outcomes.log.firing_log import FiringLog
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.study.coaching_asked import choose_coaching, find_step
from outcomes.study.record import OutcomeStudy, Study


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeOfClass:
    """What one outcome's model says of the class; None and () where it cannot say it."""

    part: OutcomeStudy
    people: tuple[PersonEffect, ...]
    split: PersonSplit | None
    coached: Coached | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClassView:
    """Everything the leader's page tells.

    Parameters
    ----------
    group
        The grouping that says who; None when the log has none with two persons.
    people, too_few
        Who is compared, and who has too few pieces for it; as in the log, alphabetically.
    pieces
        Pieces of everybody, by name.
    settings
        The settings compared, in codebook order.
    habits
        One a person and setting.
    step
        The change of a habit found in the log, when no date was asked for.
    coaching
        What was coached and since when: asked for, or the step found; None for neither.
    outcomes
        One an outcome that could be fitted.
    worth
        What changes the surface for the better one way, largest first.
    suggestions
        At most one a person.
    """

    group: Factor | None
    people: tuple[str, ...]
    too_few: tuple[str, ...]
    pieces: dict[str, int]
    settings: tuple[Factor, ...]
    habits: tuple[Habit, ...]
    step: HabitStep | None
    coaching: Coaching | None
    outcomes: tuple[OutcomeOfClass, ...]
    worth: tuple[WorthChanging, ...]
    suggestions: tuple[Suggestion, ...]


def build_class_view(study: Study) -> ClassView:
    """Return what a study says of a class.

    Parameters
    ----------
    study
        From `analyse`. Its option ``coached`` says what was coached and from which day on, as
        ``lid_delay_s:2025-03-18``; "" looks for a change of habit in the log.

    Raises
    ------
    RequestError
        If ``coached`` names no setting of the log, or no day inside it.
    """
    log, coached = study.log, study.options.coached
    group = _find_group(log)
    worth = find_worth(study)
    named = _named(log, group)
    people = find_people(named)
    firing, _ = number_firings(find_firings(log).labels)
    settings = tuple(
        factor
        for factor in log.codebook.factors
        if factor.role is Role.SETTING
        and factor.name != log.codebook.glaze
        and factor.name in log.values
        and log.values[factor.name].nunique() > 1
    )
    step = None if coached else find_step(study, settings, firing)
    coaching = choose_coaching(study, coached, step, group)
    enough = people if group is not None and len(people) >= 2 else ()
    outcomes, suggestions = _ask_outcomes(study, enough, group, coaching, worth)
    return ClassView(
        group=group,
        people=enough,
        too_few=tuple(sorted(set(named.dropna()) - set(enough))),
        pieces={str(name): int(n) for name, n in named.value_counts().sort_index().items()},
        settings=settings,
        habits=compare_habits(
            log.values,
            person="" if group is None else group.name,
            people=enough,
            settings=settings,
            firing=firing,
            confidence=study.options.confidence,
        )
        if enough
        else (),
        step=step,
        coaching=coaching,
        outcomes=outcomes,
        worth=worth,
        suggestions=suggestions,
    )


def find_worth(study: Study) -> tuple[WorthChanging, ...]:
    """Return the habits worth changing: the handout tells the first of them."""
    pairs = [(effect, part.outcome) for part in study.outcomes for effect in part.effects]
    return find_worth_changing(pairs, glaze=study.log.codebook.glaze)


def _find_group(log: FiringLog) -> Factor | None:
    """Return the grouping that says who worked: the codebook's first that names two or more."""
    return next(
        (
            factor
            for factor in log.codebook.factors
            if factor.role is Role.GROUPING
            and factor.kind is Kind.NAME
            and factor.name not in (log.codebook.glaze, GRADER)
            and factor.name in log.values
            and log.values[factor.name].nunique() > 1
        ),
        None,
    )


def _named(log: FiringLog, group: Factor | None) -> "pd.Series[str]":
    if group is None:
        return pd.Series([], dtype=object)
    return log.values[group.name].dropna().astype(str)


def _ask_outcomes(
    study: Study,
    people: tuple[str, ...],
    group: Factor | None,
    coaching: Coaching | None,
    worth: Sequence[WorthChanging],
) -> tuple[tuple[OutcomeOfClass, ...], tuple[Suggestion, ...]]:
    """Return what each outcome's model says, and at most one suggestion a person."""
    found: list[OutcomeOfClass] = []
    offered: list[Suggestion] = []
    for part in study.outcomes:
        replicates = _replicates(part, study.options.confidence)
        if replicates is None or group is None:
            continue
        person = _numbers(replicates, group, people)
        found.append(
            OutcomeOfClass(
                part=part,
                people=_people(replicates, group, people),
                split=split_between(replicates, person) if len(people) >= 2 else None,
                coached=_coached(replicates, coaching),
            )
        )
        offered += _offer(replicates, worth, people, person, coaching)
    return tuple(found), _one_each(offered, people)


def _replicates(part: OutcomeStudy, confidence: float) -> Replicates | None:
    """Return an outcome's fit with its redraws, None where no interval may be given."""
    if part.design is None or part.fit is None or part.redraws is None:
        return None
    if len(part.design.firing_names) < FEWEST_FIRINGS:
        return None
    return build_replicates(part.design, part.fit, part.redraws, confidence=confidence)


def _numbers(replicates: Replicates, group: Factor, people: tuple[str, ...]) -> np.ndarray:
    """Return the place in ``people`` of each piece's person, -1 for the others, shape (n,)."""
    frame = replicates.design.frame
    if group.name not in frame:
        return np.full(len(frame), -1)
    places = {name: place for place, name in enumerate(people)}
    return np.array([places.get(str(name), -1) for name in frame[group.name]])


def _people(
    replicates: Replicates, group: Factor, people: tuple[str, ...]
) -> tuple[PersonEffect, ...]:
    """Return the persons' own effects; () when the model could not hold them all."""
    term = next((t for t in replicates.design.spec.terms if t.factor == group.name), None)
    if term is None or len(people) < LEAST_PEOPLE:
        return ()
    own = tuple(name for name in people if name in term.levels and name != OTHER)
    return (
        measure_people(replicates, factor=group.name, people=own)
        if len(own) >= LEAST_PEOPLE
        else ()
    )


def _coached(replicates: Replicates, coaching: Coaching | None) -> Coached | None:
    if coaching is None:
        return None
    held = {term.factor for term in replicates.design.spec.terms}
    frame = replicates.design.frame
    if coaching.factor not in held or not {coaching.date, coaching.person} <= set(frame.columns):
        return None
    return measure_coaching(replicates, coaching)


def _offer(
    replicates: Replicates,
    worth: Sequence[WorthChanging],
    people: tuple[str, ...],
    person: np.ndarray,
    coaching: Coaching | None,
) -> list[Suggestion]:
    """Return what each person could gain in this outcome, by the pieces of the later time."""
    recent = np.ones(len(person), dtype=bool)
    if coaching is not None:
        recent = (replicates.design.frame[coaching.date] >= coaching.since).to_numpy()
    found = []
    for one in worth:
        if one.outcome.name != replicates.design.spec.outcome:
            continue
        for place, name in enumerate(people):
            pieces = recent & (person == place)
            if pieces.sum() < LEAST_PIECES:
                continue
            offer = suggest(replicates, one, person=name, pieces=pieces, people=len(people))
            found += [] if offer is None else [offer]
    return found


def _one_each(offered: Sequence[Suggestion], people: tuple[str, ...]) -> tuple[Suggestion, ...]:
    """Return the largest offer of each person, in the order of ``people``."""
    best = []
    for name in people:
        own = [offer for offer in offered if offer.person == name]
        best += [max(own, key=lambda offer: abs(offer.change))] if own else []
    return tuple(best)
