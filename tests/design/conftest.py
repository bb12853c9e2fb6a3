"""Typed columns of an invented year, for tests of the design."""

from collections.abc import Callable

import numpy as np
import pytest

Columns = dict[str, list[object]]


@pytest.fixture
def year() -> Callable[..., Columns]:
    """A function that makes the columns of a year of firings, everything varying."""

    def make(firings: int = 14, pieces: int = 6, seed: int = 5) -> Columns:
        rng = np.random.default_rng(seed)
        n = firings * pieces
        each = np.repeat(np.arange(firings), pieces)
        days = np.datetime64("2025-01-05") + 14 * each
        return {
            "firing_id": [f"F{g + 1:02d}" for g in each],
            "fired_on": [str(day) for day in days],
            "glaze": rng.choice(["Tarn Lantern", "Moth Ledger"], n).tolist(),
            "pull_temp_c": rng.choice(np.arange(900, 1010, 5.0), firings)[each].tolist(),
            "seconds_to_can": rng.integers(4, 19, n).astype(float).tolist(),
            "combustible_g": (10.0 * rng.integers(3, 20, n)).tolist(),
            "quench": rng.choice(["none", "dunk"], n).tolist(),
            "seal": rng.choice(["no", "yes"], n).tolist(),
            "maker": rng.choice(["W", "K"], n).tolist(),
            "humidity_pct": rng.integers(40, 90, firings).astype(float)[each].tolist(),
            "luster": rng.integers(0, 5, n).astype(float).tolist(),
        }

    return make
