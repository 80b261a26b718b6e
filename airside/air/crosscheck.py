"""The same state by three routes: airside, psychrolib, and CoolProp's real-gas humid air.

The first two share the handbook's ideal-gas formulas and must agree to rounding, or to the wet
bulb tolerance of psychrolib (1e-3 K). The third is a real-gas model (Herrmann, Kretzschmar, Gatley
2009, ASHRAE RP-1485): its difference shows what the ideal-gas formulas are worth.

Largest differences of the real gas from airside, measured with CoolProp 8.0 on a grid of 17 dry
bulbs, 10 relative humidities and 6 pressures over 5 to 45 °C, 0.10 to 0.95, 75 to 102 kPa, the two
sharing dry bulb, humidity ratio and pressure (`ENVELOPE`; a test holds it):

=================  ==============  ==============  ==============
dry bulb           5 to 15 °C      15 to 30 °C     30 to 45 °C
=================  ==============  ==============  ==============
wet bulb           0.041 K         0.062 K         0.088 K
dew point          0.066 K         0.080 K         0.100 K
relative humidity  0.0041          0.0044          0.0050
enthalpy           26 J/kg         73 J/kg         226 J/kg
specific volume    0.00046 m³/kg   0.00046 m³/kg   0.00087 m³/kg
=================  ==============  ==============  ==============

All wet bulbs, dew points, relative humidities and specific volumes of the real gas are the lower
ones. Where the wet bulb is within about 0.7 K of 0 °C the real-gas model may take the wick as ice
where airside takes water; the wet bulbs then differ by up to 0.7 K, and the table leaves them out.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from airside.air import properties
from airside.air.state import MoistAir
from airside.units import UnitSystem, show

_ROWS = {
    "wet_bulb": ("temperature", "GetTWetBulbFromHumRatio", "Twb"),
    "dew_point": ("temperature", "GetTDewPointFromHumRatio", "Tdp"),
    "relative_humidity": ("relative_humidity", "GetRelHumFromHumRatio", "RH"),
    "enthalpy": ("enthalpy", "GetMoistAirEnthalpy", "Hda"),
    "specific_volume": ("specific_volume", "GetMoistAirVolume", "Vda"),
}

# The table above: dry-bulb limits [°C] and largest differences in SI.
ENVELOPE: dict[tuple[float, float], dict[str, float]] = {
    (5.0, 15.0): {
        "wet_bulb": 0.041,
        "dew_point": 0.066,
        "relative_humidity": 0.0041,
        "enthalpy": 26.0,
        "specific_volume": 0.00046,
    },
    (15.0, 30.0): {
        "wet_bulb": 0.062,
        "dew_point": 0.080,
        "relative_humidity": 0.0044,
        "enthalpy": 73.0,
        "specific_volume": 0.00046,
    },
    (30.0, 45.0): {
        "wet_bulb": 0.088,
        "dew_point": 0.100,
        "relative_humidity": 0.0050,
        "enthalpy": 226.0,
        "specific_volume": 0.00087,
    },
}


@dataclass(frozen=True)
class Crosscheck:
    """One state by three routes, SI values keyed by property name.

    Attributes
    ----------
    state : MoistAir
    airside, psychrolib, real_gas : dict of str to float
    """

    state: MoistAir
    airside: dict[str, float]
    psychrolib: dict[str, float]
    real_gas: dict[str, float]

    def text(self, units: UnitSystem = "SI") -> str:
        """Three columns and the two differences, as lines of text."""
        lines = [f"{'':<20}{'airside':>16}{'psychrolib':>16}{'real gas':>16}"]
        for name, (kind, _, _) in _ROWS.items():
            values = (self.airside[name], self.psychrolib[name], self.real_gas[name])
            cells = "".join(f"{show(v, kind, units, decimals=4):>16}" for v in values)
            lines.append(f"{name.replace('_', ' ').capitalize():<20}{cells}")
        return "\n".join(lines)

    def to_dict(self) -> dict[str, dict[str, float]]:
        """The three routes in SI."""
        return {"airside": self.airside, "psychrolib": self.psychrolib, "real_gas": self.real_gas}

    def to_frame(self) -> Any:
        """A pandas frame: a row a property, SI, with the differences from airside."""
        import pandas as pd

        frame = pd.DataFrame(self.to_dict())
        frame["psychrolib - airside"] = frame["psychrolib"] - frame["airside"]
        frame["real_gas - airside"] = frame["real_gas"] - frame["airside"]
        return frame

    def __str__(self) -> str:
        return self.text()

    def _repr_html_(self) -> str:
        return f"<pre>{escape(self.text())}</pre>"


def crosscheck(state: MoistAir) -> Crosscheck:
    """Compute a scalar state by airside, psychrolib and CoolProp's real-gas humid air.

    The routes share dry bulb, humidity ratio and pressure. The real-gas enthalpy is given on the
    handbook's zero: dry air at 0 °C and this pressure, liquid water at 0 °C.

    Parameters
    ----------
    state : MoistAir
        Scalars.

    Raises
    ------
    ValueError
        An array was given.
    """
    import psychrolib

    if np.ndim(state.dry_bulb) or np.ndim(state.humidity_ratio) or np.ndim(state.pressure):
        raise ValueError("crosscheck takes one state, not an array of them")
    t, w, p = float(state.dry_bulb), float(state.humidity_ratio), float(state.pressure)
    # Read the global itself: with numba installed, psychrolib's GetUnitSystem() crashes the interpreter.
    system = psychrolib.PSYCHROLIB_UNITS
    # With numba, setting the unit system discards all that is compiled: set it only where it differs.
    if system is not psychrolib.SI:
        psychrolib.SetUnitSystem(psychrolib.SI)
    try:
        by_psychrolib = {
            name: float(getattr(psychrolib, function)(*((t, w) if name == "enthalpy" else (t, w, p))))
            for name, (_, function, _) in _ROWS.items()
        }
    finally:
        # psychrolib's unit system is global: leave it as the caller had it.
        if system is not None and system is not psychrolib.SI:
            psychrolib.SetUnitSystem(system)
    return Crosscheck(
        state=state,
        airside={name: float(getattr(state, name)) for name in _ROWS},
        psychrolib=by_psychrolib,
        real_gas=real_gas(t, w, p),
    )


def real_gas(dry_bulb: float, humidity_ratio: float, pressure: float) -> dict[str, float]:
    """The same properties by CoolProp's HAPropsSI [°C, kg/kg, Pa in; SI out]."""
    from CoolProp.HumidAirProp import HAPropsSI

    kelvin = dry_bulb + properties.ZERO_CELSIUS
    found = {
        name: float(HAPropsSI(key, "T", kelvin, "W", humidity_ratio, "P", pressure))
        for name, (_, _, key) in _ROWS.items()
    }
    for name in ("wet_bulb", "dew_point"):
        found[name] -= properties.ZERO_CELSIUS
    found["enthalpy"] -= float(HAPropsSI("Hda", "T", properties.ZERO_CELSIUS, "W", 0.0, "P", pressure))
    return found
