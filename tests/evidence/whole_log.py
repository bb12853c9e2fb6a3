"""The whole analysis of an invented log, up to its verdicts, as `study.analysis` makes it.

Left out is what no figure of the evidence needs: curves, doubts, findings. That the words are
those of `analyse` is held by tests/test_evidence_small.py.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from outcomes.design.design import Design
from outcomes.design.matrix import build_design
from outcomes.doubts.check_tangled import find_tangles
from outcomes.effects.change import estimate_contrasts
from outcomes.effects.contrasts import choose_contrasts, is_judged
from outcomes.effects.effect import Effect, RankedFactor, Tangle, Word
from outcomes.effects.evidence import Evidence, build_evidence
from outcomes.effects.ranking import rank_settings
from outcomes.effects.support import find_supported
from outcomes.effects.verdicts import judge_effects
from outcomes.log.codebook import Codebook
from outcomes.log.firing_log import FiringLog
from outcomes.model.batched import fit_many
from outcomes.model.cumulative import fit_cumulative
from outcomes.resampling.firings import draw_firing_weights, leave_one_out_weights
from outcomes.simulate.as_log import build_log
from outcomes.simulate.chance import true_change
from outcomes.simulate.truth import Truth


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WholeLog:
    """What was said about one log.

    ``evidence`` holds one entry an outcome that could be fitted; ``judged`` the effects that
    carry a verdict, of all outcomes; ``ranking`` one tuple an outcome.
    """

    frame: pd.DataFrame
    evidence: tuple[Evidence, ...]
    judged: tuple[Effect, ...]
    ranking: tuple[tuple[RankedFactor, ...], ...]

    def design(self, outcome: str) -> Design:
        """Return one outcome's design."""
        return self._evidence(outcome).design

    def delta(self, outcome: str) -> float:
        """Return one outcome's smallest difference worth having, as a probability."""
        codebook = self._evidence(outcome).codebook
        return codebook.outcome(outcome).smallest_difference / 100.0

    def _evidence(self, outcome: str) -> Evidence:
        return next(e for e in self.evidence if e.design.spec.outcome == outcome)

    def supported_rows(self, effect: Effect) -> pd.DataFrame:
        """Return the rows of the log an effect was averaged over."""
        evidence = self._evidence(effect.outcome)
        design = evidence.design
        supported = find_supported(design, effect.contrast, evidence.codebook)
        if not supported.any():
            supported = np.ones(len(design.rows), dtype=bool)
        return self.frame.iloc[design.rows[supported]]


def learn_whole_log(
    frame: pd.DataFrame, codebook: Codebook, *, redraws: int, rng: np.random.Generator
) -> WholeLog:
    """Return what the analysis says of a clean table.

    Parameters
    ----------
    frame
        As `simulate.draw` makes it.
    codebook
        What its columns mean.
    redraws
        Whole-firing redraws an outcome; only the ranking needs any.
    rng
        Where the redraws come from.
    """
    log = build_log(frame, codebook)
    parts = [
        evidence
        for outcome in codebook.outcomes
        if outcome.name in frame
        and (evidence := fit_evidence(log, outcome.name, redraws=redraws, rng=rng)) is not None
    ]
    effects = [_estimate(part) for part in parts]
    pairs = list(zip(parts, effects, strict=True))
    tangles = [tangle for part, mine in pairs for tangle in _tangles(part, mine)]
    return WholeLog(
        frame=frame,
        evidence=tuple(parts),
        judged=_judge(effects, codebook, tangles),
        ranking=tuple(rank_settings(mine, part) for part, mine in pairs),
    )


def fit_evidence(
    log: FiringLog, outcome: str, *, redraws: int, rng: np.random.Generator
) -> Evidence | None:
    """Return one outcome's fit with its replicates; None when there is no design."""
    design = build_design(log, log.codebook.outcome(outcome))
    if isinstance(design, str):
        return None
    n_grades, n_firings = len(design.grades), len(design.firing_names)
    fit = fit_cumulative(design.X, design.y, n_grades)
    weights = draw_firing_weights(n_firings, redraws, rng=rng)
    redrawn, without = (
        fit_many(design.X, design.y, n_grades, firing=design.firing, firing_weights=each, start=fit)
        for each in (weights, leave_one_out_weights(n_firings))
    )
    return build_evidence(design, log.codebook, fit=fit, redraws=redrawn, jackknife=without)


def is_claimed(effect: Effect) -> bool:
    """Return whether the verdict is "changes the surface"."""
    return effect.verdict is not None and effect.verdict.word is Word.CHANGES


def true_change_of(whole: WholeLog, effect: Effect, truth: Truth) -> float:
    """Return the true change of an effect's contrast over the rows it was averaged over."""
    return true_change(
        truth,
        whole.supported_rows(effect),
        factor=effect.contrast.factor,
        from_value=effect.contrast.from_value,
        to_value=effect.contrast.to_value,
        outcome=effect.outcome,
    )


def _estimate(evidence: Evidence) -> tuple[Effect, ...]:
    return estimate_contrasts(evidence, choose_contrasts(evidence.design, evidence.codebook))


def _tangles(evidence: Evidence, effects: tuple[Effect, ...]) -> tuple[Tangle, ...]:
    return find_tangles(evidence.design, evidence.codebook, fit=evidence.fit, effects=effects)


def _judge(
    effects: Iterable[tuple[Effect, ...]], codebook: Codebook, tangles: Sequence[Tangle]
) -> tuple[Effect, ...]:
    """Return the effects that carry a verdict, with it."""
    said = judge_effects([e for mine in effects for e in mine], codebook, tangles=tangles)
    return tuple(effect for effect in said if is_judged(effect.contrast, codebook))
