"""What `outcomes test` says in a terminal: the page's own sentences, wrapped."""

from outcomes.planning.trial import Trial
from outcomes.report.plain_lines import wrap_text
from outcomes.report.trial_document import (
    describe_answer,
    describe_deviation,
    describe_doubt,
    describe_meanings,
    describe_reading,
    describe_title,
)
from outcomes.report.trial_words import build_speaker, describe_basis


def describe_trial(trial: Trial) -> str:
    """Return every answer with what it rests on, then where log and plan differ."""
    speaker = build_speaker(trial.log.codebook)
    say = speaker.wording.say
    lines = wrap_text(trial.plan.title)
    for text in (describe_reading(trial, speaker), describe_doubt(trial, speaker)):
        lines += wrap_text(text) if text else []
    for answered in trial.answers:
        lines += ["", *wrap_text(describe_title(answered, speaker))]
        said = [*describe_answer(answered, trial, speaker), describe_basis(answered, speaker)]
        lines += [line for text in said for line in wrap_text(text, first="  ")]
    lines += ["", say("parts.title")]
    if not trial.deviations:
        lines += wrap_text(say("parts.none"), first="  ")
    for finding in trial.deviations:
        lines += wrap_text(describe_deviation(finding), first="  - ")
    lines += [""]
    for text in describe_meanings(trial, speaker):
        lines += wrap_text(text)
    return "\n".join(lines).replace("\u202f", " ")
