"""How far to trust an outcome: left-out firings foretold, a second opinion, single firings."""

from collections.abc import Mapping

import numpy as np

from outcomes.doubts.check_second_opinion import check_second_opinion
from outcomes.doubts.influence import Influence
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.doubts.skill import Skill, SkillValue, SkillWord
from outcomes.report.amounts import describe_change, describe_rate
from outcomes.report.document import Block, Column, Depth, Paragraph, Section, Table, make_key
from outcomes.report.doubts_in_place import NOT_FORETOLD, spoken_findings
from outcomes.report.firing_names import name_firing
from outcomes.report.maker_grades import build_grades
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, capitalise, mid_sentence
from outcomes.study.record import OutcomeStudy

_KEYS = {
    SkillWord.PREDICTS: "trust.predicts",
    SkillWord.NOT_SHOWN: "trust.not_shown",
    SkillWord.WORSE: "trust.worse",
}


def describe_skill(part: OutcomeStudy, teller: Teller) -> list[str]:
    """Return the plain sentence on how well left-out firings are foretold.

    Where a finding warns that they are not, it takes the sentence's place.
    """
    if part.skill is None or any(f.code == NOT_FORETOLD for f in spoken_findings(part)):
        return []
    overall = part.skill.overall
    key = _KEYS[overall.word]
    error = describe_error(overall, teller)
    open_ended = not np.isfinite([overall.low, overall.high]).all()
    if overall.word is SkillWord.NOT_SHOWN and (overall.value <= 0 or open_ended):
        key = "trust.not_shown_none"
    return [teller.wording.say(key, error)]


def describe_error(value: SkillValue, teller: Teller) -> dict[str, Value]:
    """Return a skill as the error of a forecast against another's, with its interval."""
    say = teller.wording.say
    sizes = {
        name: round(100 * abs(number))
        for name, number in (("n", value.value), ("low", value.low), ("high", value.high))
        if np.isfinite(number)
    }
    if not sizes.get("n"):
        said = say("trust.same")
    else:
        said = say("trust.smaller" if value.value > 0 else "trust.larger", {"n": sizes["n"]})
    if len(sizes) < 3:
        return {"value": said, "limits": say("numbers.no_interval")}
    if value.low > 0:
        limits = say("trust.both_smaller", sizes)
    elif value.high < 0:
        ends = {"low": sizes["high"], "high": sizes["low"]}
        limits = say("trust.both_larger", ends)
    else:
        limits = say(_across(sizes), sizes)
    return {"value": said, "limits": limits}


def _across(sizes: Mapping[str, int]) -> str:
    """Return the words for an interval that holds none; an end that rounds to none is left out."""
    if sizes["low"] and sizes["high"]:
        return "trust.across"
    return "trust.up_to" if sizes["high"] else "trust.down_to"


def build_trust(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return what stands behind an outcome's numbers, folded; nothing when nothing is known."""
    parts: list[Block] = []
    if part.skill is not None:
        parts += _build_foretold(part, part.skill, teller)
    if part.second_opinion is not None:
        parts.append(Paragraph(text=_describe_opinion(part.second_opinion, teller)))
    if part.influences:
        parts.append(_build_influences(part, teller))
    if part.grade_effects:
        parts.append(build_grades(part, teller))
    if not parts:
        return []
    summary = teller.wording.say("trust.open", {"outcome": part.outcome.label})
    key = make_key(f"more-trust-{part.outcome.name}")
    return [Depth(key=key, summary=summary, blocks=tuple(parts))]


def _describe_opinion(opinion: SecondOpinion, teller: Teller) -> str:
    """Return what the freer method makes of it; better only where its check says so."""
    if check_second_opinion(opinion, teller.study.log.codebook):
        key = "trust.opinion_better"
    elif opinion.gain.low > 0:
        key = "trust.opinion_idle"
    else:
        key = "trust.opinion_none"
    return teller.wording.say(key, describe_error(opinion.gain, teller))


def _build_foretold(part: OutcomeStudy, skill: Skill, teller: Teller) -> list[Block]:
    """Return how left-out firings were foretold: the way, the numbers, the calibration."""
    say = teller.wording.say
    glaze = teller.study.log.codebook.glaze
    lines = [say("trust.one_by_one" if skill.one_by_one else "trust.in_heaps")]
    if glaze:
        group = {"group": mid_sentence(teller.label(glaze))}
        lines.append(say("trust.beyond", {**group, **describe_error(skill.beyond_glaze, teller)}))
    slope, limits = skill.calibration.slope, skill.calibration.slope_interval
    if slope is not None and limits is not None:
        ends = [max(0, round(100 * value)) for value in (slope, limits.low, limits.high)]
        lines.append(say("trust.slope", {"n": ends[0], "low": ends[1], "high": ends[2]}))
    if skill.strangers:
        lines.append(say("trust.strangers", {"n": skill.strangers}))
    lines.append(say("trust.rough"))
    return [
        Section(
            key=make_key(f"foretold-{part.outcome.name}"),
            title=say("trust.foretold_title"),
            blocks=(Paragraph(text=" ".join(lines)), build_calibration(part, skill, teller)),
        )
    ]


def build_calibration(part: OutcomeStudy, skill: Skill, teller: Teller) -> Table:
    """Return what was foretold and what came out, in groups of like chance."""
    say, outcome = teller.wording.say, part.outcome
    headings = ("trust.foretold", "trust.seen", "columns.count", "trust.clusters")
    return Table(
        key=make_key(f"calibration-{outcome.name}"),
        caption=say("trust.calibration_title", {"outcome": outcome.label}),
        columns=(
            Column(heading=say("trust.group"), numeric=True),
            *(Column(heading=say(heading), numeric=True) for heading in headings),
        ),
        rows=tuple(
            (
                str(place),
                describe_rate(group.foretold, teller.wording),
                describe_rate(group.seen, teller.wording),
                str(group.pieces),
                str(group.firings),
            )
            for place, group in enumerate(skill.calibration.groups, start=1)
        ),
        note=say("trust.calibration_note", {"phrase": outcome.phrase}),
    )


def _build_influences(part: OutcomeStudy, teller: Teller) -> Table:
    say = teller.wording.say
    ranked = {place.factor for place in part.ranking}
    rows = [_influence_row(one, part, teller) for one in part.influences if one.factor in ranked]
    return Table(
        key=make_key(f"influence-{part.outcome.name}"),
        caption=say("trust.influence_title", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            Column(heading=say("columns.change")),
            Column(heading=say("trust.moved_by")),
            Column(heading=say("trust.without")),
            Column(heading=say("trust.moves"), numeric=True),
        ),
        rows=tuple(rows),
        note=say("trust.influence_note"),
    )


def _influence_row(one: Influence, part: OutcomeStudy, teller: Teller) -> tuple[str, ...]:
    """Return the firing that moves a setting most, and what it would be without it."""
    place = int(np.argmax(np.abs(one.moves)))
    known = part.design is not None and len(part.design.firing_names) == len(one.without)
    name = part.design.firing_names[place] if known and part.design is not None else str(place + 1)
    return (
        teller.label(one.factor),
        describe_change(one.change, teller.wording),
        capitalise(name_firing(name, part, teller)),
        describe_change(float(one.without[place]), teller.wording),
        f"{abs(float(one.moves[place])):.1f}",
    )
