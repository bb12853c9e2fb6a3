"""The words of the shares."""

from typing import Final

PART_WORDS: Final = {
    "settings_firing": "settings you choose for a whole firing",
    "settings_piece": "settings you choose for each piece",
    "glaze": "the choice of glaze",
    "conditions": "recorded conditions",
    "groupings": "who did it and which group it belonged to",
    "firing_luck": "firing luck: what all pieces of one firing share and nothing written explains",
    "piece_luck": "piece luck: what differs between pieces fired together, grading included",
    "yours": "yours to set",
}
NOT_TOLD: Final = {
    "few": (
        "The log holds {firings} firings; how much is yours can be told from {floor} firings on."
    ),
    "single": (
        "Every firing holds one piece only, so the luck of a firing cannot be told from the luck "
        "of a piece. Two or more pieces in a firing would tell."
    ),
    "failed": (
        "The computation of the shares did not settle (largest gradient {gradient:.1e}), so none "
        "are given."
    ),
}


def size_words(share: float) -> str:
    """Return how large a share is, for a log too small for numbers.

    >>> [size_words(share) for share in (0.05, 0.2, 0.5, 0.8)]
    ['small', 'about a quarter', 'about half', 'most of it']
    """
    for limit, words in ((0.15, "small"), (0.375, "about a quarter"), (0.65, "about half")):
        if share < limit:
            return words
    return "most of it"
