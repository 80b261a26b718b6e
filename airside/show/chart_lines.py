"""Lines of a psychrometric chart: saturation, relative humidity, wet bulb or enthalpy, specific volume.

Each function gives the lines of one family in SI, computed by `airside.air`; `draw_lines` draws them
with their numbers on them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from airside.air import properties
from airside.air.blocks import Array
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.air.wet_bulb_equation import wet_bulb_humidity_ratio
from airside.show.chart_sheet import Sheet, Window, number, round_step, round_values
from airside.units import KINDS, from_inside, to_inside

SlantedLines = Literal["wet bulb", "enthalpy"]
RELATIVE_HUMIDITIES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)


@dataclass(frozen=True)
class Line:
    """One line: dry bulbs [°C], humidity ratios [kg/kg], and what is written on it."""

    dry_bulb: Array
    humidity_ratio: Array
    text: str


Lines = tuple[Line, ...]


@lru_cache(maxsize=16)
def saturation_curve(window: Window, count: int = 160) -> Line:
    """The saturation curve as far as it is seen."""
    t = np.linspace(window.low, max(window.saturation_end(), window.low), count)
    return Line(t, window.saturated(t), "")


@lru_cache(maxsize=16)
def relative_humidity_lines(window: Window) -> Lines:
    """Lines of each tenth of relative humidity; the one in the middle says what the numbers are."""
    t = np.linspace(window.low, window.high, 90)
    saturation = np.asarray(properties.saturation_pressure(t))
    fraction = np.array(RELATIVE_HUMIDITIES)[:, None]
    # Where water boils, no air has this relative humidity.
    vapour = np.minimum(fraction * saturation, 0.99 * window.pressure)
    w = np.asarray(properties.humidity_ratio_from_vapour_pressure(vapour, window.pressure))
    lines = []
    for humidity, row in zip(RELATIVE_HUMIDITIES, w, strict=True):
        # One point past the top, so that the line runs to the edge.
        seen = max(2, int(np.searchsorted(row, window.top)) + 1)
        lines.append(Line(t[:seen], row[:seen], f"{humidity * 100:.0f} %" + (" RH" if humidity == 0.5 else "")))
    return tuple(lines)


@lru_cache(maxsize=16)
def wet_bulb_lines(window: Window, step: float) -> Lines:
    """Lines of one wet bulb, each from saturation to dry air or the window's edge; step in the shown unit."""
    unit = KINDS["temperature"].display(window.units).label
    shown = round_values(float(window.x(window.low)) - 200, float(window.x(window.high)) - 1e-6, step)
    wet = np.asarray(window.celsius(shown), dtype=np.float64)
    # The wet bulb at the window's corner of least heat: below it no line is seen.
    least = float(
        properties.wet_bulb(window.low, min(window.bottom, float(window.saturated(window.low))), window.pressure)
    )
    keep = wet > least
    shown, wet = shown[keep], wet[keep]
    if not len(wet):
        return ()
    p = np.full_like(wet, window.pressure)
    # Along a line the humidity ratio is nearly straight in the dry bulb, so a few secant steps are exact.
    t0, t1 = wet.copy(), wet + 10.0
    w0, w1 = (wet_bulb_humidity_ratio(t, wet, p) - window.bottom for t in (t0, t1))
    for _ in range(6):
        flat = np.abs(w1 - w0) < 1e-300
        ahead = np.where(flat, t1, t1 - w1 * (t1 - t0) / np.where(flat, 1.0, w1 - w0))
        t0, w0, t1 = t1, w1, ahead
        w1 = wet_bulb_humidity_ratio(t1, wet, p) - window.bottom
    # Rounding must not leave the dry end below zero.
    end = np.minimum(t1 - (1e-9 if window.bottom == 0 else 0.0), window.high)
    t = wet[:, None] + (end - wet)[:, None] * np.linspace(0, 1, 20)
    w = np.asarray(properties.humidity_ratio_from_wet_bulb(t, wet[:, None], window.pressure, impossible="nan"))
    return tuple(
        Line(t[i][good], w[i][good], f"{number(s, step)} {unit} wet bulb")
        for i, s in enumerate(shown)
        if (good := np.isfinite(w[i])).sum() > 1
    )


@lru_cache(maxsize=16)
def enthalpy_lines(window: Window, step: float) -> Lines:
    """Lines of one enthalpy, each from saturation to dry air or the window's edge; step in the shown unit."""
    unit = KINDS["enthalpy"].display(window.units).label
    shown = enthalpies(window, step)
    h = np.asarray(to_inside(shown, "enthalpy", window.units))
    end = np.asarray(saturated_temperature_from_enthalpy(h, window.pressure))
    top = window.saturated(end)
    w = top[:, None] + (window.bottom - top)[:, None] * np.linspace(0, 1, 12)
    t = np.asarray(properties.dry_bulb_from_enthalpy(h[:, None], w))
    return tuple(
        Line(t[i], w[i], f"{number(s, step)} {unit}")
        for i, s in enumerate(shown)
        if top[i] > window.bottom and t[i].max() > window.low
    )


def enthalpies(window: Window, step: float) -> Array:
    """Round enthalpies in the shown unit, from the window's corner of least heat to that of most."""
    low, high = (
        float(from_inside(properties.enthalpy(t, w), "enthalpy", window.units))
        for t, w in ((window.low, window.bottom), (window.high, window.top))
    )
    return round_values(low, high, step)


@lru_cache(maxsize=16)
def volume_lines(window: Window, step: float) -> Lines:
    """Lines of one specific volume, each from saturation to the window's bottom; step in the shown unit."""
    unit = KINDS["specific_volume"].display(window.units).label
    p = window.pressure
    # Along saturation the volume rises with the dry bulb: find where each line meets it.
    table = np.linspace(window.low - 10.0, max(window.saturation_end(), window.low), 120)
    along = np.asarray(properties.specific_volume(table, window.saturated(table), p))
    lowest = float(properties.specific_volume(window.low, min(window.bottom, float(window.saturated(window.low))), p))
    highest = float(properties.specific_volume(window.high, window.top, p))
    least, most = (float(from_inside(v, "specific_volume", window.units)) for v in (lowest, highest))
    shown = round_values(least, most, step)
    volume = np.asarray(to_inside(shown, "specific_volume", "SI"))
    volume = volume / float(from_inside(1.0, "specific_volume", window.units))
    t = np.interp(volume, along, table)
    slope = np.interp(t, table, np.gradient(along, table))
    for _ in range(5):
        t = t - (np.asarray(properties.specific_volume(t, window.saturated(t), p)) - volume) / slope
    end = np.where(volume < along[-1], window.saturated(t), window.top)
    w = end[:, None] + (window.bottom - end)[:, None] * np.linspace(0, 1, 12)
    kelvin = volume[:, None] * p / (properties.GAS_CONSTANT_DRY_AIR * (1 + properties.GAS_CONSTANT_RATIO * w))
    celsius = kelvin - properties.ZERO_CELSIUS
    return tuple(
        Line(celsius[i], w[i], f"{number(s, step)} {unit}") for i, s in enumerate(shown) if end[i] > window.bottom
    )


def steps(sheet: Sheet) -> dict[str, float]:
    """Step of each family in the shown unit, so that its lines stand apart on this sheet."""
    window = sheet.window
    span = float(window.x(window.high)) - float(window.x(window.low))
    p = window.pressure
    low, high = (
        (properties.enthalpy(t, w), properties.specific_volume(t, w, p))
        for t, w in ((window.low, window.bottom), (window.high, window.top))
    )
    heat, volume = (
        float(from_inside(high[i], kind, window.units)) - float(from_inside(low[i], kind, window.units))
        for i, kind in enumerate(("enthalpy", "specific_volume"))
    )
    return {
        "wet bulb": max(round_step(span, sheet.wide / 36), 1.0),
        "enthalpy": max(round_step(heat, (sheet.wide + sheet.high) / 58), 1.0),
        "specific volume": round_step(volume, sheet.wide / 52),
    }


def draw_lines(sheet: Sheet, slanted: SlantedLines = "wet bulb") -> None:
    """Draw the families of lines, and write their numbers on them where there is room."""
    window, colours = sheet.window, sheet.colours
    step = steps(sheet)
    slanted_lines = wet_bulb_lines if slanted == "wet bulb" else enthalpy_lines
    families: tuple[tuple[str, Lines, str, str, Any, float, float], ...] = (
        ("relative humidity", relative_humidity_lines(window), colours.grid, colours.faint, "solid", 0.9, -16.0),
        (slanted, slanted_lines(window, step[slanted]), colours.wet_bulb, colours.wet_bulb_text, (0, (6, 3)), 0.8, 14.0),
        ("specific volume", volume_lines(window, step["specific volume"]), colours.volume, colours.volume_text,
         (0, (1.5, 2.5)), 0.9, -14.0),
    )  # fmt: skip
    for name, lines, colour, _, style, width, _ in families:
        segments = [np.column_stack([window.x(line.dry_bulb), window.y(line.humidity_ratio)]) for line in lines]
        sheet.lines(segments, colors=colour, linestyles=[style], linewidth=width, zorder=1.5, gid=name)
    for name, lines, _, colour, _, _, prefer in families:
        for line in lines:
            sheet.placer.on_line(
                window.x(line.dry_bulb), window.y(line.humidity_ratio), line.text, points=sheet.points(8),
                colour=colour, prefer=sheet.text_scale * prefer, group=name,
            )  # fmt: skip
    sheet.placer.draw_grounds(colours.paper)


def draw_saturation(sheet: Sheet) -> None:
    """Draw the saturation curve and keep texts off it."""
    window = sheet.window
    curve = saturation_curve(window)
    if curve.humidity_ratio[0] > window.top:
        return
    x, y = window.x(curve.dry_bulb), window.y(curve.humidity_ratio)
    sheet.line(x, y, color=sheet.colours.ink, linewidth=1.8, zorder=3, gid="saturation")
    sheet.placer.block_line(x, y, margin=sheet.pixels(2.5))
