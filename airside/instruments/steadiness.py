"""Was it steady? Range and trend of readings against stated tolerances.

Sources
-------
10 CFR part 430 subpart B appendix M1, test operating tolerances of the steady-state wet-coil cooling
test (from memory): the strict set. The field set is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

ToleranceSet = Literal["field", "strict"]

# Largest range of the readings over the window [K; fraction of RH].
TOLERANCES: dict[ToleranceSet, dict[str, float]] = {
    # 10 CFR 430 subpart B appendix M1: 2.0 °F dry bulb, 1.0 °F wet bulb, 2.0 °F outdoor; from memory. Dew point and
    # relative humidity are not in it: the first is held to the wet bulb's, the second to what that means near 50 %.
    "strict": {"dry_bulb": 2.0 / 1.8, "wet_bulb": 1.0 / 1.8, "dew_point": 1.0 / 1.8, "relative_humidity": 0.02,
               "outdoor": 2.0 / 1.8},
    "field": {"dry_bulb": 1.5, "wet_bulb": 1.0, "dew_point": 1.5, "relative_humidity": 0.04, "outdoor": 3.0},
}  # fmt: skip


@dataclass(frozen=True)
class Trend:
    """Straight line through readings in their order.

    Attributes
    ----------
    change : float
        Along the line from the first reading to the last, in the readings' unit.
    is_significant : bool
        Whether the slope differs from zero at the 5 % level; never with fewer than 4 readings.
    """

    change: float
    is_significant: bool


def trend(values: Sequence[float]) -> Trend:
    """Fit a line to readings at equal steps.

    Parameters
    ----------
    values : sequence of float, length n
    """
    count = len(values)
    if count < 2:
        return Trend(0.0, False)
    x = np.arange(count) - (count - 1) / 2
    y = np.asarray(values, dtype=np.float64)
    spread = float((x**2).sum())
    slope = float((x * y).sum()) / spread
    change = slope * (count - 1)
    if count < 4:
        return Trend(change, False)
    left = y - y.mean() - slope * x
    error = math.sqrt(float((left**2).sum()) / (count - 2) / spread)
    if error == 0:
        return Trend(change, slope != 0)
    from scipy.special import stdtrit

    return Trend(change, abs(slope) / error > float(stdtrit(count - 2, 0.975)))


@dataclass(frozen=True)
class Unsteady:
    """A quantity whose range is beyond its tolerance: what, range, tolerance."""

    quantity: str
    range: float
    tolerance: float


def beyond_tolerance(
    readings: Sequence[tuple[str, str, Sequence[float]]], tolerance_set: ToleranceSet
) -> list[Unsteady]:
    """Quantities that ranged wider than a set allows.

    Parameters
    ----------
    readings : sequence of (label, quantity, values)
        The quantity is a name in `TOLERANCES`.
    tolerance_set : "field" or "strict"
    """
    limits = TOLERANCES[tolerance_set]
    found = []
    for label, quantity, values in readings:
        spread = float(np.ptp(values)) if len(values) > 1 else 0.0
        # Readings are decimal: a range that equals the tolerance is within it.
        if quantity in limits and spread > limits[quantity] * (1 + 1e-9):
            found.append(Unsteady(label, spread, limits[quantity]))
    return found


# Readings from which on successive differences tell noise from slow change (common practice, no source).
ENOUGH_FOR_DIFFERENCES = 10


def degrees_of_freedom(count: int) -> float:
    """Degrees of freedom of `standard_error`.

    Parameters
    ----------
    count : int
        Readings, at least 2.
    """
    if count < ENOUGH_FOR_DIFFERENCES:
        return float(count - 1)
    # Variance of the mean square successive difference (von Neumann 1941): (3n - 4)/(n - 1)² in units of its square.
    return 2 * (count - 1) ** 2 / (3 * count - 4)


def standard_error(values: Sequence[float]) -> float:
    """Standard error of the mean of readings at equal steps.

    A few readings: their standard deviation over root n. Many, close to each other: from successive
    differences (von Neumann 1941), which see the noise of the reading and not a slow change of the air
    itself. The mean of a real change is what was measured; that it changed is said by `trend` and
    `beyond_tolerance`.

    Parameters
    ----------
    values : sequence of float, length n
    """
    count = len(values)
    if count < 2:
        return 0.0
    y = np.asarray(values, dtype=np.float64)
    if count < ENOUGH_FOR_DIFFERENCES:
        return float(y.std(ddof=1)) / math.sqrt(count)
    return float(np.sqrt((np.diff(y) ** 2).sum() / (2 * (count - 1)) / count))
