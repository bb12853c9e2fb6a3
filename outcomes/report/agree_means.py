"""What the agreement means for the findings, and what to do now."""

from outcomes.graders.agreement import Agreement, Band, OutcomeAgreement
from outcomes.graders.shifts import shrinkage_factor
from outcomes.graders.told import find_limit, is_told, offsets_told
from outcomes.report.agree_where import find_worst_step
from outcomes.report.agree_words import YES_NO_GRADES, describe_measured, label_grade, label_of
from outcomes.report.amounts import whole_per_100
from outcomes.report.document import Block, Callout, Depth, ItemList, Paragraph, Section, Tone
from outcomes.report.wording import Wording, join_words

_NO_CORRECTION = 0.1  # a reliability this low triples an effect: no rule of thumb any more


def build_means(agreement: Agreement, wording: Wording) -> Section:
    """Return what follows for a report from such grades."""
    say = wording.say
    blind = "agree.means_blind_all" if agreement.blind == "all" else "agree.means_not_blind"
    blocks: tuple[Block, ...] = (
        Callout(title=say("agree.means_box"),
                items=(say("agree.means_once"), say("agree.means_noise"), say(blind)),
                tone=Tone.HONESTY),
        Depth(
            key="rule-of-thumb",
            summary=say("agree.rho_title"),
            blocks=(
                *(
                    Paragraph(text=describe_reliability(compared, wording), tone=Tone.FINE)
                    for compared in agreement.outcomes
                ),
                Paragraph(text=say("agree.means_pieces"), tone=Tone.FINE),
            ),
        ),
    )  # fmt: skip
    return Section(key="means", title=say("agree.means_title"), blocks=blocks)


def describe_reliability(compared: OutcomeAgreement, wording: Wording) -> str:
    """Return the correlation of two grades of one piece, and what it would do to an effect."""
    say, rho = wording.say, compared.shifts.reliability
    label = label_of(compared)
    if rho.value != rho.value:
        return say("agree.rho_none", {"label": label, "why": say("agree.rho_same")})
    values = {"label": label, "rho": describe_measured(rho, wording)}
    if rho.value < _NO_CORRECTION:
        return say("agree.rho_far", values)
    reach = ""
    if rho.interval is not None and rho.interval.low >= _NO_CORRECTION:
        ends = {"low": _more(rho.interval.high), "high": _more(rho.interval.low)}
        reach = say("agree.rho_reach", ends)
    return say("agree.rho", {**values, "more": _more(rho.value), "reach": reach})


def _more(reliability: float) -> int:
    return whole_per_100(shrinkage_factor(reliability) - 1.0)


def build_next(agreement: Agreement, wording: Wording) -> Section:
    """Return what to do now, the most useful first."""
    say = wording.say
    items = [line for compared in agreement.outcomes if (line := _settle(compared, wording)) != ""]
    limit = find_limit(agreement)
    if any(
        is_told(offset.difference, limit) for c in agreement.outcomes for offset in offsets_told(c)
    ):
        items.append(say("agree.next_offset"))
    if not items and all(c.band is Band.GOOD for c in agreement.outcomes):
        items.append(say("agree.next_good"))
    if agreement.blind != "all" or any(c.band is not Band.GOOD for c in agreement.outcomes):
        items.append(say("agree.next_list"))
    items.append(say("agree.next_keep"))
    blocks: list[Block] = [ItemList(items=tuple(items), ordered=True)]
    if agreement.gradings.codebook.handles_hot_ware:
        blocks.append(
            Callout(title=say("agree.cold_title"), items=(say("agree.cold"),), tone=Tone.SAFETY)
        )
    return Section(key="next", title=say("agree.next_title"), blocks=tuple(blocks))


def _settle(compared: OutcomeAgreement, wording: Wording) -> str:
    """Return which step to settle together; "" when the scale is good or has one step."""
    if compared.band in (Band.GOOD, Band.UNKNOWN) or compared.ratings.n_grades == YES_NO_GRADES:
        return ""
    worst = find_worst_step(compared) or max(compared.boundaries, key=lambda b: b.split.value)
    outcome = compared.ratings.outcome
    values = {
        "label": label_of(compared),
        "below": label_grade(outcome, worst.upper - 1),
        "upper": label_grade(outcome, worst.upper),
    }
    return wording.say("agree.next_step", values)


def describe_alone(agreement: Agreement, wording: Wording) -> str:
    """Return which outcomes were graded once only, "" when none."""
    book = agreement.gradings.codebook
    labels = [book.outcome(name).label for name in agreement.not_compared]
    return wording.say("agree.alone", {"labels": join_words(labels)}) if labels else ""
