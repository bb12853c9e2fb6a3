"""Which gradings are of the same piece, and which firing it came from."""

from collections.abc import Mapping, Sequence

import pandas as pd

from outcomes.log.words import word_key

SEVERAL_FIRINGS = (
    "pieces of several firings are called so, and this row names no firing; write the firing too"
)
GRADED_AGAIN = (
    "this grader graded this piece before, and the first grade counts; where it is a second look, "
    "write yes or no under blind"
)


def translate_codes(
    entries: pd.DataFrame, key: Mapping[str, tuple[str, str | None]]
) -> pd.DataFrame:
    """Return the entries with the codes of a blind list turned into pieces and firings.

    Parameters
    ----------
    entries
        Of `Gradings`, pieces as written.
    key
        ``{word_key(code): (piece, firing or None)}``; what is no code stays as it is.
    """
    found = [key.get(word_key(piece)) if piece else None for piece in entries["piece"]]
    piece = [told[0] if told else own for told, own in zip(found, entries["piece"], strict=True)]
    firing = [told[1] if told else own for told, own in zip(found, entries["firing"], strict=True)]
    return entries.assign(
        piece=pd.Series(piece, index=entries.index, dtype=object),
        firing=pd.Series(firing, index=entries.index, dtype=object),
    )


def name_pieces(entries: pd.DataFrame) -> tuple[pd.DataFrame, "pd.Series[str]"]:
    """Return the entries with one name a piece, and why a row cannot be told ("" if it can).

    Notes
    -----
    Names that differ in capitals or blanks only are one. Where a name stands in more than one
    firing the firing belongs to it ("H01 3"), and a row without a firing cannot be told. A row
    that names none takes the firing that the other gradings of its piece name.
    """
    named = entries.assign(
        piece=_one_spelling(entries["piece"]),
        firing=_one_spelling(entries["firing"]),
        grader=_one_spelling(entries["grader"]),
    )
    several = named.groupby("piece")["firing"].nunique() > 1
    if not several.any():
        firing = named.groupby("piece")["firing"].transform("first")
        return named.assign(firing=firing), pd.Series("", index=named.index, dtype=object)
    lost = named["firing"].isna() & named["piece"].map(several)
    prefix = named["firing"].map(lambda firing: f"{firing} " if firing else "")
    reasons = lost.map({True: SEVERAL_FIRINGS, False: ""}).astype(object)
    return named.assign(piece=prefix + named["piece"]), reasons


def reason_repeated(entries: pd.DataFrame, outcomes: Sequence[str]) -> "pd.Series[str]":
    """Return why a grading adds nothing to compare, "" where it does.

    Parameters
    ----------
    entries
        In the order in which they count; pieces and graders named.
    outcomes
        Columns of the grades.

    Notes
    -----
    Of several graders each has one grade a piece, and one more if one is blind and one is not. A
    single grader's later readings are all there is to compare, so they stay.
    """
    fresh = pd.Series(entries["grader"].nunique() < 2, index=entries.index)
    for outcome in outcomes:
        graded = entries[entries[outcome].notna()]
        again = graded.assign(blind=graded["blind"].fillna("")).duplicated(
            ["piece", "grader", "blind"]
        )
        fresh |= ~again.reindex(entries.index, fill_value=True)
    return fresh.map({True: "", False: GRADED_AGAIN}).astype(object)


def _one_spelling(names: "pd.Series[str]") -> "pd.Series[str]":
    """Return names in the spelling that stands first of those that are one."""
    first: dict[str, str] = {}
    told = [
        None if missing else first.setdefault(word_key(str(name)), str(name))
        for name, missing in zip(names, names.isna(), strict=True)
    ]
    return pd.Series(told, index=names.index, dtype=object)
