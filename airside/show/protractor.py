"""Directions of sensible heat ratio on a psychrometric chart, true to the chart's own scales.

A fan whose hub is a cooling process's start: a process drawn in one of its directions has the
sensible heat ratio written there. What is drawn on the chart already has its own ray in it.

Sources
-------
Sensible and latent capacity are split as in `airside.air.process.delivered_capacity`: the latent part
is that of the vapour of the air that enters.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from airside.air import properties
from airside.air.blocks import Array, Number
from airside.air.state import MoistAir
from airside.show.chart_sheet import Sheet
from airside.show.chart_states import Process
from airside.show.labels import text_size
from airside.show.palette import MARKERS

RATIOS = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
FINE = tuple(round(1.0 - 0.05 * i, 2) for i in range(15))
RADIUS = 66.0  # points, for text of the usual size


def slope(sensible_heat_ratio: Number, dry_bulb: float, humidity_ratio: float) -> Number:
    """Humidity ratio over dry bulb along processes of a sensible heat ratio.

    Parameters
    ----------
    sensible_heat_ratio : float or array [fraction]
        Above 0 up to 1.
    dry_bulb : float [°C]
        Of the air that enters.
    humidity_ratio : float [kg/kg]
        Of the air that leaves: its specific heat counts.

    Returns
    -------
    float or array [1/K]
        With c the specific heat of moist air and h the enthalpy of vapour, per kelvin of cooling
        ``c (1 - SHR) / (SHR h)`` of water leaves the air.
    """
    vapour = float(properties.enthalpy(dry_bulb, 1.0)) - float(properties.enthalpy(dry_bulb, 0.0))
    specific_heat = float(properties.specific_heat(humidity_ratio))
    ratio = np.asarray(sensible_heat_ratio, dtype=np.float64)
    found: Array = (1 - ratio) / ratio * specific_heat / vapour
    return float(found) if found.ndim == 0 else found


def ratio_of(start: MoistAir, end: MoistAir) -> float:
    """Sensible heat ratio of a cooling process; NaN where it does not cool, or wets the air."""
    cooled, dried = float(start.dry_bulb) - float(end.dry_bulb), float(start.humidity_ratio) - float(end.humidity_ratio)
    if not (cooled > 0 and dried >= 0):
        return float("nan")
    vapour = float(properties.enthalpy(start.dry_bulb, 1.0)) - float(properties.enthalpy(start.dry_bulb, 0.0))
    total = float(start.enthalpy) - float(end.enthalpy)
    return 1.0 - vapour * dried / total


def _directions(sheet: Sheet, ratios: Array, start: MoistAir, leaving: float) -> Array:
    """Unit vectors in pixels, to the left and down, of processes of sensible heat ratios; shape (n, 2)."""
    t, w = float(start.dry_bulb), float(start.humidity_ratio)
    fall = np.asarray(slope(ratios, t, leaving))
    ends = sheet.place(t - np.ones_like(fall), w - fall) - sheet.place(t, w)
    return np.asarray(ends / np.hypot(*ends.T)[:, None])


def draw_protractor(sheet: Sheet, processes: Sequence[Any]) -> bool:
    """Draw the fan where the chart has room for it, best in the corner without air; whether it had."""
    drawn = [(i, p) for i, p in enumerate(processes) if isinstance(p, Process)]
    cooling = [(i, p) for i, p in drawn if np.isfinite(ratio_of(p.start, p.end))]
    start, leaving = _reference(sheet, [p for _, p in cooling])
    radius, size = sheet.pixels(RADIUS), sheet.points(8)
    # The fan's box: hub at its right top, numbers beyond the arc, heading above.
    left, below, above, right = (sheet.pixels(v) for v in (RADIUS + 24, RADIUS + 16, 24, 10))
    found = _room(sheet, left, below, above, right)
    if found is None:
        return False
    hub, is_without_air = found
    colours, placer = sheet.colours, sheet.placer
    placer.block_box(hub[0] - left, hub[1] - below, hub[0] + right, hub[1] + above, 0.0)
    fine, main = (_directions(sheet, np.array(v), start, leaving) for v in (FINE, RATIOS))
    arc = _directions(sheet, np.linspace(FINE[-1], 1.0, 40), start, leaving)
    # Near the hub the directions would run together.
    segments = [np.array([hub + u * radius * 0.25, hub + u * radius * 1.05]) for u in main]
    segments += [np.array([hub + u * radius * 0.95, hub + u * radius]) for u in fine]
    segments.append(hub + arc * radius)
    box = np.array([[-left, -below], [right, -below], [right, above], [-left, above]])
    if not is_without_air:
        # On the lines it stands on paper of its own.
        corners = placer.data(hub + box)
        sheet.area(*corners.T, facecolor=colours.paper, zorder=2.9, gid="protractor ground")
        sheet.lines([corners[[0, 1, 2, 3, 0]]], colors=colours.grid, linewidth=0.8, zorder=2.95, gid="protractor frame")
    sheet.lines([placer.data(s) for s in segments], colors=colours.faint, linewidth=0.7, zorder=3.1, gid="protractor")
    written: list[Array] = []
    for ratio, u in zip(RATIOS, main, strict=True):
        at = hub + u * (radius * 1.04 + sheet.pixels(9))
        text = f"{ratio:.1f}"
        apart = np.array(text_size(text, size)) * placer.pixels_per_point + sheet.pixels(1.5)
        # Directions crowd at one end: a number that would touch the one before is left out.
        if written and (np.abs(at - written[-1]) < apart).all():
            continue
        written.append(at)
        placer.write(at[0], at[1], text, points=size, colour=colours.ink, group="sensible heat ratio", zorder=3.2)
    placer.write(hub[0] + right - sheet.pixels(2), hub[1] + sheet.pixels(13), "Sensible heat ratio", points=sheet.points(9),
                 colour=colours.ink, align="right", group="heading", zorder=3.2)  # fmt: skip
    for index, process in cooling:
        u = _process_direction(sheet, process)
        colour = colours.series[index % len(colours.series)]
        style = colours.series_styles[index % len(colours.series)]
        (x0, y0), (x1, y1) = placer.data(np.array([hub, hub + u * radius * 0.86]))
        sheet.line([x0, x1], [y0, y1], color=colour, linestyle=style, linewidth=1.8, zorder=3.3, gid="protractor ray")
        sheet.line(x1, y1, color=colour, marker=MARKERS[index % len(MARKERS)], markersize=5.5, linestyle="none",
                   markeredgecolor=colours.paper, zorder=3.4)  # fmt: skip
    return True


def _reference(sheet: Sheet, cooling: Sequence[Process]) -> tuple[MoistAir, float]:
    """Air that enters, and the humidity ratio of air that leaves: the first cooling process's, else the chart's middle."""
    if cooling:
        return cooling[0].start, float(cooling[0].end.humidity_ratio)
    window = sheet.window
    w = (window.bottom + window.top) / 2
    return MoistAir((window.low + window.high) / 2, w, window.pressure), w


def _process_direction(sheet: Sheet, process: Process) -> Array:
    ends = sheet.place(*(np.array([float(getattr(s, name)) for s in (process.start, process.end)])
                         for name in ("dry_bulb", "humidity_ratio")))  # fmt: skip
    along = ends[1] - ends[0]
    return np.asarray(along / np.hypot(*along))


def _room(sheet: Sheet, left: float, below: float, above: float, right: float) -> tuple[Array, bool] | None:
    """Where the hub may stand, and whether that is in the corner without air: there if it is large enough."""
    x0, y0, x1, y1 = sheet.placer.frame
    wide, high = (left + right) / 2, (above + below) / 2
    xs = np.arange(x0 + wide + 3, x1 - wide - 2, 12.0)
    ys = np.arange(y1 - high - 3, y0 + high + 2, -12.0)
    if not len(xs) or not len(ys):
        return None
    cx, cy = np.meshgrid(xs, ys)
    fits = sheet.placer.free(cx, cy, wide, high)
    if not fits.any():
        return None
    # The box's lower right corner must lie above saturation to be in the corner without air.
    low = sheet.placer.data(np.column_stack([(cx + wide).reshape(-1), (cy - high).reshape(-1)]))
    dry = sheet.window.y(sheet.window.saturated(sheet.window.celsius(low[:, 0]))) < low[:, 1]
    without_air = dry.reshape(cx.shape)
    cost = np.where(fits, 0.0, np.inf) + np.where(without_air, (y1 - cy) * 1.5 + (cx - x0), 1e5 + (cy - y0) - cx)
    k = np.unravel_index(int(np.argmin(cost)), cost.shape)
    return np.array([cx[k] + wide - right, cy[k] + high - above]), bool(without_air[k])
