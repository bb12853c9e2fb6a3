"""What made the difference so far, beside what could be changed: two orders, seldom the same."""

from collections.abc import Sequence

from outcomes.effects.decomposition import Decomposition, FactorShare
from outcomes.effects.effect import Effect
from outcomes.log.codebook import Role
from outcomes.report.amounts import describe_change, whole_per_100
from outcomes.report.document import Column, Depth, Paragraph, Table, make_key
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.sentences import describe_interval_cell
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy

_NOT_CHOSEN = {Role.CONDITION: "shares.recorded", Role.GROUPING: "shares.grouped"}


def build_split(parts: Sequence[OutcomeStudy], teller: Teller) -> list[Depth]:
    """Return the two orders of every outcome, folded; nothing without a decomposition."""
    say = teller.wording.say
    tables = tuple(
        _build_table(part, part.split, teller) for part in parts if part.split is not None
    )
    if not tables:
        return []
    lead = Paragraph(text=say("shares.split_lead"))
    return [Depth(key="more-split", summary=say("shares.split_all"), blocks=(lead, *tables))]


def _build_table(part: OutcomeStudy, split: Decomposition, teller: Teller) -> Table:
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    interval = say("columns.interval", confidence)
    effects = {effect.contrast.factor: effect for effect in part.effects}
    ranked = {place.factor for place in part.ranking}
    notes = [say("shares.split_note", {"total": whole_per_100(split.total)})]
    if split.orders:
        notes.append(say("shares.split_orders", {"orders": split.orders}))
    return Table(
        key=make_key(f"split-{part.outcome.name}"),
        caption=say("shares.split_open", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("columns.setting")),
            Column(heading=say("shares.split_so_far"), numeric=True),
            Column(heading=interval),
            Column(heading=say("shares.split_change")),
            Column(heading=interval),
        ),
        rows=tuple(
            (
                teller.label(one.factor),
                *_describe_share(one, teller),
                *_describe_changeable(one, effects.get(one.factor), ranked, teller),
            )
            for one in split.shares
        ),
        note=" ".join(notes),
    )


def _describe_share(one: FactorShare, teller: Teller) -> tuple[str, str]:
    """Return a share in parts of 100 and its interval."""
    say = teller.wording.say
    size = str(whole_per_100(one.share) or say("numbers.part_low"))
    if one.low is None or one.high is None:
        return size, "–"
    low, high = whole_per_100(one.low), max(1, whole_per_100(one.high))
    key = "numbers.part_span" if low else "numbers.part_up_to"
    return size, say(key, {"low": low, "high": high})


def _describe_changeable(
    one: FactorShare, effect: Effect | None, ranked: set[str], teller: Teller
) -> tuple[str, str]:
    """Return what changing a setting went with; conditions and groups are not for changing."""
    if one.role in _NOT_CHOSEN:
        return teller.wording.say(_NOT_CHOSEN[one.role]), "–"
    if effect is None:
        return "–", "–"
    if one.factor not in ranked:
        return teller.wording.say("shares.grouped"), "–"
    return describe_change(effect.change, teller.wording), describe_interval_cell(effect, teller)
