"""Numbers of an agreement as they are read: rounded, with their interval, never too sure."""

import math
from collections.abc import Callable

from outcomes.graders.agreement import Agreement, Band, OutcomeAgreement, band_of
from outcomes.graders.measured import Measured, NoInterval
from outcomes.log.codebook import Outcome
from outcomes.report.amounts import whole_per_100
from outcomes.report.teller import name_grade
from outcomes.report.wording import Wording, capitalise, choose_words, read_wording

YES_NO_GRADES = 2


def build_words(agreement: Agreement) -> Wording:
    """Return the wording with the codebook's words for a piece and a firing."""
    codebook = agreement.gradings.codebook
    return choose_words(read_wording(), cluster=codebook.cluster_word, piece=codebook.piece_word)


def count_rows(agreement: Agreement) -> dict[str, int]:
    """Return how many rows were read, used and set aside, and how many cells were no use."""
    account = agreement.gradings.account
    return {
        "read": account.rows_read,
        "used": account.rows_used,
        "aside": len(account.set_aside),
        "cells": len(agreement.gradings.unusable),
    }


def label_grade(outcome: Outcome, index: int) -> str:
    """Return a grade by its name and, where it has one, its word: "2 patchy"."""
    name, word = outcome.levels[index].name, name_grade(outcome, index)
    return name if word == name or len(outcome.levels) == YES_NO_GRADES else f"{name} {word}"


def describe_measured(measured: Measured, wording: Wording) -> str:
    """Return a coefficient with its interval: "0.64 (from 0.49 to 0.75)"."""
    return _span(measured, wording, lambda value: describe_coefficient(value, wording))


def describe_share(measured: Measured, wording: Wording) -> str:
    """Return a share as pieces of 100 with its interval: "37 (from 26 to 49)"."""
    return _span(measured, wording, lambda share: str(whole_per_100(share)))


def describe_size(measured: Measured, wording: Wording) -> str:
    """Return how large a difference is, turned so that it is positive: "0.42 (from ...)"."""
    return _span(measured, wording, describe_plain, sign=1.0 if measured.value >= 0.0 else -1.0)


def describe_signed(measured: Measured, wording: Wording) -> str:
    """Return a difference as it is, sign and all: "−0.38 (from −0.86 to 0.10)"."""
    return _span(measured, wording, describe_plain)


def describe_plain(value: float) -> str:
    """Return a number to two decimals with a true minus, never a minus nought.

    >>> describe_plain(-0.004), describe_plain(-0.415)
    ('0.00', '−0.41')
    """
    text = f"{abs(value):.2f}"
    return f"−{text}" if value < 0.0 and float(text) else text


def describe_coefficient(value: float, wording: Wording) -> str:
    """Return a coefficient to two decimals; what is under 1 is not rounded up to it."""
    if math.isnan(value):
        return wording.say("agree.nothing")
    if value < 1.0 and f"{value:.2f}" == "1.00":
        return wording.say("agree.under_all")
    return describe_plain(value)


def describe_why(measured: Measured, wording: Wording) -> str:
    """Return why there is no interval, in words; "" when there is one."""
    if measured.why_none is NoInterval.NONE:
        return ""
    return wording.say(f"agree.why_{measured.why_none}")


def describe_band_doubt(compared: OutcomeAgreement, wording: Wording) -> str:
    """Return the sentence that the interval reaches over more than one word, or ""."""
    interval = compared.alpha.interval
    if interval is None or compared.band is Band.UNKNOWN:
        return ""
    if band_of(interval.low) is band_of(interval.high):
        return ""
    return wording.say(
        "agree.doubt_band",
        {"low": str(band_of(interval.low)), "high": str(band_of(interval.high))},
    )


def label_of(compared: OutcomeAgreement) -> str:
    """Return what the outcome is called at the start of a sentence."""
    return capitalise(compared.ratings.outcome.label)


def _span(
    measured: Measured, wording: Wording, tell: Callable[[float], str], *, sign: float = 1.0
) -> str:
    if math.isnan(measured.value):
        return wording.say("agree.nothing")
    value = tell(sign * measured.value)
    if measured.interval is None:
        return wording.say("agree.number", {"value": value})
    low, high = sorted((sign * measured.interval.low, sign * measured.interval.high))
    values = {"value": value, "low": tell(low), "high": tell(high)}
    return wording.say("agree.number_span", values)
