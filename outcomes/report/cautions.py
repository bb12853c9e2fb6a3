"""Which findings point toward faster, hotter or closer handling of hot ware, and what stands there.

Such a finding is never printed without its factor's safety note, in place. When in doubt the
note is printed: an outcome of taste may be wanted either way, so both directions count.
"""

from collections.abc import Collection, Sequence

import numpy as np

from outcomes.effects.effect import Contrast, Curve, Effect, Word
from outcomes.log.codebook import Direction, Factor, Outcome
from outcomes.report.document import Callout, ItemList, Paragraph, Section, Tone
from outcomes.report.teller import Teller


def find_cautions(effects: Sequence[Effect], outcome: Outcome, teller: Teller) -> tuple[str, ...]:
    """Return the safety notes that must stand with these effects, each once."""
    notes: list[str] = []
    for effect in effects:
        factor = teller.factor(effect.contrast.factor)
        if factor is not None and points_hot(effect, factor, outcome):
            notes.append(factor.safety_note)
    return tuple(dict.fromkeys(note for note in notes if note))


def find_picture_cautions(
    effects: Sequence[Effect], outcome: Outcome, teller: Teller
) -> tuple[str, ...]:
    """Return the safety notes of a picture of many settings: of those that stand out in it.

    Where the log cannot tell, or the difference is too small to matter, no end is the better
    one; those settings carry their notes beside their own sentences.
    """
    quiet = (Word.SMALL, Word.CANNOT_TELL)
    loud = [e for e in effects if e.verdict is None or e.verdict.word not in quiet]
    return find_cautions(loud, outcome, teller)


def points_hot(effect: Effect, factor: Factor, outcome: Outcome) -> bool:
    """Return whether the better end of a comparison is the hot one.

    >>> from outcomes.log.codebook import Kind, Role, Shape
    >>> float(direction_of(Contrast(factor="x", role=Role.SETTING, from_value=2.0, to_value=9.0,
    ...                             unit="s", chosen="", comparisons=1), None))
    1.0
    """
    if factor.hot in (Direction.NEITHER, Direction.EITHER):
        return factor.hot is Direction.EITHER
    if _is_taste(outcome):
        return effect.change != 0
    wanted = 1.0 if outcome.wanted is Direction.HIGHER else -1.0
    direction = direction_of(effect.contrast, factor)
    if direction == 0:
        return effect.change != 0
    return bool(np.sign(effect.change) * direction * wanted * _sign(factor.hot) > 0)


def direction_of(contrast: Contrast, factor: Factor | None) -> float:
    """Return +1 when a comparison goes up along its factor, -1 down, 0 without an order."""
    first, second = contrast.from_value, contrast.to_value
    if not (isinstance(first, str) or isinstance(second, str)):
        return float(np.sign(second - first))
    if factor is None or first not in factor.levels or second not in factor.levels:
        return 0.0
    return float(np.sign(factor.levels.index(str(second)) - factor.levels.index(str(first))))


def find_curve_cautions(curve: Curve, outcome: Outcome, teller: Teller) -> tuple[str, ...]:
    """Return the safety note of a curve that gets better anywhere toward its hot end."""
    factor = teller.factor(curve.factor)
    if factor is None or factor.hot is Direction.NEITHER or not factor.safety_note:
        return ()
    steps = np.diff(curve.reach)
    if factor.hot is Direction.EITHER or _is_taste(outcome):
        return (factor.safety_note,)
    wanted = 1.0 if outcome.wanted is Direction.HIGHER else -1.0
    # Half a piece in 100 along the whole range is drawn as a level line.
    gain = wanted * _sign(factor.hot) * steps
    return (factor.safety_note,) if gain[gain > 0].sum() > 0.005 else ()


def find_way_cautions(
    name: str, outcome: Outcome, teller: Teller, *, ways: Collection[float]
) -> tuple[str, ...]:
    """Return the safety note of a sentence that sends a reader along a factor.

    ``ways`` holds +1 when someone may be sent up by it, -1 when down.
    """
    factor = teller.factor(name)
    if factor is None or factor.hot is Direction.NEITHER or not factor.safety_note:
        return ()
    if factor.hot is Direction.EITHER or _is_taste(outcome) or _sign(factor.hot) in ways:
        return (factor.safety_note,)
    return ()


def find_hot_way(factor: Factor) -> int | None:
    """Return which way along a factor its safety note must stand: +1 up, -1 down, 0 either.

    None where no note is needed. For whoever moves a setting without a word on which end is
    the better one.
    """
    if not factor.safety_note or factor.hot is Direction.NEITHER:
        return None
    return 0 if factor.hot is Direction.EITHER else int(_sign(factor.hot))


def build_cautions(teller: Teller) -> Section:
    """Return the last section: safety first, then how to use the numbers."""
    say, say_all = teller.wording.say, teller.wording.say_all
    codebook = teller.study.log.codebook
    blocks: list[Callout | ItemList | Paragraph] = []
    if codebook.handles_hot_ware:
        blocks += [
            Paragraph(text=say("cautions.first"), tone=Tone.LEAD),
            Callout(
                title=say("cautions.hot_title"), items=say_all("cautions.hot"), tone=Tone.SAFETY
            ),
        ]
    notes = tuple(
        say("cautions.factor", {"label": factor.label, "note": factor.safety_note})
        for factor in codebook.factors
        if factor.safety_note and factor.name in teller.study.log.values.columns
    )
    if notes:
        title = say("cautions.factor_title")
        blocks.append(Callout(title=title, items=notes, tone=Tone.SAFETY))
    blocks.append(
        Callout(
            title=say("cautions.numbers_title"),
            items=say_all("cautions.numbers"),
            tone=Tone.HONESTY,
        )
    )
    return Section(key="cautions", title=say("cautions.title"), blocks=tuple(blocks))


def _is_taste(outcome: Outcome) -> bool:
    """Return whether neither way is the better one, so that both must be thought of."""
    return outcome.wanted in (Direction.NEITHER, Direction.EITHER)


def _sign(direction: Direction) -> float:
    return 1.0 if direction is Direction.HIGHER else -1.0
