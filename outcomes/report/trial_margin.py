"""The sentence about a margin: inside it, across its edge, beyond it."""

from outcomes.planning.trial import Answer, Answered
from outcomes.report.amounts import describe_span
from outcomes.report.trial_words import Speaker, describe_margin, percent
from outcomes.report.wording import Value


def describe_equivalence(
    answered: Answered, speaker: Speaker, *, hypotheses: int, level: float
) -> str:
    """Return what the two one-sided tests say; "" without a margin."""
    tested, say = answered.tested, speaker.wording.say
    margin = describe_margin(tested.hypothesis, speaker)
    if not margin:
        return ""
    if tested.equivalence is None:
        return say("found.no_interval", {"n": tested.firings})
    values: dict[str, Value] = {
        "margin": margin,
        "limits": _describe_limits(answered, speaker),
        "confidence": percent(tested.equivalence.interval.confidence),
        "n": hypotheses,
    }
    return say(_find_key(answered, level=level), values)


def _find_key(answered: Answered, *, level: float) -> str:
    """Return which sentence fits."""
    found = answered.tested.equivalence
    assert found is not None  # noqa: S101 - the caller looked
    holds = answered.p_equivalent is not None and answered.p_equivalent <= level
    if holds:
        return "found.small_too" if answered.answer is Answer.SUPPORTED else "found.inside"
    if found.p_inside <= level:
        return "found.inside_holm"
    return "found.beyond" if _is_beyond(answered) else "found.across"


def _is_beyond(answered: Answered) -> bool:
    """Return whether the whole interval lies beyond the margin that is spoken of."""
    hypothesis, found = answered.tested.hypothesis, answered.tested.equivalence
    assert found is not None  # noqa: S101 - the caller looked
    interval, margin = found.interval, (hypothesis.margin or 0.0) / 100.0
    if hypothesis.margin is None:
        interval, margin = found.interval_grade, hypothesis.margin_grade or 0.0
    return interval.low > margin or interval.high < -margin


def _describe_limits(answered: Answered, speaker: Speaker) -> str:
    """Return the interval that is held against the margin, in the margin's own unit."""
    found = answered.tested.equivalence
    assert found is not None  # noqa: S101 - the caller looked
    if answered.tested.hypothesis.margin is not None:
        return describe_span(found.interval.low, found.interval.high, speaker.wording)
    return f"{found.interval_grade.low:.2f} to {found.interval_grade.high:.2f}"
