"""How often the whole analysis finds what was planted, over many years of the same yard.

``python data_demo/measure_recovery.py 40`` makes 40 messy logs (seeds 1000, 1001, ...), reads,
checks and analyses each like any log, and prints for every planted effect how often it was
found with its sign, and for the planted nothings how often one was called an effect.
"""

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from make_hollowmere import write_demo

from outcomes.effects.effect import Effect, Word
from outcomes.log.codebook import Role
from outcomes.log.codebook_file import read_codebook
from outcomes.log.reading import read_log
from outcomes.simulate.chance import true_change
from outcomes.simulate.hollowmere import hollowmere_truth
from outcomes.study.analysis import analyse
from outcomes.study.record import Study, StudyOptions

CODEBOOK = Path(__file__).with_name("hollowmere_codebook.toml")
FIRST_SEED = 1000  # far from the demo's own


def study_year(seed: int) -> Study:
    """Return the study of one messy year."""
    with tempfile.TemporaryDirectory() as folder:
        write_demo(Path(folder), seed)
        log = read_log([Path(folder) / "hollowmere_yard.csv"], read_codebook(CODEBOOK))
    options = StudyOptions(resamples=199, seed=seed)
    return analyse(log, options=options, workers=1, progress=lambda _: None)


def true_change_of(study: Study, effect: Effect) -> float:
    """Return the true change of an effect's contrast over the pieces of its analysis."""
    design = next(o.design for o in study.outcomes if o.outcome.name == effect.outcome)
    assert design is not None  # noqa: S101 - an effect has a design
    rows = study.log.values.iloc[design.rows].dropna(axis="columns", how="all")
    return true_change(
        hollowmere_truth(),
        rows,
        factor=effect.contrast.factor,
        from_value=effect.contrast.from_value,
        to_value=effect.contrast.to_value,
        outcome=effect.outcome,
    )


def planted(outcome: str) -> set[str]:
    """Return the factors with a planted effect on an outcome (time in can is past its gain)."""
    effects = hollowmere_truth().outcome(outcome).effects
    named = {e.factor for e in effects if type(e.shape).__name__ != "Nothing"}
    return named - {"time_in_can_min"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """What one year's study said about one setting and outcome, and what is so."""

    year: int
    outcome: str
    factor: str
    word: str
    is_planted: bool
    sign_is_right: bool
    truth_is_held: bool


def list_cases(study: Study, year: int) -> list[Case]:
    """Return every judged setting of one study, the glaze aside."""
    cases = []
    for effect in (effect for part in study.outcomes for effect in part.effects):
        factor = effect.contrast.factor
        if effect.contrast.role is not Role.SETTING or factor == "glaze":
            continue
        assert effect.verdict is not None and effect.interval is not None  # noqa: S101, PT018
        truth = true_change_of(study, effect)
        cases.append(
            Case(
                year=year,
                outcome=effect.outcome,
                factor=factor,
                word=effect.verdict.word,
                is_planted=factor in planted(effect.outcome),
                sign_is_right=effect.change * truth > 0,
                truth_is_held=effect.interval.low <= truth <= effect.interval.high,
            )
        )
    return cases


def names_the_helper(study: Study) -> bool:
    """Say whether K was named as moving with both seconds and combustible."""
    told = " ".join(f.message for f in study.findings if f.code == "person_moves_with_settings")
    return "'K'" in told and "Seconds to the can" in told and "Combustible:" in told


def main(years: int) -> None:
    """Print the recovery rates."""
    cases: list[Case] = []
    helper = 0
    for year in range(FIRST_SEED, FIRST_SEED + years):
        study = study_year(year)
        cases += list_cases(study, year)
        helper += names_the_helper(study)
    show_planted([case for case in cases if case.is_planted], years)
    nothing = [case for case in cases if not case.is_planted]
    called = [case for case in nothing if case.word == Word.CHANGES]
    claims = sum(case.word == Word.CHANGES for case in cases)
    print(f"planted nothings called an effect: {len(called)} of {len(nothing)}")
    print(f"years with one: {len({case.year for case in called})} of {years}")
    print(f"false among all called effects: {len(called)} of {claims}")
    print(f"helper named with seconds and combustible: {helper} of {years}")
    print(f"intervals that hold the truth: {sum(c.truth_is_held for c in cases)} of {len(cases)}")


def show_planted(cases: list[Case], years: int) -> None:
    """Print how often each planted effect was found with its sign."""
    for outcome, factor in sorted({(case.outcome, case.factor) for case in cases}):
        mine = [case for case in cases if (case.outcome, case.factor) == (outcome, factor)]
        found = sum(case.word == Word.CHANGES and case.sign_is_right for case in mine)
        leans = sum(case.word == Word.LEANS and case.sign_is_right for case in mine)
        wrong = sum(not case.sign_is_right for case in mine)
        print(
            f"{outcome:16s} {factor:20s} found {found:3d}, leans {leans:2d}, of {years}; ", end=""
        )
        print(f"wrong sign {wrong}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20)
