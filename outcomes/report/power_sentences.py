"""The answer of a power simulation in sentences."""

from collections.abc import Iterator, Sequence

from outcomes.planning.plan import Unit
from outcomes.planning.power_cell import Barred, Cell
from outcomes.planning.power_question import Kind, Luck
from outcomes.report.amounts import whole_per_100
from outcomes.report.power_teller import GOAL, PowerTeller
from outcomes.report.wording import Value, join_words
from outcomes.resampling.intervals import FEWEST_FIRINGS


def describe_answer(teller: PowerTeller) -> str:
    """Return the sentence that says how many firings it takes."""
    keys = ("power.reached", "power.not_reached")
    if teller.is_equivalence:
        keys = ("power.reached_equal", "power.not_reached_equal")
    elif teller.is_tested:
        keys = ("power.reached_test", "power.not_reached_test")
    return _describe_reach(teller, teller.lucks()[0], keys)


def describe_rest(teller: PowerTeller) -> tuple[str, ...]:
    """Return what else belongs to the answer, each a sentence or two."""
    return tuple(
        (
            *_describe_upper(teller),
            *_describe_width(teller),
            *(() if teller.is_equivalence else _describe_enough(teller)),
            *_describe_other(teller),
            *_describe_barred(teller),
            *_describe_way_out(teller),
        )
    )


def find_enough(teller: PowerTeller, luck: Luck) -> tuple[Cell, ...]:
    """Return, for every number of pieces, the fewest firings that reach the goal."""
    found: dict[tuple[int, ...], Cell] = {}
    for cell in teller.cells(teller.main_kind, luck):
        if teller.can_answer(cell) and 100 * teller.chance(cell) >= GOAL:
            found.setdefault(cell.layout.sizes, cell)
    return tuple(found.values())


def find_best(teller: PowerTeller, luck: Luck) -> Cell:
    """Return the cell with the highest chance."""
    cells = teller.cells(teller.main_kind, luck)
    return max(cells, key=lambda c: (teller.chance(c), c.layout.firings * c.layout.mean_size()))


def _describe_reach(teller: PowerTeller, luck: Luck, keys: tuple[str, str]) -> str:
    """Return the trials that reach the goal, or the best where none does."""
    say, enough = teller.wording.say, find_enough(teller, luck)
    sd = teller.part.scenario(teller.main_kind, luck).truth.firing_sd
    values: dict[str, Value] = {
        "goal": GOAL,
        "difference": teller.difference(),
        "smallest": teller.smallest(),
        "sd": f"{sd:.2g}",
    }
    if enough:
        trials = [
            say(
                "power.best_reach",
                {"trial": teller.trial(cell), "chance": teller.rate(teller.chance(cell))},
            )
            for cell in enough
        ]
        return say(keys[0], {**values, "trials": join_words(trials, last="or")})
    best = find_best(teller, luck)
    chance = teller.rate(teller.chance(best))
    return say(keys[1], {**values, "trial": teller.trial(best), "chance": chance})


def _describe_upper(teller: PowerTeller) -> Iterator[str]:
    """Yield what the most luck the log allows would mean."""
    likely = teller.lucks()[0]
    if Luck.UPPER in teller.lucks() and _is_harmless(teller, likely):
        sd = teller.part.scenario(teller.main_kind, Luck.UPPER).truth.firing_sd
        yield teller.wording.say("power.upper_harmless", {"sd": f"{sd:.2g}"})
    elif Luck.UPPER in teller.lucks():
        keys = ("power.upper_reached", "power.upper_not_reached")
        yield _describe_reach(teller, Luck.UPPER, keys)
    elif likely is Luck.ESTIMATED:
        yield teller.wording.say("power.upper_never")


def _is_harmless(teller: PowerTeller, likely: Luck) -> bool:
    """Return whether the most luck lowers no chance by more than the simulation leaves open."""
    pairs = zip(
        teller.cells(teller.main_kind, likely),
        teller.cells(teller.main_kind, Luck.UPPER),
        strict=True,
    )
    return all(teller.chance(most) >= teller.chance_limits(cell).low for cell, most in pairs)


def _describe_width(teller: PowerTeller) -> Iterator[str]:
    """Yield how wide the interval of the largest trial will be."""
    luck = teller.lucks()[0]
    enough = find_enough(teller, luck)
    cell = enough[0] if enough else find_best(teller, luck)
    width = cell.width()
    if width is not None:
        values: dict[str, Value] = {
            "trial": teller.trial(cell),
            "width": whole_per_100(width),
            "half": whole_per_100(width / 2),
        }
        yield teller.wording.say("power.width", values)


def _describe_enough(teller: PowerTeller) -> Iterator[str]:
    """Yield how often a trial also finds at least the smallest difference, and the wrong way."""
    say = teller.wording.say
    cells = [c for c in teller.cells(Kind.MATTERS, teller.lucks()[0]) if c.tally.clear]
    if not cells:
        return
    best = find_best(teller, teller.lucks()[0])
    values: dict[str, Value] = {
        "smallest": teller.smallest(),
        "trial": teller.trial(best),
        "chance": teller.rate(best.tally.clear / best.tally.runs),
        "both": teller.rate(best.tally.enough / best.tally.runs),
    }
    yield say("power.enough", values)
    wrong = max(cell.tally.wrong / cell.tally.clear for cell in cells)
    if wrong > 0.0:
        yield say("power.wrong", {"wrong": teller.rate(wrong)})
    else:
        yield say("power.wrong_none")


def _describe_other(teller: PowerTeller) -> Iterator[str]:
    """Yield how the trials behave when the claim does not hold."""
    say = teller.wording.say
    cells = [c for c in teller.cells(teller.other_kind, teller.lucks()[0]) if teller.can_answer(c)]
    if not cells:
        return
    level = teller.part.question.level
    if teller.is_equivalence:
        said = [cell.tally.small / cell.tally.runs for cell in cells]
        allowed: dict[str, Value] = {"level": f"{100 * level:.3g}", "smallest": teller.smallest()}
        yield say("power.false_equal", {**teller.span(said), **allowed})
        return
    shares = [teller.chance(cell) for cell in cells]
    confidence: dict[str, Value] = {
        "level": f"{100 * level:.3g}",
        "confidence": f"{100 - 100 * level:.4g}",
    }
    key = "power.nothing_test" if teller.is_tested else "power.nothing"
    yield say(key, {**teller.span(shares), **confidence})
    last = max(cells, key=lambda cell: cell.layout.firings * cell.layout.mean_size())
    small = teller.rate(last.tally.small / last.tally.runs)
    yield say("power.nothing_small", {"trial": teller.trial(last), "chance": small})


def _describe_barred(teller: PowerTeller) -> Iterator[str]:
    """Yield which firings cannot answer, and why."""
    say, level = teller.wording.say, teller.part.question.level
    cells = teller.cells(teller.main_kind, teller.lucks()[0])
    few = _firings(cells, Barred.FEW)
    if few:
        yield say("power.barred_few", {"firings": _list(few), "floor": FEWEST_FIRINGS})
    if teller.is_equivalence:
        return
    for firings in _firings(cells, Barred.P):
        least = min(c.smallest_p for c in cells if c.layout.firings == firings)
        values: dict[str, Value] = {
            "firings": firings,
            "p": f"{100 * least:.3g}",
            "level": f"{100 * level:.3g}",
        }
        needed = level * teller.part.question.claims
        yield say("power.barred_p" if least > needed else "power.barred_holm", values)


def _describe_way_out(teller: PowerTeller) -> Iterator[str]:
    """Yield what would need fewer firings, where no trial looked at is enough."""
    question, luck = teller.part.question, teller.lucks()[0]
    shares_luck = teller.part.scenario(teller.main_kind, luck).truth.firing_sd > 0.0
    if question.assigned is Unit.FIRING and shares_luck and not find_enough(teller, luck):
        yield teller.wording.say("power.within_plan" if question.name else "power.within")


def _firings(cells: Sequence[Cell], why: Barred) -> list[int]:
    return sorted({cell.layout.firings for cell in cells if cell.barred is why})


def _list(numbers: list[int]) -> str:
    return join_words([str(number) for number in numbers], last="or")
