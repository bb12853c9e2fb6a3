"""What the analysis promises, beside what was measured."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from cells import Cell, Kind
from coverage_table import HIGH, LOW
from rules import PRINTED, PROPOSED
from tallies import Chunk, Tally, add_tallies, ratio

Results = Mapping[Cell, tuple[Chunk, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """One line: what, the aim, the figure with its error, whether it is met."""

    what: str
    aim: str
    measured: str
    verdict: str


def build_claims(results: Results) -> tuple[Claim, ...]:
    """Return every claim the results speak to."""
    return (
        *(
            claim
            for rule in dict.fromkeys((PRINTED, PROPOSED))
            for claim in _coverage_claims(results, rule)
        ),
        *(
            claim
            for cell, chunks in results.items()
            for claim in _claims_of(cell, chunks, add_tallies(c.tallies for c in chunks))
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


def _coverage_claims(results: Results, rule: str) -> Iterator[Claim]:
    """Return the line of one interval rule over all coverage cells."""
    held = [
        tally
        for cell, chunks in results.items()
        if cell.kind is Kind.COVERAGE
        for name, tally in add_tallies(c.tallies for c in chunks).items()
        if name.startswith("held|") and name.endswith(f"|{rule}")
    ]
    if not held:
        return
    inside = sum(LOW <= tally.mean <= HIGH for tally in held)
    surely = sum(t.mean + 2 * t.error < LOW or t.mean - 2 * t.error > HIGH for t in held)
    lowest, highest = min(t.mean for t in held), max(t.mean for t in held)
    yield Claim(
        what=f"95 % intervals hold the truth, {len(held)} cells × settings: {rule}",
        aim="94-96.5 in every one",
        measured=(
            f"{100 * lowest:.1f} to {100 * highest:.1f}; {inside} inside, "
            f"{surely} outside by more than two standard errors"
        ),
        verdict="yes" if inside == len(held) else "open" if surely == 0 else "no",
    )


def _claims_of(
    cell: Cell, chunks: Iterable[Chunk], tallies: Mapping[str, Tally]
) -> Iterator[Claim]:
    """Return the lines of one cell of whole or tangled logs."""
    match cell.kind:
        case Kind.NULL:
            for rule in ("as printed", "firing-score t", "Benjamini-Yekutieli"):
                yield _most(cell, tallies, f"a null log with a claim|{rule}", 0.05)
        case Kind.TANGLED:
            if "both of the pair were named" in tallies:
                yield _least(cell, tallies, "both of the pair were named", 0.95)
            yield _most(cell, tallies, "an untied setting was named", 0.05)
        case Kind.KNOWN | Kind.DEMO:
            for rule in ("", ", firing-score t"):
                yield _most(cell, tallies, f"false-discovery share{rule}", 0.05)
            yield from _relative(cell, list(chunks))
            if cell.kind is Kind.KNOWN:
                yield _least(cell, tallies, "rank intervals hold every true rank", 0.95)


def _relative(cell: Cell, chunks: list[Chunk]) -> Iterator[Claim]:
    """Return power and first places beside the analyst who knows the model."""
    for own, known in (
        ("power|all", "power of the knower|all"),
        ("power, firing-score t|all", "power of the knower|all"),
        ("largest ranked first", "largest ranked first by the knower"),
    ):
        value, error = ratio(own, known, chunks)
        if value == value:  # noqa: PLR0124 - NaN is not itself
            yield Claim(
                what=f"{cell.name}: {own.removesuffix('|all')}, of the knower's",
                aim="at least 90",
                measured=_say(value, error),
                verdict=judge(value, error, least=0.90),
            )


def _most(cell: Cell, tallies: Mapping[str, Tally], name: str, most: float) -> Claim:
    tally = tallies[name]
    return Claim(
        what=f"{cell.name}: {name.replace('|', ', ')}",
        aim=f"at most {100 * most:.0f}",
        measured=_say(tally.mean, tally.error),
        verdict=judge(tally.mean, tally.error, most=most),
    )


def _least(cell: Cell, tallies: Mapping[str, Tally], name: str, least: float) -> Claim:
    tally = tallies[name]
    return Claim(
        what=f"{cell.name}: {name.replace('|', ', ')}",
        aim=f"at least {100 * least:.0f}",
        measured=_say(tally.mean, tally.error),
        verdict=judge(tally.mean, tally.error, least=least),
    )


def _say(value: float, error: float) -> str:
    return f"{100 * value:.1f} ± {100 * error:.1f}"
