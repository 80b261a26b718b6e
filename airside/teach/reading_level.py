"""How hard a lesson's text is to read, and how long it takes: information for the author, no limit.

Sources
-------
Flesch-Kincaid grade: 0.39 words per sentence + 11.8 syllables per word - 15.59 (Kincaid and others, 1975; from memory).
Minutes: common practice, no source.
"""

from __future__ import annotations

import re

# Words a minute, and minutes for each thing that is looked at or done.
WORDS_PER_MINUTE = 160
MINUTES = {"picture": 0.7, "panel": 3.0, "example": 2.0, "question": 2.0}
# Too short a text gives no grade.
FEWEST_WORDS = 60


def words_of(text: str) -> list[str]:
    """The words of a text; numbers and signs are none."""
    return re.findall(r"[A-Za-zÀ-ÿ]+(?:['’][a-z]+)?", text)


def syllables(word: str) -> int:
    """Syllables of an English word, by its groups of vowels: right for most words."""
    plain = word.casefold()
    # A final e is silent, but not after a consonant and l: "table".
    if plain.endswith("e") and not re.search(r"[^aeiouy]le$", plain):
        plain = plain[:-1]
    if re.search(r"[^td]ed$", plain):
        plain = plain[:-2]
    return max(1, len(re.findall(r"[aeiouy]+", plain)))


def grade(text: str) -> float | None:
    """School year in which the text can be read; None where it is too short to say."""
    found = words_of(text)
    if len(found) < FEWEST_WORDS:
        return None
    # A full stop between digits ends nothing.
    sentences = max(1, len(re.findall(r"[.!?:](?=\s|$)", text)))
    return 0.39 * len(found) / sentences + 11.8 * sum(map(syllables, found)) / len(found) - 15.59


def minutes(words: int, counts: dict[str, int]) -> float:
    """How long a trainee takes for so many words, pictures, panels, examples and questions."""
    return words / WORDS_PER_MINUTE + sum(MINUTES[name] * count for name, count in counts.items())
