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

from functools import lru_cache
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array, Number, array_kernel, blockwise
from airside.errors import ImpossibleStateError, OutOfRangeError

Impossible = Literal["raise", "nan"]

# ASHRAE Fundamentals (2017) ch. 1, section "Thermodynamic temperature scale".
ZERO_CELSIUS = 273.15
# Triple point of water [°C], by definition of the kelvin before 2019 and within 1e-4 K since.
TRIPLE_POINT = 0.01
# Ratio of the molar masses of water and dry air, ASHRAE Fundamentals (2017) ch. 1 Eq. 20.
MASS_RATIO = 0.621945
# Gas constant of dry air [J/(kg K)], ASHRAE Fundamentals (2017) ch. 1 Eq. 26.
GAS_CONSTANT_DRY_AIR = 287.042
# Ratio of the gas constants of water vapour and dry air as Eq. 26 prints it.
GAS_CONSTANT_RATIO = 1.607858
# Enthalpy of dry air, of vapour and of liquid water [J/(kg K)], and heat of evaporation at 0 °C [J/kg]:
# ASHRAE Fundamentals (2017) ch. 1 Eq. 30 and Eq. 33 (where 2.326 = 4.186 - 1.86).
SPECIFIC_HEAT_DRY_AIR = 1006.0
SPECIFIC_HEAT_VAPOUR = 1860.0
SPECIFIC_HEAT_WATER = 4186.0
EVAPORATION_HEAT = 2_501_000.0
# The same over ice, ASHRAE Fundamentals (2017) ch. 1 Eq. 35 (where 0.24 = 2.1 - 1.86).
SPECIFIC_HEAT_ICE = 2100.0
SUBLIMATION_HEAT = 2_830_000.0
# Saturation over ice, ASHRAE Fundamentals (2017) ch. 1 Eq. 5 (C1 to C7).
ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
# Saturation over water, ASHRAE Fundamentals (2017) ch. 1 Eq. 6 (C8 to C13).
WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)
# Standard atmosphere, ASHRAE Fundamentals (2017) ch. 1 Eq. 3.
SEA_LEVEL_PRESSURE = 101_325.0
ATMOSPHERE_SLOPE = 2.25577e-5
ATMOSPHERE_EXPONENT = 5.2559
# Range of Eq. 5 and Eq. 6 [°C].
COLDEST, HOTTEST = -100.0, 200.0
# Rounding that is still taken as saturation: fraction of humidity, and K.
ROUNDING = 1e-9


def _log_saturation(kelvin: Array, c: tuple[float, ...]) -> Array:
    polynomial = c[1] + kelvin * (c[2] + kelvin * (c[3] + kelvin * (c[4] + kelvin * c[5] if c[5] else c[4])))
    return c[0] / kelvin + polynomial + c[6] * np.log(kelvin)  # type: ignore[no-any-return]


def _log_slope(kelvin: Array, c: tuple[float, ...]) -> Array:
    """Derivative of `_log_saturation` with temperature [1/K]."""
    cubic = 3.0 * c[4] + kelvin * (4.0 * c[5]) if c[5] else 3.0 * c[4]
    return (c[6] - c[0] / kelvin) / kelvin + c[2] + kelvin * (2.0 * c[3] + kelvin * cubic)  # type: ignore[no-any-return]


def _by_phase(function: Any, kelvin: Array, liquid: Array) -> Array:
    """Evaluate over water where ``liquid``, else over ice; only what the block needs."""
    if liquid.all():
        return function(kelvin, WATER)  # type: ignore[no-any-return]
    if not liquid.any():
        return function(kelvin, ICE)  # type: ignore[no-any-return]
    return np.where(liquid, function(kelvin, WATER), function(kelvin, ICE))


@array_kernel
def saturation_pressure(dry_bulb: Number) -> Number:
    """Pressure of saturated water vapour, over ice up to the triple point, over water above.

    Parameters
    ----------
    dry_bulb : float or array [°C]
        From -100 to 200 °C; NaN outside.

    Returns
    -------
    float or array [Pa]

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 5 and 6.
    """
    kelvin = dry_bulb + ZERO_CELSIUS
    pressure = np.exp(_by_phase(_log_saturation, kelvin, dry_bulb > TRIPLE_POINT))  # type: ignore[arg-type]
    outside = (dry_bulb < COLDEST) | (dry_bulb > HOTTEST)  # type: ignore[operator]
    return np.where(outside, np.nan, pressure) if outside.any() else pressure


@lru_cache(maxsize=1)
def _inverse_saturation() -> tuple[tuple[Array, float, float], tuple[Array, float, float]]:
    """Polynomials of temperature over ln(pressure), ice and water: first guesses for the dew point.

    Fitted to Eq. 5 and 6 where air conditioning works, to about 1e-5 K; beyond, the solver mends the rest.
    """
    fits = []
    for coefficients, low, high in ((ICE, -60.0, TRIPLE_POINT), (WATER, TRIPLE_POINT, 60.0)):
        celsius = low + (high - low) * (1 - np.cos(np.linspace(0, np.pi, 400))) / 2
        log_pressure = _log_saturation(celsius + ZERO_CELSIUS, coefficients)
        middle, half = (log_pressure[0] + log_pressure[-1]) / 2, (log_pressure[-1] - log_pressure[0]) / 2
        scaled = (log_pressure - middle) / half
        fit = np.polynomial.Chebyshev.fit(scaled, celsius, 5, domain=[-1, 1]).convert(kind=np.polynomial.Polynomial)
        fits.append((fit.coef, float(middle), float(half)))
    return fits[0], fits[1]


def _guess(log_pressure: Array, fit: tuple[Array, float, float]) -> Array:
    coefficients, middle, half = fit
    x = np.clip((log_pressure - middle) / half, -1.0, 1.0)
    result = np.full_like(x, coefficients[-1])
    for c in coefficients[-2::-1]:
        result *= x
        result += c
    return result


@array_kernel
def saturation_temperature(vapour_pressure: Number) -> Number:
    """Temperature at which water vapour of a pressure is saturated: the dew point, or frost point.

    Parameters
    ----------
    vapour_pressure : float or array [Pa]
        NaN is returned outside the range of the formulas, -100 to 200 °C; dry air has no dew point.

    Returns
    -------
    float or array [°C]

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 5 and 6 solved by Newton's method on the logarithm.
    """
    log_pressure = np.log(vapour_pressure)
    ice_fit, water_fit = _inverse_saturation()
    at_triple = _log_saturation(np.float64(TRIPLE_POINT + ZERO_CELSIUS), WATER)  # type: ignore[arg-type]
    liquid = np.asarray(log_pressure > at_triple)
    if liquid.all():
        celsius = _guess(log_pressure, water_fit)
    elif not liquid.any():
        celsius = _guess(log_pressure, ice_fit)
    else:
        celsius = np.where(liquid, _guess(log_pressure, water_fit), _guess(log_pressure, ice_fit))
    for _ in range(12):
        kelvin = celsius + ZERO_CELSIUS
        step = (_by_phase(_log_saturation, kelvin, liquid) - log_pressure) / _by_phase(_log_slope, kelvin, liquid)
        celsius -= step
        # Quadratic convergence: after a step below 1e-5 K what is left is below 1e-11 K.
        if not np.any(np.abs(step) > 1e-5):
            break
    outside = ~((celsius >= COLDEST - 1e-6) & (celsius <= HOTTEST + 1e-6))
    return np.where(outside, np.nan, celsius) if outside.any() else celsius


@array_kernel
def humidity_ratio_from_vapour_pressure(vapour_pressure: Number, pressure: Number) -> Number:
    """Humidity ratio [kg/kg] from vapour pressure [Pa] and pressure [Pa]; Eq. 20."""
    return MASS_RATIO * vapour_pressure / (pressure - vapour_pressure)


@array_kernel
def vapour_pressure_from_humidity_ratio(humidity_ratio: Number, pressure: Number) -> Number:
    """Vapour pressure [Pa] from humidity ratio [kg/kg] and pressure [Pa]; Eq. 20 turned round."""
    return pressure * humidity_ratio / (MASS_RATIO + humidity_ratio)


def saturation_humidity_ratio(dry_bulb: Number, pressure: Number) -> Number:
    """Humidity ratio [kg/kg] of saturated air at a dry bulb [°C] and pressure [Pa]; Eq. 21."""
    return humidity_ratio_from_vapour_pressure(saturation_pressure(dry_bulb), pressure)  # type: ignore[no-any-return]


def _flag(bad: Any, impossible: Impossible, what: str, value: Any, unit: str, advice: str) -> Any:
    """Raise for impossible states, or return the mask of them where the caller wants NaN."""
    mask = np.asarray(bad)
    if impossible not in ("raise", "nan"):
        raise ValueError(f"impossible must be 'raise' or 'nan', not {impossible!r}")
    if impossible == "nan" or not mask.any():
        return mask
    count = int(mask.sum())
    index = tuple(int(i) for i in np.argwhere(mask)[0])
    found = float(np.broadcast_to(np.asarray(value), mask.shape)[index])
    where = f"{count} of {mask.size} states; the first at index {list(index)}" if index else "the state"
    raise ImpossibleStateError(f"impossible air: {what} ({where} has {found:.6g} {unit}). {advice}", count, index)


def _blank(values: Number, mask: Any) -> Number:
    if not mask.any():
        return values
    blanked = np.where(mask, np.nan, values)
    return float(blanked) if blanked.ndim == 0 else blanked


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
        Relative humidity below 0 or above 1.

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 12 and 20.
    """
    rh = np.asarray(relative_humidity, dtype=np.float64)
    bad = _flag(
        (rh < 0) | (rh > 1 + ROUNDING), impossible, "relative humidity outside 0 to 1", rh, "(fraction)",
        "Relative humidity is a fraction here: 0.45 for 45 %.",
    )

    def kernel(t: Array, r: Array, p: Array) -> Array:
        vapour = np.minimum(r, 1.0) * np.exp(_by_phase(_log_saturation, t + ZERO_CELSIUS, t > TRIPLE_POINT))
        return MASS_RATIO * vapour / (p - vapour)  # type: ignore[no-any-return]

    return _blank(blockwise(kernel, dry_bulb, rh, pressure), bad)


def humidity_ratio_from_dew_point(
    dry_bulb: Number, dew_point: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Humidity ratio from dew point (frost point below 0.01 °C); Eq. 5, 6, 20 and 36.

    Parameters and errors are as in `humidity_ratio_from_relative_humidity`, with the dew point in
    °C; a dew point above the dry bulb is impossible.
    """
    t, d = np.asarray(dry_bulb, dtype=np.float64), np.asarray(dew_point, dtype=np.float64)
    bad = _flag(
        d > t + ROUNDING, impossible, "dew point above dry bulb", d, "°C dew point", "Check for swapped columns."
    )
    return _blank(saturation_humidity_ratio(np.minimum(d, t), pressure), bad)


def _wet_bulb_constants(liquid: Any) -> tuple[Any, Any]:
    if np.all(liquid):
        return EVAPORATION_HEAT, SPECIFIC_HEAT_WATER
    return np.where(liquid, EVAPORATION_HEAT, SUBLIMATION_HEAT), np.where(
        liquid, SPECIFIC_HEAT_WATER, SPECIFIC_HEAT_ICE
    )


def _wet_bulb_humidity_ratio(t: Array, wet_bulb: Array, p: Array) -> Array:
    """Right-hand side of Eq. 33 (wet bulb at or above 0 °C) and Eq. 35 (below)."""
    saturated = np.exp(_by_phase(_log_saturation, wet_bulb + ZERO_CELSIUS, wet_bulb > TRIPLE_POINT))
    saturated = MASS_RATIO * saturated / (p - saturated)
    heat, water = _wet_bulb_constants(wet_bulb >= 0)
    vapour_heat = heat - (water - SPECIFIC_HEAT_VAPOUR) * wet_bulb
    numerator = vapour_heat * saturated - SPECIFIC_HEAT_DRY_AIR * (t - wet_bulb)
    return numerator / (heat + SPECIFIC_HEAT_VAPOUR * t - water * wet_bulb)  # type: ignore[no-any-return]


def humidity_ratio_from_wet_bulb(
    dry_bulb: Number, wet_bulb: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Humidity ratio from thermodynamic wet bulb; Eq. 33 at or above 0 °C, Eq. 35 below.

    Parameters and errors are as in `humidity_ratio_from_relative_humidity`, with the wet bulb in
    °C. A wet bulb above the dry bulb is impossible, and so is one below that of dry air.
    """
    t, b = np.asarray(dry_bulb, dtype=np.float64), np.asarray(wet_bulb, dtype=np.float64)
    high = _flag(
        b > t + ROUNDING, impossible, "wet bulb above dry bulb", b, "°C wet bulb", "Check for swapped columns."
    )
    ratio = blockwise(_wet_bulb_humidity_ratio, t, np.minimum(b, t), pressure)
    low = _flag(
        np.asarray(ratio) < -1e-12, impossible, "wet bulb below that of dry air", b, "°C wet bulb",
        "Check the wick, its water and the pressure.",
    )
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
    ratio = np.asarray(humidity_ratio, dtype=np.float64)
    # Enthalpy of dry air leaves rounding of a few 1e-17 around zero.
    low = _flag(ratio < -1e-12, impossible, "humidity ratio below 0", ratio, "kg/kg", "Check sign and units.")
    most = saturation_humidity_ratio(dry_bulb, pressure)
    high = _flag(
        ratio > np.asarray(most) * (1 + ROUNDING) + 1e-15, impossible, "more water than air at this dry bulb can hold",
        ratio, "kg/kg", "Check dry bulb, humidity and pressure.",
    )
    ratio = np.where(ratio < 0, 0.0, np.minimum(ratio, most))
    clean = _blank(ratio, low | high)
    return float(clean) if np.ndim(clean) == 0 else clean


@array_kernel
def relative_humidity(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Relative humidity [fraction] of air at a dry bulb [°C], humidity ratio and pressure [Pa]; Eq. 12."""
    saturated = np.exp(_by_phase(_log_saturation, dry_bulb + ZERO_CELSIUS, dry_bulb > TRIPLE_POINT))  # type: ignore
    return pressure * humidity_ratio / ((MASS_RATIO + humidity_ratio) * saturated)  # type: ignore[no-any-return]


@array_kernel
def degree_of_saturation(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Humidity ratio over that of saturation at the same dry bulb [°C] and pressure [Pa]; Eq. 10."""
    saturated = np.exp(_by_phase(_log_saturation, dry_bulb + ZERO_CELSIUS, dry_bulb > TRIPLE_POINT))  # type: ignore
    return humidity_ratio * (pressure - saturated) / (MASS_RATIO * saturated)  # type: ignore[no-any-return]


def dew_point(humidity_ratio: Number, pressure: Number) -> Number:
    """Dew point [°C] of air of a humidity ratio [kg/kg] at a pressure [Pa]; NaN for dry air; Eq. 36."""

    def kernel(w: Array, p: Array) -> Array:
        return saturation_temperature.__wrapped__(p * w / (MASS_RATIO + w))  # type: ignore

    return blockwise(kernel, humidity_ratio, pressure)  # type: ignore[no-any-return]


def _solve_wet_bulb(t: Array, w: Array, p: Array) -> Array:
    # Eq. 33 as `vapour_heat * saturated + slope * wet - offset = 0`; drier than its root at 0 °C, the wick is frozen.
    offset = SPECIFIC_HEAT_DRY_AIR * t + w * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * t)
    at_zero = float(saturation_pressure(0.0))
    liquid = np.asarray((t >= 0) & (offset >= EVAPORATION_HEAT * MASS_RATIO * at_zero / (p - at_zero)))
    wet = np.clip(_first_wet_bulb(offset, w, p), COLDEST, t)
    heat, water = _wet_bulb_constants(liquid)
    if not liquid.all():
        offset = offset + w * (heat - EVAPORATION_HEAT)
    fall = water - SPECIFIC_HEAT_VAPOUR
    slope = SPECIFIC_HEAT_DRY_AIR + w * water
    for _ in range(25):
        kelvin = wet + ZERO_CELSIUS
        # Between 0 and 0.01 °C the wick is liquid but its vapour pressure is still that of Eq. 5.
        over_water = wet > TRIPLE_POINT
        vapour = np.exp(_by_phase(_log_saturation, kelvin, over_water))
        rate = _by_phase(_log_slope, kelvin, over_water)
        room = 1.0 / (p - vapour)
        saturated = MASS_RATIO * vapour * room
        # From here `rate` is the slope of ln(saturated humidity ratio).
        rate *= p * room
        vapour_heat = heat - fall * wet
        error = vapour_heat * saturated + slope * wet - offset
        gain = saturated * rate
        first = vapour_heat * gain - fall * saturated + slope
        # Curvature; the slope of ln(pressure) goes almost as 1/T², hence -2/T.
        half_second = gain * (0.5 * vapour_heat * (rate * (1 + vapour / p) - 2.0 / kelvin) - fall)
        step = error * first / (first * first - error * half_second)
        wet = wet - step
        # Halley's step: cubic. After a step below 2e-3 K what is left is below 1e-10 K.
        if not np.any(np.abs(step) > 2e-3):
            break
    return wet


@lru_cache(maxsize=1)
def _wet_bulb_fit() -> tuple[tuple[float, float], ...]:
    """Polynomial of the wet bulb over enthalpy and pressure: first guesses, from the library's own equations.

    Fitted where air conditioning works, with a maximum error of about 0.5 K; the solver mends the rest.
    """
    t, p = np.meshgrid(np.linspace(-5, 35, 120), np.linspace(0.6, 1.1, 20))
    x = np.log(enthalpy(t, saturation_humidity_ratio(t, p * 1e5)) + 65e3) - 11.5
    terms = [x**i * p**j for i in range(5) for j in range(2)]
    fit = np.linalg.lstsq(np.stack([k.ravel() for k in terms], axis=1), t.ravel(), rcond=None)[0]
    return tuple((float(a), float(b)) for a, b in fit.reshape(5, 2))


def _first_wet_bulb(enthalpies: Array, w: Array, p: Array) -> Array:
    x, y = np.log(np.maximum(enthalpies + 65e3, 1e4)) - 11.5, p * 1e-5
    result = np.zeros(1)
    for constant, per_pressure in _wet_bulb_fit()[::-1]:
        result = result * x + (constant + y * per_pressure)
    # The water that evaporates brings its own enthalpy along.
    latent = enthalpies - SPECIFIC_HEAT_DRY_AIR * result
    return result + (latent / EVAPORATION_HEAT - w) * SPECIFIC_HEAT_WATER * result / (
        SPECIFIC_HEAT_DRY_AIR + 0.06 * latent
    )


def wet_bulb(
    dry_bulb: Number, humidity_ratio: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
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
    result = blockwise(_solve_wet_bulb, dry_bulb, humidity_ratio, pressure)
    bad = (np.asarray(humidity_ratio) < 0) | (np.asarray(result) > np.asarray(dry_bulb) + 1e-7)
    mask = _flag(
        bad, impossible, "humidity ratio below 0 or above saturation", humidity_ratio, "kg/kg",
        "Check dry bulb, humidity and pressure.",
    )
    if impossible == "nan" and mask.any():
        return _blank(result, mask)
    return result  # type: ignore[no-any-return]


@array_kernel
def enthalpy(dry_bulb: Number, humidity_ratio: Number) -> Number:
    """Enthalpy [J/kg dry air] at a dry bulb [°C] and humidity ratio; Eq. 30, zero for dry air at 0 °C."""
    return SPECIFIC_HEAT_DRY_AIR * dry_bulb + humidity_ratio * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * dry_bulb)


@array_kernel
def dry_bulb_from_enthalpy(enthalpy: Number, humidity_ratio: Number) -> Number:
    """Dry bulb [°C] from enthalpy [J/kg dry air] and humidity ratio; Eq. 30 turned round."""
    return (enthalpy - humidity_ratio * EVAPORATION_HEAT) / specific_heat.__wrapped__(humidity_ratio)  # type: ignore


@array_kernel
def specific_heat(humidity_ratio: Number) -> Number:
    """Specific heat of moist air [J/(K kg dry air)]; slope of Eq. 30 with dry bulb."""
    return SPECIFIC_HEAT_DRY_AIR + humidity_ratio * SPECIFIC_HEAT_VAPOUR


@array_kernel
def specific_volume(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Volume [m³] of moist air per kg of its dry air, at dry bulb [°C] and pressure [Pa]; Eq. 26."""
    return (
        GAS_CONSTANT_DRY_AIR * (dry_bulb + ZERO_CELSIUS) * (1 + GAS_CONSTANT_RATIO * humidity_ratio) / pressure
    )


@array_kernel
def density(dry_bulb: Number, humidity_ratio: Number, pressure: Number) -> Number:
    """Density of the mixture [kg moist air per m³]; Eq. 9b."""
    return (1 + humidity_ratio) / specific_volume.__wrapped__(dry_bulb, humidity_ratio, pressure)  # type: ignore


@array_kernel
def water_enthalpy(temperature: Number) -> Number:
    """Enthalpy of liquid water [J/kg], zero at 0 °C; ASHRAE Fundamentals (2017) ch. 1, below Eq. 33."""
    return SPECIFIC_HEAT_WATER * temperature


def standard_atmosphere_pressure(elevation: Number) -> Number:
    """Barometric pressure of the standard atmosphere.

    Parameters
    ----------
    elevation : float or array [m]
        From -5000 to 11,000 m.

    Returns
    -------
    float or array [Pa]

    Raises
    ------
    OutOfRangeError
        Elevation outside the range of the formula.

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 3.
    """
    z = np.asarray(elevation, dtype=np.float64)
    if np.any((z < -5000) | (z > 11_000)):
        raise OutOfRangeError(
            f"elevation {float(z.flat[0]):g} m is outside the standard atmosphere's -5000 to 11,000 m. "
            "Check the unit: bare elevations are feet in IP, metres in SI."
        )
    p = SEA_LEVEL_PRESSURE * (1 - ATMOSPHERE_SLOPE * z) ** ATMOSPHERE_EXPONENT
    return float(p) if p.ndim == 0 else p
