"""What the analysis promises, beside what was measured."""

from collections.abc import Iterator
from dataclasses import dataclass

import pandas as pd
from cells import Kind
from coverage_table import HIGH, LOW
from figures import OF_THE_KNOWER
from rules import METHOD_RULE, PRINTED


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One line: what, the aim, the figure with its error, whether it is met."""

    what: str
    aim: str
    measured: str
    verdict: str


def build_claims(figures: pd.DataFrame) -> tuple[Claim, ...]:
    """Return every claim that a table of figures speaks to."""
    coverage = figures[(figures["kind"] == Kind.COVERAGE) & (figures["measure"] == "held")]
    return (
        *(
            _coverage_claim(coverage[coverage["rule"] == rule], rule)
            for rule in (PRINTED, METHOD_RULE)
            if (coverage["rule"] == rule).any()
        ),
        *(
            claim
            for name, rows in figures.groupby("cell", sort=False)
            for claim in _claims_of(str(name), rows)
        ),
    )


def judge(value: float, error: float, *, most: float | None = None, least: float = 0.0) -> str:
    """Return "yes", "no", or that sampling error leaves it open.

    >>> judge(0.03, 0.01, most=0.05), judge(0.06, 0.01, most=0.05), judge(0.5, 0.01, least=0.9)
    ('yes', 'open', 'no')
    """
    excess = least - value if most is None else value - most
    if excess <= 0.0:
        return "yes"
    return "open" if excess <= 2.0 * error else "no"


def _coverage_claim(held: pd.DataFrame, rule: str) -> Claim:
    """Return the line of one interval rule over all coverage cells."""
    value, error = held["value"], held["error"]
    inside = int(value.between(LOW, HIGH).sum())
    surely = int(((value + 2 * error < LOW) | (value - 2 * error > HIGH)).sum())
    printed = "printed, " if rule == PRINTED else "until now, "
    return Claim(
        what=f"95 % intervals hold the truth, {len(held)} cells × settings: {printed}{rule}",
        aim="94-96.5 in every one",
        measured=(
            f"{100 * value.min():.1f} to {100 * value.max():.1f}; {inside} inside, "
            f"{surely} outside by more than two standard errors"
        ),
        verdict="yes" if inside == len(held) else "open" if surely == 0 else "no",
    )


def _claims_of(cell: str, rows: pd.DataFrame) -> Iterator[Claim]:
    """Return the lines of one cell of whole or tangled logs."""
    match rows["kind"].iloc[0]:
        case Kind.NULL:
            for name in ("a null log with a claim", "a null log with a claim, Benjamini-Yekutieli"):
                yield from _claim(cell, rows, name, most=0.05)
        case Kind.TANGLED:
            yield from _claim(cell, rows, "both of the pair were named", least=0.95)
            yield from _claim(cell, rows, "an untied setting was named", most=0.05)
        case Kind.KNOWN | Kind.DEMO:
            yield from _claim(cell, rows, "false-discovery share", most=0.05)
            for what, *_ in OF_THE_KNOWER:
                yield from _claim(cell, rows, f"{what}, of the knower's", least=0.90)
            yield from _claim(cell, rows, "rank intervals hold every true rank", least=0.95)
            for acting in ("planted", "nothing planted"):
                yield from _claim(cell, rows, f"interval holds the truth, {acting}", least=0.94)


def _claim(
    cell: str, rows: pd.DataFrame, name: str, *, most: float | None = None, least: float = 0.0
) -> Iterator[Claim]:
    """Return the line of one figure, if the cell has it."""
    for row in rows[rows["measure"] == name].itertuples(index=False):
        value, error = float(row.value), float(row.error)
        yield Claim(
            what=f"{cell}: {name}",
            aim=f"at least {100 * least:.0f}" if most is None else f"at most {100 * most:.0f}",
            measured=f"{100 * value:.1f} ± {100 * error:.1f}",
            verdict=judge(value, error, most=most, least=least),
        )
