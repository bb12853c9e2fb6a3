"""The cells the maker of Hollowmere Yard wrote so that nobody can read a value from them."""

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from outcomes.simulate.hollowmere import SHEET_G


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A cell she made unreadable: where it may happen, what she wrote, how often."""

    column: str
    text: str
    count: int
    where: Callable[[pd.DataFrame], "pd.Series[bool]"]
    reason: str


_TIMING = (
    Slip(
        column="seconds_to_can",
        text="a few",
        count=1,
        where=lambda f: f.seconds_to_can <= 6,
        reason="no number",
    ),
    Slip(
        column="seconds_to_can",
        text=">20",
        count=1,
        where=lambda f: f.seconds_to_can > 20,
        reason="open-ended",
    ),
    Slip(
        column="seconds_to_can",
        text="ASAP",
        count=1,
        where=lambda f: f.seconds_to_can <= 6,
        reason="no number",
    ),
    Slip(
        column="lid_delay_s",
        text="when flaming",
        count=2,
        where=lambda f: f.lid_delay_s > 8,
        reason="no number",
    ),
    Slip(
        column="time_in_can_min",
        text="till cool",
        count=2,
        where=lambda f: f.time_in_can_min >= 25,
        reason="open-ended",
    ),
    Slip(
        column="time_in_can_min",
        text="1 hr+",
        count=1,
        where=lambda f: f.time_in_can_min >= 35,
        reason="open-ended",
    ),
)

# Each falls on pieces for which the words would be true.
SLIPS = (
    Slip(
        column="pull_temp_c",
        text="",  # the number alone, without its scale
        count=4,
        where=lambda f: (f.thermometer == "C") & (f.pull_temp_c >= 900),
        reason="no scale: could be F or C",
    ),
    Slip(
        column="pull_temp_c",
        text="bright orange",
        count=1,
        where=lambda f: f.pull_temp_c > 960,
        reason="a color, no number",
    ),
    Slip(
        column="pull_temp_c",
        text="glossy",
        count=1,
        where=lambda f: f.pull_temp_c > 940,
        reason="a look, no number",
    ),
    *_TIMING,
    Slip(
        column="combustible_g",
        text="lots",
        count=2,
        where=lambda f: f.combustible_g > 8 * SHEET_G,
        reason="no amount",
    ),
    Slip(
        column="glaze_thickness_mm",
        text="thick",
        count=1,
        where=lambda f: f.glaze_thickness_mm > 1,
        reason="no amount",
    ),
    Slip(
        column="luster",
        text="B+",
        count=1,
        where=lambda f: f.luster == 3,
        reason="not a grade of the card",
    ),
    Slip(
        column="crackle_density",
        text="meh",
        count=1,
        where=lambda f: f.crackle_density == 1,
        reason="not a grade of the card",
    ),
)
