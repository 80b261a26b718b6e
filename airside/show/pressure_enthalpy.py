"""The refrigerant's cycle on a pressure-enthalpy diagram."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.refrigerant import cycle, properties, saturation
from airside.show.palette import Theme
from airside.show.plain_axes import FINE, SMALL, colours_of, dress, few_ticks, label, points_of
from airside.units import UnitSystem
from airside.visit.refrigerant_side import RefrigerantSide

# Ticks of pressure in the shown unit: each a round number.
PRESSURES = {
    "IP": (20, 30, 50, 70, 100, 150, 200, 300, 400, 600, 900),
    "SI": (150, 200, 300, 500, 700, 1000, 1500, 2000, 3000, 4500, 7000),
}
PER_PRESSURE = {"IP": 6894.757, "SI": 1000.0}
PER_ENTHALPY = {"IP": 2326.0, "SI": 1000.0}


@dataclass(frozen=True)
class _Corner:
    """A point of the cycle [J/kg, Pa absolute] with its words, above or below it."""

    enthalpy: float
    pressure: float
    text: str
    is_above: bool


def pressure_enthalpy(side: RefrigerantSide, axes: Any, units: UnitSystem, theme: Theme = "light") -> Any:
    """The cycle on a pressure-enthalpy diagram, absolute pressure on a logarithmic scale; gives the Axes back.

    The whole cycle where both pressures, the suction line at the coil and the liquid line are known;
    else the pressures and the corners that are.

    Parameters
    ----------
    side : RefrigerantSide
    axes : matplotlib Axes
    units : "IP" or "SI"
    theme : "light", "dark" or "print"
    """
    colours = colours_of(theme, units)
    name = side.refrigerant
    per_pressure, per_enthalpy = PER_PRESSURE[units], PER_ENTHALPY[units]
    corners, path, pressures = _cycle(side)
    known = [_NEEDED[n] for n in ("suction_pressure", "liquid_pressure") if n in side.doubt.at_readings.refrigerant]
    low = min([float(np.asarray(saturation.dew_pressure(name, -25.0))), *(0.75 * p for p in pressures)])
    high = float(np.asarray(saturation.bubble_pressure(name, min(65.0, _hottest(name)))))
    p = np.geomspace(float(np.asarray(saturation.dew_pressure(name, -25.0))), high, 120)
    liquid, vapour = properties.saturated_enthalpies(name, p, impossible="nan")
    for column in (liquid, vapour):
        axes.plot(np.asarray(column) / per_enthalpy, p / per_pressure, color=colours.ink, linewidth=1.4, zorder=2)
    axes.set_yscale("log")
    top = max([high, *(1.25 * p for p in pressures)])
    axes.set_ylim(low / 1.12 / per_pressure, top * 1.12 / per_pressure)
    dress(axes, colours)
    kept = [t for t in PRESSURES[units] if low / per_pressure <= t <= top / per_pressure]
    axes.set_yticks(kept, [f"{t:,}" for t in kept])
    axes.minorticks_off()
    few_ticks(axes.xaxis, 7)
    label(axes, colours, x=f"Enthalpy of {name}, {'Btu/lb' if units == 'IP' else 'kJ/kg'}",
          y=f"Pressure, {'psi' if units == 'IP' else 'kPa'} absolute")  # fmt: skip
    ends = np.concatenate([np.asarray(liquid), np.asarray(vapour), [c.enthalpy for c in corners]])
    left, right = float(np.nanmin(ends)) / per_enthalpy, float(np.nanmax(ends)) / per_enthalpy
    wide, _ = points_of(axes)
    # Half of the longest word may stand beyond a corner.
    room = 40.0 / (wide - 80.0) * (right - left)
    axes.set_xlim(left - room, right + room)
    hot = colours.series[1]
    if path is None:
        # Not enough for a cycle: the pressures that are known, each as a line.
        for words, pressure in zip(known, pressures, strict=True):
            axes.axhline(pressure / per_pressure, color=hot, linewidth=1.2, linestyle="--", zorder=2.5)
            axes.annotate(words, (0.02, pressure / per_pressure), xycoords=axes.get_yaxis_transform(), xytext=(0, 3),
                          textcoords="offset points", fontsize=SMALL, color=colours.ink, va="bottom", zorder=4,
                          bbox={"facecolor": colours.paper, "edgecolor": "none", "pad": 0.8})  # fmt: skip
    if path is not None or corners:
        x, y = path if path is not None else ([c.enthalpy for c in corners], [c.pressure for c in corners])
        axes.plot(np.array(x) / per_enthalpy, np.array(y) / per_pressure, color=hot, linewidth=1.8, marker="o", markersize=5,
                  linestyle="-" if path is not None else "none", zorder=3)  # fmt: skip
    for corner in corners:
        axes.annotate(
            corner.text, (corner.enthalpy / per_enthalpy, corner.pressure / per_pressure),
            xytext=(0, 6 if corner.is_above else -6), textcoords="offset points", ha="center",
            va="bottom" if corner.is_above else "top", fontsize=SMALL, color=colours.ink, zorder=4,
            bbox={"facecolor": colours.paper, "edgecolor": "none", "pad": 0.8},
        )  # fmt: skip
    if path is None:
        axes.text(0.02, 0.02, _missing(side), transform=axes.transAxes, fontsize=FINE, color=colours.faint, va="bottom",
                  zorder=2.5, bbox={"facecolor": colours.paper, "edgecolor": "none", "pad": 1.0})  # fmt: skip
    return axes


_NEEDED = {
    "suction_pressure": "suction pressure", "suction_line_at_coil": "suction line at the coil",
    "liquid_pressure": "liquid pressure", "liquid_line": "liquid line",
}  # fmt: skip


def _missing(side: RefrigerantSide) -> str:
    """Why there is no cycle."""
    missing = [words for name, words in _NEEDED.items() if name not in side.doubt.at_readings.refrigerant]
    if not missing:
        return "no cycle: a line is not on its side of saturation"
    return "no cycle without: " + ", ".join(missing)


def _cycle(side: RefrigerantSide) -> tuple[list[_Corner], tuple[list[float], list[float]] | None, list[float]]:
    """Corners that are known, the way around them where it is whole enough, and the known pressures [Pa absolute]."""
    name, at = side.refrigerant, side.doubt.at_readings
    got = {k: float(np.asarray(v)) for k, v in at.refrigerant.items()}
    barometer = float(np.asarray(at.return_air.pressure))
    # Of what is missing, something in its stead lets the others be found; it is not used.
    low, high = (
        float(np.asarray(cycle.absolute_pressure(got[n], barometer))) if n in got else None
        for n in ("suction_pressure", "liquid_pressure")
    )
    suction = discharge = liquid = float("nan")
    if low is not None and "suction_line_at_coil" in got:
        suction = _enthalpy(properties.vapour_enthalpy, name, got["suction_line_at_coil"], low)
    if high is not None and "liquid_line" in got:
        liquid = _enthalpy(properties.liquid_enthalpy, name, got["liquid_line"], high)
    if high is not None and "discharge_line" in got:
        discharge = _enthalpy(properties.vapour_enthalpy, name, got["discharge_line"], high)
    corners = []
    if high is not None:
        corners += [_Corner(liquid, high, "liquid line", True), _Corner(discharge, high, "discharge", True)]
    if low is not None:
        corners += [_Corner(suction, low, "leaves the coil", False), _Corner(liquid, low, "enters the coil", False)]
    corners = [c for c in corners if np.isfinite(c.enthalpy)]
    path = None
    if low is not None and high is not None and np.isfinite(suction) and np.isfinite(liquid):
        # Without a discharge temperature the upper right corner is not known: that side stays open.
        path = ([liquid, liquid, suction], [high, low, low])
        if np.isfinite(discharge):
            path = ([*path[0], discharge, liquid], [*path[1], high, high])
    return corners, path, [v for v in (low, high) if v is not None]


def _enthalpy(of: Any, name: str, temperature: float, pressure: float) -> float:
    return float(np.asarray(of(name, temperature, pressure, impossible="nan")))


def _hottest(name: str) -> float:
    """Warmest temperature [°C] that the tables hold, below 65 °C."""
    for celsius in (65.0, 60.0, 55.0, 50.0):
        if np.isfinite(float(np.asarray(saturation.bubble_pressure(name, celsius, impossible="nan")))):
            return celsius
    return 45.0
