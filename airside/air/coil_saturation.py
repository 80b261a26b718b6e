"""Where a straight line on the psychrometric chart meets saturation, and saturated air of an enthalpy.

Both are solved by Newton's method from the warm side. Written free of the pole where water boils,
each equation is convex with temperature, over ice and over water. So from the warm side every step
stays on that side: it comes down on the first solution, or finds that there is none.

Sources
-------
ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Psychrometrics, Eq. 5, 6, 20 and 30.
"""

from __future__ import annotations

import numpy as np

from airside.air.blocks import Array, Number, blockwise
from airside.air.constants import (
    EVAPORATION_HEAT,
    MASS_RATIO,
    SPECIFIC_HEAT_DRY_AIR,
    SPECIFIC_HEAT_VAPOUR,
    ZERO_CELSIUS,
)
from airside.air.saturation import (
    COLDEST,
    TRIPLE_POINT,
    Floats,
    by_phase,
    log_saturation,
    log_slope,
    refine,
    saturated_vapour,
)

# A step below this ends the search [K]. Convergence is quadratic; where the line only touches saturation it halves.
ENOUGH = 1e-8
# Rounding that is still taken as saturated: fraction of humidity.
SATURATED = 1e-9
# A search starts no warmer than this [°C]; saturated air of air conditioning is colder.
WARMEST_START = 90.0


def saturated_ratio(t: Array, p: Array) -> Array:
    """Humidity ratio of saturated air below boiling; Eq. 20. A kernel."""
    vapour = saturated_vapour(t)
    ratio: Array = MASS_RATIO * vapour / (p - vapour)
    return ratio


def moist_enthalpy(t: Array, w: Array) -> Array:
    """Enthalpy [J/kg dry air]; Eq. 30. A kernel."""
    return SPECIFIC_HEAT_DRY_AIR * t + w * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * t)


def line_meets_saturation(t: Array, w: Array, slope: Array, p: Array) -> Array:
    """First temperature at or below ``t`` where a line meets saturation [°C]; NaN where it does not.

    Parameters
    ----------
    t, w : array, shape (n,) [°C, kg/kg]
        A point of the line, at or below saturation.
    slope : array, shape (n,) [kg/kg per K]
        Of humidity ratio with dry bulb, 0 or above.
    p : array, shape (n,) [Pa]
    """
    found = np.full(t.shape, np.nan)
    vapour = saturated_vapour(t)
    # Written without a quotient: above boiling nothing is saturated.
    saturated = w * (p - vapour) >= MASS_RATIO * vapour * (1 - SATURATED)
    found[saturated] = t[saturated]
    over_water = np.flatnonzero(~saturated & (t > TRIPLE_POINT))
    if over_water.size:
        at = _meets(True, t[over_water], *(a[over_water] for a in (t, w, slope, p)))
        # Eq. 6 goes on below the triple point, but ice takes over there.
        found[over_water] = np.where(at >= TRIPLE_POINT, at, np.nan)
    over_ice = np.flatnonzero(np.isnan(found) & ~np.isnan(t + w + slope + p))
    if over_ice.size:
        start = np.minimum(t[over_ice], TRIPLE_POINT)
        at = _meets(False, start, *(a[over_ice] for a in (t, w, slope, p)))
        found[over_ice] = np.where(at >= COLDEST, at, np.nan)
    np.minimum(found, t, out=found)
    return found


def _meets(liquid: bool, start: Array, *arguments: Array) -> Array:
    def step(x: Floats, t: Floats, w: Floats, slope: Floats, p: Floats) -> Floats:
        kelvin = x + ZERO_CELSIUS
        vapour: Floats = np.exp(log_saturation(liquid, kelvin))
        line = w + slope * (x - t)
        # Saturation less the line, multiplied by `p - vapour`.
        held: Floats = (MASS_RATIO + line) * vapour
        rise = held * log_slope(liquid, kelvin)[1]
        rise -= slope * (p - vapour)
        held -= line * p
        held /= rise
        # Going down, the line falls away from saturation as fast: it does not meet it any more.
        held[~(rise > 0)] = np.nan
        return held

    return refine(step, start.copy(), ENOUGH, *arguments)


def saturated_at_enthalpy(h: Array, p: Array) -> Array:
    """Kernel of `saturated_temperature_from_enthalpy`."""
    h, p = np.broadcast_arrays(h, p)
    triple = np.array([TRIPLE_POINT])
    return by_phase(_at_enthalpy, h > moist_enthalpy(triple, saturated_ratio(triple, p)), h, p)


def _at_enthalpy(liquid: bool, h: Array, p: Array) -> Array:
    def step(x: Floats, h: Floats, p: Floats) -> Floats:
        kelvin = x + ZERO_CELSIUS
        vapour = np.exp(log_saturation(liquid, kelvin))
        rate = log_slope(liquid, kelvin)[1]
        dry = SPECIFIC_HEAT_DRY_AIR * x - h
        wet = MASS_RATIO * (EVAPORATION_HEAT + SPECIFIC_HEAT_VAPOUR * x)
        error: Floats = dry * (p - vapour) + wet * vapour
        error /= (
            SPECIFIC_HEAT_DRY_AIR * (p - vapour)
            + (wet - dry) * vapour * rate
            + MASS_RATIO * SPECIFIC_HEAT_VAPOUR * vapour
        )
        return error

    # Dry air of this enthalpy is warmer than saturated air.
    start = np.minimum(h / SPECIFIC_HEAT_DRY_AIR, WARMEST_START if liquid else TRIPLE_POINT)
    celsius = refine(step, start, ENOUGH, h, p)
    return np.where(celsius >= COLDEST, celsius, np.nan)


def saturated_temperature_from_enthalpy(enthalpy: Number, pressure: Number) -> Number:
    """Temperature of saturated air of an enthalpy.

    Parameters
    ----------
    enthalpy : float or array [J/kg dry air, zero for dry air at 0 °C]
    pressure : float or array [Pa]

    Returns
    -------
    float or array [°C]
        NaN below -100 °C, where the formulas end.

    Notes
    -----
    ASHRAE Fundamentals (2017) ch. 1 Eq. 5, 6, 20 and 30, solved to 1e-9 K.
    """
    return blockwise(saturated_at_enthalpy, enthalpy, pressure)
