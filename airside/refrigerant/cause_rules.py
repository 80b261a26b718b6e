"""Which way each cause moves the readings: the rule tables, and what to look at next.

A direction is that of measured less expected at the same outdoor and return air: up, down,
unchanged; "not down" and "not up" where a mild case leaves the reading alone and a strong one moves
it; "either" where the tables disagree or say nothing, so that the reading does not count.

Below return air, suction goes up where evaporating temperature goes down.

Sources
-------
Rossi and Braun (1997), A statistical, rule-based fault detection and diagnostic method for vapor
compression air conditioners, HVAC&R Research 3(1); Breuker and Braun (1998), Common faults and their
impacts for rooftop air conditioners, HVAC&R Research 4(3): fixed orifice; undercharge, compressor
leak, liquid-line restriction, fouled outdoor coil and low airflow. Overcharge, non-condensable gas
and the whole table of the thermostatic valve follow later work on those rules (Chen and Braun 2001,
Li and Braun 2003) and the physics of a valve that holds superheat. All FROM MEMORY, not looked up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Direction = Literal["up", "down", "unchanged", "not down", "not up", "either"]
MeteringDevice = Literal["fixed orifice", "thermostatic valve"]

SOURCE = (
    "The expected directions follow the rule tables of Rossi and Braun (1997) and Breuker and Braun (1998), written "
    "from memory; for overcharge, non-condensable gas and thermostatic valves also later work and physics."
)

# Readings that the tables know, and how a sentence names them.
READINGS = {
    "superheat": "superheat",
    "subcooling": "subcooling",
    "condensing_over_outdoor": "condensing above outdoor air",
    "suction_below_return": "saturated suction below return air",
    "temperature_drop": "the air's temperature drop",
    "discharge_temperature": "discharge temperature",
}

# From which deviation on a reading counts as moved [K]. Superheat 5 °F and subcooling 3 °F are usual
# acceptance limits (from memory); the others are chosen here, no source.
THRESHOLDS = {
    "superheat": 5 / 1.8,
    "subcooling": 3 / 1.8,
    "condensing_over_outdoor": 2.0,
    "suction_below_return": 2.0,
    "temperature_drop": 1.0,
    "discharge_temperature": 4.0,
}


@dataclass(frozen=True)
class Cause:
    """One candidate cause.

    Attributes
    ----------
    name : str
        For JSON.
    label : str
        For people.
    next_look : str
        What is worth a look before anything is done.
    """

    name: str
    label: str
    next_look: str


CAUSES = (
    Cause("low_airflow", "low indoor airflow",
          "filter, coil face, blower wheel and speed, closed registers, and the static pressures"),
    Cause("fouled_outdoor_coil", "fouled outdoor coil or low outdoor airflow",
          "the face of the outdoor coil, its fan, and what stands around the unit"),
    Cause("undercharge", "undercharge",
          "signs of a leak (oil at joints, a leak detector), and the charge record; pressures alone do not prove it"),
    Cause("overcharge", "overcharge",
          "the charge record and line length against the nameplate, after the outdoor coil is known to be clean"),
    Cause("liquid_line_restriction", "restriction in the liquid line or metering device",
          "temperature along the liquid line and across the filter-drier, a kinked line, the valve's bulb and strainer"),
    Cause("non_condensable_gas", "non-condensable gas",
          "the pressure at rest, with the circuit at one temperature, against saturation at that temperature"),
    Cause("compressor_leak", "leaking compressor valves or seals",
          "power drawn against the compressor's table, suction and discharge pressure at start and stop, and the "
          "reversing valve's line temperatures"),
    Cause("nothing_unusual", "nothing unusual", "nothing further on the refrigerant side, as far as these readings say"),
)  # fmt: skip

# Columns as in READINGS.
_ORDER = tuple(READINGS)
_FIXED_ORIFICE: dict[str, tuple[Direction, ...]] = {
    # Rossi and Braun (1997), Breuker and Braun (1998), from memory.
    # Low airflow moves the outdoor side down, but so little that it may not show.
    "low_airflow": ("down", "not up", "not up", "up", "up", "not up"),
    "fouled_outdoor_coil": ("down", "down", "up", "down", "down", "up"),
    "undercharge": ("up", "down", "down", "up", "down", "up"),
    "liquid_line_restriction": ("up", "up", "down", "up", "down", "up"),
    "compressor_leak": ("down", "down", "down", "down", "down", "up"),
    # Later work and physics, from memory.
    "overcharge": ("down", "up", "up", "down", "either", "either"),
    "non_condensable_gas": ("down", "up", "up", "down", "either", "up"),
    "nothing_unusual": ("unchanged",) * 6,
}
_THERMOSTATIC_VALVE: dict[str, tuple[Direction, ...]] = {
    # The valve holds superheat until it is shut or wide open; from memory and physics.
    "low_airflow": ("not up", "either", "not up", "up", "up", "not up"),
    "fouled_outdoor_coil": ("unchanged", "either", "up", "not up", "not up", "up"),
    "undercharge": ("not down", "down", "not up", "not down", "not up", "not down"),
    "liquid_line_restriction": ("up", "up", "not up", "up", "down", "up"),
    "compressor_leak": ("unchanged", "not up", "down", "down", "down", "not down"),
    "overcharge": ("unchanged", "up", "up", "unchanged", "either", "not down"),
    "non_condensable_gas": ("unchanged", "up", "up", "unchanged", "either", "up"),
    "nothing_unusual": ("unchanged",) * 6,
}
_TABLES = {"fixed orifice": _FIXED_ORIFICE, "thermostatic valve": _THERMOSTATIC_VALVE}


def expected_direction(cause: str, reading: str, metering_device: MeteringDevice) -> Direction:
    """Direction in which a cause moves a reading; names as in `CAUSES` and `READINGS`."""
    return _TABLES[metering_device][cause][_ORDER.index(reading)]
