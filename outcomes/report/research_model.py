"""The fitted model of one outcome: its certificate, thresholds, slopes and covariance."""

from outcomes.log.codebook import Shape
from outcomes.model.fit import CumulativeFit, Penalty
from outcomes.report.document import (
    Block,
    Column,
    Depth,
    Paragraph,
    Section,
    Table,
    Tone,
    fold_table,
    make_key,
)
from outcomes.report.maker_strip import describe_confidence
from outcomes.report.numerals import number, probability, span_digits
from outcomes.report.study_json import bound_gradient
from outcomes.report.study_json_research import build_parameters
from outcomes.report.teller import Teller
from outcomes.study.record import OutcomeStudy


def build_model(part: OutcomeStudy, teller: Teller) -> list[Block]:
    """Return the section: what was fitted, how the fit ended, the parameters, the columns."""
    if part.fit is None:
        return []
    say = teller.wording.say
    key = make_key(f"model-{part.outcome.name}")
    blocks: tuple[Block, ...] = (
        Paragraph(text=say("research.equation")),
        *fold_table(_build_certificate(part, part.fit, teller)),
        *fold_table(_build_parameters(part, teller)),
        *_build_columns(part, teller),
        Paragraph(text=say("research.covariance_where"), tone=Tone.FINE),
    )
    return [Section(key=key, title=say("research.model"), blocks=blocks)]


def _build_certificate(part: OutcomeStudy, fit: CumulativeFit, teller: Teller) -> Table:
    say = teller.wording.say
    gradient = bound_gradient(fit.largest_gradient)
    penalty = str(fit.options.penalty)
    if fit.options.penalty is not Penalty.NONE:
        penalty = say("research.penalty_value", {"name": penalty, "m": f"{fit.options.strength:g}"})
    rows = (
        (say("research.link"), str(fit.options.link)),
        (say("research.penalty"), penalty),
        (say("research.sizes"), f"{part.pieces} / {part.firings} / {len(fit.slopes)}"),
        (say("research.log_likelihood"), number(fit.log_likelihood, digits=7)),
        (say("research.penalised"), number(fit.penalised_log_likelihood, digits=7)),
        (say("research.status"), f"{fit.status} / {fit.iterations}"),
        (say("research.gradient"), _gradient(gradient, fit.largest_gradient)),
        (say("research.condition"), number(fit.condition_number)),
        (say("research.smallest"), number(fit.smallest_eigenvalue)),
        (say("research.unusual"), str(part.unusual_replicates)),
    )
    return Table(
        key=make_key(f"certificate-{part.outcome.name}"),
        caption=say("research.certificate", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("method.what")),
            Column(heading=say("columns.value"), numeric=True),
        ),
        rows=rows,
    )


def _gradient(bound: float, gradient: float) -> str:
    """Return the gradient; below 1e-8 it is rounding, which no two processors share."""
    return f"< {bound:.0e}" if bound > gradient else f"{gradient:.1e}"


def _build_parameters(part: OutcomeStudy, teller: Teller) -> Table:
    say = teller.wording.say
    confidence = {"confidence": describe_confidence(teller)}
    numeric = ("estimate", "model_error", "sandwich_error", "jackknife_error", "df",
               "slope_interval", "p")  # fmt: skip
    entries = build_parameters(part, teller.study.options.confidence)
    return Table(
        key=make_key(f"parameters-{part.outcome.name}"),
        caption=say("research.parameters", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.parameter")),
            *(Column(heading=say(f"research.{n}", confidence), numeric=True) for n in numeric),
        ),
        rows=tuple(_parameter_row(entry) for entry in entries),
        note=say("research.parameters_note"),
    )


def _parameter_row(entry: dict[str, object]) -> tuple[str, ...]:
    low, high, df = _float(entry, "low"), _float(entry, "high"), entry["df"]
    return (
        str(entry["name"]),
        number(_float(entry, "value")),
        number(_float(entry, "model_error")),
        number(_float(entry, "sandwich_error")),
        number(_float(entry, "jackknife_error")),
        "–" if df is None else str(df),
        span_digits(low, high),
        probability(_float(entry, "p_value")),
    )


def _float(entry: dict[str, object], name: str) -> float | None:
    value = entry[name]
    return None if value is None else float(str(value))


def _build_columns(part: OutcomeStudy, teller: Teller) -> tuple[Depth, ...]:
    """Return how every factor entered the model; nothing without a design."""
    if part.design is None:
        return ()
    say = teller.wording.say
    rows = tuple(
        (
            teller.label(term.factor),
            str(term.role),
            str(term.shape),
            str(len(term.columns)),
            "–" if term.shape is Shape.LEVELS else f"{term.centre:.4g}",
            "–" if term.shape is Shape.LEVELS else f"{term.scale:.4g}",
            term.levels[0] if term.levels else "–",
            say("research.between" if term.between else "research.within"),
        )
        for term in part.design.spec.terms
    )
    table = Table(
        key=make_key(f"columns-{part.outcome.name}"),
        caption=say("research.columns_table", {"outcome": part.outcome.label}),
        columns=(
            Column(heading=say("research.factor")),
            Column(heading=say("research.role")),
            Column(heading=say("research.shape")),
            *(
                Column(heading=say(f"research.{name}"), numeric=True)
                for name in ("n_columns", "centre", "scale")
            ),
            Column(heading=say("research.reference")),
            Column(heading=say("research.varies")),
        ),
        rows=rows,
        note=say("research.columns_note"),
    )
    return fold_table(table)
