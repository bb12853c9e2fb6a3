"""The second section: for each outcome its settings on a pieces-per-100 strip."""

from collections.abc import Sequence

from outcomes.effects.effect import Effect, RankedFactor, Word
from outcomes.log.codebook import Direction
from outcomes.report.amounts import describe_rate
from outcomes.report.document import (
    Block,
    Callout,
    Column,
    Depth,
    Paragraph,
    Section,
    Statements,
    Table,
    Tone,
    make_key,
)
from outcomes.report.doubts_in_place import (
    describe_own_doubt,
    doubts_of_outcome,
    doubts_of_setting,
    drop_label,
)
from outcomes.report.maker_grades import build_uneven
from outcomes.report.maker_strip import build_strip
from outcomes.report.maker_trust import build_trust, describe_skill
from outcomes.report.sentences import build_statement, describe_place, word_of
from outcomes.report.teller import Teller
from outcomes.report.wording import Value
from outcomes.study.record import OutcomeStudy

_WANTED = {
    Direction.HIGHER: "outcomes.wanted_higher",
    Direction.LOWER: "outcomes.wanted_lower",
}


def build_outcomes(teller: Teller) -> Section:
    """Return the section, one part an outcome, in the codebook's order."""
    say = teller.wording.say
    parts = tuple(_build_part(part, teller) for part in teller.study.outcomes)
    lead = Paragraph(text=say("outcomes.lead"), tone=Tone.LEAD)
    order = Paragraph(text=say("outcomes.order_note"), tone=Tone.FINE)
    is_drawn = any(ranked_effects(part) for part in teller.study.outcomes)
    blocks: tuple[Block, ...] = (lead, order, *parts) if is_drawn else parts
    return Section(key="outcomes", title=say("outcomes.title"), blocks=blocks)


def ranked_effects(part: OutcomeStudy) -> tuple[tuple[Effect, RankedFactor], ...]:
    """Return the settings of an outcome with their places, first place first."""
    by_factor = {effect.contrast.factor: effect for effect in part.effects}
    return tuple((by_factor[r.factor], r) for r in part.ranking if r.factor in by_factor)


def _build_part(part: OutcomeStudy, teller: Teller) -> Section:
    say = teller.wording.say
    key = make_key(f"outcome-{part.outcome.name}")
    if not part.usable:
        text = say("outcomes.not_usable", {"why_not": drop_label(part.why_not, part.outcome.label)})
        return Section(key=key, title=part.outcome.label, blocks=(Paragraph(text=text),))
    pairs = ranked_effects(part)
    blocks: list[Block] = [Paragraph(text=describe_grades(part, teller))]
    blocks += _build_doubts(part, teller)
    if pairs:
        blocks += _build_settings(part, pairs, teller)
    else:
        blocks.append(Paragraph(text=say("outcomes.no_settings")))
    blocks += [*build_trust(part, teller), build_anchors(part, teller)]
    return Section(key=key, title=part.outcome.label, blocks=tuple(blocks))


def _build_doubts(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return how well left-out firings are foretold, or what speaks against the whole outcome."""
    found = doubts_of_outcome(part)
    blocks: list[Block] = [Paragraph(text=text) for text in describe_skill(part, teller)]
    if found:
        blocks.append(
            Callout(
                title=teller.wording.say("doubts.callout"),
                items=tuple(describe_own_doubt(finding, part.outcome.label) for finding in found),
                tone=Tone.HONESTY,
            )
        )
    return blocks


def describe_grades(part: OutcomeStudy, teller: Teller) -> str:
    """Return how many pieces were graded how, and what counts as better."""
    say, outcome = teller.wording.say, part.outcome
    counts = [
        say("outcomes.grade_count", {"n": n, "grade": teller.grade(outcome, index)})
        for index, n in enumerate(part.grade_counts)
    ]
    graded = sum(part.grade_counts)
    values: dict[str, Value] = {
        "graded": graded,
        "compared": part.pieces,
        "clusters_n": part.firings,
        "grades": ", ".join(counts),
        "at_aim": describe_rate(
            sum(part.grade_counts[outcome.aim :]) / max(graded, 1), teller.wording
        ),
        "phrase": outcome.phrase,
    }
    key = "outcomes.compared_all" if graded == part.pieces else "outcomes.compared_some"
    wanted = _WANTED.get(outcome.wanted, "outcomes.wanted_neither")
    return " ".join((say("outcomes.graded", values), say(wanted), say(key, values)))


def build_anchors(part: OutcomeStudy, teller: Teller) -> Depth:
    """Return the grades with their wording and how often each was given."""
    say, outcome = teller.wording.say, part.outcome
    table = Table(
        key=make_key(f"grades-{outcome.name}"),
        caption=say("outcomes.anchors", {"outcome": outcome.label}),
        columns=(
            Column(heading=say("columns.grade")),
            Column(heading=say("columns.wording")),
            Column(heading=say("columns.count"), numeric=True),
        ),
        rows=tuple(
            (level.name, level.wording, str(n))
            for level, n in zip(outcome.levels, part.grade_counts, strict=True)
        ),
        note=say("outcomes.anchors_note", {"aim": outcome.levels[outcome.aim].name,
                                            "phrase": outcome.phrase}),
    )  # fmt: skip
    return Depth(
        key=make_key(f"more-grades-{outcome.name}"), summary=table.caption, blocks=(table,)
    )


def _build_settings(
    part: OutcomeStudy, pairs: Sequence[tuple[Effect, RankedFactor]], teller: Teller
) -> list[Block]:
    say = teller.wording.say
    blocks: list[Block] = [build_strip(part, pairs, teller)]
    unordered = all((place.rank_low, place.rank_high) == (1, len(pairs)) for _, place in pairs)
    if unordered and len(pairs) > 1:
        blocks.append(Paragraph(text=say("outcomes.no_order", {"n": len(pairs)})))
    clear = [pair for pair in pairs if _is_told(pair[0], part)]
    rest = [pair for pair in pairs if pair not in clear]
    if clear:
        blocks.append(_state(clear, part, teller, n=len(pairs)))
    blocks += build_uneven(part, teller)
    if rest:
        key = "outcomes.rest_in_words" if clear else "outcomes.all_in_words"
        summary = say(key, {"n": len(rest)})
        depth = Depth(
            key=make_key(f"more-{part.outcome.name}"),
            summary=summary,
            blocks=(_state(rest, part, teller, n=len(pairs)),),
        )
        blocks.append(depth)
    return blocks


def _is_told(effect: Effect, part: OutcomeStudy) -> bool:
    """Return whether a setting is told in full: it stands out, or a check speaks against it."""
    stands_out = word_of(effect) in (Word.CHANGES, Word.LEANS)
    return stands_out or bool(doubts_of_setting(part, effect.contrast.factor))


def _state(
    pairs: Sequence[tuple[Effect, RankedFactor]], part: OutcomeStudy, teller: Teller, *, n: int
) -> Statements:
    """Return settings in words, each with its place among the ``n``."""
    items = tuple(
        build_statement(
            effect,
            part.outcome,
            teller,
            title=describe_place(ranked, n, teller),
            doubts=doubts_of_setting(part, effect.contrast.factor),
        )
        for effect, ranked in pairs
    )
    return Statements(items=items, ordered=True)
