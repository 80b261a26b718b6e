"""Return and supply air as questions of capacity state them, and the library's capacity between them."""

from __future__ import annotations

from typing import Any

from airside.air import properties
from airside.air.process import Capacity, TextbookFactor, delivered_capacity, textbook_factors
from airside.air.state import MoistAir
from airside.airflow import Airflow
from airside.errors import AirsideError
from airside.teach.kinds.stated_air import pressure_for
from airside.teach.question import Parameter, Values

# A barometer of the hills [Pa], where the question leaves it open: enthalpies do not depend on it.
HILLS = 86_000.0
# Supply over return: the colder air takes less room, at one barometer.
USUAL_VOLUME_RATIO = (1.035, 1.06)

DRY_BULBS = (
    Parameter("return_dry_bulb", "temperature", 22.5, 26.5, (0.1, 0.1)),
    Parameter("supply_dry_bulb", "temperature", 11.0, 15.0, (0.1, 0.1)),
)
ENTHALPIES = (
    Parameter("return_enthalpy", "enthalpy", 45.0e3, 58.0e3, (0.05, 0.1)),
    Parameter("supply_enthalpy", "enthalpy", 33.0e3, 42.0e3, (0.05, 0.1)),
)
HUMIDITY_RATIOS = (
    Parameter("return_ratio", "humidity_ratio", 0.0088, 0.0128, (0.1, 0.02)),
    Parameter("supply_ratio", "humidity_ratio", 0.0076, 0.0105, (0.1, 0.02)),
)
MASS_FLOW = Parameter("mass_flow", "mass_flow", 0.45, 1.1, (10.0, 0.005))
FLOW = Parameter("flow", "volume_flow", 0.5, 1.0, (10.0, 5.0))
SUPPLY_VOLUME = Parameter("supply_volume", "specific_volume", 0.93, 1.07, (0.05, 0.005))


def states(values: Values) -> tuple[MoistAir, MoistAir]:
    """Return and supply air, at the barometer that gives the supply its specific volume where one is stated."""
    ratios = [_ratio(values, place) for place in ("return", "supply")]
    pressure = HILLS
    if "supply_volume" in values:
        pressure = pressure_for(values["supply_volume"], values["supply_dry_bulb"], ratios[1])
    back, supply = (
        MoistAir.from_humidity_ratio(values[f"{place}_dry_bulb"], ratio, pressure)
        for place, ratio in zip(("return", "supply"), ratios, strict=True)
    )
    return back, supply


def _ratio(values: Values, place: str) -> float:
    if f"{place}_ratio" in values:
        return float(values[f"{place}_ratio"])
    return float(
        properties.humidity_ratio_from_enthalpy(values[f"{place}_dry_bulb"], values[f"{place}_enthalpy"], HILLS)
    )


def is_believable(values: Values) -> bool:
    """An indoor state, and a supply as it leaves a wet coil: cooler, near saturation, drier by weight."""
    try:
        back, supply = states(values)
    except AirsideError:
        return False
    low, high = USUAL_VOLUME_RATIO
    ratio = values["return_volume"] / values["supply_volume"] if "return_volume" in values else (low + high) / 2
    return bool(
        0.35 <= back.relative_humidity <= 0.62
        and 0.76 <= supply.relative_humidity <= 0.96
        and back.humidity_ratio > supply.humidity_ratio + 0.0008
        and 72_000 <= supply.pressure <= 97_000
        and low <= ratio <= high
    )


def supply_flow(values: Values, basis: Any = "actual") -> Airflow:
    """The stated flow, as read in the supply duct."""
    return Airflow.measured(values["flow"], at=states(values)[1], basis=basis)


def capacity_of(values: Values, flow: Airflow | float | None = None) -> Capacity:
    """The library's capacity; by default with the stated flow, of dry air or as read in the supply duct."""
    back, supply = states(values)
    if flow is None:
        flow = float(values["mass_flow"]) if "mass_flow" in values else supply_flow(values)
    return delivered_capacity(back, supply, flow)


def textbook(values: Values, name: str) -> TextbookFactor:
    """The pocket card's factor beside the library's result."""
    back, supply = states(values)
    found = textbook_factors(back, supply, float(values["flow"]), capacity_of(values))
    return next(f for f in found if f.name == name)
