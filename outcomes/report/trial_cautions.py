"""Cautions of a trial: in place where an answer points to the hot end, and all at the end."""

from outcomes.planning.trial import Answer, Answered, Trial
from outcomes.report.cautions import points_hot
from outcomes.report.document import Block, Callout, Paragraph, Section, Tone
from outcomes.report.trial_words import Speaker


def find_trial_cautions(answered: Answered, speaker: Speaker) -> tuple[str, ...]:
    """Return the safety note that must stand with an answer.

    An equivalence makes no end the better one, so either may be taken up: the note stands.
    """
    hypothesis, effect = answered.tested.hypothesis, answered.tested.effect
    factor, outcome = speaker.factor(hypothesis.factor), speaker.outcome(hypothesis.outcome)
    if not factor.safety_note:
        return ()
    is_open = effect is None or answered.answer is Answer.EQUIVALENT
    if is_open or (effect is not None and points_hot(effect, factor, outcome)):
        return (factor.safety_note,)
    return ()


def build_trial_cautions(trial: Trial, speaker: Speaker) -> Section:
    """Return the last section: safety first."""
    say, say_all = speaker.wording.say, speaker.wording.say_all
    codebook = speaker.codebook
    blocks: list[Block] = []
    if codebook.handles_hot_ware:
        blocks = [
            Paragraph(text=say("cautions.first"), tone=Tone.LEAD),
            Callout(
                title=say("cautions.hot_title"), items=say_all("cautions.hot"), tone=Tone.SAFETY
            ),
        ]
    notes = factor_notes([factor.name for factor in trial.plan.factors], speaker)
    if notes:
        blocks.append(Callout(title=say("cautions.factor_title"), items=notes, tone=Tone.SAFETY))
    numbers = Callout(
        title=say("cautions.numbers_title"), items=say_all("cautions.numbers"), tone=Tone.HONESTY
    )
    return Section(key="cautions", title=say("cautions.title"), blocks=(*blocks, numbers))


def factor_notes(names: list[str], speaker: Speaker) -> tuple[str, ...]:
    """Return the safety notes of some factors, each with its label."""
    factors = [speaker.factor(name) for name in names]
    return tuple(
        speaker.wording.say("cautions.factor", {"label": each.label, "note": each.safety_note})
        for each in factors
        if each.safety_note
    )
