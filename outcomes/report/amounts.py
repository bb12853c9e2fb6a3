"""Numbers as a maker reads them: whole pieces in 100, sensible rounding, no false certainty."""

import math

from outcomes.effects.effect import Effect
from outcomes.report.wording import Wording


def whole_per_100(share: float) -> int:
    """Return a share or a change as whole pieces in 100, halves away from zero.

    >>> whole_per_100(-0.305), whole_per_100(0.125), whole_per_100(-0.001)
    (-31, 13, 0)
    """
    size = math.floor(abs(100 * share) + 0.5 + 1e-9)
    return int(math.copysign(size, share)) if size else 0


def clamp_per_100(share: float) -> int:
    """Return a probability as whole pieces in 100, never 0 and never 100.

    >>> clamp_per_100(0.001), clamp_per_100(0.999), clamp_per_100(0.4)
    (1, 99, 40)
    """
    return min(99, max(1, whole_per_100(share)))


def describe_rate(share: float, wording: Wording) -> str:
    """Return a probability in words: a whole number of 100, never 0 and never 100."""
    if whole_per_100(share) < 1:
        return wording.say("numbers.rate_low")
    if whole_per_100(share) > 99:
        return wording.say("numbers.rate_high")
    return str(whole_per_100(share))


def describe_change(change: float, wording: Wording) -> str:
    """Return "31 fewer", "12 more" or "about the same" (under 1 in 100 after rounding)."""
    number = whole_per_100(change)
    if number == 0:
        return wording.say("numbers.same")
    return wording.say("numbers.more" if number > 0 else "numbers.fewer", {"n": abs(number)})


def describe_limits(effect: Effect, wording: Wording) -> str:
    """Return the interval: "from 15 to 44 fewer", "from 6 fewer to 8 more"."""
    if effect.interval is None:
        return wording.say("numbers.no_interval")
    return describe_span(effect.interval.low, effect.interval.high, wording)


def describe_span(low: float, high: float, wording: Wording) -> str:
    """Return two changes as a range; which side of none each lies on is never rounded away."""
    near, far = sorted((low, high), key=abs)
    if low * high > 0:
        key = "numbers.both_more" if low > 0 else "numbers.both_fewer"
        return wording.say(key, {"low": _size(near, wording), "high": _size(far, wording)})
    return wording.say("numbers.across", {"low": _size(low, wording), "high": _size(high, wording)})


def _size(change: float, wording: Wording) -> str:
    number = abs(whole_per_100(change))
    return str(number) if number else wording.say("numbers.under_one")


def round_up(count: int) -> int:
    """Return a rough count: whole to 20, then by fives, beyond 100 by tens, always upward.

    >>> [round_up(count) for count in (17, 32, 377)]
    [17, 35, 380]
    """
    step = 1 if count <= 20 else 5 if count <= 100 else 10
    return -(-count // step) * step


def describe_number(value: float, *, step: float | None, unit: str) -> str:
    """Return a number as fine as a practical step is, or to three digits without one.

    >>> describe_number(18.0, step=2.0, unit="s"), describe_number(0.75, step=0.1, unit="mm")
    ('18', '0.8')
    >>> describe_number(1796.4, step=None, unit="F"), describe_number(2.8219, step=None, unit="oz")
    ('1796', '2.82')
    """
    if unit in ("C", "F"):
        return f"{value:.0f}"
    if step is None:
        return _trim(f"{value:.{_decimals(value)}f}")
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return _trim(f"{value:.{decimals}f}")


def _decimals(value: float) -> int:
    """Return the decimals that leave three significant digits."""
    if value == 0:
        return 0
    return max(0, 2 - math.floor(math.log10(abs(value))))


def _trim(text: str) -> str:
    """Return a decimal number without empty zeros at its end, and without a minus zero."""
    bare = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if bare in ("-0", "") else bare
