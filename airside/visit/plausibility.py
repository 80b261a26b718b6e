"""What cannot be, and what is unlikely: errors and warnings about a visit, each with its reason."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from airside.air.process import Capacity
from airside.air.properties import standard_atmosphere_pressure
from airside.air.state import TESTED_DRY_BULB, TESTED_PRESSURE
from airside.airflow.result import Airflow
from airside.errors import Problem
from airside.units import KINDS, UnitSystem, parse, show, to_input
from airside.visit.schema import AirReadings, Visit

# Common practice, no source: flows per nominal capacity beyond these ask for a second look [cfm per ton].
FLOW_PER_CAPACITY = (250.0, 550.0)
# Weather moves the barometer by about 3 % about the standard atmosphere.
PRESSURE_DISAGREEMENT = 0.03
# Fewer readings have no scatter worth the name (common practice, no source).
FEWEST_READINGS = 3
# A supply this much warmer than return in cooling is not cooling [K] (common practice, no source).
SWAP_DIFFERENCE = 3.0
# Delivered over nominal capacity beyond these asks for a second look (common practice, no source).
CAPACITY_SHARE = (0.3, 1.6)


@dataclass(frozen=True)
class VisitWarning:
    """Something unlikely: a short code that stays, and a sentence."""

    code: str
    message: str


def _places(visit: Visit) -> Iterator[tuple[str, AirReadings]]:
    yield "return", visit.readings.return_air
    yield "supply", visit.readings.supply
    if visit.readings.outdoor is not None:
        yield "outdoor", visit.readings.outdoor


def impossible_readings(visit: Visit) -> list[Problem]:
    """Everything in a visit that cannot be; one problem for each value."""
    return [*_impossible_air(visit), *_impossible_site(visit), *_swapped(visit), *_impossible_numbers(visit)]


def _impossible_air(visit: Visit) -> Iterator[Problem]:
    units = visit.units
    other: UnitSystem = "SI" if units == "IP" else "IP"
    low, high = (show(v, "temperature", units) for v in TESTED_DRY_BULB)
    for place, readings in _places(visit):
        for row, dry in enumerate(readings.dry_bulb, 1):
            if not TESTED_DRY_BULB[0] <= dry <= TESTED_DRY_BULB[1]:
                typed = to_input(dry, "temperature", units)
                hint = KINDS["temperature"].display(other).label
                yield Problem(
                    f"found {show(dry, 'temperature', units)}; expected {low} to {high}. "
                    f'If it is {typed:g} {hint}, write "{typed:g} {hint}" or set units = "{other}".',
                    f"readings.{place}.dry_bulb", row,
                )  # fmt: skip
        name = readings.humidity_name
        if name is None:
            continue
        for row, (dry, value) in enumerate(zip(readings.dry_bulb, getattr(readings, name), strict=True), 1):
            where = f"readings.{place}.{name}"
            if name == "relative_humidity":
                if not 0 <= value <= 1 + 1e-9:
                    yield Problem(
                        f"found {value * 100:g} % RH; expected 0 to 100 %. Is the column another quantity?", where, row
                    )
            elif value > dry + 1e-9:
                word = name.replace("_", " ")
                yield Problem(
                    f"found a {word} of {show(value, 'temperature', units, decimals=2)} above the dry bulb of "
                    f"{show(dry, 'temperature', units, decimals=2)}, which cannot be. Check for swapped columns, "
                    "or leave the reading out if the sensor lagged.",
                    where, row,
                )  # fmt: skip


def _impossible_site(visit: Visit) -> Iterator[Problem]:
    pressure, elevation, units = visit.site.barometric_pressure, visit.site.elevation, visit.units
    if elevation is not None and not -500 <= elevation <= 4300:
        yield Problem(
            f"found {show(elevation, 'elevation', units)}; expected {show(-500, 'elevation', units)} to "
            f"{show(4300, 'elevation', units)}. Bare elevations are feet in IP, metres in SI.",
            "site.elevation",
        )
    if pressure is not None and not TESTED_PRESSURE[0] <= pressure <= TESTED_PRESSURE[1]:
        typed = to_input(pressure, "barometric_pressure", units)
        own = KINDS["barometric_pressure"].input_unit(units)
        fits = [
            unit
            for unit in ("inHg", "inH2O", "kPa", "hPa", "psi", "Pa")
            if unit != own
            and TESTED_PRESSURE[0] <= parse(f"{typed:.10g} {unit}", "barometric_pressure") <= TESTED_PRESSURE[1]
        ]
        hint = f' {typed:.6g} looks like {fits[0]}: write "{typed:.6g} {fits[0]}".' if fits else ""
        low, high = (show(v, "barometric_pressure", units) for v in TESTED_PRESSURE)
        yield Problem(
            f"found {show(pressure, 'barometric_pressure', units)}; expected {low} to {high}, absolute.{hint}",
            "site.barometric_pressure",
        )


def _swapped(visit: Visit) -> Iterator[Problem]:
    rise = float(np.mean(visit.readings.supply.dry_bulb) - np.mean(visit.readings.return_air.dry_bulb))
    wrong = rise if visit.mode == "cooling" else -rise
    if wrong < SWAP_DIFFERENCE:
        return
    amount = show(abs(rise), "temperature_difference", visit.units)
    side = "warmer" if rise > 0 else "colder"
    other = "heating" if visit.mode == "cooling" else "cooling"
    yield Problem(
        f'the supply is {amount} {side} than the return, but mode is "{visit.mode}". The probes look swapped: '
        f'change the names of the two tables, or set mode = "{other}".',
        "readings",
    )


def _impossible_numbers(visit: Visit) -> Iterator[Problem]:
    capacity = visit.system.nominal_capacity
    if capacity is not None and capacity <= 0:
        yield Problem("found a capacity that is not above zero; expected the nameplate's.", "system.nominal_capacity")
    if visit.fan is not None and min(visit.fan.power) < 0:
        yield Problem("found a fan power below zero; expected zero or above.", "fan.power")
    stated = visit.airflow.relative_uncertainty
    if stated is not None and not 0 < stated < 1:
        yield Problem(
            f"found {stated:g}; expected a standard uncertainty as a fraction between 0 and 1, such as 0.05.",
            "airflow.relative_uncertainty",
        )
    if getattr(visit.airflow, "method", "") == "rule of thumb" and capacity is None:
        yield Problem("is missing; the rule of thumb multiplies it with flow_per_capacity.", "system.nominal_capacity")


def unlikely_readings(visit: Visit) -> list[VisitWarning]:
    """Warnings that the readings alone give."""
    warnings = []
    units = visit.units
    for place, readings in _places(visit):
        count = len(readings.dry_bulb)
        if count < FEWEST_READINGS and place != "outdoor":
            warnings.append(VisitWarning(
                "few_readings",
                f"readings.{place}: {count} reading{'s' if count > 1 else ''}; at least {FEWEST_READINGS} are needed "
                "to see scatter and drift.",
            ))  # fmt: skip
        humidity = readings.relative_humidity
        if humidity is not None and max(humidity) <= 0.015:
            warnings.append(VisitWarning(
                "humidity_as_fraction",
                f"readings.{place}.relative_humidity: the highest is {max(humidity) * 100:g} %. Bare numbers are "
                "percent: a fraction of 0.46 is written 46.",
            ))  # fmt: skip
    lengths = {place: len(r.dry_bulb) for place, r in _places(visit) if place != "outdoor"}
    if len(set(lengths.values())) > 1:
        listed = ", ".join(f"{count} at {place}" for place, count in lengths.items())
        warnings.append(VisitWarning("unequal_lengths", f"readings: {listed}. Their means are of different times."))
    pressure, elevation = visit.site.barometric_pressure, visit.site.elevation
    if pressure is not None and elevation is not None:
        standard = float(standard_atmosphere_pressure(elevation))
        if abs(pressure / standard - 1) > PRESSURE_DISAGREEMENT:
            warnings.append(VisitWarning(
                "pressure_against_elevation",
                f"site: the barometric pressure {show(pressure, 'barometric_pressure', units)} is "
                f"{pressure / standard - 1:+.1%} from the standard atmosphere at {show(elevation, 'elevation', units)} "
                f"({show(standard, 'barometric_pressure', units)}). The reading is used. A weather service's figure is "
                "brought to sea level and must not be typed here.",
            ))  # fmt: skip
    return warnings


def unlikely_results(visit: Visit, airflow: Airflow, capacity: Capacity) -> list[VisitWarning]:
    """Warnings that need the airflow and the capacity."""
    warnings = [VisitWarning("airflow_evidence", w) for w in airflow.warnings]
    units, nominal = visit.units, visit.system.nominal_capacity
    rise = float(np.mean(visit.readings.supply.dry_bulb) - np.mean(visit.readings.return_air.dry_bulb))
    if (rise > 0) == (visit.mode == "cooling") and rise != 0:
        side = "warmer" if rise > 0 else "colder"
        warnings.append(VisitWarning(
            "supply_against_mode",
            f"The supply is {show(abs(rise), 'temperature_difference', units)} {side} than the return in {visit.mode}: "
            "the equipment may not have been running, or the probes are swapped.",
        ))  # fmt: skip
    if visit.mode == "cooling" and float(capacity.moisture_removal) < -1e-9:
        warnings.append(VisitWarning(
            "supply_wetter",
            "The supply holds more water than the return, so latent capacity is below zero. On a dry coil that is "
            "probe error; compare the two probes side by side.",
        ))  # fmt: skip
    if nominal is not None:
        ratio = float(airflow.volume_flow) / nominal
        low, high = (float(parse(f"{v} cfm/ton", "flow_per_capacity")) for v in FLOW_PER_CAPACITY)
        if not low <= ratio <= high:
            warnings.append(VisitWarning(
                "flow_per_capacity",
                f"The airflow is {show(ratio, 'flow_per_capacity', units)} of nominal capacity; customary is "
                f"{show(low, 'flow_per_capacity', units)} to {show(high, 'flow_per_capacity', units)}. "
                "Check the airflow evidence and the nominal capacity.",
            ))  # fmt: skip
        share = float(capacity.total) / nominal
        if not CAPACITY_SHARE[0] <= share <= CAPACITY_SHARE[1]:
            warnings.append(VisitWarning(
                "capacity_against_nominal",
                f"The total capacity is {share:.0%} of nominal. Check airflow, probes and nominal capacity.",
            ))  # fmt: skip
    return warnings
