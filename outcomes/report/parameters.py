"""What the numbers of a fit are called: thresholds between levels, and columns."""

from outcomes.study.record import OutcomeStudy


def find_grades(study: OutcomeStudy) -> tuple[int, ...]:
    """Return the indices of the levels that occur, between which the thresholds lie."""
    if study.design is not None:
        return study.design.grades
    return tuple(index for index, count in enumerate(study.grade_counts) if count)


def name_columns(study: OutcomeStudy) -> tuple[str, ...]:
    """Return the name of every column of the fit."""
    assert study.fit is not None  # noqa: S101
    if study.design is None:
        return tuple(f"column {slot}" for slot in range(len(study.fit.slopes)))
    names = {
        slot: name
        for term in study.design.spec.terms
        for slot, name in zip(term.slots, term.columns, strict=True)
    }
    return tuple(names[slot] for slot in range(len(study.fit.slopes)))


def name_thresholds(study: OutcomeStudy) -> tuple[str, ...]:
    """Return "trace|patchy": the threshold between two levels, by their names."""
    levels = [study.outcome.levels[index].name for index in find_grades(study)]
    return tuple(f"{low}|{high}" for low, high in zip(levels[:-1], levels[1:], strict=True))


def name_parameters(study: OutcomeStudy) -> tuple[str, ...]:
    """Return the names of thresholds then slopes, as covariances are ordered."""
    return (*name_thresholds(study), *name_columns(study))
