"""The page of a tested plan: answers first, then where log and plan differ, then the numbers."""

from outcomes.finding import Finding
from outcomes.log.places import list_rows
from outcomes.planning.plan import Claim, SealState, Unit
from outcomes.planning.trial import Answer, Answered, Trial
from outcomes.report.document import (
    Block,
    Callout,
    Document,
    ItemList,
    Paragraph,
    Section,
    Statement,
    Statements,
    Tone,
)
from outcomes.report.trial_cautions import build_trial_cautions, find_trial_cautions
from outcomes.report.trial_margin import describe_equivalence
from outcomes.report.trial_parts import build_declared, build_grades, build_numbers
from outcomes.report.trial_picture import build_trial_picture
from outcomes.report.trial_words import (
    ANSWER_KEYS,
    MEANINGS,
    Speaker,
    build_speaker,
    describe_basis,
    describe_claim,
    describe_found,
    describe_test,
    percent,
    show_p,
)
from outcomes.report.wording import Value, join_words


def build_trial_document(trial: Trial, *, plan_file: str) -> Document:
    """Return the page of a tested plan, nothing rendered yet.

    Parameters
    ----------
    trial
        From `planning.testing.run_trial`.
    plan_file
        Name of the plan's file, "" when it has none.
    """
    speaker = build_speaker(trial.log.codebook)
    say = speaker.wording.say
    files = join_words([file.name for file in trial.log.files])
    return Document(
        language=say("page.language"),
        title=say("trial.title"),
        subtitle=trial.plan.title,
        facts=_build_facts(trial, speaker, plan_file=plan_file),
        sections=(
            _build_answers(trial, speaker),
            *build_trial_picture(trial, speaker),
            _build_deviations(trial, speaker),
            build_declared(trial, speaker),
            build_numbers(trial, speaker),
            build_grades(trial, speaker),
            _build_method(trial, speaker, plan_file=plan_file),
            build_trial_cautions(trial, speaker),
        ),
        legend=(),
        labels=tuple(
            (name, say(f"page.{name}"))
            for name in ("skip", "contents", "legend", "caution", "cautions", "paper")
        ),
        footer=speaker.wording.say_all("page.footer", {"version": trial.version, "files": files}),
    )


def describe_answer(answered: Answered, trial: Trial, speaker: Speaker) -> list[str]:
    """Return everything said about one hypothesis, sentence by sentence."""
    hypothesis = answered.tested.hypothesis
    count = len(trial.answers)
    claim = {"claim": describe_claim(hypothesis, speaker)}
    said = [speaker.wording.say("claim.said", claim), describe_found(answered, speaker)]
    if hypothesis.claim is Claim.DIFFERENCE:
        said.append(describe_test(answered, speaker, hypotheses=count))
        if answered.tested.smallest_p > trial.plan.level:
            reach = {"p": show_p(answered.tested.smallest_p), "level": f"{trial.plan.level:g}"}
            said.append(speaker.wording.say("found.cannot_reach", reach))
    margin = describe_equivalence(answered, speaker, hypotheses=count, level=trial.plan.level)
    return [*said, margin] if margin else said


def describe_title(answered: Answered, speaker: Speaker) -> str:
    """Return the name of a hypothesis with its answer."""
    answer = speaker.wording.say(ANSWER_KEYS[answered.answer])
    values = {"name": answered.tested.hypothesis.name, "answer": answer}
    return speaker.wording.say("claim.title", values)


def describe_reading(trial: Trial, speaker: Speaker) -> str:
    """Return whether the values were drawn by lot, and what follows."""
    say = speaker.wording.say
    if not trial.plan.randomised:
        return say("trial.not_drawn")
    of_pieces = all(factor.assigned_to is Unit.PIECE for factor in trial.plan.factors)
    return say("trial.lot_piece" if of_pieces else "trial.lot_firing")


def describe_doubt(trial: Trial, speaker: Speaker) -> str:
    """Return the sentence that must stand beside every answer; "" when there is none."""
    say = speaker.wording.say
    if trial.seal is SealState.BROKEN:
        return say("trial.broken")
    if trial.seal is SealState.MISSING:
        return say("trial.unsealed")
    if any(finding.code == "older_than_plan" for finding in trial.deviations):
        return say("trial.old")
    return ""


def describe_meanings(trial: Trial, speaker: Speaker) -> list[str]:
    """Return what the answers of this page mean."""
    used = {answered.answer for answered in trial.answers}
    values: dict[str, Value] = {"level": percent(trial.plan.level), "n": len(trial.answers)}
    return [speaker.wording.say(MEANINGS[answer], values) for answer in Answer if answer in used]


def describe_deviation(finding: Finding) -> str:
    """Return a deviation as one line: what is the case, what to do, where."""
    rows = f" ({list_rows(finding.rows)})" if finding.rows else ""
    return f"{finding.message.removesuffix('.')}{rows}. {finding.advice}"


def _build_facts(trial: Trial, speaker: Speaker, *, plan_file: str) -> tuple[tuple[str, str], ...]:
    say = speaker.wording.say
    counted = say("trial_facts.counted_value", {"n": trial.pieces, "m": trial.firings})
    return (
        (say("trial_facts.plan"), plan_file or trial.plan.title),
        (say("trial_facts.declared"), trial.plan.declared_on.isoformat()),
        (say("trial_facts.counted"), counted),
        (say("trial_facts.seal"), f"{trial.plan.seal[:12]}…" if trial.plan.seal else "–"),
    )


def _build_answers(trial: Trial, speaker: Speaker) -> Section:
    """Return the answers, and above them what every one of them must be read with."""
    doubt = describe_doubt(trial, speaker)
    before: list[Block] = [Paragraph(text=describe_reading(trial, speaker), tone=Tone.LEAD)]
    if doubt:
        title = speaker.wording.say("parts.title")
        before.append(Callout(title=title, items=(doubt,), tone=Tone.HONESTY))
    statements = Statements(
        items=tuple(_build_statement(answered, trial, speaker) for answered in trial.answers)
    )
    meanings = ItemList(items=tuple(describe_meanings(trial, speaker)))
    return Section(
        key="answers",
        title=speaker.wording.say("trial.title"),
        blocks=(*before, statements, meanings),
    )


def _build_statement(answered: Answered, trial: Trial, speaker: Speaker) -> Statement:
    claim, found, *rest = describe_answer(answered, trial, speaker)
    return Statement(
        title=describe_title(answered, speaker),
        text=claim,
        also=(
            Statement(text=found, basis=describe_basis(answered, speaker)),
            *(Statement(text=text) for text in rest),
        ),
        cautions=find_trial_cautions(answered, speaker),
    )


def _build_deviations(trial: Trial, speaker: Speaker) -> Section:
    say = speaker.wording.say
    blocks: tuple[Block, ...] = (Paragraph(text=say("parts.none")),)
    if trial.deviations:
        items = tuple(describe_deviation(finding) for finding in trial.deviations)
        blocks = (Paragraph(text=say("parts.lead")), ItemList(items=items))
    return Section(key="deviations", title=say("parts.title"), blocks=blocks)


def _build_method(trial: Trial, speaker: Speaker, *, plan_file: str) -> Section:
    say = speaker.wording.say
    level = trial.plan.level
    values = {"small": percent(1 - 2 * level), "level": percent(level)}
    files = " ".join(file.name for file in trial.log.files)
    again = say("tested.again", {"plan": plan_file, "files": files}) if plan_file else ""
    paragraphs = [*speaker.wording.say_all("tested.text", values), *([again] if again else [])]
    return Section(
        key="method",
        title=say("tested.title"),
        blocks=(
            *(Paragraph(text=text) for text in paragraphs),
            Paragraph(text=say("tested.references"), tone=Tone.FINE),
        ),
    )
