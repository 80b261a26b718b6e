"""A manufacturer's target superheat as CSV: a row for each return wet bulb, a column for each outdoor dry bulb.

``return wet bulb [degF], 65, 75, 85, 95`` as the first row; its unit holds for the outdoor
temperatures too, and superheats are differences of that unit. An empty cell has no target.
"""

from __future__ import annotations

import csv
import math
import re
from pathlib import Path

import numpy as np

from airside.air.blocks import Array
from airside.errors import TableError
from airside.units import UnitSystem

# Return wet bulbs (n,) and outdoor dry bulbs (m,) [°C], superheat (n, m) [K].
SuperheatTable = tuple[Array, Array, Array]


def read_superheat_table(path: str | Path, units: UnitSystem) -> SuperheatTable:
    """Read a table of target superheat.

    Parameters
    ----------
    path : str or Path
    units : "IP" or "SI"
        Where the first column names no unit: °F or °C.

    Returns
    -------
    tuple of arrays
        Return wet bulbs, shape (n,) [°C]; outdoor dry bulbs, shape (m,) [°C]; superheat, shape (n, m) [K].

    Raises
    ------
    TableError
        The file is missing, its head is another, rows differ in length, temperatures do not rise, or a
        cell is not a number; with its line.
    """
    name = str(path)
    try:
        text = Path(path).read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise TableError(name, "there is no such file. Tables are named relative to the visit file.") from None
    except (OSError, UnicodeDecodeError):
        raise TableError(name, "cannot be read as UTF-8 text. Save it as CSV with UTF-8.") from None
    lines = [(i, t) for i, t in enumerate(text.splitlines(), 1) if t.strip() and not t.startswith("#")]
    if len(lines) < 3:
        raise TableError(
            name, "holds no table; expected a row of outdoor temperatures and at least 2 rows of superheat."
        )
    delimiter = max(",;\t", key=lines[0][1].count)
    try:
        rows = [(i, [c.strip() for c in next(csv.reader([t], delimiter=delimiter))]) for i, t in lines]
    except csv.Error as error:
        raise TableError(name, f"cannot be read as CSV: {error}.") from None
    head = re.match(r"^return[ _]wet[ _]bulb\s*(?:\[\s*°?(?:deg)?\s*([FC])\s*\])?$", rows[0][1][0], re.IGNORECASE)
    if head is None:
        raise TableError(
            name,
            f'line {rows[0][0]}: the first column is "{rows[0][1][0]}"; expected "return wet bulb [degF]" or [degC].',
        )
    fahrenheit = (head[1] or ("F" if units == "IP" else "C")).upper() == "F"
    scale, zero = (1 / 1.8, 32.0) if fahrenheit else (1.0, 0.0)

    def number(cell: str, line: int) -> float:
        try:
            value = float(cell) if cell else math.nan
        except ValueError:
            value = math.inf
        if math.isinf(value):
            raise TableError(name, f'line {line}: found "{cell}"; expected a number or an empty cell.')
        return value

    def rising(values: list[float], lines: list[int], what: str) -> None:
        if len(values) < 2:
            raise TableError(name, f"line {lines[0]}: found {len(values)} {what}; expected at least 2.")
        for before, value, line in zip([-math.inf, *values], values, lines, strict=False):
            if math.isnan(value):
                raise TableError(name, f"line {line}: {what} may not be empty.")
            if value <= before:
                raise TableError(name, f"line {line}: {what} must rise; found {value:g} after {before:g}.")

    heads = [number(c, rows[0][0]) for c in rows[0][1][1:]]
    rising(heads, [rows[0][0]] * max(len(heads), 1), "outdoor temperatures")
    outdoor = (np.array(heads) - zero) * scale
    body = []
    for line, cells in rows[1:]:
        if len(cells) != len(rows[0][1]):
            raise TableError(name, f"line {line}: found {len(cells)} cells; expected {len(rows[0][1])}.")
        body.append([number(c, line) for c in cells])
    rising([row[0] for row in body], [line for line, _ in rows[1:]], "return wet bulbs")
    table = np.array(body)
    return (table[:, 0] - zero) * scale, outdoor, table[:, 1:] * scale
