"""The published tests of proportional odds of one outcome, as a table with its warning."""

from outcomes.report.document import Column, Table, make_key
from outcomes.report.numerals import decimal, probability
from outcomes.report.study_json_research import build_parallel
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_parallel_table(part: OutcomeStudy, teller: Teller) -> Table:
    """Return score, likelihood-ratio and Brant tests; without a row where there are none."""
    say = teller.wording.say
    separated = part.parallel is not None and part.parallel.separated
    rows = tuple(_row(entry, teller) for entry in build_parallel(part))
    if separated:
        rows = ((say("research.all_factors"), say("research.separated"), "–", "–", "–"),)
    return Table(
        key=make_key(f"parallel-{part.outcome.name}"),
        caption=say("research.parallel_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.slopes_of")),
            Column(heading=say("research.test")),
            *(
                Column(heading=say(f"research.{name}"), numeric=True)
                for name in ("chi_square", "df", "p")
            ),
        ),
        rows=rows,
        note=say("research.parallel_note"),
    )


def _row(entry: dict[str, object], teller: Teller) -> tuple[str, ...]:
    factor, statistic = entry["factor"], entry["statistic"]
    label = teller.label(str(factor)) if factor else teller.wording.say("research.all_factors")
    if statistic is None:
        return (label, str(entry["test"]), teller.wording.say("research.no_finite_fit"), "–", "–")
    df, rank = str(entry["df"]), str(entry["rank"])
    return (
        label,
        str(entry["test"]),
        decimal(float(str(statistic)), places=2),
        df if df == rank else f"{rank} ({df})",
        probability(float(str(entry["p_value"]))),
    )
