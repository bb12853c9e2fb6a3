"""What every sentence needs to know: the study, the words, and the units the maker writes in."""

from collections.abc import Mapping
from dataclasses import dataclass

from outcomes.effects.effect import Contrast
from outcomes.log.codebook import Factor, Kind, Outcome
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.units import dimension_of, to_base
from outcomes.report.amounts import describe_number
from outcomes.report.wording import Wording, choose_words, mid_sentence, read_wording
from outcomes.study.record import OutcomeStudy, Study

TREND = "date_trend"
YES_NO = ("no", "yes")
SHORT = 28  # letters that fit beside a picture and at the head of a column


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Teller:
    """A study with the words to tell it in.

    ``units`` holds the unit each numeric column is shown in: the one the maker wrote.
    """

    study: Study
    wording: Wording
    units: Mapping[str, str]

    def part(self, outcome: str) -> OutcomeStudy:
        """Return what was learnt about one outcome."""
        return next(part for part in self.study.outcomes if part.outcome.name == outcome)

    def factor(self, name: str) -> Factor | None:
        """Return the factor, or None for the date trend and other terms of our own."""
        return next((f for f in self.study.log.codebook.factors if f.name == name), None)

    def grade(self, outcome: Outcome, index: int) -> str:
        """Return a grade in a word or two: what stands before the colon of its wording.

        A wording without a colon is used whole when it is short, else the level's own name.
        """
        return name_grade(outcome, index)

    def label(self, name: str) -> str:
        """Return what a factor, an outcome or a special column is called."""
        factor = self.factor(name)
        if factor is not None:
            return factor.label
        codebook = self.study.log.codebook
        outcomes = {outcome.name: outcome.label for outcome in codebook.outcomes}
        special = {
            TREND: "trend",
            codebook.firing: "firing",
            codebook.date: "date",
            codebook.piece: "piece",
            codebook.loaded: "loaded",
            codebook.notes: "notes",
        }
        if name in special:
            return self.wording.say(f"special.{special[name]}")
        return outcomes.get(name, name)

    def amount(self, value: float | str, name: str) -> str:
        """Return a value of a factor in the maker's unit; temperatures in both scales."""
        if isinstance(value, str):
            return value
        factor = self.factor(name)
        if factor is None:
            return self.plain_amount(value, name)
        shown = self.units.get(name, factor.unit)
        first = self._in_unit(value, factor, shown)
        if {factor.unit, shown} <= {"C", "F"}:
            other = "C" if shown == "F" else "F"
        elif shown != factor.unit:
            other = factor.unit
        else:
            return first
        second = self._in_unit(value, factor, other)
        return self.wording.say("numbers.with_other_unit", {"first": first, "second": second})

    def plain_amount(self, value: float | str, name: str) -> str:
        """Return a value in the maker's unit only, for tables and axes."""
        if isinstance(value, str):
            return value
        factor = self.factor(name)
        if factor is None:
            key = "special.day" if name == TREND else "special.number"
            return self.wording.say(key, {"n": f"{value:g}"})
        return self._in_unit(value, factor, self.units.get(name, factor.unit))

    def contrast(self, contrast: Contrast) -> str:
        """Return how two values stand in a sentence: "with seconds to the can at 18 s ..."."""
        name = contrast.factor
        factor = self.factor(name)
        values = {
            "label": mid_sentence(self.label(name)),
            "from": self.amount(contrast.from_value, name),
            "to": self.amount(contrast.to_value, name),
        }
        if factor is not None and factor.levels == YES_NO:
            return self.wording.say(f"contrast.{contrast.to_value}", values)
        kind = "levels" if isinstance(contrast.to_value, str) else "amounts"
        return self.wording.say(f"contrast.{kind}", values)

    def short_contrast(self, contrast: Contrast) -> str:
        """Return "6 s → 18 s"."""
        return self.wording.say(
            "contrast.short",
            {
                "from": self.plain_amount(contrast.from_value, contrast.factor),
                "to": self.plain_amount(contrast.to_value, contrast.factor),
            },
        )

    def in_shown_unit(self, value: float, name: str) -> float:
        """Return a number of the base unit in the unit shown."""
        factor = self.factor(name)
        if factor is None:
            return value
        return convert_from_base(value, self.units.get(name, factor.unit), factor.unit)

    def unit_word(self, name: str) -> str:
        """Return the sign of the unit shown for a factor, "" when it has none."""
        factor = self.factor(name)
        unit = "" if factor is None else self.units.get(name, factor.unit)
        return self.sign(unit)

    def sign(self, unit: str) -> str:
        """Return the sign of a unit code, "" for none."""
        if not unit:
            return ""
        key = f"units.{unit}"
        return self.wording.say(key) if key in self.wording.texts else unit

    def _in_unit(self, value: float, factor: Factor, unit: str) -> str:
        shown = convert_from_base(value, unit, factor.unit)
        step = factor.step if unit == factor.unit else None
        sign = self.sign(unit)
        # A percent sign stands close in English, every other sign after a narrow no-break space.
        gap = "" if unit == "pct" or not sign else "\u202f"
        return f"{describe_number(shown, step=step, unit=unit)}{gap}{sign}"


def name_grade(outcome: Outcome, index: int) -> str:
    """Return a grade in a word or two, as `Teller.grade` does."""
    level = outcome.levels[index]
    head, colon, _ = level.wording.partition(":")
    if colon or len(level.wording) <= SHORT:
        return head.strip()
    return level.name


def build_teller(study: Study) -> Teller:
    """Return a study with the wording, its codebook's words and the maker's units."""
    codebook = study.log.codebook
    words = choose_words(read_wording(), cluster=codebook.cluster_word, piece=codebook.piece_word)
    units = {
        factor.name: find_shown_unit(study.log, factor)
        for factor in codebook.factors
        if factor.kind is Kind.NUMBER
    }
    return Teller(study=study, wording=words, units=units)


def find_shown_unit(log: FiringLog, factor: Factor) -> str:
    """Return the unit the maker writes a column in.

    It is the one the header states; without one, a temperature column of which most cells were
    converted is a Fahrenheit column; otherwise the codebook's own unit. A header that counts in
    a measure ("sheets") states no unit.
    """
    units = (h.unit for h in log.headers if h.column == factor.name)
    stated = [unit for unit in units if unit and _is_alike(unit, factor.unit)]
    if stated:
        return stated[0]
    if factor.unit == "C" and factor.name in log.how.columns:
        how = log.how[factor.name].astype(str)
        if (how == str(How.CONVERTED)).sum() > (how == str(How.EXACT)).sum():
            return "F"
    return factor.unit


def _is_alike(unit: str, base: str) -> bool:
    """Return whether a unit measures what the base unit measures."""
    return unit == base or dimension_of(unit) == dimension_of(base) != ""


def convert_from_base(value: float, unit: str, base: str) -> float:
    """Return a number of the base unit in another unit (every unit is a straight line away).

    >>> round(convert_from_base(980.0, "F", "C"), 6)
    1796.0
    """
    if unit == base:
        return value
    zero, one = to_base(0.0, unit, base), to_base(1.0, unit, base)
    return (value - zero) / (one - zero)
