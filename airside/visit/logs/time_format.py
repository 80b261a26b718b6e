"""How time stamps are written: patterns of texts, and the numbers in them for many rows at once.

Rows whose texts differ in their digits alone have one shape, and the digits of a shape stand at fixed places: one look
at the first row of a shape says where year, month, day and time are in all of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.log import Floats

Texts = NDArray[np.uint8]
Bytes = NDArray[np.int16]

# Longer texts are no time stamps.
LONGEST = 48
# Shapes of one file that are looked at; month names, hours of one digit and zones make several.
MOST_SHAPES = 400
ROWS_AT_ONCE = 65_536

_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
MONTHS = {name[:n]: i for i, name in enumerate(_MONTHS, 1) for n in (3, len(name))} | {"sept": 9}

_DATES = (
    r"(?P<Y>\d{4})(?P<_s>[-/.])(?P<m>\d{1,2})(?P=_s)(?P<d>\d{1,2})",
    r"(?P<Y>\d{4})(?P<m>\d{2})(?P<d>\d{2})",
    r"(?P<d>\d{1,2})[-/. ]\s*(?P<b>[A-Za-z]{3,9})\.?[-/., ]\s*(?P<Y>\d{4})",
    r"(?P<b>[A-Za-z]{3,9})\.?[-/ ]\s*(?P<d>\d{1,2}),?[-/ ]\s*(?P<Y>\d{4})",
    r"(?P<d>\d{1,2})[-/. ]\s*(?P<b>[A-Za-z]{3,9})\.?",
    r"(?P<b>[A-Za-z]{3,9})\.?[-/ ]\s*(?P<d>\d{1,2})",
    r"(?P<A>\d{1,2})(?P<_s>[-/.])(?P<B>\d{1,2})(?P=_s)(?P<Y>\d{4})",
    r"(?P<A>\d{1,2})(?P<_s>[-/.])(?P<B>\d{1,2})(?P=_s)(?P<C>\d{2})",
    r"(?P<A>\d{1,2})[-/.](?P<B>\d{1,2})\.?",
)
_TIME = (
    r"(?P<H>\d{1,2}):(?P<M>\d{2})(?::(?P<S>\d{2})(?:[.,](?P<f>\d{1,9}))?)?(?:\s*(?P<p>[AaPp])\.?[Mm]\.?)?",
    r"(?P<H>\d{2})(?P<M>\d{2})(?P<S>\d{2})?",
)
_ZONE = r"(?:\s*(?:(?P<utc>Z|z|UTC|GMT)|(?P<zs>[+-])(?P<zh>\d{2}):?(?P<zm>\d{2})?))?"
_BETWEEN = r"(?:\s*[Tt]\s*|,?\s+)"
_STAMPS = (
    *(re.compile(f"{d}(?:{_BETWEEN}{t}{_ZONE})?$") for t in _TIME for d in _DATES),
    re.compile(r"(?P<Y>\d{4})(?P<m>\d{2})(?P<d>\d{2})(?P<H>\d{2})(?P<M>\d{2})(?P<S>\d{2})?$"),
)
_DECIMAL = re.compile(r"[+-]?\d*[.,]\d+$")
_TIME_ALONE = re.compile(_TIME[0] + "$")

_CODES = {
    "Y": r"(?P<Y>\d{4})", "y": r"(?P<y>\d{2})", "m": r"(?P<m>\d{1,2})", "d": r"(?P<d>\d{1,2})",
    "e": r"\s*(?P<d>\d{1,2})", "b": r"(?P<b>[A-Za-z]{3,9})", "B": r"(?P<b>[A-Za-z]{3,9})",
    "h": r"(?P<b>[A-Za-z]{3,9})", "j": r"(?P<j>\d{1,3})", "H": r"(?P<H>\d{1,2})", "I": r"(?P<H>\d{1,2})",
    "M": r"(?P<M>\d{1,2})", "S": r"(?P<S>\d{1,2})", "f": r"(?P<f>\d{1,9})", "p": r"(?P<p>[AaPp])\.?[Mm]\.?",
    "z": r"(?:(?P<utc>Z|z|UTC|GMT)|(?P<zs>[+-])(?P<zh>\d{2}):?(?P<zm>\d{2})?)", "a": "[A-Za-z]+", "A": "[A-Za-z]+",
    "%": "%", "n": r"\s+", "t": r"\s+",
}  # fmt: skip
_SHORT = {"T": "%H:%M:%S", "R": "%H:%M", "F": "%Y-%m-%d", "D": "%m/%d/%y"}
CODES = ", ".join(f"%{c}" for c in "YymdbjHIMSfpz") + ", %T, %R, %F, %D"


@dataclass
class Fields:
    """What stands in the stamps, row by row.

    Attributes
    ----------
    layout : array of int8
        0 not readable; 1 year month day; 2 two numbers and a year; 3 three numbers; 4 two numbers without a year;
        5 month day without a year; 6 year and day of the year.
    a, b, c : array of int16
        The numbers of the date, in the order in which they stand (layouts 1, 5, 6: year, month, day).
    second : array of float64
        Time of day [s], 86400 for 24:00:00.
    zone : array of float64
        What the stamp itself says of its zone, east of UTC [s]; NaN where it says nothing.
    """

    layout: NDArray[np.int8]
    a: Bytes
    b: Bytes
    c: Bytes
    second: Floats
    zone: Floats


def format_pattern(text: str) -> re.Pattern[str]:
    """A pattern for a format of strptime's codes.

    Raises
    ------
    ValueError
        A code that is not known, one given twice, or one that is missing; the message goes into a sentence.
    """
    for code, long in _SHORT.items():
        text = text.replace(f"%{code}", long)
    parts, place, seen = [], 0, []
    while place < len(text):
        sign = text[place]
        if sign == "%":
            code = text[place + 1 : place + 2]
            if code not in _CODES:
                raise ValueError(f'the code "%{code}" is not known here; known are {CODES}')
            parts.append(_CODES[code])
            seen.append({"e": "d", "B": "b", "h": "b", "I": "H"}.get(code, code))
            place += 2
            continue
        # As strptime has it: a space stands for any number of them.
        if sign.isspace():
            while place < len(text) and text[place].isspace():
                place += 1
            parts.append(r"\s+")
            continue
        parts.append(re.escape(sign))
        place += 1
    twice = next((c for c in seen if seen.count(c) > 1 and c in "YymdbjHMSfpz"), None)
    if twice is not None:
        raise ValueError(f'the code "%{twice}" stands in it twice')
    if not ({"d"} & set(seen) and {"m", "b"} & set(seen)) and "j" not in seen:
        raise ValueError("it has no day and month (%d and %m, or %j)")
    if "j" in seen and not {"Y", "y"} & set(seen):
        raise ValueError("%j needs a year (%Y)")
    if "p" in seen and "H" not in seen:
        raise ValueError("%p needs an hour (%I)")
    return re.compile("".join(parts) + "$")


def look(text: str) -> str | None:
    """What one cell looks like without a format: ``"stamp"``, ``"date"``, ``"time"`` or None."""
    text = text.strip()
    if not text or len(text) > LONGEST:
        return None
    if _TIME_ALONE.match(text):
        return "time"
    # 24.5 is a number before it is the 24th of May.
    if _DECIMAL.match(text):
        return None
    match = _first_match(text)
    if match is None:
        return None
    return "date" if match.groupdict().get("H") is None else "stamp"


def _first_match(text: str) -> re.Match[str] | None:
    for pattern in _STAMPS:
        match = pattern.match(text)
        if match:
            word = match.groupdict().get("b")
            if word is None or word.casefold() in MONTHS:
                return match
    return None


@lru_cache(maxsize=4096)
def _found_match(text: str) -> re.Match[str] | None:
    return _first_match(text)


def as_texts(cells: Sequence[str]) -> Texts:
    """Cells as rows of bytes, filled up with zeros; what is too long is left empty."""
    stripped = [c.strip().encode("ascii", "replace") for c in cells]
    array = np.array([c if len(c) <= LONGEST else b"" for c in stripped], dtype="S")
    width = max(array.dtype.itemsize, 1)
    return np.ascontiguousarray(array).view(np.uint8).reshape(len(stripped), width)


def stamp_fields(texts: Texts, pattern: re.Pattern[str] | None) -> Fields:
    """The numbers in stamps.

    Parameters
    ----------
    texts : array of uint8, shape (n, width)
        Texts without blanks around them, filled up with zeros.
    pattern : re.Pattern or None
        From `format_pattern`; None to find it out.
    """
    n = len(texts)
    fields = Fields(
        np.zeros(n, np.int8), np.zeros(n, np.int16), np.zeros(n, np.int16), np.zeros(n, np.int16), np.zeros(n),
        np.full(n, np.nan),
    )  # fmt: skip
    match: Callable[[str], re.Match[str] | None] = _found_match if pattern is None else pattern.match
    budget = MOST_SHAPES
    for start in range(0, n, ROWS_AT_ONCE):
        block = texts[start : start + ROWS_AT_ONCE]
        for rows, first, same in _shapes(block):
            if budget <= 0:
                break
            found = match(bytes(first).rstrip(b"\0").decode("ascii", "replace"))
            if found is not None:
                _fill(fields, block, rows, start, found, same)
            elif start:
                # A shape that no block before had, and that is none: many of them would take long.
                budget -= 1
    return fields


def _extremes(block: Texts) -> tuple[Texts, Texts]:
    """Lowest and highest sign at each place; many rows side by side, because numpy is slow along short ones."""
    width, beside = block.shape[1], 64
    even = len(block) // beside * beside
    parts = [block[:even].reshape(-1, beside * width), block[even:]] if even else [block]
    low, high = (np.concatenate([of(p, axis=0).reshape(-1, width) for p in parts if len(p)]) for of in (np.min, np.max))
    return low.min(axis=0), high.max(axis=0)


def _is_one_shape(low: Texts, high: Texts) -> bool:
    """Whether all rows have digits in the same places, and the same signs in all others: as nearly every log has."""
    return bool(((low == high) | ((low >= 48) & (high <= 57))).all())


def _shapes(block: Texts) -> Iterator[tuple[slice | NDArray[np.intp], Texts, NDArray[np.bool_]]]:
    """Rows of one shape together, with the first of them as it stands, and the places where all are known to be equal."""
    low, high = _extremes(block)
    if _is_one_shape(low, high):
        yield slice(0, len(block)), block[0], low == high
        return
    unknown = np.zeros(block.shape[1], bool)
    shape = np.where((block >= 48) & (block <= 57), np.uint8(48), block)
    left: NDArray[np.intp] | None = None
    for _ in range(MOST_SHAPES):
        if left is None:
            same = (shape == shape[0]).all(axis=1)
            rows = np.flatnonzero(same)
            left = np.flatnonzero(~same)
        else:
            if not len(left):
                return
            same = (shape[left] == shape[left[0]]).all(axis=1)
            rows, left = left[same], left[~same]
        yield rows, block[rows[0]], unknown


def _fill(
    fields: Fields, block: Texts, rows: slice | NDArray[np.intp], start: int, match: re.Match[str],
    same: NDArray[np.bool_],
) -> None:  # fmt: skip
    """Put the numbers of the rows of one shape into the fields."""
    groups = match.groupdict()
    own = block[rows]

    def number(name: str) -> NDArray[np.int32]:
        first, last = match.span(name)
        value, constant = np.zeros(len(own), np.int32), 0
        for i in range(first, last):
            # Digits that no row has otherwise, such as those of the year, are added at the end.
            power = 10 ** (last - 1 - i)
            if same[i]:
                constant += power * (int(own[0, i]) - 48)
            else:
                value += (own[:, i] - np.uint8(48)) * np.int32(power)
        value += constant
        return value

    def has(name: str) -> bool:
        return groups.get(name) is not None

    out = slice(start + rows.start, start + rows.stop) if isinstance(rows, slice) else start + rows
    year = number("Y") if has("Y") else None
    if has("y"):
        short = number("y")
        year = short + np.where(short < 69, 2000, 1900)
    if has("b"):
        word = str(groups["b"]).casefold()
        if word not in MONTHS:
            return
        month, day = np.full_like(number("d"), MONTHS[word]), number("d")
    elif has("A"):
        month, day = number("A"), number("B")
    elif has("j"):
        month, day = number("j"), np.ones_like(number("j"))
    else:
        month, day = number("m"), number("d")
    if has("A"):
        layout = 2 if year is not None else 3 if has("C") else 4
        last = year if year is not None else number("C") if has("C") else np.zeros_like(day)
        numbers = (month, day, last)
    elif has("j"):
        assert year is not None
        layout, numbers = 6, (year, month, day)
    else:
        layout = 1 if year is not None else 5
        numbers = (np.zeros_like(day) if year is None else year, month, day)
    second, right = _time_of_day(number, has, groups, len(day))
    fields.layout[out] = np.where(right, layout, 0)
    fields.a[out], fields.b[out], fields.c[out] = numbers
    fields.second[out] = second
    if has("utc"):
        fields.zone[out] = 0.0
    elif has("zs"):
        minutes = number("zm") if has("zm") else 0
        fields.zone[out] = (-1 if groups["zs"] == "-" else 1) * (number("zh") * 3600.0 + minutes * 60.0)


def _time_of_day(
    number: Callable[[str], NDArray[np.int32]], has: Callable[[str], bool], groups: dict[str, str | None], count: int
) -> tuple[Floats, NDArray[np.bool_]]:
    """Time of day [s], and where it can be."""
    hour = number("H") if has("H") else np.zeros(count, np.int32)
    minute = number("M") if has("M") else np.zeros(count, np.int32)
    whole = number("S") if has("S") else np.zeros(count, np.int32)
    right = (minute < 60) & (whole < 60)
    if has("p"):
        right &= (hour >= 1) & (hour <= 12)
        hour = hour % 12 + (12 if str(groups["p"]).casefold() == "p" else 0)
    second: Floats = hour * 3600.0 + minute * 60.0 + whole
    if has("f"):
        digits = len(str(groups["f"]))
        # Nine digits still are a 32-bit number.
        second = np.asarray(second + number("f") / 10.0**digits, dtype=np.float64)
    return second, right & (second <= 86400.0)
