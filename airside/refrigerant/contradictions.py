"""Refrigerant readings that contradict each other: each function gives a sentence, or an empty text.

They take single readings, in SI, and a margin [K] that the caller sets from the readings' own
uncertainty. Nothing is raised: a doubtful reading may still be right, and who took it knows best.
"""

from __future__ import annotations

import math

from airside.errors import OutOfRangeError
from airside.refrigerant.cycle import condensing_temperature, evaporating_temperature, subcooling, superheat
from airside.refrigerant.names import Refrigerant, find_refrigerant
from airside.refrigerant.targets import VALVE_SUPERHEAT
from airside.units import UnitSystem, show, show_difference

# Evaporating further below return air than this is no cooling unit's [K]: the coil would be far below freezing.
# Common practice, no source, has 17 to 22 K.
FAR_BELOW_RETURN = 40.0
# A superheat up to this is plausible when another reading of the pressure is tried [K]; no source.
PLAUSIBLE_SUPERHEAT = 2 * VALVE_SUPERHEAT[1]


def pressure_out_of_range(refrigerant: str | Refrigerant, gauge_pressure: float, barometric_pressure: float) -> str:
    """Above critical, or below where the table begins."""
    try:
        condensing_temperature(refrigerant, gauge_pressure, barometric_pressure)
    except OutOfRangeError as error:
        return str(error)
    return ""


def suction_not_plausible(
    refrigerant: str | Refrigerant,
    suction_pressure: float,
    return_dry_bulb: float,
    barometric_pressure: float,
    *,
    suction_temperature: float | None = None,
    units: UnitSystem = "SI",
    margin: float = 0.0,
) -> str:
    """Suction pressure that return air does not allow: absolute typed as gauge, another unit, another refrigerant.

    Parameters
    ----------
    refrigerant : str or Refrigerant
    suction_pressure : float [Pa gauge]
    return_dry_bulb : float [°C]
    barometric_pressure : float [Pa]
    suction_temperature : float, optional [°C]
        Of the suction line; with it, absolute typed as gauge shows.
    units : "IP" or "SI"
        For the sentence.
    margin : float [K]
        By how much readings may contradict before it is said.
    """
    name = find_refrigerant(refrigerant).name
    if pressure_out_of_range(refrigerant, suction_pressure, barometric_pressure):
        return pressure_out_of_range(refrigerant, suction_pressure, barometric_pressure)
    evaporating = float(evaporating_temperature(refrigerant, suction_pressure, barometric_pressure))
    saturated = show(evaporating, "temperature", units)
    air = show(return_dry_bulb, "temperature", units)
    if evaporating >= return_dry_bulb + margin:
        return (
            f"At the suction pressure {name} evaporates at {saturated}, not below the return air of {air}: it cannot "
            "cool. Was the unit running? Check the port, the unit, and whether an absolute pressure was typed as gauge."
        )
    if return_dry_bulb - evaporating > FAR_BELOW_RETURN + margin:
        apart = show_difference(return_dry_bulb - evaporating, "temperature_difference", units)
        return (
            f"At the suction pressure {name} evaporates at {saturated}, {apart} below the return air of {air}: "
            "colder than a cooling unit runs. Check the unit of the pressure, gauge or absolute, and the refrigerant."
        )
    if suction_temperature is None or math.isnan(suction_temperature):
        return ""
    typed = float(superheat(refrigerant, suction_pressure, suction_temperature, barometric_pressure))
    if typed >= -margin or suction_pressure <= barometric_pressure:
        return ""
    if pressure_out_of_range(refrigerant, suction_pressure - barometric_pressure, barometric_pressure):
        return ""
    as_absolute = float(
        superheat(refrigerant, suction_pressure - barometric_pressure, suction_temperature, barometric_pressure)
    )
    if not 0 <= as_absolute <= PLAUSIBLE_SUPERHEAT:
        return ""
    return (
        f"The suction line reads {show_difference(-typed, 'temperature_difference', units)} colder than saturation; "
        f"were the pressure absolute, superheat would be {show_difference(as_absolute, 'temperature_difference', units)}. "
        "Was an absolute pressure typed as gauge?"
    )


def suction_line_colder(
    refrigerant: str | Refrigerant,
    suction_pressure: float,
    line_temperature: float,
    barometric_pressure: float,
    *,
    units: UnitSystem = "SI",
    margin: float = 0.0,
) -> str:
    """Suction line colder than saturation: liquid in the line would be at saturation, not below."""
    if pressure_out_of_range(refrigerant, suction_pressure, barometric_pressure):
        return ""
    below = -float(superheat(refrigerant, suction_pressure, line_temperature, barometric_pressure))
    if not below > margin:
        return ""
    return (
        f"The suction line reads {show_difference(below, 'temperature_difference', units)} colder than saturation at its "
        "pressure, which cannot be. Check the probe's place, its contact and insulation, the pressure and the "
        "refrigerant; with no superheat at all, liquid may reach the compressor."
    )


def liquid_line_warmer(
    refrigerant: str | Refrigerant,
    liquid_pressure: float,
    line_temperature: float,
    barometric_pressure: float,
    *,
    units: UnitSystem = "SI",
    margin: float = 0.0,
) -> str:
    """Liquid line warmer than saturation: no subcooling."""
    if pressure_out_of_range(refrigerant, liquid_pressure, barometric_pressure):
        return ""
    above = -float(subcooling(refrigerant, liquid_pressure, line_temperature, barometric_pressure))
    if not above > margin:
        return ""
    return (
        f"The liquid line reads {show_difference(above, 'temperature_difference', units)} warmer than saturation at its "
        "pressure: no subcooling. Either the liquid flashes in the line, or pressure or temperature is misread."
    )


def pressures_swapped(suction_pressure: float, liquid_pressure: float) -> str:
    """Suction not below liquid pressure: swapped hoses or columns, or a unit at rest."""
    if not suction_pressure >= liquid_pressure:
        return ""
    return (
        "The suction pressure is not below the liquid pressure. Check for swapped hoses or fields; a unit at rest "
        "reads the same on both."
    )


def condensing_not_plausible(
    refrigerant: str | Refrigerant,
    liquid_pressure: float,
    outdoor_dry_bulb: float,
    barometric_pressure: float,
    *,
    units: UnitSystem = "SI",
    margin: float = 0.0,
) -> str:
    """Condensing not above outdoor air: heat could not leave."""
    name = find_refrigerant(refrigerant).name
    if pressure_out_of_range(refrigerant, liquid_pressure, barometric_pressure):
        return pressure_out_of_range(refrigerant, liquid_pressure, barometric_pressure)
    condensing = float(condensing_temperature(refrigerant, liquid_pressure, barometric_pressure))
    if not condensing <= outdoor_dry_bulb - margin:
        return ""
    return (
        f"At the liquid pressure {name} condenses at {show(condensing, 'temperature', units)}, not above the outdoor air "
        f"of {show(outdoor_dry_bulb, 'temperature', units)}: it cannot give off heat. Was the unit running? Check the "
        "pressure, its unit, the refrigerant, and where the outdoor air was read."
    )
