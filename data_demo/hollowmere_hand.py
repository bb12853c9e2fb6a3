"""How the maker of Hollowmere Yard writes: her headers, her spellings, her slips."""

import numpy as np

from outcomes.simulate.hollowmere import BRACKWATER, MOTH, TARN
from outcomes.simulate.rough import Style, Way

HEADERS = {
    "firing_id": "firing",
    "fired_on": "date",
    "pieces_loaded": "loaded",
    "piece_id": "piece",
    "glaze": "glaze",
    "maker": "puller",
    "pull_temp_c": "pull temp",
    "seconds_to_can": "secs to can",
    "combustible_g": "combustible",
    "combustible_kind": "combustible type",
    "can_volume_l": "can size (L)",
    "lid_delay_s": "lid delay (s)",
    "time_in_can_min": "in can (min)",
    "glaze_thickness_mm": "glaze thickness mm",
    "wall_thickness_mm": "Wall (mm)",
    "quench": "quench",
    "seal": "wet towel",
    "humidity_pct": "humidity %",
    "wind": "wind",
    "luster": "lustre",
    "crackle_density": "crackle",
    "color_shift": "colour shift",
    "cracked": "cracked?",
    "shelf": "shelf",
    "photo": "photo",
    "notes": "notes",
}
ASIDE = ("shelf", "photo")
OUTCOMES = ("luster", "crackle_density", "color_shift", "cracked")

WAYS = {
    "seconds_to_can": (
        Way(style=Style.PLAIN, weight=10),
        Way(style=Style.TIGHT, unit="s", weight=3),
        Way(style=Style.UNIT, unit="sec", weight=1),
        Way(style=Style.ABOUT, weight=1),
        Way(style=Style.DOUBT, weight=0.4),
        Way(style=Style.RANGE, weight=0.8),
        Way(style=Style.CLOCK, weight=0.5),
    ),
    "lid_delay_s": (
        Way(style=Style.PLAIN, weight=10),
        Way(style=Style.UNIT, unit="s", weight=2),
        Way(style=Style.CLOCK, weight=1),
        Way(style=Style.ISH, weight=0.6),
        Way(style=Style.RANGE, weight=0.8),
    ),
    "time_in_can_min": (
        Way(style=Style.PLAIN, weight=10),
        Way(style=Style.UNIT, unit="min", weight=3),
        Way(style=Style.TIGHT, unit="m", weight=0.7),
        Way(style=Style.ABOUT, weight=1),
        Way(style=Style.ISH, weight=0.6),
        Way(style=Style.RANGE, unit="min", weight=1, reach=0.5),
        Way(style=Style.RANGE, unit="min", weight=1, reach=5),
        Way(style=Style.PRIME, weight=3),
    ),
    "sheets": (
        Way(style=Style.FRACTION, unit="sheets", weight=8),
        Way(style=Style.ABOUT, unit="sheets", weight=0.6),
    ),
    "handfuls": (
        Way(style=Style.FRACTION, unit="handfuls", weight=8),
        Way(style=Style.UNIT, unit="handfuls", weight=1),
    ),
    "glaze_thickness_mm": (
        Way(style=Style.PLAIN, weight=12),
        Way(style=Style.ABOUT, weight=0.8),
        Way(style=Style.TIGHT, unit="mm", weight=1),
    ),
    "wall_thickness_mm": (
        Way(style=Style.PLAIN, weight=12),
        Way(style=Style.TIGHT, unit="mm", weight=1.5),
        Way(style=Style.RANGE, weight=1, reach=0.5),
    ),
    "humidity_pct": (Way(style=Style.PLAIN, weight=3), Way(style=Style.TIGHT, unit="%")),
    "can_volume_l": (Way(style=Style.PLAIN, weight=5), Way(style=Style.UNIT, unit="L")),
    "pieces_loaded": (Way(style=Style.PLAIN),),
}

GRADES = {
    "0.0": ("0", "0", "none"),
    "1.0": ("1",),
    "2.0": ("2",),
    "3.0": ("3",),
    "4.0": ("4",),
}
WORDS = {
    "glaze": {
        TARN: (TARN, "tarn lantern", "Tarn lantern", "TARN LANTERN"),
        MOTH: (MOTH, "moth ledger", "Moth  Ledger"),
        BRACKWATER: (BRACKWATER, "brackwater nine", "Brackwater nine"),
    },
    "maker": {"W": ("W", "w"), "K": ("K", "k")},
    "combustible_kind": {"newspaper": ("newspaper", "news", "paper"), "sawdust": ("sawdust",)},
    "quench": {
        "none": ("none", "air", "no"),
        "mist": ("mist", "misted"),
        "dunk": ("dunk", "dunked", "in water"),
    },
    "seal": {"no": ("n", "no", "N"), "yes": ("y", "yes", "towel")},
    "wind": {
        "calm": ("calm", "still"),
        "light": ("light", "breeze"),
        "strong": ("strong", "gusty"),
    },
    "luster": {**GRADES, "2.0": ("2", "patchy"), "4.0": ("4", "4", "full")},
    "crackle_density": GRADES,
    "color_shift": GRADES,
    "cracked": {"0.0": ("no", "n", "no", "ok"), "1.0": ("yes", "y", "x", "cracked")},
}
NOT_GRADED = ("", "", "n/a", "-")
SCALE_WORDS = {"F": (" F", "F", "°F", " °F"), "C": (" C", "c", "°C", " °C")}
SHELVES = ("top", "middle", "bottom")


BLANKS = {
    "seconds_to_can": 1,
    "combustible_g": 1,
    "lid_delay_s": 1,
    "time_in_can_min": 1,
    "glaze_thickness_mm": 1,
    "wall_thickness_mm": 1,
    "quench": 1,
    "seal": 1,
    "humidity_pct": 5,
    "wind": 3,
    "luster": 1,
    "color_shift": 1,
    "cracked": 3,
}
DITTO_SHARE = {
    "fired_on": 0.5,
    "pieces_loaded": 0.5,
    "pull_temp_c": 0.45,
    "humidity_pct": 0.5,
    "wind": 0.4,
    "combustible_kind": 0.15,
    "quench": 0.1,
    "can_volume_l": 0.3,
}
DITTO_MARKS = ('"', '"', '"', "ditto", "same")


def firing_notes(count: int, *, rng: np.random.Generator) -> list[str]:
    """Return one note a firing, none of them twice, many of them empty."""
    notes = [*FIRING_NOTES, *[""] * max(0, count - len(FIRING_NOTES))]
    return [notes[i] for i in rng.permutation(len(notes))[:count]]


def piece_notes(count: int, *, rng: np.random.Generator) -> list[str]:
    """Return one note a piece, most of them empty."""
    return [
        PIECE_NOTES[int(rng.integers(len(PIECE_NOTES)))] if rng.random() < 0.1 else ""
        for _ in range(count)
    ]


FIRING_NOTES = (
    "cold start, burner sulked till ten",
    "K here, pots going out like loaves",
    "dog got loose mid pull, nobody hurt",
    "new gas bottle",
    "smoke drifted over next door's washing, apologised with a mug",
    "lovely still morning",
    "rain held off until the last can",
    "kiln climbed faster than usual",
    "ran out of dry paper, used the crossword pages",
    "visitors watching, tried not to show off",
    "swept the yard twice first",
    "gloves wearing thin, order new pair",
    "frost on the can lids",
    "K brought plum cake",
    "wasps",
    "neighbour's goat ate the sawdust bag",
    "two cans smoked much longer than the rest",
    "thermocouple lead wriggled, pushed it back in",
    "hurried, school run at three",
    "best light all summer for grading",
)
PIECE_NOTES = (
    "tall neck",
    "second glaze drip on foot",
    "sooty shoulder, scrubbed",
    "gift for Maud",
    "the one with the thumbprint",
    "lip like petrol on a puddle",
    "stuck to the tongs a moment",
    "keeper!",
    "plain as porridge",
    "sings when tapped",
    "foot ring chipped before firing",
)
HAIRLINE_NOTES = (
    "hairline crack under the rim",
    "hairline crack at the foot, only saw it after washing",
    "rings dull, hairline crack I think",
)
