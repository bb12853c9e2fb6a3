"""The first section: three to six sentences, each with its number, interval and verdict."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from outcomes.doubts.skill import SkillWord
from outcomes.effects.effect import Effect, Word
from outcomes.log.codebook import Direction, Outcome, Role
from outcomes.report.cautions import direction_of
from outcomes.report.document import (
    Block,
    Callout,
    Depth,
    Paragraph,
    Section,
    Statement,
    Statements,
    Tone,
)
from outcomes.report.maker_findings import describe_eyes
from outcomes.report.maker_pots import build_pots_picture
from outcomes.report.sentences import build_statement, describe_further, word_of
from outcomes.report.teller import Teller
from outcomes.report.wording import join_words, mid_sentence
from outcomes.resampling.intervals import FEWEST_FIRINGS
from outcomes.study.record import OutcomeStudy, Study

MOST = 6
FEWEST = 3
FEW_FIRINGS = 12
# What a reader should know first.
_ORDER = (Word.CHANGES, Word.LEANS, Word.SMALL, Word.CANNOT_TELL, Word.TANGLED, Word.THIN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One setting's effect with the outcome it is on."""

    effect: Effect
    outcome: Outcome

    def word(self) -> Word:
        """Return its verdict word."""
        word = word_of(self.effect)
        assert word is not None  # noqa: S101
        return word


def build_takeaways(teller: Teller) -> Section:
    """Return the section; what does not fit in six sentences is counted."""
    study, say = teller.study, teller.wording.say
    judged = collect_judged(study.outcomes)
    chosen = choose_takeaways(judged)
    blocks: list[Block] = []
    if not any(part.usable for part in study.outcomes):
        blocks.append(Paragraph(text=say("takeaway.nothing_usable"), tone=Tone.LEAD))
    elif not any(item.word() in (Word.CHANGES, Word.LEANS) for item in judged):
        blocks.append(Paragraph(text=say("takeaway.none"), tone=Tone.LEAD))
    blocks += [Paragraph(text=text) for text in _not_foretold(study, teller)]
    if chosen:
        blocks.append(_state(chosen, judged, teller))
    shown = {item.effect.contrast.factor for item in chosen}
    two_ways = [
        statement
        for factor in _factors(judged)
        if factor not in shown
        for statement in _two_ways(factor, judged, teller)
    ]
    if two_ways:
        blocks.append(Statements(items=tuple(two_ways)))
    remarks = _remarks(judged, chosen, teller)
    if remarks:
        blocks.append(Paragraph(text=" ".join(remarks)))
    blocks.append(
        Callout(
            title=say("takeaway.honesty_title"),
            items=(say("takeaway.honesty"), *describe_eyes(teller)),
            tone=Tone.HONESTY,
        )
    )
    blocks += _picture_first(chosen, teller)
    blocks.append(Paragraph(text=describe_account(teller), tone=Tone.FINE))
    return Section(key="take-away", title=say("takeaway.title"), blocks=tuple(blocks))


def collect_judged(outcomes: Sequence[OutcomeStudy]) -> tuple[Judged, ...]:
    """Return every setting's effect that has a verdict, most telling first."""
    found = [
        Judged(effect=effect, outcome=part.outcome)
        for part in outcomes
        for effect in part.effects
        if effect.contrast.role is Role.SETTING and word_of(effect) in _ORDER
    ]
    return tuple(sorted(found, key=_place))


def _place(item: Judged) -> tuple[int, bool, float]:
    """Return where a sentence stands: by verdict, what is wanted before taste, the larger first."""
    taste = item.outcome.wanted not in (Direction.HIGHER, Direction.LOWER)
    return _ORDER.index(item.word()), taste, -abs(item.effect.change)


def choose_takeaways(judged: Sequence[Judged]) -> tuple[Judged, ...]:
    """Return three to six of them, as far as there are any.

    All that changes the surface; with room left, what leans, one place being kept for what is
    too small to matter: knowing what need not be watched is worth as much. Only when these are
    fewer than three are open questions added.
    """
    changes, leans, small = (
        [item for item in judged if item.word() is word]
        for word in (Word.CHANGES, Word.LEANS, Word.SMALL)
    )
    room = max(0, MOST - len(changes))
    chosen = changes[:MOST] + leans[: max(0, room - bool(small))]
    chosen += small[: min(1, max(0, MOST - len(chosen)))]
    rest = [item for item in judged if item not in chosen and item.effect.interval is not None]
    return tuple(chosen + rest[: max(0, FEWEST - len(chosen))])


def describe_account(teller: Teller) -> str:
    """Return the row account in one line."""
    account = teller.study.log.account
    values = {
        "read": account.rows_read,
        "used": account.rows_used,
        "aside": len(account.set_aside),
    }
    whole = not account.set_aside
    return teller.wording.say("takeaway.account_whole" if whole else "takeaway.account", values)


def _not_foretold(study: Study, teller: Teller) -> list[str]:
    """Return for which outcomes new firings are not foretold: it qualifies all that follows.

    An estimate above 0 whose interval reaches below it is told with its outcome only.
    """
    lines = []
    for word, key in (
        (SkillWord.WORSE, "takeaway.foretold_worse"),
        (SkillWord.NOT_SHOWN, "takeaway.not_foretold"),
    ):
        labels = [
            mid_sentence(part.outcome.label)
            for part in study.outcomes
            if part.skill is not None
            and part.skill.overall.word is word
            and part.skill.overall.value <= 0.0
        ]
        if labels:
            lines.append(teller.wording.say(key, {"outcomes": join_words(labels)}))
    return lines


def _state(chosen: Sequence[Judged], judged: Sequence[Judged], teller: Teller) -> Statements:
    """Return one card a setting, in the order of its most telling sentence."""
    cards: dict[str, list[Judged]] = {}
    for item in chosen:
        cards.setdefault(item.effect.contrast.factor, []).append(item)
    return Statements(items=tuple(_build_card(card, judged, teller) for card in cards.values()))


def _build_card(card: Sequence[Judged], judged: Sequence[Judged], teller: Teller) -> Statement:
    """Return what is said of one setting: a sentence an outcome, cautions once."""
    factor = card[0].effect.contrast.factor
    title = teller.wording.say(
        "takeaway.heading",
        {
            "label": teller.label(factor),
            "outcomes": join_words([mid_sentence(item.outcome.label) for item in card]),
        },
    )
    said = [_build_sentence(item, teller) for item in card] + _two_ways(factor, judged, teller)
    cautions = tuple(dict.fromkeys(note for one in said for note in one.cautions))
    further = tuple(replace(one, cautions=()) for one in said[1:])
    return replace(said[0], title=title, cautions=cautions, also=further)


def _build_sentence(item: Judged, teller: Teller) -> Statement:
    statement = build_statement(item.effect, item.outcome, teller)
    verdict = item.effect.verdict
    if item.word() is not Word.CANNOT_TELL or verdict is None:
        return statement
    further = describe_further(verdict, teller)
    return replace(statement, text=f"{statement.text} {further}")


def _remarks(judged: Sequence[Judged], chosen: Sequence[Judged], teller: Teller) -> list[str]:
    """Return what a reader must know beside the sentences."""
    say, study = teller.wording.say, teller.study
    remarks: list[str] = []
    hidden = [
        (word, sum(item.word() is word for item in judged if item not in chosen))
        for word in (Word.CHANGES, Word.LEANS)
    ]
    items = [say("takeaway.more_item", {"n": n, "word": str(word)}) for word, n in hidden if n]
    if items:
        first = next(n for _, n in hidden if n)
        more = say("takeaway.more", {"n": first, "items": join_words(items)})
        remarks.append(more)
    return remarks + _describe_small(judged, chosen, teller) + describe_grouping(study, teller)


def _describe_small(
    judged: Sequence[Judged], chosen: Sequence[Judged], teller: Teller
) -> list[str]:
    """Return what need not be watched, beyond what a sentence above says."""
    found: dict[str, list[str]] = {}
    for item in judged:
        if item.word() is Word.SMALL and item not in chosen:
            label = mid_sentence(teller.label(item.effect.contrast.factor))
            found.setdefault(mid_sentence(item.outcome.label), []).append(label)
    items = [
        teller.wording.say(
            "takeaway.small_item", {"labels": join_words(labels), "outcome": outcome}
        )
        for outcome, labels in found.items()
    ]
    if not items:
        return []
    return [teller.wording.say("takeaway.small", {"items": "; ".join(items)})]


def describe_grouping(study: Study, teller: Teller) -> list[str]:
    """Return what must be said about the firings themselves: few, or not recorded."""
    say = teller.wording.say
    if study.cluster == "":
        return [say("takeaway.no_clusters")]
    remarks = []
    if study.cluster == study.log.codebook.date:
        remarks.append(say("takeaway.by_date"))
    if study.firings < FEWEST_FIRINGS:
        values = {"n": study.firings, "least": FEWEST_FIRINGS}
        remarks.append(say("takeaway.too_few", values))
    elif study.firings < FEW_FIRINGS:
        remarks.append(say("takeaway.rough", {"n": study.firings}))
    return remarks


def _factors(judged: Sequence[Judged]) -> list[str]:
    return list(dict.fromkeys(item.effect.contrast.factor for item in judged))


def _two_ways(factor: str, judged: Sequence[Judged], teller: Teller) -> list[Statement]:
    """Return the remark that a setting is better one way for one outcome, the other for another."""
    ways: dict[bool, list[str]] = {True: [], False: []}
    for item in judged:
        contrast = item.effect.contrast
        if contrast.factor != factor or item.word() not in (Word.CHANGES, Word.LEANS):
            continue
        if item.outcome.wanted not in (Direction.HIGHER, Direction.LOWER):
            continue
        wanted = 1 if item.outcome.wanted is Direction.HIGHER else -1
        up = direction_of(contrast, teller.factor(factor)) * item.effect.change * wanted > 0
        ways[up].append(mid_sentence(item.outcome.label))
    if not (ways[True] and ways[False]):
        return []
    values = {
        "label": teller.label(factor),
        "better": join_words(ways[True]),
        "worse": join_words(ways[False]),
    }
    known = teller.factor(factor)
    hot = known is not None and known.hot is not Direction.NEITHER and known.safety_note
    return [
        Statement(
            text=teller.wording.say("takeaway.two_ways", values),
            cautions=(known.safety_note,) if known is not None and hot else (),
        )
    ]


def _picture_first(chosen: Sequence[Judged], teller: Teller) -> list[Block]:
    """Return the hundred pots of the clearest finding, with its cautions, folded."""
    clear = [item for item in chosen if item.word() is Word.CHANGES]
    if not clear:
        return []
    effect, outcome = clear[0].effect, clear[0].outcome
    values = {
        "outcome": mid_sentence(outcome.label),
        "label": mid_sentence(teller.label(effect.contrast.factor)),
    }
    summary = teller.wording.say("takeaway.pots", values)
    picture = build_pots_picture(effect, outcome, teller)
    return [Depth(key="more-pots", summary=summary, blocks=(picture,))]
