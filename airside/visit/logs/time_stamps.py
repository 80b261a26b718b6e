"""Time stamps of a logger file as seconds: which number is the day, which year, midnight as 24:00.

Nothing is guessed: where the order of day and month changes the time, and no row of the file settles it, the user
is asked.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import FileError
from airside.visit.logs.log import Floats
from airside.visit.logs.time_format import Fields, Texts, format_pattern, stamp_fields
from airside.visit.quantities import found

ORDERS = ("day month year", "month day year", "year month day")
# Above this share of unreadable stamps the file is something else than it was taken for; common practice, no source.
MOST_UNREADABLE = 0.05
# A month that jumps by more than half a year belongs to the next year, or to the one before.
HALF_A_YEAR = 6
# Days from 1899-12-30, the zero of a workbook's days, to 1970-01-01.
WORKBOOK_DAYS = 25569
# Days and seconds that a bare number is taken for: 1954 to 2119 as a workbook's days, 2001 to 2065 as seconds.
WORKBOOK_RANGE = (20_000.0, 80_000.0)
EPOCH_RANGE = (1.0e9, 3.0e9)
NUMBER_FORMATS = {"epoch": 1.0, "epoch milliseconds": 1e-3, "workbook days": 86400.0}


@dataclass(frozen=True)
class StampSettings:
    """What the visit file says of the stamps."""

    time_format: str | None = None
    date_order: str | None = None
    year: int | None = None


@dataclass(frozen=True)
class Stamps:
    """Times of the rows.

    Attributes
    ----------
    time : array of float64
        NaN where the stamp cannot be read [s since 1970-01-01 of the file's clock, or of UTC].
    utc : bool
        Whether the stamps themselves say how far they are from UTC.
    note : str
        What the rows themselves settled; empty if nothing.
    """

    time: Floats
    utc: bool
    note: str = ""


def read_stamps(
    texts: Texts, settings: StampSettings, where: Callable[[int], str], text: Callable[[int], str], file: str
) -> Stamps:
    """Times of texts.

    Parameters
    ----------
    texts : array of uint8, shape (n, width)
        From `time_format.as_texts`.
    settings : StampSettings
    where, text : callable
        Give the place of a row (``row 17``), and what stands in it, for sentences.
    file : str
        Name for sentences.

    Raises
    ------
    FileError
        The order of day and month, or the year, cannot be told; or stamps cannot be read.
    """
    pattern = None
    if settings.time_format is not None:
        if settings.time_format in NUMBER_FORMATS:
            return number_stamps(_numbers(texts), settings, where, text, file)
        pattern = checked_format(settings.time_format, file)
    fields = stamp_fields(texts, pattern)
    readable = fields.layout > 0
    if settings.time_format is None and not readable.any():
        numbers = _numbers(texts)
        if number_kind(numbers[np.isfinite(numbers)]) is not None:
            return number_stamps(numbers, settings, where, text, file)
    if readable.any() and not readable.all() and (~readable).sum() > MOST_UNREADABLE * len(texts):
        _refuse(int(np.flatnonzero(~readable)[0]), int((~readable).sum()), len(texts), settings, where, text, file)
    if not readable.any():
        _refuse(0, len(texts), len(texts), settings, where, text, file)
    order, note = _order(fields, settings, where, text, file)
    year, month, day = _dates(fields, order, settings, where, text, file)
    time = _seconds(fields, year, month, day)
    wrong = readable & np.isnan(time)
    if wrong.sum() > MOST_UNREADABLE * len(texts):
        row = int(np.flatnonzero(wrong)[0])
        hint = ""
        if month[row] == 2 and day[row] == 29:
            hint = f" The year {year[row]} has no 29 February; is the year right?"
        raise FileError(file, (
            f"{where(row)}: found {found(text(row))}, a day that does not exist when read as {order or 'year month day'}.{hint} "
            f"It is so in {wrong.sum():,} of {len(texts):,} rows. Correct date_order, year or time_format in [log]."
        ))  # fmt: skip
    aware = ~np.isnan(fields.zone)
    if aware.any() and not aware[readable].all():
        row = int(np.flatnonzero(readable & ~aware)[0])
        raise FileError(file, f"{where(row)}: found {found(text(row))} without a zone, while other rows name theirs; "
                        "expected it in all rows or in none.")  # fmt: skip
    if aware.any():
        time = time - np.where(aware, fields.zone, 0.0)
    return Stamps(time, bool(aware.any()), note)


def checked_format(text: str, file: str) -> re.Pattern[str]:
    """The pattern of a time format.

    Raises
    ------
    FileError
        It is no format; with the reason.
    """
    try:
        return format_pattern(text)
    except ValueError as error:
        raise FileError(
            file,
            f"time_format = {found(text)} cannot be used: {error}. Expected codes such as "
            '"%d.%m.%Y %H:%M:%S", or "epoch", "epoch milliseconds" or "workbook days".',
        ) from None


def number_stamps(
    numbers: Floats, settings: StampSettings, where: Callable[[int], str], text: Callable[[int], str], file: str
) -> Stamps:
    """Times of bare numbers: seconds or milliseconds since 1970 (UTC), or a workbook's days (the file's clock).

    Raises
    ------
    FileError
        They are none of these.
    """
    kind = settings.time_format
    usable = numbers[np.isfinite(numbers)]
    if kind not in NUMBER_FORMATS:
        kind = number_kind(usable)
    if kind is None or not len(usable):
        odd = np.flatnonzero(np.isfinite(numbers)) if len(usable) else np.arange(1)
        _refuse(int(odd[0]), len(numbers), len(numbers), settings, where, text, file)
    assert kind is not None
    unreadable = ~np.isfinite(numbers)
    if unreadable.sum() > MOST_UNREADABLE * len(numbers):
        _refuse(int(np.flatnonzero(unreadable)[0]), int(unreadable.sum()), len(numbers), settings, where, text, file)
    if kind == "workbook days":
        # A day's fraction of sixteen digits is good to a microsecond or so; stamps are whole milliseconds.
        return Stamps(np.round((numbers - WORKBOOK_DAYS) * 86400.0, 3), False)
    return Stamps(numbers * NUMBER_FORMATS[kind], True)


def number_kind(numbers: Floats, *, days: bool = False) -> str | None:
    """What bare numbers of a time column are, if their size says it; `days` where they may be a workbook's."""
    if not len(numbers):
        return None
    low, high = float(numbers.min()), float(numbers.max())
    if days and low >= WORKBOOK_RANGE[0] and high <= WORKBOOK_RANGE[1]:
        return "workbook days"
    for kind in ("epoch", "epoch milliseconds"):
        if EPOCH_RANGE[0] <= low * NUMBER_FORMATS[kind] and high * NUMBER_FORMATS[kind] <= EPOCH_RANGE[1]:
            return kind
    return None


def _numbers(texts: Texts) -> Floats:
    from pandas import Series, to_numeric

    # pandas reads a point alone.
    cells = [bytes(row).rstrip(b"\0").decode("ascii", "replace").replace(",", ".") for row in texts]
    return np.asarray(to_numeric(Series(cells, dtype=object), errors="coerce"), dtype=np.float64)


def _refuse(
    row: int, count: int, total: int, settings: StampSettings, where: Callable[[int], str],
    text: Callable[[int], str], file: str,
) -> None:  # fmt: skip
    asked = settings.time_format
    wanted = f"a time written as time_format = {found(asked)} says" if asked else "a date and a time"
    do = "Correct time_format in [log]." if asked else (
        'Give time_format in [log], such as "%d.%m.%Y %H:%M:%S", or name the column by time.'
    )  # fmt: skip
    share = "" if count == 1 else f" {count:,} of {total:,} rows are so."
    raise FileError(file, f"{where(row)}: found {found(text(row))} as time; expected {wanted}.{share} {do}")


def _order(
    fields: Fields, settings: StampSettings, where: Callable[[int], str], text: Callable[[int], str], file: str
) -> tuple[str | None, str]:
    """In which order day, month and year stand, and a note where the rows settled it."""
    open_rows = (fields.layout >= 2) & (fields.layout <= 4)
    if not open_rows.any():
        return None, ""
    a, b, c, layout = (v[open_rows] for v in (fields.a, fields.b, fields.c, fields.layout))
    three = layout == 3

    def day(v: NDArray[Any]) -> NDArray[np.bool_]:
        return (v >= 1) & (v <= 31)

    def month(v: NDArray[Any]) -> NDArray[np.bool_]:
        return (v >= 1) & (v <= 12)

    possible = {ORDERS[0]: day(a) & month(b), ORDERS[1]: month(a) & day(b), ORDERS[2]: three & month(b) & day(c)}
    if not three.any():
        # Two numbers before a year, or without one.
        possible[ORDERS[2]] = month(a) & day(b) if (layout == 4).all() else np.zeros(len(a), bool)
    stated = settings.date_order
    if stated is not None:
        if not possible[stated].any():
            row = int(np.flatnonzero(open_rows)[0])
            raise FileError(file, f"{where(row)}: found {found(text(row))}; expected {stated}, as date_order in "
                            "[log] says. Correct date_order.")  # fmt: skip
        return stated, ""
    if (layout == 4).all():
        # Without a year, "year month day" is "month day year".
        del possible[ORDERS[2]]
    # A row that is no date in any order, such as 45/67, says nothing.
    sound = np.logical_or.reduce(list(possible.values()))
    left = [o for o, fits in possible.items() if fits[sound].all() and sound.any()]
    first = np.flatnonzero(open_rows)
    if len(left) == 1:
        others = np.logical_or.reduce([fits for o, fits in possible.items() if o != left[0]])
        settling = int(first[np.flatnonzero(sound & ~others)[0]]) if (sound & ~others).any() else int(first[0])
        # Two orders may be ruled out by different rows; then the first row that rules out one is named.
        return left[0], f"Dates are {left[0]}, as {where(settling)} ({text(settling)}) shows."
    if not left:
        row = int(first[0])
        rows = [int(first[np.flatnonzero(sound & ~fits)[0]]) for fits in possible.values() if (sound & ~fits).any()]
        shown = " and ".join(f"{found(text(r))} ({where(r)})" for r in rows[:2]) or found(text(row))
        raise FileError(file, f"found {shown}: no one order of day and month fits all rows. Give time_format or "
                        "date_order in [log]; rows that do not fit are then set aside.")  # fmt: skip
    row = int(first[0])
    choices = " or ".join(f'date_order = "{o}"' for o in left)
    raise FileError(file, f"{where(row)}: found {found(text(row))}, and no row tells which number is the day and which "
                    f"the month. Write {choices} in [log].")  # fmt: skip


def _dates(
    fields: Fields, order: str | None, settings: StampSettings, where: Callable[[int], str],
    text: Callable[[int], str], file: str,
) -> tuple[NDArray[np.int32], NDArray[np.int32], NDArray[np.int32]]:  # fmt: skip
    """Year, month and day of each row."""
    layout = fields.layout
    a, b, c = (v.astype(np.int32) for v in (fields.a, fields.b, fields.c))
    year, month, day = a, b, c
    open_rows = (layout >= 2) & (layout <= 4)
    if open_rows.any():
        day_first = order == ORDERS[0]
        year = np.where(open_rows, c, year)
        month, day = np.where(open_rows, b if day_first else a, month), np.where(open_rows, a if day_first else b, day)
        if order == ORDERS[2]:
            three = layout == 3
            year, month, day = np.where(three, a, year), np.where(three, b, month), np.where(three, c, day)
        short = layout == 3
        year = np.where(short, year + np.where(year < 69, 2000, 1900), year)
    bare = (layout == 4) | (layout == 5)
    if not bare.any():
        return year, month, day
    if settings.year is None:
        row = int(np.flatnonzero(bare)[0])
        raise FileError(file, f"{where(row)}: found {found(text(row))}, a date without a year. Write year = 2026 (that "
                        "of the first row) in [log].")  # fmt: skip
    inside = np.flatnonzero(bare & (month >= 1) & (month <= 12))
    steps = np.diff(month[inside])
    # A year ends in the file: the month falls from 12 to 1. A stray row may step back over it.
    turn = np.where(steps < -HALF_A_YEAR, 1, np.where(steps > HALF_A_YEAR, -1, 0))
    year = year.copy()
    year[bare] = settings.year
    year[inside] = settings.year + np.concatenate([[0], np.cumsum(turn)]) if len(inside) else settings.year
    return year, month, day


def _seconds(fields: Fields, year: NDArray[np.int32], month: NDArray[np.int32], day: NDArray[np.int32]) -> Floats:
    """Seconds since 1970 of the file's own clock; NaN for a day that does not exist."""
    by_day = fields.layout == 6
    has_days = bool(by_day.any())
    months = np.where(by_day, 1, month) if has_days else month
    right = (fields.layout > 0) & (months >= 1) & (months <= 12) & (day >= 1) & (day <= 31) & (year >= 1900)
    right &= year <= 2200
    if has_days:
        right &= ~by_day | ((month >= 1) & (month <= 366))
    if not right.any():
        return np.full(len(right), np.nan)
    # Few months and many rows: the first day of each month is looked up.
    number = year * 12 + (months - (1970 * 12 + 1))
    number[~right] = 0
    first = int(number.min())
    starts = np.arange(first, int(number.max()) + 2).astype("datetime64[M]").astype("datetime64[D]").astype(np.int64)
    number -= first
    right &= day <= np.diff(starts)[number]
    number_of_day = day - 1 if not has_days else np.where(by_day, month, day) - 1
    time = (starts[number] + number_of_day).astype(np.float64)
    time *= 86400.0
    time += fields.second
    time[~right] = np.nan
    return time
