"""Polynomials of one and of two variables: what stands between CoolProp and a million readings.

Fitted at Chebyshev nodes, so that the error is spread evenly, and evaluated by Horner's scheme.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.air.saturation import horner


def nodes(low: float, high: float, count: int) -> Array:
    """Rising points from ``low`` to ``high``, both among them, closest at the ends."""
    result: Array = low + (high - low) * (1 - np.cos(np.linspace(0, np.pi, count))) / 2
    return result


@dataclass(frozen=True)
class Curve:
    """Polynomial on ``low`` to ``high``, shape of ``coefficients`` (degree + 1,), constant first."""

    low: float
    high: float
    coefficients: tuple[float, ...]

    def __call__(self, x: Array) -> Array:
        scaled = x - (self.low + self.high) / 2
        scaled *= 2 / (self.high - self.low)
        result: Array = horner(scaled, self.coefficients)
        return result


def fit_curve(x: Array, y: Array, degree: int) -> Curve:
    """Least squares on the range of ``x``, which rises."""
    low, high = float(x[0]), float(x[-1])
    scaled = (2 * x - low - high) / (high - low)
    fit = np.polynomial.Chebyshev.fit(scaled, y, degree, domain=[-1, 1]).convert(kind=np.polynomial.Polynomial)
    return Curve(low, high, tuple(float(c) for c in fit.coef))


@dataclass(frozen=True)
class Surface:
    """Polynomial of ``x`` on ``low`` to ``high`` and ``y`` on -1 to 1; coefficients, shape (x, y)."""

    low: float
    high: float
    coefficients: tuple[tuple[float, ...], ...]

    def __call__(self, x: Array, y: Array) -> Array:
        scaled = x - (self.low + self.high) / 2
        scaled *= 2 / (self.high - self.low)
        if scaled.size < y.size:
            scaled = np.broadcast_to(scaled, y.shape)
        result: Any = horner(y, self.coefficients[-1])
        for row in self.coefficients[-2::-1]:
            result = result * scaled
            result += horner(y, row)
        return np.asarray(result, dtype=np.float64)


def fit_surface(x: Array, y: Array, values: Array, degrees: tuple[int, int]) -> Surface:
    """Least squares on a grid: ``values``, shape (x, y); ``y`` from -1 to 1."""
    low, high = float(x[0]), float(x[-1])
    scaled = (2 * x - low - high) / (high - low)
    chebyshev = np.polynomial.chebyshev
    columns = np.linalg.lstsq(chebyshev.chebvander(scaled, degrees[0]), values, rcond=None)[0]
    both = np.linalg.lstsq(chebyshev.chebvander(y, degrees[1]), columns.T, rcond=None)[0].T
    to_power = [_power_matrix(d) for d in degrees]
    power = to_power[0].T @ both @ to_power[1]
    return Surface(low, high, tuple(tuple(float(c) for c in row) for row in power))


def _power_matrix(degree: int) -> Array:
    """Rows: the Chebyshev polynomials up to ``degree`` as powers, constant first."""
    matrix = np.zeros((degree + 1, degree + 1))
    for i in range(degree + 1):
        unit = np.zeros(i + 1)
        unit[i] = 1.0
        matrix[i, : i + 1] = np.polynomial.chebyshev.cheb2poly(unit)
    return matrix
