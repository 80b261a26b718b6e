"""Airflow read directly: flow hood, measuring grid, nozzle or station."""

from __future__ import annotations

from typing import Literal

from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.result import STANDARD_DENSITY, Airflow, airflow_at
from airside.errors import EvidenceError
from airside.units import as_inside


def measured(
    volume_flow: Number | str,
    *,
    at: MoistAir,
    basis: Literal["actual", "standard"] = "actual",
    relative_standard_uncertainty: float | None = None,
) -> Airflow:
    """Airflow by a direct reading.

    Parameters
    ----------
    volume_flow : float or array [m³/s], or text with a unit
    at : MoistAir
        Air at the place of the reading.
    basis : "actual" or "standard"
        "standard" where the instrument shows dry air of 0.075 lb/ft³ (10 CFR 430 appendix M1).
    relative_standard_uncertainty : float [fraction], optional

    Raises
    ------
    EvidenceError
        Another basis, or a flow that is not above zero.
    """
    flow: Number = as_inside(volume_flow, "volume_flow")
    if basis not in ("actual", "standard"):
        raise EvidenceError(f'measured: basis is "{basis}"; expected "actual" or "standard".')
    if basis == "standard":
        return airflow_at(
            flow * STANDARD_DENSITY * at.specific_volume, at, "measured", relative_standard_uncertainty,
            assumptions=("The reading is standard air: dry air of 0.075 lb/ft³ (1.2014 kg/m³).",),
        )  # fmt: skip
    return airflow_at(
        flow, at, "measured", relative_standard_uncertainty,
        assumptions=("The reading is actual volume at the density of the place where it was taken.",),
    )  # fmt: skip
