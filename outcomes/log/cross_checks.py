"""The rules that compare rows with each other, in the order a reader meets them."""

from collections.abc import Callable
from itertools import chain

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
    check_unread_firings,
)
from outcomes.log.check_grades import (
    check_blank_grades,
    check_dash_grades,
    check_missing_outcomes,
    check_same_grades,
)
from outcomes.log.check_notes import check_notes
from outcomes.log.check_pieces import check_duplicate_ids, check_identical_rows
from outcomes.log.firing_log import FiringLog
from outcomes.workers import default_workers, spread

Rule = Callable[[FiringLog], tuple[Finding, ...]]
RULES: tuple[Rule, ...] = (
    check_identical_rows,
    check_duplicate_ids,
    check_firing_column,
    check_unread_firings,
    check_blank_firings,
    check_firing_values,
    check_far_dates,
    check_date_order,
    check_loaded_counts,
    check_missing_outcomes,
    check_blank_grades,
    check_dash_grades,
    check_same_grades,
    check_notes,
    check_look_alike_names,
    check_columns_that_never_vary,
    check_time_heaping,
    check_rare_levels,
    check_few_firings,
    check_firing_sizes,
)


# Below this many rows a copy of the process takes longer than the rules do.
MANY_ROWS = 100_000


def check_rows(log: FiringLog, *, workers: int | None = None) -> tuple[Finding, ...]:
    """Return what every rule has to say; a log without a row has nothing to compare.

    Parameters
    ----------
    log
        Its impossible values set aside.
    workers
        Processes; changes the speed of a large log, never the result.
    """
    if log.values.empty:
        return ()
    if workers is None:
        workers = default_workers() if len(log.values) >= MANY_ROWS else 1

    def ask(rule: Rule, _: object) -> tuple[Finding, ...]:
        return rule(log)

    return tuple(chain.from_iterable(spread(ask, RULES, workers=workers)))
