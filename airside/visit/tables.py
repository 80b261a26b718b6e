"""Tables that a visit file names: fan tables and coil tables as CSV.

The first row that is not a comment (``#``) holds the column names, each with its unit in square
brackets: ``static pressure [inH2O], low [cfm], high [cfm]``. Without a unit, a column is in the
unit of the visit's bare numbers. An empty cell is a place for which the table has no value.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

import numpy as np

from airside.air.blocks import Array
from airside.errors import Problem, TableError, UnitError
from airside.units import KINDS, UnitSystem, parse
from airside.visit.quantities import found

# A table is typed or pasted by hand; anything larger is another file.
LARGEST = 1_000_000
_HEAD = re.compile(r"^(?P<name>[^\[\]]*?)\s*(?:\[\s*(?P<unit>[^\[\]]*?)\s*\])?$")


@dataclass(frozen=True)
class ColumnTable:
    """A table file: its columns by name, SI.

    Attributes
    ----------
    path : Path
    columns : dict of str to array, shape (rows,)
        NaN where a cell is empty.
    """

    path: Path
    columns: dict[str, Array]

    def column(self, name: str, what: str) -> Array:
        """One column by its name, whatever its case.

        Raises
        ------
        TableError
            There is no such column; the message names those that there are.
        """
        # The first column is what the table is entered with, never what is read from it.
        for known, values in list(self.columns.items())[1:]:
            if _plain(known) == _plain(name):
                return values
        others = [k for i, k in enumerate(self.columns) if i > 0]
        near = get_close_matches(_plain(name), [_plain(k) for k in others], n=1, cutoff=0.6)
        hint = f' Did you mean "{near[0]}"?' if near else ""
        listed = ", ".join(f'"{k}"' for k in others)
        raise TableError(str(self.path), f'{what} is "{name}", but the columns are {listed}.{hint}')


def _plain(name: str) -> str:
    return " ".join(name.replace("_", " ").casefold().split())


def read_table(path: str | Path, first: tuple[str, str], kind: str, units: UnitSystem) -> ColumnTable:
    """Read a table of one quantity in the first column and another in the rest.

    Parameters
    ----------
    path : str or Path
    first : tuple of (name, kind)
        What the first column is called, and a name in `airside.units.KINDS`.
    kind : str
        Kind of the other columns.
    units : "IP" or "SI"
        For columns without a unit.

    Raises
    ------
    TableError
        Every problem of the file at once, with its line.
    """
    name = str(path)
    try:
        with Path(path).open("rb") as file:
            raw = file.read(LARGEST + 1)
        text = raw.decode("utf-8-sig")
    except FileNotFoundError:
        raise TableError(name, "there is no such file. Tables are named relative to the visit file.") from None
    except UnicodeDecodeError:
        raise TableError(name, "is not UTF-8 text. Save it as CSV with UTF-8.") from None
    except OSError as error:
        raise TableError(name, f"cannot be read ({error.strerror}).") from None
    except ValueError:
        raise TableError(name, "is not the name of a file.") from None
    if len(raw) > LARGEST:
        raise TableError(name, f"has more than {LARGEST:,} bytes; a table is a short text. Is it a logger file?")
    lines = [
        (i, line) for i, line in enumerate(text.splitlines(), 1) if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        raise TableError(name, "holds no table; expected a row of column names and rows of numbers.")
    delimiter = max(",;\t", key=lines[0][1].count)
    try:
        rows = [(i, [c.strip() for c in next(csv.reader([line], delimiter=delimiter))]) for i, line in lines]
    except csv.Error as error:
        raise TableError(name, f"is not a CSV table ({error}).") from None
    heads, problems, scales = rows[0][1], [], []
    names: list[str] = []
    for position, head in enumerate(heads):
        match = _HEAD.match(head)
        column, unit = (match["name"], match["unit"]) if match else (head, None)
        column_kind = first[1] if position == 0 else kind
        try:
            scale = _column_scale(unit or KINDS[column_kind].input_unit(units), column_kind)
        except UnitError:
            both = f"[{KINDS[column_kind].ip_input}] or [{KINDS[column_kind].si_input}]"
            word = column_kind.replace("_", " ")
            problems.append(_at_line(rows[0][0], f'column "{head}": [{unit}] is no unit of {word}; expected {both}.'))
            scale = (1.0, 0.0)
        if not column or _plain(column) in map(_plain, names):
            problems.append(_at_line(rows[0][0], f"column {position + 1} has no name of its own."))
        names.append(column)
        scales.append(scale)
    if len(heads) < 2 or _plain(heads[0].split("[")[0]) != _plain(first[0]):
        listed, unit = ", ".join(f'"{h}"' for h in heads), KINDS[first[1]].si_input
        wanted = f'expected "{first[0]} [{unit}]" first and at least one more'
        problems.append(_at_line(rows[0][0], f"found the columns {listed}; {wanted}."))
    body: list[list[float]] = []
    for line, cells in rows[1:]:
        if len(cells) != len(heads):
            problems.append(_at_line(line, f"found {len(cells)} cells; expected {len(heads)}."))
            continue
        body.append([_cell(c, s, h, line, problems) for c, s, h in zip(cells, scales, names, strict=True)])
    if len(body) < 2 and not problems:
        rows_said = "1 row" if len(body) == 1 else f"{len(body)} rows"
        problems.append(Problem(f"found {rows_said} of numbers; expected at least 2."))
    if problems:
        raise TableError(name, problems)
    values = np.array(body, dtype=np.float64)
    _check_first(values[:, 0], rows[1:], name, names[0])
    return ColumnTable(Path(path), {n: values[:, i] for i, n in enumerate(names)})


def _at_line(line: int, message: str) -> Problem:
    return Problem(f"line {line}: {message}")


def _column_scale(unit: str, kind: str) -> tuple[float, float]:
    zero, one = parse(f"0 {unit}", kind), parse(f"1 {unit}", kind)
    return one - zero, zero


def _cell(text: str, scale: tuple[float, float], column: str, line: int, problems: list[Problem]) -> float:
    if not text:
        return math.nan
    try:
        number = float(text)
    except ValueError:
        number = math.inf
    if not math.isfinite(number):
        message = f'column "{column}" holds {found(text)}; expected a number with a decimal point, or an empty cell.'
        problems.append(_at_line(line, message))
        return math.nan
    if number < 0:
        problems.append(_at_line(line, f'column "{column}" holds "{text}", below zero; expected zero or above.'))
    return number * scale[0] + scale[1]


def _check_first(values: Array, rows: list[tuple[int, list[str]]], name: str, column: str) -> None:
    for i, value in enumerate(values):
        if not math.isfinite(value):
            raise TableError(name, f'line {rows[i][0]}: column "{column}" is empty; expected a number in every row.')
        if i and value <= values[i - 1]:
            raise TableError(
                name,
                f'line {rows[i][0]}: column "{column}" holds {rows[i][1][0]} after {rows[i - 1][1][0]}; '
                "expected rising values, each once.",
            )
