"""Whether the pieces got what the drawn list gave them, where their names are the list's."""

from collections.abc import Iterator

import numpy as np

from outcomes.finding import Finding, Severity
from outcomes.log.firing_log import FiringLog
from outcomes.log.places import has_column
from outcomes.log.quoting import count_of, list_words
from outcomes.planning.assignment import draw_assignment, row_names
from outcomes.planning.counting import BoolArray
from outcomes.planning.plan import Plan
from outcomes.planning.trial_pieces import has_value


def check_list(plan: Plan, log: FiringLog, *, counted: BoolArray) -> Iterator[Finding]:
    """Say which pieces were fired with another value than the list gave them.

    Nothing is said of pieces whose names are not the run sheet's.
    """
    if not plan.randomised or not has_column(log, log.codebook.piece):
        return
    names = log.values[log.codebook.piece].where(counted)
    drawn = draw_assignment(plan)
    place = {name: row for row, name in enumerate(row_names(drawn)[1])}
    known = np.flatnonzero(names.isin(place).to_numpy(bool))
    for factor in plan.factors:
        if not has_column(log, factor.name) or not len(known):
            continue
        values = log.values[factor.name].iloc[known]
        given = drawn[factor.name].iloc[[place[name] for name in names.iloc[known]]]
        followed = values.isna().to_numpy()
        for value in factor.values:
            followed = followed | (has_value(values, value) & (given == value).to_numpy())
        other = [str(name) for name in names.iloc[known][~followed]]
        if other:
            yield Finding(
                code="list_not_followed",
                severity=Severity.WARNING,
                message=f"{log.codebook.factor(factor.name).label}: "
                f"{count_of(len(other), 'piece')} fired otherwise than the drawn list says "
                f"({list_words(other)}).",
                advice="The test takes what was logged. If somebody chose the value, say why: a "
                "chosen value is not drawn by lot.",
                column=factor.name,
            )
