"""How well left-out firings are foretold: skills with intervals, calibration, second opinion."""

from outcomes.doubts.skill import SkillValue, SkillWord
from outcomes.report.document import (
    Block,
    Column,
    Paragraph,
    Section,
    Table,
    fold_table,
    make_key,
)
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.maker_trust import build_calibration
from outcomes.report.numerals import decimal, span
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy

_WORDS = {
    SkillWord.PREDICTS: "research.predicts",
    SkillWord.NOT_SHOWN: "research.not_shown",
    SkillWord.WORSE: "research.worse",
}


def build_research_skill(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section; nothing where the log is too small to ask."""
    if part.skill is None:
        return []
    say = teller.wording.say
    way = say("trust.one_by_one" if part.skill.one_by_one else "trust.in_heaps")
    strangers = say("trust.strangers", {"n": part.skill.strangers}) if part.skill.strangers else ""
    blocks: tuple[Block, ...] = (
        Paragraph(text=" ".join(text for text in (way, strangers) if text)),
        _build_skills(part, teller),
        *fold_table(build_calibration(part, part.skill, teller)),
    )
    key = make_key(f"skill-{part.outcome.name}")
    return [Section(key=key, title=say("research.skill"), blocks=blocks)]


def _build_skills(part: OutcomeStudy, teller: Teller) -> Table:
    say, skill, opinion = teller.wording.say, part.skill, part.second_opinion
    assert skill is not None  # noqa: S101
    rows = [
        _row(say("research.skill_usual"), skill.overall, say(_WORDS[skill.overall.word])),
        _row(say("research.skill_glaze"), skill.beyond_glaze, say(_WORDS[skill.beyond_glaze.word])),
    ]
    if opinion is not None:
        rows += [
            _row(say("research.trees_gain"), opinion.gain, "–"),
            _row(say("research.trees_usual"), opinion.beyond_usual, "–"),
        ]
    slope, limits = skill.calibration.slope, skill.calibration.slope_interval
    if slope is not None:
        ends = (None, None) if limits is None else (limits.low, limits.high)
        slope_row = (decimal(slope, places=2), span(*ends, places=2), "–")
        rows.append((say("research.calibration_slope"), *slope_row))
    confidence = {"confidence": describe_confidence(teller)}
    return Table(
        key=make_key(f"skills-{part.outcome.name}"),
        caption=say("research.skills_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.measure")),
            Column(heading=say("columns.value"), numeric=True),
            Column(heading=say("columns.interval", confidence), numeric=True),
            Column(heading=say("research.in_words")),
        ),
        rows=tuple(rows),
        note=say("research.skills_note"),
    )


def _row(name: str, value: SkillValue, word: str) -> tuple[str, str, str, str]:
    return (name, decimal(value.value, places=3), span(value.low, value.high, places=3), word)
