"""How the agreement was worked out: the method, every pair, every grader, every row."""

from outcomes.graders.agreement import Agreement, OutcomeAgreement
from outcomes.report.agree_means import describe_alone
from outcomes.report.agree_words import (
    count_rows,
    describe_coefficient,
    describe_measured,
    describe_share,
    label_of,
)
from outcomes.report.document import Block, Column, Depth, ItemList, Paragraph, Section, Table
from outcomes.report.wording import Wording

_MOST_ROWS = 40


def build_method(agreement: Agreement, wording: Wording) -> Section:
    """Return the last section: folded but for the account of the rows."""
    say = wording.say
    rows = count_rows(agreement)
    alone = describe_alone(agreement, wording)
    percent = {"confidence": f"{100 * agreement.confidence:g}"}
    method = (
        *wording.say_all("agree.method", percent), say("agree.method_shift"),
        say("agree.method_icc"),
    )  # fmt: skip
    tables: list[Block] = [ItemList(items=method), _pairs(agreement, wording)]
    tables += [_shifts(agreement, wording), *_correlations(agreement, wording)]
    blocks: list[Block] = [
        Paragraph(text=say("agree.rows", rows)),
        *((Paragraph(text=alone),) if alone else ()),
        *_asides(agreement, wording),
        Depth(key="numbers", summary=say("agree.method_fold"), blocks=tuple(tables)),
    ]
    return Section(key="method", title=say("agree.method_title"), blocks=tuple(blocks))


def _columns(wording: Wording, names: tuple[str, ...], *, words: int) -> tuple[Column, ...]:
    """Return columns of which the first ``words`` hold words, the others numbers."""
    headings = (wording.say(f"agree.column_{name}") for name in names)
    return tuple(Column(heading=text, numeric=at >= words) for at, text in enumerate(headings))


def _pairs(agreement: Agreement, wording: Wording) -> Table:
    names = ("pair", "outcome", "pieces", "exact", "near", "quadratic", "linear")
    rows = tuple(
        (
            wording.say("agree.pair", {"one": pair.one, "other": pair.other}),
            label_of(compared),
            str(pair.pieces),
            describe_share(pair.exact, wording),
            describe_share(pair.near, wording),
            describe_measured(pair.quadratic, wording),
            describe_measured(pair.linear, wording),
        )
        for compared in agreement.outcomes
        for pair in compared.pairs
    )
    return Table(key="pairs", caption=wording.say("agree.pairs_table"),
                 columns=_columns(wording, names, words=2), rows=rows)  # fmt: skip


def _shifts(agreement: Agreement, wording: Wording) -> Table:
    names = ("grader", "outcome", "pieces", "difference", "shift")
    rows = tuple(
        (
            offset.grader,
            label_of(compared),
            str(offset.pieces),
            describe_measured(offset.difference, wording),
            _describe_shift(compared, place, wording),
        )
        for compared in agreement.outcomes
        for place, offset in enumerate(compared.offsets)
    )
    return Table(key="graders", caption=wording.say("agree.shifts_table"),
                 columns=_columns(wording, names, words=2), rows=rows)  # fmt: skip


def _describe_shift(compared: OutcomeAgreement, place: int, wording: Wording) -> str:
    shifts = compared.shifts.shifts
    return (
        wording.say("agree.nothing")
        if shifts is None
        else describe_measured(shifts[place], wording)
    )


def _correlations(agreement: Agreement, wording: Wording) -> tuple[Table, ...]:
    rows = tuple(
        (
            label_of(compared),
            describe_coefficient(compared.correlations.agreement, wording),
            describe_coefficient(compared.correlations.mean_agreement, wording),
        )
        for compared in agreement.outcomes
        if compared.correlations is not None
    )
    if not rows:
        return ()
    columns = _columns(wording, ("outcome", "single", "mean"), words=1)
    caption = wording.say("agree.icc_table")
    return (Table(key="correlations", caption=caption, columns=columns, rows=rows),)


def _asides(agreement: Agreement, wording: Wording) -> tuple[Block, ...]:
    """Return the rows and cells set aside, folded; nothing where there are none."""
    say, gradings = wording.say, agreement.gradings
    rows = tuple((a.file, str(a.row), a.reason) for a in gradings.account.set_aside[:_MOST_ROWS])
    cells = tuple(
        (str(cell.file), str(cell.row), str(cell.column), str(cell.written), str(cell.reason))
        for cell in gradings.unusable.head(_MOST_ROWS).itertuples()
    )
    tables: list[Block] = []
    for key, entries, names, total in (
        ("rows", rows, ("file", "row", "reason"), len(gradings.account.set_aside)),
        ("cells", cells, ("file", "row", "column", "written", "reason"), len(gradings.unusable)),
    ):
        if entries:
            note = (
                say("page.rows_more", {"n": total - len(entries)}) if total > len(entries) else ""
            )
            caption = say("agree.rows_table") if key == "rows" else say("agree.cells_table")
            columns = _columns(wording, names, words=len(names))
            tables.append(Table(key=f"{key}-aside", caption=caption, columns=columns, rows=entries,
                                note=note))  # fmt: skip
    found = tuple(f"{finding.message} {finding.advice}" for finding in gradings.findings)
    if found:
        tables.insert(0, ItemList(items=found))
    if not tables:
        return ()
    return (Depth(key="asides", summary=say("agree.rows_title"), blocks=tuple(tables)),)
