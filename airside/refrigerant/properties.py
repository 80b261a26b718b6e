"""Enthalpy and density of refrigerant vapour and liquid beside saturation.

Polynomial surfaces (`airside.refrigerant.tables`) of pressure and of the distance from saturation:
vapour from dew to 100 K of superheat, liquid from bubble down to -60 °C; pressures as in
`airside.refrigerant.saturation`. Enthalpies are within 0.05 % of what an evaporator adds, densities
within 0.1 %, of the full model, as a test shows. NaN in gives NaN out.

Enthalpy is 200 kJ/kg for saturated liquid at 0 °C (the zero of the International Institute of
Refrigeration); only differences have a meaning.

On the wet side of saturation neither temperature nor pressure says how much is vapour. A draw a
little beyond saturation is worth a number all the same, or the draws of a small superheat would be
lopsided: up to 5 K the properties go on there with their slope at saturation, beyond they are NaN.
That a reading is there is for `airside.refrigerant.contradictions` to say.
"""

from __future__ import annotations

import numpy as np

from airside.air.blocks import Array, Number, any_outside, blockwise
from airside.errors import OutOfRangeError
from airside.refrigerant.names import Refrigerant, find_refrigerant
from airside.refrigerant.polynomials import Surface
from airside.refrigerant.saturation import Impossible, bubble_temperature, dew_temperature
from airside.refrigerant.tables import COLDEST, MOST_SUPERHEAT, Side, place, tables_of

# Largest error against the full model: of what an evaporator adds, and of density [fraction].
ENTHALPY_TOLERANCE = 0.0005
DENSITY_TOLERANCE = 0.001
# How far properties go on beyond saturation [K].
BEYOND = 5.0
# Step from which the slope at saturation is taken [K].
_STEP = 1.0


def _from_surface(
    refrigerant: str | Refrigerant, side: Side, which: str, temperature: Number, pressure: Number,
    impossible: Impossible,
) -> Number:  # fmt: skip
    """A property [J/kg or kg/m³] of one phase; ``side`` is the saturation line beside which it lies."""
    found = find_refrigerant(refrigerant)
    saturation = dew_temperature if side == "dew" else bubble_temperature
    saturated = np.asarray(saturation(found, pressure, impossible=impossible))
    away = np.asarray(temperature) - saturated if side == "dew" else saturated - np.asarray(temperature)
    if impossible == "raise":
        _check(found, side, away, saturated)
    phase = tables_of(found).vapour if side == "dew" else tables_of(found).liquid
    surface: Surface = getattr(phase, which)

    def value(log_pressure: Array, saturated: Array, away: Array) -> Array:
        result = surface(log_pressure, place(side, saturated, away))
        if which == "enthalpy":
            return result
        return np.exp(result + log_pressure if side == "dew" else result)

    def kernel(away: Array, saturated: Array, pressure: Array) -> Array:
        log_pressure = np.log(pressure)
        most = MOST_SUPERHEAT if side == "dew" else saturated - COLDEST
        result = value(log_pressure, saturated, np.clip(away, 0.0, most))
        if any_outside(away, 0.0, np.inf):
            step = np.where(away < 0, _STEP, 0.0)
            slope = (value(log_pressure, saturated, step) - value(log_pressure, saturated, 0.0 * step)) / _STEP
            result += np.minimum(away, 0.0) * slope
        return np.where((away >= -BEYOND) & (away <= most), result, np.nan)

    return blockwise(kernel, away, saturated, pressure)


def _check(refrigerant: Refrigerant, side: Side, away: Array, saturated: Array) -> None:
    """Raise where a temperature is too far from saturation, on either side."""
    most = np.asarray(MOST_SUPERHEAT if side == "dew" else saturated - COLDEST)
    beyond = (away < -BEYOND) | (away > most)
    if not beyond.any():
        return
    value = float(away[beyond].flat[0])
    word, line, where = ("superheat", "dew", "wet") if side == "dew" else ("subcooling", "bubble", "boiling")
    far = f"{refrigerant.name}: a {word} of {value:.1f} K is"
    if value < 0:
        raise OutOfRangeError(
            f"{far} below zero by more than {BEYOND:g} K: at this pressure the refrigerant is {where}, and its enthalpy "
            f"does not follow from its temperature. Check pressure, temperature and refrigerant ({line} point)."
        )
    limit = f"{float(np.broadcast_to(most, beyond.shape)[beyond].flat[0]):.0f} K"
    raise OutOfRangeError(f"{far} more than the table's {limit}. Check pressure, temperature and refrigerant.")


def vapour_enthalpy(
    refrigerant: str | Refrigerant, temperature: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Enthalpy of superheated vapour.

    Parameters
    ----------
    refrigerant : str or Refrigerant
    temperature : float or array [°C]
        From dew to 100 K above; up to 5 K below dew for error draws.
    pressure : float or array [Pa absolute]
    impossible : "raise" or "nan"
        What becomes of states outside; "nan" is for error draws.

    Returns
    -------
    float or array [J/kg]

    Raises
    ------
    OutOfRangeError
        Pressure outside the saturation table, or a temperature too far from saturation.
    """
    return _from_surface(refrigerant, "dew", "enthalpy", temperature, pressure, impossible)


def liquid_enthalpy(
    refrigerant: str | Refrigerant, temperature: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Enthalpy [J/kg] of subcooled liquid, from bubble down to -60 °C; up to 5 K above bubble for error draws.

    Parameters and errors are as in `vapour_enthalpy`.
    """
    return _from_surface(refrigerant, "bubble", "enthalpy", temperature, pressure, impossible)


def vapour_density(
    refrigerant: str | Refrigerant, temperature: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Density [kg/m³] of superheated vapour; parameters and errors are as in `vapour_enthalpy`."""
    return _from_surface(refrigerant, "dew", "log_density", temperature, pressure, impossible)


def liquid_density(
    refrigerant: str | Refrigerant, temperature: Number, pressure: Number, *, impossible: Impossible = "raise"
) -> Number:
    """Density [kg/m³] of subcooled liquid; parameters and errors are as in `liquid_enthalpy`."""
    return _from_surface(refrigerant, "bubble", "log_density", temperature, pressure, impossible)


def saturated_enthalpies(
    refrigerant: str | Refrigerant, pressure: Number, *, impossible: Impossible = "raise"
) -> tuple[Number, Number]:
    """Enthalpy [J/kg] of saturated liquid and of saturated vapour at an absolute pressure [Pa]: the dome of a diagram."""
    bubble = bubble_temperature(refrigerant, pressure, impossible=impossible)
    dew = dew_temperature(refrigerant, pressure, impossible=impossible)
    return (
        liquid_enthalpy(refrigerant, bubble, pressure, impossible=impossible),
        vapour_enthalpy(refrigerant, dew, pressure, impossible=impossible),
    )
