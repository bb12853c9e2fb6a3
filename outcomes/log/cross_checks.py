"""The rules that compare rows with each other, in the order a reader meets them."""

from collections.abc import Callable

from outcomes.finding import Finding
from outcomes.log.check_columns import (
    check_columns_that_never_vary,
    check_look_alike_names,
    check_rare_levels,
    check_time_heaping,
)
from outcomes.log.check_conditions import check_firing_values
from outcomes.log.check_dates import check_date_order, check_far_dates
from outcomes.log.check_firings import (
    check_blank_firings,
    check_few_firings,
    check_firing_column,
    check_firing_sizes,
    check_loaded_counts,
)
from outcomes.log.check_grades import (
    check_blank_grades,
    check_missing_outcomes,
    check_same_grades,
)
from outcomes.log.check_notes import check_notes
from outcomes.log.check_pieces import check_duplicate_ids, check_identical_rows
from outcomes.log.firing_log import FiringLog

Rule = Callable[[FiringLog], tuple[Finding, ...]]
RULES: tuple[Rule, ...] = (
    check_identical_rows,
    check_duplicate_ids,
    check_firing_column,
    check_blank_firings,
    check_firing_values,
    check_far_dates,
    check_date_order,
    check_loaded_counts,
    check_missing_outcomes,
    check_blank_grades,
    check_same_grades,
    check_notes,
    check_look_alike_names,
    check_columns_that_never_vary,
    check_time_heaping,
    check_rare_levels,
    check_few_firings,
    check_firing_sizes,
)


def check_rows(log: FiringLog) -> tuple[Finding, ...]:
    """Return what every rule has to say; a log without a row has nothing to compare."""
    if log.values.empty:
        return ()
    return tuple(finding for rule in RULES for finding in rule(log))
