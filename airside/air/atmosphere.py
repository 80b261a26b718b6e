"""The standard atmosphere: barometric pressure from elevation.

Sources
-------
ASHRAE Handbook—Fundamentals (2017), SI edition, ch. 1 Psychrometrics, Eq. 3.
"""

from __future__ import annotations

import numpy as np

from airside.air.blocks import Array, Number
from airside.errors import OutOfRangeError

# Standard atmosphere, ASHRAE Fundamentals (2017) ch. 1 Eq. 3.
SEA_LEVEL_PRESSURE = 101_325.0
ATMOSPHERE_SLOPE = 2.25577e-5
ATMOSPHERE_EXPONENT = 5.2559


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
    outside = (z < -5000) | (z > 11_000)
    if outside.any():
        raise OutOfRangeError(
            f"elevation {float(z[outside].flat[0]):g} m is outside the standard atmosphere's -5000 to 11,000 m. "
            "Check the unit: bare elevations are feet in IP, metres in SI."
        )
    p: Array = SEA_LEVEL_PRESSURE * (1 - ATMOSPHERE_SLOPE * z) ** ATMOSPHERE_EXPONENT
    return float(p) if p.ndim == 0 else p
