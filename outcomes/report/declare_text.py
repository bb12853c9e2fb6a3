"""What `outcomes declare` says before anybody looks: what the design can show at all."""

from outcomes.log.codebook import Codebook
from outcomes.log.quoting import list_words
from outcomes.planning.attainable import Attainable, find_attainable
from outcomes.planning.plan import Claim, Direction, Plan, Unit
from outcomes.planning.plan_codebook import check_unusual_values
from outcomes.report.plain_lines import wrap_text
from outcomes.report.trial_words import (
    Speaker,
    build_speaker,
    describe_claim,
    percent,
    show_count,
    show_p,
)
from outcomes.report.wording import Value, join_words
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.resampling.permutation import DRAWN, EXACT_UP_TO


def describe_plan(plan: Plan, codebook: Codebook) -> str:
    """Return, for every hypothesis, what it claims and the smallest p value its design allows."""
    speaker = build_speaker(codebook)
    lines = []
    for reach in find_attainable(plan):
        lines += [line for text in describe_reach(reach, plan, speaker) for line in wrap_text(text)]
        lines.append("")
    for finding in check_unusual_values(plan, codebook):
        lines += [*wrap_text(f"{finding.message} {finding.advice}"), ""]
    if not plan.randomised:
        lines += [*wrap_text(speaker.wording.say("reach.not_drawn")), ""]
    return "\n".join(lines[:-1]).replace("\u202f", " ")


def describe_reach(reach: Attainable, plan: Plan, speaker: Speaker) -> list[str]:
    """Return the sentences about one hypothesis, a warning last where it cannot be reached."""
    say = speaker.wording.say
    hypothesis = reach.hypothesis
    claim = describe_claim(hypothesis, speaker)
    said = [say("reach.title", {"name": hypothesis.name, "claim": claim})]
    said.append(_describe_units(reach, plan, speaker))
    if hypothesis.claim is Claim.EQUIVALENCE:
        confidence = percent(1 - 2 * plan.level)
        said.append(say("reach.equivalence", {"confidence": confidence, "least": FEWEST_FIRINGS}))
        if reach.is_out_of_reach:
            said.append(say("reach.too_few", {"n": plan.firings}))
        return said
    values: dict[str, Value] = {
        "n": show_count(reach.arrangements),
        "ways": min(reach.arrangements, EXACT_UP_TO),
        "m": show_count(DRAWN),
        "p": show_p(reach.smallest),
    }
    said.append(say("reach.drawn" if reach.arrangements > EXACT_UP_TO else "reach.exact", values))
    if reach.is_out_of_reach:
        said.append(say("reach.out_of_reach", _out_of_reach(reach, plan, speaker)))
    elif reach.is_out_of_reach_alone:
        needed: dict[str, Value] = {"n": len(plan.hypotheses), "needed": show_p(reach.needed)}
        said.append(say("reach.out_of_reach_alone", needed))
    return said


def _out_of_reach(reach: Attainable, plan: Plan, speaker: Speaker) -> dict[str, Value]:
    """Return the level, and what of the plan could be changed so that a result can reach it."""
    say = speaker.wording.say
    factor = plan.factor(reach.hypothesis.factor)
    if factor.assigned_to is Unit.PIECE and reach.arrangements == 1:
        # Where no firing holds both values, further firings of that size hold none either.
        remedies = [say("reach.more_pieces"), say("reach.whole_clusters")]
    else:
        remedies = [say("reach.more_clusters")]
    if factor.blocks:
        remedies.append(say("reach.fewer_blocks"))
    if reach.arrangements > 1 and reach.hypothesis.direction is Direction.EITHER:
        remedies.append(say("reach.a_direction"))
    return {"level": f"{plan.level:g}", "remedies": list_words(remedies, last="or")}


def _describe_units(reach: Attainable, plan: Plan, speaker: Speaker) -> str:
    hypothesis = reach.hypothesis
    factor = plan.factor(hypothesis.factor)
    of_pieces = factor.assigned_to is Unit.PIECE
    blocks = ""
    if factor.blocks:
        key = "reach.within" if of_pieces else "reach.within_blocks"
        blocks = speaker.wording.say(key, {"names": join_words(factor.blocks)})
    return speaker.wording.say(
        "reach.units_piece" if of_pieces else "reach.units_firing",
        {
            "n_from": reach.units_from,
            "n_to": reach.units_to,
            "from": speaker.amount(hypothesis.from_value, hypothesis.factor),
            "to": speaker.amount(hypothesis.to_value, hypothesis.factor),
            "blocks": blocks,
        },
    )
