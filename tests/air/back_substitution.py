"""The handbook's equations once more, in extended precision, to put answers back into.

Typed from ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Eq. 5, 6, 20, 33 and 35, apart from
the library's own code. Residuals are turned into kelvin by the slope.
"""

from __future__ import annotations

from typing import Any

import numpy as np

LONG = np.longdouble
# Where saturation over water takes over from ice [°C]; see airside.air.saturation.
CHANGE = 0.01000059721


def long(value: Any) -> Any:
    return np.asarray(value, dtype=LONG)


def constants(*texts: str) -> list[Any]:
    # From text: a double literal would carry its own rounding.
    return [LONG(text) for text in texts]


C1, C2, C3, C4, C5, C6, C7 = constants(
    "-5.6745359e3", "6.3925247", "-9.677843e-3", "6.2215701e-7", "2.0747825e-9", "-9.484024e-13", "4.1635019"
)
C8, C9, C10, C11, C12, C13 = constants(
    "-5.8002206e3", "1.3914993", "-4.8640239e-2", "4.1764768e-5", "-1.4452093e-8", "6.5459673"
)


def log_pressure(celsius: Any, over_water: Any) -> Any:
    """ln(Pa) by Eq. 5 or Eq. 6."""
    k = long(celsius) + LONG("273.15")
    ice = C1 / k + C2 + C3 * k + C4 * k**2 + C5 * k**3 + C6 * k**4 + C7 * np.log(k)
    water = C8 / k + C9 + C10 * k + C11 * k**2 + C12 * k**3 + C13 * np.log(k)
    return np.where(over_water, water, ice)


def log_slope(celsius: Any, over_water: Any) -> Any:
    """Its derivative [1/K]."""
    k = long(celsius) + LONG("273.15")
    ice = -C1 / k**2 + C3 + 2 * C4 * k + 3 * C5 * k**2 + 4 * C6 * k**3 + C7 / k
    water = -C8 / k**2 + C10 + 2 * C11 * k + 3 * C12 * k**2 + C13 / k
    return np.where(over_water, water, ice)


def dew_point_residual(dew_point: Any, humidity_ratio: Any, pressure: Any) -> Any:
    """How far a dew point is from solving Eq. 5 or 6 [K]."""
    over_water = np.asarray(dew_point) > CHANGE
    w, p = long(humidity_ratio), long(pressure)
    vapour = p * w / (LONG("0.621945") + w)
    off = log_pressure(dew_point, over_water) - np.log(vapour)
    return (off / log_slope(dew_point, over_water)).astype(np.float64)


def wet_bulb_residual(
    dry_bulb: Any, humidity_ratio: Any, pressure: Any, wet_bulb: Any, wick_is_water: Any = None
) -> Any:
    """How far a wet bulb is from solving Eq. 33 (wick of water) or Eq. 35 (of ice) [K]."""
    t, w, p, b = (long(v) for v in (dry_bulb, humidity_ratio, pressure, wet_bulb))
    wick_is_water = b >= 0 if wick_is_water is None else np.asarray(wick_is_water)
    over_water = np.asarray(wet_bulb) > CHANGE
    vapour = np.exp(log_pressure(b, over_water))
    saturated = LONG("0.621945") * vapour / (p - vapour)
    heat = np.where(wick_is_water, LONG("2501e3"), LONG("2830e3"))
    fall = np.where(wick_is_water, LONG("2326"), LONG("240"))
    wick = np.where(wick_is_water, LONG("4186"), LONG("2100"))
    # Eq. 33 or 35 times its denominator.
    off = (heat - fall * b) * saturated - 1006 * (t - b) - w * (heat + 1860 * t - wick * b)
    rate = log_slope(b, over_water) * p / (p - vapour)
    slope = (heat - fall * b) * saturated * rate - fall * saturated + 1006 + w * wick
    return (off / slope).astype(np.float64)
