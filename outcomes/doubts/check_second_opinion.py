"""Is a shape or a combination missing from the model? See method.md §10.

Fires only when boosted trees foretell left-out firings clearly better: the interval of the
firing-wise differences lies above 0 and the saving is at least 2 % of the model's error. They
must also beat the same grade shares as ever: where nothing matters, the trees' caution alone
beats a model with fifteen idle columns (3 of 100 outcomes in invented null years).
"""

from outcomes.doubts.second_opinion import SecondOpinion
from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook

LEAST_GAIN = 0.02


def check_second_opinion(opinion: SecondOpinion, codebook: Codebook) -> tuple[Finding, ...]:
    """Return a finding when boosted trees foretell new firings clearly better."""
    if min(opinion.gain.low, opinion.beyond_usual.low) <= 0.0 or opinion.gain.value < LEAST_GAIN:
        return ()
    firing = codebook.cluster_word
    label = codebook.outcome(opinion.outcome).label
    return (
        Finding(
            code="shape_missed",
            severity=Severity.WARNING,
            message=(
                f"{label}: a freer method that may bend and combine settings as it likes "
                f"foretells left-out {firing}s better than the effects shown here: its error is "
                f"{100.0 * opinion.gain.value:.0f} % smaller (from "
                f"{100.0 * opinion.gain.low:.0f} to {100.0 * opinion.gain.high:.0f} %)."
            ),
            advice=(
                "Some setting has a best range or a limit, or two settings work together, in a "
                "way that is not in the model. Look at the curves; give a setting the shape "
                "'window' or 'saturating' in the codebook if you have reason to."
            ),
            column=opinion.outcome,
        ),
    )
