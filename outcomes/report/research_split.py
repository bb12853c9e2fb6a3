"""How the variation of one outcome divides: variance components, and factor by factor."""

from outcomes.effects.shares import Shares
from outcomes.report.document import (
    Block,
    Column,
    Section,
    Table,
    fold_table,
    make_key,
)
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.numerals import decimal, number, span
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_research_split(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section; nothing where neither was computed."""
    say = teller.wording.say
    blocks: list[Block] = []
    if isinstance(part.shares, Shares):
        blocks += fold_table(_build_components(part, part.shares, teller))
    if part.split is not None:
        blocks += fold_table(_build_split(part, teller))
    if not blocks:
        return []
    key = make_key(f"variation-{part.outcome.name}")
    return [Section(key=key, title=say("research.variation"), blocks=tuple(blocks))]


def _build_components(part: OutcomeStudy, shares: Shares, teller: Teller) -> Table:
    say = teller.wording.say
    rows = (
        (say("research.fixed_variance"), number(shares.fixed_variance)),
        (say("research.fixed_noise"), number(shares.fixed_noise)),
        (say("research.firing_sd"), number(shares.firing_sd)),
        (say("research.firing_sd_upper"), number(shares.firing_sd_upper)),
        (say("research.luck_factor"), number(shares.luck_factor)),
        (say("research.piece_variance"), number(shares.piece_variance)),
        (say("research.mixed_status"), str(shares.status)),
        (
            say("research.yours"),
            f"{decimal(100 * shares.yours.share, places=0)} "
            f"({_limits(shares.yours.low, shares.yours.high)})",
        ),
    )
    return Table(
        key=make_key(f"components-{part.outcome.name}"),
        caption=say("research.components", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("method.what")),
            Column(heading=say("columns.value"), numeric=True),
        ),
        rows=rows,
        note=say("research.components_note"),
    )


def _build_split(part: OutcomeStudy, teller: Teller) -> Table:
    say, split = teller.wording.say, part.split
    assert split is not None  # noqa: S101
    confidence = {"confidence": describe_confidence(teller)}
    return Table(
        key=make_key(f"split-all-{part.outcome.name}"),
        caption=say(
            "research.split_table", {"outcome": part.outcome.label, "measure": str(split.measure)}
        ),
        columns=(
            Column(heading=say("research.factor")),
            Column(heading=say("research.role")),
            Column(heading=say("research.split_share"), numeric=True),
            Column(heading=say("columns.interval", confidence), numeric=True),
            Column(heading=say("research.split_relative"), numeric=True),
        ),
        rows=tuple(
            (
                teller.label(one.factor),
                str(one.role),
                decimal(100 * one.share, places=1),
                _limits(one.low, one.high),
                decimal(100 * one.relative, places=0),
            )
            for one in split.shares
        ),
        note=say(
            "research.split_note",
            {
                "total": decimal(100 * split.total, places=0),
                "orders": _orders(split.orders, teller),
            },
        ),
    )


def _orders(orders: int, teller: Teller) -> str:
    """Return how the orders of bringing factors in were averaged over."""
    say = teller.wording.say
    return say("research.orders", {"n": orders}) if orders else say("research.orders_all")


def _limits(low: float | None, high: float | None) -> str:
    return span(None if low is None else 100 * low, None if high is None else 100 * high)
