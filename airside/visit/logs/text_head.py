"""The beginning of a text file: letters, delimiter, where the headings are, units under them, which column is time."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from airside.errors import FileError
from airside.visit.logs.log_schema import DELIMITERS, FileSettings
from airside.visit.logs.logger_table import SAMPLE, column_index, matches, time_columns
from airside.visit.logs.time_format import look
from airside.visit.logs.time_stamps import NUMBER_FORMATS, checked_format
from airside.visit.quantities import found

# Lines in which headings are looked for, and bytes that are looked at in all.
MOST_LINES = 200
HEAD = 1 << 18
# Lines of units and the like under the headings.
MOST_UNIT_ROWS = 6
COMMENT = "#"
_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$")
COMMA_NUMBER = re.compile(r"[+-]?\d*,\d+([eE][+-]?\d+)?$")
_POINT_NUMBER = re.compile(r"[+-]?\d*\.\d+([eE][+-]?\d+)?$")
_MARKS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe", "utf-16-le"), (b"\xfe\xff", "utf-16-be"))


@dataclass(frozen=True)
class Head:
    """Where everything is in a text file; lines and columns are counted from 0."""

    delimiter: str
    decimal: str
    headings: tuple[str, ...]
    heading_line: int | None
    units: dict[int, tuple[str, ...]]
    first_line: int
    cells: int
    index: dict[str | int, int]
    time: tuple[int, ...]
    skipped: tuple[tuple[int, str], ...]


def as_utf8(raw: bytes, encoding: str | None, file: str) -> tuple[bytes, str]:
    """The file's text in UTF-8 without a mark, and a note where its letters had to be found out.

    Raises
    ------
    FileError
        The text is not in the stated encoding.
    """
    note = ""
    mark, marked = next(((m, e) for m, e in _MARKS if raw.startswith(m)), (b"", ""))
    body = memoryview(raw)[len(mark) :]
    if encoding is None or (marked and marked.startswith(encoding)):
        used = marked or _unmarked(raw)
        if used == "utf-8" and encoding is None and not raw.isascii():
            try:
                str(body, "utf-8")
            except UnicodeDecodeError:
                used, note = "latin-1", "The text is not UTF-8; it was read as Latin-1."
    else:
        used = _unmarked(raw) if encoding == "utf-16" else encoding
        used = "utf-16-le" if used not in ("utf-16-be", "utf-16-le") and encoding == "utf-16" else used
        body = memoryview(raw)
    if used == "utf-8" or (used in ("latin-1", "cp1252") and raw.isascii()):
        if encoding == "utf-8":
            _decoded(body, "utf-8", file)
        return (raw if not mark else bytes(body)), note
    return _decoded(body, used, file).lstrip("\ufeff").encode("utf-8"), note


def _decoded(body: memoryview, encoding: str, file: str) -> str:
    try:
        return str(body, encoding)
    except UnicodeDecodeError as error:
        line = bytes(body[: error.start]).count(b"\n") + 1
        name = "UTF-16" if encoding.startswith("utf-16") else encoding
        raise FileError(file, f"row {line}: found bytes that are not {name} text. Correct encoding in [log], or leave "
                        "it out so that it is found.") from None  # fmt: skip


def _unmarked(raw: bytes) -> str:
    """UTF-16 without a mark shows by every other byte being zero."""
    sample = raw[:4096]
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    half = max(len(sample) // 2, 1)
    if odd > 0.4 * half and even < 0.1 * half:
        return "utf-16-le"
    return "utf-16-be" if even > 0.4 * half and odd < 0.1 * half else "utf-8"


def split(line: str, delimiter: str) -> list[str]:
    """Cells of one line."""
    if '"' not in line:
        return [c.strip() for c in line.split(delimiter)]
    try:
        return [c.strip() for c in next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])]
    except csv.Error:
        return [line]


def read_head(
    text: bytes, wanted: Sequence[str | int], settings: FileSettings, file: str, words: frozenset[str | int]
) -> Head:
    """Find out how a text file is written.

    Parameters
    ----------
    text : bytes
        UTF-8.
    wanted : sequence of str or int
        Columns that the visit file names.
    settings : FileSettings
        What it says of the file.
    file : str
        Name for sentences.
    words : frozenset
        Those of `wanted` that may hold words.

    Raises
    ------
    FileError
        Headings, columns, time or the decimal sign cannot be told.
    """
    lines = text[:HEAD].decode("utf-8", "replace").split("\n")
    if len(text) > HEAD:
        lines.pop()
    lines = [line.rstrip("\r") for line in lines]
    if not any(line.strip() for line in lines):
        raise FileError(file, "is empty; expected headings and rows of readings.")
    delimiter, at = _heading(lines, wanted, settings, file)
    headings = tuple(split(lines[at], delimiter)) if at is not None else ()
    written = _written(settings, file)
    units: dict[int, list[str]] = {}
    first = 0 if at is None else at + 1
    skipped = []
    for _ in range(MOST_UNIT_ROWS + MOST_LINES):
        if first >= len(lines) or _is_reading(split(lines[first], delimiter), settings, written):
            break
        if lines[first].strip() and not lines[first].lstrip().startswith(COMMENT):
            for column, cell in enumerate(split(lines[first], delimiter)):
                if cell:
                    units.setdefault(column, []).append(cell)
            skipped.append((first + 1, lines[first]))
        first += 1
    readings = [c for c in (split(line, delimiter) for line in lines[first : first + 5 * SAMPLE] if line.strip())
                if _is_reading(c, settings, written)]  # fmt: skip
    if not readings:
        raise FileError(file, "found headings but no row of readings after them." if at is not None
                        else "found no row of readings.")  # fmt: skip
    sizes = [len(c) for c in readings]
    cells = max(set(sizes), key=sizes.count)
    row = f"row {at + 1}" if at is not None else "row 1"
    index = {name: column_index(name, headings, cells, file, row) for name in wanted}
    if settings.time is not None:
        time = tuple(column_index(name, headings, cells, file, row) for name in settings.time)
    else:
        time = time_columns(readings[:SAMPLE], headings, set(index.values()), written, file)
    beyond = next((n for n in (*index.values(), *time) if n >= cells), None)
    if beyond is not None:
        name = headings[beyond] if beyond < len(headings) else str(beyond + 1)
        raise FileError(file, f"row {first + 1}: found {cells} cells; expected at least {beyond + 1}, because "
                        f"{found(name)} is column {beyond + 1}.")  # fmt: skip
    numbers = [i for name, i in index.items() if name not in words]
    decimal = settings.decimal or _decimal(readings, numbers, file)
    return Head(delimiter, decimal, headings, at, {c: tuple(t) for c, t in units.items()}, first, cells, index, time,
                tuple(skipped))  # fmt: skip


def _written(settings: FileSettings, file: str) -> Callable[[str], bool] | None:
    if settings.time_format is None:
        return None
    if settings.time_format in NUMBER_FORMATS:
        return lambda cell: _NUMBER.match(cell) is not None
    pattern = checked_format(settings.time_format, file)
    return lambda cell: pattern.match(cell) is not None


def _is_reading(cells: Sequence[str], settings: FileSettings, written: Callable[[str], bool] | None) -> bool:
    """Whether a line holds readings: a stamp, or a time and a number, or two numbers."""
    if len(cells) < 2 or cells[0].startswith(COMMENT):
        return False
    looks = [look(c) for c in cells]
    if "stamp" in looks or (written is not None and any(written(c) for c in cells)):
        return True
    numbers = sum(_NUMBER.match(c) is not None for c in cells)
    # Date and time in two columns beside an empty cell, or beside one that stands for "no value".
    silent = any(not c or c in settings.no_value for c in cells)
    return numbers > 1 or (any(looks) and (numbers > 0 or silent or {"date", "time"} <= set(looks)))


def _heading(
    lines: Sequence[str], wanted: Sequence[str | int], settings: FileSettings, file: str
) -> tuple[str, int | None]:
    """Delimiter, and index of the line with the headings."""
    delimiters = (settings.delimiter,) if settings.delimiter else ("\t", ";", ",")
    names = [n for n in (*wanted, *(settings.time or ())) if isinstance(n, str)]
    stated = settings.heading_line
    if stated is not None and stated > len(lines):
        raise FileError(file, f"found {len(lines)} lines; expected headings in line {stated}, as heading_line says.")
    if stated == 0 or not names:
        if names:
            raise FileError(file, f"has no headings (heading_line = 0), but the visit file names the column "
                            f"{found(names[0])}. Name columns by number, from 1.")  # fmt: skip
        return _by_readings(lines, delimiters, settings, file)
    places = [stated - 1] if stated is not None else [i for i, line in enumerate(lines[:MOST_LINES]) if line.strip()]
    best, most = None, (-1, 0)
    for i in places:
        for delimiter in delimiters:
            cells = split(lines[i], delimiter)
            hits = sum(bool(matches(n, cells)) for n in names) if len(cells) > 1 else 0
            if hits == len(names):
                return delimiter, i
            if (hits, len(cells)) > most:
                best, most = (delimiter, i), (hits, len(cells))
    assert best is not None
    delimiter, i = best
    if most[1] < 2:
        signs = "comma, semicolon or tab" if len(delimiters) > 1 else found(delimiters[0])
        raise FileError(file, f"row {i + 1}: found {found(lines[i])}, which has no {signs} between cells. Give delimiter and "
                        "heading_line in [log].")  # fmt: skip
    for name in names:
        # Raises for the first name that is not there, with those that are.
        column_index(name, split(lines[i], delimiter), most[1], file, f"row {i + 1}")
    return delimiter, i


def _by_readings(
    lines: Sequence[str], delimiters: Sequence[str], settings: FileSettings, file: str
) -> tuple[str, int | None]:
    """Delimiter, and headings if there are any, where no column is named: by the first rows of readings."""
    assert set(delimiters) <= set(DELIMITERS)
    written = _written(settings, file)
    for delimiter in delimiters:
        rows = [split(line, delimiter) for line in lines[:MOST_LINES]]
        sizes = [len(cells) if _is_reading(cells, settings, written) else 0 for cells in rows]
        sound = [s for s in sizes if s > 1]
        if len(sound) * 2 > sum(bool(line.strip()) for line in lines[:MOST_LINES]) or (sound and len(lines) < 10):
            usual = max(set(sound), key=sound.count)
            before = [i for i in range(sizes.index(usual)) if len(rows[i]) == usual]
            return delimiter, None if settings.heading_line == 0 or not before else before[0]
    raise FileError(file, "found no rows of readings with a comma, a semicolon or a tab between cells. Give delimiter "
                    "and heading_line in [log].")  # fmt: skip


def _decimal(readings: Sequence[Sequence[str]], columns: Sequence[int], file: str) -> str:
    """The decimal sign that the numbers have."""
    cells = [r[c] for r in readings for c in columns if c < len(r)]
    comma = next((c for c in cells if COMMA_NUMBER.match(c)), None)
    point = next((c for c in cells if _POINT_NUMBER.match(c)), None)
    if comma is not None and point is not None:
        raise FileError(file, f"found {found(comma)} and {found(point)}: a comma and a point as decimal sign. Write "
                        'decimal = "," or decimal = "." in [log]; what does not fit is then set aside.')  # fmt: skip
    return "," if comma is not None else "."
