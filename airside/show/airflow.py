"""Picture of a visit's airflow: what was read, on its table or over the duct, and the flow that follows with its doubt.

The flow stands on a strip of its own, actual and as standard air, each with its 95 % interval. A fan table or
coil table stands above it on the same scale of flow, so that one sees where the figure comes from.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.airflow.defaults import CUSTOMARY_FLOW_PER_CAPACITY
from airside.airflow.interpolation import curve
from airside.results import Row
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
    shortened,
    wrapped,
)
from airside.units import KINDS, UnitSystem, from_inside, show
from airside.visit.analysis import VisitResult
from airside.visit.evidence import EvidenceInputs, evidence_inputs
from airside.visit.tables import ColumnTable

# A customary flow further than this from the flow found is told in words: it would squeeze the picture.
FARTHEST = 2.5
# Inches: the strip of flows, what stands on it, the scale under it, the heading, and the picture above.
LEFT, RIGHT, STRIP, SCALE, GAP, HEAD, ABOVE = 1.05, 0.2, 0.95, 0.55, 0.5, 0.62, 2.75
FLOW_ROWS = (("volume_flow", "actual", "o"), ("standard_volume_flow", "standard air", "s"))


def airflow_chart(result: VisitResult, *, units: UnitSystem | None = None, theme: Theme = "light") -> Any:
    """The airflow of one visit, by whatever evidence.

    Parameters
    ----------
    result : VisitResult
        From `airside.analyse`.
    units : "IP" or "SI", optional
        Default those of the visit.
    theme : "light", "dark" or "print"

    Returns
    -------
    matplotlib Figure
        6.6 inches wide. With a fan table or a coil's table its curves and the reading on them; with a
        traverse the velocity at each point; below, for every method, the flow with its 95 % interval and
        the customary flow for the nominal capacity.
    """
    system = units or result.visit.units
    colours = colours_of(theme, system)
    draw = _ABOVE.get(result.visit.airflow.method)
    is_shared = draw is not None and result.visit.airflow.method != "traverse"
    between = (GAP if is_shared else GAP + SCALE) if draw is not None else 0.3
    above = ABOVE if draw is not None else 0.0
    height = SCALE + STRIP + between + above + HEAD
    figure = new_figure(WIDTH, height, colours)
    wide = WIDTH - LEFT - RIGHT
    _heading(figure, result, system, colours, height)
    strip = axes_in_inches(figure, LEFT, SCALE, wide, STRIP)
    flows = _flows(result)
    ends = _flow_strip(strip, result, flows, system, colours)
    if draw is not None:
        axes = axes_in_inches(figure, LEFT, SCALE + STRIP + between, wide, ABOVE)
        found = draw(axes, result, flows[0], system, colours)
        ends = (min(ends[0], found[0]), max(ends[1], found[1])) if is_shared else ends
    room = 0.05 * (ends[1] - ends[0])
    ends = (max(ends[0] - room, 0.0), ends[1] + room)
    strip.set_xlim(*ends)
    _values(strip, flows, system, colours)
    if is_shared:
        axes.set_xlim(*ends)
        axes.tick_params(labelbottom=False)
        _name_curves(axes, colours)
    return figure


def _heading(figure: Any, result: VisitResult, units: UnitSystem, colours: Colours, height: float) -> None:
    """The method, and what was read."""
    across = (WIDTH - 0.4) * 72
    evidence: Any = result.visit.airflow
    said = result.airflow.title
    table, column = (
        getattr(evidence, "table", None),
        getattr(evidence, "speed", None) or getattr(evidence, "coil", None),
    )
    if table is not None:
        said += f" {table}, {'speed' if hasattr(evidence, 'speed') else 'coil'} {column}"
    read = "; ".join(f"{r.title[:1].lower()}{r.title[1:]} {r.text(units)}" for r in result.airflow.evidence)
    if getattr(evidence, "method", "") == "measured" and len(evidence.volume_flow) > 1:
        read = f"strokes: the {len(evidence.volume_flow)} readings"
    for text, points, colour, down in (
        (shortened(said, LARGE, across), LARGE, colours.ink, 0.1),
        (wrapped(f"{read[:1].upper()}{read[1:]}", FINE, across), FINE, colours.faint, 0.28),
    ):
        figure.text(0.2 / WIDTH, 1 - down / height, text, fontsize=points, color=colour, va="top", linespacing=LINE,
                    parse_math=False)  # fmt: skip


# -- the strip of flows ---------------------------------------------------------------------------


def _flows(result: VisitResult) -> list[Row]:
    """Actual and standard flow, with their intervals where the result has its doubt."""
    names = [name for name, _, _ in FLOW_ROWS]
    rows = [r for r in result.airflow.rows() if r.name in names]
    if result.doubt is None:
        return rows
    return result.doubt.with_doubt(rows, [r for r in result.doubt.measured.airflow.rows() if r.name in names])


def _ends(row: Row) -> tuple[float, float] | None:
    """The interval of a row; None where it has none."""
    if row.interval is None or not np.all(np.isfinite(row.interval)):
        return None
    return float(row.interval[0]), float(row.interval[1])


def _flow_strip(
    axes: Any, result: VisitResult, flows: list[Row], units: UnitSystem, colours: Colours
) -> tuple[float, float]:
    """Both flows with their intervals, and the customary flow; gives the ends of what was drawn."""
    dress(axes, colours)
    axes.spines["left"].set_visible(False)
    axes.set_ylim(-0.6, 1.75)
    axes.set_yticks([1, 0], [name for _, name, _ in FLOW_ROWS])
    axes.tick_params(axis="y", length=0)
    few_ticks(axes.xaxis, 7)
    label(axes, colours, x=f"Airflow, {KINDS['volume_flow'].display(units).label}")
    seen: list[float] = []
    for row, place, (_, _, marker) in zip(flows, (1, 0), FLOW_ROWS, strict=True):
        at, ends = _shown(float(row.value), units), _ends(row)
        seen.append(at)
        if ends is not None:
            low, high = (_shown(v, units) for v in ends)
            seen += [low, high]
            axes.plot([low, high], [place, place], color=colours.series[0], linewidth=2.4, solid_capstyle="butt",
                      zorder=3)  # fmt: skip
        axes.plot([at], [place], marker=marker, color=colours.series[0], markeredgecolor=colours.paper, markersize=7,
                  zorder=4)  # fmt: skip
    seen += _readings(axes, result, units, colours)
    seen += _customary(axes, result, units, colours)
    return min(seen), max(seen)


def _values(axes: Any, flows: list[Row], units: UnitSystem, colours: Colours) -> None:
    """Each flow in words above its interval, inside the picture whatever lies there."""
    low, high = axes.get_xlim()
    for row, place in zip(flows, (1, 0), strict=True):
        text = show(float(row.value), "volume_flow", units)
        if _ends(row) is not None:
            text += f", 95 % interval {row.interval_text(units)}"
        share = (_shown(float(row.value), units) - low) / (high - low)
        # Words of this length are about half as wide as the picture.
        across = min(max(share, 0.30), 0.70)
        axes.text(across, place + 0.2, text, transform=axes.get_yaxis_transform(), fontsize=SMALL, color=colours.ink,
                  ha="center", va="bottom", zorder=5)  # fmt: skip


def _readings(axes: Any, result: VisitResult, units: UnitSystem, colours: Colours) -> list[float]:
    """Readings of a flow that was read directly, as small strokes."""
    evidence: Any = result.visit.airflow
    if evidence.method != "measured" or len(evidence.volume_flow) < 2:
        return []
    place = 0 if evidence.basis == "standard" else 1
    shown = [_shown(v, units) for v in evidence.volume_flow]
    axes.vlines(shown, place - 0.28, place - 0.12, color=colours.ink, linewidth=0.9, zorder=3)
    return shown


def _customary(axes: Any, result: VisitResult, units: UnitSystem, colours: Colours) -> list[float]:
    """The customary flow for the nominal capacity: shaded, or in words where it is far away."""
    nominal = result.visit.system.nominal_capacity
    if nominal is None:
        return []
    per = CUSTOMARY_FLOW_PER_CAPACITY
    low, high = (v * nominal for v in per)
    said = f"{show(per[0], 'flow_per_capacity', units, unit=False)} to {show(per[1], 'flow_per_capacity', units)}"
    here = float(result.airflow.volume_flow)
    if high < here / FARTHEST or low > here * FARTHEST:
        flows = f"{show(low, 'volume_flow', units, unit=False)} to {show(high, 'volume_flow', units)}"
        text = f"Customary flow, {said} of nominal capacity, would be {flows}: not in this picture"
        drawn: list[float] = []
    else:
        drawn = [_shown(low, units), _shown(high, units)]
        axes.axvspan(*drawn, color=colours.grid, alpha=0.45, linewidth=0, zorder=0.5)
        text = f"Shaded: customary flow, {said} of nominal capacity (common practice, no source)"
    # From the left edge of the picture, where there is room for it.
    axes.annotate(text, (0.0, 1.0), xycoords="axes fraction", xytext=((0.2 - LEFT) * 72, 4), textcoords="offset points",
                  fontsize=FINE, color=colours.faint, va="bottom", annotation_clip=False)  # fmt: skip
    return drawn


def _shown(flow: float, units: UnitSystem) -> float:
    return float(from_inside(flow, "volume_flow", units))


# -- what stands above it ---------------------------------------------------------------------------


def _table_of(result: VisitResult) -> ColumnTable:
    inputs: EvidenceInputs = result.doubt.inputs.airflow if result.doubt is not None else evidence_inputs(result.visit)
    assert inputs.table is not None
    return inputs.table


def _fan(axes: Any, result: VisitResult, flow: Row, units: UnitSystem, colours: Colours) -> tuple[float, float]:
    """Curves of a fan table, static pressure over flow, and the reading on the curve of its speed."""
    evidence: Any = result.visit.airflow
    table = _table_of(result)
    static, *speeds = table.columns.items()
    chosen = table.column(evidence.speed, "airflow.speed")
    curves = []
    for name, flows in speeds:
        if np.isfinite(flows).sum() >= 2:
            x, y = curve(static[1], flows, name)
            curves.append((name, y, x, flows is chosen, (y, x)))
    label(axes, colours, y=f"Static pressure at table density, {KINDS['duct_pressure'].display(units).label}")
    return _on_table(axes, curves, result, flow, units, colours)


def _coil(axes: Any, result: VisitResult, flow: Row, units: UnitSystem, colours: Colours) -> tuple[float, float]:
    """Curves of a coil's table, pressure drop over flow, and the reading on the one of the coil as it was."""
    evidence: Any = result.visit.airflow
    table = _table_of(result)
    flows, *coils = table.columns.items()
    chosen = table.column(evidence.coil, "airflow.coil")
    curves = []
    for name, drops in coils:
        if np.isfinite(drops).sum() >= 2:
            y, x = curve(drops, flows[1], name)
            # Between its rows the table is read in the root of the drop.
            roots = np.unique(np.concatenate([np.sqrt(y), np.linspace(np.sqrt(y[0]), np.sqrt(y[-1]), 60)]))
            curves.append((f"{name} coil", np.interp(roots, np.sqrt(y), x), roots**2, drops is chosen, (x, y)))
    label(axes, colours, y=f"Pressure drop at table density, {KINDS['duct_pressure'].display(units).label}")
    return _on_table(axes, curves, result, flow, units, colours)


def _on_table(
    axes: Any, curves: list[tuple[str, Array, Array, bool, tuple[Array, Array]]], result: VisitResult, flow: Row,
    units: UnitSystem, colours: Colours,
) -> tuple[float, float]:  # fmt: skip
    """Curves of a table [m³/s, Pa] and the reading on one of them; gives the ends of the scale of flow."""
    dress(axes, colours)
    few_ticks(axes.xaxis, 7)
    few_ticks(axes.yaxis, 6)
    pressure = next(float(r.value) for r in result.airflow.evidence if r.name.startswith("table_"))
    at, up = _shown(float(flow.value), units), _pressure(pressure, units)
    ends = [at]
    tallest = up
    for name, x, y, is_chosen, (table_x, table_y) in curves:
        xs, ys = _shown_all(x, units), _pressures(y, units)
        colour = colours.series[0] if is_chosen else colours.faint
        axes.plot(xs, ys, color=colour, linewidth=2.0 if is_chosen else 1.1, zorder=1.9 if is_chosen else 1.8, label=name, gid="curve",
                  linestyle=SOLID if is_chosen else (0, (6, 2)))  # fmt: skip
        axes.plot(_shown_all(table_x, units), _pressures(table_y, units), linestyle="none", marker=".", markersize=5,
                  color=colour, zorder=1.9)  # fmt: skip
        ends += [float(xs.min()), float(xs.max())]
        tallest = max(tallest, float(ys.max()))
    axes.set_ylim(0, tallest * 1.12)
    interval = _ends(flow)
    # The way through the table: from the reading to the curve, and down to the flow.
    axes.plot([0, at, at], [up, up, 0], color=colours.ink, linewidth=0.9, linestyle=(0, (2, 2)), zorder=1.5,
              gid="reading")  # fmt: skip
    if interval is not None:
        low, high = (_shown(v, units) for v in interval)
        ends += [low, high]
        axes.plot([low, high], [up, up], color=colours.series[0], linewidth=2.4, solid_capstyle="butt", zorder=3,
                  gid="reading")  # fmt: skip
    axes.plot([at], [up], marker="o", color=colours.series[0], markeredgecolor=colours.paper, markersize=8, zorder=4)
    return min(ends), max(ends)


def _name_curves(axes: Any, colours: Colours) -> None:
    """Names along the curves, once the scales are known."""
    curves = [line for line in axes.lines if line.get_gid() == "curve"]
    others = [line for line in axes.lines if line.get_gid() == "reading"]
    for line in curves:
        placer = LabelPlacer(axes)
        # A name keeps away from every line but its own, and so from every other name.
        for other in (*curves, *others):
            if other is not line:
                placer.block_line(other.get_xdata(), other.get_ydata(), margin=5 * placer.pixels_per_point)
        x, y = line.get_data()
        # Where a name finds no room, less of it may.
        any(
            placer.on_line(x, y, shortened(line.get_label(), SMALL, w), points=SMALL, colour=colours.ink, prefer=14)
            for w in (120, 80, 50, 30)
        )
        placer.draw_grounds(colours.paper)


def _pressure(pressure: float, units: UnitSystem) -> float:
    return float(from_inside(pressure, "duct_pressure", units))


def _pressures(pressures: Array, units: UnitSystem) -> Array:
    return np.asarray(from_inside(pressures, "duct_pressure", units))


def _shown_all(flows: Array, units: UnitSystem) -> Array:
    return np.asarray(from_inside(flows, "volume_flow", units))


def _traverse(axes: Any, result: VisitResult, _: Row, units: UnitSystem, colours: Colours) -> tuple[float, float]:
    """Velocity at each point of a traverse, and their mean."""
    evidence: Any = result.visit.airflow
    if evidence.velocity is not None:
        velocities = np.array(evidence.velocity)
    else:
        # As `airside.airflow.traverse`: each pressure by itself, with the local density.
        velocities = np.sqrt(2 * np.array(evidence.velocity_pressure) / float(np.asarray(result.airflow.at.density)))
    mean = next(float(r.value) for r in result.airflow.evidence if r.name == "mean_velocity")
    shown, middle = (np.asarray(from_inside(v, "velocity", units)) for v in (velocities, mean))
    dress(axes, colours)
    number = np.arange(1, shown.size + 1)
    axes.vlines(number, middle, shown, color=colours.series[0], linewidth=1.1, zorder=2)
    axes.plot(number, shown, linestyle="none", marker="o", markersize=5.5, color=colours.series[0],
              markeredgecolor=colours.paper, zorder=3, clip_on=False)  # fmt: skip
    axes.axhline(float(middle), color=colours.ink, linewidth=1.2, zorder=2.5)
    axes.set_xlim(0.2, shown.size + 0.8)
    low, high = float(shown.min()), float(shown.max())
    room = max(high - low, 0.05 * abs(float(middle)))
    # Nothing flows backwards, unless it does.
    axes.set_ylim(max(low - 0.3 * room, min(0.0, low * 1.1)), high + 0.45 * room)
    few_ticks(axes.xaxis, 10)
    few_ticks(axes.yaxis, 6)
    axes.text(1.0, 0.985, f"line: mean of the points, {show(mean, 'velocity', units)}", transform=axes.transAxes,
              fontsize=SMALL, color=colours.ink, ha="right", va="top")  # fmt: skip
    label(axes, colours, x="Point of the traverse, in the order of the readings",
          y=f"Velocity, {KINDS['velocity'].display(units).label}")  # fmt: skip
    return float(shown.min()), float(shown.max())


_ABOVE: dict[str, Callable[[Any, VisitResult, Row, UnitSystem, Colours], tuple[float, float]]] = {
    "fan table": _fan,
    "coil pressure drop": _coil,
    "traverse": _traverse,
}
