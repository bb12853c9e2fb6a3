"""Which columns of a log are written once for a whole firing, and which for every piece."""

from outcomes.log.codebook import Codebook


def is_of_firing(codebook: Codebook, column: str) -> bool:
    """Return whether a column is the same on every piece of a firing in practice.

    The firing itself, its date and the number loaded are; of the factors those a codebook
    calls hard to change.
    """
    if column in (codebook.firing, codebook.date, codebook.loaded):
        return True
    return any(each.hard_to_change for each in codebook.factors if each.name == column)
