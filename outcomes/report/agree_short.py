"""The first section of the page on graders: one statement an outcome."""

from outcomes.graders.agreement import (
    Agreement,
    Band,
    OutcomeAgreement,
    grades_used,
    largest_share,
)
from outcomes.graders.changes import FEWEST_PIECES
from outcomes.graders.regrade import FEWEST
from outcomes.report.agree_words import (
    YES_NO_GRADES,
    describe_band_doubt,
    describe_measured,
    describe_share,
    describe_why,
    label_of,
)
from outcomes.report.amounts import clamp_per_100
from outcomes.report.document import Paragraph, Section, Statement, Statements, Tone
from outcomes.report.wording import Wording, join_words

_LOPSIDED = 0.85  # of all grades are one: chance alone brings most pairs together
_BANDS = {
    Band.GOOD: "agree.good",
    Band.USABLE: "agree.usable",
    Band.FIX: "agree.fix",
    Band.UNKNOWN: "agree.unknown",
}


def build_short(agreement: Agreement, wording: Wording) -> Section:
    """Return how far the graders agree, in a few sentences an outcome."""
    items = tuple(_build_statement(compared, wording) for compared in agreement.outcomes)
    return Section(
        key="short",
        title=wording.say("agree.short_title"),
        blocks=(
            Paragraph(text=wording.say("agree.short_lead"), tone=Tone.LEAD),
            Statements(items=items),
            Paragraph(text=wording.say("agree.alpha_scale"), tone=Tone.FINE),
        ),
    )


def describe_band(compared: OutcomeAgreement, wording: Wording) -> str:
    """Return the fixed word and the number it rests on."""
    alpha = describe_measured(compared.alpha, wording)
    if compared.pieces < FEWEST_PIECES:
        return wording.say("agree.unknown_few", {"n": compared.pieces, "least": FEWEST_PIECES})
    return wording.say(_BANDS[compared.band], {"alpha": alpha})


def describe_pairs(compared: OutcomeAgreement, wording: Wording) -> str:
    """Return how many pairs of grades are the same, and how many nearly so; "" for a handful."""
    if compared.pieces < FEWEST_PIECES:
        return ""
    values = {
        "exact": describe_share(compared.exact, wording),
        "near": describe_share(compared.near, wording),
    }
    is_yes_no = compared.ratings.n_grades == YES_NO_GRADES
    return wording.say("agree.pairs_yes_no" if is_yes_no else "agree.pairs_graded", values)


def _build_statement(compared: OutcomeAgreement, wording: Wording) -> Statement:
    pairs, basis = describe_pairs(compared, wording), _describe_basis(compared, wording)
    also = [Statement(text=pairs, basis=basis)] if pairs else []
    if compared.one_grader:
        graders = join_words(compared.ratings.graders)
        also.insert(0, Statement(text=wording.say("agree.own_readings", {"graders": graders})))
    return Statement(
        title=label_of(compared),
        text=describe_band(compared, wording),
        basis="" if pairs else basis,
        also=tuple(also),
        doubts=_list_doubts(compared, wording),
    )


def _describe_basis(compared: OutcomeAgreement, wording: Wording) -> str:
    if compared.ratings.by_firing:
        values = {"n": compared.pieces, "firings": compared.alpha.clusters}
        return wording.say("agree.basis_firings", values)
    return wording.say("agree.basis_pieces", {"n": compared.pieces})


def _list_doubts(compared: OutcomeAgreement, wording: Wording) -> tuple[str, ...]:
    """Return why the word may be too sure of itself."""
    doubts = [describe_band_doubt(compared, wording)]
    share = largest_share(compared.ratings)
    if _LOPSIDED <= share < 1.0:
        doubts.append(wording.say("agree.doubt_lopsided", {"share": clamp_per_100(share)}))
    if compared.pieces < FEWEST:
        doubts.append(wording.say("agree.doubt_few", {"n": compared.pieces}))
    used, every = len(grades_used(compared.ratings)), compared.ratings.n_grades
    if 1 < used < every:
        doubts.append(wording.say("agree.doubt_narrow", {"n": used, "all": every}))
    why = describe_why(compared.alpha, wording)
    if why and compared.band is not Band.UNKNOWN:
        doubts.append(wording.say("agree.doubt_none", {"why": why}))
    return tuple(doubt for doubt in doubts if doubt)
