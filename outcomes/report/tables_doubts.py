"""The tables of shares and doubts: one DataFrame a question."""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
import pandas as pd

from outcomes.effects.shares import Shares
from outcomes.report.study_json_doubts import find_firing_names
from outcomes.study.record import OutcomeStudy, Study

SHARES = ("outcome", "part", "share_per_100", "low", "high", "size", "yours", "shared",
          "at_boundary", "why_not")  # fmt: skip
SPLIT = ("outcome", "factor", "role", "share_per_100", "low", "high", "relative_per_100",
         "total_per_100", "measure")  # fmt: skip
SKILL = ("outcome", "against", "value", "low", "high", "word", "calibration_slope",
         "calibration_low", "calibration_high", "strangers", "one_by_one")  # fmt: skip
CALIBRATION = ("outcome", "group", "foretold_per_100", "seen_per_100", "pieces", "firings")
INFLUENCE = ("outcome", "factor", "firing", "change_per_100", "without_per_100",
             "error_per_100", "moves")  # fmt: skip
GRADE_EFFECTS = ("outcome", "factor", "from", "to", "grade", "tied_per_100", "tied_error",
                 "free_per_100", "free_error", "on_border", "p_value", "trend_p")  # fmt: skip


def build_doubt_tables(study: Study) -> dict[str, pd.DataFrame]:
    """Return shares, split, skill, calibration, influence and grade effects by file name stem."""
    builders = {
        "shares": (_shares, SHARES),
        "split": (_split, SPLIT),
        "skill": (_skill, SKILL),
        "calibration": (_calibration, CALIBRATION),
        "influence": (_influence, INFLUENCE),
        "grade_effects": (_grade_effects, GRADE_EFFECTS),
    }
    return {
        name: _frame((row for part in study.outcomes for row in rows(part)), columns)
        for name, (rows, columns) in builders.items()
    }


def _frame(rows: Iterable[Mapping[str, object]], columns: Sequence[str]) -> pd.DataFrame:
    return pd.DataFrame(list(rows), columns=list(columns))


def _shares(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield one row a part, then what is yours together; or the reason why there is none."""
    shares = part.shares
    if isinstance(shares, str):
        yield {"outcome": part.outcome.name, "why_not": shares}
    if not isinstance(shares, Shares):
        return
    for one in (*shares.parts, shares.yours):
        yield {
            "outcome": part.outcome.name,
            "part": one.name,
            "share_per_100": 100 * one.share,
            "low": _per_100(one.low),
            "high": _per_100(one.high),
            "size": one.size,
            "yours": one.yours,
            "shared": one.shared,
            "at_boundary": shares.at_boundary if one.name == "firing_luck" else None,
        }


def _split(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    split = part.split
    for one in () if split is None else split.shares:
        assert split is not None  # noqa: S101
        yield {
            "outcome": part.outcome.name,
            "factor": one.factor,
            "role": str(one.role),
            "share_per_100": 100 * one.share,
            "low": _per_100(one.low),
            "high": _per_100(one.high),
            "relative_per_100": 100 * one.relative,
            "total_per_100": 100 * split.total,
            "measure": str(split.measure),
        }


def _skill(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield the skill against each reference, and what the second opinion saves."""
    skill, opinion = part.skill, part.second_opinion
    if skill is not None:
        limits = skill.calibration.slope_interval
        for against, value in (
            ("usual shares of grades", skill.overall),
            ("usual shares of the glaze", skill.beyond_glaze),
        ):
            yield {
                "outcome": part.outcome.name,
                "against": against,
                "value": value.value,
                "low": value.low,
                "high": value.high,
                "word": str(value.word),
                "calibration_slope": skill.calibration.slope,
                "calibration_low": None if limits is None else limits.low,
                "calibration_high": None if limits is None else limits.high,
                "strangers": skill.strangers,
                "one_by_one": skill.one_by_one,
            }
    if opinion is not None:
        for against, value in (
            ("boosted trees against this model", opinion.gain),
            ("boosted trees against the usual shares", opinion.beyond_usual),
        ):
            yield {
                "outcome": part.outcome.name,
                "against": against,
                "value": value.value,
                "low": value.low,
                "high": value.high,
            }


def _calibration(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    groups = () if part.skill is None else part.skill.calibration.groups
    for place, group in enumerate(groups, start=1):
        yield {
            "outcome": part.outcome.name,
            "group": place,
            "foretold_per_100": 100 * group.foretold,
            "seen_per_100": 100 * group.seen,
            "pieces": group.pieces,
            "firings": group.firings,
        }


def _influence(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield one row a setting and firing left out."""
    for one in part.influences:
        names = find_firing_names(part) or tuple(str(n + 1) for n in range(len(one.without)))
        columns = zip(names, one.without, one.errors, one.moves, strict=True)
        for firing, without, error, moves in columns:
            yield {
                "outcome": part.outcome.name,
                "factor": one.factor,
                "firing": firing,
                "change_per_100": 100 * one.change,
                "without_per_100": 100 * float(without),
                "error_per_100": 100 * float(error),
                "moves": float(moves),
            }


def _grade_effects(part: OutcomeStudy) -> Iterable[dict[str, object]]:
    """Yield one row a setting and boundary between grades."""
    for one in part.grade_effects:
        for cut in one.cuts:
            yield {
                "outcome": part.outcome.name,
                "factor": one.contrast.factor,
                "from": one.contrast.from_value,
                "to": one.contrast.to_value,
                "grade": cut.level,
                "tied_per_100": 100 * cut.tied,
                "tied_error": 100 * cut.tied_error,
                "free_per_100": 100 * cut.free,
                "free_error": 100 * cut.free_error,
                "on_border": one.on_border,
                "p_value": one.p_value,
                "trend_p": one.trend_p,
            }


def _per_100(value: float | None) -> float:
    return np.nan if value is None else 100 * value
