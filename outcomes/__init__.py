"""Learn from a studio's own firing log which settings change the surface, and how surely.

The public names are loaded when first used, so that ``import outcomes`` costs nothing:

>>> import outcomes
>>> log = outcomes.read_log(["my_firings.csv"])  # doctest: +SKIP
>>> study = outcomes.analyse(log)  # doctest: +SKIP
>>> outcomes.effects_table(study)  # doctest: +SKIP
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from outcomes.api import (
        analyse,
        check,
        compare_graders,
        declare,
        describe,
        describe_next_firings,
        effects_table,
        next_firings_table,
        pictures,
        plan_next_firings,
        power,
        power_table,
        read_codebook,
        read_log,
        read_plan,
        run_trial,
        tables,
        trial_table,
        write_agreement,
        write_next_firings,
        write_plan,
        write_power,
        write_regrade_list,
        write_run_sheet,
        write_study,
        write_trial,
    )
    from outcomes.planning.declaring import Declaration
    from outcomes.planning.next_request import PlanRequest
    from outcomes.planning.plan import Direction, Unit
    from outcomes.planning.power_request import PowerRequest
    from outcomes.planning.trial import TrialOptions
    from outcomes.study.record import StudyOptions

__version__ = "0.1.0"
__all__ = [
    "Declaration",
    "Direction",
    "PlanRequest",
    "PowerRequest",
    "StudyOptions",
    "TrialOptions",
    "Unit",
    "__version__",
    "analyse",
    "check",
    "compare_graders",
    "declare",
    "describe",
    "describe_next_firings",
    "effects_table",
    "next_firings_table",
    "pictures",
    "plan_next_firings",
    "power",
    "power_table",
    "read_codebook",
    "read_log",
    "read_plan",
    "run_trial",
    "tables",
    "trial_table",
    "write_agreement",
    "write_next_firings",
    "write_plan",
    "write_power",
    "write_regrade_list",
    "write_run_sheet",
    "write_study",
    "write_trial",
]
# The records a question is asked with stand where they are used; everything else in `api`.
_RECORDS = {
    "Declaration": "outcomes.planning.declaring",
    "Direction": "outcomes.planning.plan",
    "PlanRequest": "outcomes.planning.next_request",
    "PowerRequest": "outcomes.planning.power_request",
    "StudyOptions": "outcomes.study.record",
    "TrialOptions": "outcomes.planning.trial",
    "Unit": "outcomes.planning.plan",
}


def __getattr__(name: str) -> Any:
    if name in __all__:
        return getattr(importlib.import_module(_RECORDS.get(name, "outcomes.api")), name)
    raise AttributeError("module 'outcomes' has no attribute " + repr(name))


def __dir__() -> "list[str]":
    return sorted(__all__)
