"""What is measured, on a psychrometric chart: states, processes, mixing, coil lines, and how well states are known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array
from airside.air.state import MoistAir
from airside.show.chart_doubt import SHARE, Doubt, block_ellipse, draw_cloud, draw_doubt, ellipse, points_of
from airside.show.chart_sheet import Sheet
from airside.show.palette import DOTTED, MARKERS, Colours
from airside.units import UnitSystem, percent, show


@dataclass(frozen=True)
class Process:
    """A change of state to draw: an arrow from one state to another.

    Attributes
    ----------
    start, end : MoistAir
        Scalar states.
    name : str
        Shown in the legend.
    start_name, end_name : str
        Shown at the states.
    apparatus_dew_point : MoistAir, optional
        The saturated state that a coil's line meets: drawn dotted on from the end.
    start_draws, end_draws : MoistAir, optional
        Draws of the states, arrays: how well they are known.
    """

    start: MoistAir
    end: MoistAir
    name: str = ""
    start_name: str = "return"
    end_name: str = "supply"
    apparatus_dew_point: MoistAir | None = None
    start_draws: MoistAir | None = None
    end_draws: MoistAir | None = None


@dataclass(frozen=True)
class Mixing:
    """Two streams that mix: arrows from both to the mixed state, which lies between them.

    Attributes
    ----------
    first, second, mixed : MoistAir
        Scalar states; `airside.air.process.mix` gives the mixed one.
    name : str
        Shown in the legend.
    first_name, second_name, mixed_name : str
        Shown at the states.
    """

    first: MoistAir
    second: MoistAir
    mixed: MoistAir
    name: str = ""
    first_name: str = "outdoor"
    second_name: str = "return"
    mixed_name: str = "mixed"


@dataclass(frozen=True)
class Mark:
    """One named state of a series."""

    state: MoistAir
    name: str
    is_open: bool = False


@dataclass(frozen=True)
class Series:
    """What is drawn in one colour: marks, arrows and dotted lines between them, draws, a path or cloud of states."""

    name: str
    marks: tuple[Mark, ...] = ()
    arrows: tuple[tuple[int, int], ...] = ()
    dotted: tuple[tuple[int, int], ...] = ()
    draws: tuple[MoistAir, ...] = ()
    many: MoistAir | None = None


@dataclass
class _Label:
    """What is to be written at one place."""

    x: float
    y: float
    names: list[str]
    state: MoistAir
    series: int = 0
    lines: list[str] = field(default_factory=list)


def _is_array(state: MoistAir) -> bool:
    return any(np.ndim(v) for v in (state.dry_bulb, state.humidity_ratio, state.pressure))


def _single(state: MoistAir, name: str) -> None:
    if _is_array(state):
        raise ValueError(
            f"{name or 'a state of a process'} is an array; a process runs between single states. Give draws as "
            "start_draws and end_draws, and arrays of states as states=."
        )
    if not (np.isfinite(state.dry_bulb) and np.isfinite(state.humidity_ratio)):
        raise ValueError(f"{name or 'a state'} is not a number; leave out what is not known.")


def series_of(processes: Sequence[Process | Mixing], states: Sequence[tuple[str, MoistAir]]) -> list[Series]:
    """Everything to draw, one after the other.

    Raises
    ------
    ValueError
        A process between arrays, or a single state that is not a number.
    """
    found = []
    marks: tuple[Mark, ...]
    for process in processes:
        if isinstance(process, Mixing):
            marks = (Mark(process.first, process.first_name), Mark(process.second, process.second_name),
                     Mark(process.mixed, process.mixed_name, is_open=True))  # fmt: skip
            series = Series(process.name, marks, arrows=((0, 2), (1, 2)))
        else:
            marks = (Mark(process.start, process.start_name), Mark(process.end, process.end_name))
            apparatus = process.apparatus_dew_point
            if apparatus is not None:
                marks = (*marks, Mark(apparatus, "apparatus dew point", is_open=True))
            draws = tuple(d for d in (process.start_draws, process.end_draws) if d is not None)
            series = Series(process.name, marks, ((0, 1),), ((1, 2),) if apparatus is not None else (), draws)
        for mark in series.marks:
            _single(mark.state, mark.name)
        found.append(series)
    for name, state in states:
        if _is_array(state):
            found.append(Series(name, many=state))
        else:
            _single(state, name)
            found.append(Series("", (Mark(state, name),)))
    return found


def extents_of(series: Sequence[Series], doubt: Doubt) -> list[tuple[Array, Array]]:
    """Least and most [°C, kg/kg] of what is drawn around states: ellipses, or the clouds' middle 99 %."""
    found = []
    for draws in (d for s in series for d in s.draws):
        if doubt == "ellipse" and (shape := ellipse(draws)) is not None:
            reach = np.sqrt((shape[1] ** 2).sum(axis=1))
            found.append((shape[0] - reach, shape[0] + reach))
        elif doubt == "cloud" and len(points := points_of(draws)):
            found.append((np.quantile(points, 0.005, axis=0), np.quantile(points, 0.995, axis=0)))
    return found


# -- drawing ----------------------------------------------------------------------------------------


def draw_series(sheet: Sheet, series: Sequence[Series], doubt: Doubt, arrays: Literal["path", "cloud"]) -> list[_Label]:
    """Draw everything but the texts; give the texts to write."""
    labels: list[_Label] = []
    for index, one in enumerate(series):
        colour, style, marker = _look(sheet.colours, index)
        for draws in one.draws:
            draw_doubt(sheet, draws, doubt, colour, style)
        if one.many is not None:
            _draw_many(sheet, one, index, arrays, labels)
        ends = [_shown(sheet, mark.state) for mark in one.marks]
        for a, b in one.arrows:
            _draw_arrow(sheet, ends[a], ends[b], colour, style, one.marks[b].is_open)
        for a, b in one.dotted:
            x, y = zip(ends[a], ends[b], strict=True)
            sheet.line(x, y, color=colour, linestyle=DOTTED, linewidth=1.5, zorder=3.6, gid="coil line")
            sheet.placer.block_line(x, y, margin=sheet.pixels(3))
        for is_open in (False, True):
            places = [e for e, mark in zip(ends, one.marks, strict=True) if mark.is_open == is_open]
            if places:
                sheet.line(
                    *zip(*places, strict=True), linestyle="none", marker=marker, markersize=7.5,
                    color=sheet.colours.paper if is_open else colour, zorder=5, gid="states", clip=False,
                    markeredgecolor=colour if is_open else sheet.colours.paper,
                    markeredgewidth=1.6 if is_open else 0.8,
                )  # fmt: skip
        for place, mark in zip(ends, one.marks, strict=True):
            _add(sheet, labels, _Label(*place, [mark.name], mark.state, index))
    for label in labels:
        ((px, py),) = sheet.placer.pixels(label.x, label.y)
        sheet.placer.block(px, py, radius=sheet.pixels(6))
    return labels


def write_labels(sheet: Sheet, labels: Sequence[_Label]) -> None:
    """Write the texts at the states, each where there is room."""
    for label in labels:
        colour, style, _ = _look(sheet.colours, label.series)
        lines = label.lines or state_lines(label.state, sheet.window.units)
        name = ", ".join(n for n in label.names if n)
        full = [*([name] if name else []), *lines]
        # In a small chart less is written; the least is the name, or the dry bulb of a state without one.
        forms = ["\n".join(full[:count]) for count in range(len(full), 0, -1)]
        sheet.placer.at_point(
            label.x, label.y, forms, points=sheet.points(9), colour=colour, paper=sheet.colours.paper,
            ink=sheet.colours.ink, style=style, clear=sheet.text_scale * 5.0,
        )  # fmt: skip


def state_lines(state: MoistAir, units: UnitSystem) -> list[str]:
    """What is written of a state: dry bulb, relative humidity, wet bulb."""
    dry_bulb, humidity = show(float(state.dry_bulb), "temperature", units), float(state.relative_humidity)
    if humidity > 0.9995:
        return [f"{dry_bulb}, saturated"]
    return [f"{dry_bulb}, {percent(humidity, 0)} RH", f"{show(float(state.wet_bulb), 'temperature', units)} wet bulb"]


def _look(colours: Colours, index: int) -> tuple[str, Any, str]:
    """Colour, line style and marker of a series."""
    count = len(colours.series)
    return colours.series[index % count], colours.series_styles[index % count], MARKERS[index % len(MARKERS)]


def _shown(sheet: Sheet, state: MoistAir) -> tuple[float, float]:
    return float(sheet.window.x(state.dry_bulb)), float(sheet.window.y(state.humidity_ratio))


def _add(sheet: Sheet, labels: list[_Label], new: _Label) -> None:
    """Add what is to be written; states at one place share a frame."""
    here = sheet.placer.pixels(new.x, new.y)
    for label in labels:
        if not label.lines and np.hypot(*(sheet.placer.pixels(label.x, label.y) - here)[0]) < sheet.pixels(1.5):
            label.names += [n for n in new.names if n not in label.names]
            return
    labels.append(new)


def _draw_arrow(
    sheet: Sheet, start: tuple[float, float], end: tuple[float, float], colour: str, style: Any, in_the_middle: bool
) -> None:
    """A line between two states with a head before the end: short of it where the other stream meets it."""
    (x0, y0), (x1, y1) = start, end
    sheet.line([x0, x1], [y0, y1], color=colour, linestyle=style, linewidth=1.8, zorder=4, gid="process")
    sheet.placer.block_line([x0, x1], [y0, y1], margin=sheet.pixels(3.5))
    a, b = sheet.placer.pixels(x0, y0)[0], sheet.placer.pixels(x1, y1)[0]
    length = float(np.hypot(*(b - a)))
    size = sheet.pixels(8)
    if length < 2.5 * size:
        return
    along = (b - a) / length
    across = np.array([-along[1], along[0]])
    tip = b - along * (length * 0.35 if in_the_middle else sheet.pixels(4.5))
    corners = np.array([tip, tip - along * size + across * size * 0.36, tip - along * size - across * size * 0.36])
    sheet.area(*sheet.placer.data(corners).T, facecolor=colour, zorder=4.2, gid="arrow head")


def _draw_many(sheet: Sheet, one: Series, index: int, arrays: str, labels: list[_Label]) -> None:
    """States in a row as a path from the first to the last, or as a cloud."""
    assert one.many is not None
    colour, style, marker = _look(sheet.colours, index)
    points = points_of(one.many)
    if not len(points):
        return
    x, y = sheet.window.x(points[:, 0]), sheet.window.y(points[:, 1])
    middle = MoistAir(float(points[-1, 0]), float(points[-1, 1]), sheet.window.pressure)
    if arrays == "cloud":
        draw_cloud(sheet, points, colour)
        if (shape := ellipse(one.many)) is not None:
            block_ellipse(sheet, shape)
        at = np.median(points, axis=0)
        place = float(sheet.window.x(at[0])), float(sheet.window.y(at[1]))
        labels.append(_Label(*place, [one.name], middle, index, [f"{len(points):,} states"]))
        return
    sheet.line(x, y, color=colour, linestyle=style, linewidth=1.3, zorder=4, gid="path")
    step = max(1, math.ceil(len(points) / 60))
    sheet.line(x[::step], y[::step], linestyle="none", marker=".", markersize=4, color=colour, zorder=4.1)
    sheet.placer.block_line(x[::step], y[::step], margin=sheet.pixels(3.5))
    ends = sheet.placer.pixels(x[[0, -1]], y[[0, -1]])
    said = [f"{one.name}, first", f"{one.name}, last"]
    if np.hypot(*(ends[1] - ends[0])) < sheet.pixels(1.5):
        said = ["", f"{one.name}, first and last" if len(points) > 1 else one.name]
    for k, is_open, name in ((0, True, said[0]), (-1, False, said[1])):
        sheet.line(x[k], y[k], linestyle="none", marker=marker, markersize=7, markeredgewidth=1.4, zorder=5,
                   color=sheet.colours.paper if is_open else colour, markeredgecolor=colour, gid="states")  # fmt: skip
        if name:
            state = MoistAir(float(points[k, 0]), float(points[k, 1]), sheet.window.pressure)
            _add(sheet, labels, _Label(float(x[k]), float(y[k]), [name.removeprefix(", ")], state, index))


def draw_legend(sheet: Sheet, series: Sequence[Series], doubt: Doubt) -> None:
    """What each colour and marker is, and what the ellipses or clouds are; in the corner without air."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    colours = sheet.colours
    handles: list[Any] = []
    for index, one in enumerate(series):
        colour, style, marker = _look(colours, index)
        if one.name and one.many is None:
            handles.append(Line2D([], [], color=colour, linestyle=style, marker=marker, markersize=sheet.points(6),
                                  linewidth=sheet.width(1.8), label=one.name))  # fmt: skip
    if doubt == "ellipse" and any(ellipse(d) is not None for s in series for d in s.draws):
        handles.append(Patch(facecolor=colours.faint, alpha=0.4, label=f"{percent(SHARE)} region of a state"))
    elif doubt == "cloud" and any(s.draws for s in series):
        handles.append(Line2D([], [], linestyle="none", marker=".", color=colours.faint, label="draws of a state"))
    if not handles:
        return
    legend = sheet.axes.legend(handles=handles, loc="upper left", frameon=False, fontsize=sheet.points(9),
                               labelcolor=colours.ink, borderaxespad=0.3, handlelength=2.8)  # fmt: skip
    legend.set_zorder(7)
    for text in legend.get_texts():
        text.set_parse_math(False)
    box = legend.get_window_extent()
    wide, high = box.width / 2, box.height / 2
    if not sheet.placer.free(box.x0 + wide, box.y0 + high, wide, high, inside=False):
        legend.set_frame_on(True)
        legend.get_frame().set(facecolor=colours.paper, edgecolor=colours.grid, alpha=1.0)
    sheet.placer.block_box(box.x0, box.y0, box.x1, box.y1, sheet.pixels(3))
