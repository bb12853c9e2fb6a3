"""The family of tests: what was looked at, and how many would pass by luck alone."""

from outcomes.effects.effect import Word
from outcomes.report.document import (
    Column,
    ItemList,
    Paragraph,
    Section,
    Table,
    Tone,
    fold_table,
)
from outcomes.report.numerals import NONE, decimal, probability
from outcomes.report.sentences import word_of
from outcomes.report.teller import Teller
from outcomes.report.wording import Value, mid_sentence

_AT = 0.05


def build_family(teller: Teller) -> Section:
    """Return the section: the size of the family, what luck alone would give, and its members."""
    say, study = teller.wording.say, teller.study
    glaze = study.log.codebook.glaze
    tested = [
        (part, effect)
        for part in study.outcomes
        for effect in part.effects
        if effect.p_adjusted is not None
    ]
    below = sum(e.p_value is not None and e.p_value < _AT for _, e in tested)
    values: dict[str, Value] = {
        "n": len(tested),
        "settings_n": len({effect.contrast.factor for _, effect in tested}),
        "outcomes_n": len({part.outcome.name for part, _ in tested}),
        "luck": decimal(_AT * len(tested), places=1),
        "below": below,
        "adjusted": sum((effect.p_adjusted or 0.0) < _AT for _, effect in tested),
        "changes": sum(word_of(effect) is Word.CHANGES for _, effect in tested),
        "word": str(Word.CHANGES),
        "group": mid_sentence(teller.label(glaze)) if glaze else say("method.no_group"),
        "procedure": say(f"method.adjust_{study.options.false_discovery.lower()}"),
    }
    order = sorted(tested, key=lambda pair: (pair[1].p_value or 0.0, pair[0].outcome.name))
    table = Table(
        key="family-table",
        caption=say("research.family_table"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("columns.setting")),
            Column(heading=say("research.p"), numeric=True),
            Column(heading=say("research.p_adjusted"), numeric=True),
            Column(heading=say("columns.verdict")),
        ),
        rows=tuple(
            (
                part.outcome.label,
                teller.label(effect.contrast.factor),
                probability(effect.p_value),
                probability(effect.p_adjusted),
                str(word_of(effect) or NONE),
            )
            for part, effect in order
        ),
    )
    return Section(
        key="family",
        title=say("research.family"),
        blocks=(
            Paragraph(text=say("research.family_lead", values), tone=Tone.LEAD),
            ItemList(items=teller.wording.say_all("research.family_rules", values)),
            *fold_table(table),
        ),
    )
