"""Cells that already are numbers, dates or texts, as workbooks and Parquet files hold them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import FileError
from airside.visit.logs.log_schema import FileSettings
from airside.visit.logs.logger_table import Column, column_from_texts, set_aside_numbers
from airside.visit.logs.time_format import as_texts, look
from airside.visit.logs.time_stamps import MOST_UNREADABLE, Stamps, number_kind, number_stamps, read_stamps
from airside.visit.quantities import found

EPOCH = datetime(1970, 1, 1)


def is_reading(row: Sequence[Any]) -> bool:
    """Whether a row holds a time beside something else, or two numbers."""
    cells = [c for c in row if c is not None]
    numbers = sum(isinstance(c, (int, float)) and not isinstance(c, bool) for c in cells)
    times = any(classify(c) for c in cells)
    return (times and len(cells) > 1) or numbers > 1


def classify(cell: Any) -> str | None:
    """Whether a cell is a ``"stamp"``, a ``"date"`` or a ``"time"``."""
    if isinstance(cell, datetime):
        return "date" if cell.time() == time(0) else "stamp"
    if isinstance(cell, date):
        return "date"
    if isinstance(cell, (time, timedelta)):
        return "time"
    return look(cell) if isinstance(cell, str) else None


def _seconds(cell: Any) -> float:
    """A cell of a date, a time or both as seconds; NaN for another."""
    if isinstance(cell, datetime):
        if cell.tzinfo is not None:
            cell = cell.astimezone(UTC).replace(tzinfo=None)
        # A workbook holds days; a millisecond is what is left of a second.
        return float(round((cell - EPOCH).total_seconds(), 3))
    if isinstance(cell, date):
        return (datetime(cell.year, cell.month, cell.day) - EPOCH).total_seconds()
    if isinstance(cell, time):
        return cell.hour * 3600.0 + cell.minute * 60.0 + cell.second + round(cell.microsecond / 1e6, 3)
    return cell.total_seconds() if isinstance(cell, timedelta) else float("nan")


def cell_stamps(columns: list[list[Any]], settings: FileSettings, numbers: NDArray[np.int64], file: str) -> Stamps:
    """Times of one column of cells, or of two.

    Parameters
    ----------
    columns : list of list
        Cells of any kind.
    settings : FileSettings
    numbers : array of int
        Number of each row in the file.
    file : str
        Name for sentences.

    Raises
    ------
    FileError
        They cannot be read.
    """

    def where(row: int) -> str:
        return f"row {numbers[row]}"

    def text(row: int) -> str:
        return " ".join("" if c[row] is None else str(c[row]) for c in columns)

    days = [np.array([_seconds(c) for c in column]) for column in columns]
    if len(columns) == 2 and not np.isnan(days[0]).all():
        clock = days[1]
        if np.isnan(clock).all():
            # The time of day is text or a fraction of a day.
            clock = np.array([_clock(c) for c in columns[1]])
        return judged(Stamps(days[0] + clock, False), where, text, file)
    if not np.isnan(days[0]).all():
        return judged(Stamps(days[0], False), where, text, file)
    bare = np.array(
        [float(c) if isinstance(c, (int, float)) and not isinstance(c, bool) else np.nan for c in columns[0]]
    )
    usable = bare[np.isfinite(bare)]
    if len(usable) * 2 > len(bare):
        stated = settings.stamps
        if stated.time_format is None and number_kind(usable, days=True) == "workbook days":
            stated = replace(stated, time_format="workbook days")
        return number_stamps(bare, stated, where, text, file)
    texts = as_texts([text(r) for r in range(len(columns[0]))])
    return read_stamps(texts, settings.stamps, where, text, file)


def _clock(cell: Any) -> float:
    if isinstance(cell, (int, float)) and not isinstance(cell, bool) and 0 <= cell <= 1:
        return round(cell * 86400.0, 3)
    if isinstance(cell, str) and look(cell) == "time":
        stamp = read_stamps(as_texts([f"1970-01-01 {cell.strip()}"]), FileSettings().stamps, str, str, "")
        return float(stamp.time[0])
    return np.nan


def judged(stamps: Stamps, where: Callable[[int], str], text: Callable[[int], str], file: str) -> Stamps:
    """The stamps, if few enough of them cannot be read.

    Raises
    ------
    FileError
        Too many cannot.
    """
    bad = np.flatnonzero(np.isnan(stamps.time))
    if len(bad) > MOST_UNREADABLE * len(stamps.time):
        row = int(bad[0])
        raise FileError(file, f"{where(row)}: found {found(text(row))} as time; expected a cell that the workbook holds "
                        f"as date and time. {len(bad):,} of {len(stamps.time):,} rows are so.")  # fmt: skip
    return stamps


def cell_column(cells: Sequence[Any], settings: FileSettings, words: bool) -> Column:
    """Numbers of cells of any kind."""
    numbers = np.array([float(c) if isinstance(c, (int, float)) and not isinstance(c, bool) else np.nan for c in cells])
    others = np.flatnonzero(~np.isfinite(numbers))
    numbers[others] = np.nan
    column = Column(numbers)
    if len(others):
        texts = np.array(["" if cells[i] is None else str(cells[i]) for i in others.tolist()], dtype=np.object_)
        read = column_from_texts(texts, settings.no_value, settings.decimal or ".")
        column.numbers[others] = read.numbers
        column.reasons = {reason: others[rows] for reason, rows in read.reasons.items()}
        column.texts = {int(others[row]): text for row, text in read.texts.items()}
    set_aside_numbers(column, settings.no_value)
    if words and len(others):
        column.words = np.array(["" if c is None else str(c) for c in cells], dtype=object)
    return column
