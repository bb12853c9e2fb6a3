"""The Wilson interval against Newcombe (1998), Table I (P17: R prop.test without correction)."""

import json
from pathlib import Path

import pytest

from outcomes.errors import RequestError
from outcomes.resampling.proportion import wilson_interval

CASES = json.loads(
    (Path(__file__).parents[1] / "reference" / "P17_wilson.json").read_text(encoding="utf-8")
)["expected"]
STORED = 1e-7  # the digits kept in the case


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['x']} of {case['n']}")
def test_wilson_equals_the_published_limits(case) -> None:
    found = wilson_interval(case["x"], case["n"])
    assert case["wilson"] == pytest.approx([found.low, found.high], abs=STORED)


def test_counting_the_others_mirrors_the_interval() -> None:
    some, others = wilson_interval(3, 17), wilson_interval(14, 17)
    assert some.low == pytest.approx(1 - others.high)
    assert some.high == pytest.approx(1 - others.low)


@pytest.mark.parametrize(("count", "total"), [(3, 2), (-1, 5), (0, 0)])
def test_what_is_no_share_is_refused(count: int, total: int) -> None:
    with pytest.raises(RequestError, match="is no share"):
        wilson_interval(count, total)
