"""Rules about firings: is it clear which pieces shared one, and are there enough of them.

Pieces of one firing share luck; every interval rests on the number of firings. The floors are
those of the method: under 6 no intervals, under 12 intervals with a caution.
"""

from statistics import median

from outcomes.finding import Finding, Severity
from outcomes.log.firing_log import FiringLog
from outcomes.log.firings import (
    cluster_column,
    firing_labels,
    pieces_per_firing,
    unread_firings,
)
from outcomes.log.places import (
    MOST_CELLS,
    Positions,
    about_log,
    about_rows,
    has_column,
    header_of,
    list_rows,
    positions_of,
    rows_at,
)
from outcomes.log.quoting import count_of, list_words, quote_text

FEWEST_FIRINGS = 6
COMFORTABLE_FIRINGS = 12
# A firing three times the usual size carries three times the weight: worth saying, no more.
UNEQUAL_RATIO = 3.0


def check_firing_column(log: FiringLog) -> tuple[Finding, ...]:
    """Say what stands for the firing when no column names it."""
    codebook, column = log.codebook, cluster_column(log)
    firing, piece = codebook.cluster_word, codebook.piece_word
    if log.values.empty or (column and column == codebook.firing):
        return ()
    wanted = f"Add a column {codebook.firing} with the same text for every {piece} of one {firing}."
    if column:
        message = (
            f"No column names the {firing}, so {piece}s of the same date "
            f"({header_of(log, column)}) count as one {firing}."
        )
        return (about_log("no_firing_column", Severity.WARNING, message=message, advice=wanted),)
    message = (
        f"No column names the {firing} and none holds its date, so every {codebook.piece_word} "
        f"counts as a {firing} of its own. Luck shared within a {firing} is then understated, and "
        "intervals come out too narrow."
    )
    return (about_log("no_firing_column", Severity.PROBLEM, message=message, advice=wanted),)


def check_blank_firings(log: FiringLog) -> tuple[Finding, ...]:
    """Name the pieces whose firing is not written."""
    column = cluster_column(log)
    if not column:
        return ()
    blank = positions_of(firing_labels(log).isna())
    firing, piece = log.codebook.cluster_word, log.codebook.piece_word

    def words(here: Positions) -> tuple[str, str]:
        rows = rows_at(log, here)
        return (
            f"{list_rows(rows)} {'name' if len(rows) > 1 else 'names'} no {firing}. Expected the "
            f"{firing} of every {piece}, because {piece}s of one {firing} share luck.",
            f"Write the {firing} each of these went through; until then a {piece} is put with the "
            f"only {firing} of its date, or counts as a {firing} of its own.",
        )

    return about_rows(
        log, blank, column=column, code="blank_firing", severity=Severity.WARNING, words=words
    )


def check_unread_firings(log: FiringLog) -> tuple[Finding, ...]:
    """Name the pieces whose firing, or the date that stands for it, cannot be read."""
    column = cluster_column(log)
    if not column:
        return ()
    firing, piece = log.codebook.cluster_word, log.codebook.piece_word
    is_date = column == log.codebook.date
    what = "date" if is_date else firing
    how = ", in full, such as 2025-03-04 or 4 March 2025," if is_date else ""

    def words(here: Positions) -> tuple[str, str]:
        rows, texts = rows_at(log, here), log.written[column].iloc[here]
        told = [
            f"{quote_text(str(text))} ({count_of(int(number), 'row')})"
            for text, number in texts.value_counts(sort=False).head(MOST_CELLS + 1).items()
        ]
        return (
            f"the {what} of {count_of(len(here), piece)} cannot be read, from row {rows[0]} on: "
            f"{list_words(told, total=texts.nunique())}. Expected the {what} of every {piece}, "
            f"because it tells which {piece}s shared a {firing} and its luck. For now {piece}s of "
            f"the same text in one file count as one {firing}. If a text stands for two "
            f"{firing}s, or two texts for one, results can show effects that are not there.",
            f"Write the {what} of these {piece}s again{how} before you trust a result.",
        )

    return about_rows(
        log,
        positions_of(unread_firings(log, column)),
        column=column,
        code="unread_firing",
        severity=Severity.PROBLEM,
        words=words,
    )


def check_few_firings(log: FiringLog) -> tuple[Finding, ...]:
    """Say when the log holds too few firings for intervals, or only just enough."""
    number, firing = len(pieces_per_firing(log)), log.codebook.cluster_word
    if log.values.empty or number >= COMFORTABLE_FIRINGS:
        return ()
    seen = f"The log holds {count_of(number, firing)}."
    if number < FEWEST_FIRINGS:
        message = (
            f"{seen} Nothing can be told from one {firing}'s luck, so nothing is compared."
            if number == 1
            else f"{seen} Fewer than {FEWEST_FIRINGS} {firing}s give tables of what happened, but "
            "no intervals and no verdict beyond 'cannot tell yet'."
        )
        advice = f"Log at least {FEWEST_FIRINGS} {firing}s, better {COMFORTABLE_FIRINGS} or more."
        return (about_log("few_firings", Severity.WARNING, message=message, advice=advice),)
    message = f"{seen} With fewer than {COMFORTABLE_FIRINGS}, intervals are wide and rough."
    advice = f"Every further {firing} narrows them more than further pieces in the same {firing}s."
    return (about_log("few_firings", Severity.NOTE, message=message, advice=advice),)


def check_firing_sizes(log: FiringLog) -> tuple[Finding, ...]:
    """Say when firings hold one piece each, or very unequal numbers of pieces."""
    sizes = pieces_per_firing(log)
    if not cluster_column(log) or len(sizes) < 2:
        return ()
    firing, piece = log.codebook.cluster_word, log.codebook.piece_word
    singles = [quote_text(label) for label, size in sizes.items() if size == 1]
    if len(singles) == len(sizes):
        message = (
            f"Every {firing} holds one {piece}. Luck of the {firing} and luck of the {piece} "
            "cannot be told apart."
        )
        advice = f"Nothing is lost; log every {piece} of a {firing} to tell the two apart."
        return (about_log("one_piece_firings", Severity.NOTE, message=message, advice=advice),)
    found = []
    if singles:
        message = (
            f"{count_of(len(singles), firing)} of {len(sizes)} "
            f"{'holds' if len(singles) == 1 else 'hold'} one {piece} only: {list_words(singles)}."
        )
        advice = f"Check that every {piece} of these {firing}s was logged, broken ones included."
        found.append(about_log("one_piece_firings", Severity.NOTE, message=message, advice=advice))
    return (*found, *_unequal_sizes(log))


def check_loaded_counts(log: FiringLog) -> tuple[Finding, ...]:
    """Compare the pieces a firing is said to have held with the pieces that have a row."""
    loaded, firing = log.codebook.loaded, log.codebook.firing
    if not has_column(log, loaded) or cluster_column(log) != firing:
        return ()
    labels, counts = firing_labels(log), pieces_per_firing(log)
    stated = {
        str(label): float(number)
        for label, number in log.values[loaded].groupby(labels).max().dropna().items()
    }
    fewer = [label for label, number in stated.items() if counts[label] < number]
    more = [label for label, number in stated.items() if counts[label] > number]
    found: list[Finding] = []
    for differing, code in ((fewer, "fewer_pieces_than_loaded"), (more, "more_pieces_than_loaded")):
        cases = [
            f"{log.codebook.cluster_word} {quote_text(label)}: {stated[label]:g} loaded, "
            f"{count_of(counts[label], 'row')}"
            for label in differing
        ]
        found += _loaded_findings(log, positions_of(labels.isin(differing)), code=code, cases=cases)
    return tuple(found)


def _loaded_findings(
    log: FiringLog, positions: Positions, *, code: str, cases: list[str]
) -> tuple[Finding, ...]:
    """Build one finding for all firings with fewer, or with more, rows than pieces loaded."""
    typed, piece = header_of(log, log.codebook.loaded), log.codebook.piece_word
    if code == "fewer_pieces_than_loaded":
        meaning = (
            f"If the missing {piece}s broke, the log shows survivors only, and whatever broke "
            "them looks harmless."
        )
        advice = f"Add a row for every {piece} loaded, the broken ones too."
    else:
        meaning = f"Expected no more rows than {piece}s loaded."
        advice = f"Check {typed} and the {log.codebook.cluster_word} of these rows."

    def words(here: Positions) -> tuple[str, str]:
        return f"{list_words(cases)}. {meaning}", advice

    return about_rows(
        log,
        positions,
        column=log.codebook.loaded,
        code=code,
        severity=Severity.WARNING,
        words=words,
    )


def _unequal_sizes(log: FiringLog) -> tuple[Finding, ...]:
    """Note when one firing is far larger than usual."""
    sizes, firing = pieces_per_firing(log), log.codebook.cluster_word
    usual, largest = median(sizes.values()), max(sizes.values())
    largest_name = max(sizes, key=sizes.__getitem__)
    if largest < UNEQUAL_RATIO * usual:
        return ()
    message = (
        f"The {firing}s are of very unequal size: {quote_text(largest_name)} holds "
        f"{largest} {log.codebook.piece_word}s, half of the {firing}s hold {usual:g} or fewer."
    )
    advice = f"Check that the large {firing} is one {firing}; results rest on it more than others."
    return (about_log("unequal_firings", Severity.NOTE, message=message, advice=advice),)
