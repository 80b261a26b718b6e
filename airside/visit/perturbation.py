"""Inputs of a visit shifted by draws of its named errors."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from airside.air.blocks import Array, Number
from airside.visit.inputs import VisitInputs
from airside.visit.reading_errors import VisitErrors


def shifts_of(
    errors: VisitErrors, draws: Mapping[str, Number], entries: Iterable[str] | None = None
) -> dict[str, Number]:
    """Sum of all errors that shift each input; an error that is not among the draws is zero.

    Parameters
    ----------
    errors : VisitErrors
    draws : mapping of key to float or array
    entries : iterable of str, optional
        The inputs that are asked for; default all.
    """
    found: dict[str, Number] = {}
    for entry in errors.uses if entries is None else entries:
        total: Number = 0.0
        for key, size in errors.uses[entry]:
            if key in draws:
                total = total + size / errors.sizes[key] * draws[key]
        found[entry] = total
    return found


def perturbed(inputs: VisitInputs, shifts: Mapping[str, Number], base: VisitInputs | None = None) -> VisitInputs:
    """Inputs shifted by errors.

    Parameters
    ----------
    inputs : VisitInputs
        At the readings.
    shifts : mapping of entry to float or array
        From `shifts_of`.
    base : VisitInputs, optional
        Inputs for every entry that is not among the shifts; default ``inputs``.
    """
    base = inputs if base is None else base
    air = dict(base.air)
    for place, at in inputs.air.items():
        names = (f"{place}.dry_bulb", f"{place}.humidity")
        if names[0] in shifts or names[1] in shifts:
            moved = [v + shifts[n] if n in shifts else b for v, b, n in zip(at, base.air[place], names, strict=True)]
            air[place] = (moved[0], moved[1])
    readings = dict(base.airflow.readings)
    for name, value in inputs.airflow.readings.items():
        if f"airflow.{name}" in shifts:
            readings[name] = _moved_reading(name, value, shifts[f"airflow.{name}"])
    same_air = all(readings[n] is base.airflow.readings[n] for n in readings)
    changed: dict[str, Any] = {}
    if "pressure" in shifts:
        changed["pressure"] = inputs.pressure * (1 + shifts["pressure"])
    if "airflow.factor" in shifts:
        # The relative error acts on the logarithm, so that no draw turns the flow round.
        factor = np.exp(shifts["airflow.factor"])
        changed["flow_factor"] = float(factor) if np.ndim(factor) == 0 else factor
    if "fan.power" in shifts and inputs.fan_power is not None:
        changed["fan_power"] = inputs.fan_power * (1 + shifts["fan.power"])
    if "outdoor.dry_bulb" in shifts and inputs.outdoor_dry_bulb is not None:
        changed["outdoor_dry_bulb"] = inputs.outdoor_dry_bulb + shifts["outdoor.dry_bulb"]
    if "power" in shifts and inputs.power is not None:
        changed["power"] = inputs.power * (1 + shifts["power"])
    if "power" in shifts and inputs.outdoor_unit_power is not None:
        changed["outdoor_unit_power"] = inputs.outdoor_unit_power * (1 + shifts["power"])
    moved_lines = {
        n: v + shifts[f"refrigerant.{n}"] for n, v in inputs.refrigerant.items() if f"refrigerant.{n}" in shifts
    }
    if moved_lines:
        changed["refrigerant"] = {**base.refrigerant, **moved_lines}
    if not same_air:
        changed["airflow"] = replace(inputs.airflow, readings=readings)
    return replace(base, air=air, **changed)


def _moved_reading(name: str, value: Number, moved: Number) -> Number:
    """An airflow reading with its error; a traverse has one error for all its points."""
    if not np.ndim(value):
        return value + moved
    if name != "velocity_pressure":
        # Velocities are averaged anyway: the mean alone keeps the draws small.
        mean: Array = (float(np.mean(value)) + np.asarray(moved))[..., np.newaxis]
        return mean
    points: Array = np.maximum(np.asarray(value) + np.asarray(moved)[..., np.newaxis], 0.0)
    return points
