"""Text files with a comma, a semicolon or a tab between cells.

The quick way reads whole columns as numbers. Where that fails, or something does not fit, lines are looked at one by one
in numpy and the columns are read as texts, so that every cell that is set aside is counted with its row.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from airside.errors import FileError
from airside.visit.logs.log_schema import FileSettings
from airside.visit.logs.logger_table import EMPTY, TEXT, Column, LoggerTable, column_from_texts, set_aside_numbers
from airside.visit.logs.sound_lines import sound_lines
from airside.visit.logs.text_columns import has_arrow, parsed_columns
from airside.visit.logs.text_head import COMMA_NUMBER, Head, as_utf8, read_head, split
from airside.visit.logs.time_format import Texts
from airside.visit.logs.time_stamps import read_stamps


def read_delimited(
    raw: bytes,
    wanted: Sequence[str | int],
    settings: FileSettings,
    file: str,
    words: frozenset[str | int] = frozenset(),
) -> LoggerTable:
    """Read a text file.

    Parameters
    ----------
    raw : bytes
        The file as it is.
    wanted : sequence of str or int
        Headings, or numbers from 1, of the columns to read.
    settings : FileSettings
    file : str
        Name for sentences.
    words : frozenset
        Those of `wanted` that may hold words.

    Raises
    ------
    FileError
        With a sentence for whatever cannot be read.
    """
    text, note = as_utf8(raw, settings.encoding, file)
    del raw
    if b"\r" in text:
        if b"\n" not in text:
            text = text.replace(b"\r", b"\n")
        elif text.count(b"\r") != text.count(b"\r\n"):
            # One alone in a row is no end of it; parsers differ on that.
            text = text.replace(b"\r\n", b"\n").replace(b"\r", b" ")
    head = read_head(text, wanted, settings, file, words)
    # pandas fills a short row up without a word, so that quoted cells are looked at before.
    body, numbers, odd = sound_lines(text, head, look_closely=not has_arrow())
    if numbers is not None and not len(numbers):
        raise FileError(file, "holds no row of readings that can be read.")
    cells, columns = _columns(body, head, settings)
    if cells is None:
        body, numbers, odd = sound_lines(text, head, look_closely=True)
        cells, columns = _columns(body, head, settings)
        if cells is None:
            raise FileError(file, "has quotation marks that do not close, so that its rows cannot be told apart.")
    n = len(cells)
    if n == 0:
        raise FileError(file, "holds no row of readings that can be read.")
    lines = np.arange(n, dtype=np.int64) + head.first_line + 1 if numbers is None else numbers
    if len(lines) != n:
        raise FileError(file, "has quotation marks that do not close, so that its rows cannot be told apart.")
    stamps = read_stamps(
        cells, settings.stamps, lambda r: f"row {lines[r]}", lambda r: _stamp(text, int(lines[r]), head), file
    )
    notes = [n for n in (note, stamps.note) if n]
    unread = {int(r): _stamp(text, int(lines[r]), head) for r in np.flatnonzero(np.isnan(stamps.time))[:3]}
    return LoggerTable(
        file, head.headings, head.units, lines, stamps.time, stamps.utc, columns, head.index, odd, notes, unread
    )


def _stamp(text: bytes, line: int, head: Head) -> str:
    """What stands in the time columns of a line; for sentences alone, because it looks through the text."""
    place = 0
    for _ in range(line - 1):
        place = text.index(b"\n", place) + 1
    end = text.find(b"\n", place)
    cells = split(text[place : end if end >= 0 else len(text)].decode("utf-8", "replace").rstrip("\r"), head.delimiter)
    return " ".join(cells[i] for i in head.time if i < len(cells))


def _columns(body: bytes | memoryview, head: Head, settings: FileSettings) -> tuple[Texts | None, dict[int, Column]]:
    """The time column as texts, and the other columns; None where the rows cannot be told apart."""
    wanted = sorted(set(head.index.values()))
    try:
        try:
            cells, held, sure = parsed_columns(body, head, wanted, True)
        except ValueError:
            cells, held, sure = parsed_columns(body, head, wanted, False)
        # Empty, or a text such as "NAN" that reads as a number: the texts say which.
        unsure = [i for i, v in held.items() if v.dtype != object and i not in sure and not np.isfinite(v).all()]
        if unsure:
            held |= parsed_columns(body, head, unsure, None)[1]
    except ValueError:
        return None, {}
    columns: dict[int, Column] = {}
    texts: dict[int, NDArray[np.object_]] = {}
    for index in wanted:
        values = held.pop(index)
        if values.dtype == object:
            texts[index] = values
            continue
        columns[index] = Column(values)
        empty = np.flatnonzero(np.isnan(values))
        if len(empty):
            columns[index].reasons[EMPTY] = empty
        set_aside_numbers(columns[index], settings.no_value)
    read = {i: column_from_texts(t, settings.no_value, head.decimal) for i, t in texts.items()}
    if settings.decimal is None and head.decimal == "." and _has_commas(read, texts):
        whole = all((c.numbers[np.isfinite(c.numbers)] % 1 == 0).all() for c in (*read.values(), *columns.values()))
        if whole:
            # The first rows had whole numbers alone, so that the decimal sign was not seen there.
            read = {i: column_from_texts(t, settings.no_value, ",") for i, t in texts.items()}
    for index, column in read.items():
        column.words = texts[index]
    return cells, columns | read


def _has_commas(columns: Mapping[int, Column], texts: Mapping[int, NDArray[np.object_]]) -> bool:
    """Whether what is no number with a decimal point is one with a decimal comma."""
    odd = ((texts[i][r] for r in c.reasons.get(TEXT, ())) for i, c in columns.items())
    return any(COMMA_NUMBER.match(str(cell).strip()) for cells in odd for cell in cells)
