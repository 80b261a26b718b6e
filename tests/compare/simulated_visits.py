"""Visits with known truth: true states and flow, and readings with errors drawn from the model that airside states.

The draws here are made with numpy alone; only sizes that airside assumes (the split between shared
and new error, the usual scatter, weather) are taken from its tables.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

import airside
from airside.air.atmosphere import standard_atmosphere_pressure
from airside.instruments import defaults
from airside.visit.load import visit_from_data
from airside.visit.schema import Visit

# Data sheets of the simulated instruments, SI as a visit file has them: K, percent RH, kPa, percent of reading.
PROBE = {
    "dry_bulb": {"accuracy": 0.4, "resolution": 0.1},
    "relative_humidity": {"accuracy": 1.5, "accuracy_of_reading": 1.0, "combination": "sum", "resolution": 0.1},
}
# Relative standard uncertainty of the airflow, the place of the station included.
STATION = 0.035
BAROMETER = {"barometric_pressure": {"accuracy": 0.2, "coverage": "95 %"}}
THERMOMETER = {"dry_bulb": {"accuracy": 0.5, "resolution": 0.1}}
RETURN_PLACEMENT, SUPPLY_PLACEMENT, OUTDOOR_PLACEMENT = 0.1, 0.15, 0.3


@dataclass(frozen=True)
class Truth:
    """What really was, one condition of one system [SI]."""

    return_dry_bulb: float
    return_humidity: float
    supply_dry_bulb: float
    supply_humidity: float
    volume_flow: float
    elevation: float
    weather: float
    outdoor_dry_bulb: float = 32.0

    @property
    def pressure(self) -> float:
        """Barometric pressure: the standard atmosphere's, moved by the weather."""
        return float(standard_atmosphere_pressure(self.elevation)) * (1 + self.weather)

    @property
    def return_air(self) -> airside.MoistAir:
        """True return air."""
        return airside.MoistAir.from_relative_humidity(self.return_dry_bulb, self.return_humidity, self.pressure)

    @property
    def supply_air(self) -> airside.MoistAir:
        """True supply air."""
        return airside.MoistAir.from_relative_humidity(self.supply_dry_bulb, self.supply_humidity, self.pressure)

    @property
    def total(self) -> float:
        """True total capacity [W]."""
        flow = airside.Airflow.measured(self.volume_flow, at=self.return_air)
        return float(airside.delivered_capacity(self.return_air, self.supply_air, flow).total)


class Instruments:
    """Instruments with errors of their own: what stays with them is drawn once, the rest with each visit."""

    def __init__(self, random: np.random.Generator) -> None:
        self.random = random
        self._fixed: dict[tuple[str, str], float] = {}

    def _unit(self, shape: str) -> float:
        if shape == "normal":
            return float(self.random.standard_normal())
        return float(self.random.uniform(-math.sqrt(3), math.sqrt(3)))

    def new_visit(self) -> dict[tuple[str, str], float]:
        """Room for what comes anew with a visit."""
        return {}

    def error(self, visit: dict[tuple[str, str], float], name: str, quantity: str, u: float, shape: str) -> float:
        """Error of an instrument in one visit, standard uncertainty u."""
        key, new = (name, quantity), defaults.NEW_EACH_VISIT[quantity].share
        if key not in self._fixed:
            self._fixed[key] = self._unit(shape)
        if key not in visit:
            visit[key] = self._unit(shape)
        return u * (math.sqrt(1 - new) * self._fixed[key] + math.sqrt(new) * visit[key])

    def beyond_check(self, name: str, quantity: str, u: float) -> float:
        """What a side-by-side check does not see of an instrument; it stays from visit to visit."""
        key = (name, f"{quantity} beyond check")
        if key not in self._fixed:
            self._fixed[key] = self._unit("rectangular")
        return u * self._fixed[key]


def supply_for(total: Any, return_air: Any, humidity: Any, flow: Any, pressure: Any) -> Any:
    """Supply dry bulb [°C] that makes a total capacity, by halving."""
    low, high = np.asarray(return_air.dry_bulb) - 25.0, np.asarray(return_air.dry_bulb) + 0.0
    for _ in range(60):
        middle = (low + high) / 2
        supply_air = airside.MoistAir.from_relative_humidity(middle, humidity, pressure)
        airflow = airside.Airflow.measured(flow, at=return_air)
        too_cold = airside.delivered_capacity(return_air, supply_air, airflow).total > total
        low, high = np.where(too_cold, middle, low), np.where(too_cold, high, middle)
    return (low + high) / 2


def rounded(value: float, step: float) -> float:
    """As a display shows it."""
    return round(round(value / step) * step, 9)


def measured_visit(
    truth: Truth,
    instruments: Instruments,
    random: np.random.Generator,
    *,
    count: int,
    barometer: bool,
    name: str,
    check: bool = False,
) -> Visit:
    """A visit to a true condition: every reading with its errors.

    With a check, both probes were held in one airstream of 25 °C and 50 % before the readings; what it
    does not see of each probe stays.
    """
    anew = instruments.new_visit()

    def read(who: str, quantity: str, true: float, half_width: float, step: float, scale: float = 1.0) -> list[float]:
        usual = defaults.SCATTER[quantity]
        # With fewer than four readings airside takes the usual scatter; then it must be true.
        scatter = usual if count < defaults.ENOUGH_READINGS else usual * random.uniform(0.3, 1.5)
        u = half_width / math.sqrt(3)
        shift = instruments.error(anew, who, quantity, u, "rectangular")
        if check and who.startswith("probe"):
            shift += instruments.beyond_check(who, quantity, defaults.SIDE_BY_SIDE_REMAINS * u)
        return [rounded((true + shift + scatter * random.standard_normal()) * scale, step) for _ in range(count)]

    def place(who: str, dry_bulb: float, humidity: float, placement: float) -> dict[str, Any]:
        there = dry_bulb + placement * random.standard_normal()
        half_width = 0.015 + 0.01 * humidity
        return {
            "instrument": who, "placement": placement, "dry_bulb": read(who, "dry_bulb", there, 0.4, 0.1),
            "relative_humidity": read(who, "relative_humidity", humidity, half_width, 0.1, 100.0),
        }  # fmt: skip

    def together(who: str, quantity: str, true: float, half_width: float, scale: float) -> list[float]:
        shift = instruments.error(anew, who, quantity, half_width / math.sqrt(3), "rectangular")
        noise = defaults.SCATTER[quantity] * random.standard_normal(10)
        return [rounded((true + shift + e) * scale, 0.1) for e in noise]

    station = instruments.error(anew, "station", "volume_flow", STATION, "normal")
    flow_scatter = 0.01 * random.standard_normal(6)
    flows = [float(truth.volume_flow * math.exp(station + e)) * 1000 for e in flow_scatter]
    site: dict[str, Any] = {"elevation": truth.elevation}
    if barometer:
        shift = instruments.error(anew, "barometer", "barometric_pressure", 200 / 1.959964, "normal")
        site = {"barometric_pressure": (truth.pressure + shift) / 1000, "instrument": "barometer"}
    outdoor = truth.outdoor_dry_bulb + OUTDOOR_PLACEMENT * random.standard_normal()
    checked = {
        "side_by_side": {
            "instruments": ["probe 1", "probe 2"],
            "dry_bulb": [together(p, "dry_bulb", 25.0, 0.4, 1.0) for p in ("probe 1", "probe 2")],
            "relative_humidity": [together(p, "relative_humidity", 0.5, 0.02, 100.0) for p in ("probe 1", "probe 2")],
        }
    }  # fmt: skip
    return visit_from_data({
        **(checked if check else {}), "format": "airside visit 1", "units": "SI", "name": name, "mode": "cooling", "site": site,
        "system": {"name": "simulated", "nominal_capacity": 10.0},
        "airflow": {"method": "measured", "basis": "actual", "at": "return", "instrument": "station",
                    "relative_uncertainty": STATION, "volume_flow": flows},
        "instruments": {"probe 1": PROBE, "probe 2": PROBE, "station": {}, "barometer": BAROMETER,
                        "thermometer": THERMOMETER},
        "readings": {
            "return": place("probe 1", truth.return_dry_bulb, truth.return_humidity, RETURN_PLACEMENT),
            "supply": place("probe 2", truth.supply_dry_bulb, truth.supply_humidity, SUPPLY_PLACEMENT),
            "outdoor": {"instrument": "thermometer", "placement": OUTDOOR_PLACEMENT,
                        "dry_bulb": read("thermometer", "dry_bulb", outdoor, 0.5, 0.1)},
        },
    })  # fmt: skip


def random_truth(random: np.random.Generator) -> Truth:
    """A cooling unit somewhere between sea level and 2,500 m, which does not moisten the air."""
    while True:
        dry_bulb = random.uniform(22.0, 29.0)
        truth = Truth(
            return_dry_bulb=dry_bulb,
            return_humidity=random.uniform(0.35, 0.6),
            supply_dry_bulb=dry_bulb - random.uniform(9.0, 14.0),
            supply_humidity=random.uniform(0.75, 0.92),
            volume_flow=random.uniform(0.3, 0.8),
            elevation=random.uniform(0.0, 2500.0),
            weather=defaults.WEATHER_PRESSURE * float(random.standard_normal()),
        )
        if truth.supply_air.humidity_ratio < truth.return_air.humidity_ratio:
            return truth
