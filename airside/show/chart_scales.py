"""Scales of a psychrometric chart: dry bulb, humidity ratio, dew point, enthalpy; and what stands above it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from airside.air import properties
from airside.air.blocks import Array
from airside.air.coil_saturation import saturated_temperature_from_enthalpy
from airside.show.chart_lines import enthalpies, saturation_curve
from airside.show.chart_sheet import Sheet, Window, fine_steps, number, round_step, round_values
from airside.show.labels import text_size
from airside.units import KINDS, show, to_inside

# Room right of the chart for one scale with its numbers and heading [points, for text of the usual size].
HUMIDITY_RATIO_ROOM, DEW_POINT_ROOM = 52.0, 46.0
TICK, FINE_TICK, PAD = 4.0, 2.2, 3.5
# Height of a line of the caption, and of the numbers that stand above the chart [points].
CAPTION_LINE, LIFT = 13.0, 13.0


def draw_frame(sheet: Sheet) -> None:
    """Dry bulb below and humidity ratio at the right, with their numbers, finer ticks and a faint grid."""
    axes, window, colours = sheet.axes, sheet.window, sheet.colours
    axes.set_facecolor(colours.paper)
    for side, spine in axes.spines.items():
        spine.set_visible(side in ("bottom", "right"))
        spine.set_color(colours.ink)
        spine.set_linewidth(sheet.width(0.8))
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    across, up = round_step(x1 - x0, sheet.wide / 42), round_step(y1 - y0, sheet.high / 32)
    xs, ys = round_values(x0, x1, across), round_values(y0, y1, up)
    # The grid: dry bulbs up to saturation, humidity ratios from saturation on; the left edge closes it.
    edge = np.concatenate([xs, [x0]])
    high = np.minimum(window.y(window.saturated(window.celsius(edge))), y1)
    dew = np.asarray(window.x(properties.dew_point(np.maximum(window.ratio(ys), 1e-9), window.pressure)))
    grid = [[(x, y0), (x, y)] for x, y in zip(edge, high, strict=True)]
    grid += [[(d, y), (x1, y)] for d, y in zip(np.maximum(dew, x0), ys, strict=True) if d < x1]
    sheet.lines(grid, colors=colours.grid, linewidth=0.4, zorder=1.0, gid="grid")
    _draw_axis(sheet, xs, across, is_below=True)
    _draw_axis(sheet, ys, up, is_below=False)


def _draw_axis(sheet: Sheet, values: Array, step: float, *, is_below: bool) -> None:
    """Ticks, numbers and heading of the dry bulb below, or of the humidity ratio at the right.

    Drawn as one set of lines: matplotlib's own ticks, each a handful of objects, take longer than all
    lines of the chart.
    """
    axes, placer = sheet.axes, sheet.placer
    axis, kind = (axes.xaxis, "temperature") if is_below else (axes.yaxis, "humidity_ratio")
    limits, room = (axes.get_xlim(), sheet.wide) if is_below else (axes.get_ylim(), sheet.high)
    axis.set_ticks([])
    _, bottom, right, _ = placer.frame
    fine = next((f for f in fine_steps(step) if (limits[1] - limits[0]) / f * 4 <= room), step)
    for marks, length, gid in (
        (values, TICK, "ticks"),
        (round_values(limits[0], limits[1], fine), FINE_TICK, "finer ticks"),
    ):
        long = sheet.pixels(length)
        if is_below:
            at = placer.pixels(marks, np.zeros_like(marks))[:, 0]
            ticks = [((p, bottom), (p, bottom - long)) for p in at]
        else:
            at = placer.pixels(np.zeros_like(marks), marks)[:, 1]
            ticks = [((right, p), (right + long, p)) for p in at]
        _draw_ticks(sheet, ticks, gid)
        if marks is values:
            places = at
    size, away, widest = sheet.points(9), sheet.pixels(TICK + PAD), 0.0
    for value, p in zip(values, places, strict=True):
        text = number(value, step)
        widest = max(widest, text_size(text, size)[0])
        x, y, align = (p, bottom - away - sheet.pixels(4), "center") if is_below else (right + away, p, "left")
        placer.write(x, y, text, points=size, colour=sheet.colours.ink, align=align, group=kind.replace("_", " "))
    unit = KINDS[kind].display(sheet.window.units).label
    heading = f"Dry bulb, {unit}" if is_below else f"Humidity ratio, {unit} dry air"
    beyond = sheet.points(TICK + PAD + 3) + (sheet.points(9) if is_below else widest)
    axis.set_label_text(heading, color=sheet.colours.ink, fontsize=sheet.points(10))
    axis.labelpad = beyond
    if not is_below:
        axis.set_label_position("right")


def _draw_ticks(sheet: Sheet, ticks: Sequence[Any], gid: str, width: float = 0.7) -> None:
    """Draw ticks given in pixels."""
    if len(ticks):
        segments = list(sheet.placer.data(np.array(ticks)))
        sheet.lines(segments, colors=sheet.colours.ink, linewidth=width, zorder=3.2, clip=False, gid=gid)


# -- dew point --------------------------------------------------------------------------------------


def draw_dew_points(sheet: Sheet) -> None:
    """A second scale right of that of the humidity ratio: the dew point of each at this pressure."""
    window = sheet.window
    _, bottom, right, top = sheet.placer.frame
    line = right + sheet.pixels(HUMIDITY_RATIO_ROOM)
    ends = np.asarray(window.x(properties.dew_point(np.array([max(window.bottom, 2e-4), window.top]), window.pressure)))
    shown, places = _dew_points(sheet, ends, sheet.pixels(14))
    fine = _dew_points(sheet, ends, sheet.pixels(3.2))[1]
    _draw_ticks(
        sheet, [((line, bottom), (line, top))] + [((line, y), (line + sheet.pixels(TICK), y)) for y in places],
        "dew point",
    )  # fmt: skip
    _draw_ticks(sheet, [((line, y), (line + sheet.pixels(FINE_TICK), y)) for y in fine], "finer dew points")
    texts = [number(v, 1.0) for v in shown]
    for text, y in zip(texts, places, strict=True):
        sheet.placer.write(line + sheet.pixels(TICK + PAD), y, text, points=sheet.points(9), colour=sheet.colours.ink,
                           align="left", group="dew point")  # fmt: skip
    widest = max((text_size(t, sheet.points(9))[0] for t in texts), default=0.0)
    unit = KINDS["temperature"].display(window.units).label
    middle = line + sheet.pixels(TICK + PAD + 4 + 5) + widest * sheet.placer.pixels_per_point
    sheet.axes.text(
        *sheet.placer.data((middle, (bottom + top) / 2)), f"Dew point, {unit}", rotation=90, ha="center", va="center",
        color=sheet.colours.ink, fontsize=sheet.points(10), gid="heading",
    )  # fmt: skip


def _dew_points(sheet: Sheet, ends: Array, apart: float) -> tuple[Array, Array]:
    """Round dew points in the shown unit and their heights in pixels, no closer than some pixels.

    Dew points lie close together where the air is dry: between two tens the step is 1, 2, 5 or 10,
    the finest that has room there.
    """
    tens = np.arange(np.floor(ends[0] / 10), np.ceil(ends[1] / 10)) * 10.0
    steps = np.array([1.0, 2.0, 5.0])
    # Saturation grows ever steeper: the lowest gap of a span is its narrowest.
    low, next_ones = (_dew_heights(sheet, v) for v in (tens[:, None], tens[:, None] + steps))
    fits = next_ones - low >= apart
    values = [
        t + np.arange(0.0, 10.0, steps[int(np.argmax(row))] if row.any() else 10.0)
        for t, row in zip(tens, fits, strict=True)
    ]
    shown = np.append(np.concatenate(values), tens[-1] + 10.0)
    shown = shown[(shown >= ends[0] - 1e-9) & (shown <= ends[1] + 1e-9)]
    places = _dew_heights(sheet, shown)
    # From the top down, so that what is left out is at the dry end.
    kept: list[int] = []
    for i in range(len(shown) - 1, -1, -1):
        if not kept or places[kept[-1]] - places[i] >= apart:
            kept.append(i)
    return shown[kept], places[kept]


def _dew_heights(sheet: Sheet, shown: Array) -> Array:
    """Heights in pixels of dew points in the shown unit."""
    w = sheet.window.saturated(sheet.window.celsius(shown))
    return sheet.place(np.zeros(w.size), w.reshape(-1))[:, 1].reshape(w.shape)


# -- enthalpy ---------------------------------------------------------------------------------------


def enthalpy_places(window: Window, enthalpy: Array) -> tuple[Array, Array, Any]:
    """Where lines of enthalpy [J/kg] leave a window up and to the left.

    Along saturation, or where saturation is not seen along the window's left edge and its top.

    Returns
    -------
    tuple of arrays
        Dry bulb [°C], humidity ratio [kg/kg], and whether the line leaves through the top.
    """
    t = np.asarray(saturated_temperature_from_enthalpy(enthalpy, window.pressure))
    w = window.saturated(t)
    left = t < window.low
    t = np.where(left, window.low, t)
    at_left = (enthalpy - properties.SPECIFIC_HEAT_DRY_AIR * window.low) / (
        properties.EVAPORATION_HEAT + properties.SPECIFIC_HEAT_VAPOUR * window.low
    )
    w = np.where(left, at_left, w)
    above = w > window.top
    w = np.where(above, window.top, w)
    t = np.where(above, np.asarray(properties.dry_bulb_from_enthalpy(enthalpy, window.top)), t)
    return t, w, above


def draw_enthalpies(sheet: Sheet) -> bool:
    """Ticks that go on from the lines of enthalpy beyond saturation, with their numbers; whether some stand above the top."""
    window = sheet.window
    h_low, h_high = (
        float(properties.enthalpy(t, w)) for t, w in ((window.low, window.bottom), (window.high, window.top))
    )
    path = _boundary_length(sheet)
    span = float(window.heat(h_high)) - float(window.heat(h_low))
    step = max(round_step(span, path / sheet.pixels(40)), 1.0)
    ticks: list[Any] = []
    over = False
    for fine in (True, False):
        shown = enthalpies(window, fine_steps(step)[-1] if fine else step)
        if fine:
            shown = shown[np.abs(shown / step - np.round(shown / step)) > 1e-6]
        h = np.asarray(to_inside(shown, "enthalpy", window.units))
        t, w, above = enthalpy_places(window, h)
        keep = (t <= window.high) & (w >= window.bottom) & (t >= window.low - 1e-9)
        shown, h, t, w, above = (a[keep] for a in (shown, h, t, w, above))
        start = sheet.place(t, w)
        ahead = sheet.place(properties.dry_bulb_from_enthalpy(h, w + 1e-4), w + 1e-4) - start
        ahead /= np.hypot(*ahead.T)[:, None]
        end = start + ahead * sheet.pixels(3.5 if fine else 7.0)
        if fine:
            if len(start) > 1 and np.hypot(*np.diff(start, axis=0).T).min() >= sheet.pixels(3.0):
                _draw_ticks(sheet, list(zip(start, end, strict=True)), "finer enthalpies", 0.5)
            continue
        for value, a, b, u, is_above in zip(shown, start, end, ahead, above, strict=True):
            over |= _enthalpy_number(sheet, number(value, step), a, b, u, bool(is_above), ticks)
    _draw_ticks(sheet, ticks, "enthalpy")
    return over


def _enthalpy_number(sheet: Sheet, text: str, a: Array, b: Array, u: Array, above: bool, ticks: list[Any]) -> bool:
    """One tick and its number; whether it stands above the chart."""
    size = sheet.points(8)
    width, height = text_size(text, size)
    unit = sheet.placer.pixels_per_point
    half = np.array([width, height * 0.8]) / 2 * unit
    # The number's nearest edge is a little beyond the tick's end.
    middle = b + u * (sheet.pixels(2.5) + min(half[0] / max(abs(u[0]), 1e-9), half[1] / max(abs(u[1]), 1e-9)))
    ticks.append((a, b))
    if not sheet.placer.free(middle[0], middle[1], half[0], half[1], sheet.pixels(1), inside=False):
        return False
    sheet.placer.block(middle[0], middle[1], half[0], half[1], sheet.pixels(2), text=True)
    sheet.placer.block(b[0], b[1], radius=sheet.pixels(3))
    sheet.placer.write(middle[0], middle[1], text, points=size, colour=sheet.colours.ink, group="enthalpy scale")
    return above


def _boundary_length(sheet: Sheet) -> float:
    """Length in pixels of the edge that the scale of enthalpy runs along."""
    window = sheet.window
    curve = saturation_curve(window)
    seen = curve.humidity_ratio <= window.top * (1 + 1e-9)
    places = sheet.place(curve.dry_bulb[seen], curve.humidity_ratio[seen])
    left, _, right, _ = sheet.placer.frame
    along = float(np.hypot(*np.diff(places, axis=0).T).sum()) if len(places) > 1 else 0.0
    reaches = float(places[-1, 0]) if len(places) else left
    return float(along + max(0.0, right - reaches) + sheet.pixels(1))


def draw_enthalpy_heading(sheet: Sheet, over: bool) -> None:
    """The heading along the saturation curve, outside the numbers; above the chart where there is no room."""
    unit = KINDS["enthalpy"].display(sheet.window.units).label
    size = sheet.points(9)
    _, _, right, top = sheet.placer.frame
    for text in (f"Enthalpy, {unit} dry air", f"Enthalpy, {unit}"):
        found = _beside_saturation(sheet, text_size(text, size)[0] * sheet.placer.pixels_per_point)
        if found is not None:
            x, y, turn = found
            sheet.placer.write(x, y, text, points=size, colour=sheet.colours.ink, turn=turn, group="heading")
            return
    lift = 10.0 + (LIFT if over else 0.0)
    sheet.placer.write(right, top + sheet.pixels(lift), f"Enthalpy, {unit} dry air", points=size,
                       colour=sheet.colours.ink, align="right", group="heading")  # fmt: skip


def _beside_saturation(sheet: Sheet, long: float) -> tuple[float, float, float] | None:
    """Middle and angle of room for a text of some pixels along the saturation curve, outside its numbers."""
    curve = saturation_curve(sheet.window)
    seen = curve.humidity_ratio <= sheet.window.top * (1 + 1e-9)
    places = sheet.place(curve.dry_bulb[seen], curve.humidity_ratio[seen])
    if len(places) < 3:
        return None
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(places, axis=0).T))])
    discs, radius = np.linspace(-long / 2, long / 2, 24), 0.62 * sheet.pixels(9)
    for away in (30.0, 36.0, 44.0, 54.0):
        for fraction in (0.6, 0.5, 0.7, 0.4, 0.8, 0.3):
            at = fraction * length[-1]
            if not long / 2 <= at <= length[-1] - long / 2:
                continue
            first, last = (
                np.array([np.interp(at + d, length, places[:, i]) for i in (0, 1)]) for d in (-long / 2, long / 2)
            )
            along = (last - first) / np.hypot(*(last - first))
            middle = (first + last) / 2 + np.array([-along[1], along[0]]) * sheet.pixels(away)
            row = middle + discs[:, None] * along
            if sheet.placer.free(row[:, 0], row[:, 1], radius=radius).all():
                sheet.placer.block(row[:, 0], row[:, 1], radius=radius)
                return float(middle[0]), float(middle[1]), float(np.arctan2(along[1], along[0]))
    return None


# -- above the chart --------------------------------------------------------------------------------


def caption_room(title: str, notes: Sequence[str], lift: float) -> float:
    """Height that `draw_caption` needs above the chart [points, for text of the usual size]."""
    return 10.0 + lift + CAPTION_LINE * (1 + len(notes)) + (20.0 if title else 0.0)


def draw_caption(sheet: Sheet, title: str, notes: Sequence[str] = (), *, lift: float = 0.0) -> None:
    """Title, and below it what air the chart is for; lifted by some points where a scale stands above the chart."""
    axes, window, colours = sheet.axes, sheet.window, sheet.colours
    lines = [f"Moist air at {show(window.pressure, 'barometric_pressure', window.units)}", *notes]
    size = sheet.points(9)
    left, _, _, top = sheet.placer.frame
    for i, line in enumerate(reversed(lines)):
        sheet.placer.write(left, top + sheet.pixels(9 + lift + CAPTION_LINE * i), line, points=size, colour=colours.faint,
                           align="left", group="caption")  # fmt: skip
    shown, title_size = _fitted(sheet, title)
    # A name may hold dollar signs, which matplotlib would take for mathematics.
    axes.set_title(shown, loc="left", color=colours.ink, fontsize=title_size, parse_math=False,
                   pad=sheet.points(8 + lift + CAPTION_LINE * len(lines)))  # fmt: skip


def _fitted(sheet: Sheet, title: str) -> tuple[str, float]:
    """A title and its font size so that it does not run out of the picture: smaller, then shortened."""
    if not title:
        return title, sheet.points(12)
    # Letters set for the screen run wider by a few percent than measured.
    room = 0.94 * (sheet.axes.figure.bbox.width - sheet.placer.frame[0]) / sheet.placer.pixels_per_point
    size = sheet.points(12)
    size = max(size * min(1.0, room / text_size(title, size)[0]), sheet.points(9))
    shown = title
    while len(shown) > 1 and text_size(shown, size)[0] > room:
        shown = f"{shown[: min(int(len(shown) * room / text_size(shown, size)[0]), len(shown) - 2)].rstrip()}…"
    return shown, size
