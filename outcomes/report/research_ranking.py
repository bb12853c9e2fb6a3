"""The order of the settings with what luck leaves open, one by one and all together."""

from outcomes.report.document import Block, Column, Section, Table, make_key
from outcomes.report.numerals import decimal
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_ranking(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section; nothing without ranked settings."""
    if not part.ranking:
        return []
    say = teller.wording.say
    numeric = ("rank", "rank_all", "rank_alone", "first", "shrunk")
    table = Table(
        key=make_key(f"ranks-{part.outcome.name}"),
        caption=say("research.ranks_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            *(Column(heading=say(f"research.{name}"), numeric=True) for name in numeric),
        ),
        rows=tuple(
            (
                teller.label(one.factor),
                str(one.rank),
                f"{one.rank_low}–{one.rank_high}",
                f"{one.alone_low}–{one.alone_high}",
                decimal(100 * one.share_first, places=0),
                decimal(100 * one.shrunk, places=1),
            )
            for one in part.ranking
        ),
        note=say("research.ranks_note"),
    )
    key = make_key(f"ranking-{part.outcome.name}")
    return [Section(key=key, title=say("research.ranking"), blocks=(table,))]
