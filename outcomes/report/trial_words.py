"""The sentences about one hypothesis: what was claimed, what was found, what it rests on."""

from dataclasses import dataclass

from outcomes.log.codebook import Codebook, Factor, Outcome
from outcomes.log.units import to_base
from outcomes.planning.plan import Claim, Direction, Hypothesis, Value
from outcomes.planning.trial import Answer, Answered
from outcomes.report.amounts import describe_change, describe_number, describe_rate, describe_span
from outcomes.report.wording import Wording, choose_words, mid_sentence, read_wording
from outcomes.resampling.interval import Interval

# What a direction claims of an outcome with two grades, and of one with more.
_OF_TWO = {
    Direction.MORE: "claim.more",
    Direction.FEWER: "claim.fewer",
    Direction.EITHER: "claim.either",
}
_OF_MORE = {
    Direction.MORE: "claim.higher",
    Direction.FEWER: "claim.lower",
    Direction.EITHER: "claim.other",
}

ANSWER_KEYS = {
    Answer.SUPPORTED: "answer.supported",
    Answer.OPPOSED: "answer.opposed",
    Answer.EQUIVALENT: "answer.equivalent",
    Answer.UNDECIDED: "answer.undecided",
}
MEANINGS = {
    Answer.SUPPORTED: "answer.supported_means",
    Answer.OPPOSED: "answer.opposed_means",
    Answer.EQUIVALENT: "answer.equivalent_means",
    Answer.UNDECIDED: "answer.undecided_means",
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Speaker:
    """A codebook with the words to speak of its columns in."""

    codebook: Codebook
    wording: Wording

    def factor(self, name: str) -> Factor:
        """Return the factor of that name."""
        return self.codebook.factor(name)

    def outcome(self, name: str) -> Outcome:
        """Return the outcome of that name."""
        return self.codebook.outcome(name)

    def amount(self, value: Value, name: str) -> str:
        """Return a value with its unit; temperatures on both scales."""
        factor = self.factor(name)
        if isinstance(value, str):
            return f"“{value}”"
        first = self._in_unit(value, factor, factor.unit)
        if factor.unit != "C":
            return first
        fahrenheit = (value - to_base(0.0, "F", "C")) / (
            to_base(1.0, "F", "C") - to_base(0.0, "F", "C")
        )
        second = self._in_unit(fahrenheit, factor, "F")
        return self.wording.say("numbers.with_other_unit", {"first": first, "second": second})

    def _in_unit(self, value: float, factor: Factor, unit: str) -> str:
        sign = self.wording.say(f"units.{unit}") if f"units.{unit}" in self.wording.texts else unit
        step = factor.step if unit == factor.unit and float(value).is_integer() else None
        number = describe_number(value, step=step, unit=unit)
        gap = "" if unit == "pct" or not sign else "\u202f"
        return f"{number}{gap}{sign}"


def build_speaker(codebook: Codebook) -> Speaker:
    """Return a codebook with the package's wording in its own words for firing and piece."""
    words = choose_words(read_wording(), cluster=codebook.cluster_word, piece=codebook.piece_word)
    return Speaker(codebook=codebook, wording=words)


def describe_claim(hypothesis: Hypothesis, speaker: Speaker) -> str:
    """Return what the plan said.

    Notes
    -----
    What is permuted are all the grades, so that is what a claim with more than two of them says.
    """
    outcome = speaker.outcome(hypothesis.outcome)
    key = (_OF_TWO if len(outcome.levels) == 2 else _OF_MORE)[hypothesis.direction]
    if hypothesis.claim is Claim.EQUIVALENCE:
        key = "claim.equivalence"
    return speaker.wording.say(
        key,
        {
            "phrase": outcome.phrase,
            "outcome": mid_sentence(outcome.label),
            "label": mid_sentence(speaker.factor(hypothesis.factor).label),
            "from": speaker.amount(hypothesis.from_value, hypothesis.factor),
            "to": speaker.amount(hypothesis.to_value, hypothesis.factor),
            "margin": describe_margin(hypothesis, speaker),
        },
    )


def describe_margin(hypothesis: Hypothesis, speaker: Speaker) -> str:
    """Return the margins of a hypothesis, "" when it has none."""
    say = speaker.wording.say
    pieces = grade = ""
    if hypothesis.margin is not None:
        pieces = say("claim.margin_pieces", {"n": f"{hypothesis.margin:g}"})
    if hypothesis.margin_grade is not None:
        grade = say("claim.margin_grade", {"n": f"{hypothesis.margin_grade:g}"})
    if pieces and grade:
        return say("claim.margin_both", {"pieces_margin": pieces, "grade_margin": grade})
    return pieces or grade


def describe_found(answered: Answered, speaker: Speaker) -> str:
    """Return the difference with its interval, or the plain counts where there is none."""
    tested, say = answered.tested, speaker.wording.say
    hypothesis, effect = tested.hypothesis, tested.effect
    outcome = speaker.outcome(hypothesis.outcome)
    values: dict[str, str | int] = {
        "phrase": outcome.phrase,
        "from": speaker.amount(hypothesis.from_value, hypothesis.factor),
        "to": speaker.amount(hypothesis.to_value, hypothesis.factor),
    }
    if effect is None or effect.interval is None:
        reason = tested.why_no_effect or say("found.no_interval", {"n": tested.firings})
        counts: dict[str, str | int] = {
            "n_from": tested.pieces_from,
            "n_to": tested.pieces_to,
            "k_from": sum(tested.counts_from[outcome.aim :]),
            "k_to": sum(tested.counts_to[outcome.aim :]),
            "reason": reason,
        }
        return say("found.no_model", {**values, **counts})
    shown = {
        "rate_from": describe_rate(effect.rate_from, speaker.wording),
        "rate_to": describe_rate(effect.rate_to, speaker.wording),
        "change": describe_change(effect.change, speaker.wording),
        "limits": describe_span(effect.interval.low, effect.interval.high, speaker.wording),
        "confidence": percent(effect.interval.confidence),
        "grade": _describe_grade(answered, speaker),
    }
    told = [say("found.rates", {**values, **shown})]
    if tested.pulled:
        told.append(say("found.pulled"))
    if answered.answer in {Answer.SUPPORTED, Answer.OPPOSED} and _is_open(effect.interval):
        told.append(say("found.open_at_aim", {"phrase": outcome.phrase}))
    return " ".join(told)


def _is_open(interval: Interval) -> bool:
    """Whether an interval holds zero."""
    return interval.low <= 0.0 <= interval.high


def _describe_grade(answered: Answered, speaker: Speaker) -> str:
    """Return the change of the mean grade: "0.9 higher (from 0.4 to 1.4)"."""
    effect = answered.tested.effect
    assert effect is not None  # noqa: S101 - the caller has an interval
    change, interval = effect.mean_grade_change, effect.mean_grade_interval
    up = change >= 0
    size = f"{abs(change):.1f}"
    if interval is None:
        return speaker.wording.say("found.grade_plain", {"n": size})
    low, high = sorted((abs(interval.low), abs(interval.high)))
    key = "found.grade_higher" if up else "found.grade_lower"
    if interval.low * interval.high <= 0:
        low, high = abs(interval.low), abs(interval.high)
        key = "found.grade_up" if up else "found.grade_down"
    return speaker.wording.say(key, {"n": size, "low": f"{low:.1f}", "high": f"{high:.1f}"})


def describe_test(answered: Answered, speaker: Speaker, *, hypotheses: int) -> str:
    """Return the p value of a claimed difference, and how it was computed."""
    tested, say = answered.tested, speaker.wording.say
    found = tested.permutation
    two_sided = tested.hypothesis.direction is Direction.EITHER
    count = found.drawn or found.arrangements
    beyond = round(answered.p_value * count)
    if found.drawn:  # (b + 1) / (m + 1)
        beyond = round(answered.p_value * (count + 1) - 1)
    times = say("found.count", {"n": beyond, "k": show_count(beyond)})
    text = say(
        "found.drawn" if found.drawn else "found.exact",
        {
            "n": show_count(count),
            "count": times if beyond else say("found.count_none"),
            "clear": say("found.clear_two" if two_sided else "found.clear_one"),
            "p": show_p(answered.p_value),
            "error": f"{found.error(answered.p_value):.1g}",
        },
    )
    if hypotheses > 1:
        text += " " + say("found.holm", {"n": hypotheses, "p": show_p(answered.p_adjusted)})
    return text


def describe_basis(answered: Answered, speaker: Speaker) -> str:
    """Return how many pieces and firings an answer rests on."""
    tested = answered.tested
    hypothesis = tested.hypothesis
    return speaker.wording.say(
        "found.basis",
        {
            "n_from": tested.pieces_from,
            "n_to": tested.pieces_to,
            "firings": tested.firings,
            "from": speaker.amount(hypothesis.from_value, hypothesis.factor),
            "to": speaker.amount(hypothesis.to_value, hypothesis.factor),
        },
    )


def show_p(p: float) -> str:
    """Return a p value with two significant digits, never 0 and never more than four decimals.

    >>> show_p(0.03125), show_p(0.00002), show_p(0.5), show_p(1.0)
    ('0.031', 'less than 0.0001', '0.50', '1')
    """
    if p < 0.0001 - 1e-12:
        return "less than 0.0001"
    if p >= 0.9995:
        return "1"
    return f"{p:.2f}" if p >= 0.1 else f"{p:.3f}" if p >= 0.01 else f"{p:.4f}"


def show_count(count: int) -> str:
    """Return a whole number: grouped by thousands, huge ones as a power of ten.

    >>> show_count(9999), show_count(281474976710656)
    ('9\u202f999', 'about 2.8 × 10^14')
    """
    if count < 1_000_000:
        return f"{count:,}".replace(",", "\u202f")
    digits = str(count)
    return f"about {digits[0]}.{digits[1]} × 10^{len(digits) - 1}"


def percent(share: float) -> str:
    """Return a share as a percentage without needless decimals.

    >>> percent(0.95), percent(0.998)
    ('95', '99.8')
    """
    return f"{100 * share:.10g}"
