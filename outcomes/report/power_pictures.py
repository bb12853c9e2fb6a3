"""The pictures of a power simulation, each with the table behind it."""

from collections.abc import Iterator, Sequence

from outcomes.planning.power_cell import Cell
from outcomes.planning.power_question import Luck
from outcomes.report.document import Column, Picture, Table
from outcomes.report.drawings import PowerDrawing, PowerLine, PowerPanel
from outcomes.report.power_teller import GOAL, PowerTeller

_STEP = 40  # the width panel ends at a multiple of it


def build_pictures(teller: PowerTeller, *, key: str) -> tuple[Picture, ...]:
    """Return one picture a luck, of the supposition under which the claim holds."""
    return tuple(_build_picture(teller, luck, key=f"{key}-{luck}") for luck in teller.lucks())


def _build_picture(teller: PowerTeller, luck: Luck, *, key: str) -> Picture:
    say = teller.wording.say
    values = {"difference": teller.difference(), "smallest": teller.smallest()}
    title = "power.picture_title_equal" if teller.is_equivalence else "power.picture_title"
    if teller.is_tested:
        title = "power.picture_title_test"
    if luck is Luck.UPPER:
        title = "power.picture_title_upper"
    lines = list(_by_size(teller.cells(teller.main_kind, luck)))
    counts = {"runs": teller.part.grid.runs, "goal": GOAL}
    return Picture(
        key=key,
        drawing=_build_drawing(teller, lines),
        title=say(title, values),
        alt=say("power.alt", {"rows": " ".join(_describe_line(teller, c) for c in lines)}),
        caption=say("power.caption", counts),
        summary=say("power.table"),
        table=build_table(teller, luck, key=f"{key}-table"),
    )


def build_table(teller: PowerTeller, luck: Luck, *, key: str) -> Table:
    """Return what trials do when the claim holds."""
    say = teller.wording.say
    headings = [
        say("power.column_firings"),
        say("power.column_pieces"),
        say("power.column_all"),
        say(_chance_column(teller)),
        say("power.column_limits"),
        say("power.column_width"),
    ]
    if teller.is_tested:
        headings.append(say("power.column_limits_clear"))
    if not teller.is_equivalence:
        headings += [
            say("power.column_enough", {"smallest": teller.smallest()}),
            say("power.column_wrong"),
            say("power.column_guess"),
        ]
    sd = teller.part.scenario(teller.main_kind, luck).truth.firing_sd
    return Table(
        key=key,
        caption=say("power.table_caption", {"sd": f"{sd:.2g}"}),
        columns=tuple(Column(heading=heading, numeric=True) for heading in headings),
        rows=tuple(_build_row(teller, cell) for cell in teller.cells(teller.main_kind, luck)),
    )


def build_other_table(teller: PowerTeller, luck: Luck, *, key: str) -> Table:
    """Return what trials do when the claim does not hold."""
    say = teller.wording.say
    cells = teller.cells(teller.other_kind, luck)
    sd = teller.part.scenario(teller.other_kind, luck).truth.firing_sd
    values = {"smallest": teller.smallest(), "sd": f"{sd:.2g}"}
    if teller.is_equivalence:
        headings = [say("power.column_false_equal", values)]
        shares = [[cell.tally.small / max(1, cell.tally.runs)] for cell in cells]
        caption = say("power.nothing_caption_equal", values)
    else:
        false = "power.column_false_test" if teller.is_tested else "power.column_false"
        headings = [say(false), say("power.column_small")]
        shares = [
            [count / max(1, cell.tally.runs) for count in (teller.hits(cell), cell.tally.small)]
            for cell in cells
        ]
        caption = say("power.nothing_caption", values)
    first = [say("power.column_firings"), say("power.column_pieces")]
    return Table(
        key=key,
        caption=caption,
        columns=tuple(Column(heading=text, numeric=True) for text in (*first, *headings)),
        rows=tuple(
            (
                str(cell.layout.firings),
                teller.size(cell.layout),
                *(_say_chance(teller, cell, share) for share in row),
            )
            for cell, row in zip(cells, shares, strict=True)
        ),
    )


def _build_row(teller: PowerTeller, cell: Cell) -> tuple[str, ...]:
    """Return one row of the table."""
    say, limits, width = teller.wording.say, teller.chance_limits(cell), cell.width()
    can, none = teller.can_answer(cell), say("power.none")
    span = {"low": f"{100 * limits.low:.0f}", "high": f"{100 * limits.high:.0f}"}
    row: tuple[str, ...] = (
        str(cell.layout.firings),
        teller.size(cell.layout),
        f"{cell.layout.firings * cell.layout.mean_size():.0f}",
        _say_chance(teller, cell, teller.chance(cell)),
        say("power.range", span) if can else none,
        none if width is None else f"{100 * width:.0f}",
    )
    if teller.is_equivalence:
        return row
    if teller.is_tested:
        row = (*row, _say_chance(teller, cell, cell.tally.clear / max(1, cell.tally.runs)))
    wrong = cell.wrong_share()
    return (
        *row,
        _say_chance(teller, cell, cell.tally.enough / max(1, cell.tally.runs)),
        none if wrong is None else teller.rate(wrong),
        teller.rate(cell.guess),
    )


def _chance_column(teller: PowerTeller) -> str:
    """Return the key of the heading over the chance."""
    if teller.is_equivalence:
        return "power.column_equal"
    return "power.column_test" if teller.is_tested else "power.column_chance"


def _say_chance(teller: PowerTeller, cell: Cell, share: float) -> str:
    return teller.rate(share) if teller.can_answer(cell) else teller.wording.say("power.cannot")


def _by_size(cells: Sequence[Cell]) -> Iterator[tuple[Cell, ...]]:
    """Yield the cells of each number of pieces."""
    for sizes in dict.fromkeys(cell.layout.sizes for cell in cells):
        yield tuple(cell for cell in cells if cell.layout.sizes == sizes)


def _describe_line(teller: PowerTeller, cells: tuple[Cell, ...]) -> str:
    """Return what one line shows, in words."""
    say = teller.wording.say
    values = [
        say(
            "power.alt_value",
            {
                "firings": cell.layout.firings,
                "chance": _say_chance(teller, cell, teller.chance(cell)),
            },
        )
        for cell in cells
    ]
    return say("power.alt_row", {"line": _name_line(teller, cells), "values": ", ".join(values)})


def _name_line(teller: PowerTeller, cells: tuple[Cell, ...]) -> str:
    return teller.wording.say("power.line", {"size": teller.size(cells[0].layout)})


def _build_drawing(teller: PowerTeller, lines: Sequence[tuple[Cell, ...]]) -> PowerDrawing:
    """Return the chance beside the width."""
    say = teller.wording.say
    widths = [100 * (cell.width() or 0.0) for cells in lines for cell in cells]
    top = min(200, _STEP * (1 + int(max(widths) // _STEP)))
    says = teller.is_equivalence or teller.is_tested
    title = "power.panel_equal" if says else "power.panel_chance"
    return PowerDrawing(
        panels=(
            PowerPanel(
                title=say(title),
                lines=tuple(_chance_line(teller, cells) for cells in lines),
                goal=GOAL,
            ),
            PowerPanel(
                title=say("power.panel_width"),
                lines=tuple(_width_line(teller, cells) for cells in lines),
                top=top,
            ),
        ),
        axis=say("power.axis"),
    )


def _chance_line(teller: PowerTeller, cells: tuple[Cell, ...]) -> PowerLine:
    limits = [teller.chance_limits(cell) for cell in cells]
    can = [teller.can_answer(cell) for cell in cells]
    return PowerLine(
        label=_name_line(teller, cells),
        firings=tuple(cell.layout.firings for cell in cells),
        value=tuple(round(100 * teller.chance(cell), 3) for cell in cells),
        low=tuple(round(100 * one.low * able, 3) for one, able in zip(limits, can, strict=True)),
        high=tuple(round(100 * one.high * able, 3) for one, able in zip(limits, can, strict=True)),
    )


def _width_line(teller: PowerTeller, cells: tuple[Cell, ...]) -> PowerLine:
    known = [(cell.layout.firings, width) for cell in cells if (width := cell.width()) is not None]
    return PowerLine(
        label=_name_line(teller, cells),
        firings=tuple(firings for firings, _ in known),
        value=tuple(round(100 * width, 3) for _, width in known),
    )
