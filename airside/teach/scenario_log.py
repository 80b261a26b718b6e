"""A scenario's logger file: the start-up of a visit, minute by minute, through the same instruments as its readings.

The fan runs from the beginning; the compressor starts after some minutes. Its capacity then comes up as a first-order
lag; the coil is dry until its surface falls below the dew point, so that drying begins later than cooling. The probes
follow with a lag of their own.
"""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.air.coil_prediction import predict_coil
from airside.air.state import MoistAir
from airside.instruments.response import shown_after
from airside.teach.scenario_readings import WEATHER, Meter, instrument_at, place_truth, possible, shift_at
from airside.teach.scenario_schema import Scenario
from airside.teach.scenario_truth import StageTruth, TrueSystem
from airside.units import KINDS

PLACES = ("return", "supply", "outdoor")
# The parts of capacity that are left to come count as nothing [fraction].
NOTHING = 1e-9
# Power of the outdoor unit comes up sooner than capacity (common practice, no source).
POWER_SETTLES = 0.25


def log_text(scenario: Scenario, truth: StageTruth, meter: Meter, first_line: str) -> str:
    """The logger file of one stage as CSV.

    Parameters
    ----------
    scenario : Scenario
    truth : StageTruth
    meter : Meter
        The instruments with the errors of the seed.
    first_line : str
        A comment that says what the file is.
    """
    times, columns = _columns(scenario, truth, meter)
    held = StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(["time [min]", *columns])
    for i, time in enumerate(times):
        writer.writerow([f"{time / 60:g}", *(f"{column[i]:.10g}" for column in columns.values())])
    return f"{first_line}\n{held.getvalue()}"


def _columns(scenario: Scenario, truth: StageTruth, meter: Meter) -> tuple[Array, dict[str, list[float]]]:
    logger, random = scenario.logger, meter.random(truth.stage, WEATHER)
    times = np.arange(0.0, logger.duration + 0.5 * logger.interval, logger.interval)
    share = start_up(times, logger.start, logger.settling)
    supply = supply_during(scenario, truth, share)
    columns: dict[str, list[float]] = {}
    for place in PLACES:
        who, dry_bulb = instrument_at(scenario, place), None
        for quantity, true in place_truth(scenario, truth, place).items():
            there = np.full(times.size, true)
            if place == "supply":
                there = np.asarray(getattr(supply, quantity), dtype=float)
            seen = lagged(there, logger.interval, logger.response)
            noise = meter.scatter(quantity, times.size) * random.standard_normal(times.size)
            values = possible(
                quantity, seen + shift_at(scenario, truth, meter, place, quantity, true) + noise, dry_bulb
            )
            dry_bulb = values if quantity == "dry_bulb" else dry_bulb
            unit = KINDS["relative_humidity" if quantity == "relative_humidity" else "temperature"].input_unit(
                scenario.units
            )
            head = f"{place} {quantity.replace('_', ' ')} [{'%' if unit == 'percent' else unit}]"
            columns[head] = meter.shown(values, who, quantity)
    meter_name = scenario.readings.power_instrument
    if truth.power is not None and meter_name is not None:
        sooner = start_up(times, logger.start, POWER_SETTLES * logger.settling)
        at = truth.power * sooner
        at = at * (1 + meter.error(truth.stage, meter_name, "power", truth.power) / truth.power)
        noise = meter.scatter("power", times.size) * random.standard_normal(times.size)
        columns["outdoor unit power [kW]"] = meter.shown(np.where(sooner > 0, at + noise, 0.0), meter_name, "power")
    return times, columns


def start_up(times: Array, start: float, settling: float) -> Array:
    """Part of the steady capacity that is there [fraction]: nothing before the start, then a first-order lag.

    Parameters
    ----------
    times : array [s]
    start : float [s]
        When the compressor starts.
    settling : float [s]
        Time constant.
    """
    since = np.maximum(times - start, 0.0)
    part: Array = -np.expm1(-since / settling)
    return part


def supply_during(scenario: Scenario, truth: StageTruth, share: Array) -> Any:
    """Supply air at each part of the steady capacity, the fan's heat in it: a `MoistAir` of arrays."""
    system = TrueSystem(scenario)
    air, flow = truth.return_air, truth.dry_air_mass_flow
    gross = truth.total + system.fan
    had = float(np.asarray(system.healthy.enthalpy_difference)) * float(np.asarray(system.healthy.dry_air_mass_flow))
    coil = predict_coil(
        system.healthy, return_air=air, dry_air_mass_flow=flow, capacity_ratio=np.maximum(share, NOTHING) * gross / had
    )
    off = share <= NOTHING
    dry_bulb = np.where(off, air.dry_bulb, coil.supply_air.dry_bulb)
    ratio = np.where(off, air.humidity_ratio, coil.supply_air.humidity_ratio)
    return system.with_fan(MoistAir(dry_bulb, ratio, air.pressure), flow)


def lagged(values: Array, interval: float, response: float) -> Array:
    """What a probe with a time constant shows of values at equal steps.

    Parameters
    ----------
    values : array, shape (n,)
    interval, response : float [s]
    """
    shown = [float(values[0])]
    for value in values[1:]:
        shown.append(shown_after(interval, response, shown[-1], float(value)))
    return np.asarray(shown)
