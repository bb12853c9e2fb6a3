"""Under the floors there is an exact p value, but no interval and no equivalence."""

from dataclasses import replace

from outcomes.planning.testing import run_trial
from outcomes.planning.trial import Answer, TrialOptions
from outcomes.report.trial_text import describe_trial


def test_four_firings_answer_by_permutation_alone(plan, log_of) -> None:
    small = replace(plan, firings=4)
    trial = run_trial(
        small, log_of(small, gain=4.0), options=TrialOptions(resamples=200),
        progress=lambda _: None,
    )  # fmt: skip
    first, second = trial.answers
    assert first.tested.permutation.is_exact
    assert first.tested.effect is None or first.tested.effect.interval is None
    assert (Answer.UNDECIDED, None) == (second.answer, second.tested.equivalence)
    assert "no interval" in describe_trial(trial)
