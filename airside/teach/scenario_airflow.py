"""The airflow evidence of a scenario's visit: what a station, a traverse or a fan table would show, with its errors.

The errors are those that `airside.visit` states for the method: its own, in parts that are shared by both visits, that
belong to the settings, and that come anew; and its instrument's.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from io import StringIO
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.airflow import Airflow
from airside.airflow.result import STANDARD_DENSITY
from airside.airflow.traverse import duct_area, rectangular_positions
from airside.errors import Problem
from airside.instruments.named_error import Draws
from airside.teach.scenario import ScenarioError
from airside.teach.scenario_schema import Scenario
from airside.teach.scenario_truth import StageTruth
from airside.units import show, to_input, to_inside
from airside.visit.airflow_errors import AIRFLOW_QUANTITY, add_airflow
from airside.visit.evidence import airflow_for, evidence_inputs
from airside.visit.perturbation import shifts_of
from airside.visit.reading_errors import VisitErrors
from airside.visit.schema import Visit

TABLE_FILE = "fan_table.csv"
# These come with each reading, not with the instrument or the method.
OF_EACH_READING = ("resolution", "repeatability")


@dataclass(frozen=True)
class Evidence:
    """The airflow table of a visit.

    Attributes
    ----------
    field : str
        The field that holds readings.
    kind : str
        Kind of its quantity.
    at_truth : float or array [inside unit of ``kind``]
        What would be read without any error.
    fields : dict
        The rest of the table as the file holds it, bare numbers in the scenario's units.
    relative : bool
        Whether a reading's noise is a part of it.
    """

    field: str
    kind: str
    at_truth: Any
    fields: dict[str, Any]
    relative: bool


def place_of_flow(scenario: Scenario) -> str:
    """Where the volume flow is read."""
    if scenario.airflow.at is not None:
        return scenario.airflow.at
    return "return" if scenario.airflow.method == "measured" else "supply"


def evidence_of(scenario: Scenario, truth: StageTruth, factor: float = 0.0, shift: float = 0.0) -> Evidence:
    """What is read of the airflow.

    Parameters
    ----------
    scenario : Scenario
    truth : StageTruth
    factor : float
        Logarithm of the true flow over what the method finds.
    shift : float [inside unit of the reading]
        What the true reading has more than the instrument shows.

    Raises
    ------
    ScenarioError
        The fan table does not reach the flow.
    """
    airflow, place = scenario.airflow, place_of_flow(scenario)
    air = truth.return_air if place == "return" else truth.supply_air
    found = truth.dry_air_mass_flow * float(np.asarray(air.specific_volume)) * float(np.exp(-factor))
    common: dict[str, Any] = {"method": airflow.method, "at": place}
    if airflow.instrument is not None:
        common["instrument"] = airflow.instrument
    if airflow.relative_uncertainty is not None:
        common["relative_uncertainty"] = airflow.relative_uncertainty
    if airflow.method == "measured":
        return Evidence("volume_flow", "volume_flow", found - shift, {**common, "basis": "actual"}, True)
    if airflow.method == "traverse":
        return _traverse(scenario, found, shift, common)
    static, flow = _column(scenario)
    # The fan moves the same volume at any density; its pressure goes with density.
    entered = float(np.interp(-found, -flow, static, left=np.nan, right=np.nan))
    if np.isnan(entered):
        raise ScenarioError("scenario", [Problem(
            f"the fan table at speed {airflow.speed} does not reach the true airflow {truth.stage}, which is "
            f"{show(found, 'volume_flow', scenario.units)} with the method's error. Give it rows for more and for less flow.",
            "airflow.rows",
        )])  # fmt: skip
    there = entered * float(np.asarray(air.density)) / STANDARD_DENSITY
    fields = {**common, "table": TABLE_FILE, "speed": airflow.speed}
    return Evidence("external_static_pressure", "duct_pressure", there - shift, fields, False)


def _traverse(scenario: Scenario, found: float, shift: float, common: dict[str, Any]) -> Evidence:
    airflow = scenario.airflow
    assert airflow.width is not None and airflow.height is not None
    area = duct_area("rectangular", width=airflow.width, height=airflow.height)
    sides = rectangular_positions(1.0, 1.0, airflow.points, airflow.points)
    # A flat middle and slow edges, as in a duct with a straight run before it.
    shape: Array = np.prod(1 - np.abs(2 * sides - 1) ** 7, axis=1) ** 0.3
    velocities = found / area * shape / shape.mean() - shift
    measures = {
        n: round(float(to_input(getattr(airflow, n), "duct_side", scenario.units)), 4) for n in ("width", "height")
    }
    return Evidence("velocity", "velocity", velocities, {**common, "shape": "rectangular", **measures}, True)


def _column(scenario: Scenario) -> tuple[Array, Array]:
    """Static pressure [Pa] and flow [m³/s] of the speed that is used, by rising pressure."""
    airflow, units = scenario.airflow, scenario.units
    at = 1 + airflow.speeds.index(str(airflow.speed))
    rows = sorted((row[0], row[at]) for row in airflow.rows)
    static, flow = (np.array([r[i] for r in rows]) for i in (0, 1))
    if np.any(np.diff(static) <= 0) or np.any(np.diff(flow) >= 0):
        raise ScenarioError("scenario", [Problem(
            "the fan table's flow must fall as the static pressure rises, each pressure once.", "airflow.rows"
        )])  # fmt: skip
    return np.asarray(to_inside(static, "duct_pressure", units)), np.asarray(to_inside(flow, "volume_flow", units))


def table_text(scenario: Scenario, first_line: str) -> str:
    """The fan table as CSV."""
    airflow = scenario.airflow
    pressure, flow = ("inH2O", "cfm") if scenario.units == "IP" else ("Pa", "L/s")
    heads = [f"static pressure [{pressure}]", *(f"{s} [{flow}]" for s in airflow.speeds)]
    held = StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([[f"{v:g}" for v in row] for row in sorted(airflow.rows)])
    return f"{first_line}\n{held.getvalue()}"


def airflow_shifts(visit: Visit, truth: StageTruth, scenario: Scenario, draws: Draws) -> tuple[float, float]:
    """Drawn errors of the airflow: logarithm of true flow over found flow, and true reading less shown reading.

    Parameters
    ----------
    visit : Visit
        With readings that are true.
    truth : StageTruth
    scenario : Scenario
    draws : Draws
        Of the scenario's seed; errors of one key are the same before and after.
    """
    errors = VisitErrors()
    add_airflow(errors, visit, truth.stage, _library_airflow(visit, truth, scenario))
    errors.settle()
    drawn = {e.key: float(draws.of(e)[0]) for e in errors.errors if e.kind not in OF_EACH_READING}
    shifts = shifts_of(errors, drawn)
    name = evidence_of(scenario, truth).field
    assert name in AIRFLOW_QUANTITY
    return float(np.asarray(shifts.get("airflow.factor", 0.0))), float(np.asarray(shifts.get(f"airflow.{name}", 0.0)))


def _library_airflow(visit: Visit, truth: StageTruth, scenario: Scenario) -> Airflow:
    """The library's airflow at the true readings, for the method's own uncertainty."""
    if scenario.airflow.method != "fan table":
        return airflow_for(visit, evidence_inputs(visit), truth.return_air, truth.supply_air)
    static, flow = _column(scenario)
    reading = evidence_of(scenario, truth).at_truth
    air = truth.return_air if place_of_flow(scenario) == "return" else truth.supply_air
    return Airflow.fan_table(
        static, flow, reading, at=air, relative_standard_uncertainty=scenario.airflow.relative_uncertainty
    )
