"""Picture of logged data: channels over time, with the runs and the steady stretches marked and numbered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.show.labels import text_size
from airside.show.palette import MARKERS, SOLID, Colours, Theme
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
    new_figure,
    points_of,
    shortened,
    spread,
)
from airside.units import KINDS, UnitSystem, from_inside
from airside.visit.logs.log import Floats
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.logs.running import COUNTS

# Inches: left of the panels for their scales, right of them for the names of lines, below for the time.
LEFT, RIGHT, BELOW, ABOVE = 0.80, 1.10, 0.56, 0.54
STRIP, PANEL, GAP = 0.56, 1.12, 0.17
# Points along the time axis that a line has at most; of more, the lowest and highest of each are drawn.
MOST = 1400
DAY = 86_400.0
# From so long on, points stand for stretches; so many at most a line.
LONG, POINTS = 21 * DAY, 1500
# Height of the numbers over the strip's rows, as a part of it; stretches that are tried for a number.
NUMBERS, MANY = 0.70, 400


@dataclass(frozen=True)
class Panel:
    """Channels of one kind, drawn on one scale.

    Attributes
    ----------
    name : str
    kind : str
        A name in `airside.units.KINDS`.
    channels : tuple of (str, str)
        Path in the visit file, and what the line is called.
    """

    name: str
    kind: str
    channels: tuple[tuple[str, str], ...]


def panels_of(logged: LoggedVisit) -> list[Panel]:
    """The panels that a log gives: dry bulbs, humidities, power, airflow, as far as they are logged."""
    air = [("return", "return"), ("supply", "supply"), ("outdoor", "outdoors")]
    wanted: list[tuple[str, str, list[tuple[str, str]]]] = [
        ("Dry bulb", "temperature", [(f"readings.{p}.dry_bulb", n) for p, n in air]),
        *((name, kind, [(f"readings.{p}.{field}", n) for p, n in air[:2]])
          for name, kind, field in (("Dew point", "temperature", "dew_point"), ("Wet bulb", "temperature", "wet_bulb"),
                                    ("RH", "relative_humidity", "relative_humidity"))),
        ("Power", "power", [("readings.power.total", "total"), ("readings.power.outdoor_unit", "outdoor unit"),
                            ("readings.power.indoor_unit", "indoor unit"), ("fan.power", "fan")]),
        ("Airflow", "volume_flow", [("airflow.volume_flow", "airflow")]),
        ("Static", "duct_pressure", [("airflow.external_static_pressure", "external")]),
        ("Coil drop", "duct_pressure", [("airflow.pressure_drop", "coil")]),
        ("Rise", "temperature_difference", [("airflow.temperature_rise", "rise")]),
        ("Heat", "power", [("airflow.heat_input", "heat input")]),
    ]  # fmt: skip
    known = [(n, k, tuple((c, w) for c, w in channels if c in logged.log.channels)) for n, k, channels in wanted]
    return [Panel(*panel) for panel in known if panel[2]]


def time_series_chart(
    logged: LoggedVisit, *, units: UnitSystem | None = None, theme: Theme = "light",
    panels: Sequence[Panel] | None = None, first: float | None = None, last: float | None = None, axes: Any = None,
    most: int = MOST,
) -> Any:  # fmt: skip
    """Channels over time with runs and steady stretches; the one that stands for the visit is named.

    Over more than three weeks minutes run together: then each point is the mean of one steady stretch.

    Parameters
    ----------
    logged : LoggedVisit
        From `airside.visit.logs.logged_visit.load_logged`.
    units : "IP" or "SI", optional
        Default those of the visit file.
    theme : "light", "dark" or "print"
    panels : sequence of Panel, optional
        Default `panels_of`.
    first, last : float, optional
        Part of the log that is drawn [s, as `Log.time`].
    axes : matplotlib Axes, optional
        In its place already: the first panel alone is drawn into it, with the stretches behind its lines.
    most : int
        Parts along the time axis; of each the lowest and the highest value are drawn.

    Returns
    -------
    matplotlib Figure
        6.6 inches wide, as high as the panels need.

    Raises
    ------
    ValueError
        Nothing that is logged can be drawn, or the part is empty.
    """
    system: UnitSystem = units or ("IP" if logged.data.get("units") == "IP" else "SI")
    colours = colours_of(theme, system)
    drawn = list(panels_of(logged) if panels is None else panels)
    time = logged.log.time
    low, high = (float(time[i]) if v is None else float(v) for i, v in ((0, first), (-1, last)))
    if not drawn:
        raise ValueError("the log has no channel of air, power or airflow to draw")
    if not low < high:
        raise ValueError(
            f"first is {logged.log.wall_time(low)} and last {logged.log.wall_time(high)}; expected a later last"
        )
    if high < time[0] or low > time[-1]:
        raise ValueError(
            f"nothing was logged between {logged.log.wall_time(low)} and {logged.log.wall_time(high)}; the log goes from "
            f"{logged.log.wall_time(time[0])} to {logged.log.wall_time(time[-1])}"
        )
    if axes is not None:
        _panel(axes, logged, drawn[0], system, colours, low, high, most)
        _time_scale(axes, logged, colours, low, high)
        return axes.figure
    height = ABOVE + STRIP + len(drawn) * (GAP + PANEL) + BELOW + (0.16 if is_long(low, high) else 0.0)
    figure = new_figure(WIDTH, height, colours)
    across = WIDTH - LEFT - RIGHT
    at = height - ABOVE - STRIP
    strip = axes_in_inches(figure, LEFT, at, across, STRIP)
    _strip(strip, logged, colours, low, high)
    for i, panel in enumerate(drawn):
        at -= GAP + PANEL
        place = axes_in_inches(figure, LEFT, at, across, PANEL)
        _panel(place, logged, panel, system, colours, low, high, most)
        if i < len(drawn) - 1:
            place.tick_params(labelbottom=False)
        _time_scale(place, logged, colours, low, high, with_words=i == len(drawn) - 1)
    title = shortened(str(logged.data.get("name", logged.name)), LARGE, (WIDTH - LEFT - 0.1) * 72)
    figure.text(LEFT / WIDTH, 1 - 0.10 / height, title, color=colours.ink, fontsize=LARGE, va="top", parse_math=False)
    return figure


def _days(seconds: Any) -> Any:
    return np.asarray(seconds, dtype=np.float64) / DAY


def _merged(begin: Floats, end: Floats, low: float, high: float) -> list[tuple[float, float]]:
    """Bars [days] of intervals [s] that are seen; where they are many, those that touch on the picture become one."""
    inside = (end > low) & (begin < high)
    begin, end = np.maximum(begin[inside], low), np.minimum(end[inside], high)
    if begin.size > 150:
        apart = begin[1:] - end[:-1] > (high - low) / 900
        begin, end = begin[np.concatenate([[True], apart])], end[np.concatenate([apart, [True]])]
    return [(b / DAY, (e - b) / DAY) for b, e in zip(begin, end, strict=True)]


def _stretch_ends(logged: LoggedVisit) -> tuple[Floats, Floats]:
    s = logged.stretches
    return s.begin - s.step / 2, s.end + s.step / 2


def _bands(axes: Any, logged: LoggedVisit, colours: Colours, low: float, high: float) -> None:
    """Steady stretches behind the lines; the standing one darker, with lines at its ends."""
    begin, end = _stretch_ends(logged)
    bottom, top = axes.get_ylim()
    if not is_long(low, high):
        axes.broken_barh(_merged(begin, end, low, high), (bottom, top - bottom), facecolor=colours.series[2], alpha=0.18,
                         linewidth=0, zorder=0)  # fmt: skip
    i = logged.standing_number - 1
    if end[i] > low and begin[i] < high:
        axes.axvspan(begin[i] / DAY, end[i] / DAY, facecolor=colours.series[2], alpha=0.30, linewidth=0, zorder=0.5)
        for at in (begin[i], end[i]):
            axes.axvline(at / DAY, color=colours.ink, linewidth=0.7, zorder=1)


def _strip(axes: Any, logged: LoggedVisit, colours: Colours, low: float, high: float) -> None:
    """Two rows of bars: the runs, and the steady stretches with their numbers."""
    axes.set_xlim(low / DAY, high / DAY)
    axes.set_ylim(0, 2.0)
    dress(axes, colours, left=False, bottom=False)
    runs, chosen = logged.runs, logged.runs.stage_that_counts
    begin = runs.begin - runs.step / 2
    counts = np.ones(len(runs), dtype=bool) if not np.isfinite(chosen) else runs.stage == chosen
    # Other stages are open bars.
    for flags, face in ((counts, colours.faint), (~counts, "none")):
        bars = _merged(begin[flags], begin[flags] + runs.length[flags], low, high)
        axes.broken_barh(bars, (0.12, 0.42), facecolor=face, edgecolor=colours.faint, linewidth=0.6)
    first, last = _stretch_ends(logged)
    # Neighbours are told apart by a line of paper, where that leaves anything of them.
    seam = 0.8 if len(logged) * 4 < points_of(axes)[0] * (high - low) / (last[-1] - first[0]) else 0.0
    axes.broken_barh(_merged(first, last, low, high), (0.78, 0.42), facecolor=colours.series[2], edgecolor=colours.paper,
                     linewidth=seam)  # fmt: skip
    i = logged.standing_number - 1
    is_seen = bool(last[i] > low and first[i] < high)
    if is_seen:
        axes.broken_barh([(first[i] / DAY, (last[i] - first[i]) / DAY)], (0.70, 0.58), facecolor=colours.series[2],
                         edgecolor=colours.ink, linewidth=1.0, zorder=3)  # fmt: skip
    stage = runs.stage_name(chosen)
    has_others = bool(stage) and not counts.all()
    for at, text in ((0.33, "runs"), (0.99, "steady")):
        axes.annotate(text, (0.0, at), xycoords=("axes fraction", "data"), xytext=(-6, 0), textcoords="offset points",
                      ha="right", va="center", fontsize=SMALL, color=colours.ink, annotation_clip=False)  # fmt: skip
    if has_others:
        axes.annotate(shortened(f"filled: {stage}", FINE, RIGHT * 72 - 8), (1.0, 0.33), xycoords=("axes fraction", "data"), xytext=(6, 0),
                      textcoords="offset points", ha="left", va="center", fontsize=FINE, color=colours.faint,
                      annotation_clip=False, parse_math=False)  # fmt: skip
    _numbers(axes, logged, colours, low, high, is_seen)


def _numbers(axes: Any, logged: LoggedVisit, colours: Colours, low: float, high: float, is_seen: bool) -> None:
    """Numbers of the stretches as far as they have room, the standing one first, and with words."""
    wide = points_of(axes)[0]
    begin, end = _stretch_ends(logged)
    middles = ((begin + end) / 2 - low) / (high - low) * wide
    inside = [i for i in range(len(middles)) if 0 <= middles[i] <= wide]
    standing = logged.standing_number - 1
    taken: list[tuple[float, float]] = []
    # The first and the last say how many there are; the rest as there is room.
    order = ([standing] if is_seen and standing in inside else []) + inside[:1] + inside[-1:]
    order += inside if len(inside) <= MANY else inside[:: len(inside) // MANY]
    for i in dict.fromkeys(order):
        text, points = f"{i + 1:,}", SMALL if i == standing else FINE
        half = text_size(text, points)[0] / 2 + 2
        if any(middles[i] - half < b and a < middles[i] + half for a, b in taken):
            continue
        taken.append((middles[i] - half, middles[i] + half))
        axes.text(middles[i] / wide, NUMBERS, text, transform=axes.transAxes, ha="center", va="bottom", fontsize=points,
                  color=colours.ink, weight="bold" if i == standing else "normal")  # fmt: skip
    if order and order[0] == standing and is_seen:
        words = "stands for the visit"
        half = text_size(words, SMALL)[0] / 2
        at = float(np.clip(middles[standing], half, wide - half))
        axes.annotate(words, (at / wide, NUMBERS), xycoords="axes fraction", xytext=(0, SMALL * LINE + 1), va="bottom",
                      textcoords="offset points", ha="center", fontsize=SMALL, color=colours.ink, weight="bold",
                      annotation_clip=False)  # fmt: skip


def _thinned(time: Floats, values: Floats, most: int = MOST) -> tuple[Floats, Floats]:
    """Lowest and highest of each of many parts, so that a long log draws soon and no peak is lost."""
    if time.size <= 2 * most:
        return time, values
    edges = np.linspace(0, time.size, most + 1).astype(int)
    with np.errstate(invalid="ignore"):
        lows = np.fmin.reduceat(values, edges[:-1])
        highs = np.fmax.reduceat(values, edges[:-1])
    # Lowest and highest in turn, up and down again, so that the line keeps together.
    pairs = np.stack([lows, highs], axis=1)
    pairs[1::2] = pairs[1::2, ::-1]
    at = time[edges[:-1]]
    half = (time[-1] - time[0]) / most / 2
    return np.stack([at, at + half], axis=1).reshape(-1), pairs.reshape(-1)


def _with_breaks(time: Floats, values: Floats, step: float) -> tuple[Floats, Floats]:
    """A not-a-number in each gap, so that no line is drawn across it."""
    gaps = np.flatnonzero(np.diff(time) > 1.5 * step)
    if not gaps.size:
        return time, values
    return np.insert(time, gaps + 1, time[gaps] + step), np.insert(values, gaps + 1, np.nan)


def _panel(
    axes: Any,
    logged: LoggedVisit,
    panel: Panel,
    units: UnitSystem,
    colours: Colours,
    low: float,
    high: float,
    most: int,
) -> None:
    """One panel: its lines, their names at the right, the stretches behind."""
    log = logged.log
    inside: NDArray[np.bool_] = (log.time >= low) & (log.time <= high)
    is_steady = logged.stretches.reason == COUNTS
    lines = []
    for index, (channel, name) in enumerate(panel.channels):
        if is_long(low, high):
            shown = _points(axes, logged, channel, panel.kind, units, colours, index, low, high)
        else:
            time, values = _with_breaks(log.time[inside], log.channels[channel][inside], log.step)
            shown = np.asarray(from_inside(values, panel.kind, units))
            x, y = _thinned(time, shown, most)
            axes.plot(_days(x), y, color=colours.series[index], linewidth=1.1, zorder=3 - 0.1 * index,
                      linestyle=colours.series_styles[index], solid_joinstyle="round")  # fmt: skip
        known = shown[np.isfinite(shown)]
        # Names stand where the line is in steady air.
        steady = np.asarray(from_inside(log.channels[channel][inside & is_steady], panel.kind, units))
        lines.append((name, known, index, float(np.median(steady if steady.size else known)) if known.size else 0.0))
    dress(axes, colours)
    axes.set_xlim(_days(low), _days(high))
    ends = [v for _, known, *_ in lines for v in (known.min(), known.max()) if known.size] if any(k.size for _, k, *_ in lines) else [0.0, 1.0]  # fmt: skip
    bottom, top = min(ends), max(ends)
    room = 0.06 * (top - bottom) or 1.0
    # Power and flow begin at nothing.
    bottom = min(0.0, bottom) if panel.kind in ("power", "volume_flow", "duct_pressure") else bottom - room
    axes.set_ylim(bottom, top + room)
    few_ticks(axes.yaxis, 4)
    unit = KINDS[panel.kind].display(units).label
    axes.set_ylabel(f"{panel.name}, {unit}", color=colours.ink, fontsize=SMALL, parse_math=False)
    # In one column for all panels.
    axes.yaxis.set_label_coords(-44 / points_of(axes)[0], 0.5)
    _bands(axes, logged, colours, low, high)
    _names(axes, lines, colours, as_points=is_long(low, high))


def is_long(low: float, high: float) -> bool:
    """Whether a part of a log [s] is too long for its minutes to be told apart."""
    return high - low > LONG


def _points(
    axes: Any, logged: LoggedVisit, channel: str, kind: str, units: UnitSystem, colours: Colours, index: int, low: float,
    high: float,
) -> Floats:  # fmt: skip
    """The means of the steady stretches as points; gives them back in the shown unit."""
    s = logged.stretches
    inside = (s.begin >= low) & (s.end <= high)
    if channel not in s.channels or not inside.any():
        return np.zeros(0)
    means: Floats = np.asarray(from_inside(s.channels[channel].mean[inside], kind, units))
    every = max(1, means.size // POINTS)
    axes.plot(_days((s.begin + s.end)[inside][::every] / 2), means[::every], linestyle="none", marker=MARKERS[index],
              markersize=2.2, markeredgewidth=0.0, color=colours.series[index], zorder=3 - 0.1 * index)  # fmt: skip
    return means


def _names(axes: Any, lines: list[tuple[str, Floats, int, float]], colours: Colours, *, as_points: bool) -> None:
    """Names of lines right of the panel, at the height that they have in steady air, each with a piece of its line."""
    wide, tall = points_of(axes)
    low, high = axes.get_ylim()
    known = [(n, i, at) for n, v, i, at in lines if v.size]
    wanted = [(at - low) / (high - low) * tall for *_, at in known]
    places = spread(wanted, [SMALL * LINE] * len(known), 0, tall)
    for (name, index, _), at in zip(known, places, strict=True):
        x, y = [1 + 5 / wide, 1 + 17 / wide], [at / tall] * 2
        look: dict[str, Any] = {"linewidth": 1.8 if colours.series_styles[index] == SOLID else 1.3,
                                "linestyle": colours.series_styles[index]}  # fmt: skip
        if as_points:
            x, y, look = [1 + 11 / wide], [at / tall], {"linestyle": "none", "marker": MARKERS[index], "markersize": 4}
        axes.plot(x, y, transform=axes.transAxes, clip_on=False, color=colours.series[index], **look)
        axes.annotate(name, (1.0, at / tall), xycoords="axes fraction", xytext=(20, 0), textcoords="offset points",
                      ha="left", va="center", fontsize=SMALL, color=colours.ink, annotation_clip=False)  # fmt: skip


def _time_scale(
    axes: Any, logged: LoggedVisit, colours: Colours, low: float, high: float, *, with_words: bool = True
) -> None:
    """Hours of a day or days of a month on the wall's clock, and below what they are of."""
    from datetime import UTC
    from zoneinfo import ZoneInfo

    import matplotlib.dates as dates
    from matplotlib.ticker import FuncFormatter

    # matplotlib's dates have no types.
    untyped: Any = dates

    zone = ZoneInfo(logged.log.zone) if logged.log.zone is not None else UTC
    span = high - low
    # Dates are longer than hours.
    locator = untyped.AutoDateLocator(tz=zone, minticks=3, maxticks=8 if span < 2 * DAY else 7)
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: _stamp(untyped.num2date(value, tz=zone), span)))
    axes.tick_params(axis="x", labelsize=SMALL)
    if not with_words:
        return
    first, last = (logged.log.wall_time(t)[:10] for t in (low, high - 1e-3))
    days = first if first == last else f"{first} to {last}"
    where = f", {logged.log.zone}" if logged.log.zone is not None else ""
    points = "\neach point is the mean of one steady stretch" if is_long(low, high) else ""
    axes.set_xlabel(f"Time, {days}{where}{points}", color=colours.ink, fontsize=LARGE, parse_math=False)


def _stamp(moment: Any, span: float) -> str:
    """A tick in words: the hour, at midnight the day, over long spans the month."""
    if span > 300 * DAY:
        return str(moment.strftime("%Y-%m"))
    if moment.hour == 0 and moment.minute == 0 and span > 1.2 * DAY:
        return str(moment.strftime("%m-%d"))
    return str(moment.strftime("%H:%M"))
