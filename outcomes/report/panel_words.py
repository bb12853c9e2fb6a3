"""The words of the panel: its labels, and what must be said beside each outcome."""

from collections.abc import Sequence

from outcomes.doubts.skill import SkillWord
from outcomes.effects.panel import PanelOutcome
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, capitalise, join_words, mid_sentence, plural

_BY_THE_PAGE = {name: f"{{{name}}}" for name in ("n", "low", "high", "count", "list", "label",
                                                 "word", "phrase")}  # fmt: skip
_KEYS = ("settings", "results", "count", "about", "usual", "moved", "moved_one", "hundred", "reset",
         "range", "fixed", "far", "far_help", "not_graded")  # fmt: skip
_DOUBTS = {SkillWord.NOT_SHOWN: "panel.not_shown", SkillWord.WORSE: "panel.worse"}


def list_words(teller: Teller) -> dict[str, str]:
    """Return the texts the page puts together itself, their slots left open."""
    say = teller.wording.say
    texts = {key: say(f"panel.{key}", dict(_BY_THE_PAGE)) for key in _KEYS}
    texts |= {key: say(f"numbers.{key}") for key in ("rate_low", "rate_high")}
    glaze = teller.study.log.codebook.glaze
    return texts | {
        "caution": say("page.caution"),
        "glaze": teller.label(glaze) if glaze else "",
    }


def describe_outcome(
    outcome: PanelOutcome, not_held: Sequence[str], teller: Teller
) -> dict[str, str | list[str]]:
    """Return an outcome's label, what its filled pots are, and reasons to doubt them.

    Parameters
    ----------
    outcome
        In the panel.
    not_held
        Settings offered that its model does not hold.
    """
    say, part = teller.wording.say, teller.part(outcome.name)
    values: dict[str, Value] = {"phrase": part.outcome.phrase}
    notes = []
    if part.skill is not None and part.skill.overall.word in _DOUBTS:
        notes.append(say(_DOUBTS[part.skill.overall.word]))
    if not_held:
        labels = join_words([mid_sentence(teller.label(name)) for name in not_held])
        notes.append(say("panel.not_held", {"labels": labels}))
    return {
        "label": part.outcome.label,
        "phrase": part.outcome.phrase,
        "those": capitalise(say("panel.those", values)),
        "notes": notes,
    }


def describe_own(factor: str, teller: Teller) -> str:
    """Return the remark that a glaze has its own effect of a setting."""
    values = {"label": teller.label(factor), **name_groups(teller)}
    return teller.wording.say("panel.own", values)


def name_groups(teller: Teller) -> dict[str, str]:
    """Return what glazes are called in the middle of a sentence."""
    return {"groups": plural(mid_sentence(teller.label(teller.study.log.codebook.glaze)))}


def find_verdicts(outcome: str, factors: Sequence[str], teller: Teller) -> tuple[str, ...]:
    """Return the verdict words of some settings on an outcome, "" where none was given."""
    words = {
        effect.contrast.factor: str(effect.verdict.word)
        for effect in teller.part(outcome).effects
        if effect.verdict is not None
    }
    return tuple(words.get(factor, "") for factor in factors)
