"""An invented study with every verdict word, for the tests of pages, tables and files.

Not computed: the numbers are chosen so that each sentence can be foretold.
"""

import numpy as np

from outcomes.effects.effect import Contrast, Curve, Effect, RankedFactor, Verdict, Word
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import (
    Codebook,
    Direction,
    Factor,
    Kind,
    Level,
    Outcome,
    Range,
    Role,
    Shape,
)
from outcomes.log.firing_log import FiringLog
from outcomes.model.fit import CumulativeFit, FitOptions, FitStatus, ManyFits
from outcomes.resampling.interval import Interval
from outcomes.study.record import NotLearnt, OutcomeStudy, Study, StudyOptions, Tangle

HURRY = "Move the can nearer and rehearse the path; never run with a hot piece."
HOTTER = "A hotter pull is harder to hold and to see: stay within what you have practised."


def number(name: str, label: str, unit: str, step: float, **more: object) -> Factor:
    role = more.pop("role", Role.SETTING)
    return Factor(
        name=name, label=label, role=role, kind=Kind.NUMBER, shape=Shape.STRAIGHT, unit=unit,
        accepted_units=(unit,), possible=Range(low=-1e5, high=1e5), step=step, **more,
    )  # fmt: skip


def levels(name: str, label: str, names: tuple[str, ...], role: Role = Role.SETTING) -> Factor:
    return Factor(
        name=name, label=label, role=role, kind=Kind.LEVELS, shape=Shape.LEVELS, levels=names
    )


def named(name: str, label: str, role: Role) -> Factor:
    return Factor(name=name, label=label, role=role, kind=Kind.NAME, shape=Shape.LEVELS)


FACTORS = (
    number("seconds_to_can", "Seconds to the can", "s", 2.0, hot=Direction.LOWER,
           safety_note=HURRY),
    Factor(
        name="pull_temp_c", label="Pull temperature", role=Role.SETTING, kind=Kind.NUMBER,
        shape=Shape.WINDOW, unit="C", accepted_units=("C", "F"),
        possible=Range(low=400, high=1250), step=10.0, hard_to_change=True,
        hot=Direction.HIGHER, safety_note=HOTTER,
    ),
    number("combustible_g", "Combustible amount", "g", 10.0),
    levels("combustible_kind", "Combustible kind", ("newspaper", "straw", "sawdust")),
    number("lid_delay_s", "Lid delay", "s", 1.0),
    levels("seal", "Wet-towel seal", ("no", "yes")),
    number("glaze_thickness_mm", "Glaze thickness", "mm", 0.1),
    levels("quench", "Quench", ("none", "mist", "dunk")),
    number("time_in_can_min", "Time in the can", "min", 5.0),
    number("can_volume_l", "Can volume", "L", 5.0),
    named("glaze", "Glaze", Role.GROUPING),
    number("humidity_pct", "Humidity", "pct", 5.0, role=Role.CONDITION),
    number("load_no", "Load number of the day", "count", 1.0, role=Role.CONDITION),
    named("maker", "Maker", Role.GROUPING),
)  # fmt: skip

LUSTER = Outcome(
    name="luster", label="Luster", aim=3, wanted=Direction.HIGHER,
    phrase="show broad luster or better", applies_to=("Tarn Lantern",),
    levels=tuple(
        Level(name=str(i), wording=w)
        for i, w in enumerate(("none", "trace", "patchy", "broad", "full"))
    ),
)  # fmt: skip
CRACKLE = Outcome(
    name="crackle_density", label="Crackle density", aim=2, wanted=Direction.NEITHER,
    phrase="show 5 crossings or more",
    levels=tuple(
        Level(name=str(i), wording=w)
        for i, w in enumerate(("none", "1 to 4", "5 to 12", "13 to 30", "more than 30"))
    ),
)  # fmt: skip
CRACKED = Outcome(
    name="cracked", label="Cracked", aim=1, wanted=Direction.LOWER, phrase="crack",
    levels=(Level(name="no", wording="whole"), Level(name="yes", wording="cracked through")),
    smallest_difference=5.0,
)  # fmt: skip
SHIFT = Outcome(
    name="color_shift",
    label="Colour shift",
    aim=2,
    wanted=Direction.NEITHER,
    phrase="shift by a shade or more",
    levels=tuple(Level(name=str(i), wording=f"step {i}") for i in range(5)),
)


def build_codebook() -> Codebook:
    return Codebook(
        title="Post-firing reduction", factors=FACTORS, outcomes=(LUSTER, CRACKLE, CRACKED, SHIFT)
    )


def interval(low: float, high: float, confidence: float = 0.95) -> Interval:
    return Interval(low=low, high=high, confidence=confidence, method="firing-score t")


def build_effect(
    outcome: str,
    factor: str,
    *,
    values: tuple[float | str, float | str],
    rates: tuple[float, float],
    limits: tuple[float, float] | None,
    word: Word | None,
    firings: float = 23.6,
    further: int | None = None,
    tangled_with: tuple[str, ...] = (),
) -> Effect:
    """Return an effect whose other fields follow from these."""
    of = build_codebook().factor(factor)
    change = rates[1] - rates[0]
    shown = None if limits is None else interval(*limits)
    verdict = (
        Verdict(word=word, reason="Rule with its numbers: adjusted p 0.012.",
                tangled_with=tangled_with, further_firings=further)
        if word
        else None
    )  # fmt: skip
    return Effect(
        outcome=outcome,
        contrast=Contrast(
            factor=factor, role=of.role, from_value=values[0], to_value=values[1], unit=of.unit,
            chosen="20th to 80th percentile of the log",
        ),
        rate_from=rates[0], rate_to=rates[1], change=change, interval=shown,
        interval_90=None if limits is None else interval(limits[0] * 0.9, limits[1] * 0.9, 0.9),
        resample_interval=shown, jackknife_interval=shown,
        p_value=0.012, p_adjusted=0.03 if word else None, standard_error=0.07, df=18.0,
        effective_firings=firings, mean_grade_change=2.5 * change,
        mean_grade_interval=shown, log_odds=4 * change, pieces_supported=36, pieces=38,
        far_share=0.1, firings_from=9, firings_to=11, verdict=verdict,
    )  # fmt: skip


def build_ranking(outcome: str, factors: tuple[str, ...]) -> tuple[RankedFactor, ...]:
    last = len(factors)
    return tuple(
        RankedFactor(
            outcome=outcome, factor=name, rank=i, rank_low=max(1, i - 1),
            rank_high=min(last, i + 3), alone_low=max(1, i - 1), alone_high=min(last, i + 2),
            share_first=0.6 / i, shrunk=0.3 / i,
        )
        for i, name in enumerate(factors, start=1)
    )  # fmt: skip


def build_curve(outcome: str, factor: str, at: object, glaze: str = "") -> Curve:
    points = len(at)
    of = build_codebook().outcome(outcome)
    slide = np.linspace(2.0, -0.6, points)
    cuts = np.linspace(-1.5, 2.0, len(of.levels) - 1)
    at_least = 1 / (1 + np.exp(cuts[None, :] - slide[:, None]))
    full = np.column_stack([np.ones(points), at_least, np.zeros(points)])
    reach = at_least[:, of.aim - 1]
    rng = np.random.default_rng(4)
    logged = rng.choice(np.asarray(at), size=30)
    return Curve(
        outcome=outcome, factor=factor, glaze=glaze, at=at,
        chance=full[:, :-1] - full[:, 1:], reach=reach, reach_low=np.clip(reach - 0.12, 0, 1),
        reach_high=np.clip(reach + 0.1, 0, 1),
        logged=tuple(str(v) for v in logged) if isinstance(at, tuple) else logged.astype(float),
    )  # fmt: skip


def build_fit(n_thresholds: int) -> CumulativeFit:
    size = n_thresholds + 2
    return CumulativeFit(
        thresholds=np.linspace(-1, 2, n_thresholds), slopes=np.array([-0.61, 0.2]),
        covariance=np.eye(size), log_likelihood=-51.123456789012,
        penalised_log_likelihood=-52.0, largest_gradient=3e-12, condition_number=41.0,
        iterations=6, status=FitStatus.CONVERGED, options=FitOptions(),
    )  # fmt: skip


def build_redraws(size: int) -> ManyFits:
    rng = np.random.default_rng(8)
    return ManyFits(
        values=rng.normal(size=(50, size)), converged=np.ones(50, dtype=bool),
        largest_gradient=np.full(50, 1e-11), iterations=np.full(50, 4),
    )  # fmt: skip


def build_luster() -> OutcomeStudy:
    """Return an outcome with every verdict a fitted setting can have."""
    name = "luster"
    effects = (
        build_effect(name, "seconds_to_can", values=(6.0, 18.0), rates=(0.62, 0.31),
                     limits=(-0.44, -0.15), word=Word.CHANGES),
        build_effect(name, "combustible_g", values=(40.0, 120.0), rates=(0.36, 0.58),
                     limits=(0.08, 0.35), word=Word.CHANGES),
        build_effect(name, "pull_temp_c", values=(900.0, 980.0), rates=(0.41, 0.55),
                     limits=(-0.02, 0.3), word=Word.LEANS),
        build_effect(name, "combustible_kind", values=("newspaper", "straw"), rates=(0.5, 0.43),
                     limits=(-0.26, 0.12), word=Word.CANNOT_TELL, further=34),
        build_effect(name, "lid_delay_s", values=(2.0, 9.0), rates=(0.5, 0.44),
                     limits=(-0.3, 0.18), word=Word.TANGLED, tangled_with=("quench",)),
        build_effect(name, "seal", values=("no", "yes"), rates=(0.47, 0.48),
                     limits=(-0.06, 0.08), word=Word.SMALL),
        build_effect(name, "glaze_thickness_mm", values=(0.4, 0.8), rates=(0.46, 0.45),
                     limits=(-0.2, 0.18), word=Word.THIN, firings=3.8),
        build_effect(name, "humidity_pct", values=(45.0, 75.0), rates=(0.48, 0.45),
                     limits=(-0.15, 0.09), word=None),
        build_effect(name, "maker", values=("M", "K"), rates=(0.45, 0.52),
                     limits=(-0.1, 0.24), word=None, firings=6.2),
    )  # fmt: skip
    settings = tuple(e.contrast.factor for e in effects[:7])
    grid = np.linspace(4, 26, 12)
    return OutcomeStudy(
        outcome=LUSTER, usable=True, why_not="", pieces=38, firings=24,
        grade_counts=(4, 6, 9, 12, 7), left_out=(("the grade is blank", 2),),
        design=None, fit=build_fit(4), redraws=build_redraws(6), effects=effects,
        ranking=build_ranking(name, settings),
        curves=(
            build_curve(name, "seconds_to_can", grid),
            build_curve(name, "seconds_to_can", grid[:8], "Tarn Lantern"),
            build_curve(name, "seconds_to_can", grid[2:], "Moth Ledger"),
            build_curve(name, "pull_temp_c", np.linspace(880, 1010, 9)),
        ),
        tangles=(
            Tangle(outcome=name, factor="lid_delay_s", with_factors=("quench",), explained=0.86,
                   deviance_change=0.7, alone=-0.06, twin_alone=-0.05, joint=-0.11),
        ),
        not_learnt=(
            NotLearnt(factor="can_volume_l", role=Role.SETTING, code="never_varied",
                      reason="Every piece was reduced in a can of 30 L.",
                      verdict=Verdict(word=Word.NEVER_VARIED, reason="One value.")),
            NotLearnt(factor="load_no", role=Role.CONDITION, code="not_recorded",
                      reason="The log has no such column.", verdict=None),
        ),
        findings=(
            Finding(code="few_pieces_at_a_level", severity=Severity.WARNING,
                    message="Only 3 firings used sawdust.", advice="Fire more with sawdust."),
        ),
        unusual_replicates=3,
    )  # fmt: skip


def build_cracked() -> OutcomeStudy:
    """Return an outcome of which less is better."""
    name = "cracked"
    effects = (
        build_effect(name, "quench", values=("none", "dunk"), rates=(0.06, 0.18),
                     limits=(0.05, 0.21), word=Word.CHANGES, firings=11.2),
        build_effect(name, "seconds_to_can", values=(6.0, 18.0), rates=(0.09, 0.16),
                     limits=(-0.02, 0.17), word=Word.CANNOT_TELL, further=None),
    )  # fmt: skip
    return OutcomeStudy(
        outcome=CRACKED, usable=True, why_not="", pieces=40, firings=24, grade_counts=(35, 5),
        left_out=(), design=None, fit=build_fit(1), redraws=build_redraws(3), effects=effects,
        ranking=build_ranking(name, ("quench", "seconds_to_can")),
        curves=(build_curve(name, "quench", ("none", "mist", "dunk")),), tangles=(),
        not_learnt=build_luster().not_learnt, findings=(), unusual_replicates=0,
    )  # fmt: skip


def build_unusable(outcome: Outcome, why_not: str) -> OutcomeStudy:
    return OutcomeStudy(
        outcome=outcome, usable=False, why_not=why_not, pieces=3, firings=2,
        grade_counts=(3, 0, 0, 0, 0), left_out=(("the grade is blank", 37),), design=None, fit=None,
        redraws=None, effects=(), ranking=(), curves=(), tangles=(), not_learnt=(), findings=(),
        unusual_replicates=0,
    )  # fmt: skip


def build_known_study(log: FiringLog) -> Study:
    """Return the study; ``log`` must have been read with `build_codebook`."""
    return Study(
        log=log, options=StudyOptions(),
        outcomes=(
            build_luster(),
            build_cracked(),
            build_unusable(SHIFT, "Only 3 pieces have a grade for colour shift."),
        ),
        findings=(
            Finding(code="scale_not_stated", severity=Severity.PROBLEM, column="Pull temp",
                    message="8 cells could be Celsius or Fahrenheit.",
                    advice='Write "pull_temp_f" as the header, or the unit in each cell.',
                    rows=(4, 9, 11, 15, 16, 21, 30, 33), file="year.csv"),
        ),
        firings=24, cluster="firing_id", version="0.1.0",
    )  # fmt: skip
