"""The truth of the Hollowmere demo as a TOML text."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.simulate.chance import applies, true_change
from outcomes.simulate.hollowmere import (
    HANDFUL_G,
    SHEET_G,
    hollowmere_habits,
    hollowmere_truth,
)
from outcomes.simulate.truth import (
    FactorEffect,
    Nothing,
    OutcomeTruth,
    Saturating,
    Steps,
    Straight,
    Truth,
    Window,
)

GRID = {
    "pull_temp_c": 10,
    "seconds_to_can": 1,
    "combustible_g": 10,
    "lid_delay_s": 1,
    "time_in_can_min": 1,
    "glaze_thickness_mm": 0.1,
    "wall_thickness_mm": 0.5,
    "humidity_pct": 5,
}
LEVELS = {
    "quench": ("none", "dunk"),
    "seal": ("no", "yes"),
    "combustible_kind": ("newspaper", "sawdust"),
    "wind": ("calm", "light"),
    "maker": ("W", "K"),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Messy:
    """The log as typed and what was done to it.

    ``cells`` holds every cell's text; ``slipped`` maps (position, column) to (text, reason);
    ``blank`` and ``hairline`` are positions; ``copied_piece`` is the row that repeats the piece
    id above it; ``first_row`` is the sheet row of position 0.
    """

    cells: pd.DataFrame
    slipped: dict[tuple[int, str], tuple[str, str]]
    blank: tuple[tuple[int, str], ...]
    hairline: tuple[int, ...]
    copied_piece: int
    first_row: int


def write_truth(year: pd.DataFrame, messy: Messy, seed: int) -> str:
    """Return the whole file."""
    parts = [_head(year, seed), *map(_outcome, hollowmere_truth().outcomes)]
    parts += [_effects(year), _helper(year), _mess(messy)]
    return "\n".join(parts)


def _head(year: pd.DataFrame, seed: int) -> str:
    """Return the opening."""
    return (
        "# The truth Hollowmere Yard was made from. Written by make_hollowmere.py; do not edit.\n"
        "# Everything here is invented.\n\n"
        f"seed = {seed}\n"
        f"pieces = {len(year)}\n"
        f"firings = {year['firing_id'].nunique()}\n"
        f"sheet_g = {SHEET_G}\nhandful_g = {HANDFUL_G}\n"
        'never_varied = ["can_volume_l"]\n'
    )


def _outcome(outcome: OutcomeTruth) -> str:
    """Return one outcome's thresholds and luck."""
    return (
        f"[outcomes.{outcome.name}]\n"
        f"thresholds = {list(outcome.thresholds)}  # log-odds\n"
        f"aim = {outcome.aim}\n"
        f"firing_sd = {outcome.firing_sd}  # luck shared by a firing, log-odds\n"
        f"applies_to = [{_listed(outcome.applies_to)}]\n"
        f"changes_nothing = [{_listed(_nothings(outcome))}]\n"
    )


def _nothings(outcome: OutcomeTruth) -> list[str]:
    """Return the recorded factors that change nothing about this outcome."""
    planted = {effect.factor for effect in outcome.effects if effect.shape != Nothing()}
    return [factor for factor in (*GRID, *LEVELS) if factor not in planted]


def _listed(names: Iterable[str]) -> str:
    """Return names as the inside of a TOML list."""
    return ", ".join(f'"{name}"' for name in names)


def _effects(year: pd.DataFrame) -> str:
    """Return every effect in words and numbers, with its true contrasts."""
    truth = hollowmere_truth()
    return "\n".join(
        _effect(truth, outcome, effect, year)
        for outcome in truth.outcomes
        for effect in outcome.effects
        if effect.shape != Nothing()
    )


def _effect(truth: Truth, outcome: OutcomeTruth, effect: FactorEffect, year: pd.DataFrame) -> str:
    """Return one effect."""
    lines = [
        "[[effects]]",
        f'outcome = "{outcome.name}"',
        f'factor = "{effect.factor}"',
        f'words = "{describe_shape(effect)}"',
    ]
    for start, end in contrasts(truth, outcome, effect, year):
        change = 100 * true_change(
            truth,
            year,
            factor=effect.factor,
            from_value=start,
            to_value=end,
            outcome=outcome.name,
        )
        shown = (
            f"{start!r}, to = {end!r}" if isinstance(start, float) else f'"{start}", to = "{end}"'
        )
        lines.append("[[effects.contrasts]]")
        lines.append(f"from = {shown}".replace(", to", "\nto"))
        lines.append(f"pieces_per_100 = {change + 0.0:.2f}")
    return "\n".join(lines) + "\n"


def contrasts(
    truth: Truth, outcome: OutcomeTruth, effect: FactorEffect, year: pd.DataFrame
) -> tuple[tuple[float, float] | tuple[str, str], ...]:
    """Return the pairs of values contrasted: 20th to 80th percentile, a window each side."""
    if effect.factor in LEVELS:
        first, second = LEVELS[effect.factor]
        return ((first, second),)
    rows = year.loc[applies(truth, year, outcome.name), effect.factor]
    ends = [_on_grid(float(value), effect.factor) for value in rows.quantile([0.1, 0.2, 0.8, 0.9])]
    if isinstance(effect.shape, Window):
        return ((ends[0], effect.shape.best), (effect.shape.best, ends[3]))
    return ((ends[1], ends[2]),)


def describe_shape(effect: FactorEffect) -> str:
    """Return an effect in words."""
    match effect.shape:
        case Straight(per_step=slope, step=step):
            return f"{slope:+g} log-odds for every {step:g}"
        case Window(best=best, width=width, height=height):
            return f"best at {best:g}; a bump of width {width:g}, {height:g} log-odds high"
        case Saturating(gain=gain, scale=scale):
            return f"rises by {gain:g} log-odds in all; 95 of 100 parts of it by {3 * scale:g}"
        case Steps(gains=gains):
            return ", ".join(f"{name} {gain:+g} log-odds" for name, gain in gains)
    return "a curve"


def _on_grid(value: float, factor: str) -> float:
    """Return a value on the factor's practical step."""
    return float(round(np.round(value / GRID[factor]) * GRID[factor], 6))


def _helper(year: pd.DataFrame) -> str:
    """Return what the helper does."""
    helper = hollowmere_habits().helper
    assert helper is not None  # noqa: S101 - Hollowmere has one
    moves = ", ".join(f'"{move.name} x {move.times:g}"' for move in helper.moves)
    pulled = (year[helper.column] == helper.name).sum()
    return (
        "[helper]\n"
        f'name = "{helper.name}"\nmoves = [{moves}]\nof_himself = "changes nothing"\n'
        f"pieces_pulled = {pulled}\n"
    )


def _mess(messy: Messy) -> str:
    """Return every cell that was made unreadable or left empty, by sheet row."""
    lines = [
        "[mess]",
        f"unreadable_cells = {len(messy.slipped)}",
        f"blank_cells = {len(messy.blank)}",
        f"repeated_piece_id_row = {messy.first_row + messy.copied_piece}",
        f"hairline_only_in_notes_rows = {[messy.first_row + row for row in messy.hairline]}",
        "",
    ]
    for (row, column), (text, reason) in sorted(messy.slipped.items()):
        lines += ["[[unreadable]]", f"row = {messy.first_row + row}", f'column = "{column}"']
        lines += [f'written = "{text}"', f'reason = "{reason}"', ""]
    for row, column in messy.blank:
        lines += ["[[blank]]", f"row = {messy.first_row + row}", f'column = "{column}"', ""]
    return "\n".join(lines)
