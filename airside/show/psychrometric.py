"""The psychrometric chart: matplotlib, any pressure, IP or SI, a window on the states or the full chart.

Dry bulb runs to the right, humidity ratio upwards with its scale and that of the dew point on the
right; enthalpy stands outside saturation. Every line is computed by `airside.air`: `chart_lines` and
`chart_scales` draw the paper, `chart_states` what is measured, `protractor` the directions of sensible
heat ratio.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import numpy as np

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.state import MoistAir
from airside.show.chart_doubt import Doubt, points_of
from airside.show.chart_lines import RELATIVE_HUMIDITIES as RELATIVE_HUMIDITIES
from airside.show.chart_lines import SlantedLines, draw_lines, draw_saturation
from airside.show.chart_scales import (
    DEW_POINT_ROOM,
    HUMIDITY_RATIO_ROOM,
    LIFT,
    caption_room,
    draw_caption,
    draw_dew_points,
    draw_enthalpies,
    draw_enthalpy_heading,
    draw_frame,
)
from airside.show.chart_sheet import Sheet, View, window_of
from airside.show.chart_states import Mixing as Mixing
from airside.show.chart_states import Process as Process
from airside.show.chart_states import draw_legend, draw_series, extents_of, series_of, write_labels
from airside.show.figure_files import figure_bytes as figure_bytes
from airside.show.labels import LabelPlacer
from airside.show.palette import MARKERS as MARKERS
from airside.show.palette import THEMES, Colours, Theme
from airside.show.protractor import draw_protractor
from airside.units import SYSTEMS, UnitSystem, show

# Room around the chart on a figure of its own: left, below, above [points, for text of the usual size].
MARGINS = (30.0, 40.0, 42.0)
# Width of the text at a state [points, for text of the usual size].
STATE_ROOM = 125.0
# Pressures that differ by less are one [fraction]: a barometer moves that much in an hour.
SAME_PRESSURE = 0.002


def psychrometric_chart(
    processes: Sequence[Process | Mixing] = (),
    *,
    states: Sequence[tuple[str, MoistAir]] = (),
    pressure: float | None = None,
    units: UnitSystem = "SI",
    view: View = "states",
    lines: SlantedLines = "wet bulb",
    theme: Theme = "light",
    title: str = "",
    doubt: Doubt = "ellipse",
    arrays: Literal["path", "cloud"] = "path",
    protractor: bool = False,
    scales: bool | None = None,
    text_scale: float = 1.0,
    size: tuple[float, float] = (9.0, 6.0),
    axes: Any = None,
) -> Any:
    """Draw a psychrometric chart.

    Parameters
    ----------
    processes : sequence of Process or Mixing
        Drawn as arrows; each series has its own colour, marker and, in print, line style.
    states : sequence of (str, MoistAir)
        Further states, named; an array of states is drawn as one path or cloud.
    pressure : float [Pa], optional
        Default: that of the first state, else sea level.
    units : "IP" or "SI"
    view : "states" or "full"
        A window on the states, or the whole chart.
    lines : "wet bulb" or "enthalpy"
        Which of the two nearly parallel families is drawn.
    theme : "light", "dark" or "print"
    title : str
    doubt : "ellipse", "cloud" or "none"
        How the draws of a process's states are shown: the ellipse of their covariance that holds 95 %,
        or the draws themselves.
    arrays : "path" or "cloud"
        How an array of states is drawn: one after the other, or as points.
    protractor : bool
        Directions of sensible heat ratio, where there is room.
    scales : bool, optional
        Dew-point and enthalpy scales. Default: on a figure of its own, not on Axes that exist. Axes that
        exist give up room on their right for it.
    text_scale : float
        Times the size of all text: 1.5 for a projector.
    size : (float, float) [inch]
        Of the figure that is made where no Axes are given.
    axes : matplotlib Axes, optional
        Drawn into; by default a figure is made.

    Returns
    -------
    matplotlib Axes
        In a notebook, ``.figure`` shows the picture.

    Raises
    ------
    ValueError
        An option that is not known, a process between arrays, or a state that is not a number.
    """
    for value, known, name in (
        (theme, tuple(THEMES), "theme"),
        (units, SYSTEMS, "units"),
        (view, ("states", "full"), "view"),
        (lines, ("wet bulb", "enthalpy"), "lines"),
        (doubt, ("ellipse", "cloud", "none"), "doubt"),
        (arrays, ("path", "cloud"), "arrays"),
    ):
        if value not in known:
            raise ValueError(f"{name} is {value!r}; expected one of {', '.join(map(repr, known))}")
    if not 0.5 <= text_scale <= 4:
        raise ValueError(f"text_scale is {text_scale!r}; expected a number from 0.5 to 4, 1 being the usual size")
    colours = THEMES[theme]
    series = series_of(processes, states)
    shown = [m.state for s in series for m in s.marks] + [s.many for s in series if s.many is not None]
    pressures = np.concatenate(
        [np.atleast_1d(np.asarray(s.pressure, dtype=np.float64)) for s in shown] or [np.empty(0)]
    )
    if pressure is None:
        pressure = float(pressures[0]) if len(pressures) else SEA_LEVEL_PRESSURE
    notes = _notes(pressures, pressure, units)
    with_scales = axes is None if scales is None else scales
    if axes is None:
        above = caption_room(title, notes, LIFT if with_scales else 0.0)
        axes = new_axes(colours, size, text_scale=text_scale, scales=with_scales, above=above)
    elif with_scales:
        _give_room(axes, text_scale)
    points = np.concatenate([points_of(s) for s in shown] or [np.empty((0, 2))])
    room = STATE_ROOM * text_scale / (float(axes.bbox.width) * 72 / axes.figure.dpi)
    window = window_of(points, units, view, pressure, extents_of(series, doubt), room)
    axes.set_xlim(window.x(window.low), window.x(window.high))
    axes.set_ylim(window.y(window.bottom), window.y(window.top))
    sheet = Sheet(axes, window, colours, LabelPlacer(axes), text_scale)
    draw_frame(sheet)
    draw_saturation(sheet)
    labels = draw_series(sheet, series, doubt, arrays)
    draw_legend(sheet, series, doubt)
    over = draw_enthalpies(sheet) if with_scales else False
    write_labels(sheet, labels)
    if protractor:
        draw_protractor(sheet, processes)
    if with_scales:
        draw_dew_points(sheet)
        draw_enthalpy_heading(sheet, over)
    draw_caption(sheet, title, notes, lift=LIFT if over else 0.0)
    draw_lines(sheet, lines)
    return axes


def new_axes(
    colours: Colours,
    size: tuple[float, float] = (9.0, 6.0),
    *,
    text_scale: float = 1.0,
    scales: bool = True,
    above: float = MARGINS[2],
) -> Any:
    """An Axes on a figure of its own; no pyplot, so nothing is kept open.

    Parameters
    ----------
    colours : Colours
    size : (float, float) [inch]
    text_scale : float
        Times the size of all text: the margins grow with it.
    scales : bool
        Whether there is room for a dew-point scale on the right.
    above : float [points, for text of the usual size]
        Room above the chart.

    Returns
    -------
    matplotlib Axes
    """
    from matplotlib.figure import Figure

    from airside.show.kept_text import KeptTextCanvas

    figure = Figure(figsize=size, facecolor=colours.paper, layout=None)
    KeptTextCanvas(figure)
    (wide, high), unit = size, text_scale / 72
    left, below, over = MARGINS[0] * unit, MARGINS[1] * unit, above * unit
    right = unit * (HUMIDITY_RATIO_ROOM + (DEW_POINT_ROOM if scales else 0.0))
    return figure.add_axes((left / wide, below / high, 1 - (left + right) / wide, 1 - (below + over) / high))


def _give_room(axes: Any, text_scale: float) -> None:
    """Make an Axes narrower by the dew-point scale, which then stands where the chart was, unless there is room for it."""
    place, wide = axes.get_position(), axes.figure.get_size_inches()[0]
    scales = text_scale * (HUMIDITY_RATIO_ROOM + DEW_POINT_ROOM) / 72 / wide
    if len(axes.figure.axes) == 1 and 1 - place.x1 >= scales - 1e-9:
        return
    # The gap between the two scales counts too.
    room = text_scale * (DEW_POINT_ROOM + 10.0) / 72 / wide
    axes.set_position((place.x0, place.y0, max(place.width - room, 0.2 * place.width), place.height))


def _notes(pressures: Any, pressure: float, units: UnitSystem) -> list[str]:
    """Where states are at other pressures than the chart's lines."""
    if not len(pressures) or np.ptp(np.append(pressures, pressure)) <= SAME_PRESSURE * pressure:
        return []
    low, high = (show(float(v), "barometric_pressure", units) for v in (pressures.min(), pressures.max()))
    there = low if low == high else f"{low} to {high}"
    return [f"The lines are drawn for this pressure; the states are at {there}."]
