"""Who grades higher, who drifts, and what knowing the piece does."""

from outcomes.graders.agreement import Agreement, OutcomeAgreement
from outcomes.graders.changes import Halo
from outcomes.graders.measured import Measured
from outcomes.graders.pairs import Offset
from outcomes.graders.told import (
    count_looks,
    drifts_told,
    find_limit,
    halos_told,
    is_told,
    offsets_told,
)
from outcomes.report.agree_words import describe_plain, describe_signed, describe_size, label_of
from outcomes.report.document import Paragraph, Section, Statement, Statements, Tone
from outcomes.report.wording import Value, Wording, join_words

_TWO = 2
_DULLS_AFTER_DAYS = 14.0  # luster dulls over weeks; common practice, no source


def build_who(agreement: Agreement, wording: Wording) -> Section:
    """Return offsets, drift and halo in words, each outcome under its name."""
    limit = find_limit(agreement)
    items = tuple(
        Statement(title=label_of(compared), text=lines[0],
                  also=tuple(Statement(text=line) for line in lines[1:]))
        for compared in agreement.outcomes
        if (lines := describe_graders(compared, wording, limit=limit))
    )  # fmt: skip
    lacking = [
        wording.say(key)
        for key, found in (
            ("agree.drift_lacking", any(c.drifts for c in agreement.outcomes)),
            ("agree.halo_lacking", any(c.halos for c in agreement.outcomes)),
        )
        if not found
    ]
    return Section(
        key="who",
        title=wording.say("agree.who_title"),
        blocks=(
            Paragraph(text=wording.say("agree.who_lead"), tone=Tone.LEAD),
            *((Statements(items=items),) if items else ()),
            *(Paragraph(text=text) for text in lacking),
            *(Paragraph(text=text, tone=Tone.FINE) for text in _small_print(agreement, wording)),
        ),
    )


def _small_print(agreement: Agreement, wording: Wording) -> list[str]:
    """Return how often was looked, and that graders are mirrors of each other."""
    looks = count_looks(agreement)
    told = [wording.say("agree.looks", {"n": looks})] if looks else []
    if any(len(compared.ratings.graders) > _TWO for compared in agreement.outcomes):
        told.append(wording.say("agree.mirror"))
    return told


def describe_graders(
    compared: OutcomeAgreement, wording: Wording, *, limit: float
) -> tuple[str, ...]:
    """Return the sentences on one outcome's graders: what is told first, then what is not."""
    lines = [
        *_describe_offsets(compared, wording, limit=limit),
        *_describe_drifts(compared, wording, limit=limit),
    ]
    for halo in halos_told(compared):
        lines += _describe_halo(halo, wording, limit=limit)
    return tuple(lines)


def _describe_offsets(compared: OutcomeAgreement, wording: Wording, *, limit: float) -> list[str]:
    offsets = offsets_told(compared)
    lines = [
        _describe(o.difference, "offset", _offset_values(o, compared, wording), wording)
        for o in offsets
        if is_told(o.difference, limit)
    ]
    quiet = [o for o in offsets if not is_told(o.difference, limit)]
    if quiet and len(compared.ratings.graders) == _TWO:
        values = _offset_values(quiet[0], compared, wording)
        values["size"] = describe_signed(quiet[0].difference, wording)
        lines.append(wording.say("agree.offset_none", values))
    elif quiet:
        told = join_words([_none_item(o.grader, o.difference, wording) for o in quiet])
        lines.append(wording.say("agree.offset_none_many", {"told": told}))
    return lines


def _describe_drifts(compared: OutcomeAgreement, wording: Wording, *, limit: float) -> list[str]:
    drifts = drifts_told(compared)
    lines = []
    for drift in drifts:
        if is_told(drift.change, limit):
            values: dict[str, Value] = {
                "grader": drift.grader,
                "others": _name_others(drift.grader, compared, wording),
                "size": describe_size(drift.change, wording),
                "days": round(drift.days),
            }
            lines.append(_describe(drift.change, "drift", values, wording))
    if lines and len(compared.ratings.graders) == _TWO:
        lines.append(wording.say("agree.drift_two"))
    quiet = [drift for drift in drifts if not is_told(drift.change, limit)]
    if quiet:
        told = join_words([_none_item(d.grader, d.change, wording) for d in quiet])
        days = round(max(drift.days for drift in quiet))
        lines.append(wording.say("agree.drift_none", {"told": told, "days": days}))
    return lines


def _none_item(grader: str, measured: Measured, wording: Wording) -> str:
    """Return a grader with a difference that is not told: "K (−0.12 of a grade, ...)"."""
    values = {"grader": grader, "value": describe_plain(measured.value)}
    if measured.interval is None:
        return wording.say("agree.none_bare", values)
    ends = {
        "low": describe_plain(measured.interval.low),
        "high": describe_plain(measured.interval.high),
    }
    return wording.say("agree.none_item", {**values, **ends})


def _describe_halo(halo: Halo, wording: Wording, *, limit: float) -> list[str]:
    values: dict[str, Value] = {"grader": halo.grader, "n": halo.pieces}
    if not is_told(halo.difference, limit):
        size = describe_signed(halo.difference, wording)
        return [wording.say("agree.halo_none", {**values, "size": size})]
    size = describe_size(halo.difference, wording)
    lines = [_describe(halo.difference, "halo", {**values, "size": size}, wording)]
    if halo.days is not None and abs(halo.days) >= _DULLS_AFTER_DAYS:
        lines.append(wording.say("agree.halo_days", {"days": round(abs(halo.days))}))
    return lines


def _offset_values(
    offset: Offset, compared: OutcomeAgreement, wording: Wording
) -> dict[str, Value]:
    return {
        "grader": offset.grader,
        "others": _name_others(offset.grader, compared, wording),
        "size": describe_size(offset.difference, wording),
        "n": offset.pieces,
    }


def _name_others(grader: str, compared: OutcomeAgreement, wording: Wording) -> str:
    others = [name for name in compared.ratings.graders if name != grader]
    return others[0] if len(others) == 1 else wording.say("agree.others")


_KEYS = {
    "offset": ("agree.offset_higher", "agree.offset_lower"),
    "drift": ("agree.drift_up", "agree.drift_down"),
    "halo": ("agree.halo_up", "agree.halo_down"),
}


def _describe(measured: Measured, kind: str, values: dict[str, Value], wording: Wording) -> str:
    """Return the sentence for a difference that is told, up or down."""
    up, down = _KEYS[kind]
    return wording.say(up if measured.value > 0.0 else down, values)
