"""Dew and bubble points of a refrigerant: temperature from pressure, pressure from temperature.

Polynomials of the logarithm of pressure (`airside.refrigerant.tables`), from -60 °C to 5 K below
critical, within 0.01 K of the full model (`airside.refrigerant.models`), as a test shows. Pressures
are absolute. NaN in gives NaN out.

Superheat is counted from dew, subcooling from bubble. For a pure fluid both are the same curve.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from airside.air.blocks import Array, Number, any_outside, blockwise
from airside.errors import OutOfRangeError
from airside.refrigerant.names import Refrigerant, find_refrigerant
from airside.refrigerant.tables import BELOW_CRITICAL, COLDEST, SaturationCurves, Side, tables_of

Impossible = Literal["raise", "nan"]

# How far the curves may be from the full model [K].
TOLERANCE = 0.01

# NIST SP 811, appendix B.8.
PASCAL_PER_PSI = 6894.757


def _temperature(refrigerant: str | Refrigerant, side: Side, pressure: Number, impossible: Impossible) -> Number:
    _check_choice(impossible)
    found = find_refrigerant(refrigerant)
    curves = tables_of(found).side(side)
    # Rounding at the very ends is not outside.
    low, high = curves.lowest * (1 - 1e-9), curves.highest * (1 + 1e-9)
    outside = any_outside(pressure, low, high)
    if outside and impossible == "raise":
        p = np.asarray(pressure, dtype=np.float64)
        raise OutOfRangeError(_outside_pressure(found, curves, float(p[(p < low) | (p > high)].flat[0])))

    def kernel(p: Array) -> Array:
        if outside:
            p = np.where((p >= low) & (p <= high), p, np.nan)
        return curves.temperature_at(p)

    return blockwise(kernel, pressure)


def _pressure(refrigerant: str | Refrigerant, side: Side, temperature: Number, impossible: Impossible) -> Number:
    _check_choice(impossible)
    found = find_refrigerant(refrigerant)
    curves = tables_of(found).side(side)
    low, high = COLDEST - 1e-9, curves.warmest + 1e-9
    outside = any_outside(temperature, low, high)
    if outside and impossible == "raise":
        t = np.asarray(temperature, dtype=np.float64)
        value = float(t[(t < low) | (t > high)].flat[0])
        critical = (
            f"above the critical temperature, {found.critical_temperature:.1f} °C: there it has no saturation"
            if value > found.critical_temperature
            else f"outside the table, which goes from {COLDEST:g} to {curves.warmest:.1f} °C"
        )
        raise OutOfRangeError(f"{found.name}: a saturation temperature of {value:.1f} °C is {critical}.")

    def kernel(t: Array) -> Array:
        if outside:
            t = np.where((t >= low) & (t <= high), t, np.nan)
        return curves.pressure_at(t)

    return blockwise(kernel, temperature)


def pressure_text(pressure: float) -> str:
    """An absolute pressure in both unit systems, for messages."""
    return f"{pressure / 1e3:,.0f} kPa ({pressure / PASCAL_PER_PSI:,.1f} psi) absolute"


def _outside_pressure(refrigerant: Refrigerant, curves: SaturationCurves, pressure: float) -> str:
    said = f"{refrigerant.name}: a pressure of {pressure_text(pressure)}"
    advice = "Check the reading, its unit, gauge or absolute, and the refrigerant."
    if pressure > refrigerant.critical_pressure:
        limit = pressure_text(refrigerant.critical_pressure)
        return f"{said} is above the critical pressure, {limit}: there it has no saturation temperature. {advice}"
    if pressure > curves.highest:
        return (
            f"{said} is less than {BELOW_CRITICAL:g} K below critical; the table ends at "
            f"{pressure_text(curves.highest)}. {advice}"
        )
    if pressure <= 0:
        return f"{said} is no pressure; a gauge cannot read so far below the barometric pressure. {advice}"
    return (
        f"{said} is below its saturation pressure at {COLDEST:g} °C, {pressure_text(curves.lowest)}, where the table "
        f"begins. {advice}"
    )


def _check_choice(impossible: Impossible) -> None:
    if impossible not in ("raise", "nan"):
        raise ValueError(f"impossible must be 'raise' or 'nan', not {impossible!r}")


def dew_temperature(refrigerant: str | Refrigerant, pressure: Number, *, impossible: Impossible = "raise") -> Number:
    """Temperature at which vapour begins to condense, from which superheat is counted.

    Parameters
    ----------
    refrigerant : str or Refrigerant
    pressure : float or array [Pa absolute]
    impossible : "raise" or "nan"
        What becomes of pressures outside the table; "nan" is for error draws.

    Returns
    -------
    float or array [°C]

    Raises
    ------
    OutOfRangeError
        A pressure above critical, within 5 K of it, or below that of -60 °C.
    UnknownRefrigerantError
    """
    return _temperature(refrigerant, "dew", pressure, impossible)


def bubble_temperature(refrigerant: str | Refrigerant, pressure: Number, *, impossible: Impossible = "raise") -> Number:
    """Temperature at which liquid begins to boil, from which subcooling is counted [°C].

    Parameters and errors are as in `dew_temperature`.
    """
    return _temperature(refrigerant, "bubble", pressure, impossible)


def dew_pressure(refrigerant: str | Refrigerant, temperature: Number, *, impossible: Impossible = "raise") -> Number:
    """Absolute pressure [Pa] of saturated vapour at a temperature [°C] from -60 °C to 5 K below critical.

    Errors are as in `dew_temperature`.
    """
    return _pressure(refrigerant, "dew", temperature, impossible)


def bubble_pressure(refrigerant: str | Refrigerant, temperature: Number, *, impossible: Impossible = "raise") -> Number:
    """Absolute pressure [Pa] of saturated liquid at a temperature [°C] from -60 °C to 5 K below critical.

    Errors are as in `dew_temperature`.
    """
    return _pressure(refrigerant, "bubble", temperature, impossible)


def glide(refrigerant: str | Refrigerant, pressure: Number, *, impossible: Impossible = "raise") -> Number:
    """Dew less bubble temperature [K] at an absolute pressure [Pa]; zero for a pure fluid."""
    dew = dew_temperature(refrigerant, pressure, impossible=impossible)
    return dew - bubble_temperature(refrigerant, pressure, impossible=impossible)


def saturation_midpoint(
    refrigerant: str | Refrigerant, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Mean of dew and bubble temperature [°C] at an absolute pressure [Pa]: one temperature for a blend with glide."""
    dew = dew_temperature(refrigerant, pressure, impossible=impossible)
    return (dew + bubble_temperature(refrigerant, pressure, impossible=impossible)) / 2
