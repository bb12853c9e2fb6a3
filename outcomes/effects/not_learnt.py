"""What the model of an outcome does not hold, as verdicts."""

from outcomes.design.design import Design, Excluded
from outcomes.effects.effect import NotLearnt, Verdict, Word
from outcomes.log.codebook import Codebook, Role

_WORDS = {
    "never_varied": Word.NEVER_VARIED,
    "aliased": Word.TANGLED,
    "mostly_blank": Word.THIN,
    "too_many_columns": Word.CANNOT_TELL,
}


def build_not_learnt(design: Design, codebook: Codebook) -> tuple[NotLearnt, ...]:
    """Return every factor outside the model with its reason.

    A setting other than the glaze gets a verdict unless it was never written down: what is
    not in the log at all is listed, not judged.
    """
    return tuple(
        NotLearnt(
            factor=out.factor,
            role=out.role,
            code=out.code,
            reason=out.reason,
            verdict=_verdict(out, codebook),
        )
        for out in design.excluded
    )


def _verdict(out: Excluded, codebook: Codebook) -> Verdict | None:
    """Return the verdict of a setting that could not be looked at."""
    if out.role is not Role.SETTING or out.factor == codebook.glaze or out.code not in _WORDS:
        return None
    return Verdict(word=_WORDS[out.code], reason=out.reason, tangled_with=out.with_factors)
