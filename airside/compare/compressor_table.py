"""A compressor maker's coefficients as CSV: the ten terms of AHRI Standard 540 for mass flow.

A row a coefficient, C1 to C10, with the columns ``term, mass flow [lb/h]`` or ``[kg/s]``; a comment
line ``# temperature: degF`` (or degC) says what the saturation temperatures are in.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, cast

import numpy as np

from airside.air.blocks import Array
from airside.errors import TableError

FlowUnit = Literal["lb/h", "kg/s", "kg/h"]


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
        The file is missing, its units are not named, or there are not ten numbers.
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
    rows = [r for r in csv.reader(t for t in text.splitlines() if t.strip() and not t.startswith("#"))]
    head = re.match(
        r"^mass flow\s*\[\s*(lb/h|kg/s|kg/h)\s*\]$", rows[0][1].strip() if rows and len(rows[0]) > 1 else ""
    )
    if head is None:
        raise TableError(
            name, 'expected the columns "term" and "mass flow [lb/h]", "mass flow [kg/h]" or "mass flow [kg/s]".'
        )
    values = []
    for line, row in enumerate(rows[1:], 1):
        try:
            values.append(float(row[1]))
        except (IndexError, ValueError):
            raise TableError(name, f"term {line}: expected a number in the second column.") from None
    if len(values) != 10:
        raise TableError(name, f"found {len(values)} terms; expected the ten of AHRI Standard 540, C1 to C10.")
    return CompressorTable(
        Path(path), np.array(values), cast(Literal["degF", "degC"], unit[1]), cast(FlowUnit, head[1])
    )
