"""Airflow from nominal capacity and a customary flow for it: not evidence, a guess with a wide doubt."""

from __future__ import annotations

from airside.air.blocks import Number
from airside.air.state import MoistAir
from airside.airflow.defaults import METHODS, RULE_OF_THUMB_LEAST
from airside.airflow.result import Airflow, airflow_at
from airside.errors import EvidenceError
from airside.results import Row


def rule_of_thumb(
    flow_per_capacity: Number,
    nominal_capacity: Number,
    *,
    at: MoistAir,
    relative_standard_uncertainty: float | None = None,
) -> Airflow:
    """Airflow by rule of thumb.

    Parameters
    ----------
    flow_per_capacity : float or array [m³/s per W]
        Common practice, no source: 350 to 450 cfm per ton.
    nominal_capacity : float [W]
    at : MoistAir
        Air for which the volume flow is given.
    relative_standard_uncertainty : float [fraction], optional
        Not below 0.15: nothing was measured.

    Raises
    ------
    EvidenceError
        A stated uncertainty below 0.15.
    """
    stated = relative_standard_uncertainty
    if stated is not None and stated < RULE_OF_THUMB_LEAST:
        raise EvidenceError(
            f"rule of thumb: a relative standard uncertainty of {stated:g} was given; expected at least "
            f"{RULE_OF_THUMB_LEAST:g}, because nothing was measured. Measure the airflow to do better."
        )
    return airflow_at(
        flow_per_capacity * nominal_capacity, at, "rule of thumb", stated,
        own_uncertainty=(METHODS["rule of thumb"].relative_standard_uncertainty, METHODS["rule of thumb"].source),
        evidence=(Row("flow_per_capacity", flow_per_capacity, "flow_per_capacity"),),
        assumptions=("The airflow is a customary figure for the nominal capacity; it was not measured.",),
    )  # fmt: skip
