"""The fifth section: what this log cannot say yet, why, and how much more it would take."""

from collections.abc import Callable, Sequence

from outcomes.effects.effect import Effect, Word
from outcomes.report.amounts import round_up
from outcomes.report.cautions import find_cautions
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    ItemList,
    Paragraph,
    Section,
    Statement,
    Statements,
    Table,
    Tone,
    make_key,
)
from outcomes.report.maker_doubts import build_doubts
from outcomes.report.maker_findings import SHARED_HABITS, describe_finding
from outcomes.report.sentences import describe_tangle, word_of
from outcomes.report.teller import Teller
from outcomes.report.wording import join_words, mid_sentence
from outcomes.study.record import NotLearnt, OutcomeStudy, Tangle

TRUSTED_FIRINGS = 12


def build_unknown(teller: Teller) -> Section:
    """Return the section, grouped by why nothing can be said."""
    say, study = teller.wording.say, teller.study
    parts: list[Section] = []
    parts += _group(
        "never_varied", _list(_not_learnt(teller, _has_word(Word.NEVER_VARIED))), teller
    )
    parts += _group("tangled", _tangles(teller), teller)
    parts += _group("thin", _list(_thin(teller)), teller)
    parts += _group("cannot_tell", _list(_open(teller)), teller)
    parts += _group("not_learnt", _list(_left_out(teller)), teller)
    parts += build_doubts(teller)
    parts += _unusable(teller)
    if not parts:
        text = Paragraph(text=say("unknown.none"), tone=Tone.LEAD)
        return Section(key="unknown", title=say("unknown.title"), blocks=(text,))
    blocks: list[Block] = [Paragraph(text=say("unknown.lead"), tone=Tone.LEAD)]
    if study.firings < TRUSTED_FIRINGS:
        blocks.append(Paragraph(text=say("unknown.enough_clusters", {"n": study.firings})))
    table = _build_table(teller)
    depth = Depth(key="more-open", summary=table.caption, blocks=(table,))
    blocks += [*parts, *((depth,) if table.rows else ())]
    return Section(key="unknown", title=say("unknown.title"), blocks=tuple(blocks))


def _group(name: str, items: ItemList | Statements, teller: Teller) -> list[Section]:
    """Return a part with its items and what would help; nothing when there is no item."""
    if not items.items:
        return []
    say = teller.wording.say
    return [
        Section(
            key=make_key(f"unknown-{name.replace('_', '-')}"),
            title=say(f"unknown.{name}"),
            blocks=(Paragraph(text=say(f"unknown.{name}_how")), items),
        )
    ]


def _list(items: Sequence[str]) -> ItemList:
    return ItemList(items=tuple(items))


def _usable(teller: Teller) -> list[OutcomeStudy]:
    return [part for part in teller.study.outcomes if part.usable]


def _not_learnt(teller: Teller, wanted: Callable[[NotLearnt], bool]) -> list[str]:
    """Return one item a factor and reason, naming the outcomes when it is not all of them."""
    say = teller.wording.say
    found: dict[tuple[str, str], list[str]] = {}
    for part in _usable(teller):
        for item in filter(wanted, part.not_learnt):
            reason = (teller.label(item.factor), item.reason)
            found.setdefault(reason, []).append(mid_sentence(part.outcome.label))
    lines = []
    for (label, why), outcomes in found.items():
        line = _with_label(label, why, teller)
        if len(outcomes) < len(_usable(teller)):
            values = {"reason": line, "outcomes": join_words(outcomes)}
            line = say("unknown.for_outcomes", values)
        lines.append(line)
    return lines


def _with_label(label: str, reason: str, teller: Teller) -> str:
    """Return a reason that names what it is about, once."""
    if reason.startswith(label):
        return reason
    return teller.wording.say("unknown.item", {"label": label, "reason": reason})


def _left_out(teller: Teller) -> list[str]:
    """Return what else could not be compared; what was never written down in one line."""
    lines = _not_learnt(teller, _is_untold)
    absent = dict.fromkeys(
        teller.label(item.factor)
        for part in _usable(teller)
        for item in part.not_learnt
        if _is_absent(item)
    )
    if absent:
        labels = join_words([mid_sentence(label) for label in absent])
        lines.append(teller.wording.say("unknown.not_recorded", {"labels": labels}))
    return lines


def _has_word(word: Word) -> Callable[[NotLearnt], bool]:
    """Return the question whether an item has that verdict."""
    return lambda item: item.verdict is not None and item.verdict.word is word


def _is_untold(item: NotLearnt) -> bool:
    """Return whether an item has a reason that no other part of the section tells."""
    told = (Word.NEVER_VARIED, Word.TANGLED, Word.THIN)
    return not (_is_absent(item) or (item.verdict is not None and item.verdict.word in told))


def _is_absent(item: NotLearnt) -> bool:
    return item.code == "not_recorded"


def _tangles(teller: Teller) -> Statements:
    """Return what moved together; a tangle is as careful about hot ware as its effect."""
    items = [
        Statement(text=describe_finding(finding, teller))
        for finding in teller.study.findings
        if finding.code in SHARED_HABITS
    ]
    items += [Statement(text=text) for text in _not_learnt(teller, _has_word(Word.TANGLED))]
    for part in _usable(teller):
        effects = {effect.contrast.factor: effect for effect in part.effects}
        for tangle in _once(part.tangles):
            names = (tangle.factor, *tangle.with_factors)
            shown = [effects[name] for name in names if name in effects]
            items.append(
                Statement(
                    title=part.outcome.label,
                    text=describe_tangle(tangle, part.outcome, teller),
                    cautions=find_cautions(shown, part.outcome, teller),
                )
            )
    return Statements(items=tuple(items))


def _once(tangles: Sequence[Tangle]) -> list[Tangle]:
    """Return the tangles without the second telling of a pair: it is found from both sides."""
    told: list[Tangle] = []
    for one in tangles:
        if not any(
            (first.factor,) == one.with_factors and first.with_factors == (one.factor,)
            for first in told
        ):
            told.append(one)
    return told


def _thin(teller: Teller) -> list[str]:
    """Return the comparisons that reach beyond the log, with the reason."""
    return _not_learnt(teller, _has_word(Word.THIN)) + [
        teller.wording.say(
            "unknown.item",
            {
                "label": f"{part.outcome.label}, {mid_sentence(_label(effect, teller))}",
                "reason": effect.verdict.reason,
            },
        )
        for part in _usable(teller)
        for effect in part.effects
        if effect.verdict is not None and effect.verdict.word is Word.THIN
    ]


def _open(teller: Teller) -> list[str]:
    """Return one line an outcome: its open questions, the nearest to an answer first."""
    say = teller.wording.say
    lines = []
    for part in _usable(teller):
        found = [effect for effect in part.effects if word_of(effect) is Word.CANNOT_TELL]
        found.sort(key=lambda effect: (_further(effect) is None, _further(effect) or 0))
        items = [_describe_open(effect, teller) for effect in found]
        if items:
            values = {"outcome": part.outcome.label, "items": "; ".join(items)}
            lines.append(say("unknown.open_line", values))
    return lines


def _describe_open(effect: Effect, teller: Teller) -> str:
    further = _further(effect)
    label = mid_sentence(_label(effect, teller))
    if further is None:
        return teller.wording.say("unknown.open_item_many", {"label": label})
    return teller.wording.say("unknown.open_item", {"label": label, "n": round_up(further)})


def _label(effect: Effect, teller: Teller) -> str:
    return teller.label(effect.contrast.factor)


def _further(effect: Effect) -> int | None:
    return None if effect.verdict is None else effect.verdict.further_firings


def _unusable(teller: Teller) -> list[Section]:
    say = teller.wording.say
    items = tuple(
        _with_label(part.outcome.label, part.why_not, teller)
        for part in teller.study.outcomes
        if not part.usable
    )
    if not items:
        return []
    title = say("unknown.outcomes")
    return [Section(key="unknown-outcomes", title=title, blocks=(ItemList(items=items),))]


def _build_table(teller: Teller) -> Table:
    """Return what stays open, a row for each outcome and setting."""
    say = teller.wording.say
    rows: list[tuple[str, ...]] = []
    for part in _usable(teller):
        for effect in part.effects:
            if word_of(effect) in (Word.CANNOT_TELL, Word.THIN, Word.TANGLED):
                label = teller.label(effect.contrast.factor)
                rows.append((part.outcome.label, label, str(word_of(effect)), _needs(effect)))
        for item in part.not_learnt:
            if item.verdict is not None:
                label = teller.label(item.factor)
                rows.append((part.outcome.label, label, str(item.verdict.word), "–"))
    return Table(
        key="open-questions",
        caption=say("unknown.table_title"),
        columns=(
            Column(heading=say("columns.outcome")),
            Column(heading=say("columns.setting")),
            Column(heading=say("unknown.why")),
            Column(heading=say("unknown.more_clusters"), numeric=True),
        ),
        rows=tuple(rows),
    )


def _needs(effect: Effect) -> str:
    further = _further(effect)
    return "–" if further is None else str(round_up(further))
