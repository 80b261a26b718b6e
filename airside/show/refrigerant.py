"""Pictures of the refrigerant side: temperatures of refrigerant and airstreams, and the cycle on a pressure-enthalpy diagram."""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.refrigerant import cycle, properties, saturation
from airside.show.palette import THEMES, Colours, Theme
from airside.units import KINDS, UnitSystem, from_inside, show
from airside.visit.inputs import Measured
from airside.visit.refrigerant_side import RefrigerantSide


def _value(side: RefrigerantSide, name: str) -> float | None:
    return float(np.asarray(side.at_readings[name][0])) if name in side.at_readings else None


def _reading(measured: Measured, name: str) -> float | None:
    value = measured.refrigerant.get(name)
    return None if value is None else float(np.asarray(value))


def temperature_picture(side: RefrigerantSide, axes: Any, units: UnitSystem, theme: Theme = "light") -> Any:
    """Temperatures along both coils: the air that passes and the refrigerant inside; gives the Axes back."""
    colours = THEMES[theme]
    at = side.doubt.at_readings
    air, cold, hot = colours.series[0], colours.series[2], colours.series[1]
    lines: list[tuple[list[float], list[float], str, str, str]] = []
    marks: list[tuple[float, float, str, str, str]] = []
    dry_bulbs = [float(np.asarray(s.dry_bulb)) for s in (at.return_air, at.supply_air)]
    lines.append(([0.0, 1.0], dry_bulbs, air, "-", "o"))
    marks += [(0.0, dry_bulbs[0], "return air", air, "left"), (1.0, dry_bulbs[1], "supply air", air, "right")]
    suction = _value(side, "saturated_suction")
    if suction is not None:
        # The refrigerant boils at one temperature over most of the coil, then warms: superheat.
        x, y = [0.0, 0.8], [suction, suction]
        marks.append((0.0, suction, "saturated suction", cold, "left"))
        line = _reading(at, "suction_line_at_coil")
        if line is not None:
            x, y = [*x, 1.0], [*y, line]
            marks.append((1.0, line, "suction line", cold, "right"))
        lines.append((x, y, cold, "--", "s"))
    liquid = _value(side, "saturated_liquid")
    if liquid is not None:
        discharge, line = _reading(at, "discharge_line"), _reading(at, "liquid_line")
        x = ([2.0] if discharge is not None else []) + [2.2, 2.8] + ([3.0] if line is not None else [])
        y = ([discharge] if discharge is not None else []) + [liquid, liquid] + ([line] if line is not None else [])
        lines.append((x, y, hot, "--", "^"))
        marks.append((2.75, liquid, "saturated liquid", hot, "above"))
        if discharge is not None:
            marks.append((2.0, discharge, "discharge line", hot, "left"))
        if line is not None:
            marks.append((3.0, line, "liquid line", hot, "right"))
    if at.outdoor_dry_bulb is not None:
        outdoor = float(np.asarray(at.outdoor_dry_bulb))
        lines.append(([2.0, 3.0], [outdoor, outdoor], air, "-", "o"))
        marks.append((2.5, outdoor, "outdoor air", air, "below"))
    for xs, ys, colour, style, marker in lines:
        shown = [float(from_inside(v, "temperature", units)) for v in ys]
        axes.plot(xs, shown, color=colour, linestyle=style, marker=marker, markersize=5, linewidth=1.8)
    _mark(axes, marks, units)
    axes.set_xlim(-1.4, 4.1)
    axes.set_xticks([0.5, 2.5], ["indoor coil", "outdoor coil"])
    axes.set_ylabel(f"Temperature, {KINDS['temperature'].display(units).label}", color=colours.ink)
    axes.margins(y=0.12)
    _plain(axes, colours)
    return axes


def _mark(axes: Any, marks: list[tuple[float, float, str, str, str]], units: UnitSystem) -> None:
    """Names and values beside the lines' ends; those of one side are moved apart where they would touch."""
    low, high = axes.get_ylim()
    step = (high - low) * 0.115
    for place in ("left", "right", "above", "below"):
        last: dict[float, float] = {}
        for x, value, name, colour, _ in sorted((m for m in marks if m[4] == place), key=lambda m: m[1]):
            y = float(from_inside(value, "temperature", units))
            at = max(y, last.get(x, -1e9) + step)
            last[x] = at
            text = f"{name}\n{show(value, 'temperature', units)}"
            offset = {
                "left": (-0.11, 0.0),
                "right": (0.11, 0.0),
                "above": (0.0, 0.3 * step),
                "below": (0.0, -0.3 * step),
            }[place]
            align: dict[str, Any] = {
                "left": {"ha": "right", "va": "center"}, "right": {"ha": "left", "va": "center"},
                "above": {"ha": "center", "va": "bottom"}, "below": {"ha": "center", "va": "top"},
            }[place]  # fmt: skip
            axes.text(x + offset[0], at + offset[1], text, color=colour, fontsize=8.5, linespacing=1.05, **align)


def _plain(axes: Any, colours: Colours) -> None:
    axes.set_facecolor(colours.paper)
    axes.tick_params(colors=colours.ink, labelsize=9)
    for name, spine in axes.spines.items():
        spine.set_visible(name in ("bottom", "left"))
        spine.set_color(colours.ink)


def pressure_enthalpy(side: RefrigerantSide, axes: Any, units: UnitSystem, theme: Theme = "light") -> Any:
    """The cycle on a pressure-enthalpy diagram, absolute pressure on a logarithmic scale; gives the Axes back.

    Drawn where suction and liquid pressure, suction line at the coil and liquid line are known.
    """
    colours = THEMES[theme]
    name, at = side.refrigerant, side.doubt.at_readings
    got = {k: float(np.asarray(v)) for k, v in at.refrigerant.items()}
    barometer = float(np.asarray(at.return_air.pressure))
    pressure_unit = "psi" if units == "IP" else "kPa"
    per_pressure = 6894.757 if units == "IP" else 1000.0
    per_enthalpy = 2326.0 if units == "IP" else 1000.0
    low = saturation.dew_pressure(name, -25.0)
    high = saturation.bubble_pressure(name, min(65.0, _hottest(name)))
    p = np.geomspace(low, high, 120)
    liquid, vapour = properties.saturated_enthalpies(name, p, impossible="nan")
    for column in (liquid, vapour):
        axes.plot(np.asarray(column) / per_enthalpy, p / per_pressure, color=colours.ink, linewidth=1.6)
    axes.set_yscale("log")
    ticks = [50, 100, 150, 200, 300, 400, 600] if units == "IP" else [300, 500, 800, 1200, 2000, 3000, 4500]
    kept = [t for t in ticks if p[0] / per_pressure <= t <= p[-1] / per_pressure]
    axes.set_yticks(kept, [f"{t:,}" for t in kept])
    axes.minorticks_off()
    needed = ("suction_pressure", "liquid_pressure", "suction_line_at_coil", "liquid_line")
    if all(n in got for n in needed):
        points = cycle.cycle_points(
            name, suction_pressure=got["suction_pressure"], suction_temperature=got["suction_line_at_coil"],
            liquid_pressure=got["liquid_pressure"], liquid_temperature=got["liquid_line"],
            barometric_pressure=barometer, discharge_temperature=got.get("discharge_line"), impossible="nan",
        )  # fmt: skip
        _draw_cycle(axes, points, per_enthalpy, per_pressure, colours)
    # Room for the words on both sides.
    left, right = axes.get_xlim()
    axes.set_xlim(left - 0.05 * (right - left), right + 0.25 * (right - left))
    unit = "Btu/lb" if units == "IP" else "kJ/kg"
    axes.set_xlabel(f"Enthalpy of {name}, {unit}", color=colours.ink)
    axes.set_ylabel(f"Pressure, {pressure_unit} absolute", color=colours.ink)
    _plain(axes, colours)
    return axes


def _draw_cycle(
    axes: Any, points: cycle.CyclePoints, per_enthalpy: float, per_pressure: float, colours: Colours
) -> None:
    h1, h3 = float(np.asarray(points.suction_enthalpy)), float(np.asarray(points.liquid_enthalpy))
    low, high = (float(np.asarray(v)) / per_pressure for v in (points.suction_pressure, points.liquid_pressure))
    # Without a discharge temperature the upper right corner is not known: that side stays open.
    corner = points.discharge_enthalpy
    x = [h3, h3, h1] + ([float(np.asarray(corner)), h3] if corner is not None else [])
    y = [high, low, low] + ([high, high] if corner is not None else [])
    axes.plot(np.array(x) / per_enthalpy, y, color=colours.series[1], linewidth=1.8, marker="o", markersize=5)
    for h, p, text, align, lift in (
        (h1, low, "leaves the coil", "left", 0.90), (h3, high, "liquid line", "right", 1.10),
        (h3, low, "enters the coil", "left", 0.88),
    ):  # fmt: skip
        axes.text(h / per_enthalpy, p * lift, f" {text} ", color=colours.series[1], fontsize=8.5, ha=align, va="center")
    if corner is not None:
        axes.text(float(np.asarray(corner)) / per_enthalpy, high * 1.05, "discharge", color=colours.series[1],
                  fontsize=8.5, ha="left", va="bottom")  # fmt: skip


def _hottest(name: str) -> float:
    """Warmest temperature [°C] that the tables hold, below 65 °C."""
    for celsius in (65.0, 60.0, 55.0, 50.0):
        if np.isfinite(float(np.asarray(saturation.bubble_pressure(name, celsius, impossible="nan")))):
            return celsius
    return 45.0


def refrigerant_chart(
    side: RefrigerantSide, *, units: UnitSystem | None = None, theme: Theme = "light", stacked: bool = False
) -> Any:
    """Both pictures in one figure: 10.5 by 4.8 inches, or 7.2 by 7.6 inches with one below the other.

    Parameters
    ----------
    side : RefrigerantSide
    units : "IP" or "SI", optional
        Default those of the visit.
    theme : "light" or "dark"
    stacked : bool
        One below the other: narrower, so that the words are larger in a narrow column.

    Returns
    -------
    matplotlib Figure
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    system = units or side.doubt.visit.units
    colours = THEMES[theme]
    figure = Figure(figsize=(7.2, 7.6) if stacked else (10.5, 4.8), facecolor=colours.paper)
    FigureCanvasAgg(figure)
    first, second = (
        ((0.11, 0.53, 0.87, 0.45), (0.11, 0.07, 0.87, 0.37))
        if stacked
        else ((0.07, 0.11, 0.47, 0.84), (0.64, 0.13, 0.34, 0.82))
    )
    temperature_picture(side, figure.add_axes(first), system, theme)
    pressure_enthalpy(side, figure.add_axes(second), system, theme)
    return figure
