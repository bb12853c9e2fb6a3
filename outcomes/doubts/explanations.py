"""Two explanations of the same pieces: as they were logged, and computed from what was logged.

"Pull temperature and seconds" against "temperature at the can": the outcome's model is built
with the one and with the other, everything else the same, and each foretells the firings left
out of its learning. Pieces and firings left out are the same to the row, so that the firing-wise
difference of the two scores is the comparison, with its t interval. Training sets overlap, so
the interval is rough, as that of every left-out skill here (see `skill`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from outcomes.design.design import Design
from outcomes.design.matrix import build_design
from outcomes.doubts.skill import (
    Skill,
    SkillValue,
    compare_skill,
    difference_in_skill,
    leave_firings_out_skill,
)
from outcomes.log.codebook import Outcome
from outcomes.log.derived import find_label
from outcomes.log.derived_swap import Swap, describe_swap, stands_apart
from outcomes.log.quoting import list_words
from outcomes.model.fit import FitOptions
from outcomes.resampling.intervals import FEWEST_FIRINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """One outcome explained by a computed quantity instead of what it is computed from.

    Parameters
    ----------
    outcome, quantity, label
        Canonical names, and what the quantity is called ("... (computed)").
    replaced
        Factors that stand in the one model and not in the other.
    sentence
        The comparison in words; or, where there is none, why.
    absent
        Factors of ``replaced`` that could not enter the outcome's model, where that is why.
    pieces, firings
        Both models were learnt on the same ones; 0 without a comparison.
    columns_logged, columns_computed
        Columns of the two models.
    also_differ
        Other factors that only one of the two models could hold (a small log has to choose).
    logged, computed
        Left-out skill of each against the usual shares of grades; None without a comparison.
    difference
        Skill computed minus logged.
    gain
        Share by which the error of the logged is lowered: `difference` on another scale.
    """

    outcome: str
    quantity: str
    label: str
    replaced: tuple[str, ...]
    sentence: str
    absent: tuple[str, ...] = ()
    pieces: int = 0
    firings: int = 0
    columns_logged: int = 0
    columns_computed: int = 0
    also_differ: tuple[str, ...] = ()
    logged: SkillValue | None = None
    computed: SkillValue | None = None
    difference: SkillValue | None = None
    gain: SkillValue | None = None

    @property
    def stands(self) -> int:
        """Return 1 where the computed quantity foretells better, -1 worse, else 0."""
        if self.difference is None:
            return 0
        value = self.difference
        return stands_apart(difference=value.value, low=value.low, high=value.high)


def compare_explanations(
    swap: Swap,
    design: Design,
    outcome: Outcome,
    *,
    options: FitOptions,
    seed: np.random.SeedSequence,
    confidence: float = 0.95,
) -> Explanation:
    """Return how well each of the two explanations foretells left-out firings.

    Parameters
    ----------
    swap
        The two logs of the same pieces.
    design
        The outcome's own, with every piece: a factor that is not in it has nothing to compare.
    outcome
        What is foretold.
    options
        Of every fit.
    seed
        Deals the firings into heaps when there are more than 40: alike for both.
    confidence
        Of the intervals.
    """
    bare = Explanation(
        outcome=outcome.name,
        quantity=swap.quantity.name,
        label=swap.quantity.label,
        replaced=swap.replaced,
        sentence="",
    )
    if absent := [name for name in swap.replaced if name not in _factors(design)]:
        return replace(bare, sentence=_one_sided(swap, outcome, absent), absent=tuple(absent))
    logged, computed = build_design(swap.logged, outcome), build_design(swap.computed, outcome)
    why_not = _why_not(swap, outcome, logged, computed)
    if why_not or isinstance(logged, str) or isinstance(computed, str):
        return replace(bare, sentence=why_not)
    skills = [
        leave_firings_out_skill(
            design,
            rng=np.random.default_rng(seed),
            options=options,
            glaze=swap.logged.codebook.glaze,
            confidence=confidence,
        )
        for design in (logged, computed)
    ]
    if not all(np.isfinite(skill.scores).all() for skill in skills):
        return replace(bare, sentence=_unsettled(swap, outcome))
    return _compared(bare, swap, designs=(logged, computed), skills=(skills[0], skills[1]))


def _why_not(swap: Swap, outcome: Outcome, logged: Design | str, computed: Design | str) -> str:
    """Return why nothing can be compared, "" where it can."""
    for design in (logged, computed):
        if isinstance(design, str):
            return design
    assert not isinstance(logged, str)  # noqa: S101
    assert not isinstance(computed, str)  # noqa: S101
    word = swap.logged.codebook.cluster_word
    if len(logged.firing_names) < FEWEST_FIRINGS:
        return (
            f"{swap.quantity.label} is not compared for {outcome.label.lower()}: it takes at least "
            f"{FEWEST_FIRINGS} {word}s, {len(logged.firing_names)} have what it needs."
        )
    absent = [name for name in swap.replaced if name not in _factors(logged)]
    if absent or swap.quantity.name not in _factors(computed):
        return _one_sided(swap, outcome, absent)
    return _unpaired(swap, outcome, logged, computed)


def _one_sided(swap: Swap, outcome: Outcome, absent: Sequence[str]) -> str:
    """Return the sentence that one side of the comparison could not enter its model."""
    word = swap.logged.codebook.cluster_word
    labels = [find_label(swap.logged.codebook, name) for name in absent] or [swap.quantity.label]
    return (
        f"{swap.quantity.label} is not compared for {outcome.label.lower()}: "
        f"{list_words(labels)} could not enter its model (never varied, or too few {word}s)."
    )


def _unpaired(swap: Swap, outcome: Outcome, logged: Design, computed: Design) -> str:
    """Return the sentence that the two models hold other pieces; "" when they hold the same."""
    if np.array_equal(logged.rows, computed.rows) and np.array_equal(logged.y, computed.y):
        return ""
    return (
        f"{swap.quantity.label} is not compared for {outcome.label.lower()}: the two models would "
        f"rest on {len(logged.y)} and {len(computed.y)} {swap.logged.codebook.piece_word}s, not "
        "the same ones."
    )


def _unsettled(swap: Swap, outcome: Outcome) -> str:
    return (
        f"{swap.quantity.label} is not compared for {outcome.label.lower()}: without one "
        f"{swap.logged.codebook.cluster_word} a fit did not settle."
    )


def _compared(
    bare: Explanation, swap: Swap, *, designs: tuple[Design, Design], skills: tuple[Skill, Skill]
) -> Explanation:
    """Return the record of a comparison that could be made."""
    logged, computed = designs
    difference = difference_in_skill(*skills)
    differing = _factors(logged) ^ _factors(computed)
    return replace(
        bare,
        sentence=describe_swap(
            swap, difference=difference.value, low=difference.low, high=difference.high
        ),
        pieces=len(logged.y),
        firings=len(logged.firing_names),
        columns_logged=logged.spec.n_columns,
        columns_computed=computed.spec.n_columns,
        also_differ=tuple(sorted(differing - {bare.quantity, *bare.replaced})),
        logged=skills[0].overall,
        computed=skills[1].overall,
        difference=difference,
        gain=compare_skill(*skills),
    )


def _factors(design: Design) -> set[str]:
    return {term.factor for term in design.spec.terms}
