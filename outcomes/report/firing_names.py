"""How a reader finds a firing: by its date where one is written, with its name."""

import pandas as pd

from outcomes.report.teller import Teller
from outcomes.report.wording import Value
from outcomes.study.record import OutcomeStudy


def name_firing(name: str, part: OutcomeStudy, teller: Teller) -> str:
    """Return "the firing of 12 May 2024 (H18)", or "firing H18" when no date is known."""
    say = teller.wording.say
    day = _find_day(name, part, teller)
    if day is None:
        return say("numbers.firing_named", {"name": name})
    values: dict[str, Value] = {
        "name": name,
        "day": day.day,
        "month": say(f"months.{day.month}"),
        "year": day.year,
    }
    dated = name == day.strftime("%Y-%m-%d")
    return say("numbers.firing_dated" if dated else "numbers.firing_named_dated", values)


def _find_day(name: str, part: OutcomeStudy, teller: Teller) -> pd.Timestamp | None:
    date = teller.study.log.codebook.date
    if part.design is None or not date or date not in part.design.frame:
        return None
    if name not in part.design.firing_names:
        return None
    at = part.design.firing_names.index(name)
    days = part.design.frame.loc[part.design.firing == at, date].dropna()
    return None if days.empty else pd.Timestamp(days.iloc[0])
