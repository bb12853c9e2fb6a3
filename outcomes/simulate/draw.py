"""Drawing a log: habits give the settings, the truth and luck give the grades."""

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import ndtr

from outcomes.errors import RequestError
from outcomes.simulate.chance import applies, latent_score
from outcomes.simulate.habits import Amount, Choice, Habits, Helper
from outcomes.simulate.truth import FloatArray, Truth

IntArray = NDArray[np.int64]


def simulate_log(
    truth: Truth,
    habits: Habits,
    *,
    firings: int,
    pieces: int | Sequence[int],
    rng: np.random.Generator,
) -> pd.DataFrame:
    """Return an invented log, clean, in canonical columns and base units.

    Parameters
    ----------
    truth, habits
        What decides the grades, and how the settings were chosen.
    firings
        Number of firings G.
    pieces
        Pieces in each firing: one number, or G of them (see `draw_sizes`).
    rng
        The only source of chance.

    Returns
    -------
    DataFrame, shape (n, ...)
        firing_id, fired_on, piece_id, the habits, then one float column an outcome holding
        the grade 0..K-1, NaN where the outcome does not apply to the glaze.

    Raises
    ------
    RequestError
        If the numbers of firings and pieces do not go together.
    """
    settings = draw_settings(habits, firings=firings, pieces=pieces, rng=rng)
    return draw_outcomes(truth, settings, rng=rng)


def draw_sizes(
    firings: int, *, low: int = 2, high: int = 12, rng: np.random.Generator
) -> tuple[int, ...]:
    """Return unequal firing sizes, each from ``low`` to ``high`` with equal chance."""
    return tuple(int(size) for size in rng.integers(low, high + 1, size=firings))


def draw_settings(
    habits: Habits, *, firings: int, pieces: int | Sequence[int], rng: np.random.Generator
) -> pd.DataFrame:
    """Return the settings part of a log: ids, dates and habits, no outcome."""
    sizes = _sizes(firings, pieces)
    firing = np.repeat(np.arange(firings), sizes)
    columns: dict[str, object] = {
        "firing_id": _text([f"F{g + 1:02d}" for g in firing]),
        "fired_on": _dates(habits, firings)[firing],
        "piece_id": _text([f"P{i + 1:03d}" for i in range(len(firing))]),
    }
    scores = _scores(habits, firing, firings, rng)
    for habit, score in zip(habits.scored(), scores.T, strict=True):
        columns[habit.name] = _values(habit, score)
    for treated in habits.treated:
        chosen = np.isin(np.arange(firings), rng.permutation(firings)[: treated.firings])
        columns[treated.name] = _pick(treated.levels, chosen[firing])
    frame = pd.DataFrame(columns)
    return frame if habits.helper is None else _with_helper(frame, habits, habits.helper, rng=rng)


def draw_outcomes(
    truth: Truth, settings: pd.DataFrame, *, rng: np.random.Generator
) -> pd.DataFrame:
    """Return the settings with a grade for every outcome: score + firing luck + piece luck.

    The luck of a firing is drawn anew for each outcome; rows of one firing must share their
    ``firing_id``.
    """
    firing, names = pd.factorize(settings["firing_id"])
    grades = {}
    for outcome in truth.outcomes:
        luck = outcome.firing_sd * rng.standard_normal(len(names))
        latent = latent_score(truth, settings, outcome.name) + luck[firing]
        latent = latent + rng.logistic(size=len(settings))
        grade = np.searchsorted(np.array(outcome.thresholds), latent).astype(np.float64)
        grades[outcome.name] = np.where(applies(truth, settings, outcome.name), grade, np.nan)
    return settings.assign(**grades)


def _sizes(firings: int, pieces: int | Sequence[int]) -> IntArray:
    """Return the pieces of each firing, or say why there cannot be any."""
    sizes = np.full(firings, pieces) if isinstance(pieces, int) else np.array(pieces)
    if firings < 1 or len(sizes) != firings or (sizes < 1).any():
        raise RequestError(
            f"{firings!r} firings with {pieces!r} pieces cannot be simulated: give one number "
            f"of pieces, or one for each firing, all at least 1."
        )
    return sizes.astype(np.int64)


def _dates(habits: Habits, firings: int) -> NDArray[np.datetime64]:
    """Return one day a firing, spread evenly over the span."""
    offsets = np.round(np.linspace(0, habits.days, firings)).astype("timedelta64[D]")
    return (np.datetime64(habits.start, "D") + offsets).astype("datetime64[s]")


def _scores(habits: Habits, firing: IntArray, firings: int, rng: np.random.Generator) -> FloatArray:
    """Return standard normal scores, one column a choice or amount, in that order."""
    scored = habits.scored()
    mixing = _mixing(habits, [habit.name for habit in scored])
    of_firing = rng.standard_normal((firings, len(scored))) @ mixing
    of_piece = rng.standard_normal((len(firing), len(scored))) @ mixing
    between = np.array([habit.between for habit in scored])
    return np.asarray(np.sqrt(between) * of_firing[firing] + np.sqrt(1 - between) * of_piece)


def _mixing(habits: Habits, names: list[str]) -> FloatArray:
    """Return A with A'A the correlation matrix of the scores."""
    correlation = np.eye(len(names))
    for pair in habits.together:
        i, j = names.index(pair.first), names.index(pair.second)
        correlation[i, j] = correlation[j, i] = pair.correlation
    values, vectors = np.linalg.eigh(correlation)
    if values.size and values.min() < -1e-9:
        raise RequestError("these correlations contradict one another: weaken some of them.")
    return np.asarray((vectors * np.sqrt(np.clip(values, 0, None))).T)


def _values(habit: Amount | Choice, score: FloatArray) -> FloatArray | pd.Series:
    """Return the habit's values at these scores."""
    if isinstance(habit, Choice):
        cuts = np.cumsum(habit.shares)[:-1] / sum(habit.shares)
        return _pick(habit.levels, np.searchsorted(cuts, ndtr(score)))
    spread = habit.spread * score
    raw = habit.centre * np.exp(spread) if habit.logarithmic else habit.centre + spread
    return _tidy(habit, raw)


def _tidy(habit: Amount, raw: FloatArray) -> FloatArray:
    """Round to the habit's grid and keep within its ends."""
    rounded = np.round(raw / habit.grid) * habit.grid if habit.grid else raw
    return np.clip(rounded, habit.low, habit.high)


def _with_helper(
    frame: pd.DataFrame, habits: Habits, helper: Helper, *, rng: np.random.Generator
) -> pd.DataFrame:
    """Return the frame with the helper's pieces moved and the puller named."""
    firing, names = pd.factorize(frame["firing_id"])
    there = rng.permutation(len(names)) < round(helper.firings * len(names))
    pulled = there[firing] & (rng.random(len(frame)) < helper.pieces)
    amounts = {habit.name: habit for habit in habits.amounts}
    moved = {
        move.name: np.where(
            pulled,
            _tidy(amounts[move.name], frame[move.name].to_numpy() * move.times + move.plus),
            frame[move.name].to_numpy(),
        )
        for move in helper.moves
    }
    return frame.assign(**moved, **{helper.column: _pick((helper.usual, helper.name), pulled)})


def _pick(levels: tuple[str, ...], index: np.ndarray) -> pd.Series:
    """Return the level at each index, as an object column."""
    return _text([levels[i] for i in index.astype(int)])


def _text(values: list[str]) -> pd.Series:
    """Return a text column as ``object``: pandas would otherwise make its own string type."""
    return pd.Series(values, dtype=object)
