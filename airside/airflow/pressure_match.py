"""Airflow through a calibrated device put in the airstream, brought back to normal operation.

The device (plate or fan in place of the filter) changes the flow a little. Flow goes with the square
root of pressure, so the flow without the device is that through it, times the root of the supply
plenum's static pressures without and with it.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.interpolation import Outside
from airside.airflow.result import STANDARD_DENSITY, Airflow, airflow_at
from airside.errors import EvidenceError
from airside.results import Row


def pressure_match(
    device_flow: Number,
    normal_static_pressure: Number,
    device_static_pressure: Number,
    *,
    at: MoistAir,
    basis: Literal["actual", "indicated"] = "actual",
    relative_standard_uncertainty: float | None = None,
    outside: Outside = "raise",
) -> Airflow:
    """Airflow by pressure match.

    Parameters
    ----------
    device_flow : float or array [m³/s]
        Flow that the device shows.
    normal_static_pressure, device_static_pressure : float or array [Pa]
        Static in the supply plenum without and with the device; only their ratio counts.
    at : MoistAir
        Air in the device.
    basis : "actual" or "indicated"
        "indicated" where the device's scale is for standard density and was not corrected: an
        orifice or plate then passes more volume of thinner air, by the root of the density ratio.
    relative_standard_uncertainty : float [fraction], optional
    outside : "raise" or "extend"
        With "extend", for error draws, statics of different sign give NaN.

    Raises
    ------
    EvidenceError
        A static pressure that is zero, or two of different sign, or another basis.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.asarray(normal_static_pressure, dtype=np.float64) / np.asarray(device_static_pressure, np.float64)
    if outside == "extend":
        # A draw may carry a small static across zero: air that did not flow so.
        ratio = np.where(np.isfinite(ratio) & (ratio > 0), ratio, np.nan)
    elif not np.all(np.isfinite(ratio)) or not np.all(ratio > 0):
        raise EvidenceError(
            "pressure match: the two static pressures must both be away from zero and of one sign; "
            f"their ratio is {float(np.min(ratio)):g}."
        )
    if basis not in ("actual", "indicated"):
        raise EvidenceError(f'pressure match: basis is "{basis}"; expected "actual" or "indicated".')
    density = np.sqrt(STANDARD_DENSITY / np.asarray(at.density)) if basis == "indicated" else 1.0
    flow = np.asarray(device_flow) * density * np.sqrt(ratio)
    said = (
        "The device's scale is for standard air; its flow is corrected by the root of the density ratio."
        if basis == "indicated"
        else "The device's flow is actual volume at the local density."
    )
    return airflow_at(
        float(flow) if flow.ndim == 0 else flow, at, "pressure match", relative_standard_uncertainty,
        evidence=(
            Row("device_flow", device_flow, "volume_flow"),
            Row("flow_correction", float(np.sqrt(ratio)) if ratio.ndim == 0 else np.sqrt(ratio), "fraction",
                "root of the static pressures' ratio"),
        ),
        assumptions=(said, "Dampers, filter and coil did not change between the two static readings."),
    )  # fmt: skip
