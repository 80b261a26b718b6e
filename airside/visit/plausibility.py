"""What is unlikely: warnings about a visit, each with its reason. What cannot be is in `airside.visit.impossible`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from airside.air.atmosphere import standard_atmosphere_pressure
from airside.air.process import Capacity
from airside.airflow.result import Airflow
from airside.units import KINDS, parse, show
from airside.visit.schema import AirReadings, Visit

# Common practice, no source: flows per nominal capacity beyond these ask for a second look [cfm per ton].
FLOW_PER_CAPACITY = (250.0, 550.0)
# Weather moves the barometer by about 3 % about the standard atmosphere.
PRESSURE_DISAGREEMENT = 0.03
# Fewer readings have no scatter worth the name (common practice, no source).
FEWEST_READINGS = 3
# Delivered over nominal capacity beyond these asks for a second look (common practice, no source).
CAPACITY_SHARE = (0.3, 1.6)
# Power over delivered capacity beyond these asks for a second look (common practice, no source).
FAN_SHARE, POWER_SHARE = 0.25, 1.0
# Return air beyond these is hardly air of a room [°C] (common practice, no source).
RETURN_DRY_BULB = (5.0, 45.0)
# Readings of one condition lie closer together than this [K] (common practice, no source).
WIDEST_READINGS = 10.0


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
        for name in ("dry_bulb", "wet_bulb", "dew_point"):
            values = getattr(readings, name)
            if values is not None and max(values) - min(values) > WIDEST_READINGS:
                low, high = (show(v, "temperature", units) for v in (min(values), max(values)))
                warnings.append(VisitWarning(
                    "wide_readings",
                    f"readings.{place}.{name}: goes from {low} to {high}. Readings of one condition lie closer "
                    "together; a decimal comma makes two numbers of one.",
                ))  # fmt: skip
    usual = float(np.mean(visit.readings.return_air.dry_bulb))
    if not RETURN_DRY_BULB[0] <= usual <= RETURN_DRY_BULB[1]:
        other = KINDS["temperature"].display("SI" if units == "IP" else "IP").label
        warnings.append(VisitWarning(
            "return_temperature",
            f"readings.return.dry_bulb: the mean is {show(usual, 'temperature', units)}, hardly the air of a room. "
            f"If it was typed in {other}, correct `units`.",
        ))  # fmt: skip
    lengths = {place: len(r.dry_bulb) for place, r in _places(visit) if place != "outdoor"}
    if len(set(lengths.values())) > 1:
        listed = ", ".join(f"{count} at {place}" for place, count in lengths.items())
        warnings.append(VisitWarning("unequal_lengths", f"readings: {listed}. Their means are of different times."))
    pressure, elevation = visit.site.barometric_pressure, visit.site.elevation
    if pressure is not None and elevation is not None:
        standard = float(standard_atmosphere_pressure(elevation))
        apart = pressure / standard - 1
        if abs(apart) > PRESSURE_DISAGREEMENT:
            warnings.append(VisitWarning(
                "pressure_against_elevation",
                f"site: the barometric pressure {show(pressure, 'barometric_pressure', units)} is "
                f"{abs(apart) * 100:.1f} % {'above' if apart > 0 else 'below'} the standard atmosphere at "
                f"{show(elevation, 'elevation', units)} ({show(standard, 'barometric_pressure', units)}). "
                "The reading is used. A weather service's figure is brought to sea level and must not be typed here.",
            ))  # fmt: skip
    return warnings


def _unlikely_power(visit: Visit, capacity: Capacity) -> list[VisitWarning]:
    """Power that does not go with the capacity: often watts typed as kilowatts."""
    found = []
    delivered, units = abs(float(capacity.total)), visit.units
    powers = visit.readings.power
    outdoor = powers.total or powers.outdoor_unit if powers is not None else None
    for name, values, most in (
        ("fan.power", visit.fan.power if visit.fan is not None else None, FAN_SHARE),
        ("readings.power", outdoor, POWER_SHARE),
    ):
        if values is not None and delivered > 0 and float(np.mean(values)) > most * delivered:
            found.append(VisitWarning(
                "power_against_capacity",
                f"{name}: {show(float(np.mean(values)), 'power', units)} is over {most * 100:.0f} % of the delivered capacity. "
                "Bare numbers are kW: were watts typed?",
            ))  # fmt: skip
    return found


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
    warnings += _unlikely_power(visit, capacity)
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
                f"The total capacity is {share * 100:.0f} % of nominal. Check airflow, probes and nominal capacity.",
            ))  # fmt: skip
    return warnings
