"""Tables at the end of a worksheet: what its questions look up, computed by the library, with the source named.

Sources
-------
As each table's own line says; steps are small enough for a proportion between two rows.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.instruments.response import part_of_step
from airside.refrigerant.saturation import bubble_pressure, dew_pressure
from airside.teach.drawing import Question
from airside.units import KINDS, UnitSystem, show, to_inside

FUNDAMENTALS = "ASHRAE Handbook—Fundamentals (2017) ch. 1"
CHART = "chart"
# Rows side by side, so that a table takes part of a page.
SIDE_BY_SIDE = 3


@dataclass(frozen=True)
class SheetTable:
    """A table to look things up in.

    Attributes
    ----------
    title : str
    heads : tuple of str
    rows : tuple of tuple of str
    source : str
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    source: str

    @property
    def lines(self) -> tuple[tuple[str, ...], ...]:
        """The rows as they are printed: several parts of the table side by side, read downwards."""
        count = -(-len(self.rows) // SIDE_BY_SIDE)
        empty = ("",) * len(self.heads)
        parts = [self.rows[n * count : (n + 1) * count] for n in range(SIDE_BY_SIDE)]
        return tuple(
            tuple(cell for part in parts for cell in (part[line] if line < len(part) else empty))
            for line in range(count)
        )

    @property
    def all_heads(self) -> tuple[str, ...]:
        """The heads over those parts."""
        return self.heads * SIDE_BY_SIDE


def tables_for(questions: Iterable[Question]) -> tuple[SheetTable, ...]:
    """The tables that these questions need, each once, in the order in which they are first needed."""
    wanted = dict.fromkeys((need, q.units) for q in questions for need in q.kind.needs if need != CHART)
    return tuple(_table(need, units) for need, units in wanted)


@lru_cache(maxsize=32)
def _table(need: str, units: UnitSystem) -> SheetTable:
    if need == "saturation":
        return _saturation(units)
    if need == "elevation":
        return _elevation(units)
    return _response() if need == "response" else _refrigerant(need, units)


def _unit(kind: str, units: UnitSystem) -> str:
    return KINDS[kind].display(units).label


def _temperatures(first: int, last: int, step: int, units: UnitSystem) -> list[tuple[str, float]]:
    """Whole degrees as text, and inside [°C]."""
    return [(str(t), float(to_inside(t, "temperature", units))) for t in range(first, last + 1, step)]


def _saturation(units: UnitSystem) -> SheetTable:
    degrees = _temperatures(32, 120, 2, "IP") if units == "IP" else _temperatures(0, 50, 1, "SI")
    rows = [
        (text, show(float(properties.saturation_pressure(t)), "vapour_pressure", units, unit=False))
        for text, t in degrees
    ]
    return SheetTable(
        "Saturation pressure of water",
        (f"Temperature, {_unit('temperature', units)}", f"Pressure, {_unit('vapour_pressure', units)}"),
        tuple(rows), f"{FUNDAMENTALS}, Eq. 5 and 6; computed by airside",
    )  # fmt: skip


def _elevation(units: UnitSystem) -> SheetTable:
    heights = range(0, 9_001, 500) if units == "IP" else range(0, 2_801, 200)
    kinds = ("barometric_pressure", "vapour_pressure")
    rows = []
    for height in heights:
        pressure = float(standard_atmosphere_pressure(float(to_inside(height, "elevation", units))))
        rows.append((f"{height:,}", *(show(pressure, kind, units, unit=False) for kind in kinds)))
    return SheetTable(
        "Barometric pressure of the standard atmosphere",
        (f"Elevation, {_unit('elevation', units)}", *(_unit(kind, units) for kind in kinds)),
        tuple(rows), f"{FUNDAMENTALS}, Eq. 3; computed by airside",
    )  # fmt: skip


def _response() -> SheetTable:
    counts = [round(0.1 * n, 1) for n in range(46)]
    rows = [(f"{n:.1f}", f"{100 * part_of_step(n, 1.0):.1f}") for n in counts]
    return SheetTable(
        "What a probe shows of a step", ("Time constants", "Part of the step, %"), tuple(rows),
        "first-order response, 1 less e to the power of minus the time constants; computed by airside",
    )  # fmt: skip


def _refrigerant(name: str, units: UnitSystem) -> SheetTable:
    degrees = _temperatures(20, 130, 2, "IP") if units == "IP" else _temperatures(-6, 56, 1, "SI")
    inside = np.array([t for _, t in degrees])
    sides = [np.asarray(f(name, inside)) - SEA_LEVEL_PRESSURE for f in (dew_pressure, bubble_pressure)]
    rows = [
        (text, *(show(float(side[n]), "refrigerant_pressure", units, unit=False) for side in sides))
        for n, (text, _) in enumerate(degrees)
    ]
    unit = _unit("refrigerant_pressure", units)
    return SheetTable(
        f"{name}: saturation, in gauge pressure at sea level",
        (_unit("temperature", units), f"Dew, {unit}", f"Bubble, {unit}"), tuple(rows),
        "airside's own tables, made from CoolProp's equations of state",
    )  # fmt: skip
