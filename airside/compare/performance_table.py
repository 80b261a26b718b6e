"""A manufacturer's performance table: capacity and power over return wet bulb, outdoor dry bulb and flow.

CSV with a row for each point of a full grid. Columns, each with its unit in brackets:
``return wet bulb [degF], outdoor dry bulb [degF], flow [cfm], total [Btu/h]``, and if the table has
them ``sensible [Btu/h]`` and ``power [kW]``. Read linearly between points, never beyond.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number
from airside.compare.curves import Axis
from airside.errors import Problem, TableError, UnitError
from airside.units import KINDS, UnitSystem, parse, show

# Doubt of a manufacturer's table along each axis, as `curves.SLOPE_DOUBT`: the table is of this model, though not of
# this unit; common practice, no source.
SLOPE_DOUBT = 0.25

_AXES = {"return wet bulb": "temperature", "outdoor dry bulb": "temperature", "flow": "volume_flow"}
_VALUES = {"total": "capacity", "sensible": "capacity", "power": "power"}


@dataclass(frozen=True)
class PerformanceTable:
    """A full grid of points.

    Attributes
    ----------
    path : Path
    axes : tuple of array
        Return wet bulb [°C], outdoor dry bulb [°C], flow [m³/s]; rising.
    values : dict of str to array, shape of the grid
        "total" [W], and "sensible", "power" [W] where given.
    """

    path: Path
    axes: tuple[Array, Array, Array]
    values: dict[str, Array]

    def limits(self) -> tuple[Axis, Axis, Axis]:
        """Ranges of the three axes."""
        names = ("return_wet_bulb", "outdoor_dry_bulb", "flow")
        low_high = [(float(a[0]), float(a[-1])) for a in self.axes]
        kinds = ("temperature", "temperature", "volume_flow")
        first, second, third = (Axis(n, k, *lh) for n, k, lh in zip(names, kinds, low_high, strict=True))
        return first, second, third

    def read(
        self, name: str, wet_bulb: Number, outdoor: Number, flow: Number, *, outside: Literal["nan", "extend"] = "nan"
    ) -> Number:
        """One value, linear between points; outside the table NaN, or along its end for error draws.

        Parameters
        ----------
        name : "total", "sensible" or "power"
        wet_bulb, outdoor : float or array [°C]
        flow : float or array [m³/s]
        """
        from scipy.interpolate import RegularGridInterpolator

        axes, grid = [], self.values[name]
        points: list[Any] = []
        for position, (axis, at) in enumerate(zip(self.axes, (wet_bulb, outdoor, flow), strict=True)):
            if axis.size == 1:
                # One column alone: the table does not say how capacity goes with this variable.
                axes.append(np.array([axis[0], axis[0] + 1.0]))
                grid = np.concatenate([grid, grid], axis=position)
                near = outside == "extend" or np.isclose(at, axis[0], rtol=1e-6)
                points.append(np.where(near, axis[0], np.nan) + np.zeros_like(at))
            else:
                axes.append(axis)
                points.append(at)
        stacked = np.stack(np.broadcast_arrays(*points), axis=-1)
        beyond = np.nan if outside == "nan" else None
        value = RegularGridInterpolator(tuple(axes), grid, bounds_error=False, fill_value=beyond)(stacked)
        return float(value.reshape(-1)[0]) if stacked.ndim == 1 else np.asarray(value)


def read_performance_table(path: str | Path, units: UnitSystem) -> PerformanceTable:
    """Read a performance table.

    Raises
    ------
    TableError
        Missing columns, cells that are not numbers, a point twice, or a grid with holes.
    """
    name = str(path)
    try:
        text = Path(path).read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise TableError(name, "there is no such file. Tables are named relative to the visit file.") from None
    except (OSError, UnicodeDecodeError):
        raise TableError(name, "cannot be read as UTF-8 text. Save it as CSV with UTF-8.") from None
    lines = [(i, t) for i, t in enumerate(text.splitlines(), 1) if t.strip() and not t.startswith("#")]
    if len(lines) < 2:
        raise TableError(name, "holds no table; expected a row of column names and rows of numbers.")
    delimiter = max(",;\t", key=lines[0][1].count)
    try:
        rows = [(i, [c.strip() for c in next(csv.reader([t], delimiter=delimiter))]) for i, t in lines]
    except csv.Error as error:
        raise TableError(name, f"cannot be read as CSV: {error}.") from None
    columns, scales = _columns(rows[0][1], rows[0][0], name, units)
    problems: list[Problem] = []
    table = np.full((len(rows) - 1, len(columns)), np.nan)
    for index, (line, cells) in enumerate(rows[1:]):
        if len(cells) != len(columns):
            problems.append(Problem(f"line {line}: found {len(cells)} cells; expected {len(columns)}."))
            continue
        for position, cell in enumerate(cells):
            value = _number(cell) * scales[position][0] + scales[position][1]
            if not np.isfinite(value) or (columns[position] in ("flow", "total", "power") and value <= 0):
                above = " above zero" if columns[position] in ("flow", "total", "power") else ""
                problems.append(
                    Problem(
                        f'line {line}: column "{columns[position]}" holds "{cell}"; expected a number{above} in each cell.'
                    )
                )
            table[index, position] = value
    if problems:
        raise TableError(name, problems)
    return _grid(Path(path), columns, table, units)


def _number(cell: str) -> float:
    """A cell as a number; NaN where it is none."""
    try:
        return float(cell)
    except ValueError:
        return float("nan")


def _columns(heads: list[str], line: int, name: str, units: UnitSystem) -> tuple[list[str], list[tuple[float, float]]]:
    columns, scales = [], []
    for head in heads:
        match = re.match(r"^([^\[\]]*?)\s*(?:\[\s*([^\[\]]*?)\s*\])?$", head)
        column = " ".join((match[1] if match else head).replace("_", " ").casefold().split())
        kind = {**_AXES, **_VALUES}.get(column)
        if kind is None:
            known = ", ".join(f'"{c}"' for c in (*_AXES, *_VALUES))
            raise TableError(name, f'line {line}: unknown column "{head}"; known are {known}.')
        unit = (match[2] if match else None) or KINDS[kind].input_unit(units)
        try:
            zero = parse(f"0 {unit}", kind)
            scales.append((parse(f"1 {unit}", kind) - zero, zero))
        except UnitError as error:
            raise TableError(name, f'line {line}: column "{head}": {error}') from None
        columns.append(column)
    missing = [c for c in (*_AXES, "total") if c not in columns]
    if missing or len(set(columns)) != len(columns):
        listed = ", ".join(f'"{c}"' for c in missing) or "a column twice"
        raise TableError(
            name, f"line {line}: {'missing ' if missing else 'found '}{listed}; expected each column once."
        )
    return columns, scales


def _grid(path: Path, columns: list[str], table: Array, units: UnitSystem) -> PerformanceTable:
    axes = [np.unique(np.round(table[:, columns.index(c)], 9)) for c in _AXES]
    shape = tuple(a.size for a in axes)
    at = tuple(np.searchsorted(a, np.round(table[:, columns.index(c)], 9)) for a, c in zip(axes, _AXES, strict=True))
    count = np.zeros(shape, dtype=int)
    np.add.at(count, at, 1)
    if (count != 1).any():
        index = tuple(int(i) for i in np.argwhere(count != 1)[0])
        point = ", ".join(
            f"{c} {show(float(a[i]), k, units)}" for (c, k), a, i in zip(_AXES.items(), axes, index, strict=True)
        )
        said = "is missing" if count[index] == 0 else "stands twice"
        raise TableError(
            str(path),
            f"the point {point} {said}; expected a full grid of {' x '.join(map(str, shape))} points, each once.",
        )
    values = {}
    for name in _VALUES:
        if name in columns:
            grid = np.empty(shape)
            grid[at] = table[:, columns.index(name)]
            values[name] = grid
    return PerformanceTable(path, (axes[0], axes[1], axes[2]), values)
