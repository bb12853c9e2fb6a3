"""A clean log that rules about whole logs are tried on."""

from collections.abc import Mapping, Sequence

import pytest

CLEAN = {
    "firing_id": [f"F{1 + i // 2}" for i in range(24)],
    "piece_id": [f"p{i}" for i in range(24)],
    "glaze": ["Tarn Lantern", "Moth Ledger"] * 12,
    "seconds_to_can": [6 + i % 11 for i in range(24)],
    "luster": [i % 5 for i in range(24)],
    "crackle_density": [(i // 2) % 5 for i in range(24)],
    "color_shift": [(i // 3) % 5 for i in range(24)],
    "cracked": ["no", "no", "no", "yes"] * 6,
}


@pytest.fixture(scope="session")
def twelve(make_log):
    """Twelve clean firings of two pieces each; columns may be replaced, added or dropped."""

    def make(
        columns: Mapping[str, Sequence[object]] | None = None, drop: Sequence[str] = (), **more
    ):
        kept = {name: values for name, values in CLEAN.items() if name not in drop}
        return make_log(kept | dict(columns or {}), **more)

    return make


@pytest.fixture(scope="session")
def of_code():
    """Pick the findings of one code."""

    def pick(findings, code):
        return [finding for finding in findings if finding.code == code]

    return pick
