"""What a power simulation supposed, in sentences: grades, luck, lot, level."""

from collections.abc import Iterator

from outcomes.planning.plan import Unit
from outcomes.planning.power_question import Kind, Luck
from outcomes.planning.power_truth import firing_range
from outcomes.report.amounts import clamp_per_100
from outcomes.report.power_teller import PowerTeller
from outcomes.report.wording import Value

_LUCKS = {
    Luck.STATED: "power.luck_stated",
    Luck.ASSUMED: "power.luck_assumed",
    Luck.ESTIMATED: "power.luck_estimated",
    Luck.UPPER: "power.luck_upper",
}


def describe_supposed(teller: PowerTeller) -> tuple[str, ...]:
    """Return the suppositions, one or two sentences each."""
    return (*_describe_grades(teller), *_describe_luck(teller), *_describe_lot(teller))


def _describe_grades(teller: PowerTeller) -> Iterator[str]:
    """Yield how the grades fall, and which of them count."""
    say, known = teller.wording.say, teller.part.background
    shares = ", ".join(f"{100 * share:.3g}" for share in known.shares)
    if known.pieces:
        counts = {"pieces_n": known.pieces, "firings_n": known.firings}
        yield say("power.supposed_shares_log", {"shares": shares, **counts})
    else:
        yield say("power.supposed_shares_stated", {"shares": shares})
    truth = teller.part.scenario(Kind.MATTERS, teller.lucks()[0]).truth
    values: dict[str, Value] = {
        "aim": known.aim,
        "rate": f"{100 * truth.rate_now():.3g}",
        "then": f"{100 * truth.rate_then():.3g}",
    }
    yield say("power.supposed_aim", values)


def _describe_luck(teller: PowerTeller) -> Iterator[str]:
    """Yield every luck, where it comes from and what it means."""
    say = teller.wording.say
    for luck in teller.lucks():
        truth = teller.part.scenario(Kind.MATTERS, luck).truth
        unseen = luck is Luck.ESTIMATED and truth.firing_sd == 0.0
        key = "power.luck_unseen" if unseen else _LUCKS[luck]
        yield say(key, {"sd": f"{truth.firing_sd:.2g}"})
        if truth.firing_sd > 0.0:
            low, high = firing_range(truth)
            values: dict[str, Value] = {
                "sd": f"{truth.firing_sd:.2g}",
                "rate": f"{100 * truth.rate_now():.3g}",
                "low": clamp_per_100(low),
                "high": clamp_per_100(high),
            }
            yield say("power.luck_means", values)


def _describe_lot(teller: PowerTeller) -> Iterator[str]:
    """Yield what is assigned, in which sizes, at which level."""
    say, question = teller.wording.say, teller.part.question
    by_firing = question.assigned is Unit.FIRING
    yield say("power.lot_means_firing" if by_firing else "power.lot_means_piece")
    if question.values > 2:
        yield say("power.lot_values", {"n": question.values})
    for sizes in dict.fromkeys(layout.sizes for layout in teller.part.grid.layouts):
        if len(set(sizes)) > 1:
            mean = sum(sizes) / len(sizes)
            values: dict[str, Value] = {
                "low": min(sizes),
                "high": max(sizes),
                "mean": f"{mean:.1f}",
            }
            yield say("power.sizes_vary", values)
    if question.borrowed:
        yield say("power.borrowed", {"smallest": teller.smallest()})
    if question.claims > 1:
        yield say("power.holm", {"level": f"{100 * question.level:.3g}"})
    yield say("power.alike")
