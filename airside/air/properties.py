"""Moist-air properties: formulas of ASHRAE Handbook—Fundamentals (2017) ch. 1, as array kernels.

Covers dry bulbs from -40 to 60 °C and pressures from 60 to 110 kPa, with saturation over ice
below the triple point. Every function takes scalars or arrays, broadcasts, and gives a scalar for
scalars. NaN in gives NaN out. Units: °C, Pa, kg water per kg dry air, J per kg dry air, m³ per kg
dry air, fractions.

Wet bulb and dew point are solved to 1e-9 K; `airside.air.crosscheck` compares with psychrolib and
with a real-gas model.

Two choices where the handbook leaves room:

- Saturation over water (Eq. 6) takes over from ice (Eq. 5) at the triple point, 0.01 °C, where the
  two curves meet, not at 0 °C, where they leave a step of 0.01 %.
- The wet-bulb equation has a branch for a wick of water (Eq. 33) and one of ice (Eq. 35). They
  overlap at 0 °C: for some humidity ratios both have a solution. The wick is then taken as liquid;
  the ice branch answers only where the water branch has no solution at or above 0 °C.

Sources
-------
ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Psychrometrics, Eq. 3 to 38.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from airside.air.blocks import Array, Number, any_outside, array_kernel, blockwise
from airside.air.constants import (
    EVAPORATION_HEAT as EVAPORATION_HEAT,
)
from airside.air.constants import (
    MASS_RATIO as MASS_RATIO,
)
from airside.air.constants import (
    SPECIFIC_HEAT_DRY_AIR as SPECIFIC_HEAT_DRY_AIR,
)
from airside.air.constants import (
    SPECIFIC_HEAT_ICE as SPECIFIC_HEAT_ICE,
)
from airside.air.constants import (
    SPECIFIC_HEAT_VAPOUR as SPECIFIC_HEAT_VAPOUR,
)
from airside.air.constants import (
    SPECIFIC_HEAT_WATER as SPECIFIC_HEAT_WATER,
)
from airside.air.constants import (
    SUBLIMATION_HEAT as SUBLIMATION_HEAT,
)
from airside.air.constants import (
    ZERO_CELSIUS as ZERO_CELSIUS,
)
from airside.air.saturation import (
    COLDEST as COLDEST,
)
from airside.air.saturation import (
    HOTTEST as HOTTEST,
)
from airside.air.saturation import (
    ICE as ICE,
)
from airside.air.saturation import (
    TRIPLE_POINT as TRIPLE_POINT,
)
from airside.air.saturation import (
    WATER as WATER,
)
from airside.air.saturation import (
    saturated_temperature,
    saturated_vapour,
)
from airside.air.saturation import (
    saturation_pressure as saturation_pressure,
)
from airside.air.saturation import (
    saturation_temperature as saturation_temperature,
)
from airside.air.wet_bulb_equation import solve_wet_bulb, wet_bulb_humidity_ratio
from airside.errors import ImpossibleStateError

Impossible = Literal["raise", "nan"]
Mask = NDArray[np.bool_]

# Gas constant of dry air [J/(kg K)], ASHRAE Fundamentals (2017) ch. 1 Eq. 26.
GAS_CONSTANT_DRY_AIR = 287.042
# Ratio of the gas constants of water vapour and dry air as Eq. 26 prints it.
GAS_CONSTANT_RATIO = 1.607858
# Rounding that is still taken as saturation: fraction of humidity, and K.
ROUNDING = 1e-9


@array_kernel
def humidity_ratio_from_vapour_pressure(vapour_pressure: Number, pressure: Number) -> Number:
    """Humidity ratio [kg/kg] from vapour pressure [Pa] and pressure [Pa]; Eq. 20."""
    return MASS_RATIO * vapour_pressure / (pressure - vapour_pressure)


@array_kernel
def vapour_pressure_from_humidity_ratio(humidity_ratio: Number, pressure: Number) -> Number:
    """Vapour pressure [Pa] from humidity ratio [kg/kg] and pressure [Pa]; Eq. 20 turned round."""
    return pressure * humidity_ratio / (MASS_RATIO + humidity_ratio)


def saturation_humidity_ratio(dry_bulb: Number, pressure: Number) -> Number:
    """Humidity ratio [kg/kg] of saturated air at a dry bulb [°C] and pressure [Pa]; Eq. 21.

    Infinite where water boils: there no amount of vapour saturates the air.
    """

    def kernel(saturated: Array, p: Array) -> Array:
        room = p - saturated
        return np.where(room > 0, MASS_RATIO * saturated / room, np.where(room <= 0, np.inf, np.nan))

    return blockwise(kernel, saturation_pressure(dry_bulb), pressure)


def _flag(bad: Mask, impossible: Impossible, what: str, value: Number, unit: str, advice: str) -> Mask:
    """Raise for impossible states, or return the mask of them where the caller wants NaN."""
    mask = np.asarray(bad)
    if impossible == "nan" or not mask.any():
        return mask
    count = int(mask.sum())
    index = tuple(int(i) for i in np.argwhere(mask)[0])
    found = float(np.broadcast_to(np.asarray(value), mask.shape)[index])
    where = f"{count} of {mask.size} states; the first at index {list(index)}" if index else "the state"
    raise ImpossibleStateError(f"impossible air: {what} ({where} has {found:.6g} {unit}). {advice}", count, index)


def _blank(values: Number, mask: Mask) -> Number:
    """NaN where the mask is set."""
    if not mask.any():
        return values
    blanked: Array = np.where(mask, np.nan, values)
    return float(blanked) if blanked.ndim == 0 else blanked


def _check_choice(impossible: Impossible) -> None:
    if impossible not in ("raise", "nan"):
        raise ValueError(f"impossible must be 'raise' or 'nan', not {impossible!r}")


def humidity_ratio_from_relative_humidity(
    dry_bulb: Number, relative_humidity: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Humidity ratio from relative humidity.

    Parameters
    ----------
    dry_bulb : float or array [°C]
    relative_humidity : float or array [fraction, 0 to 1]
    pressure : float or array [Pa]
    impossible : "raise" or "nan"
        What becomes of states that cannot be.

    Returns
    -------
    float or array [kg water per kg dry air]

    Raises
    ------
    ImpossibleStateError
        Relative humidity below 0 or above 1, or a vapour pressure above the pressure.

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 12 and 20.
    """
    _check_choice(impossible)
    suspect = []

    def kernel(t: Array, r: Array, p: Array) -> Array:
        if any_outside(r, 0.0, 1.0):
            suspect.append(True)
            r = np.minimum(r, 1.0)
        vapour = r * saturated_vapour(t)
        room = p - vapour
        if (room <= 0).any():
            suspect.append(True)
        ratio = vapour / room
        ratio *= MASS_RATIO
        return ratio

    ratio = blockwise(kernel, dry_bulb, relative_humidity, pressure)
    if not suspect:
        return ratio
    rh = np.asarray(relative_humidity, dtype=np.float64)
    bad = _flag(
        (rh < 0) | (rh > 1 + ROUNDING), impossible, "relative humidity outside 0 to 1", rh, "(fraction)",
        "Relative humidity is a fraction here: 0.45 for 45 %.",
    )  # fmt: skip
    boiling = _flag(
        ((np.asarray(ratio) < 0) | np.isinf(ratio)) & ~bad, impossible, "vapour pressure above the pressure", rh,
        "(fraction) relative humidity", "Check dry bulb and pressure.",
    )  # fmt: skip
    return _blank(ratio, bad | boiling)


def humidity_ratio_from_dew_point(
    dry_bulb: Number, dew_point: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Humidity ratio from dew point (frost point below 0.01 °C); Eq. 5, 6, 20 and 36.

    Parameters and errors are as in `humidity_ratio_from_relative_humidity`, with the dew point in
    °C; a dew point above the dry bulb is impossible, and so is one that boils at the pressure.
    """
    _check_choice(impossible)
    t, d = np.asarray(dry_bulb, dtype=np.float64), np.asarray(dew_point, dtype=np.float64)
    bad = _flag(
        d > t + ROUNDING, impossible, "dew point above dry bulb", d, "°C dew point", "Check for swapped columns."
    )
    ratio = saturation_humidity_ratio(np.minimum(d, t), pressure)
    boiling = _flag(
        np.isinf(ratio) & ~bad, impossible, "vapour pressure above the pressure", d, "°C dew point",
        "Check dew point and pressure.",
    )  # fmt: skip
    return _blank(ratio, bad | boiling)


def humidity_ratio_from_wet_bulb(
    dry_bulb: Number, wet_bulb: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Humidity ratio from thermodynamic wet bulb; Eq. 33 at or above 0 °C, Eq. 35 below.

    Parameters and errors are as in `humidity_ratio_from_relative_humidity`, with the wet bulb in
    °C. A wet bulb above the dry bulb is impossible, and so is one below that of dry air.
    """
    _check_choice(impossible)
    t, b = np.asarray(dry_bulb, dtype=np.float64), np.asarray(wet_bulb, dtype=np.float64)
    high = _flag(
        b > t + ROUNDING, impossible, "wet bulb above dry bulb", b, "°C wet bulb", "Check for swapped columns."
    )
    ratio = blockwise(wet_bulb_humidity_ratio, t, np.minimum(b, t), pressure)
    low = _flag(
        np.asarray(ratio) < -1e-12, impossible, "wet bulb below that of dry air", b, "°C wet bulb",
        "Check the wick, its water and the pressure.",
    )  # fmt: skip
    return _blank(ratio, high | low)


def humidity_ratio_from_enthalpy(
    dry_bulb: Number, enthalpy: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Humidity ratio from enthalpy [J/kg dry air]; Eq. 30 turned round.

    Parameters and errors are as in `humidity_ratio_from_relative_humidity`; an enthalpy below dry
    air's or above saturated air's is impossible.
    """
    t, h = np.asarray(dry_bulb, dtype=np.float64), np.asarray(enthalpy, dtype=np.float64)
    ratio = (h - SPECIFIC_HEAT_DRY_AIR * t) / (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * t)
    return check_humidity_ratio(t, ratio, pressure, impossible=impossible)


def check_humidity_ratio(
    dry_bulb: Number, humidity_ratio: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Give the humidity ratio back where air can hold it: from 0 to saturation.

    Parameters and errors are as in `humidity_ratio_from_relative_humidity`; a humidity ratio below
    zero or above saturation is impossible.
    """
    _check_choice(impossible)
    ratio = np.asarray(humidity_ratio, dtype=np.float64)
    # Enthalpy of dry air leaves rounding of a few 1e-17 around zero.
    low = _flag(ratio < -1e-12, impossible, "humidity ratio below 0", ratio, "kg/kg", "Check sign and units.")
    most = saturation_humidity_ratio(dry_bulb, pressure)
    high = _flag(
        ratio > np.asarray(most) * (1 + ROUNDING) + 1e-15, impossible, "more water than air at this dry bulb can hold",
        ratio, "kg/kg", "Check dry bulb, humidity and pressure.",
    )  # fmt: skip
    clean: Array = np.where(ratio < 0, 0.0, np.minimum(ratio, most))
    return _blank(float(clean) if clean.ndim == 0 else clean, low | high)


def relative_humidity(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Relative humidity [fraction] of air at a dry bulb [°C], humidity ratio and pressure [Pa]; Eq. 12."""

    def kernel(t: Array, w: Array, p: Array) -> Array:
        return p * w / ((MASS_RATIO + w) * saturated_vapour(t))

    return blockwise(kernel, dry_bulb, humidity_ratio, pressure)


def degree_of_saturation(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Humidity ratio over that of saturation at the same dry bulb [°C] and pressure [Pa]; Eq. 10."""

    def kernel(t: Array, w: Array, p: Array) -> Array:
        saturated = saturated_vapour(t)
        # Where water boils, nothing saturates the air.
        return w * np.maximum(p - saturated, 0.0) / (MASS_RATIO * saturated)

    return blockwise(kernel, dry_bulb, humidity_ratio, pressure)


def dew_point(humidity_ratio: Number, pressure: Number) -> Number:
    """Dew point [°C] of air of a humidity ratio [kg/kg] at a pressure [Pa]; NaN for dry air; Eq. 36."""

    def kernel(w: Array, p: Array) -> Array:
        return saturated_temperature(p * w / (MASS_RATIO + w))

    return blockwise(kernel, humidity_ratio, pressure)


def wet_bulb(dry_bulb: Number, humidity_ratio: Number, pressure: Number, *, impossible: Impossible = "raise") -> Number:
    """Thermodynamic wet bulb, solved to 1e-9 K.

    Parameters
    ----------
    dry_bulb : float or array [°C]
    humidity_ratio : float or array [kg water per kg dry air]
    pressure : float or array [Pa]
    impossible : "raise" or "nan"
        What becomes of states that cannot be.

    Returns
    -------
    float or array [°C]

    Raises
    ------
    ImpossibleStateError
        Humidity ratio below 0, or above saturation.

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 33 and 35. Where both have a solution around 0 °C, the
    wick is taken as liquid.
    """
    _check_choice(impossible)
    suspect = []

    def bad(t: Any, w: Any, wet: Any) -> Any:
        return (w < 0) | (wet > t + 1e-7)

    def kernel(t: Array, w: Array, p: Array) -> Array:
        wet = solve_wet_bulb(t, w, p)
        if bad(t, w, wet).any():
            suspect.append(True)
        return wet

    result = blockwise(kernel, dry_bulb, humidity_ratio, pressure)
    if not suspect:
        return result
    mask = _flag(
        bad(np.asarray(dry_bulb), np.asarray(humidity_ratio), np.asarray(result)), impossible,
        "humidity ratio below 0 or above saturation", humidity_ratio, "kg/kg",
        "Check dry bulb, humidity and pressure.",
    )  # fmt: skip
    return _blank(result, mask)


@array_kernel
def enthalpy(dry_bulb: Number, humidity_ratio: Number) -> Number:
    """Enthalpy [J/kg dry air] at a dry bulb [°C] and humidity ratio; Eq. 30, zero for dry air at 0 °C."""
    return SPECIFIC_HEAT_DRY_AIR * dry_bulb + humidity_ratio * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * dry_bulb)


@array_kernel
def dry_bulb_from_enthalpy(enthalpy: Number, humidity_ratio: Number) -> Number:
    """Dry bulb [°C] from enthalpy [J/kg dry air] and humidity ratio; Eq. 30 turned round."""
    return (enthalpy - humidity_ratio * EVAPORATION_HEAT) / (
        SPECIFIC_HEAT_DRY_AIR + humidity_ratio * SPECIFIC_HEAT_VAPOUR
    )


@array_kernel
def specific_heat(humidity_ratio: Number) -> Number:
    """Specific heat of moist air [J/(K kg dry air)]; slope of Eq. 30 with dry bulb."""
    return SPECIFIC_HEAT_DRY_AIR + humidity_ratio * SPECIFIC_HEAT_VAPOUR


def _specific_volume(t: Number, w: Number, p: Number) -> Number:
    return GAS_CONSTANT_DRY_AIR * (t + ZERO_CELSIUS) * (1 + GAS_CONSTANT_RATIO * w) / p


@array_kernel
def specific_volume(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Volume [m³] of moist air per kg of its dry air, at dry bulb [°C] and pressure [Pa]; Eq. 26."""
    return _specific_volume(dry_bulb, humidity_ratio, pressure)


@array_kernel
def density(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Density of the mixture [kg moist air per m³]; Eq. 9b."""
    return (1 + humidity_ratio) / _specific_volume(dry_bulb, humidity_ratio, pressure)


@array_kernel
def water_enthalpy(temperature: Number) -> Number:
    """Enthalpy of liquid water [J/kg], zero at 0 °C; ASHRAE Fundamentals (2017) ch. 1, below Eq. 33."""
    return SPECIFIC_HEAT_WATER * temperature
