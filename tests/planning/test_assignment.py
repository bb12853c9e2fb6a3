"""The lot: balanced where it can be, the same for the same plan, equally likely otherwise."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pandas as pd

from outcomes.planning.assignment import draw_assignment, row_names
from outcomes.planning.plan import PlannedFactor, Unit


def test_every_firing_holds_every_value_equally_often(plan) -> None:
    drawn = draw_assignment(plan)
    counts = drawn.groupby("firing")["time_in_can_min"].value_counts().unstack()
    assert (counts == 2).to_numpy().all()


def test_the_same_plan_gives_the_same_list_and_another_seed_another(plan) -> None:
    first, again = draw_assignment(plan), draw_assignment(plan)
    pd.testing.assert_frame_equal(first, again)
    other = draw_assignment(replace(plan, seed=2))
    assert not first["time_in_can_min"].equals(other["time_in_can_min"])


def test_whole_firings_are_dealt_evenly_within_their_blocks(firing_plan) -> None:
    firings = draw_assignment(firing_plan).drop_duplicates("firing")
    counts = firings.groupby("kiln")["seal"].value_counts().unstack()
    assert counts.to_numpy().tolist() == [[2, 2], [2, 2]]


def test_all_pieces_of_a_firing_share_what_the_firing_was_given(firing_plan) -> None:
    assert (draw_assignment(firing_plan).groupby("firing")["seal"].nunique() == 1).all()


def test_what_does_not_divide_evens_out_over_the_firings(plan) -> None:
    drawn = draw_assignment(replace(plan, pieces=4, firings=6))
    assert Counter({4.0: 8, 16.0: 8, 64.0: 8}) == Counter(drawn["time_in_can_min"])


def test_blocks_of_pieces_stand_in_every_firing_with_every_value(plan) -> None:
    factor = PlannedFactor(
        name="time_in_can_min", values=(4.0, 16.0, 64.0), assigned_to=Unit.PIECE, blocks=("glaze",)
    )
    drawn = draw_assignment(replace(plan, factors=(factor,), blocks=(("glaze", ("Moth", "Tarn")),)))
    cells = drawn.groupby(["firing", "glaze", "time_in_can_min"]).size()
    assert (len(cells), {1}) == (8 * 2 * 3, set(cells))


def test_every_order_within_a_firing_comes_equally_often(plan) -> None:
    many = draw_assignment(replace(plan, firings=900, pieces=3))
    orders = Counter(tuple(rows) for _, rows in many.groupby("firing")["time_in_can_min"])
    assert 6 == len(orders)
    assert max(abs(count - 150) for count in orders.values()) < 56  # five standard errors


def test_a_second_factor_does_not_move_the_first(plan) -> None:
    second = PlannedFactor(name="seal", values=("no", "yes"), assigned_to=Unit.FIRING)
    both = draw_assignment(replace(plan, factors=(*plan.factors, second)))
    assert both["time_in_can_min"].equals(draw_assignment(plan)["time_in_can_min"])
    assert np.isin(both["seal"], ["no", "yes"]).all()


def test_pieces_are_named_after_their_firing(plan) -> None:
    firings, pieces = row_names(draw_assignment(plan))
    assert ("T01", "T01-1", "T08", "T08-6") == (firings[0], pieces[0], firings[-1], pieces[-1])
