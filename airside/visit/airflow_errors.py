"""The errors of the airflow: its instrument's, and the method's own in three parts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from airside.airflow import Airflow
from airside.instruments import defaults
from airside.instruments.named_error import Kind, NamedError
from airside.instruments.steadiness import degrees_of_freedom, standard_error
from airside.units import percent
from airside.visit.reading_errors import VisitErrors, add_reading
from airside.visit.schema import Traverse, Visit

# Quantity of an instrument for each reading of the airflow table.
AIRFLOW_QUANTITY = {
    "external_static_pressure": "duct_pressure", "normal_static_pressure": "duct_pressure",
    "device_static_pressure": "duct_pressure", "pressure_drop": "duct_pressure", "velocity_pressure": "duct_pressure",
    "velocity": "velocity", "volume_flow": "volume_flow", "device_flow": "volume_flow",
    "temperature_rise": "temperature_rise", "heat_input": "power", "fuel_input": "power",
}  # fmt: skip

# Methods whose own error is that of the device.
_BY_DEVICE = ("measured", "pressure match")


def add_airflow(found: VisitErrors, visit: Visit, own: str, airflow: Airflow) -> None:
    """Errors of the airflow: its instrument's readings, and the method's own."""
    evidence: Any = visit.airflow
    who = evidence.instrument
    if who is not None:
        for name, quantity in AIRFLOW_QUANTITY.items():
            values = getattr(evidence, name, None)
            if values is None:
                continue
            at = float(np.mean(values))
            if evidence.method == "measured":
                # The instrument's own statement is in the method's part already.
                _scatter(found, own, name, values, at)
            else:
                traversed = isinstance(evidence, Traverse)
                # Velocities differ from point to point because the profile does: that scatter is in the method's part.
                add_reading(found, visit, own, f"airflow.{name}", f"airflow {name.replace('_', ' ')}", quantity, who,
                         (at,) * defaults.ENOUGH_READINGS if traversed else values, at, None)  # fmt: skip
    else:
        for name in AIRFLOW_QUANTITY:
            values = getattr(evidence, name, None)
            if values is not None and not isinstance(evidence, Traverse) and name != "flow_per_capacity":
                quantity = AIRFLOW_QUANTITY[name]
                if quantity == "duct_pressure":
                    add_reading(found, visit, own, f"airflow.{name}", f"airflow {name.replace('_', ' ')}", quantity, None,
                             values, float(np.mean(values)), None)  # fmt: skip
                else:
                    _scatter(found, own, name, values, float(np.mean(values)))
    _method(found, visit, own, airflow.relative_standard_uncertainty)


def _scatter(found: VisitErrors, own: str, name: str, values: Sequence[float], at: float) -> None:
    """Repeatability of a flow-like reading, relative, into the flow factor."""
    logged = found.logged.get(f"airflow.{name}")
    if logged is not None and at != 0:
        found.add("airflow.factor", NamedError(
            f"airflow {name.replace('_', ' ')}, repeatability", f"{own}/airflow.{name}/repeatability", "repeatability",
            logged[0] / abs(at), "student", logged[1],
        ))  # fmt: skip
        return
    if len(values) >= defaults.ENOUGH_READINGS and at != 0:
        relative = standard_error(values) / abs(at)
        found.add("airflow.factor", NamedError(
            f"airflow {name.replace('_', ' ')}, repeatability", f"{own}/airflow.{name}/repeatability", "repeatability",
            relative, "student", degrees_of_freedom(len(values)),
        ))  # fmt: skip
    elif len(values) < defaults.ENOUGH_READINGS:
        readings = f"{len(values)} readings have" if len(values) > 1 else "a single reading has"
        found.note(
            f"Airflow {name.replace('_', ' ')}: {readings} no scatter to go by; it is taken to be in the method's own "
            "uncertainty (common practice, no source)."
        )


def _method(found: VisitErrors, visit: Visit, own: str, u: float) -> None:
    """The method's own error, in three parts: with the method, with its settings, anew with each visit."""
    evidence: Any = visit.airflow
    new, settings = defaults.METHOD_SHARES[evidence.method]
    # The table without its folder: a visit that is saved elsewhere is the same visit.
    table = Path(getattr(evidence, "table", "")).name
    means = [evidence.method, visit.system.name or "", table, evidence.instrument or ""]
    if evidence.method in _BY_DEVICE and evidence.instrument is None:
        # Without a name nobody can say that it was the same device.
        means.append(own)
        found.note("The airflow's instrument has no name, so nothing of its error is shared with another visit.")
    setting = [
        *means, getattr(evidence, "speed", ""), getattr(evidence, "coil", ""), getattr(evidence, "shape", ""),
        repr([getattr(evidence, n, None) for n in ("width", "height", "diameter", "flow_per_capacity")]),
        visit.system.coil or "", visit.system.filter or "", evidence.at or "",
    ]  # fmt: skip
    how = "airflow as measured" if evidence.method == "measured" else f"airflow by {evidence.method}"
    parts: list[tuple[str, str, Kind, float]] = [
        (how, "airflow/" + "/".join(means), "method", 1 - new - settings),
        (
            f"{how}, at these settings",
            "airflow settings/" + "/".join(setting),
            "method",
            settings,
        ),
        (f"{how}, this visit", f"{own}/airflow", "method", new),
    ]
    for name, key, kind, share in parts:
        found.add("airflow.factor", NamedError(name, key, kind, u * math.sqrt(max(share, 0.0))))
    found.note(
        f"Of the variance of the airflow method's own error, {percent(new, 0)} comes anew with each visit and {percent(settings, 0)} "
        "with a change of speed, coil or filter; the rest is shared by visits of one method, table and instrument "
        "(common practice, no source)."
    )
