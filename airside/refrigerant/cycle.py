"""What gauges and line temperatures say: superheat, subcooling, the air differences, the cycle's enthalpies.

Gauge pressures become absolute by the site's own barometric pressure: at 1650 m the sea level's
would put a suction saturation of R-410A 0.7 K too high. Superheat is counted from
dew, subcooling from bubble. Where one temperature stands for evaporating or condensing, it is the
mid-point of dew and bubble; without glide all three are the same.

Every function takes scalars or arrays. ``impossible="nan"`` makes NaN of what cannot be, for error
draws; else `airside.errors.OutOfRangeError` says what is wrong.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Number
from airside.refrigerant.names import Refrigerant
from airside.refrigerant.properties import liquid_enthalpy, vapour_enthalpy
from airside.refrigerant.saturation import Impossible, bubble_temperature, dew_temperature, saturation_midpoint
from airside.refrigerant.targets import target_superheat_fixed_orifice as target_superheat_fixed_orifice

# One watt in Btu (international table) an hour, NIST SP 811 appendix B.8: 3600 / 1055.05585262.
BTU_PER_WATT_HOUR = 3600.0 / 1055.05585262


def absolute_pressure(gauge_pressure: Number, barometric_pressure: Number) -> Number:
    """Absolute pressure [Pa] of a gauge reading [Pa] at a site's barometric pressure [Pa]."""
    return gauge_pressure + barometric_pressure


def superheat(
    refrigerant: str | Refrigerant,
    suction_pressure: Number,
    line_temperature: Number,
    barometric_pressure: Number,
    *,
    impossible: Impossible = "raise",
) -> Number:
    """Suction line above dew at the suction pressure.

    Parameters
    ----------
    refrigerant : str or Refrigerant
    suction_pressure : float or array [Pa gauge]
    line_temperature : float or array [°C]
        At the coil or at the outdoor unit.
    barometric_pressure : float or array [Pa]
    impossible : "raise" or "nan"

    Returns
    -------
    float or array [K]
        Below zero where the line reads colder than dew.

    Raises
    ------
    OutOfRangeError
        The pressure has no saturation temperature in the table.
    """
    dew = dew_temperature(refrigerant, absolute_pressure(suction_pressure, barometric_pressure), impossible=impossible)
    return line_temperature - dew


def subcooling(
    refrigerant: str | Refrigerant,
    liquid_pressure: Number,
    line_temperature: Number,
    barometric_pressure: Number,
    *,
    impossible: Impossible = "raise",
) -> Number:
    """Liquid line [°C] below bubble at the liquid pressure [Pa gauge], in K; else as `superheat`."""
    pressure = absolute_pressure(liquid_pressure, barometric_pressure)
    return bubble_temperature(refrigerant, pressure, impossible=impossible) - line_temperature


def evaporating_temperature(
    refrigerant: str | Refrigerant,
    suction_pressure: Number,
    barometric_pressure: Number,
    *,
    impossible: Impossible = "raise",
) -> Number:
    """Mid-point of dew and bubble [°C] at the suction pressure [Pa gauge]."""
    pressure = absolute_pressure(suction_pressure, barometric_pressure)
    return saturation_midpoint(refrigerant, pressure, impossible=impossible)


def condensing_temperature(
    refrigerant: str | Refrigerant,
    liquid_pressure: Number,
    barometric_pressure: Number,
    *,
    impossible: Impossible = "raise",
) -> Number:
    """Mid-point of dew and bubble [°C] at the liquid or discharge pressure [Pa gauge]."""
    pressure = absolute_pressure(liquid_pressure, barometric_pressure)
    return saturation_midpoint(refrigerant, pressure, impossible=impossible)


def condensing_over_outdoor(
    refrigerant: str | Refrigerant,
    liquid_pressure: Number,
    outdoor_dry_bulb: Number,
    barometric_pressure: Number,
    *,
    impossible: Impossible = "raise",
) -> Number:
    """Condensing temperature above outdoor air [K]; `condensing_temperature` says which temperature that is."""
    return condensing_temperature(refrigerant, liquid_pressure, barometric_pressure, impossible=impossible) - (
        outdoor_dry_bulb
    )


def suction_below_return(
    refrigerant: str | Refrigerant,
    suction_pressure: Number,
    return_dry_bulb: Number,
    barometric_pressure: Number,
    *,
    impossible: Impossible = "raise",
) -> Number:
    """Evaporating temperature below return air [K]; `evaporating_temperature` says which temperature that is."""
    evaporating = evaporating_temperature(refrigerant, suction_pressure, barometric_pressure, impossible=impossible)
    return return_dry_bulb - evaporating


def refrigerant_capacity(mass_flow: Number, suction_enthalpy: Number, liquid_enthalpy: Number) -> Number:
    """Heat that the refrigerant takes up in the evaporator [W].

    Parameters
    ----------
    mass_flow : float or array [kg/s]
    suction_enthalpy : float or array [J/kg]
        Of the vapour that leaves the coil.
    liquid_enthalpy : float or array [J/kg]
        Of the liquid before the metering device; expansion does not change it.

    Notes
    -----
    The air side's capacity is this less the heat of the indoor fan.
    """
    return mass_flow * (suction_enthalpy - liquid_enthalpy)


def coefficient_of_performance(capacity: Number, power: Number) -> Number:
    """Capacity [W] for each watt of power [W]; NaN where there is no power."""
    drawn = np.asarray(power, dtype=np.float64)
    result = np.asarray(capacity) / np.where(drawn > 0, drawn, np.nan)
    return float(result) if result.ndim == 0 else result


def energy_efficiency_ratio(capacity: Number, power: Number) -> Number:
    """The coefficient of performance in Btu an hour for each watt.

    Parameters
    ----------
    capacity : float or array [W]
    power : float or array [W]

    Returns
    -------
    float or array [Btu/h per W]
        NaN where there is no power.

    Notes
    -----
    One watt is 3.412 Btu(IT)/h (NIST SP 811 appendix B.8).
    """
    return coefficient_of_performance(capacity, power) * BTU_PER_WATT_HOUR


@dataclass(frozen=True)
class CyclePoints:
    """The corners of a cycle on the pressure-enthalpy diagram.

    Attributes
    ----------
    suction_pressure, liquid_pressure : float or array [Pa absolute]
    suction_enthalpy : float or array [J/kg]
        Vapour that leaves the coil.
    discharge_enthalpy : float or array or None [J/kg]
        At the liquid pressure: what is lost on the way through the condenser is not known.
    liquid_enthalpy : float or array [J/kg]
        Before the metering device, and after it.
    """

    suction_pressure: Number
    liquid_pressure: Number
    suction_enthalpy: Number
    discharge_enthalpy: Number | None
    liquid_enthalpy: Number

    @property
    def evaporator_difference(self) -> Any:
        """What each kg of refrigerant takes up in the evaporator [J/kg]."""
        return self.suction_enthalpy - self.liquid_enthalpy

    @property
    def compression_difference(self) -> Any:
        """What compression adds to each kg [J/kg], with what the shell and the suction line gain or lose; or None."""
        return None if self.discharge_enthalpy is None else self.discharge_enthalpy - self.suction_enthalpy

    @property
    def condenser_difference(self) -> Any:
        """What each kg gives off between discharge and liquid line [J/kg]; or None."""
        return None if self.discharge_enthalpy is None else self.discharge_enthalpy - self.liquid_enthalpy


def cycle_points(
    refrigerant: str | Refrigerant,
    *,
    suction_pressure: Number,
    suction_temperature: Number,
    liquid_pressure: Number,
    liquid_temperature: Number,
    barometric_pressure: Number,
    discharge_temperature: Number | None = None,
    impossible: Impossible = "raise",
) -> CyclePoints:
    """The cycle from two gauge pressures and two or three line temperatures.

    Parameters
    ----------
    refrigerant : str or Refrigerant
    suction_pressure, liquid_pressure : float or array [Pa gauge]
    suction_temperature, liquid_temperature, discharge_temperature : float or array [°C]
    barometric_pressure : float or array [Pa]
    impossible : "raise" or "nan"

    Raises
    ------
    OutOfRangeError
        A pressure outside the saturation table; a line more than 5 K on the wet side of saturation.
    """
    low = absolute_pressure(suction_pressure, barometric_pressure)
    high = absolute_pressure(liquid_pressure, barometric_pressure)
    discharge = (
        None
        if discharge_temperature is None
        else vapour_enthalpy(refrigerant, discharge_temperature, high, impossible=impossible)
    )
    return CyclePoints(
        low,
        high,
        vapour_enthalpy(refrigerant, suction_temperature, low, impossible=impossible),
        discharge,
        liquid_enthalpy(refrigerant, liquid_temperature, high, impossible=impossible),
    )
