"""Airflow from the pressure drop over the coil and a table of the clean coil.

Between two rows the flow is read in the square root of the drop, because drop goes about with the
square of flow. Drop scales with density; the reading is first brought to the density of the table.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.interpolation import Outside, curve, read
from airside.airflow.result import STANDARD_DENSITY, Airflow, airflow_at
from airside.errors import EvidenceError
from airside.results import Row
from airside.units import UnitSystem, show


def coil_pressure_drop(
    table_volume_flow: Any,
    table_pressure_drop: Any,
    pressure_drop: Number,
    *,
    at: MoistAir,
    coil: str = "",
    table_density: float = STANDARD_DENSITY,
    relative_standard_uncertainty: float | None = None,
    outside: Outside = "raise",
    units: UnitSystem = "SI",
) -> Airflow:
    """Airflow by coil pressure drop.

    Parameters
    ----------
    table_volume_flow : array, shape (n,) [m³/s]
    table_pressure_drop : array, shape (n,) [Pa]
        The column for a dry or a wet coil.
    pressure_drop : float or array [Pa]
        Mean of the readings at the site.
    at : MoistAir
        Air in the coil.
    coil : "dry" or "wet"
        Name of the column, for messages.
    table_density : float [kg/m³]
        Density for which the table is printed; default standard air.
    relative_standard_uncertainty : float [fraction], optional
    outside : "raise" or "extend"
    units : "IP" or "SI"
        For messages.

    Raises
    ------
    OutOfRangeError
        The drop is outside the table; the message names the table's range.
    EvidenceError
        A drop below zero in the table or the reading.
    """
    name = f"coil pressure drop{f', {coil} coil' if coil else ''}"
    drops, flows = curve(table_pressure_drop, table_volume_flow, name)
    entered = np.asarray(pressure_drop) * table_density / np.asarray(at.density)
    if drops[0] < 0 or np.any(entered < 0):
        raise EvidenceError(f"{name}: a pressure drop below zero. The hoses may be swapped.")

    def in_units(root: float) -> str:
        return show(root**2, "duct_pressure", units)

    flow = read(
        np.sqrt(entered), np.sqrt(drops), flows, f"{name}: drop at the table's density", in_units, outside=outside
    )
    if outside == "extend":
        # A draw far beyond the table's end may come out at no flow at all.
        flow = np.where(np.asarray(flow) > 0, flow, np.nan)
    return airflow_at(
        flow, at, "coil pressure drop", relative_standard_uncertainty,
        evidence=(
            Row("pressure_drop", pressure_drop, "duct_pressure"),
            Row("table_pressure_drop", float(entered) if entered.ndim == 0 else entered, "duct_pressure",
                "drop at the table's density"),
        ),
        assumptions=(
            f"The coil's table is printed for air of {show(table_density, 'density', units)}.",
            "The coil is as clean as the one of the table.",
        ),
    )  # fmt: skip
