"""Saturated water vapour over ice and water: pressure from temperature, temperature from pressure.

Formulas of ASHRAE Handbook—Fundamentals (2017) ch. 1. Saturation over water (Eq. 6) takes over from
ice (Eq. 5) at the triple point, 0.01 °C, where the two curves meet, not at 0 °C, where they leave a
step of 0.01 %. To be exact they meet 6e-7 K above it, and there the change is made: no pressure is
left without a temperature.

Sources
-------
ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Psychrometrics, Eq. 5 and 6.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from airside.air.blocks import Array, Number, blockwise
from airside.air.constants import ZERO_CELSIUS

# Saturation over ice, ASHRAE Fundamentals (2017) ch. 1 Eq. 5 (C1 to C7).
ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
# Saturation over water, ASHRAE Fundamentals (2017) ch. 1 Eq. 6 (C8 to C13).
WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)
# Where Eq. 5 and Eq. 6 give the same pressure [°C]: the triple point of water, 0.01 °C, within 6e-7 K.
TRIPLE_POINT = 0.01000059721
# Range of Eq. 5 and Eq. 6 [°C].
COLDEST, HOTTEST = -100.0, 200.0

Mask = NDArray[np.bool_]
# Double or single precision: these functions keep the precision that they are given.
Floats = NDArray[np.floating[Any]]
Precision = TypeVar("Precision", bound=np.floating[Any])


def horner(x: Any, coefficients: tuple[Any, ...]) -> Any:
    """Polynomial, constant first; coefficients are numbers, or arrays that broadcast to ``x``."""
    result = x * coefficients[-1]
    for c in coefficients[-2:0:-1]:
        result += c
        result *= x
    result += coefficients[0]
    return result


def by_phase(function: Callable[..., Array], liquid: Mask, *arguments: Array) -> Array:
    """Evaluate ``function(liquid, *arguments)``, each element in its own phase.

    All are taken in the phase that most are in; the others are then done again.
    """
    count = np.count_nonzero(liquid)
    most = bool(2 * count > liquid.size)
    result = function(most, *arguments)
    if 0 < count < liquid.size:
        others = np.flatnonzero(liquid != most)
        result[others] = function(not most, *(a if a.size == 1 else a[others] for a in arguments))
    return result


def log_saturation(liquid: bool, kelvin: NDArray[Precision]) -> NDArray[Precision]:
    """Eq. 6 or Eq. 5: ln(pressure [Pa])."""
    c = WATER if liquid else ICE
    result: NDArray[Precision] = horner(kelvin, c[1:5] if liquid else c[1:6])
    result += c[0] / kelvin
    logarithm = np.log(kelvin)
    logarithm *= c[6]
    result += logarithm
    return result


def log_slope(liquid: bool, kelvin: Floats) -> tuple[Floats, Floats]:
    """Inverse of the temperature [1/K], and derivative of `log_saturation` with temperature [1/K]."""
    c = WATER if liquid else ICE
    inverse = 1.0 / kelvin
    slope = inverse * -c[0]
    slope += c[6]
    slope *= inverse
    slope += horner(kelvin, (c[2], 2 * c[3], 3 * c[4]) if liquid else (c[2], 2 * c[3], 3 * c[4], 4 * c[5]))
    return inverse, slope


def saturated_vapour(celsius: Array) -> Array:
    """Saturation pressure [Pa] without a check of the range: for kernels."""
    kelvin = celsius + ZERO_CELSIUS
    result = by_phase(log_saturation, celsius > TRIPLE_POINT, kelvin)
    return np.exp(result, out=result)


def refine(step_of: Callable[..., Floats], start: Array, enough: float, *arguments: Floats, most: int = 40) -> Array:
    """Solve by steps: ``x -= step_of(x, *arguments)`` until each step is below ``enough``.

    After the first step only those elements go on that need it. What has not settled after ``most``
    steps is NaN.
    """
    x = start
    step = step_of(x, *arguments)
    x -= step
    index = np.flatnonzero(np.abs(step) > enough)
    for _ in range(most):
        if not index.size:
            return x
        part = x[index]
        step = step_of(part, *(a if a.size == 1 else a[index] for a in arguments))
        part -= step
        x[index] = part
        index = index[np.abs(step) > enough]
    x[index] = np.nan
    return x


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

    def kernel(t: Array) -> Array:
        pressure = saturated_vapour(t)
        outside = (t < COLDEST) | (t > HOTTEST)
        return np.where(outside, np.nan, pressure) if outside.any() else pressure

    return blockwise(kernel, dry_bulb)


# Where the polynomials of `_inverse_fit` hold, over ice and over water [°C].
_FITTED = {False: (-60.0, TRIPLE_POINT), True: (TRIPLE_POINT, 60.0)}


@lru_cache(maxsize=2)
def _inverse_fit(liquid: bool) -> tuple[tuple[float, ...], float, float]:
    """Temperature as polynomial of scaled ln(pressure), and that scale's middle and half width.

    Fitted to Eq. 5 or 6 within 1e-11 K: a closed form of the solution, where air conditioning works.
    """
    low, high = _FITTED[liquid]
    celsius = low + (high - low) * (1 - np.cos(np.linspace(0, np.pi, 400))) / 2
    log_pressure = log_saturation(liquid, celsius + ZERO_CELSIUS)
    middle, half = (log_pressure[0] + log_pressure[-1]) / 2, (log_pressure[-1] - log_pressure[0]) / 2
    fit = np.polynomial.Chebyshev.fit((log_pressure - middle) / half, celsius, 11, domain=[-1, 1])
    return tuple(float(c) for c in fit.convert(kind=np.polynomial.Polynomial).coef), float(middle), float(half)


def saturated_temperature(vapour: Array) -> Array:
    """Kernel of `saturation_temperature`."""
    log_pressure = np.log(vapour)
    at_triple = log_saturation(True, np.array([TRIPLE_POINT + ZERO_CELSIUS]))
    return by_phase(_solve_saturation, log_pressure > at_triple, log_pressure)


def _solve_saturation(liquid: bool, log_pressure: Array) -> Array:
    coefficients, middle, half = _inverse_fit(liquid)
    scaled = log_pressure - middle
    scaled *= 1 / half
    celsius: Array = horner(scaled, coefficients)
    # The other end of the fit is the other phase's.
    beyond = scaled > 1 if liquid else scaled < -1
    if beyond.any():
        celsius[beyond] = _newton_saturation(liquid, log_pressure[beyond])
    return celsius


def _newton_saturation(liquid: bool, log_pressure: Array) -> Array:
    def step(kelvin: Array, log_pressure: Array) -> Floats:
        return (log_saturation(liquid, kelvin) - log_pressure) / log_slope(liquid, kelvin)[1]

    start = np.full_like(log_pressure, _FITTED[liquid][1 if liquid else 0] + ZERO_CELSIUS)
    # Quadratic convergence: after a step of 1e-4 K about 1e-4² / 200 K = 5e-11 K is left.
    celsius = refine(step, start, 1e-4, log_pressure) - ZERO_CELSIUS
    outside = ~((celsius >= COLDEST - 1e-6) & (celsius <= HOTTEST + 1e-6))
    return np.where(outside, np.nan, celsius)


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
    ASHRAE Fundamentals (2017) ch. 1 Eq. 5 and 6 turned round.
    """
    return blockwise(saturated_temperature, vapour_pressure)
