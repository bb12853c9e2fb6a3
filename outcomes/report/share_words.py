"""The parts of an outcome's differences in words: tenths in the sentence, hundredths beside it."""

import math

from outcomes.effects.shares import SharePart, Shares
from outcomes.report.amounts import whole_per_100
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence
from outcomes.study.record import OutcomeStudy


def describe_shares(part: OutcomeStudy, teller: Teller) -> str:
    """Return the plain sentences on how one outcome's differences divide."""
    say, shares = teller.wording.say, part.shares
    if shares is None:
        return ""
    if isinstance(shares, str):
        return say("shares.not_told", {"outcome": part.outcome.label, "why": shares})
    if shares.yours.low is None or shares.yours.high is None:
        return _describe_roughly(part, shares, teller)
    return f"{_describe_yours(part, shares, teller)} {_describe_luck(shares, teller)}"


def _describe_yours(part: OutcomeStudy, shares: Shares, teller: Teller) -> str:
    values: dict[str, Value] = {
        "n": min(shares.tenths, 9),
        "low": _tenths(shares.tenths_low, teller),
        "high": _tenths(shares.tenths_high, teller),
        "outcome": mid_sentence(part.outcome.label),
    }
    if shares.tenths == 0:
        return teller.wording.say("shares.yours_little", values)
    same = shares.tenths == shares.tenths_low == shares.tenths_high
    return teller.wording.say("shares.yours_sure" if same else "shares.yours", values)


def _tenths(tenths: int | None, teller: Teller) -> str:
    return str(tenths) if tenths else teller.wording.say("numbers.part_low")


def _describe_luck(shares: Shares, teller: Teller) -> str:
    """Return the two lucks; luck of the firing that was not seen is never called absent."""
    say = teller.wording.say
    firing, piece = find_part(shares, "firing_luck"), find_part(shares, "piece_luck")
    values: dict[str, Value] = {
        "firing": round(10 * firing.share),
        "piece_n": max(1, round(10 * piece.share)),
        "high": _highest_tenths(firing),
        "firing_limits": _tenths_span(firing, teller),
    }
    if shares.at_boundary:
        return say("shares.luck_unseen", values)
    return say("shares.luck" if values["firing"] else "shares.luck_little", values)


def _tenths_span(one: SharePart, teller: Teller) -> str:
    low, high = round(10 * (one.low or 0.0)), _highest_tenths(one)
    if not low:
        return teller.wording.say("numbers.part_up_to", {"high": high})
    return teller.wording.say("numbers.part_span", {"low": low, "high": high})


def _highest_tenths(one: SharePart) -> int:
    """Return the upper limit in tenths, rounded up: what is not known is not made small."""
    return max(1, math.ceil(10 * (one.share if one.high is None else one.high) - 1e-9))


def _describe_roughly(part: OutcomeStudy, shares: Shares, teller: Teller) -> str:
    """Return words only: what a log of few firings can say."""
    say = teller.wording.say
    values: dict[str, Value] = {
        "outcome": part.outcome.label,
        "n": shares.firings,
        "yours": shares.yours.size,
        "firing": find_part(shares, "firing_luck").size,
        "piece_size": find_part(shares, "piece_luck").size,
    }
    said = say("shares.words", values)
    if not shares.at_boundary:
        return said
    unseen = say("shares.words_unseen")
    return f"{said} {unseen}"


def find_part(shares: Shares, name: str) -> SharePart:
    """Return one part of a bar by its name."""
    return next(one for one in shares.parts if one.name == name)


def name_part(name: str, teller: Teller) -> str:
    """Return a part's name in a few words."""
    return teller.wording.say(f"part_names.{name}")


def describe_part_size(one: SharePart, teller: Teller) -> str:
    """Return "44" or "less than 1": parts of 100."""
    number = whole_per_100(one.share)
    return str(number) if number else teller.wording.say("numbers.part_low")


def build_part_rows(shares: Shares, teller: Teller) -> list[tuple[str, ...]]:
    """Return (part, parts of 100, interval, remark) of every part, and of what is yours."""
    rows = [
        (
            name_part(one.name, teller),
            describe_part_size(one, teller),
            _describe_limits(one, teller),
            _describe_remark(one, shares, teller),
        )
        for one in shares.parts
    ]
    yours = shares.yours
    together = teller.wording.say("shares.together")
    size = describe_part_size(yours, teller)
    return [*rows, (together, size, _describe_limits(yours, teller), "")]


def _describe_limits(one: SharePart, teller: Teller) -> str:
    say = teller.wording.say
    if one.low is None or one.high is None:
        return "–"
    low = whole_per_100(one.low)
    if not low:
        return say("numbers.part_up_to", {"high": _highest(one)})
    return say("numbers.part_span", {"low": low, "high": _highest(one)})


def _highest(one: SharePart) -> int:
    """Return the upper limit in whole parts of 100, never none."""
    high = one.share if one.high is None else one.high
    return max(1, whole_per_100(high))


def _describe_remark(one: SharePart, shares: Shares, teller: Teller) -> str:
    if one.name == "firing_luck" and shares.at_boundary:
        return teller.wording.say("shares.unseen_mark")
    return teller.wording.say("shares.shared_mark") if one.shared else ""
