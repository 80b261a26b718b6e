"""Text from files as a page or an XML file can hold it."""

from __future__ import annotations

import unicodedata


def printable(text: str) -> str:
    """Text without control characters and marks that turn the direction of writing."""
    return "".join(c if c in "\n\t" or not _is_control(c) else "\N{REPLACEMENT CHARACTER}" for c in text)


def _is_control(character: str) -> bool:
    # Cc: control; Cf: format, with the marks of direction; Cs: half of a pair. A soft hyphen or a joiner is harmless.
    # The last two of each plane are no characters; XML does not take them.
    if ord(character) & 0xFFFE == 0xFFFE:
        return True
    return unicodedata.category(character) in ("Cc", "Cf", "Cs") and character not in "\u00ad\u200c\u200d"
