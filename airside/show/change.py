"""Pictures of a comparison: both processes, both capacities, the change with its interval, the budget."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.compare.result import Change
from airside.instruments.propagation import BudgetRow
from airside.show.palette import THEMES, Colours, Theme
from airside.show.psychrometric import Process, psychrometric_chart
from airside.units import KINDS, UnitSystem, from_inside, percent

BINS = 160
LONGEST_NAME = 58


def density(draws: Any, low: float, high: float) -> tuple[Array, Array]:
    """Smoothed density of draws between two ends: places and values, the highest being 1."""
    counts, edges = np.histogram(np.asarray(draws), bins=BINS, range=(low, high))
    # Smooth over about a twentieth of the width; the tails are left as they are.
    steps = np.arange(-12, 13)
    kernel = np.exp(-0.5 * (steps / 4.0) ** 2)
    smooth = np.convolve(counts, kernel / kernel.sum(), mode="same")
    middle = (edges[:-1] + edges[1:]) / 2
    return middle, smooth / max(float(smooth.max()), 1e-300)


def _plain_axes(axes: Any, colours: Colours, *, left: bool = False) -> None:
    axes.set_facecolor(colours.paper)
    axes.tick_params(colors=colours.ink, labelsize=9)
    for side, spine in axes.spines.items():
        spine.set_visible(side == "bottom" or (left and side == "left"))
        spine.set_color(colours.ink)
    if not left:
        axes.set_yticks([])


def capacity_densities(change: Change, axes: Any, units: UnitSystem, theme: Theme = "light") -> Any:
    """Densities of both delivered capacities, as measured, drawn into an Axes; gives it back."""
    colours = THEMES[theme]
    scale = from_inside(1.0, "capacity", units) - from_inside(0.0, "capacity", units)
    both = [np.asarray(v.measured.capacity.total)[v.is_possible] * scale for v in (change.before, change.after)]
    low = min(float(np.quantile(b, 0.001)) for b in both)
    high = max(float(np.quantile(b, 0.999)) for b in both)
    for draws, visit, colour, name, lift in zip(
        both, (change.before, change.after), colours.series, ("before", "after"), (0.0, 0.0), strict=False
    ):
        x, y = density(draws, low, high)
        axes.plot(x, y + lift, color=colour, linewidth=1.6, linestyle="-" if name == "after" else "--")
        total = visit.estimate("total")
        # What is filled is the 95 % interval, as on the change below.
        inside = (x >= total.interval_95[0] * scale) & (x <= total.interval_95[1] * scale)
        axes.fill_between(x[inside], lift, y[inside] + lift, color=colour, alpha=0.25, linewidth=0)
        at = total.value * scale
        axes.plot([at, at], [0, 1.04], color=colour, linewidth=1.2)
        axes.text(at, 1.08 if name == "before" else 1.22, name, color=colour, ha="center", va="bottom", fontsize=9)
    axes.set_ylim(0, 1.45)
    axes.set_xlim(low, high)
    _plain_axes(axes, colours)
    label = KINDS["capacity"].display(units).label
    axes.set_xlabel(f"Delivered total capacity as measured, {label}", color=colours.ink, fontsize=10)
    axes.ticklabel_format(style="plain", axis="x")
    axes.xaxis.set_major_formatter(lambda v, _: f"{v:,.0f}" if units == "IP" else f"{v:g}")
    axes.xaxis.set_major_locator(_few_ticks())
    return axes


def _few_ticks() -> Any:
    from matplotlib.ticker import MaxNLocator

    return MaxNLocator(5)


def change_density(change: Change, axes: Any, theme: Theme = "light") -> Any:
    """Density of the relative change with its 95 % interval, drawn into an Axes; gives it back."""
    colours = THEMES[theme]
    found = change.ratios[change.basis]
    draws = change.draws[change.basis] * 100
    low, high = (float(np.quantile(draws, q)) for q in (0.001, 0.999))
    low, high = min(low, -2.0), max(high, 2.0)
    x, y = density(draws, low, high)
    first, last = (v * 100 for v in found.interval_95)
    inside = (x >= first) & (x <= last)
    colour = colours.series[2]
    axes.plot(x, y, color=colour, linewidth=1.6)
    axes.fill_between(x[inside], 0, y[inside], color=colour, alpha=0.3, linewidth=0)
    axes.plot([0, 0], [0, 1.05], color=colours.ink, linewidth=1.0, linestyle=(0, (2, 2)))
    axes.plot([first, last], [1.12, 1.12], color=colour, linewidth=2.5, solid_capstyle="butt")
    axes.plot([found.value * 100], [1.12], marker="D", color=colour, markersize=6)
    text = f"{percent(found.value, 1, sign=True)}, 95 % interval {first:.1f} to {last:.1f} %"
    middle = min(max((first + last) / 2, low + 0.3 * (high - low)), high - 0.3 * (high - low))
    axes.text(middle, 1.2, text, color=colours.ink, ha="center", va="bottom", fontsize=9)
    axes.text(0, 0.02, " no change", color=colours.ink, fontsize=8, ha="left", va="bottom", rotation=90)
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1.5)
    _plain_axes(axes, colours)
    where = "at the same conditions" if change.basis == "reference" else "as measured"
    axes.set_xlabel(f"Change of total capacity {where}, %", color=colours.ink, fontsize=10)
    return axes


def budget_bars(rows: Sequence[BudgetRow], axes: Any, theme: Theme = "light", *, most: int = 8) -> Any:
    """Shares of the named errors as bars, the largest on top, drawn into an Axes; gives it back."""
    colours = THEMES[theme]
    rows = [r for r in rows if r.share > 1e-6]
    shown = [(r.error.name, r.share * 100) for r in rows[:most] if r.share >= 0.005]
    rest = sum(r.share for r in rows) * 100 - sum(s for _, s in shown)
    if len(rows) > len(shown):
        shown.append((f"{len(rows) - len(shown)} others", max(rest, 0.0)))
    places = np.arange(len(shown))[::-1]
    shares = [s for _, s in shown]
    axes.barh(places, shares, color=colours.series[4], height=0.62)
    for place, (whole, share) in zip(places, shown, strict=True):
        # Beyond this a name would run out of the picture.
        name = whole if len(whole) <= LONGEST_NAME else f"{whole[: LONGEST_NAME - 1]}…"
        for text, at, side, shift in ((name, 0.0, "right", -6), (f"{share:.0f} %", share, "left", 6)):
            axes.annotate(text, (at, place), xytext=(shift, 0), textcoords="offset points", ha=side, va="center",
                          fontsize=8.5, color=colours.ink, parse_math=False, annotation_clip=False)  # fmt: skip
    # Where nothing has a share, as between a visit and itself, the axis still needs a length.
    axes.set_xlim(0, max([*shares, 1.0]) * 1.18)
    axes.set_ylim(-0.6, len(shown) - 0.4)
    _plain_axes(axes, colours)
    axes.set_xlabel("Share of the variance of the change, %", color=colours.ink, fontsize=10)
    return axes


def change_chart(
    change: Change, *, units: UnitSystem | None = None, theme: Theme = "light", with_verdict: bool = True
) -> Any:
    """One picture of a comparison.

    Parameters
    ----------
    change : Change
    units : "IP" or "SI", optional
        Default those of the before visit.
    theme : "light" or "dark"
    with_verdict : bool
        Whether the verdict stands above the picture.

    Returns
    -------
    matplotlib Figure
        12 by 9 inches: both processes on one psychrometric chart, both capacities and the change as
        densities, and the budget.
    """
    import textwrap

    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    system = units or change.before.visit.units
    colours = THEMES[theme]
    # Without the verdict the picture is for a panel: smaller, so that its words are larger on the page.
    figure = Figure(figsize=(12, 9) if with_verdict else (10.5, 7.4), facecolor=colours.paper)
    FigureCanvasAgg(figure)
    top, high, low = (0.87, 0.47, 0.19) if with_verdict else (0.95, 0.52, 0.21)
    if with_verdict:
        # A number and its percent sign stay on one line.
        text = "\n".join(textwrap.wrap(change.verdict.replace(" %", "\u00a0%"), 105))
        figure.text(0.04, 0.975, text, fontsize=13, color=colours.ink, va="top", parse_math=False)
    chart = figure.add_axes((0.04, top - high, 0.52, high))
    processes = [
        Process(v.at_readings.return_air, v.at_readings.supply_air, name)
        for v, name in ((change.before, "before"), (change.after, "after"))
    ]
    psychrometric_chart(processes, units=system, theme=theme, axes=chart)
    capacity_densities(change, figure.add_axes((0.67, top - low, 0.30, low)), system, theme)
    change_density(change, figure.add_axes((0.67, top - high, 0.30, low)), theme)
    if change.budgets:
        budget_bars(change.budgets[change.basis], figure.add_axes((0.36, 0.07, 0.60, 0.25)), theme)
    return figure
