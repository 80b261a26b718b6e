"""From the visit file's airflow table to an `Airflow`: files are read here, the physics is in `airside.airflow`.

`airflow_for` takes one function a method. To add a method: a model in `airside.visit.schema`
(EVIDENCE), a module in `airside.airflow`, and a function here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number
from airside.air.properties import saturation_humidity_ratio
from airside.air.state import MoistAir
from airside.airflow import Airflow, heat_to_air
from airside.airflow.defaults import METHODS
from airside.airflow.interpolation import Outside
from airside.errors import AirsideError, Problem, TableError, VisitError
from airside.visit import schema
from airside.visit.tables import ColumnTable, read_table

Readings = dict[str, Number]


@dataclass(frozen=True)
class EvidenceInputs:
    """What an airflow method needs beside the two air states: its readings and its table, SI.

    Attributes
    ----------
    readings : dict of str to float or array
        One value a field: the mean of the readings, or draws of it. For a traverse the points lie
        along the last axis.
    table : ColumnTable or None
    """

    readings: Readings
    table: ColumnTable | None = None


def evidence_inputs(visit: schema.Visit) -> EvidenceInputs:
    """Means of the airflow readings, and the table that the visit names.

    Raises
    ------
    TableError
        The table cannot be used.
    """
    evidence = visit.airflow
    readings: Readings = {}
    for name in type(evidence).model_fields:
        value = getattr(evidence, name)
        if isinstance(value, tuple):
            readings[name] = np.array(value) if isinstance(evidence, schema.Traverse) else float(np.mean(value))
    table = None
    if isinstance(evidence, (schema.FanTable, schema.CoilPressureDrop)):
        folder = visit.path.parent if visit.path is not None else Path()
        table = read_table(folder / evidence.table, *_COLUMNS[evidence.method], visit.table_units)
    return EvidenceInputs(readings, table)


# First column and the kinds of both columns of each method that reads a table.
_COLUMNS = {
    "fan table": (("static pressure", "duct_pressure"), "volume_flow"),
    "coil pressure drop": (("flow", "volume_flow"), "duct_pressure"),
}


def table_problems(data: Mapping[str, Any], folder: Path) -> list[Problem]:
    """What is wrong with the table that a visit's data name, where the rest of the data may be wrong too."""
    airflow, units = data.get("airflow"), data.get("units")
    if not isinstance(airflow, Mapping) or units not in ("IP", "SI") or not isinstance(airflow.get("table"), str):
        return []
    method = airflow.get("method")
    if not isinstance(method, str) or method not in _COLUMNS:
        return []
    try:
        table = read_table(folder / airflow["table"], *_COLUMNS[method], units)
        name = "speed" if method == "fan table" else "coil"
        if isinstance(airflow.get(name), str):
            table.column(airflow[name], f"airflow.{name}")
    except TableError as error:
        return [Problem(f"{error.path}: {p}", "airflow.table") for p in error.problems]
    return []


def place_of_flow(visit: schema.Visit) -> Literal["return", "supply"]:
    """Where the volume flow holds: as the visit says, else the method's default."""
    if visit.airflow.at is not None:
        return visit.airflow.at
    return "return" if METHODS[visit.airflow.method].at == "return" else "supply"


def airflow_for(
    visit: schema.Visit,
    inputs: EvidenceInputs,
    return_air: MoistAir,
    supply_air: MoistAir,
    *,
    outside: Outside = "raise",
) -> Airflow:
    """Airflow of a visit from its evidence.

    Parameters
    ----------
    visit : Visit
    inputs : EvidenceInputs
        Means, or draws of them.
    return_air, supply_air : MoistAir
    outside : "raise" or "extend"
        "extend" for draws about a reading that is itself inside its table.

    Raises
    ------
    VisitError
        The evidence is incomplete or outside its table.
    """
    place = place_of_flow(visit)
    at = return_air if place == "return" else supply_air
    try:
        flow = _METHODS[visit.airflow.method](visit, inputs, at, return_air, outside)
    except (VisitError, TableError):
        raise
    except AirsideError as error:
        raise VisitError(str(visit.path or visit.name), [Problem(str(error), "airflow")]) from None
    said = "" if visit.airflow.at is not None else ", by default for this method"
    note = f"The volume flow holds for the {place} air{said}."
    return replace(flow, assumptions=(*flow.assumptions, note))


def _fan_table(visit: Any, inputs: EvidenceInputs, at: MoistAir, _: MoistAir, outside: Outside) -> Airflow:
    assert inputs.table is not None
    evidence: schema.FanTable = visit.airflow
    static, flow = _first(inputs.table), inputs.table.column(evidence.speed, "airflow.speed")
    return Airflow.fan_table(
        static, flow, inputs.readings["external_static_pressure"], at=at, speed=evidence.speed,
        relative_standard_uncertainty=evidence.relative_uncertainty, outside=outside, units=visit.units,
    )  # fmt: skip


def _first(table: ColumnTable) -> Array:
    return next(iter(table.columns.values()))


def _measured(visit: Any, inputs: EvidenceInputs, at: MoistAir, _: MoistAir, __: Outside) -> Airflow:
    evidence: schema.Measured = visit.airflow
    flow = Airflow.measured(
        inputs.readings["volume_flow"], at=at, basis=evidence.basis,
        relative_standard_uncertainty=evidence.relative_uncertainty,
    )  # fmt: skip
    who = evidence.instrument
    stated = visit.instruments[who].volume_flow if who is not None else None
    if stated is None or evidence.relative_uncertainty is not None:
        return flow
    # The data sheet is for the instrument in a good stream; the place and the way of holding it have a doubt of their own.
    at_reading = float(np.mean(evidence.volume_flow))
    sheet = stated.statement().standard_uncertainty(at_reading) / at_reading
    together = float(np.hypot(sheet, flow.relative_standard_uncertainty))
    source = f"{flow.uncertainty_source}; with the accuracy of {who} as stated"
    return replace(flow, relative_standard_uncertainty=together, uncertainty_source=source)


def _traverse(visit: Any, inputs: EvidenceInputs, at: MoistAir, _: MoistAir, __: Outside) -> Airflow:
    evidence: schema.Traverse = visit.airflow
    return Airflow.traverse(
        inputs.readings.get("velocity"), inputs.readings.get("velocity_pressure"), at=at, shape=evidence.shape,
        width=evidence.width, height=evidence.height, diameter=evidence.diameter,
        relative_standard_uncertainty=evidence.relative_uncertainty,
    )  # fmt: skip


def _temperature_rise(
    visit: Any, inputs: EvidenceInputs, at: MoistAir, return_air: MoistAir, outside: Outside
) -> Airflow:
    evidence: schema.TemperatureRise = visit.airflow
    heat = heat_to_air(
        heat_input=inputs.readings.get("heat_input"), voltage=inputs.readings.get("voltage"),
        current=inputs.readings.get("current"), phases=evidence.phases,
        fuel_input=inputs.readings.get("fuel_input"), efficiency=evidence.efficiency,
    )  # fmt: skip
    test_air = None
    if evidence.test_dry_bulb is not None:
        # Air colder than the dew point of the visit's air holds no more than saturation.
        most = saturation_humidity_ratio(evidence.test_dry_bulb, return_air.pressure)
        ratio = np.minimum(return_air.humidity_ratio, most)
        test_air = MoistAir.from_humidity_ratio(evidence.test_dry_bulb, ratio, return_air.pressure, impossible="nan")
    return Airflow.temperature_rise(
        heat, inputs.readings["temperature_rise"], at=at, test_air=test_air,
        relative_standard_uncertainty=evidence.relative_uncertainty, outside=outside,
    )  # fmt: skip


def _pressure_match(visit: Any, inputs: EvidenceInputs, at: MoistAir, _: MoistAir, outside: Outside) -> Airflow:
    evidence: schema.PressureMatch = visit.airflow
    return Airflow.pressure_match(
        inputs.readings["device_flow"], inputs.readings["normal_static_pressure"],
        inputs.readings["device_static_pressure"], at=at, basis=evidence.basis,
        relative_standard_uncertainty=evidence.relative_uncertainty, outside=outside,
    )  # fmt: skip


def _coil_pressure_drop(visit: Any, inputs: EvidenceInputs, at: MoistAir, _: MoistAir, outside: Outside) -> Airflow:
    assert inputs.table is not None
    evidence: schema.CoilPressureDrop = visit.airflow
    return Airflow.coil_pressure_drop(
        _first(inputs.table), inputs.table.column(evidence.coil, "airflow.coil"), inputs.readings["pressure_drop"],
        at=at, coil=evidence.coil, relative_standard_uncertainty=evidence.relative_uncertainty, outside=outside,
        units=visit.units,
    )  # fmt: skip


def _rule_of_thumb(visit: Any, _: EvidenceInputs, at: MoistAir, __: MoistAir, ___: Outside) -> Airflow:
    evidence: schema.RuleOfThumb = visit.airflow
    assert visit.system.nominal_capacity is not None
    return Airflow.rule_of_thumb(
        evidence.flow_per_capacity, visit.system.nominal_capacity, at=at,
        relative_standard_uncertainty=evidence.relative_uncertainty,
    )  # fmt: skip


_METHODS: dict[str, Callable[[Any, EvidenceInputs, MoistAir, MoistAir, Outside], Airflow]] = {
    "fan table": _fan_table,
    "measured": _measured,
    "traverse": _traverse,
    "temperature rise": _temperature_rise,
    "pressure match": _pressure_match,
    "coil pressure drop": _coil_pressure_drop,
    "rule of thumb": _rule_of_thumb,
}
