"""One effect, one tangle, one curve: the sentences that tell them."""

from collections.abc import Sequence

from outcomes.effects.effect import Effect, RankedFactor, Verdict, Word
from outcomes.finding import Finding
from outcomes.log.codebook import Outcome
from outcomes.report.amounts import (
    describe_change,
    describe_limits,
    describe_rate,
    describe_span,
    round_up,
    whole_per_100,
)
from outcomes.report.cautions import find_cautions
from outcomes.report.document import Statement
from outcomes.report.doubts_in_place import describe_doubt, hangs_on_one_firing
from outcomes.report.firing_names import name_firing
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, join_words, mid_sentence
from outcomes.study.record import Tangle

WORD_KEYS = {
    Word.CHANGES: "changes",
    Word.LEANS: "leans",
    Word.SMALL: "small",
    Word.CANNOT_TELL: "cannot_tell",
    Word.NEVER_VARIED: "never_varied",
    Word.TANGLED: "tangled",
    Word.THIN: "thin",
}

# Where one firing decides, the reader is told which, unless nothing is claimed.
_WATCHED = (Word.CHANGES, Word.LEANS, Word.CANNOT_TELL)


def describe_effect(effect: Effect, outcome: Outcome, teller: Teller, *, alone: bool = True) -> str:
    """Return the sentence of an effect: its number, its two values, its interval.

    ``alone`` is False where a finding beside it names the firing that decides it.
    """
    say = teller.wording.say
    values: dict[str, Value] = {
        "phrase": outcome.phrase,
        "contrast": teller.contrast(effect.contrast),
        "limits": describe_limits(effect, teller.wording),
        "change": describe_change(effect.change, teller.wording),
        "band": f"{outcome.smallest_difference:g}",
    }
    # "1 more show ..." cannot be read aloud; a difference of 1 in 100 is about none.
    key = "sentence.same" if abs(whole_per_100(effect.change)) <= 1 else "sentence.differs"
    parts = [say(key, values)]
    if word_of(effect) is Word.SMALL:
        parts.append(say("sentence.small", values))
    if alone and _is_fragile(effect, teller):
        parts.append(describe_fragility(effect, teller))
    return " ".join(parts)


def _is_fragile(effect: Effect, teller: Teller) -> bool:
    """Return whether the reader must know that one firing decides an effect."""
    if effect.fragile and word_of(effect) in _WATCHED and not _is_near_nothing(effect):
        return True
    return any(
        hangs_on_one_firing(finding, effect.contrast.factor)
        for finding in teller.part(effect.outcome).findings
    )


def _is_near_nothing(effect: Effect) -> bool:
    """Return whether an undecided difference is within luck of none, with the firing or without.

    From 1 fewer to 1 more is no turn when luck alone makes 15 either way.
    """
    if word_of(effect) is not Word.CANNOT_TELL:
        return False
    if effect.standard_error is None or effect.pivot_change is None:
        return False
    return max(abs(effect.change), abs(effect.pivot_change)) < effect.standard_error


def describe_fragility(effect: Effect, teller: Teller) -> str:
    """Return which single firing an effect hangs on, and what it would be without it."""
    if effect.pivot_change is None or not effect.pivot_firing:
        return teller.wording.say("sentence.fragile_fit")
    change = describe_change(effect.pivot_change, teller.wording)
    name = name_firing(effect.pivot_firing, teller.part(effect.outcome), teller)
    return teller.wording.say("sentence.fragile", {"name": name, "change": change})


def describe_basis(effect: Effect, teller: Teller) -> str:
    """Return "Rests on about 24 firings.", and of how many comparisons it was picked."""
    say, looks = teller.wording.say, effect.contrast.comparisons
    basis = say("numbers.rest", {"n": max(1, round(effect.effective_firings))})
    if looks == 1:
        return basis
    return " ".join((basis, say("sentence.many_looks", {"n": looks})))


def describe_further(verdict: Verdict, teller: Teller) -> str:
    """Return how much more it would take to decide."""
    if verdict.further_firings is None:
        return teller.wording.say("sentence.further_many")
    return teller.wording.say("sentence.further", {"n": round_up(verdict.further_firings)})


def describe_place(ranked: RankedFactor, n: int, teller: Teller) -> str:
    """Return a setting with its place and the places luck leaves open."""
    values: dict[str, Value] = {
        "label": teller.label(ranked.factor),
        "rank": ranked.rank,
        "n": n,
        "low": ranked.rank_low,
        "high": ranked.rank_high,
    }
    sure = ranked.rank_low == ranked.rank_high
    return teller.wording.say("outcomes.place_sure" if sure else "outcomes.place", values)


def build_statement(
    effect: Effect,
    outcome: Outcome,
    teller: Teller,
    *,
    title: str = "",
    doubts: Sequence[Finding] = (),
) -> Statement:
    """Return an effect as a statement: sentence, verdict, basis, doubts and cautions in place."""
    hung = any(hangs_on_one_firing(finding, effect.contrast.factor) for finding in doubts)
    return Statement(
        title=title,
        text=describe_effect(effect, outcome, teller, alone=not hung),
        word=word_of(effect),
        basis=describe_basis(effect, teller),
        doubts=tuple(describe_doubt(finding) for finding in doubts),
        cautions=find_cautions((effect,), outcome, teller),
    )


def describe_tangle(tangle: Tangle, outcome: Outcome, teller: Teller) -> str:
    """Return what moved with what, and the two ways of reading it."""
    say, wording = teller.wording.say, teller.wording
    twins = join_words([mid_sentence(teller.label(name)) for name in tangle.with_factors])
    values: dict[str, Value] = {
        "label": teller.label(tangle.factor),
        "twins": twins,
        "explained": describe_rate(tangle.explained, wording),
        "phrase": outcome.phrase,
    }
    sentence = say("unknown.tangle", values)
    if tangle.alone is None or tangle.twin_alone is None or tangle.joint is None:
        return sentence
    numbers: dict[str, Value] = {
        **values,
        "own": mid_sentence(teller.label(tangle.factor)),
        "twin": mid_sentence(teller.label(tangle.with_factors[0])),
        "alone": describe_change(tangle.alone, wording),
        "other": describe_change(tangle.twin_alone, wording),
        "joint": describe_change(tangle.joint, wording),
    }
    return f"{sentence} {say('unknown.tangle_joint', numbers)}"


def describe_picture_row(effect: Effect, teller: Teller) -> str:
    """Return one line of a strip picture in words."""
    word = word_of(effect)
    values: dict[str, Value] = {
        "label": teller.label(effect.contrast.factor),
        "values": teller.short_contrast(effect.contrast),
        "number": describe_change(effect.change, teller.wording),
        "limits": describe_limits(effect, teller.wording),
        "word": "" if word is None else str(word),
    }
    key = "outcomes.strip_alt_plain" if word is None else "outcomes.strip_alt_row"
    return teller.wording.say(key, values)


def describe_interval_cell(effect: Effect, teller: Teller) -> str:
    """Return the interval for a table cell."""
    if effect.interval is None:
        return "–"
    return describe_span(effect.interval.low, effect.interval.high, teller.wording)


def word_of(effect: Effect) -> Word | None:
    """Return the verdict word of an effect, None for conditions and groupings."""
    return None if effect.verdict is None else effect.verdict.word
