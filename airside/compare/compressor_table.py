"""A compressor maker's coefficients as CSV: the ten terms of AHRI Standard 540 for mass flow.

A row a coefficient, C1 to C10, with the columns ``term, mass flow [lb/h]``, ``[kg/h]`` or ``[kg/s]``; a
comment line ``# temperature: degF`` (or degC) says what the saturation temperatures are in.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast

import numpy as np

from airside.air.blocks import Array
from airside.errors import TableError

FlowUnit = Literal["lb/h", "kg/s", "kg/h"]
TERMS = tuple(f"C{i}" for i in range(1, 11))


@dataclass(frozen=True)
class CompressorTable:
    """Ten coefficients of mass flow, and their units."""

    path: Path
    mass_flow: Array
    temperature_unit: Literal["degF", "degC"]
    flow_unit: FlowUnit


def read_compressor_table(path: str | Path) -> CompressorTable:
    """Read a table of ten coefficients.

    Raises
    ------
    TableError
        The file is missing, its units are not named, or it has not each of the ten coefficients once.
    """
    name = str(path)
    try:
        text = Path(path).read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise TableError(name, "there is no such file. Tables are named relative to the visit file.") from None
    except (OSError, UnicodeDecodeError):
        raise TableError(name, "cannot be read as UTF-8 text. Save it as CSV with UTF-8.") from None
    unit = re.search(r"^#\s*temperature:\s*(degF|degC)\s*$", text, re.MULTILINE)
    if unit is None:
        raise TableError(
            name, 'names no temperature unit; expected a line "# temperature: degF" or "# temperature: degC".'
        )
    lines = [(i, t) for i, t in enumerate(text.splitlines(), 1) if t.strip() and not t.startswith("#")]
    delimiter = max(",;\t", key=lines[0][1].count) if lines else ","
    try:
        rows = [(i, [c.strip() for c in next(csv.reader([t], delimiter=delimiter))]) for i, t in lines]
    except csv.Error as error:
        raise TableError(name, f"cannot be read as CSV: {error}.") from None
    heads = rows[0][1] if rows else []
    head = re.match(r"^mass flow\s*\[\s*(lb/h|kg/s|kg/h)\s*\]$", heads[1]) if len(heads) == 2 else None
    if head is None or heads[0] != "term":
        raise TableError(
            name, 'expected the columns "term" and "mass flow [lb/h]", "mass flow [kg/h]" or "mass flow [kg/s]".'
        )
    found = _terms(name, rows[1:])
    missing = [t for t in TERMS if t not in found]
    if missing:
        raise TableError(
            name,
            f"found {len(found)} terms, without {', '.join(missing)}; expected the ten of AHRI Standard 540, C1 to C10.",
        )
    values = np.array([found[t] for t in TERMS])
    return CompressorTable(Path(path), values, cast(Literal["degF", "degC"], unit[1]), cast(FlowUnit, head[1]))


def _terms(name: str, rows: list[tuple[int, list[str]]]) -> dict[str, float]:
    """Coefficients by their term, in whichever order the rows stand."""
    found: dict[str, float] = {}
    for line, cells in rows:
        if len(cells) != 2:
            raise TableError(name, f"line {line}: found {len(cells)} cells; expected 2.")
        term, cell = cells[0].upper(), cells[1]
        if term not in TERMS:
            raise TableError(name, f'line {line}: found the term "{cells[0]}"; expected C1 to C10.')
        if term in found:
            raise TableError(name, f"line {line}: {term} stands twice; expected each term once.")
        try:
            value = float(cell)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise TableError(
                name, f'line {line}: {term} is "{cell}"; expected a number, zero where the maker gives none.'
            )
        found[term] = value
    return found
