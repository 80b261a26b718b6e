"""The wet-bulb equation: humidity ratio from wet bulb, and its solution for the wet bulb.

The equation has a branch for a wick of water (Eq. 33) and one of ice (Eq. 35). They overlap at
0 °C: for some humidity ratios both have a solution. The wick is then taken as liquid; the ice
branch answers only where the water branch has no solution at or above 0 °C. There is no gap: where
the water branch ends, at a wet bulb of 0 °C, the ice branch has a solution at or below 0 °C.

Sources
-------
ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Psychrometrics, Eq. 30, 33 and 35.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from airside.air.blocks import Array
from airside.air.constants import (
    EVAPORATION_HEAT,
    MASS_RATIO,
    SPECIFIC_HEAT_DRY_AIR,
    SPECIFIC_HEAT_ICE,
    SPECIFIC_HEAT_VAPOUR,
    SPECIFIC_HEAT_WATER,
    SUBLIMATION_HEAT,
    ZERO_CELSIUS,
)  # fmt: skip
from airside.air.saturation import (
    COLDEST,
    TRIPLE_POINT,
    Floats,
    Mask,
    by_phase,
    horner,
    log_saturation,
    log_slope,
    refine,
    saturated_vapour,
)  # fmt: skip


def _wick(liquid: bool) -> tuple[float, float]:
    """Heat of evaporation at 0 °C [J/kg] and specific heat [J/(kg K)] of the wick's water."""
    return (EVAPORATION_HEAT, SPECIFIC_HEAT_WATER) if liquid else (SUBLIMATION_HEAT, SPECIFIC_HEAT_ICE)


def wet_bulb_humidity_ratio(t: Array, wet_bulb: Array, p: Array) -> Array:
    """Right-hand side of Eq. 33 (wet bulb at or above 0 °C) and Eq. 35 (below)."""
    vapour = saturated_vapour(wet_bulb)

    def branch(liquid: bool, t: Array, wet: Array, vapour: Array, p: Array) -> Array:
        heat, water = _wick(liquid)
        numerator = (heat - (water - SPECIFIC_HEAT_VAPOUR) * wet) * (MASS_RATIO * vapour / (p - vapour))
        numerator = numerator - SPECIFIC_HEAT_DRY_AIR * (t - wet)
        return numerator / (heat + SPECIFIC_HEAT_VAPOUR * t - water * wet)

    return by_phase(branch, *np.broadcast_arrays(wet_bulb >= 0, t, wet_bulb, vapour, p))


def solve_wet_bulb(t: Array, w: Array, p: Array) -> Array:
    """Wet bulb [°C] from dry bulb [°C], humidity ratio and pressure [Pa]."""
    heat_of_air = SPECIFIC_HEAT_DRY_AIR * t + w * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * t)
    return by_phase(_solve_by_vapour, _reaches(TRIPLE_POINT, heat_of_air, w, p), t, heat_of_air, w, p)


def _reaches(wet_bulb: float, heat_of_air: Array, w: Array, p: Array) -> Mask:
    """Whether Eq. 33 has its solution at ``wet_bulb`` or above."""
    vapour = saturated_vapour(np.array([wet_bulb]))
    latent = MASS_RATIO * vapour * (EVAPORATION_HEAT - (SPECIFIC_HEAT_WATER - SPECIFIC_HEAT_VAPOUR) * wet_bulb)
    left = heat_of_air - w * (SPECIFIC_HEAT_WATER * wet_bulb)
    left -= SPECIFIC_HEAT_DRY_AIR * wet_bulb
    # A wet bulb of 0 °C, turned into a humidity ratio and back, must not slip to the other branch by rounding.
    return left * (p - vapour) >= latent * (1 - 1e-12)


def _solve_by_vapour(over_water: bool, t: Array, heat_of_air: Array, w: Array, p: Array) -> Array:
    """Solve for wet bulbs above the triple point, or below it."""
    if over_water:
        return _solve(True, True, t, heat_of_air, w, p)

    def solve_by_wick(liquid: bool, t: Array, heat_of_air: Array, w: Array, p: Array) -> Array:
        wet = _solve(liquid, False, t, heat_of_air, w, p)
        # Rounding below 0 °C would pass for the other branch.
        return np.maximum(wet, 0.0) if liquid else wet

    # Between 0 °C and the triple point the wick is liquid but its vapour pressure is still that of Eq. 5.
    return by_phase(solve_by_wick, _reaches(0.0, heat_of_air, w, p), t, heat_of_air, w, p)


def _solve(liquid: bool, over_water: bool, t: Array, heat_of_air: Array, w: Array, p: Array) -> Array:
    """Solve with a wick of water or ice, and with vapour pressures over water or ice."""
    heat, water = _wick(liquid)
    # Both branches read `(heat - fall * wet) * saturated + slope * wet = offset`.
    offset = heat_of_air if liquid else heat_of_air + w * (SUBLIMATION_HEAT - EVAPORATION_HEAT)
    slope = w * water
    slope += SPECIFIC_HEAT_DRY_AIR
    fall = water - SPECIFIC_HEAT_VAPOUR

    single = tuple(a.astype(np.float32) for a in (slope, p))

    def halley(wet: Floats, offset: Floats, slope: Floats, p: Floats, slope32: Floats, p32: Floats) -> Floats:
        # Multiplied by `p - vapour`: `mass * vapour + rest * p = 0`; the pole at boiling is gone.
        vapour = log_saturation(over_water, wet + ZERO_CELSIUS)
        np.exp(vapour, out=vapour)
        rest = slope * wet
        rest -= offset
        mass = wet * (-MASS_RATIO * fall)
        mass += MASS_RATIO * heat
        mass -= rest
        error = rest * p
        error += mass * vapour
        # Single precision does for slopes, at half the time. `loss`: slope of `mass`, turned round.
        vapour, mass = (a.astype(np.float32, copy=False) for a in (vapour, mass))
        loss = slope32 + MASS_RATIO * fall
        inverse, rate = log_slope(over_water, wet.astype(np.float32) + ZERO_CELSIUS)
        gain = vapour * rate
        vapour *= loss
        first = mass * gain
        first -= vapour
        first += slope32 * p32
        # Curvature; the slope of ln(pressure) goes almost as 1/T², hence -2/T.
        rate *= 0.5
        rate -= inverse
        rate *= mass
        rate -= loss
        rate *= gain
        rate /= first
        # Newton's step, then Halley's.
        error /= first
        rate *= error
        error /= np.subtract(1.0, rate, out=rate)
        return error

    guess = _first_guess(liquid, t, offset, p)
    guess -= halley(guess, offset.astype(np.float32), *single, *single)
    # Cubic convergence: after a step of 2e-3 K about 1e-10 K is left.
    return refine(halley, guess.astype(np.float64), 2e-3, offset, slope, p, *single)


# Keeps the logarithm's argument in `_first_guess` above zero down to -60 °C [100 kJ/kg].
_ENTHALPY_SHIFT = 0.65


@lru_cache(maxsize=2)
def _fit(liquid: bool) -> tuple[tuple[float, float], ...]:
    """Polynomial of the wet bulb over ln(enthalpy) and pressure, from the library's own equations.

    Its maximum error is about 0.5 K where air conditioning works; the solver mends the rest.
    """
    wet, p, share = np.meshgrid(
        np.linspace(0, 60, 60) if liquid else np.linspace(-40, 0, 40), np.linspace(0.6, 1.1, 9), (0.0, 0.5, 1.0)
    )
    vapour = saturated_vapour(wet.ravel()).reshape(wet.shape)
    heat, water = _wick(liquid)
    # From saturated air (share 0) to dry air or 60 °C, whichever comes first.
    saturated = MASS_RATIO * vapour / (p * 1e5 - vapour)
    drying = (heat - (water - SPECIFIC_HEAT_VAPOUR) * wet) * saturated / SPECIFIC_HEAT_DRY_AIR
    w = saturated * (1 - share * np.minimum(1.0, (60.0 - wet) / drying))
    enthalpy = heat * saturated + (SPECIFIC_HEAT_DRY_AIR + w * water) * wet
    enthalpy -= (water - SPECIFIC_HEAT_VAPOUR) * wet * saturated
    x = np.log(enthalpy * 1e-5 + _ENTHALPY_SHIFT)
    terms = [x**i * p**j for i in range(4) for j in range(2)]
    fit = np.linalg.lstsq(np.stack([k.ravel() for k in terms], axis=1), wet.ravel(), rcond=None)[0]
    return tuple((float(a), float(b)) for a, b in fit.reshape(4, 2))


def _first_guess(liquid: bool, t: Array, offset: Array, p: Array) -> Floats:
    """Wet bulb to about 0.5 K, in single precision."""
    x = offset.astype(np.float32)
    x *= 1e-5
    x += _ENTHALPY_SHIFT
    np.maximum(x, 0.1, out=x)
    np.log(x, out=x)
    y = p.astype(np.float32) * 1e-5
    guess: Floats = horner(x, tuple(constant + y * per_pressure for constant, per_pressure in _fit(liquid)))
    np.maximum(guess, COLDEST, out=guess)
    return np.minimum(guess, t.astype(np.float32), out=guess)
