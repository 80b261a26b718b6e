"""Workbooks (`.xlsx`): the sheet that has the columns, its headings and its rows."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

import numpy as np

from airside.errors import FileError
from airside.visit.logs.log_schema import FileSettings
from airside.visit.logs.logger_table import SAMPLE, LoggerTable, column_index, matches, time_columns
from airside.visit.logs.typed_cells import cell_column, cell_stamps, classify, is_reading
from airside.visit.quantities import found

# Rows in which headings are looked for.
MOST_ROWS = 200


def read_workbook(
    raw: bytes,
    wanted: Sequence[str | int],
    settings: FileSettings,
    file: str,
    words: frozenset[str | int] = frozenset(),
) -> LoggerTable:
    """Read a sheet of a workbook.

    Parameters
    ----------
    raw, wanted, settings, file, words
        As `delimited.read_delimited`.

    Raises
    ------
    FileError
        openpyxl is not installed, or with a sentence for whatever cannot be read.
    """
    try:
        import openpyxl
    except ImportError:
        raise FileError(
            file, 'needs openpyxl to be read: pip install "airside[logs]", or save the sheet as CSV.'
        ) from None
    try:
        book = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
    except Exception as error:  # zip, XML and openpyxl's own kinds
        raise FileError(
            file, f"is not a workbook that can be read ({type(error).__name__}). Save it again as .xlsx, or as CSV."
        ) from None
    try:
        rows, at = _sheet(book, wanted, settings, file)
    finally:
        book.close()
    headings = tuple("" if c is None else str(c).strip() for c in rows[at]) if at is not None else ()
    first = 0 if at is None else at + 1
    units: dict[int, list[str]] = {}
    while first < len(rows) and not is_reading(rows[first]):
        for i, cell in enumerate(rows[first]):
            if cell is not None and str(cell).strip():
                units.setdefault(i, []).append(str(cell).strip())
        first += 1
    data = rows[first:]
    if not data:
        raise FileError(file, "found headings but no row of readings after them.")
    width = max(len(r) for r in data)
    place = f"row {at + 1}" if at is not None else "row 1"
    index = {name: column_index(name, headings, width, file, place) for name in wanted}
    if settings.time is not None:
        times = tuple(column_index(name, headings, width, file, place) for name in settings.time)
    else:
        times = time_columns(data[:SAMPLE], headings, set(index.values()), None, file, classify, days=True)
    numbers = np.arange(len(data), dtype=np.int64) + first + 1
    needed = {*times, *index.values()}
    filled = np.array([any(i < len(r) and r[i] is not None for i in needed) for r in data])
    last = int(np.flatnonzero(filled)[-1]) + 1 if filled.any() else 0
    odd = {"empty row": [(int(numbers[i]), "") for i in np.flatnonzero(~filled[:last])]}
    data, numbers = [r for r, f in zip(data, filled, strict=True) if f], numbers[filled]
    columns = {i: [r[i] if i < len(r) else None for r in data] for i in needed}
    stamps = cell_stamps([columns[i] for i in times], settings, numbers, file)
    worded = {i for name, i in index.items() if name in words}
    read = {i: cell_column(columns[i], settings, i in worded) for i in set(index.values())}
    unread = {
        int(r): " ".join("" if columns[i][r] is None else str(columns[i][r]) for i in times)
        for r in np.flatnonzero(np.isnan(stamps.time))[:3]
    }
    return LoggerTable(
        file, headings, {i: tuple(t) for i, t in units.items()}, numbers, stamps.time, stamps.utc, read, index,
        {k: v for k, v in odd.items() if v}, [stamps.note] if stamps.note else [], unread,
    )  # fmt: skip


def _sheet(
    book: Any, wanted: Sequence[str | int], settings: FileSettings, file: str
) -> tuple[list[tuple[Any, ...]], int | None]:
    """Rows of the sheet that has the columns, and which of them holds the headings."""
    names = [n for n in (*wanted, *(settings.time or ())) if isinstance(n, str)]
    sheets = [s for s in book.sheetnames if hasattr(book[s], "iter_rows")]
    if settings.sheet is not None and settings.sheet not in sheets:
        raise FileError(file, f"found no sheet {found(settings.sheet)}; there are: {', '.join(sheets)}.")
    hits: list[tuple[str, int | None]] = []
    best: tuple[str, int, int, tuple[str, ...]] = ("", 0, -1, ())
    for sheet in [settings.sheet] if settings.sheet is not None else sheets:
        for i, row in enumerate(book[sheet].iter_rows(values_only=True, max_row=MOST_ROWS)):
            if settings.heading_line not in (None, i + 1) and settings.heading_line != 0:
                continue
            cells = ["" if c is None else str(c) for c in row]
            count = sum(bool(matches(n, cells)) for n in names)
            if count == len(names) and (names or is_reading(row)):
                hits.append((sheet, i if names else None))
                break
            if count > best[2]:
                best = (sheet, i, count, tuple(cells))
    if len({s for s, _ in hits}) > 1:
        listed = ", ".join(found(s) for s, _ in hits)
        raise FileError(file, f"found the columns in several sheets: {listed}. Name one by sheet in [log].")
    if not hits:
        where = f'sheet "{best[0]}", row {best[1] + 1}'
        for name in names:
            column_index(name, best[3], len(best[3]), file, where)
        raise FileError(file, "found no sheet with rows of readings.")
    sheet, at = hits[0]
    # Rows as they stand; openpyxl gives each as a tuple.
    return list(book[sheet].iter_rows(values_only=True)), at
