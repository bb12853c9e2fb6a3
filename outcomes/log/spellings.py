"""One name for one thing: "TARN LANTERN" and "tarn lantern" are one glaze.

Names that differ only in capitals, spaces, hyphens or underscores are taken for one. Left
apart, each spelling would be a glaze of its own, most of them too rare to learn from. What
was typed stays in ``FiringLog.written``.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from outcomes.finding import Finding, Severity
from outcomes.log.codebook import Codebook, Kind
from outcomes.log.firing_log import FiringLog, How
from outcomes.log.places import list_rows
from outcomes.log.quoting import list_words, quote_text, show_text
from outcomes.log.words import word_key


def unite_spellings(log: FiringLog) -> FiringLog:
    """Return the log with every name in one spelling, and a finding for each column changed.

    The spelling kept is one the codebook itself uses (``applies_to``), else the commonest,
    else the first in the alphabet. Firing names count as names.
    """
    names = [factor.name for factor in log.codebook.factors if factor.kind is Kind.NAME]
    columns = [name for name in (log.codebook.firing, *names) if name in log.values]
    for column in columns:
        log = _unite_column(log, column)
    return log


def choose_spellings(
    names: Iterable[str] | Mapping[str, int], known: Iterable[str] = ()
) -> dict[str, str]:
    """Map every spelling that is not kept to the one that is.

    Parameters
    ----------
    names
        Every name as often as it is written, or how often each is.
    known
        Spellings the codebook itself uses.

    Examples
    --------
    >>> choose_spellings(["Moss", "moss", "Moss", "Ash"])
    {'moss': 'Moss'}
    """
    counts = Counter(names)
    kept = {word_key(name): name for name in known}
    for name in sorted(counts, key=lambda name: (-counts[name], name)):
        kept.setdefault(word_key(name), name)
    return {name: kept[word_key(name)] for name in counts if kept[word_key(name)] != name}


def _unite_column(log: FiringLog, column: str) -> FiringLog:
    """Return the log with one column's names in one spelling."""
    codes, names = pd.factorize(log.values[column].to_numpy(dtype=object))
    counts = dict(zip(names, np.bincount(codes[codes >= 0]).tolist(), strict=True))
    changes = choose_spellings(counts, _known_names(log.codebook, column))
    if not changes:
        return log
    # A blank's code is -1: the last.
    kept = np.array([*(changes.get(name, name) for name in names), None], dtype=object)
    changed = pd.Series(np.array([*(name in changes for name in names), False])[codes])
    reread = changed & (log.how[column] != How.DITTO)
    texts = pd.Series(kept[codes], dtype=object)
    return replace(
        log,
        values=log.values.assign(**{column: texts}),
        how=log.how.assign(**{column: log.how[column].mask(reread, str(How.WORD))}),
        findings=(*log.findings, _finding(log, column, changes, rows_changed=changed)),
    )


def _known_names(codebook: Codebook, column: str) -> tuple[str, ...]:
    """Return the names of this column that the codebook itself uses."""
    if column != codebook.glaze:
        return ()
    return tuple(name for outcome in codebook.outcomes for name in outcome.applies_to)


def _finding(
    log: FiringLog, column: str, changes: dict[str, str], *, rows_changed: "pd.Series[bool]"
) -> Finding:
    """Say which spellings were taken for one name."""
    rows = tuple(log.origin["row"].to_numpy()[rows_changed.to_numpy()].tolist())
    header = next(match.written for match in log.headers if match.column == column)
    kept: dict[str, list[str]] = {}
    for written, name in changes.items():
        kept.setdefault(name, []).append(written)
    told = [
        f"{list_words([quote_text(text) for text in sorted(texts)])} as {quote_text(name)}"
        for name, texts in sorted(kept.items())
    ]
    more = f"; and {len(told) - 5} more" if len(told) > 5 else ""
    return Finding(
        code="spellings_united",
        severity=Severity.NOTE,
        message=(
            f"Column {show_text(header)}: names that differ only in capitals or spaces count as "
            f"one. In {list_rows(rows)} were read {'; '.join(told[:5])}{more}."
        ),
        advice="If they are not one thing, give them names that differ in a letter or a figure.",
        column=header,
        rows=rows,
    )
