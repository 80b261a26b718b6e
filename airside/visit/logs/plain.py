"""The quick way through a plain text file: piece by piece from the disk into arrays.

Plain is a file of rows of one size, of numbers and empty cells, with times as ISO 8601 writes them (2026-07-01 13:30:00),
without quotation marks and comments. Anything else goes the long way of `airside.visit.logs.delimited`, which says what it
found; both give the same numbers. Pieces are small, because memory that is touched for the first time takes long.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from airside.visit.logs.iso_stamps import is_iso, iso_seconds
from airside.visit.logs.log import Floats
from airside.visit.logs.log_schema import FileSettings
from airside.visit.logs.logger_table import EMPTY, Column, LoggerTable, set_aside_numbers
from airside.visit.logs.sound_lines import first_byte
from airside.visit.logs.text_columns import has_arrow
from airside.visit.logs.text_head import COMMENT, HEAD, Head, read_head, split
from airside.visit.logs.time_format import Texts

PIECE = 1 << 18
# Times of several pieces are read together.
PIECES_AT_ONCE = 8
# With one of these, more than a cell can be wrong.
NOT_PLAIN = (b'"', COMMENT.encode(), b"\0")
MARK = b"\xef\xbb\xbf"


def read_plain(
    path: Path, wanted: Sequence[str | int], settings: FileSettings, file: str, words: frozenset[str | int]
) -> LoggerTable | None:
    """Read a plain text file; None where it is not plain, or cannot be read at all.

    Parameters
    ----------
    path : Path
    wanted, settings, file, words
        As `delimited.read_delimited`.

    Raises
    ------
    FileError
        The beginning of the file is not what the visit file says.
    """
    if not has_arrow() or settings.time_format is not None or settings.encoding not in (None, "utf-8"):
        return None
    try:
        with path.open("rb", buffering=0) as stream:
            text = stream.read(HEAD + len(MARK) + 1)
            marked = len(MARK) if text.startswith(MARK) else 0
            text = text[marked:]
            if not _is_text(text):
                return None
            head = read_head(text, wanted, settings, file, words)
            start = first_byte(text, head.first_line)
            stamp = _stamp(text[start:], head)
            if not is_iso(stamp):
                return None
            stream.seek(start + marked)
            size = path.stat().st_size - start - marked
            return _table(_Pieces(stream), size, head, len(stamp), settings, file)
    except (OSError, ValueError):
        return None


def _is_text(text: bytes) -> bool:
    """Whether whole lines are UTF-8 without zero bytes or returns alone."""
    whole = text[: text.rfind(b"\n") + 1]
    try:
        whole.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return bool(whole) and b"\0" not in text and whole.count(b"\r") == whole.count(b"\r\n")


def _stamp(rows: bytes, head: Head) -> str:
    """The time in the first row; empty where it stands in several cells, or is also something else."""
    cells = split(rows[: rows.find(b"\n")].decode("utf-8", "replace").rstrip("\r"), head.delimiter)
    if len(head.time) != 1 or head.time[0] in head.index.values() or len(cells) != head.cells:
        return ""
    return cells[head.time[0]]


class _Pieces(io.RawIOBase):
    """A file that ends early where it is not plain."""

    def __init__(self, stream: BinaryIO | io.FileIO) -> None:
        self.stream, self.is_plain, self.after_return = stream, True, False

    def readable(self) -> bool:
        return True

    def read(self, size: int = -1) -> bytes:
        piece = self.stream.read(size) or b""
        # A return may be the last sign of one piece and its line's end the first of the next.
        alone = piece.count(b"\r") - piece.count(b"\r\n") - piece.endswith(b"\r") if b"\r" in piece else 0
        broken = self.after_return and not piece.startswith(b"\n")
        self.after_return = piece.endswith(b"\r")
        if alone or broken or not piece.isascii() or any(sign in piece for sign in NOT_PLAIN):
            self.is_plain = False
        return piece if self.is_plain else b""


def _table(pieces: _Pieces, size: int, head: Head, width: int, settings: FileSettings, file: str) -> LoggerTable | None:
    import pyarrow
    from pyarrow import csv

    names = [f"c{i}" for i in range(head.cells)]
    columns = sorted(set(head.index.values()))
    own = [head.time[0], *columns]
    # pyarrow refuses a time of another width, as of a row that was cut off.
    kinds = {names[i]: pyarrow.float64() for i in columns} | {names[head.time[0]]: pyarrow.binary(width)}
    reader = csv.open_csv(
        pyarrow.PythonFile(pieces, mode="r"),
        read_options=csv.ReadOptions(column_names=names, block_size=PIECE, use_threads=False),
        parse_options=csv.ParseOptions(delimiter=head.delimiter, quote_char=False, ignore_empty_lines=False),
        convert_options=csv.ConvertOptions(
            include_columns=[names[i] for i in own], column_types=kinds, null_values=[""], decimal_point=head.decimal,
            check_utf8=False,
        ),
        memory_pool=pyarrow.system_memory_pool(),
    )  # fmt: skip
    held = _Arrays(len(own), size)
    for batch in reader:
        if not held.add(batch):
            return None
    arrays = held.arrays()
    if not pieces.is_plain or arrays is None:
        return None
    time, *values = arrays
    empty = held.empty[1:]
    found = {i: _column(v, e, settings) for i, v, e in zip(columns, values, empty, strict=True)}
    numbers = np.arange(head.first_line + 1, head.first_line + 1 + len(time), dtype=np.int64)
    return LoggerTable(file, head.headings, head.units, numbers, time, False, found, head.index)


class _Arrays:
    """Columns that grow, piece by piece."""

    def __init__(self, columns: int, size: int) -> None:
        self.size, self.count, self.empty = size, 0, [0] * columns
        self.held, self.texts = np.empty((columns, 0)), list[Texts]()

    def add(self, batch: Any) -> bool:
        """Take the rows of one piece; False where a time is missing, or written otherwise than the first one."""
        rows, end = len(batch), self.count + len(batch)
        if end > self.held.shape[1]:
            # As many rows as there will be at the size of the first ones, and some more; unused memory costs nothing.
            room = 2 * end if self.count else int(1.1 * rows * max(1.0, self.size / PIECE)) + rows
            larger = np.empty((len(self.held), room))
            larger[:, : self.count] = self.held[:, : self.count]
            self.held = larger
        time, *columns = batch.columns
        if time.null_count:
            return False
        width = time.type.byte_width
        texts = np.frombuffer(time.buffers()[1], np.uint8, rows * width, time.offset * width)
        self.texts.append(texts.reshape(rows, width))
        for i, column in enumerate(columns, 1):
            empty, place = column.null_count, self.held[i, self.count : end]
            if empty:
                place[:] = column.to_numpy(zero_copy_only=False)
                self.empty[i] += empty
            else:
                place[:] = np.frombuffer(column.buffers()[1], np.float64, rows, 8 * column.offset)
        self.count = end
        return len(self.texts) < PIECES_AT_ONCE or self._read_times()

    def _read_times(self) -> bool:
        """Read the times that wait; False where one is written otherwise, or is no time."""
        texts = np.concatenate(self.texts)
        seconds = iso_seconds(texts)
        self.texts.clear()
        if seconds is None:
            return False
        self.held[0, self.count - len(texts) : self.count] = seconds
        return True

    def arrays(self) -> list[Floats] | None:
        """What is filled of each; None where a cell is no number and not empty, such as "nan", or is no time."""
        if not self.count or (self.texts and not self._read_times()):
            return None
        found = [a[: self.count] for a in self.held]
        is_sound = (np.count_nonzero(np.isfinite(a)) == self.count - e for a, e in zip(found, self.empty, strict=True))
        return found if all(is_sound) else None


def _column(values: Floats, empty: int, settings: FileSettings) -> Column:
    column = Column(values)
    if empty:
        column.reasons[EMPTY] = np.flatnonzero(np.isnan(values))
    set_aside_numbers(column, settings.no_value)
    return column
