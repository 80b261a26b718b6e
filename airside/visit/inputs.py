"""The numbers of a visit that the physics takes: means of the readings, or draws about them.

`measure` is the one way from these numbers to states, airflow and capacity; it serves single
numbers and arrays of draws alike.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from airside.air.atmosphere import standard_atmosphere_pressure
from airside.air.blocks import Number
from airside.air.process import Capacity, delivered_capacity
from airside.air.properties import Impossible
from airside.air.state import MoistAir
from airside.airflow import Airflow
from airside.airflow.interpolation import Outside
from airside.errors import ImpossibleStateError, Problem, VisitError
from airside.instruments.side_by_side import Offset, offset
from airside.units import show, show_difference
from airside.visit.evidence import EvidenceInputs, airflow_for, evidence_inputs
from airside.visit.schema import HUMIDITIES, AirReadings, Visit

PLACES = ("return", "supply")


@dataclass(frozen=True)
class VisitInputs:
    """Inputs of one visit, SI, scalars or arrays of one shape.

    Attributes
    ----------
    pressure : float or array [Pa]
    air : dict of str to (dry bulb [°C], humidity [inside unit])
        For "return" and "supply".
    airflow : EvidenceInputs
    flow_factor : float or array [fraction]
        What the airflow method's own error multiplies the flow with.
    fan_power : float or array [W] or None
    outdoor_dry_bulb : float or array [°C] or None
    power : float or array [W] or None
        Electric power of the whole system, indoor fan included.
    outdoor_unit_power : float or array [W] or None
    refrigerant : dict of str to float or array
        Gauge pressures [Pa], line temperatures [°C], mass flow [kg/s] of the refrigerant side.
    """

    pressure: Number
    air: dict[str, tuple[Number, Number]]
    airflow: EvidenceInputs
    flow_factor: Number = 1.0
    fan_power: Number | None = None
    outdoor_dry_bulb: Number | None = None
    power: Number | None = None
    outdoor_unit_power: Number | None = None
    refrigerant: dict[str, Number] = field(default_factory=dict)


@dataclass(frozen=True)
class Measured:
    """States, airflow and capacity that follow from inputs; scalars or arrays."""

    return_air: MoistAir
    supply_air: MoistAir
    airflow: Airflow
    capacity: Capacity
    outdoor_dry_bulb: Number | None = None
    power: Number | None = None
    outdoor_unit_power: Number | None = None
    refrigerant: dict[str, Number] = field(default_factory=dict)


@dataclass(frozen=True)
class Corrections:
    """Offsets of a side-by-side check, by quantity, and what is said of them."""

    instruments: tuple[str, str]
    offsets: dict[str, Offset]
    is_applied: bool
    sentences: tuple[str, ...] = field(default=())

    def for_instrument(self, name: str | None, quantity: str) -> float:
        """What is added to a reading of an instrument [inside unit of the quantity]."""
        if not self.is_applied or quantity not in self.offsets or name not in self.instruments:
            return 0.0
        # Both probes are brought halfway: neither is known to be the better one.
        half = self.offsets[quantity].offset / 2
        return half if name == self.instruments[0] else -half


def readings_at(visit: Visit, place: str) -> AirReadings:
    """Readings at "return" or "supply"."""
    return visit.readings.return_air if place == "return" else visit.readings.supply


def corrections(visit: Visit) -> Corrections | None:
    """Offsets from the visit's side-by-side check; None where it has none."""
    check = visit.side_by_side
    if check is None:
        return None
    offsets: dict[str, Offset] = {}
    said = []
    first, second = check.instruments
    for quantity in ("dry_bulb", *HUMIDITIES):
        pair = getattr(check, quantity)
        if pair is None:
            continue
        statements = (getattr(visit.instruments[n], quantity, None) for n in check.instruments)
        steps = [s.resolution for s in statements if s is not None and s.resolution is not None]
        found = offset(pair[0], pair[1], resolution=max(steps, default=0.0))
        offsets[quantity] = found
        kind = "relative_humidity" if quantity == "relative_humidity" else "temperature"
        amount = show_difference(found.offset, kind, visit.units, decimals=2)
        doubt = show_difference(found.standard_uncertainty, kind, visit.units, decimals=2)
        used = "each is corrected by half" if check.apply else "not applied"
        said.append(
            f"Side-by-side check: {second} reads {amount} from {first} in {quantity.replace('_', ' ')} "
            f"(standard uncertainty {doubt}, {found.count} pairs); {used}."
        )
    return Corrections(check.instruments, offsets, check.apply, tuple(said))


def site_pressure(visit: Visit) -> tuple[float, str]:
    """Barometric pressure [Pa] of a visit, and the assumption behind it."""
    if visit.site.barometric_pressure is not None:
        return visit.site.barometric_pressure, "Barometric pressure as read at the site."
    assert visit.site.elevation is not None
    pressure = float(standard_atmosphere_pressure(visit.site.elevation))
    return pressure, (
        f"Barometric pressure {show(pressure, 'barometric_pressure', visit.units)} from the elevation by the "
        "standard atmosphere; weather moves it by about a percent."
    )


def mean_inputs(visit: Visit) -> VisitInputs:
    """Means of all readings, with a side-by-side check's correction where the visit applies one.

    Raises
    ------
    TableError
        The airflow's table cannot be used.
    """
    check = corrections(visit)
    air: dict[str, tuple[Number, Number]] = {}
    for place in PLACES:
        readings = readings_at(visit, place)
        name = readings.humidity_name
        assert name is not None
        values = []
        for quantity in ("dry_bulb", name):
            shift = check.for_instrument(readings.instrument, quantity) if check is not None else 0.0
            values.append(float(np.mean(getattr(readings, quantity))) + shift)
        air[place] = (values[0], values[1])
    outdoor, powers = visit.readings.outdoor, visit.readings.power
    indoor = float(np.mean(powers.indoor_unit)) if powers is not None and powers.indoor_unit is not None else None
    total: float | None = None
    fan_power = float(np.mean(visit.fan.power)) if visit.fan is not None else indoor
    if powers is not None and powers.total is not None:
        total = float(np.mean(powers.total))
    elif powers is not None and powers.outdoor_unit is not None and (indoor is not None or fan_power is not None):
        # Without the indoor fan's power the whole is not known: the efficiency would be of another thing.
        total = float(np.mean(powers.outdoor_unit)) + float(indoor if indoor is not None else fan_power or 0.0)
    return VisitInputs(
        pressure=site_pressure(visit)[0],
        air=air,
        airflow=evidence_inputs(visit),
        fan_power=fan_power,
        outdoor_dry_bulb=float(np.mean(outdoor.dry_bulb)) if outdoor is not None else None,
        power=total,
        outdoor_unit_power=float(np.mean(powers.outdoor_unit)) if powers is not None and powers.outdoor_unit else None,
        refrigerant=refrigerant_means(visit),
    )


REFRIGERANT_READINGS = (
    "suction_pressure", "liquid_pressure", "suction_line_at_coil", "suction_line_at_outdoor_unit", "liquid_line",
    "discharge_line", "mass_flow",
)  # fmt: skip


def refrigerant_means(visit: Visit) -> dict[str, Number]:
    """Means of the refrigerant readings that a visit has."""
    readings = visit.readings.refrigerant
    if readings is None:
        return {}
    given = {n: getattr(readings, n) for n in REFRIGERANT_READINGS}
    return {n: float(np.mean(v)) for n, v in given.items() if v is not None}


def measure(
    visit: Visit,
    inputs: VisitInputs,
    *,
    outside: Outside = "raise",
    impossible: Impossible = "raise",
    known: tuple[VisitInputs, Measured] | None = None,
) -> Measured:
    """States, airflow and capacity from inputs.

    Parameters
    ----------
    visit : Visit
        Says what the numbers are: which humidity, which airflow method, which mode.
    inputs : VisitInputs
        Means, or draws about them.
    outside, impossible : str
        "extend" and "nan" for draws.
    known : tuple of VisitInputs and Measured, optional
        Another result of this visit: states of the very same inputs are taken from it.

    Raises
    ------
    VisitError, TableError
        The means make an impossible state, or the airflow evidence cannot be used.
    """
    states = []
    for place in PLACES:
        readings = readings_at(visit, place)
        if known is not None and _same(known[0], inputs, place):
            states.append(known[1].return_air if place == "return" else known[1].supply_air)
            continue
        make = getattr(MoistAir, f"from_{readings.humidity_name}")
        try:
            states.append(make(*inputs.air[place], inputs.pressure, impossible=impossible))
        except ImpossibleStateError as error:
            where = f"readings.{place}.{readings.humidity_name}"
            raise VisitError(str(visit.path or visit.name), [Problem(str(error), where)]) from None
    return_air, supply_air = states
    airflow = airflow_for(visit, inputs.airflow, return_air, supply_air, outside=outside)
    if np.ndim(inputs.flow_factor) or inputs.flow_factor != 1.0:
        airflow = replace(airflow, volume_flow=airflow.volume_flow * inputs.flow_factor)
    fan = visit.fan
    capacity = delivered_capacity(
        return_air, supply_air, airflow, mode=visit.mode, fan_power=inputs.fan_power,
        fan_between_probes=fan is None or fan.position == "between probes",
    )  # fmt: skip
    return Measured(
        return_air,
        supply_air,
        airflow,
        capacity,
        inputs.outdoor_dry_bulb,
        inputs.power,
        inputs.outdoor_unit_power,
        inputs.refrigerant,
    )


def _same(one: VisitInputs, other: VisitInputs, place: str) -> bool:
    """Whether a place's state has the very same inputs."""
    pairs = zip((*one.air[place], one.pressure), (*other.air[place], other.pressure), strict=True)
    return all(a is b for a, b in pairs)
