"""Where graders part: the steps of the scale, and a square of what two of them gave."""

import numpy as np

from outcomes.graders.agreement import Agreement, OutcomeAgreement
from outcomes.graders.changes import FEWEST_PIECES
from outcomes.graders.pairs import Boundary, PairAgreement
from outcomes.log.codebook import Outcome
from outcomes.report.agree_words import YES_NO_GRADES, describe_share, label_grade, label_of
from outcomes.report.amounts import whole_per_100
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    Paragraph,
    Picture,
    Section,
    Table,
    Tone,
    make_key,
)
from outcomes.report.drawings import GridDrawing
from outcomes.report.wording import Wording, join_words

_STANDS_OUT = 1.25  # times the next: below it no step is named


def build_where(agreement: Agreement, wording: Wording) -> Section:
    """Return where the graders part, outcome by outcome."""
    parts = tuple(_build_part(compared, wording) for compared in agreement.outcomes)
    lead = Paragraph(text=wording.say("agree.where_lead"), tone=Tone.LEAD)
    return Section(key="where", title=wording.say("agree.where_title"), blocks=(lead, *parts))


def describe_worst_step(compared: OutcomeAgreement, wording: Wording) -> str:
    """Return which step parts most pairs, or that none stands out; "" where there is no choice."""
    if compared.pieces < FEWEST_PIECES:
        return ""
    shares = [boundary.split.value for boundary in compared.boundaries]
    if not any(shares):
        return wording.say("agree.where_none")
    if compared.ratings.n_grades == YES_NO_GRADES:
        return ""
    worst = find_worst_step(compared)
    if worst is None:
        low, high = whole_per_100(min(shares)), whole_per_100(max(shares))
        key = "agree.where_same" if low == high else "agree.where_even"
        return wording.say(key, {"low": low, "high": high})
    values = {
        **_name_step(compared.ratings.outcome, worst),
        "split": describe_share(worst.split, wording),
    }
    return wording.say("agree.where_most", values)


def find_worst_step(compared: OutcomeAgreement) -> Boundary | None:
    """Return the step that parts most pairs when it parts a quarter more than the next."""
    ordered = sorted(compared.boundaries, key=lambda b: (-b.split.value, b.upper))
    if not ordered[0].pairs:
        return None
    if len(ordered) > 1 and ordered[0].split.value < _STANDS_OUT * ordered[1].split.value:
        return None
    return ordered[0]


def _build_part(compared: OutcomeAgreement, wording: Wording) -> Section:
    key = make_key(compared.ratings.outcome.name)
    said = describe_worst_step(compared, wording)
    blocks: list[Block] = [Paragraph(text=said)] if said else []
    blocks.append(_build_picture(compared, wording))
    if compared.ratings.n_grades > YES_NO_GRADES:
        table = _build_steps(compared, wording)
        blocks.append(Depth(key=f"steps-{key}", summary=table.caption, blocks=(table,)))
    return Section(key=f"where-{key}", title=label_of(compared), blocks=tuple(blocks))


def _name_step(outcome: Outcome, boundary: Boundary) -> dict[str, str]:
    return {
        "below": label_grade(outcome, boundary.upper - 1),
        "upper": label_grade(outcome, boundary.upper),
    }


def _build_steps(compared: OutcomeAgreement, wording: Wording) -> Table:
    """Return every step with the share of pairs it parts."""
    say, outcome = wording.say, compared.ratings.outcome
    rows = tuple(
        (
            say("agree.step", _name_step(outcome, boundary)),
            describe_share(boundary.split, wording),
            str(boundary.pairs),
        )
        for boundary in compared.boundaries
    )
    return Table(
        key=f"steps-table-{make_key(outcome.name)}",
        caption=say("agree.steps_table", {"label": label_of(compared)}),
        columns=(
            Column(heading=say("agree.steps_step")),
            Column(heading=say("agree.steps_split"), numeric=True),
            Column(heading=say("agree.steps_pairs"), numeric=True),
        ),
        rows=rows,
    )


def find_worst_pair(compared: OutcomeAgreement) -> PairAgreement:
    """Return the two graders who agree least, by quadratic kappa; the first of equals."""
    return min(
        compared.pairs,
        key=lambda pair: 2.0 if np.isnan(pair.quadratic.value) else pair.quadratic.value,
    )


def _build_picture(compared: OutcomeAgreement, wording: Wording) -> Picture:
    """Return the square of counts of the two graders who agree least."""
    say, pair, outcome = wording.say, find_worst_pair(compared), compared.ratings.outcome
    grades = tuple(label_grade(outcome, grade) for grade in range(len(outcome.levels)))
    counts = tuple(tuple(int(count) for count in row) for row in pair.counts)
    names = {"one": pair.one, "other": pair.other, "label": label_of(compared)}
    key = f"grid-{make_key(outcome.name)}"
    several = "agree.grid_sentence_worst" if len(compared.pairs) > 1 else "agree.grid_sentence"
    same = {"same": int(np.trace(pair.counts)), "n": pair.pieces}
    table = Table(
        key=f"{key}-table",
        caption=say("agree.grid_table", names),
        columns=(
            Column(heading=say("agree.grid_corner", names)),
            *(Column(heading=grade, numeric=True) for grade in grades),
        ),
        rows=tuple(
            (grade, *(str(count) for count in row))
            for grade, row in zip(grades, counts, strict=True)
        ),
    )
    return Picture(
        key=key,
        drawing=GridDrawing(
            grades=grades,
            counts=counts,
            one=say("agree.grid_one", names),
            other=say("agree.grid_other", names),
        ),
        title=say("agree.grid_title", names),
        alt=_describe_grid(grades, counts, names, wording),
        caption=say("agree.grid_caption"),
        summary=say("agree.grid_summary"),
        table=table,
        sentence=say(several, {**names, **same}),
    )


def _describe_grid(
    grades: tuple[str, ...],
    counts: tuple[tuple[int, ...], ...],
    names: dict[str, str],
    wording: Wording,
) -> str:
    """Return every count that is not 0, in words, row by row."""
    say = wording.say
    rows = []
    for grade, row in zip(grades, counts, strict=True):
        cells = [
            say("agree.grid_alt_cell", {"grade": other, "n": n})
            for other, n in zip(grades, row, strict=True)
            if n
        ]
        if cells:
            values = {**names, "grade": grade, "gave": join_words(cells)}
            rows.append(say("agree.grid_alt_row", values))
    return say("agree.grid_alt", {"rows": "; ".join(rows)})
