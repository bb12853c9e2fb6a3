"""What was coached and from which day on: as somebody says, or a change seen in the log."""

from collections.abc import Sequence

import numpy as np
import pandas as pd

from outcomes.effects.coaching import Coaching
from outcomes.effects.coaching_found import HabitStep, find_habit_step
from outcomes.errors import RequestError
from outcomes.log.codebook import Factor, Role
from outcomes.log.firing_log import FiringLog
from outcomes.study.record import Study

# A stream of its own, far from those of the outcomes (keyed by their place in the codebook).
_STREAM = 7001


def parse_coached(text: str, log: FiringLog) -> tuple[str, pd.Timestamp]:
    """Return the setting and the day of ``lid_delay_s:2025-03-18``.

    Raises
    ------
    RequestError
        With what was found, what was expected and what to do.
    """
    name, _, written = text.partition(":")
    known = [f.name for f in log.codebook.factors if f.role is Role.SETTING]
    held = [n for n in known if n in log.values]
    if name not in held:
        raise RequestError(
            f"--coached {text}: {name!r} is no setting of this log. Name one of: {', '.join(held)}."
        )
    day = pd.to_datetime(written, format="%Y-%m-%d", errors="coerce")
    if pd.isna(day):
        raise RequestError(
            f"--coached {text}: {written!r} is no day. Write it as {name}:2025-03-18."
        )
    dates = log.values[log.codebook.date] if log.codebook.date in log.values else pd.Series([])
    if not (dates.min() < day <= dates.max()):
        raise RequestError(
            f"--coached {text}: no dated piece lies before {written} with others on or after it, "
            f"so nothing can be set side by side. Give a day inside the log."
        )
    return name, pd.Timestamp(day)


def find_step(study: Study, settings: Sequence[Factor], firing: np.ndarray) -> HabitStep | None:
    """Return the change of a habit found in the log, None without dates or a clear one."""
    log = study.log
    if log.codebook.date not in log.values:
        return None
    rng = np.random.default_rng(np.random.SeedSequence(study.options.seed, spawn_key=(_STREAM,)))
    return find_habit_step(
        log.values, date=log.codebook.date, settings=settings, firing=firing, rng=rng
    )


def choose_coaching(
    study: Study, coached: str, step: HabitStep | None, group: Factor | None
) -> Coaching | None:
    """Return what was coached: as asked for, else the change found; None for neither.

    Raises
    ------
    RequestError
        As `parse_coached`.
    """
    asked = parse_coached(coached, study.log) if coached else None
    found = None if step is None else (step.factor, step.since)
    chosen = asked or found
    if group is None or chosen is None:
        return None
    factor, since = chosen
    return Coaching(factor=factor, since=since, date=study.log.codebook.date, person=group.name)
