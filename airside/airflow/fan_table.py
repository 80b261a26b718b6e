"""Airflow from a manufacturer's fan table: external static pressure in, flow out.

A fan at a speed moves the same volume whatever the density; the pressure that it makes scales with
density. So the static read at the site is first brought to the density of the table.

Sources
-------
Fan laws: ASHRAE Handbook—HVAC Systems and Equipment, ch. Fans (from memory).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.interpolation import Outside, curve, read
from airside.airflow.result import STANDARD_DENSITY, Airflow, airflow_at
from airside.results import Row
from airside.units import UnitSystem, show


def fan_table(
    table_static_pressure: Any,
    table_volume_flow: Any,
    external_static_pressure: Number,
    *,
    at: MoistAir,
    speed: str = "",
    table_density: float = STANDARD_DENSITY,
    relative_standard_uncertainty: float | None = None,
    outside: Outside = "raise",
    units: UnitSystem = "SI",
) -> Airflow:
    """Airflow by fan table.

    Parameters
    ----------
    table_static_pressure : array, shape (n,) [Pa]
    table_volume_flow : array, shape (n,) [m³/s]
        One speed's column; NaN where the table has no value.
    external_static_pressure : float or array [Pa]
        Mean of the static readings at the site.
    at : MoistAir
        Air that the fan moves; its density counts.
    speed : str
        Name of the column, for messages.
    table_density : float [kg/m³]
        Density for which the table is printed; default standard air.
    relative_standard_uncertainty : float [fraction], optional
    outside : "raise" or "extend"
        "extend" is for error draws about a reading inside the table.
    units : "IP" or "SI"
        For messages.

    Raises
    ------
    OutOfRangeError
        The static is outside the table; the message names the table's range.
    """
    name = f"fan table{f', speed {speed!r}' if speed else ''}"
    x, y = curve(table_static_pressure, table_volume_flow, name)
    ratio = table_density / np.asarray(at.density)
    entered = np.asarray(external_static_pressure) * ratio

    def in_units(static: float) -> str:
        return show(static, "duct_pressure", units)

    flow = read(entered, x, y, f"{name}: static at the table's density", in_units, outside=outside)
    if outside == "extend":
        # A draw far beyond the table's end may come out at no flow at all.
        flow = np.where(np.asarray(flow) > 0, flow, np.nan)
    return airflow_at(
        flow, at, "fan table", relative_standard_uncertainty,
        evidence=(
            Row("external_static_pressure", external_static_pressure, "duct_pressure"),
            Row("table_static_pressure", float(entered) if entered.ndim == 0 else entered, "duct_pressure",
                "static at the table's density"),
        ),
        assumptions=(
            f"The fan table is printed for air of {show(table_density, 'density', units)}; "
            "the static is brought to that density, the volume is not changed.",
            "Filter, coil and accessories stand as the fan table assumes.",
        ),
    )  # fmt: skip
