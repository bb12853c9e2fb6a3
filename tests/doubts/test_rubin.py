"""Rubin's rules against R mice."""

import numpy as np
import pytest

from outcomes.doubts.rubin import pool_estimates

EXACT = 1e-7  # the reference's own tolerance


def test_pooling_equals_the_reference(reference) -> None:
    # P26: Rubin (1987); Barnard & Rubin (1999); numbers by R mice pool.scalar, n = 40, k = 3.
    case = reference("P26_rubin_rules")
    data, expected = case["data"], case["expected"]
    pooled = pool_estimates(
        np.array(data["Q"]), np.array(data["U"]), complete_df=data["n"] - data["k"]
    )
    assert expected["qbar"] == pytest.approx(pooled.value, abs=EXACT)
    assert expected["ubar"] == pytest.approx(pooled.within, abs=EXACT)
    assert expected["between"] == pytest.approx(pooled.between, abs=EXACT)
    assert expected["total"] == pytest.approx(pooled.total, abs=EXACT)
    assert expected["lam"] == pytest.approx(pooled.missing, abs=EXACT)
    assert expected["df_barnard_rubin"] == pytest.approx(pooled.df, abs=EXACT)
    interval = pooled.interval()
    assert expected["ci95"] == pytest.approx([interval.low, interval.high], abs=EXACT)


def test_more_spread_between_fills_costs_degrees_of_freedom() -> None:
    variances = np.full(20, 0.1)
    calm = pool_estimates(np.linspace(0.9, 1.1, 20), variances, complete_df=20.0)
    wild = pool_estimates(np.linspace(0.0, 2.0, 20), variances, complete_df=20.0)
    assert wild.df < calm.df < 20.0
    assert wild.missing > calm.missing
