"""`MoistAir`: one state of moist air, or an array of them. Thin over `airside.air.properties`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from airside.air import properties
from airside.air.atmosphere import standard_atmosphere_pressure
from airside.air.blocks import Number, any_outside
from airside.air.properties import Impossible
from airside.errors import OutOfRangeError
from airside.results import Result, Row
from airside.units import as_inside

# Range in which the kernels are tested [°C, Pa]; what MoistAir accepts is a little wider.
TESTED_DRY_BULB, TESTED_PRESSURE = (-40.0, 60.0), (60e3, 110e3)
ACCEPTED_DRY_BULB, ACCEPTED_PRESSURE = (-60.0, 95.0), (50e3, 120e3)


def _as_numbers(value: Any, kind: str) -> Number:
    value = as_inside(value, kind)
    array = np.asarray(value, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def _in_range(
    values: Number, limits: tuple[float, float], what: str, unit: str, advice: str, impossible: Impossible
) -> Number:
    """The values; those outside raise, or become NaN."""
    if not any_outside(values, *limits):
        return values
    array = np.asarray(values)
    bad = (array < limits[0]) | (array > limits[1])
    if impossible == "nan":
        blanked = np.where(bad, np.nan, array)
        return float(blanked) if blanked.ndim == 0 else blanked
    found = float(array[bad].flat[0]) if array.ndim else float(array)
    raise OutOfRangeError(
        f"{what} {found:g} {unit} is outside {limits[0]:g} to {limits[1]:g} {unit}, "
        f"where the formulas hold ({int(bad.sum())} of {array.size} values). {advice}"
    )


def _conditions(dry_bulb: Any, pressure: Any, elevation: Any, impossible: Impossible) -> tuple[Number, Number]:
    t = _as_numbers(dry_bulb, "temperature")
    if (pressure is None) == (elevation is None):
        raise TypeError("give either pressure [Pa] or elevation [m]")
    if pressure is not None:
        p = _as_numbers(pressure, "barometric_pressure")
    else:
        p = standard_atmosphere_pressure(_as_numbers(elevation, "elevation"))
    t = _in_range(t, ACCEPTED_DRY_BULB, "dry bulb", "°C", "Bare numbers are °C here.", impossible)
    p = _in_range(p, ACCEPTED_PRESSURE, "pressure", "Pa", "Bare numbers are pascal here, absolute.", impossible)
    return t, p


@dataclass(frozen=True, eq=False, repr=False)
class MoistAir(Result):
    """A state of moist air; every property follows from dry bulb, humidity ratio and pressure.

    Make one with a ``from_...`` method. Each takes the dry bulb, one humidity, and either a
    ``pressure`` or an ``elevation`` (standard atmosphere). Numbers are SI, scalars or arrays that
    broadcast; a text with a unit ("76 degF", "46 %") is welcome. An impossible state raises
    `airside.errors.ImpossibleStateError`, or becomes NaN with ``impossible="nan"``.

    Attributes
    ----------
    dry_bulb : float or array [°C]
    humidity_ratio : float or array [kg water per kg dry air]
    pressure : float or array [Pa]
    """

    dry_bulb: Number
    humidity_ratio: Number
    pressure: Number
    title = "Moist air"

    @classmethod
    def from_relative_humidity(
        cls,
        dry_bulb: Any,
        relative_humidity: Any,
        pressure: Any = None,
        *,
        elevation: Any = None,
        impossible: Impossible = "raise",
    ) -> MoistAir:
        """State from dry bulb [°C] and relative humidity [fraction]; Eq. 12 and 20."""
        t, p = _conditions(dry_bulb, pressure, elevation, impossible)
        rh = _as_numbers(relative_humidity, "relative_humidity")
        return cls(t, properties.humidity_ratio_from_relative_humidity(t, rh, p, impossible=impossible), p)

    @classmethod
    def from_wet_bulb(
        cls,
        dry_bulb: Any,
        wet_bulb: Any,
        pressure: Any = None,
        *,
        elevation: Any = None,
        impossible: Impossible = "raise",
    ) -> MoistAir:
        """State from dry bulb [°C] and thermodynamic wet bulb [°C]; Eq. 33 and 35."""
        t, p = _conditions(dry_bulb, pressure, elevation, impossible)
        wet = _as_numbers(wet_bulb, "temperature")
        return cls(t, properties.humidity_ratio_from_wet_bulb(t, wet, p, impossible=impossible), p)

    @classmethod
    def from_dew_point(
        cls,
        dry_bulb: Any,
        dew_point: Any,
        pressure: Any = None,
        *,
        elevation: Any = None,
        impossible: Impossible = "raise",
    ) -> MoistAir:
        """State from dry bulb [°C] and dew point [°C] (frost point below 0.01 °C); Eq. 36."""
        t, p = _conditions(dry_bulb, pressure, elevation, impossible)
        dew = _as_numbers(dew_point, "temperature")
        return cls(t, properties.humidity_ratio_from_dew_point(t, dew, p, impossible=impossible), p)

    @classmethod
    def from_humidity_ratio(
        cls,
        dry_bulb: Any,
        humidity_ratio: Any,
        pressure: Any = None,
        *,
        elevation: Any = None,
        impossible: Impossible = "raise",
    ) -> MoistAir:
        """State from dry bulb [°C] and humidity ratio [kg/kg dry air]."""
        t, p = _conditions(dry_bulb, pressure, elevation, impossible)
        ratio = _as_numbers(humidity_ratio, "humidity_ratio")
        return cls(t, properties.check_humidity_ratio(t, ratio, p, impossible=impossible), p)

    @classmethod
    def from_enthalpy(
        cls,
        dry_bulb: Any,
        enthalpy: Any,
        pressure: Any = None,
        *,
        elevation: Any = None,
        impossible: Impossible = "raise",
    ) -> MoistAir:
        """State from dry bulb [°C] and enthalpy [J/kg dry air, zero for dry air at 0 °C]; Eq. 30."""
        t, p = _conditions(dry_bulb, pressure, elevation, impossible)
        if isinstance(enthalpy, str):
            raise TypeError("enthalpy has different zeros in IP and SI: give a number in J/kg dry air, zero at 0 °C")
        return cls(t, properties.humidity_ratio_from_enthalpy(t, enthalpy, p, impossible=impossible), p)

    @cached_property
    def wet_bulb(self) -> Number:
        """Thermodynamic wet bulb [°C]."""
        return properties.wet_bulb(self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def dew_point(self) -> Number:
        """Dew point, or frost point below 0.01 °C [°C]; NaN for dry air."""
        return properties.dew_point(self.humidity_ratio, self.pressure)

    @cached_property
    def relative_humidity(self) -> Number:
        """Relative humidity [fraction]."""
        return properties.relative_humidity(self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def degree_of_saturation(self) -> Number:
        """Humidity ratio over that of saturation [fraction]."""
        return properties.degree_of_saturation(self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def vapour_pressure(self) -> Number:
        """Partial pressure of water vapour [Pa]."""
        return properties.vapour_pressure_from_humidity_ratio(self.humidity_ratio, self.pressure)

    @cached_property
    def enthalpy(self) -> Number:
        """Enthalpy [J/kg dry air], zero for dry air at 0 °C."""
        return properties.enthalpy(self.dry_bulb, self.humidity_ratio)

    @cached_property
    def specific_volume(self) -> Number:
        """Volume per dry air [m³/kg]."""
        return properties.specific_volume(self.dry_bulb, self.humidity_ratio, self.pressure)

    @cached_property
    def density(self) -> Number:
        """Density of the mixture [kg/m³]."""
        return properties.density(self.dry_bulb, self.humidity_ratio, self.pressure)

    def rows(self) -> Iterable[Row]:
        """Every property of the state."""
        return [
            Row("dry_bulb", self.dry_bulb, "temperature"),
            Row("wet_bulb", self.wet_bulb, "temperature"),
            Row("dew_point", self.dew_point, "temperature"),
            Row("relative_humidity", self.relative_humidity, "relative_humidity"),
            Row("humidity_ratio", self.humidity_ratio, "humidity_ratio"),
            Row("enthalpy", self.enthalpy, "enthalpy"),
            Row("specific_volume", self.specific_volume, "specific_volume"),
            Row("density", self.density, "density"),
            Row("degree_of_saturation", self.degree_of_saturation, "percentage"),
            Row("vapour_pressure", self.vapour_pressure, "vapour_pressure"),
            Row("pressure", self.pressure, "barometric_pressure", "barometric pressure"),
        ]

    def __repr__(self) -> str:
        if np.ndim(self.dry_bulb) or np.ndim(self.humidity_ratio) or np.ndim(self.pressure):
            shape = np.broadcast_shapes(*(np.shape(v) for v in (self.dry_bulb, self.humidity_ratio, self.pressure)))
            return f"MoistAir(array of shape {shape})"
        return (
            f"MoistAir(dry_bulb={self.dry_bulb:.6g} °C, humidity_ratio={self.humidity_ratio:.6g}, "
            f"pressure={self.pressure:.6g} Pa)"
        )
