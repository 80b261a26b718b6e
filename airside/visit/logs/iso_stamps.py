"""Times of stamps that are all written alike as ISO 8601 has it, such as 2026-07-01 13:30:00: quickly, or not at all.

Eight signs of a row are one number of eight bytes, so that few steps of arithmetic read all rows of a file. Months, which
are few, are read one by one.
"""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.log import Floats
from airside.visit.logs.time_format import Texts

Words = NDArray[np.uint64]

_ISO = re.compile(r"\d{4}-\d{2}-\d{2}[ T]\d{2}:\d{2}(:\d{2}(\.\d{1,9})?)?$")
# More changes of month than this are no log.
MOST_MONTHS = 1000
YEARS = range(1900, 2201)
# Of each byte: what makes 10 and more reach its highest bit, and that bit.
_TEN, _HIGHEST = np.uint64(0x7676767676767676), np.uint64(0x8080808080808080)


def is_iso(text: str) -> bool:
    """Whether a cell is written so."""
    return _ISO.match(text) is not None


def iso_seconds(texts: Texts) -> Floats | None:
    """Seconds since 1970 of the file's clock; None where one stamp is written otherwise, or is no time.

    Parameters
    ----------
    texts : array of uint8, shape (n, width)
        Texts of one width, n at least 1.
    """
    width, first = texts.shape[1], bytes(texts[0])
    if not is_iso(first.decode("ascii", "replace")):
        return None
    dates = _pairs(texts, 3, first)
    clocks = _pairs(texts, 11 if width > 16 else 8, first)
    months = _months(texts)
    if dates is None or clocks is None or months is None:
        return None
    begin, length = months
    day = _field(dates, 5)
    hour, minute, second = (_field(clocks, i) for i in ((0, 3, 6) if width > 16 else (3, 6, 8)))
    # Midnight as 24:00 is left to others.
    if day.min() < 1 or (day > length).any() or hour.max() > 23 or minute.max() > 59 or second.max() > 59:
        return None
    clock = (hour * 3600 + minute * 60 + second).astype(np.float64)
    if width > 20:
        fraction = _fraction(texts[:, 19:], first[19:])
        if fraction is None:
            return None
        clock += fraction
    time: Floats = (begin + day - 1) * 86400.0 + clock
    return time


def _words(texts: Texts, place: int) -> Words:
    """Eight signs of each row from a place on as one number, the first sign lowest."""
    words: Words = np.ascontiguousarray(texts[:, place : place + 8].view("<u8")[:, 0])
    return words


def _pairs(texts: Texts, place: int, first: bytes) -> Words | None:
    """In each byte the number that its sign and the next make; None where a sign is no digit, or not that of the first row."""
    pattern = bytes(48 if 48 <= sign <= 57 else sign for sign in first[place : place + 8])
    digits = _words(texts, place) - np.uint64(int.from_bytes(pattern, "little"))
    if ((digits | (digits + _TEN)) & _HIGHEST).any():
        return None
    # A separator must be the first row's own: nothing is left of it.
    separators = np.uint64(int.from_bytes(bytes(255 if sign != 48 else 0 for sign in pattern), "little"))
    if (digits & separators).any():
        return None
    return digits * np.uint64(10) + (digits >> np.uint64(8))


def _field(pairs: Words, place: int) -> NDArray[np.int64]:
    """One byte of each number; nothing for the one after the last."""
    if place == 8:
        return np.zeros(1, np.int64)
    return ((pairs >> np.uint64(8 * place)) & np.uint64(255)).astype(np.int64)


def _months(texts: Texts) -> tuple[NDArray[np.int64], NDArray[np.int64]] | None:
    """First day since 1970, and days, of each row's month; None where there is no such month."""
    words = _words(texts, 0)
    starts = np.concatenate([[0], np.flatnonzero(words[1:] != words[:-1]) + 1])
    if len(starts) > MOST_MONTHS:
        return None
    found = []
    for start in starts:
        text = bytes(texts[start, :7]).decode("ascii", "replace")
        if not text[:4].isdigit() or int(text[:4]) not in YEARS or not 1 <= int(text[5:7]) <= 12:
            return None
        month = np.datetime64(text, "M")
        begin, following = (int(m.astype("datetime64[D]").astype(int)) for m in (month, month + 1))
        found.append((begin, following - begin))
    begins, lengths = np.array(found).T
    counts = np.diff(starts, append=len(texts))
    return (begins, lengths) if len(found) == 1 else (np.repeat(begins, counts), np.repeat(lengths, counts))


def _fraction(texts: Texts, first: bytes) -> Floats | float | None:
    """Point and digits of each row as a part of a second; None where they are written otherwise."""
    count = len(first) - 1
    places = sorted({min(i, len(first) - 8) for i in range(0, len(first), 8)}) if len(first) >= 8 else []
    if places and all(
        (_words(texts, i) == np.uint64(int.from_bytes(first[i : i + 8], "little"))).all() for i in places
    ):
        return int(first[1:]) / 10.0**count
    digits = texts[:, 1:] - np.uint8(48)
    if digits.max() > 9 or (texts[:, 0] != first[0]).any():
        return None
    parts: Floats = digits @ 10 ** np.arange(count - 1, -1, -1, dtype=np.int64) / 10.0**count
    return parts
