"""Picture of what the equipment should deliver: capacity over outdoor dry bulb for several return wet bulbs,
with what was delivered on the visit."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.compare.correction import standard_flow
from airside.compare.expected import Expected, expected_of_visit
from airside.compare.rating import Rating, rating_of
from airside.compare.reference import Conditions
from airside.errors import ComparisonError
from airside.instruments.propagation import Estimate
from airside.show.labels import LabelPlacer
from airside.show.palette import SOLID, Colours, Theme
from airside.show.plain_axes import (
    FINE,
    LARGE,
    LINE,
    SMALL,
    WIDTH,
    axes_in_inches,
    colours_of,
    dress,
    few_ticks,
    label,
    new_figure,
    points_of,
    shortened,
    spread,
    wrapped,
)
from airside.units import KINDS, UnitSystem, from_inside, show
from airside.visit.analysis import VisitResult
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty, visit_uncertainty

# No more curves than can be told apart.
MOST_CURVES = 7
# Return wet bulbs of the curves where only a rating curve is known, in the shown unit.
ROUND_WET_BULBS = {"IP": (63, 67, 71, 75), "SI": (16, 18, 20, 22)}
# Inches.
LEFT, RIGHT, SCALE, HEAD, HEIGHT = 0.85, 0.95, 0.55, 0.68, 3.3


@dataclass(frozen=True)
class _Point:
    """The visit on the picture: conditions [°C], flow of the curves [m³/s of standard air], what was delivered."""

    rating: Rating
    wet_bulb: float
    outdoor: float
    flow: float
    delivered: Estimate
    expected: Estimate | None
    reason: str
    units: UnitSystem


def performance_chart(
    subject: Expected | VisitUncertainty | VisitResult | Visit,
    *,
    units: UnitSystem | None = None,
    theme: Theme = "light",
) -> Any:
    """Expected capacity over outdoor dry bulb at the visit's airflow, and the capacity delivered.

    Parameters
    ----------
    subject : Expected, VisitUncertainty, VisitResult or Visit
        `airside.explain(visit).expected` saves computing it again.
    units : "IP" or "SI", optional
        Default those of the visit.
    theme : "light", "dark" or "print"

    Returns
    -------
    matplotlib Figure
        6.6 inches wide: a curve for each return wet bulb of the manufacturer's table, or for round ones
        where only a rating curve is known; the curve of the visit's own return wet bulb; what is expected and
        what was delivered, each with its 95 % interval.

    Raises
    ------
    ComparisonError
        There is neither table nor nominal capacity, no outdoor dry bulb, or the visit is one of heating.
    TableError
        The performance table cannot be used.
    """
    point = _point(subject)
    system = units or point.units
    colours = colours_of(theme, system)
    # Why nothing is expected may take a line more.
    height = SCALE + HEIGHT + HEAD + (FINE * LINE / 72 if point.reason else 0.0)
    figure = new_figure(WIDTH, height, colours)
    axes = axes_in_inches(figure, LEFT, SCALE, WIDTH - LEFT - RIGHT, HEIGHT)
    dress(axes, colours)
    few_ticks(axes.xaxis, 8)
    few_ticks(axes.yaxis, 7)
    label(axes, colours, x=f"Outdoor dry bulb, {KINDS['temperature'].display(system).label}",
          y=f"Total capacity, {KINDS['capacity'].display(system).label}")  # fmt: skip
    curves = _draw_curves(axes, point, system, colours)
    _limits(axes, point, curves, system)
    _name_curves(axes, curves, colours)
    _draw_visit(axes, point, curves, system, colours)
    _heading(figure, point, system, colours, height)
    return figure


def _point(subject: Expected | VisitUncertainty | VisitResult | Visit) -> _Point:
    """The visit and its rating, or the sentence that says why there is none."""
    if isinstance(subject, Expected):
        here = subject.conditions
        return _Point(subject.rating, float(np.asarray(here.indoor)), float(np.asarray(here.outdoor)), subject.flow,
                      subject.delivered, subject.total, "", subject.units)  # fmt: skip
    if isinstance(subject, VisitResult):
        subject = subject.doubt if subject.doubt is not None else subject.visit
    doubt = visit_uncertainty(subject) if isinstance(subject, Visit) else subject
    expected, reason = expected_of_visit(doubt)
    if expected is not None:
        return _point(expected)
    rating, _ = rating_of(doubt.visit)
    at = doubt.at_readings
    if rating is None or at.outdoor_dry_bulb is None:
        raise ComparisonError(f"There is no picture of expected capacity. {reason}")
    # Outside the table the visit can still be seen beside it.
    return _Point(rating, float(np.asarray(at.return_air.wet_bulb)), float(np.asarray(at.outdoor_dry_bulb)),
                  _into(rating, float(np.asarray(standard_flow(at.airflow.dry_air_mass_flow)))), doubt.estimate("total"),
                  None, reason, doubt.visit.units)  # fmt: skip


def _into(rating: Rating, flow: float) -> float:
    """The flow, or the nearest for which the rating holds [m³/s of standard air]."""
    flows = rating.correction.limits()[2]
    scale = 1.0 if rating.table is not None else rating.correction.rated_flow
    return min(max(flow, flows.low * scale), flows.high * scale)


@dataclass(frozen=True)
class _Curve:
    """Capacity over outdoor dry bulb for one return wet bulb, in shown units."""

    x: Array
    y: Array
    name: str
    is_own: bool


def _draw_curves(axes: Any, point: _Point, units: UnitSystem, colours: Colours) -> list[_Curve]:
    indoor, outdoor, _ = point.rating.correction.limits()
    table = point.rating.table
    if table is not None:
        wet_bulbs = _some(table.axes[0], point.wet_bulb)
        at = table.axes[1]
    else:
        shown = ROUND_WET_BULBS[units]
        celsius = np.array([(v - 32) / 1.8 for v in shown] if units == "IP" else shown, dtype=np.float64)
        wet_bulbs = celsius[(celsius >= indoor.low) & (celsius <= indoor.high)]
        at = np.linspace(outdoor.low, outdoor.high, 33)
    found = [_curve(point, float(w), at, units, False) for w in wet_bulbs]
    if point.expected is not None:
        found.append(_curve(point, point.wet_bulb, at, units, True))
    for curve in found:
        colour = colours.series[0] if curve.is_own else colours.faint
        axes.plot(curve.x, curve.y, color=colour, linewidth=2.0 if curve.is_own else 1.1, zorder=1.9 if curve.is_own else 1.8,
                  linestyle=SOLID if curve.is_own else (0, (6, 2)), gid="own curve" if curve.is_own else "curve")  # fmt: skip
        if table is not None and not curve.is_own:
            axes.plot(curve.x, curve.y, linestyle="none", marker=".", markersize=5, color=colour, zorder=1.8)
    return found


def _some(wet_bulbs: Array, own: float) -> Array:
    """So many of a table's wet bulbs as can be told apart: the ends, and those nearest to the visit's."""
    if wet_bulbs.size <= MOST_CURVES:
        return wet_bulbs
    near = np.argsort(np.abs(wet_bulbs - own), kind="stable")[: MOST_CURVES - 2]
    kept: Array = wet_bulbs[np.unique(np.concatenate([[0, wet_bulbs.size - 1], near]))]
    return kept


def _curve(point: _Point, wet_bulb: float, outdoor: Array, units: UnitSystem, is_own: bool) -> _Curve:
    capacity = np.broadcast_to(point.rating.capacity(Conditions("", wet_bulb, outdoor), point.flow), np.shape(outdoor))
    name = show(wet_bulb, "temperature", units)
    return _Curve(np.asarray(from_inside(outdoor, "temperature", units)), _capacity(capacity, units),
                  f"{name} visit" if is_own else name.replace(".0 ", " "), is_own)  # fmt: skip


def _capacity(value: Any, units: UnitSystem) -> Any:
    return np.asarray(from_inside(np.asarray(value), "capacity", units))


def _intervals(point: _Point) -> list[float]:
    """Everything of the visit that must be seen [W]."""
    found = []
    for estimate in (point.delivered, point.expected):
        if estimate is not None:
            found += [estimate.value, *(v for v in estimate.interval_95 if np.isfinite(v))]
    return found


def _limits(axes: Any, point: _Point, curves: list[_Curve], units: UnitSystem) -> None:
    at = float(from_inside(point.outdoor, "temperature", units))
    x = np.concatenate([c.x for c in curves] + [np.array([at])])
    y = np.concatenate([c.y for c in curves] + [np.asarray(_capacity(_intervals(point), units))])
    for low, high, limit, room in (
        (float(x.min()), float(x.max()), axes.set_xlim, 0.03), (float(y.min()), float(y.max()), axes.set_ylim, 0.06),
    ):  # fmt: skip
        # A table of one column has no width of its own.
        margin = room * (high - low) if high > low else 5.0
        limit(low - margin, high + margin)


def _name_curves(axes: Any, curves: list[_Curve], colours: Colours) -> None:
    """Wet bulbs at the right ends of their curves, with a word above them."""
    _, high = points_of(axes)
    low, top = axes.get_ylim()
    ends = [(c.y[-1] - low) / (top - low) * high for c in curves]
    places = spread(ends, [SMALL * LINE] * len(curves), 0, high)
    for curve, end, place in zip(curves, ends, places, strict=True):
        axes.annotate(
            curve.name, (curve.x[-1], curve.y[-1]), xytext=(11, place - end), textcoords="offset points", ha="left",
            va="center", fontsize=SMALL, color=colours.ink, weight="bold" if curve.is_own else "normal",
            arrowprops={"arrowstyle": "-", "color": colours.series[0] if curve.is_own else colours.faint,
                        "linewidth": 0.7, "shrinkA": 0, "shrinkB": 2}, annotation_clip=False,
        )  # fmt: skip
    right = (curves[0].x[-1] - axes.get_xlim()[0]) / (axes.get_xlim()[1] - axes.get_xlim()[0])
    axes.annotate("return\nwet bulb", (right, (max(places) + 0.9 * SMALL) / high), xycoords="axes fraction",
                  xytext=(11, 0), textcoords="offset points", ha="left", va="bottom", fontsize=FINE,
                  color=colours.faint, linespacing=LINE, annotation_clip=False)  # fmt: skip


def _draw_visit(axes: Any, point: _Point, curves: list[_Curve], units: UnitSystem, colours: Colours) -> None:
    """What is expected and what was delivered at the visit's conditions, each with its interval and its words."""
    at = float(from_inside(point.outdoor, "temperature", units))
    axes.axvline(at, color=colours.ink, linewidth=0.9, linestyle=(0, (2, 2)), zorder=1.5)
    said = []
    for name, estimate, index, marker, width in (
        ("expected", point.expected, 0, "D", 9.0), ("delivered", point.delivered, 1, "o", 2.4),
    ):  # fmt: skip
        if estimate is None:
            continue
        value = float(_capacity(estimate.value, units))
        if np.all(np.isfinite(estimate.interval_95)):
            low, high = (float(v) for v in _capacity(estimate.interval_95, units))
            # A wide pale bar behind a narrow one: both are seen where they overlap.
            axes.plot([at, at], [low, high], color=colours.series[index], linewidth=width, solid_capstyle="butt",
                      alpha=0.35 if name == "expected" else 1.0, zorder=2.4 + index, gid=f"{name} interval")  # fmt: skip
        axes.plot([at], [value], marker=marker, markersize=8, linestyle="none", zorder=4 + index,
                  color=colours.paper if name == "expected" else colours.series[index],
                  markeredgecolor=colours.series[0] if name == "expected" else colours.paper, gid=name,
                  markeredgewidth=1.6 if name == "expected" else 1.0)  # fmt: skip
        said.append((value, index, _words(name, estimate, units)))
    _write(axes, at, said, curves, colours)


def _words(name: str, estimate: Estimate, units: UnitSystem) -> str:
    text = f"{name} {show(estimate.value, 'capacity', units)}"
    if np.all(np.isfinite(estimate.interval_95)):
        low, high = estimate.interval_95
        text += (
            f"\n95 % interval {show(low, 'capacity', units, unit=False)} to {show(high, 'capacity', units, unit=False)}"
        )
    return text


def _write(axes: Any, at: float, said: list[tuple[float, int, str]], curves: list[_Curve], colours: Colours) -> None:
    """The words near the points, where they cover no curve, framed in the colour of what they name."""
    placer = LabelPlacer(axes)
    unit = placer.pixels_per_point
    for curve in curves:
        if curve.x.size > 1:
            placer.block_line(curve.x, curve.y, margin=3 * unit)
    placer.block_line(np.array([at, at]), np.array(axes.get_ylim()), margin=7 * unit)
    for value, index, text in said:
        # Where there is hardly room, without its interval, which is drawn.
        placer.at_point(at, value, (text, text.split("\n")[0]), points=SMALL, colour=colours.series[index], paper=colours.paper,
                        ink=colours.ink, style=colours.series_styles[index])  # fmt: skip


def _heading(figure: Any, point: _Point, units: UnitSystem, colours: Colours, height: float) -> None:
    """What the curves are, and where the visit was."""
    across = (WIDTH - 0.4) * 72
    name = point.rating.correction.name
    first = f"Expected capacity at {show(point.flow, 'volume_flow', units)} of standard air"
    where = (
        f"By the {name}. The visit: {show(point.wet_bulb, 'temperature', units)} return wet bulb, "
        f"{show(point.outdoor, 'temperature', units)} outdoors."
    )
    if point.reason:
        # The reason names what it is by.
        where = point.reason
    for text, points, colour, down in (
        (shortened(first, LARGE, across), LARGE, colours.ink, 0.1),
        (wrapped(where, FINE, across, 3), FINE, colours.faint, 0.28),
    ):
        figure.text(0.2 / WIDTH, 1 - down / height, text, fontsize=points, color=colour, va="top", linespacing=LINE,
                    parse_math=False)  # fmt: skip
