"""What the trainee reads in a scenario: the truth through instruments with drawn errors, as the data of a visit file.

Errors are drawn from the model that `airside` states for a visit: of an accuracy a part stays with the instrument and is
the same before and after, a part comes anew; a probe sits in a stream that is not quite mixed; a reading scatters and is
shown in steps. So the 95 % interval of a comparison should hold the truth for 95 of 100 seeds.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.instruments import defaults
from airside.instruments.accuracy import Statement
from airside.instruments.named_error import Draws, NamedError
from airside.teach.scenario_airflow import Evidence, airflow_shifts, evidence_of
from airside.teach.scenario_schema import STAGES, Scenario
from airside.teach.scenario_truth import StageTruth
from airside.units import KINDS, to_input
from airside.visit.load import visit_from_data
from airside.visit.reading_errors import calibration_errors
from airside.visit.schema import FORMAT

KIND = {
    "dry_bulb": "temperature", "wet_bulb": "temperature", "dew_point": "temperature",
    "relative_humidity": "relative_humidity", "power": "power", "barometric_pressure": "barometric_pressure",
    "volume_flow": "volume_flow", "velocity": "velocity", "duct_pressure": "duct_pressure",
}  # fmt: skip
# Readings of the airflow; pairs of a side-by-side check (common practice, no source).
FLOW_READINGS, PAIRS = 5, 10
# Noise of a velocity at a point of a traverse, as a part of it (common practice, no source).
POINT_NOISE = 0.02
# Streams of random numbers, so that one more reading does not move the rest.
READING, PAIR, FLOW, WEATHER = 1, 2, 3, 4


class Meter:
    """The instruments of a scenario with their errors for one seed.

    Parameters
    ----------
    scenario : Scenario
    seed : int
    """

    def __init__(self, scenario: Scenario, seed: int) -> None:
        self.scenario, self.seed = scenario, seed
        self.draws = Draws(2, seed)

    def random(self, stage: str, stream: int) -> np.random.Generator:
        """Random numbers for the noise of one stage."""
        return np.random.default_rng([self.seed, STAGES.index(stage), stream])

    def error(self, stage: str, who: str, quantity: str, at: float) -> float:
        """What an instrument shows more than is true at a stage [inside unit]."""
        statement, new = self._statement(who, quantity)
        u, shape = statement.standard_uncertainty(at), statement.shape
        found = calibration_errors(who, who, stage, quantity, quantity, u, new, shape)
        return sum(float(self.draws.of(e)[0]) for e in found)

    def _statement(self, who: str, quantity: str) -> tuple[Statement, float]:
        accuracy = getattr(self.scenario.instruments[who], quantity)
        new = accuracy.new_each_visit
        return accuracy.statement(), defaults.NEW_EACH_VISIT[quantity].share if new is None else new

    def beyond_check(self, who: str, quantity: str, at: float) -> float:
        """What a side-by-side check does not see of a probe; it stays from visit to visit."""
        statement, _ = self._statement(who, quantity)
        u = defaults.SIDE_BY_SIDE_REMAINS * statement.standard_uncertainty(at)
        key = f"instrument/{who}/{quantity}/beyond check"
        return float(self.draws.of(NamedError("", key, "calibration", u, statement.shape))[0])

    def placement(self, stage: str, place: str) -> float:
        """What the stream at the probe is warmer than the whole of it [K]."""
        error = NamedError("", f"{stage}/{place}/placement", "placement", defaults.PLACEMENT[place])
        return float(self.draws.of(error)[0])

    def step(self, who: str | None, quantity: str) -> float:
        """Smallest step that is shown [bare unit of the scenario]."""
        units, kind = self.scenario.units, KIND[quantity]
        accuracy = getattr(self.scenario.instruments[who], quantity, None) if who is not None else None
        resolution = accuracy.statement().resolution if accuracy is not None else 0.0
        if resolution > 0:
            return float(to_input(resolution, kind, units)) - float(to_input(0.0, kind, units))
        shown = KINDS[kind].display(units)
        return float(10.0**-shown.decimals) if shown.unit == KINDS[kind].input_unit(units) else 0.1

    def shown(self, true: Any, who: str | None, quantity: str) -> list[float]:
        """Values as the instrument's display shows them [bare unit of the scenario]."""
        step = self.step(who, quantity)
        bare = np.atleast_1d(np.asarray(to_input(np.asarray(true), KIND[quantity], self.scenario.units), dtype=float))
        # Ten digits: a multiple of a step has no rounding tail.
        return [float(f"{round(v / step) * step:.10g}") for v in bare]

    def scatter(self, quantity: str, count: int) -> float:
        """Standard deviation of a reading's noise [inside unit]; with few readings the usual one is taken by `airside`."""
        part = self.scenario.readings.scatter if count >= defaults.ENOUGH_READINGS else 1.0
        return part * defaults.SCATTER[quantity]


def visit_data(scenario: Scenario, truth: StageTruth, meter: Meter) -> dict[str, Any]:
    """The data of a stage's visit file: readings with all errors, and nothing of the truth.

    Raises
    ------
    ScenarioError
        The fan table does not reach the flow.
    """
    exact = evidence_of(scenario, truth)
    whole = _skeleton(scenario, truth, meter, _at_truth(scenario, exact))
    factor, shift = airflow_shifts(visit_from_data(whole), truth, scenario, meter.draws)
    found = evidence_of(scenario, truth, factor, shift)
    return {**whole, "airflow": _read_airflow(scenario, truth, meter, found)}


def _skeleton(scenario: Scenario, truth: StageTruth, meter: Meter, airflow: dict[str, Any]) -> dict[str, Any]:
    stage, fault = truth.stage, scenario.stage(truth.stage)
    data: dict[str, Any] = {"format": FORMAT, "units": scenario.units, "name": f"{scenario.name}, {stage}"}
    if fault.date is not None:
        data["date"] = fault.date
    if stage == "after" and scenario.work is not None:
        data["work"] = scenario.work
    data |= {"mode": "cooling", "site": _site(scenario, truth, meter), "system": _system(scenario, stage)}
    if truth.capacity.gross is not None and scenario.fan is not None:
        data["fan"] = {"power": _bare(scenario.fan.power, "power", scenario)}
    return data | {
        "airflow": airflow, "instruments": _instruments(scenario), **_side_by_side(scenario, truth, meter),
        "readings": _readings(scenario, truth, meter),
    }  # fmt: skip


def _bare(value: float, kind: str, scenario: Scenario) -> float:
    return float(f"{float(to_input(value, kind, scenario.units)):.6g}")


def _site(scenario: Scenario, truth: StageTruth, meter: Meter) -> dict[str, Any]:
    site, who = scenario.site, scenario.site.instrument
    found: dict[str, Any] = {n: v for n in ("name", "address") if (v := getattr(site, n)) is not None}
    if site.elevation is not None:
        found["elevation"] = _bare(site.elevation, "elevation", scenario)
    if who is not None or site.elevation is None:
        pressure = float(np.asarray(truth.return_air.pressure))
        if who is None:
            # The library's default class for a barometer without a name.
            kind = defaults.ACCURACY_CLASSES["barometric_pressure"]
            u = Statement(kind.accuracy).standard_uncertainty(pressure)
            new = defaults.NEW_EACH_VISIT["barometric_pressure"].share
            errors = calibration_errors("", f"{truth.stage}/barometer", truth.stage, "barometric_pressure", "", u, new,
                                        "rectangular")  # fmt: skip
            pressure += sum(float(meter.draws.of(e)[0]) for e in errors)
        else:
            pressure += meter.error(truth.stage, who, "barometric_pressure", pressure)
            found["instrument"] = who
        found["barometric_pressure"] = meter.shown(pressure, who, "barometric_pressure")[0]
    return found


def _system(scenario: Scenario, stage: str) -> dict[str, Any]:
    system, fault = scenario.system, scenario.stage(stage)
    found: dict[str, Any] = {
        "name": scenario.name, "equipment": system.equipment,
        "nominal_capacity": _bare(system.nominal_capacity, "nominal_capacity", scenario),
    }  # fmt: skip
    for source, names in ((system, ("refrigerant", "metering_device")), (fault, ("coil", "filter"))):
        found |= {n: v for n in names if (v := getattr(source, n)) is not None}
    return found


def _instruments(scenario: Scenario) -> dict[str, Any]:
    """Data sheets, in the scenario's units."""
    found: dict[str, Any] = {}
    for name, instrument in scenario.instruments.items():
        found[name] = {"description": instrument.description} if instrument.description is not None else {}
        for quantity in type(instrument).model_fields:
            accuracy = getattr(instrument, quantity)
            if quantity == "description" or accuracy is None:
                continue
            kind = "temperature" if quantity.endswith("temperature") else KIND.get(quantity, quantity)
            table: dict[str, Any] = {}
            for field in accuracy.model_fields_set:
                value = getattr(accuracy, field)
                if field in ("accuracy", "resolution") and value is not None:
                    kind_of = {"temperature": "temperature_difference", "temperature_rise": "temperature_difference"}
                    table[field] = _bare(value, kind_of.get(kind, kind), scenario)
                elif field == "accuracy_of_reading" and value is not None:
                    table[field] = _bare(value, "relative_humidity", scenario)
                elif value is not None:
                    table[field] = value
            # Sets have no order.
            found[name][quantity] = dict(sorted(table.items()))
    return found


# -- readings ---------------------------------------------------------------------------------------------


def place_truth(scenario: Scenario, truth: StageTruth, place: str) -> dict[str, float]:
    """What is true at a place, by quantity [inside unit]."""
    if place == "outdoor":
        return {"dry_bulb": truth.outdoor_dry_bulb}
    air = truth.return_air if place == "return" else truth.supply_air
    name = scenario.readings.humidity
    return {"dry_bulb": float(np.asarray(air.dry_bulb)), name: float(np.asarray(getattr(air, name)))}


def instrument_at(scenario: Scenario, place: str) -> str:
    """Name of the instrument that reads at a place."""
    name: str = getattr(scenario.readings, f"{place}_instrument")
    return name


def shift_at(scenario: Scenario, truth: StageTruth, meter: Meter, place: str, quantity: str, true: float) -> float:
    """All that stays of the error of one place's readings at a stage [inside unit]."""
    who = instrument_at(scenario, place)
    found = meter.error(truth.stage, who, quantity, true)
    if scenario.readings.side_by_side and place != "outdoor":
        found += meter.beyond_check(who, quantity, true)
    return found + (meter.placement(truth.stage, place) if quantity == "dry_bulb" else 0.0)


def possible(quantity: str, values: Array, dry_bulb: Array | None) -> Array:
    """Readings that a probe can show: humidities up to saturation."""
    if quantity == "relative_humidity":
        return np.clip(values, 0.0, 1.0)
    if quantity in ("wet_bulb", "dew_point") and dry_bulb is not None:
        return np.minimum(values, dry_bulb)
    return values


def _readings(scenario: Scenario, truth: StageTruth, meter: Meter) -> dict[str, Any]:
    readings, random = scenario.readings, meter.random(truth.stage, READING)
    count = readings.count
    found: dict[str, Any] = {}
    if count > 1:
        found["interval"] = _bare(readings.interval, "time", scenario)
    for place in ("return", "supply", "outdoor"):
        who = instrument_at(scenario, place)
        table: dict[str, Any] = {"instrument": who}
        dry_bulb: Array | None = None
        for quantity, true in place_truth(scenario, truth, place).items():
            noise = meter.scatter(quantity, count) * random.standard_normal(count)
            values = true + shift_at(scenario, truth, meter, place, quantity, true) + noise
            values = possible(quantity, values, dry_bulb)
            dry_bulb = values if quantity == "dry_bulb" else dry_bulb
            table[quantity] = meter.shown(values, who, quantity)
        found[place] = _in_order(table)
    power, meter_name = truth.power, readings.power_instrument
    if power is not None and meter_name is not None:
        at = power + meter.error(truth.stage, meter_name, "power", power)
        noise = meter.scatter("power", count) * random.standard_normal(count)
        found["power"] = {"instrument": meter_name, "outdoor_unit": meter.shown(at + noise, meter_name, "power")}
    return found


def _in_order(table: Mapping[str, Any]) -> dict[str, Any]:
    """A wet bulb or dew point that rounding lifts over its dry bulb is shown as that."""
    found = dict(table)
    for name in ("wet_bulb", "dew_point"):
        if name in found:
            found[name] = [min(v, t) for v, t in zip(found[name], found["dry_bulb"], strict=True)]
    return found


def _side_by_side(scenario: Scenario, truth: StageTruth, meter: Meter) -> dict[str, Any]:
    """Both probes in the return air: what they differ by there."""
    readings = scenario.readings
    if not readings.side_by_side:
        return {}
    random = meter.random(truth.stage, PAIR)
    pair = [readings.return_instrument, readings.supply_instrument]
    found: dict[str, Any] = {"instruments": pair, "apply": True}
    for quantity, true in place_truth(scenario, truth, "return").items():
        found[quantity] = [
            meter.shown(
                true + meter.error(truth.stage, who, quantity, true)
                + meter.scatter(quantity, PAIRS) * random.standard_normal(PAIRS),
                who, quantity,
            )
            for who in pair
        ]  # fmt: skip
    return {"side_by_side": found}


# -- airflow -----------------------------------------------------------------------------------------------


def _at_truth(scenario: Scenario, evidence: Evidence) -> dict[str, Any]:
    bare = np.atleast_1d(to_input(np.asarray(evidence.at_truth), evidence.kind, scenario.units))
    return {**evidence.fields, evidence.field: [float(v) for v in bare]}


def _read_airflow(scenario: Scenario, truth: StageTruth, meter: Meter, evidence: Evidence) -> dict[str, Any]:
    random, at = meter.random(truth.stage, FLOW), np.asarray(evidence.at_truth, dtype=float)
    if evidence.field == "velocity":
        values = at * (1 + POINT_NOISE * random.standard_normal(at.size))
    elif evidence.relative:
        values = at * (1 + defaults.SCATTER["volume_flow"] * random.standard_normal(FLOW_READINGS))
    else:
        values = at + scenario.readings.scatter * defaults.SCATTER["duct_pressure"] * random.standard_normal(
            FLOW_READINGS
        )
    least = math.ulp(0.0) if evidence.kind != "duct_pressure" else -math.inf
    return {
        **evidence.fields,
        evidence.field: meter.shown(np.maximum(values, least), scenario.airflow.instrument, evidence.kind),
    }
