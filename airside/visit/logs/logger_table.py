"""What every kind of logger file is read into: times and columns row by row, and what could not be read."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import FileError
from airside.visit.logs.log import Floats
from airside.visit.logs.time_format import look
from airside.visit.logs.time_stamps import number_kind
from airside.visit.problems import nearest
from airside.visit.quantities import found

Rows = NDArray[np.intp]
EMPTY = "empty cell"
TEXT = "text in a number column"
_UNIT_IN_HEADING = re.compile(r"^(?P<name>.*?)\s*(?:\[(?P<a>[^\[\]]*)\]|\((?P<b>[^()]*)\)|,\s*(?P<c>[^,]+))\s*$")
_TIME_WORD = re.compile(r"time|date|stamp|epoch", re.IGNORECASE)
# Rows that are looked at to find the time column.
SAMPLE = 20


@dataclass
class Column:
    """One column of a logger file.

    Attributes
    ----------
    numbers : array of float64, shape (n,)
        NaN where there is no number [unit of the file].
    reasons : dict of str to array of int
        Rows without a number, by reason.
    texts : dict of int to str
        What stood in some of these rows, for samples.
    words : array of object or None, shape (n,)
        The column as texts, where they are wanted.
    """

    numbers: Floats
    reasons: dict[str, Rows] = field(default_factory=dict)
    texts: dict[int, str] = field(default_factory=dict)
    words: NDArray[np.object_] | None = None


@dataclass
class LoggerTable:
    """A logger file as it was read.

    Attributes
    ----------
    file : str
        Name for sentences.
    headings : tuple of str
        Empty where the file has none.
    units : mapping of int to tuple of str
        What stands in the rows between headings and readings, by column.
    row_numbers : array of int, shape (n,)
        Row of the file, as an editor counts them.
    time : array of float64, shape (n,)
        NaN where the stamp cannot be read [s].
    utc : bool
        Whether stamps say how far they are from UTC.
    columns : dict of int to Column
        By index.
    index : mapping of (str or int) to int
        Which column is meant by what the visit file says.
    odd_rows : dict of str to list of (int, str)
        Rows that gave nothing at all, by reason: their number and their text.
    notes : list of str
        What was found out, as sentences.
    time_texts : dict of int to str
        What stood as time in the first few rows whose time cannot be read.
    """

    file: str
    headings: tuple[str, ...]
    units: Mapping[int, tuple[str, ...]]
    row_numbers: NDArray[np.int64]
    time: Floats
    utc: bool
    columns: dict[int, Column]
    index: Mapping[str | int, int]
    odd_rows: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    time_texts: dict[int, str] = field(default_factory=dict)


def split_heading(heading: str) -> tuple[str, str]:
    """A heading without its unit, and the unit as it stands in brackets or after the last comma; empty if none."""
    match = _UNIT_IN_HEADING.match(heading)
    if match is None:
        return heading.strip(), ""
    return match["name"].strip(), next(g for g in (match["a"], match["b"], match["c"]) if g is not None).strip()


def matches(name: str, headings: Sequence[str]) -> list[int]:
    """Columns that a name may mean: by the whole heading, else by the heading without unit, else in any case."""
    wanted = name.strip()
    exact = [i for i, h in enumerate(headings) if h.strip() == wanted]
    bare = [i for i, h in enumerate(headings) if split_heading(h)[0] == wanted]
    loose = [
        i for i, h in enumerate(headings) if wanted.casefold() in (h.strip().casefold(), split_heading(h)[0].casefold())
    ]
    return exact or bare or loose


def column_index(name: str | int, headings: Sequence[str], count: int, file: str, row: str) -> int:
    """Index of the column that a visit file names.

    Raises
    ------
    FileError
        There is none, or several.
    """
    if isinstance(name, int):
        if name > count:
            raise FileError(
                file, f"found {count} columns; expected at least {name}, as the visit file asks for column {name}."
            )
        return name - 1
    hits = matches(name, headings)
    if not hits:
        shown = [h for h in headings if h.strip()]
        most = [*shown[:30], *([f"… ({len(shown)} in all)"] if len(shown) > 30 else [])]
        raise FileError(file, f"{row}: found no column {found(name)}.{nearest(name, most)}")
    if len(hits) > 1:
        places = " and ".join(str(i + 1) for i in hits)
        raise FileError(
            file, f"{row}: found the heading {found(name)} in columns {places}; expected it once. "
            f"Name the column by its number, such as {hits[0] + 1}.",
        )  # fmt: skip
    return hits[0]


def time_columns(
    rows: Sequence[Sequence[Any]], headings: Sequence[str], taken: set[int], written: Callable[[str], bool] | None,
    file: str, classify: Callable[[Any], str | None] = lambda cell: look(str(cell)), *, days: bool = False,
) -> tuple[int, ...]:  # fmt: skip
    """Which column, or which two, hold the time.

    Parameters
    ----------
    rows : sequence of sequence
        Some rows of readings.
    headings : sequence of str
    taken : set of int
        Columns that hold something else.
    written : callable or None
        Whether a cell is written as the time format says; None where there is no format.
    file : str
    classify : callable
        Says of a cell whether it is a ``"stamp"``, a ``"date"`` or a ``"time"``.
    days : bool
        Whether numbers may be a workbook's days.

    Raises
    ------
    FileError
        There is none, or several.
    """
    kinds: dict[str, list[int]] = {"stamp": [], "date": [], "time": []}
    count = max((len(r) for r in rows), default=0)
    for column in range(count):
        cells = [r[column] for r in rows if column < len(r) and str(r[column] if r[column] is not None else "").strip()]
        if column in taken or not cells:
            continue
        named = column < len(headings) and _TIME_WORD.search(headings[column]) is not None
        if written is not None:
            if sum(written(str(c).strip()) for c in cells) * 2 > len(cells):
                kinds["stamp"].append(column)
            continue
        looks = [classify(c) for c in cells]
        kind = max(set(looks), key=looks.count)
        number = _numeric(cells)
        if number is not None and (kind is None or not named):
            # A bare number is a time only by its size, in a column that says so.
            kind = "stamp" if named and number_kind(number, days=days) else None
        if kind is not None:
            kinds[kind].append(column)
    for kind in ("stamp", "date"):
        if len(kinds[kind]) > 1:
            listed = ", ".join(found(headings[c]) if c < len(headings) else f"column {c + 1}" for c in kinds[kind])
            raise FileError(file, f"found several columns that hold a time: {listed}. Name one by time = ... in [log].")
    if kinds["stamp"]:
        return (kinds["stamp"][0],)
    if kinds["date"]:
        return (kinds["date"][0], *kinds["time"][:1])
    shown = ", ".join(h for h in headings[:30] if h.strip())
    raise FileError(
        file, f"found no column that holds date and time{f' (headings: {shown})' if shown else ''}. Name it by "
        'time = "HEADING" in [log], and say by time_format how it is written.',
    )  # fmt: skip


def _numeric(cells: Sequence[Any]) -> Floats | None:
    try:
        return np.array([float(c) for c in cells])
    except (TypeError, ValueError):
        return None


def column_from_texts(cells: NDArray[np.object_], no_value: Sequence[str], decimal: str) -> Column:
    """Numbers of texts; what is none is counted by reason.

    Parameters
    ----------
    cells : array of object, shape (n,)
        Texts.
    no_value : sequence of str
        Texts that stand for "no value".
    decimal : "." or ","
    """
    from pandas import Series, to_numeric

    texts = Series(cells, dtype=object)
    if decimal == ",":
        # A point would be between thousands; then the cell is no number.
        pointed = texts.str.contains(".", regex=False)
        texts = texts.str.replace(",", ".", regex=False).mask(pointed.to_numpy(dtype=bool), "text")
    numbers = np.array(to_numeric(texts, errors="coerce"), dtype=np.float64)
    numbers[~np.isfinite(numbers)] = np.nan
    column = Column(numbers)
    odd = np.flatnonzero(np.isnan(numbers))
    by_reason: dict[str, list[int]] = {}
    known = {t.casefold(): t for t in no_value}
    for row in odd:
        text = str(cells[row]).strip()
        reason = EMPTY if not text else f'no value "{known[text.casefold()]}"' if text.casefold() in known else TEXT
        rows = by_reason.setdefault(reason, [])
        rows.append(int(row))
        if reason == TEXT and len(rows) <= 3:
            column.texts[int(row)] = text
    column.reasons = {reason: np.array(rows, dtype=np.intp) for reason, rows in by_reason.items()}
    set_aside_numbers(column, no_value)
    return column


def set_aside_numbers(column: Column, no_value: Sequence[str]) -> None:
    """Take out the numbers that stand for "no value", and count them."""
    for text in no_value:
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            continue
        rows = np.flatnonzero(column.numbers == number)
        if len(rows):
            column.reasons[f'no value "{text}"'] = rows
            # What comes from pyarrow may be its own memory.
            if not column.numbers.flags.writeable:
                column.numbers = column.numbers.copy()
            column.numbers[rows] = np.nan
