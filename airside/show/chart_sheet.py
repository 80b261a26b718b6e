"""The sheet that a psychrometric chart is drawn on: its window in SI, its scales, sizes of text and colours."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from airside.air import properties
from airside.air.blocks import Array
from airside.show.labels import LabelPlacer
from airside.show.palette import Colours
from airside.units import UnitSystem, from_inside, to_inside

View = Literal["states", "full"]

# The full chart, in the shown units: least and most dry bulb [°C, °F] and humidity ratio [g/kg, gr/lb]; as wide as
# air conditioning needs.
FULL = {"SI": (-10.0, 50.0, 0.0, 30.0), "IP": (10.0, 120.0, 0.0, 220.0)}
# Where the formulas of saturation hold, with room for rounding [°C].
COLDEST_SHOWN, HOTTEST_SHOWN = -85.0, 150.0
# Steps of a scale, times a power of ten.
_STEPS = (1.0, 2.0, 5.0, 10.0)


def round_step(span: float, most: float) -> float:
    """Least round step (1, 2 or 5 times a power of ten) that divides a span into no more than ``most`` parts."""
    least = span / max(most, 1.0)
    power = 10.0 ** math.floor(math.log10(least))
    return next(s * power for s in _STEPS if s * power >= least * (1 - 1e-9))


def fine_steps(step: float) -> tuple[float, ...]:
    """Round steps that divide a round step, the finest first."""
    parts = {1: (10, 5, 2), 2: (4, 2), 5: (5,)}[round(step / 10.0 ** math.floor(math.log10(step) + 1e-9))]
    return tuple(step / n for n in parts)


def round_values(low: float, high: float, step: float) -> Array:
    """Multiples of a step from one value to another, both included."""
    return np.arange(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1, dtype=np.float64) * step


def number(value: float, step: float) -> str:
    """A value of a scale with the decimals that its step needs, and a minus sign that is one."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{value + 0.0:.{decimals}f}".replace("-", "\u2212")


@dataclass(frozen=True)
class Window:
    """What is seen: limits in SI (°C, kg/kg), the unit system shown, the pressure [Pa]."""

    low: float
    high: float
    bottom: float
    top: float
    units: UnitSystem
    pressure: float

    def x(self, dry_bulb: Any) -> Any:
        """Dry bulb [°C] in the shown unit."""
        return from_inside(dry_bulb, "temperature", self.units)

    def y(self, humidity_ratio: Any) -> Any:
        """Humidity ratio [kg/kg] in the shown unit."""
        return from_inside(humidity_ratio, "humidity_ratio", self.units)

    def celsius(self, shown: Any) -> Any:
        """Shown temperature in °C."""
        return to_inside(shown, "temperature", self.units)

    def ratio(self, shown: Any) -> Any:
        """Shown humidity ratio in kg/kg."""
        return to_inside(shown, "humidity_ratio", self.units)

    def heat(self, enthalpy: Any) -> Any:
        """Enthalpy [J/kg] in the shown unit."""
        return from_inside(enthalpy, "enthalpy", self.units)

    def saturated(self, dry_bulb: Any) -> Array:
        """Humidity ratio [kg/kg] of saturation at dry bulbs [°C]."""
        return np.asarray(properties.saturation_humidity_ratio(dry_bulb, self.pressure))

    def saturation_end(self) -> float:
        """Dry bulb [°C] at which the saturation curve leaves the window, at its top or at its right edge."""
        if float(self.saturated(self.high)) <= self.top:
            return self.high
        return min(self.high, float(np.asarray(properties.dew_point(self.top, self.pressure))))


def window_of(
    points: Array,
    units: UnitSystem,
    view: View,
    pressure: float,
    extents: Sequence[tuple[Array, Array]] = (),
    room: float = 0.24,
) -> Window:
    """The window on some states, or the full chart, with round limits.

    Parameters
    ----------
    points : array, shape (n, 2) [°C, kg/kg]
        The states.
    units : "IP" or "SI"
    view : "states" or "full"
    pressure : float [Pa]
    extents : sequence of (least, most), each of shape (2,) [°C, kg/kg]
        What must be seen besides, without the room that a state gets: ellipses and clouds.
    room : float [fraction of the window's width]
        Left on both sides of the states for their texts, at most 0.3.

    Returns
    -------
    Window
    """
    corners = np.array([c for extent in extents for c in extent]).reshape(-1, 2)
    if view == "full" or not len(points):
        x0, x1, y0, y1 = FULL[units]
        low, high, bottom, top = (
            float(to_inside(v, kind, units))
            for v, kind in ((x0, "temperature"), (x1, "temperature"), (y0, "humidity_ratio"), (y1, "humidity_ratio"))
        )
        both = np.concatenate([points, corners]) if len(points) else corners
        if len(both):
            # States beyond the chart widen it; they are not left out.
            low, high = min(low, float(both[:, 0].min())), max(high, float(both[:, 0].max()))
            top = max(top, float(both[:, 1].max()))
        return _rounded(low, high, bottom, top, units, pressure, 5.0 if units == "SI" else 10.0)
    t, w = points[:, 0], points[:, 1]
    spread = max(float(np.ptp(t)), 6.0)
    room = min(room, 0.3)
    beside = max(room / (1 - 2 * room), 0.45) * spread
    low, high = float(t.min()) - beside, float(t.max()) + beside
    # Leave room above for the saturation curve over the coldest state, and for the labels.
    least = float(properties.saturation_humidity_ratio(float(t.min()), pressure))
    top, bottom = max(float(w.max()) * 1.35, least * 1.25), max(0.0, 0.45 * float(w.min()))
    if len(corners):
        little = 0.05 * spread
        low, high = min(low, float(corners[:, 0].min()) - little), max(high, float(corners[:, 0].max()) + little)
        top = max(top, 1.05 * float(corners[:, 1].max()))
        bottom = min(bottom, max(0.0, 0.95 * float(corners[:, 1].min())))
    return _rounded(low, high, bottom, top, units, pressure)


def _rounded(
    low: float, high: float, bottom: float, top: float, units: UnitSystem, pressure: float, step: float | None = None
) -> Window:
    """Limits moved outwards to round values: the window stands still while a state moves a little."""
    low, high = max(low, COLDEST_SHOWN), min(high, HOTTEST_SHOWN)
    x0, x1 = (float(from_inside(v, "temperature", units)) for v in (low, high))
    y0, y1 = (float(from_inside(v, "humidity_ratio", units)) for v in (bottom, top))
    across, up = step or round_step(x1 - x0, 30), round_step(y1 - y0, 20)
    x0, x1 = math.floor(x0 / across + 1e-9) * across, math.ceil(x1 / across - 1e-9) * across
    y0, y1 = math.floor(y0 / up + 1e-9) * up, math.ceil(y1 / up - 1e-9) * up
    low, high = (float(to_inside(v, "temperature", units)) for v in (x0, x1))
    bottom, top = (float(to_inside(v, "humidity_ratio", units)) for v in (max(y0, 0.0), y1))
    return Window(low, high, bottom, top, units, pressure)


@dataclass
class Sheet:
    """One chart being drawn.

    Attributes
    ----------
    axes : matplotlib Axes
    window : Window
    colours : Colours
    placer : LabelPlacer
    text_scale : float
        Times the sizes of text and lines.
    """

    axes: Any
    window: Window
    colours: Colours
    placer: LabelPlacer
    text_scale: float = 1.0

    def points(self, size: float) -> float:
        """A size of text on this sheet [points]."""
        return float(size * self.text_scale)

    def width(self, points: float) -> float:
        """A line width on this sheet [points]; lines grow less than text."""
        return points * (1 + 0.5 * (self.text_scale - 1))

    def pixels(self, points: float) -> float:
        """A length on this sheet given for text of its usual size [points], in pixels."""
        return float(points * self.text_scale * self.placer.pixels_per_point)

    @property
    def wide(self) -> float:
        """Width of the chart over the size of its text [points]."""
        return float(self.axes.bbox.width) / self.pixels(1.0)

    @property
    def high(self) -> float:
        """Height of the chart over the size of its text [points]."""
        return float(self.axes.bbox.height) / self.pixels(1.0)

    def line(self, x: Any, y: Any, *, clip: bool = True, **look: Any) -> Any:
        """Draw a line, or markers, in data coordinates; sizes and widths are those of text of the usual size."""
        from matplotlib.lines import Line2D

        for name, size in (("linewidth", self.width), ("markeredgewidth", self.width), ("markersize", self.points)):
            if name in look:
                look[name] = size(look[name])
        # Not through the Axes: it would look for limits, and the sheet has its own.
        line = Line2D(np.atleast_1d(x), np.atleast_1d(y), transform=self.axes.transData, **look)
        self.axes.add_artist(line)
        if not clip:
            line.set_clip_on(False)
        return line

    def area(self, x: Any, y: Any, **look: Any) -> Any:
        """Fill an area of data coordinates."""
        from matplotlib.patches import Polygon

        area = Polygon(np.column_stack([x, y]), linewidth=0, transform=self.axes.transData, **look)
        self.axes.add_artist(area)
        return area

    def lines(self, segments: Any, *, gid: str, clip: bool = True, linewidth: float = 1.0, **look: Any) -> None:
        """Draw many lines of data coordinates as one."""
        from matplotlib.collections import LineCollection

        if not len(segments):
            return
        drawn = LineCollection(segments, linewidths=self.width(linewidth), gid=gid, clip_on=clip, **look)
        self.axes.add_collection(drawn, autolim=False)

    def place(self, dry_bulb: Any, humidity_ratio: Any) -> Array:
        """States [°C, kg/kg] as pixels, shape (n, 2)."""
        return self.placer.pixels(self.window.x(dry_bulb), self.window.y(humidity_ratio))
