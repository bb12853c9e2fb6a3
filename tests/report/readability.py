"""The Flesch-Kincaid grade of a text.

``0.39 words/sentences + 11.8 syllables/words - 15.59``: Kincaid, Fishburne, Rogers and Chissom
(1975), Derivation of new readability formulas for Navy enlisted personnel, Research Branch
Report 8-75, Naval Technical Training Command. Syllables are counted by groups of vowels, as in
most programs: within one of the dictionary's for nearly all words.
"""

import re

_WORD = re.compile(r"[A-Za-z][A-Za-z'’-]*|\d+")
_END = re.compile(r"[.!?:;]+(?:\s|$)")
_VOWELS = re.compile(r"[aeiouy]+")


def count_syllables(word: str) -> int:
    """Return about how many syllables a word has; a number counts as one."""
    letters = re.sub("[^a-z]", "", word.lower())
    if not letters:
        return 1
    groups = len(_VOWELS.findall(letters))
    is_silent = letters.endswith(("e", "es", "ed")) and not letters.endswith(
        ("le", "les", "ied", "ies", "ted", "ded", "ses", "zes", "ces", "ges", "shes", "ches")
    )
    return max(1, groups - is_silent)


def grade_of(text: str) -> float:
    """Return the school grade (United States) that reads a text with ease."""
    words = _WORD.findall(text)
    sentences = max(1, len(_END.findall(text)))
    syllables = sum(count_syllables(word) for word in words)
    return 0.39 * len(words) / sentences + 11.8 * syllables / len(words) - 15.59
