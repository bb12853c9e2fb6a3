"""The record a study leaves: everything a page, a table or a notebook may show."""

from dataclasses import dataclass

from outcomes.card import describe_line, render_card
from outcomes.design.design import Design
from outcomes.doubts.blanks import ColumnBlanks
from outcomes.doubts.column_overlap import ColumnOverlap
from outcomes.doubts.explanations import Explanation
from outcomes.doubts.grade_effects import GradeEffect
from outcomes.doubts.habit_changes import HabitChange
from outcomes.doubts.imputed_effects import ImputedStudy
from outcomes.doubts.influence import Influence
from outcomes.doubts.parallel_record import ParallelTests
from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.doubts.skill import Skill
from outcomes.effects.best_value import Optimum
from outcomes.effects.decomposition import Decomposition
from outcomes.effects.effect import Curve, Effect, NotLearnt, RankedFactor, Tangle, Word
from outcomes.effects.gain import Gain
from outcomes.effects.glaze_effects import GlazeEffects
from outcomes.effects.odds import LogOdds
from outcomes.effects.robust_errors import RobustErrors
from outcomes.effects.shares import Shares
from outcomes.effects.threshold import Threshold
from outcomes.finding import Finding
from outcomes.log.codebook import Outcome
from outcomes.log.derived import Derived
from outcomes.log.firing_log import FiringLog
from outcomes.model.fit import CumulativeFit, ManyFits, Penalty

__all__ = ["NotLearnt", "OutcomeStudy", "Study", "StudyOptions", "Tangle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyOptions:
    """How a study was asked for; with the files it determines every byte of the result.

    ``false_discovery`` is "BH" or "BY". ``penalty`` is the weak pull of every slope toward no
    effect; ``Penalty.NONE`` gives plain maximum likelihood, as other programs compute it.
    ``coached`` ("lid_delay_s:2025-03-18", "" to look for a change of habit) and ``names`` are for
    the leader's page; no estimate of the study depends on them.
    """

    resamples: int = 2000
    seed: int = 1
    confidence: float = 0.95
    false_discovery: str = "BH"
    penalty: Penalty = Penalty.LOG_F
    coached: str = ""
    names: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutcomeStudy:
    """Everything about one outcome.

    Parameters
    ----------
    outcome
        From the codebook.
    usable
        False when nothing could be fitted; ``why_not`` then says why in a full sentence and
        the fields below are empty or None.
    pieces, firings
        Numbers that entered the analysis.
    grade_counts
        Pieces of the whole log at each level of the codebook, lowest first.
    left_out
        ((reason, pieces), ...): the outcome's own row account.
    effects
        Settings, by rank; then conditions; then groupings and glaze, in codebook order.
        One effect a factor (the headline contrast).
    ranking
        Settings only, best rank first.
    curves
        For settings whose verdict is CHANGES or LEANS (all pieces, then per glaze).
    tangles, not_learnt, findings
        See their records.
    shares
        How much of the variation is the maker's; a str is the full sentence why there is no
        answer; None when nothing could be fitted.
    split
        The share of each factor in what the model explains.
    skill
        How well left-out firings are foretold.
    influences, grade_effects
        Delete-one-firing changes; changes at every grade boundary with a slope of their own.
    second_opinion
        What boosted trees make of the same pieces.
    optima, gains, thresholds, by_glaze
        Best values of windows, where a saturating setting stops paying, places where a
        straight one bends, and what a setting does on each glaze.
    robust, log_odds
        Covariances of thresholds and slopes with firings as clusters; every effect on the
        scale of log-odds, in the order of ``effects``.
    overlap, parallel, blanks, imputed, habit_changes
        What the doubts rest on, for the researcher: collinearity, published tests of
        proportional odds, blank cells, effects with blanks filled in, habits that changed.
    explanations
        Computed quantities against what they are computed from, by left-out skill.
    unusual_replicates
        Redraws that needed help (a column constant, a grade gone, not converged).
    """

    outcome: Outcome
    usable: bool
    why_not: str
    pieces: int
    firings: int
    grade_counts: tuple[int, ...]
    left_out: tuple[tuple[str, int], ...]
    design: Design | None
    fit: CumulativeFit | None
    redraws: ManyFits | None
    effects: tuple[Effect, ...]
    ranking: tuple[RankedFactor, ...]
    curves: tuple[Curve, ...]
    tangles: tuple[Tangle, ...]
    not_learnt: tuple[NotLearnt, ...]
    findings: tuple[Finding, ...]
    unusual_replicates: int
    shares: Shares | str | None = None
    split: Decomposition | None = None
    skill: Skill | None = None
    influences: tuple[Influence, ...] = ()
    grade_effects: tuple[GradeEffect, ...] = ()
    second_opinion: SecondOpinion | None = None
    optima: tuple[Optimum, ...] = ()
    gains: tuple[Gain, ...] = ()
    thresholds: tuple[Threshold, ...] = ()
    by_glaze: tuple[GlazeEffects, ...] = ()
    robust: RobustErrors | None = None
    log_odds: tuple[LogOdds, ...] = ()
    overlap: ColumnOverlap | None = None
    parallel: ParallelTests | None = None
    blanks: tuple[ColumnBlanks, ...] = ()
    imputed: ImputedStudy | None = None
    habit_changes: tuple[HabitChange, ...] = ()
    explanations: tuple[Explanation, ...] = ()

    def count_words(self) -> tuple[int, ...]:
        """Return how many settings got each verdict word, in the order of `Word`."""
        ranked = {place.factor for place in self.ranking}
        verdicts = [
            *(effect.verdict for effect in self.effects if effect.contrast.factor in ranked),
            *(item.verdict for item in self.not_learnt),
        ]
        words = [verdict.word for verdict in verdicts if verdict is not None]
        return tuple(words.count(word) for word in Word)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Study:
    """The whole study.

    ``findings`` are those of reading, of the checks and of the whole log; those of one outcome
    stand in it. ``firings`` counts firings of the log; ``cluster`` says what stood for the
    firing: "firing_id", "fired_on" or "" (every piece its own). ``computed`` are quantities
    worked out from what was logged: for ordering pieces only, in no model. ``software`` are
    (name, version) pairs of what it was computed with; () where that is not to be told.
    """

    log: FiringLog
    options: StudyOptions
    outcomes: tuple[OutcomeStudy, ...]
    findings: tuple[Finding, ...]
    firings: int
    cluster: str
    version: str
    computed: tuple[Derived, ...] = ()
    software: tuple[tuple[str, str], ...] = ()

    def _facts(self) -> tuple[tuple[str, object], ...]:
        return (
            ("", ", ".join(file.name for file in self.log.files)),
            ("rows used", self.log.account.rows_used),
            (f"{self.log.codebook.cluster_word}s", self.firings),
            ("redraws", self.options.resamples),
            (str(self.options.seed), "seed"),
        )

    def __repr__(self) -> str:
        return describe_line("Study", self._facts())

    def _repr_html_(self) -> str:
        piece, cluster = self.log.codebook.piece_word, self.log.codebook.cluster_word
        columns = ("outcome", f"{piece}s", f"{cluster}s", *(str(word) for word in Word))
        rows = [
            (part.outcome.label, part.pieces, part.firings, *part.count_words())
            for part in self.outcomes
        ]
        return render_card("Study", self._facts(), columns, rows)
