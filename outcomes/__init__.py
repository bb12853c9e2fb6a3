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
        effects_table,
        plan_next_firings,
        power,
        power_table,
        read_codebook,
        read_log,
        read_plan,
        run_trial,
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

__version__ = "0.1.0"
__all__ = [
    "__version__",
    "analyse",
    "check",
    "compare_graders",
    "declare",
    "effects_table",
    "plan_next_firings",
    "power",
    "power_table",
    "read_codebook",
    "read_log",
    "read_plan",
    "run_trial",
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


def __getattr__(name: str) -> Any:
    if name in __all__:
        return getattr(importlib.import_module("outcomes.api"), name)
    raise AttributeError("module 'outcomes' has no attribute " + repr(name))


def __dir__() -> "list[str]":
    return sorted(__all__)
