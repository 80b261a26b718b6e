"""The psychrometric chart: matplotlib, any pressure, IP or SI, a window on the states or the full chart.

Dry bulb runs to the right, humidity ratio upwards with its scale on the right. Every line is
computed by `airside.air.properties`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.blocks import Array
from airside.air.state import MoistAir
from airside.show.labels import LabelPlacer
from airside.show.palette import MARKERS, THEMES, Colours, Theme
from airside.units import KINDS, SYSTEMS, UnitSystem, from_inside, percent, show

# Full chart: least and most dry bulb [°C] and humidity ratio [kg/kg]; as wide as air conditioning needs.
FULL = (-10.0, 50.0, 0.0, 0.030)
RELATIVE_HUMIDITIES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)


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
    """

    start: MoistAir
    end: MoistAir
    name: str = ""
    start_name: str = "return"
    end_name: str = "supply"


@dataclass(frozen=True)
class _Window:
    """Limits in SI and the scales to the shown units."""

    low: float
    high: float
    bottom: float
    top: float
    units: UnitSystem
    pressure: float

    def x(self, dry_bulb: Any) -> Any:
        return from_inside(dry_bulb, "temperature", self.units)

    def y(self, humidity_ratio: Any) -> Any:
        return from_inside(humidity_ratio, "humidity_ratio", self.units)


def _round_step(span: float, count: int, steps: Sequence[float]) -> float:
    return next((s for s in steps if span / s <= count), steps[-1])


def _window(states: Sequence[MoistAir], units: UnitSystem, view: str, pressure: float) -> _Window:
    if view == "full" or not states:
        return _Window(*FULL, units, pressure)
    t = np.array([float(s.dry_bulb) for s in states])
    w = np.array([float(s.humidity_ratio) for s in states])
    spread = max(float(np.ptp(t)), 6.0)
    low, high = float(t.min()) - 0.55 * spread, float(t.max()) + 0.5 * spread
    # Leave room above for the saturation curve over the coldest state, and for the labels.
    top = max(float(w.max()) * 1.35, float(properties.saturation_humidity_ratio(float(t.min()), pressure)) * 1.25)
    return _Window(low, high, max(0.0, 0.45 * float(w.min())), top, units, pressure)


def psychrometric_chart(
    processes: Sequence[Process] = (),
    *,
    states: Sequence[tuple[str, MoistAir]] = (),
    pressure: float | None = None,
    units: UnitSystem = "SI",
    view: Literal["states", "full"] = "states",
    theme: Theme = "light",
    title: str = "",
    axes: Any = None,
) -> Any:
    """Draw a psychrometric chart.

    Parameters
    ----------
    processes : sequence of Process
        Drawn as arrows; each series has its own colour and marker.
    states : sequence of (str, MoistAir)
        Further states, named.
    pressure : float [Pa], optional
        Default: that of the first state, else sea level.
    units : "IP" or "SI"
    view : "states" or "full"
        A window on the states, or the whole chart.
    theme : "light" or "dark"
    title : str
    axes : matplotlib Axes, optional
        Drawn into; by default a figure of 9 by 6 inches is made.

    Returns
    -------
    matplotlib Axes
        In a notebook, ``.figure`` shows the picture.
    """
    for value, known, name in (
        (theme, tuple(THEMES), "theme"),
        (units, SYSTEMS, "units"),
        (view, ("states", "full"), "view"),
    ):
        if value not in known:
            raise ValueError(f"{name} is {value!r}; expected one of {', '.join(map(repr, known))}")
    colours = THEMES[theme]
    shown = [s for p in processes for s in (p.start, p.end)] + [s for _, s in states]
    if any(np.ndim(s.dry_bulb) or np.ndim(s.humidity_ratio) for s in shown):
        raise ValueError("the chart draws single states; give the elements of an array one by one")
    if pressure is None:
        pressure = float(shown[0].pressure) if shown else SEA_LEVEL_PRESSURE
    if axes is None:
        axes = new_axes(colours)
    window = _window(shown, units, view, pressure)
    axes.set_xlim(window.x(window.low), window.x(window.high))
    axes.set_ylim(window.y(window.bottom), window.y(window.top))
    _dress(axes, window, colours, title)
    placer = LabelPlacer(axes)
    _draw_legend(axes, placer, colours, processes)
    _draw_processes(axes, window, placer, colours, processes, states)
    _draw_lines(axes, window, placer, colours)
    return axes


def new_axes(colours: Colours, size: tuple[float, float] = (9.0, 6.0)) -> Any:
    """An Axes on a figure of its own; no pyplot, so nothing is kept open."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=size, facecolor=colours.paper, layout=None)
    FigureCanvasAgg(figure)
    return figure.add_axes((0.06, 0.10, 0.85, 0.80))


def _dress(axes: Any, window: _Window, colours: Colours, title: str) -> None:
    axes.set_facecolor(colours.paper)
    axes.yaxis.tick_right()
    axes.yaxis.set_label_position("right")
    unit_t = KINDS["temperature"].display(window.units).label
    unit_w = KINDS["humidity_ratio"].display(window.units).label
    axes.set_xlabel(f"Dry bulb, {unit_t}", color=colours.ink)
    axes.set_ylabel(f"Humidity ratio, {unit_w} dry air", color=colours.ink)
    axes.tick_params(colors=colours.ink, labelsize=9)
    for side, spine in axes.spines.items():
        spine.set_visible(side in ("bottom", "right"))
        spine.set_color(colours.ink)
    at = f"{show(window.pressure, 'barometric_pressure', window.units)}"
    # A name may hold dollar signs, which matplotlib would take for mathematics.
    axes.set_title(f"{title}\n" if title else "", loc="left", color=colours.ink, fontsize=12, parse_math=False)
    axes.text(0.0, 1.015, f"Moist air at {at}", transform=axes.transAxes, fontsize=9, color=colours.faint, va="bottom")


def _saturated(window: _Window, count: int = 200) -> tuple[Array, Array]:
    t = np.linspace(window.low, window.high, count)
    return t, np.asarray(properties.saturation_humidity_ratio(t, window.pressure))


def _draw_lines(axes: Any, window: _Window, placer: LabelPlacer, colours: Colours) -> None:
    from matplotlib.collections import LineCollection

    t, saturated = _saturated(window)
    axes.plot(window.x(t), window.y(saturated), color=colours.ink, linewidth=1.8, zorder=3)
    placer.block_line(window.x(t), window.y(np.minimum(saturated, window.top)), margin=3)
    # Above saturation there is no moist air: leave that corner blank.
    axes.fill_between(
        window.x(t), window.y(saturated), window.y(max(window.top, float(saturated.max()))) * 1.2,
        color=colours.paper, zorder=2.9, linewidth=0,
    )  # fmt: skip
    saturation = properties.saturation_pressure(t)
    humidity = []
    for rh in RELATIVE_HUMIDITIES:
        w = np.asarray(properties.humidity_ratio_from_vapour_pressure(rh * saturation, window.pressure))
        humidity.append((window.x(t), window.y(w), f"{rh * 100:.0f} %"))
    wet = list(_wet_bulb_lines(window))
    volume = list(_volume_lines(window))
    for lines, colour, style, width in (
        (humidity, colours.grid, "solid", 0.9),
        (wet, colours.wet_bulb, (0, (6, 3)), 0.8),
        (volume, colours.volume, (0, (1.5, 2.5)), 0.9),
    ):
        axes.add_collection(
            LineCollection([np.column_stack(line[:2]) for line in lines], colors=colour, linestyles=[style],
                           linewidths=width, zorder=1.5), autolim=False,
        )  # fmt: skip
    inner = (0.72, 0.6, 0.85, 0.5, 0.4, 0.92, 0.3)
    for x, y, text in humidity:
        placer.on_line(x, y, text, points=8, colour=colours.faint, paper=colours.paper, fractions=inner)
    for x, y, text in wet:
        placer.on_line(x, y, text, points=8, colour=colours.wet_bulb if colours.ink != "#1A1A1A" else "#2E6F95",
                       paper=colours.paper, fractions=(0.14, 0.2, 0.28, 0.4, 0.55, 0.7, 0.85))  # fmt: skip
    for x, y, text in volume:
        placer.on_line(x, y, text, points=8, colour=colours.volume if colours.ink != "#1A1A1A" else "#7A5F28",
                       paper=colours.paper, fractions=(0.8, 0.7, 0.9, 0.6, 0.5, 0.35, 0.2))  # fmt: skip


def _wet_bulb_lines(window: _Window) -> Any:
    """Lines of one wet bulb from saturation to dry air: (x, y, label)."""
    unit = KINDS["temperature"].display(window.units).label
    low, high = float(window.x(window.low)), float(window.x(window.high))
    step = _round_step(high - low, 13, (1, 2, 5, 10, 20))
    for shown in np.arange(np.ceil(low / step) * step, high, step):
        celsius = (shown - 32) / 1.8 if window.units == "IP" else shown
        t = np.linspace(celsius, window.high, 24)
        w = np.asarray(properties.humidity_ratio_from_wet_bulb(t, celsius, window.pressure, impossible="nan"))
        keep = np.isfinite(w) & (w >= 0)
        if keep.sum() > 1:
            yield window.x(t[keep]), window.y(w[keep]), f"{shown:.0f} {unit} wet bulb"


def _volume_lines(window: _Window) -> Any:
    """Lines of one specific volume: (x, y, label)."""
    kind = KINDS["specific_volume"].display(window.units)
    t = np.array([window.low, window.high])
    dry = np.asarray(properties.specific_volume(t, 0.0, window.pressure))
    wet = float(properties.specific_volume(window.high, window.top, window.pressure))
    low, high = (float(from_inside(v, "specific_volume", window.units)) for v in (dry[0], wet))
    step = _round_step(high - low, 6, (0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0))
    scale = float(from_inside(1.0, "specific_volume", window.units))
    for shown in np.arange(np.ceil(low / step) * step, high, step):
        w = np.linspace(0, window.top, 12)
        kelvin = (
            shown
            / scale
            * window.pressure
            / (properties.GAS_CONSTANT_DRY_AIR * (1 + properties.GAS_CONSTANT_RATIO * w))
        )
        celsius = kelvin - properties.ZERO_CELSIUS
        saturated = np.asarray(properties.saturation_humidity_ratio(np.clip(celsius, -90, 90), window.pressure))
        keep = w <= saturated
        if keep.sum() > 1:
            digits = 3 if step < 0.01 else 2 if step < 0.1 else 1
            yield window.x(celsius[keep]), window.y(w[keep]), f"{shown:.{digits}f} {kind.label}"


def _draw_processes(
    axes: Any,
    window: _Window,
    placer: LabelPlacer,
    colours: Colours,
    processes: Sequence[Process],
    states: Sequence[tuple[str, MoistAir]],
) -> None:
    labelled: list[tuple[float, float, str, str]] = []
    for index, process in enumerate(processes):
        colour = colours.series[index % len(colours.series)]
        marker = MARKERS[index % len(MARKERS)]
        ends = [(float(window.x(s.dry_bulb)), float(window.y(s.humidity_ratio))) for s in (process.start, process.end)]
        axes.annotate(
            "", xy=ends[1], xytext=ends[0], zorder=4,
            arrowprops={"arrowstyle": "-|>", "color": colour, "linewidth": 1.8, "shrinkA": 5, "shrinkB": 5},
        )  # fmt: skip
        axes.plot(*zip(*ends, strict=True), linestyle="none", marker=marker, markersize=8, color=colour,
                  markeredgecolor=colours.paper, zorder=5)  # fmt: skip
        placer.block_line([e[0] for e in ends], [e[1] for e in ends])
        named = ((process.start, process.start_name), (process.end, process.end_name))
        for (state, name), (x, y) in zip(named, ends, strict=True):
            labelled.append((x, y, _state_text(name, state, window.units), colour))
    for offset, (name, state) in enumerate(states):
        colour = colours.series[(len(processes) + offset) % len(colours.series)]
        x, y = float(window.x(state.dry_bulb)), float(window.y(state.humidity_ratio))
        axes.plot([x], [y], linestyle="none", marker=MARKERS[(len(processes) + offset) % len(MARKERS)], markersize=8,
                  color=colour, markeredgecolor=colours.paper, zorder=5)  # fmt: skip
        labelled.append((x, y, _state_text(name, state, window.units), colour))
    for x, y, _, _ in labelled:
        ((px, py),) = placer.pixels(x, y)
        placer.block(px, py, 7, 7)
    for x, y, text, colour in labelled:
        placer.at_point(x, y, text, points=9, colour=colour, paper=colours.paper, ink=colours.ink)


def _draw_legend(axes: Any, placer: LabelPlacer, colours: Colours, processes: Sequence[Process]) -> None:
    from matplotlib.lines import Line2D

    named = [(i, p.name) for i, p in enumerate(processes) if p.name]
    if not named:
        return
    handles = [
        Line2D([], [], color=colours.series[i % len(colours.series)], marker=MARKERS[i % len(MARKERS)], label=name)
        for i, name in named
    ]
    legend = axes.legend(handles=handles, loc="upper left", frameon=True, fontsize=9, labelcolor=colours.ink)
    legend.get_frame().set(facecolor=colours.paper, edgecolor=colours.grid)
    legend.set_zorder(7)
    for text in legend.get_texts():
        text.set_parse_math(False)
    box = legend.get_window_extent()
    placer.block(box.x0 + box.width / 2, box.y0 + box.height / 2, box.width / 2 + 4, box.height / 2 + 4)


def _state_text(name: str, state: MoistAir, units: UnitSystem) -> str:
    parts = [
        show(float(state.dry_bulb), "temperature", units),
        f"{percent(float(state.relative_humidity), 0)} RH",
        f"{show(float(state.wet_bulb), 'temperature', units)} wet bulb",
    ]
    return (f"{name}\n" if name else "") + "\n".join(parts)


def figure_bytes(figure: Any, form: Literal["png", "svg", "pdf"], dpi: int = 150) -> bytes:
    """A figure as the bytes of a file; the same figure gives the same bytes."""
    from io import BytesIO

    import matplotlib as mpl

    buffer = BytesIO()
    metadata: dict[str, dict[str, Any]] = {
        "svg": {"Date": None, "Creator": "airside"},
        "png": {"Software": "airside"},
        "pdf": {"CreationDate": None, "Creator": "airside"},
    }
    # Text stays text in SVG, and the ids do not change from run to run.
    with mpl.rc_context({"svg.hashsalt": "airside", "svg.fonttype": "none"}):
        figure.savefig(buffer, format=form, dpi=dpi, metadata=metadata[form], facecolor=figure.get_facecolor())
    return buffer.getvalue()
