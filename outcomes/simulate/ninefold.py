"""Ninefold Lane, an invented evening class: nine students, five evenings, six firings each.

Everybody puts a pot into nearly every firing; the ninth student, I, comes late and leaves
too few pots to be compared. Before the third evening the leader coaches the lid delay, and
most students follow. Of the students themselves nothing differs but their habits: what looks
like D's hands is the eye of the leader, who likes D's pots and grades them kindly.
Every name and number is made up.
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.simulate.draw import draw_outcomes
from outcomes.simulate.truth import (
    FactorEffect,
    FloatArray,
    Nothing,
    OutcomeTruth,
    Steps,
    Straight,
    Truth,
    Window,
)

TARN, BRACKWATER = "Tarn Lantern", "Brackwater Nine"
EVENINGS = ("2025-03-04", "2025-03-11", "2025-03-18", "2025-03-25", "2025-04-01")
FIRINGS = 6  # an evening
COACHED = 2  # evenings before the lid delay is coached
SHEET_G = 15.0
THERE = 0.94  # chance that a student has a pot in a firing
NEVER_VARIED = ("can_volume_l",)
NOTHINGS = ("pull_temp_c", "combustible_g", "time_in_can_min", "humidity_pct", "seal")


@dataclass(frozen=True, slots=True, kw_only=True)
class Student:
    """One student's habits: the middle of each, and the share of pots dunked in water.

    ``lid`` before and ``coached_lid`` after the coaching, both in seconds; ``first`` and
    ``last`` are the firings of the course (0..29) between which the student is there.
    """

    code: str
    seconds: float
    lid: float
    coached_lid: float
    sheets: float
    minutes: float
    wall: float
    dunks: float
    first: int = 0
    last: int = len(EVENINGS) * FIRINGS - 1


STUDENTS = (
    Student(code="A", seconds=6, lid=8, coached_lid=8, sheets=5, minutes=20, wall=6.0, dunks=0.2),
    Student(code="B", seconds=9, lid=16, coached_lid=8, sheets=4, minutes=15, wall=8.0, dunks=0.3),
    Student(code="C", seconds=11, lid=20, coached_lid=9, sheets=6, minutes=22, wall=6.5, dunks=0.1),
    Student(code="D", seconds=8, lid=10, coached_lid=8, sheets=5, minutes=18, wall=5.5, dunks=0.3),
    Student(code="E", seconds=14, lid=22, coached_lid=9, sheets=4, minutes=25, wall=7.0, dunks=0.2),
    Student(code="F", seconds=10, lid=14, coached_lid=7, sheets=7, minutes=16, wall=6.0, dunks=0.7),
    Student(code="G", seconds=12, lid=24, coached_lid=19, sheets=5, minutes=20, wall=6.5,
            dunks=0.2),
    Student(code="H", seconds=9, lid=12, coached_lid=8, sheets=6, minutes=24, wall=7.5, dunks=0.6),
    Student(code="I", seconds=10, lid=15, coached_lid=9, sheets=5, minutes=20, wall=6.5, dunks=0.3,
            first=20, last=27),
)  # fmt: skip


def ninefold_truth() -> Truth:
    """Return what is really so at Ninefold Lane."""
    return Truth(outcomes=(_luster(), _cracked()))


def _luster() -> OutcomeTruth:
    """Return the truth about luster; the leader's halo over D's pots is part of the grade."""
    return OutcomeTruth(
        name="luster",
        thresholds=(-4.0, -2.2, -0.9, 1.1),
        aim=3,
        effects=(
            FactorEffect(factor="lid_delay_s", shape=Window(best=5.0, width=9.0, height=4.2)),
            FactorEffect(factor="seconds_to_can", shape=Straight(per_step=-0.20, centre=10.0)),
            FactorEffect(factor="maker", shape=Steps(gains=(("D", 1.2),))),
            *_nothing("quench", "wall_thickness_mm"),
        ),
        firing_sd=0.6,
    )


def _cracked() -> OutcomeTruth:
    """Return the truth about cracked pots."""
    return OutcomeTruth(
        name="cracked",
        thresholds=(2.7,),
        aim=1,
        effects=(
            FactorEffect(factor="quench", shape=Steps(gains=(("dunk", 2.2),))),
            FactorEffect(factor="wall_thickness_mm", shape=Straight(per_step=0.55, centre=6.5)),
            *_nothing("lid_delay_s", "seconds_to_can", "maker"),
        ),
        firing_sd=0.6,
    )


def _nothing(*more: str) -> tuple[FactorEffect, ...]:
    return tuple(FactorEffect(factor=name, shape=Nothing()) for name in (*NOTHINGS, *more))


def ninefold_course(rng: np.random.Generator) -> pd.DataFrame:
    """Return the clean log of one course: settings by habit, grades by the truth."""
    return draw_outcomes(ninefold_truth(), ninefold_settings(rng), rng=rng)


def ninefold_settings(
    rng: np.random.Generator, *, students: tuple[Student, ...] = STUDENTS
) -> pd.DataFrame:
    """Return the settings of one course, firing by firing, in canonical columns.

    Parameters
    ----------
    rng
        The only source of chance.
    students
        Who takes part; with nobody's lid coached, give equal ``lid`` and ``coached_lid``.
    """
    roster = _draw_roster(students, rng)
    who = [students[int(place)] for place in roster["student"]]
    firing = roster["firing"].to_numpy()
    evening = firing // FIRINGS
    settings = pd.DataFrame(
        {
            "firing_id": [f"{e + 1}{'abcdef'[f % FIRINGS]}" for e, f in zip(evening, firing,
                                                                           strict=True)],
            "fired_on": pd.to_datetime([EVENINGS[e] for e in evening]).astype("datetime64[s]"),
            "piece_id": [f"{s.code}{n:02d}" for s, n in zip(who, _counts(who), strict=True)],
            "maker": [s.code for s in who],
        }
    )  # fmt: skip
    return settings.assign(**_draw_firing(evening, firing, rng), **_draw_habits(who, evening, rng))


def _draw_roster(students: tuple[Student, ...], rng: np.random.Generator) -> pd.DataFrame:
    """Return who has a pot in which firing."""
    rows = [
        (firing, place)
        for firing in range(len(EVENINGS) * FIRINGS)
        for place, student in enumerate(students)
        if student.first <= firing <= student.last and rng.random() < THERE
    ]
    return pd.DataFrame(rows, columns=["firing", "student"])


def _counts(who: list[Student]) -> list[int]:
    """Return 1, 2, 3 ... for every student's pots in turn."""
    codes = pd.Series([student.code for student in who])
    return [int(n) + 1 for n in codes.groupby(codes).cumcount()]


def _draw_firing(
    evening: np.ndarray, firing: np.ndarray, rng: np.random.Generator
) -> dict[str, FloatArray]:
    """Return what a whole firing or evening shares."""
    humidity = np.round(rng.normal(60, 10, size=len(EVENINGS)))
    warmth = np.round(rng.normal(980, 14, size=len(EVENINGS) * FIRINGS) / 5) * 5
    return {
        "humidity_pct": humidity[evening],
        "pull_temp_c": warmth[firing],
        "can_volume_l": np.full(len(firing), 30.0),
    }


def _draw_habits(
    who: list[Student], evening: np.ndarray, rng: np.random.Generator
) -> dict[str, FloatArray | pd.Series]:
    """Return what each student did with each pot."""
    n = len(who)
    lid = np.where(
        evening >= COACHED, [s.coached_lid for s in who], [s.lid for s in who]
    ) + rng.normal(0, 3.5, size=n)
    seconds = np.array([s.seconds for s in who]) * np.exp(rng.normal(0, 0.25, size=n))
    sheets = np.array([s.sheets for s in who]) + rng.normal(0, 1.2, size=n)
    minutes = np.array([s.minutes for s in who]) + rng.normal(0, 5, size=n)
    wall = np.array([s.wall for s in who]) + rng.normal(0, 0.9, size=n)
    dunked = rng.random(n) < np.array([s.dunks for s in who])
    return {
        "glaze": _pick((TARN, BRACKWATER), rng.random(n) < 0.4),
        "lid_delay_s": np.clip(np.round(lid), 1, 35),
        "seconds_to_can": np.clip(np.round(seconds), 3, 30),
        "combustible_g": np.clip(np.round(2 * sheets) / 2, 1, 12) * SHEET_G,
        "time_in_can_min": np.clip(np.round(minutes), 5, 45),
        "wall_thickness_mm": np.clip(np.round(2 * wall) / 2, 3.5, 11),
        "quench": _pick(("none", "dunk"), dunked),
        "seal": _pick(("no", "yes"), rng.random(n) < 0.5),
    }


def _pick(levels: tuple[str, str], second: np.ndarray) -> pd.Series:
    return pd.Series([levels[int(chosen)] for chosen in second], dtype=object)
