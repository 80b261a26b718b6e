"""Airflow from a duct traverse: velocities at stated points, times the area.

Velocity pressures are turned into velocities one by one, with the local density, and the
velocities are averaged. The mean of pressures would read high.

Sources
-------
ISO 3966, and ASHRAE Handbook—Fundamentals ch. 37 (Measurement and Instruments): log-Tchebycheff
points for rectangular ducts, log-linear points for round ones. From memory.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.air.state import MoistAir
from airside.airflow.defaults import METHODS
from airside.airflow.result import Airflow, airflow_at
from airside.errors import EvidenceError
from airside.results import Row

# Fraction of the duct's side from one wall, by number of points (ISO 3966; from memory).
LOG_TCHEBYCHEFF = {
    5: (0.074, 0.288, 0.500, 0.712, 0.926),
    6: (0.061, 0.235, 0.437, 0.563, 0.765, 0.939),
    7: (0.053, 0.203, 0.366, 0.500, 0.634, 0.797, 0.947),
}
# Fraction of the diameter from one wall, by number of points (ISO 3966; from memory).
LOG_LINEAR = {
    6: (0.032, 0.135, 0.321, 0.679, 0.865, 0.968),
    8: (0.021, 0.117, 0.184, 0.345, 0.655, 0.816, 0.883, 0.979),
    10: (0.019, 0.077, 0.153, 0.217, 0.361, 0.639, 0.783, 0.847, 0.923, 0.981),
}


def rectangular_positions(width: float, height: float, across: int, down: int) -> Array:
    """Where to put the probe in a rectangular duct.

    Parameters
    ----------
    width, height : float [m]
    across, down : int
        Points along each side: 5, 6 or 7.

    Returns
    -------
    array, shape (across * down, 2) [m]
        Distances from the left wall and from the top.

    Raises
    ------
    EvidenceError
        Another number of points.
    """
    for count in (across, down):
        if count not in LOG_TCHEBYCHEFF:
            raise EvidenceError(f"traverse: {count} points along a side; log-Tchebycheff has rules for 5, 6 and 7.")
    x, y = np.meshgrid(np.array(LOG_TCHEBYCHEFF[across]) * width, np.array(LOG_TCHEBYCHEFF[down]) * height)
    return np.column_stack([x.ravel(), y.ravel()])


def round_positions(diameter: float, points: int) -> Array:
    """Where to put the probe along each diameter of a round duct [m from the wall]; 6, 8 or 10 points."""
    if points not in LOG_LINEAR:
        raise EvidenceError(f"traverse: {points} points along a diameter; log-linear has rules for 6, 8 and 10.")
    return np.array(LOG_LINEAR[points]) * diameter


def duct_area(
    shape: str, *, width: float | None = None, height: float | None = None, diameter: float | None = None
) -> float:
    """Free area of a duct [m²] from its inside measures [m].

    Raises
    ------
    EvidenceError
        Measures that do not go with the shape, or are not above zero.
    """
    if shape == "rectangular":
        if width is None or height is None or diameter is not None:
            raise EvidenceError('traverse: a "rectangular" duct needs width and height, and no diameter.')
        shortest, area = min(width, height), width * height
    elif shape == "round":
        if diameter is None or width is not None or height is not None:
            raise EvidenceError('traverse: a "round" duct needs diameter, and no width or height.')
        shortest, area = diameter, math.pi * diameter**2 / 4
    else:
        raise EvidenceError(f'traverse: shape is "{shape}"; expected "rectangular" or "round".')
    if shortest <= 0:
        raise EvidenceError(f"traverse: a duct side of {shortest:g} m; expected a length above zero.")
    return area


def _point_warning(shape: str, count: int) -> str:
    if shape == "rectangular":
        allowed = {a * b for a in LOG_TCHEBYCHEFF for b in LOG_TCHEBYCHEFF}
        rule = "a log-Tchebycheff traverse has 5 to 7 points a side: 25 to 49"
    else:
        allowed = {a * d for a in LOG_LINEAR for d in (1, 2, 3)}
        rule = "a log-linear traverse has 6, 8 or 10 points on one to three diameters"
    if count in allowed:
        return ""
    return f"The traverse has {count} points; {rule}. The mean of other points can be off by more than its scatter."


def traverse(
    velocity: Any = None,
    velocity_pressure: Any = None,
    *,
    at: MoistAir,
    shape: str,
    width: float | None = None,
    height: float | None = None,
    diameter: float | None = None,
    relative_standard_uncertainty: float | None = None,
) -> Airflow:
    """Airflow by duct traverse.

    Parameters
    ----------
    velocity : array, shape (..., points) [m/s], optional
    velocity_pressure : array, shape (..., points) [Pa], optional
        One of the two. Points lie along the last axis.
    at : MoistAir
        Air at the traverse; its density turns velocity pressure into velocity.
    shape : "rectangular" or "round"
    width, height, diameter : float [m]
        Inside measures.
    relative_standard_uncertainty : float [fraction], optional

    Raises
    ------
    EvidenceError
        Missing or contradicting readings or measures, or a negative velocity pressure.
    """
    if (velocity is None) == (velocity_pressure is None):
        raise EvidenceError("traverse: give either velocity or velocity_pressure.")
    area = duct_area(shape, width=width, height=height, diameter=diameter)
    if velocity_pressure is not None:
        pressures = np.asarray(velocity_pressure, dtype=np.float64)
        if np.any(pressures < 0):
            raise EvidenceError(
                f"traverse: a velocity pressure of {float(np.min(pressures)):g} Pa is below zero. The tube may face "
                "away from the flow, or the hoses are swapped; a point without flow is 0."
            )
        velocities = np.sqrt(2 * pressures / np.asarray(at.density)[..., np.newaxis])
    else:
        velocities = np.asarray(velocity, dtype=np.float64)
    points = velocities.shape[-1] if velocities.ndim else 1
    mean = np.asarray(velocities.mean(axis=-1) if velocities.ndim else velocities)
    with np.errstate(divide="ignore", invalid="ignore"):
        scatter = float(np.mean(np.std(velocities, axis=-1, ddof=1) / mean)) if points > 1 else 0.0
    # The standard error of the mean of the points: it holds the duct profile too, so it is on the safe side.
    default = METHODS["traverse"]
    own = math.hypot(default.relative_standard_uncertainty, scatter / math.sqrt(points))
    warning = _point_warning(shape, points)
    if np.any(velocities <= 0):
        warning = f"{warning} Some velocities are zero or below: air stands or flows back at those points.".strip()
    return airflow_at(
        float(mean) * area if mean.ndim == 0 else mean * area, at, "traverse", relative_standard_uncertainty,
        own_uncertainty=(own, f"{default.source}, with the scatter of the points over the root of their number"),
        evidence=(
            Row("duct_area", area, "area"),
            Row("mean_velocity", float(mean) if mean.ndim == 0 else mean, "velocity"),
            Row("velocity_scatter", scatter, "percentage", "scatter of the velocities"),
            Row("traverse_points", float(points), "count", "points"),
        ),
        assumptions=("Velocities are averaged, never velocity pressures.",),
        warnings=(warning,) if warning else (),
    )  # fmt: skip
