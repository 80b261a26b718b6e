"""What happens to air between two states: delivered capacity, mixing, fan heat.

Air-enthalpy method as in ASHRAE Standard 37 and 10 CFR part 430 subpart B appendix M1. Inside SI;
cooling is positive in cooling mode, heating in heating mode.

Sources
-------
ASHRAE Handbook—Fundamentals (2017) ch. 1, "Typical air-conditioning processes", Eq. 37 to 46.
10 CFR part 430 subpart B appendix M1, section 3.3 (air-enthalpy method).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, Protocol

import numpy as np
from numpy.typing import ArrayLike

from airside.air import properties
from airside.air.blocks import Array, Number, blockwise
from airside.air.state import MoistAir
from airside.results import Result, Row
from airside.units import UnitSystem, from_inside

Mode = Literal["cooling", "heating"]


class DryAirFlow(Protocol):
    """Anything that knows how much dry air flows: `airside.Airflow`."""

    @property
    def dry_air_mass_flow(self) -> Number:
        """Dry air [kg/s]."""


@dataclass(frozen=True, eq=False, repr=False)
class Capacity(Result):
    """Capacity that the air side shows between return and supply.

    Attributes
    ----------
    mode : "cooling" or "heating"
    total, sensible, latent : float or array [W]
        ``total = sensible + latent``. At the probes, or net of fan heat where it was brought there.
    sensible_heat_ratio : float or array [fraction]
        Sensible over total; NaN where total is zero.
    moisture_removal : float or array [kg/h]
        Water taken from the air (cooling); negative where the supply holds more water.
    condensate_heat : float or array [W]
        What leaves with the condensate, apart: the handbook's energy balance is
        ``total - condensate_heat``. Zero in heating.
    condensate_temperature : float or array [°C]
    dry_air_mass_flow : float or array [kg/s]
    fan_heat : float or array [W]
        Fan power that was taken off (cooling) or added (heating) to come from the probes' figure to
        `total`; 0 where the probes span the fan or no fan power is known.
    gross : float or array [W] or None
        Capacity of the coil alone, where fan power is known.
    return_air, supply_air : MoistAir
        The states that the capacity lies between.
    """

    mode: Mode
    total: Number
    sensible: Number
    latent: Number
    dry_air_mass_flow: Number
    return_air: MoistAir
    supply_air: MoistAir
    given_condensate_temperature: Number | None = None
    fan_heat: Number = 0.0
    gross: Number | None = None
    assumptions: tuple[str, ...] = field(default=())

    @property
    def title(self) -> str:  # type: ignore[override]
        """Names the mode."""
        return f"Delivered {self.mode} capacity"

    # What follows from the fields is made when it is asked for: no arrays of millions in vain.
    @cached_property
    def sensible_heat_ratio(self) -> Number:
        """Sensible over total [fraction]."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return _plain(np.where(np.equal(self.total, 0), np.nan, np.divide(self.sensible, self.total)))

    @cached_property
    def moisture_removal(self) -> Number:
        """Water taken from the air [kg/h]."""
        dried = np.subtract(self.return_air.humidity_ratio, self.supply_air.humidity_ratio)
        return _plain(self.dry_air_mass_flow * dried * 3600.0)

    @cached_property
    def condensate_temperature(self) -> Number:
        """Temperature at which the condensate leaves [°C]: as given, or the supply dry bulb, not below 0 °C."""
        if self.given_condensate_temperature is not None:
            return self.given_condensate_temperature
        return _plain(np.maximum(self.supply_air.dry_bulb, 0.0))

    @cached_property
    def condensate_heat(self) -> Number:
        """Heat that leaves with the condensate [W]."""
        if self.mode == "heating":
            return _plain(np.zeros_like(self.moisture_removal))
        water = np.maximum(self.moisture_removal, 0.0) / 3600.0
        return _plain(water * properties.water_enthalpy(self.condensate_temperature))

    def rows(self) -> Iterable[Row]:
        """Every number of the capacity."""
        rows = [
            Row("total", self.total, "capacity", "total capacity"),
            Row("sensible", self.sensible, "capacity", "sensible capacity"),
            Row("latent", self.latent, "capacity", "latent capacity"),
            Row("sensible_heat_ratio", self.sensible_heat_ratio, "fraction"),
            Row("moisture_removal", self.moisture_removal, "moisture_rate"),
            Row("condensate_heat", self.condensate_heat, "capacity", "heat in the condensate"),
            *(
                [Row("condensate_temperature", self.condensate_temperature, "temperature")]
                if self.mode == "cooling"
                else []
            ),
            Row("dry_air_mass_flow", self.dry_air_mass_flow, "mass_flow"),
        ]
        if np.any(np.asarray(self.fan_heat)):
            rows.append(Row("fan_heat", self.fan_heat, "capacity", "fan heat brought in"))
        if self.gross is not None:
            rows.append(Row("gross", self.gross, "capacity", "gross capacity of the coil"))
        return rows

    def notes(self) -> Iterable[str]:
        """What was assumed."""
        return self.assumptions


def _capacity(
    m: Array, t_return: Array, w_return: Array, t_supply: Array, w_supply: Array, fan_heat: Array
) -> tuple[Array, Array, Array]:
    """Total, sensible and latent [W], counted as cooling is, from return to supply."""
    latent = properties.EVAPORATION_HEAT + properties.SPECIFIC_HEAT_VAPOUR * t_return
    latent = latent * (w_return - w_supply) * m
    # m [h(t1, w2) - h(t2, w2)]: the specific heat does not depend on temperature in Eq. 30.
    sensible = properties.SPECIFIC_HEAT_DRY_AIR + properties.SPECIFIC_HEAT_VAPOUR * w_supply
    sensible = sensible * (t_return - t_supply) * m + fan_heat
    return sensible + latent, sensible, latent


def delivered_capacity(
    return_air: MoistAir,
    supply_air: MoistAir,
    flow: DryAirFlow | Number,
    *,
    mode: Mode = "cooling",
    fan_power: Number | None = None,
    fan_between_probes: bool = True,
    condensate_temperature: Number | None = None,
) -> Capacity:
    """Total, sensible and latent capacity from return and supply air and airflow.

    Parameters
    ----------
    return_air, supply_air : MoistAir
        States before and after the equipment; scalars or arrays.
    flow : Airflow, or float or array [kg/s dry air]
    mode : "cooling" or "heating"
        The sign: cooling is positive in cooling mode, heating in heating mode.
    fan_power : float or array [W], optional
        Power of the indoor fan; all of it becomes heat in the air.
    fan_between_probes : bool
        True where return and supply probe have the fan between them: their figure is then the net,
        delivered one. False where they span the coil alone: fan heat is then brought in.
    condensate_temperature : float or array [°C], optional
        Default: the supply dry bulb, not below 0 °C.

    Returns
    -------
    Capacity

    Notes
    -----
    total = m (h1 - h2); sensible = m [h(t1, w2) - h(t2, w2)]; latent = total - sensible, which is
    m [h(t1, w1) - h(t1, w2)]. ASHRAE Standard 37; ASHRAE Fundamentals (2017) ch. 1, Eq. 39 and 40.
    """
    if mode not in ("cooling", "heating"):
        raise ValueError(f"mode must be 'cooling' or 'heating', not {mode!r}")
    mass_flow: Number = flow if isinstance(flow, (float, int, np.ndarray, np.generic)) else flow.dry_air_mass_flow
    assumptions = []
    if condensate_temperature is None and mode == "cooling":
        assumptions.append("Condensate leaves at the supply dry bulb.")
    fan_heat: Number = 0.0
    if fan_power is None:
        assumptions.append("Fan heat is not separated: fan power is not given.")
    else:
        assumptions.append("All fan power becomes heat in the supply air.")
        # Fan heat takes from delivered cooling and adds to delivered heating.
        signed = np.negative(fan_power) if mode == "cooling" else np.asarray(fan_power)
        if not fan_between_probes:
            fan_heat = _plain(signed)
    # In heating the sign turns round.
    total, sensible, latent = blockwise(
        _capacity, mass_flow if mode == "cooling" else np.negative(mass_flow), return_air.dry_bulb,
        return_air.humidity_ratio, supply_air.dry_bulb, supply_air.humidity_ratio, fan_heat, outputs=3,
    )  # fmt: skip
    return Capacity(
        mode=mode,
        total=total,
        sensible=sensible,
        latent=latent,
        dry_air_mass_flow=mass_flow,
        return_air=return_air,
        supply_air=supply_air,
        given_condensate_temperature=condensate_temperature,
        fan_heat=fan_heat,
        gross=None if fan_power is None else _plain(total - signed),
        assumptions=tuple(assumptions),
    )


def _plain(value: ArrayLike) -> Number:
    """A float for a single value."""
    array = np.asarray(value, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def mix(first: MoistAir, first_dry_air: Number, second: MoistAir, second_dry_air: Number) -> MoistAir:
    """Adiabatic mixture of two airstreams at one pressure.

    Parameters
    ----------
    first, second : MoistAir
    first_dry_air, second_dry_air : float or array [kg/s dry air, or any one unit of dry air]

    Returns
    -------
    MoistAir
        At the pressure of ``first``. Mixtures that would be fog raise `ImpossibleStateError`.

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1, adiabatic mixing of two moist airstreams (Eq. 43 to 45).
    """
    share = np.asarray(first_dry_air) / (np.asarray(first_dry_air) + np.asarray(second_dry_air))
    ratio = share * first.humidity_ratio + (1 - share) * second.humidity_ratio
    heat = share * first.enthalpy + (1 - share) * second.enthalpy
    dry_bulb = properties.dry_bulb_from_enthalpy(heat, ratio)
    return MoistAir.from_humidity_ratio(dry_bulb, ratio, first.pressure)


@dataclass(frozen=True)
class TextbookFactor:
    """One of the trade's sea-level factors beside the exact result.

    Attributes
    ----------
    name : str
        "sensible", "latent" or "total".
    factor : float
        The textbook's number: Btu/h per cfm and °F, gr/lb or Btu/lb.
    factor_here : float
        The number that would give the exact result at this density.
    textbook, exact : float [W]
    error : float [fraction]
        Textbook over exact, less one; NaN where the exact figure is zero.
    """

    name: str
    factor: float
    factor_here: float
    textbook: float
    exact: float
    error: float


# Common practice, no source: factors at standard air, in Btu/h per cfm and °F, gr/lb, Btu/lb.
TEXTBOOK_FACTORS = {"total": 4.5, "sensible": 1.08, "latent": 0.68}


def textbook_factors(
    return_air: MoistAir, supply_air: MoistAir, volume_flow: float, capacity: Capacity
) -> tuple[TextbookFactor, ...]:
    """The factors 4.5, 1.08 and 0.68 beside the exact result; never used for it.

    Parameters
    ----------
    return_air, supply_air : MoistAir
        Scalar states.
    volume_flow : float [m³/s]
        Actual volume flow.
    capacity : Capacity
        The exact result at the probes.
    """
    ip: UnitSystem = "IP"
    cfm = float(from_inside(volume_flow, "volume_flow", ip))
    sign = 1.0 if capacity.mode == "cooling" else -1.0
    difference = {
        "total": return_air.enthalpy - supply_air.enthalpy,
        "sensible": return_air.dry_bulb - supply_air.dry_bulb,
        "latent": return_air.humidity_ratio - supply_air.humidity_ratio,
    }
    kinds = {"total": "enthalpy", "sensible": "temperature_difference", "latent": "humidity_ratio"}
    datum = float(from_inside(0.0, "enthalpy", ip))
    watt_per_btu_h = 1.0 / float(from_inside(1.0, "capacity", ip))
    found = []
    for name, factor in TEXTBOOK_FACTORS.items():
        step = sign * float(from_inside(float(difference[name]), kinds[name], ip))
        if name == "total":
            step -= sign * datum
        # The probes' own figure: fan heat is not the factors' business.
        exact = float(getattr(capacity, name)) - (0.0 if name == "latent" else float(capacity.fan_heat))
        textbook = factor * cfm * step * watt_per_btu_h
        base = cfm * step * watt_per_btu_h
        here = exact / base if base else float("nan")
        error = textbook / exact - 1 if exact else float("nan")
        found.append(TextbookFactor(name, factor, here, textbook, exact, error))
    return tuple(found)
