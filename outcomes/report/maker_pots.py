"""Two hundreds of small pots: the clearest finding as one can count it."""

from outcomes.effects.effect import Effect
from outcomes.log.codebook import Outcome
from outcomes.report.amounts import clamp_per_100, describe_rate
from outcomes.report.cautions import find_cautions
from outcomes.report.document import Column, Picture, Table, make_key
from outcomes.report.drawings import PotsDrawing
from outcomes.report.teller import Teller
from outcomes.report.wording import mid_sentence


def build_pots_picture(effect: Effect, outcome: Outcome, teller: Teller) -> Picture:
    """Return the picture, with the cautions its better side calls for."""
    say, contrast = teller.wording.say, effect.contrast
    label = teller.label(contrast.factor)
    ends = tuple(
        teller.amount(value, contrast.factor) for value in (contrast.from_value, contrast.to_value)
    )
    rates = tuple(describe_rate(r, teller.wording) for r in (effect.rate_from, effect.rate_to))
    values = {
        "outcome": outcome.label,
        "label": mid_sentence(label),
        "phrase": outcome.phrase,
        "from": ends[0],
        "to": ends[1],
        "n_from": rates[0],
        "n_to": rates[1],
    }
    return Picture(
        key=make_key(f"pots-{outcome.name}-{contrast.factor}"),
        drawing=_draw(effect, teller, label=label, ends=ends),
        title=say("pictures.pots_title", values),
        alt=say("pictures.pots_alt", values),
        caption=say("pictures.pots_caption", values),
        summary=say("page.table_behind"),
        table=Table(
            key=make_key(f"pots-table-{outcome.name}-{contrast.factor}"),
            caption=say("pictures.pots_title", values),
            columns=(
                Column(heading=label),
                Column(heading=say("columns.reach", values), numeric=True),
            ),
            rows=tuple(zip(ends, rates, strict=True)),
        ),
        cautions=find_cautions((effect,), outcome, teller),
    )


def _draw(effect: Effect, teller: Teller, *, label: str, ends: tuple[str, ...]) -> PotsDrawing:
    say = teller.wording.say
    counts = tuple(clamp_per_100(rate) for rate in (effect.rate_from, effect.rate_to))
    titles = tuple(say("pictures.pots_panel", {"label": label, "value": end}) for end in ends)
    labels = tuple(
        say("pictures.pots_count", {"n": describe_rate(rate, teller.wording)})
        for rate in (effect.rate_from, effect.rate_to)
    )
    return PotsDrawing(
        titles=(titles[0], titles[1]),
        counts=(counts[0], counts[1]),
        count_labels=(labels[0], labels[1]),
    )
