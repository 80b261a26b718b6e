"""Air as a question states it: by its density, or by its specific volume, at whatever barometer makes it so."""

from __future__ import annotations

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.state import MoistAir

# Air whose temperature and moisture a question leaves open [°C, kg/kg].
USUAL_DRY_BULB, USUAL_HUMIDITY_RATIO = 22.0, 0.009
# International table's Btu [J/(kg K)].
BTU_PER_POUND_AND_DEGREE = 4186.8


def air_of_density(density: float) -> MoistAir:
    """Usual indoor air that weighs so much [kg/m³]: density goes with pressure."""
    usual = float(properties.density(USUAL_DRY_BULB, USUAL_HUMIDITY_RATIO, SEA_LEVEL_PRESSURE))
    return MoistAir.from_humidity_ratio(USUAL_DRY_BULB, USUAL_HUMIDITY_RATIO, SEA_LEVEL_PRESSURE * density / usual)


def pressure_for(specific_volume: float, dry_bulb: float, humidity_ratio: float) -> float:
    """Barometric pressure [Pa] at which such air has this specific volume [m³/kg dry air]."""
    at_sea_level = float(properties.specific_volume(dry_bulb, humidity_ratio, SEA_LEVEL_PRESSURE))
    return SEA_LEVEL_PRESSURE * at_sea_level / specific_volume


def air_of_specific_volume(
    specific_volume: float, dry_bulb: float = USUAL_DRY_BULB, humidity_ratio: float = USUAL_HUMIDITY_RATIO
) -> MoistAir:
    """Air of this specific volume [m³/kg dry air]; temperature and moisture are usual ones where none are given."""
    pressure = pressure_for(specific_volume, dry_bulb, humidity_ratio)
    return MoistAir.from_humidity_ratio(dry_bulb, humidity_ratio, pressure)


def heat_per_degree(heat: float, mass_flow: float, difference: float) -> tuple[str, str]:
    """What a unit of such air takes for each degree, in IP and SI, as a written sum has it.

    Moist air takes a little more than the round 0.244 Btu/(lb °F); with the round figure the sum would not come out.

    Parameters
    ----------
    heat : float [W]
    mass_flow : float [kg/s]
    difference : float [K]
    """
    each = heat / mass_flow / difference
    return f"{each / BTU_PER_POUND_AND_DEGREE:.4f} Btu/lb per °F", f"{each / 1000:.4f} kJ/kg per K"
