"""Pictures of a comparison: both processes, both capacities, the change with its interval, the budget."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.air.state import MoistAir
from airside.compare.result import Change
from airside.instruments.propagation import BudgetRow
from airside.show.labels import text_size
from airside.show.palette import DASHED, MARKERS, SOLID, Colours, Theme
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
    one_line,
    points_of,
    shortened,
    wrapped,
)
from airside.show.psychrometric import Process, psychrometric_chart
from airside.units import KINDS, UnitSystem, from_inside, percent, show
from airside.visit.uncertainty import VisitUncertainty

BINS = 160
# Width of the smoothing, over the draws' standard deviation: a few thousand draws make a calm line, and the line is
# hardly wider than they are.
SMOOTHING = 0.2
# Draws from which an ellipse is taken: its axes are then good to a percent.
ENOUGH_DRAWS = 5000
NAMES = ("before", "after")
STYLES = (SOLID, DASHED)
OF_CHANGE = "Share of the variance of the change, %"


def density(draws: Any, low: float, high: float) -> tuple[Array, Array]:
    """Smoothed density of draws between two ends: places and values, the highest being 1."""
    drawn = np.asarray(draws)
    counts, edges = np.histogram(drawn, bins=BINS, range=(low, high))
    wide = min(max(SMOOTHING * float(np.std(drawn)) / (edges[1] - edges[0]), 1.0), BINS / 8)
    steps = np.arange(-int(3 * wide), int(3 * wide) + 1)
    kernel = np.exp(-0.5 * (steps / wide) ** 2)
    # The tails are left as they are.
    smooth = np.convolve(counts, kernel / kernel.sum(), mode="same")
    middle = (edges[:-1] + edges[1:]) / 2
    return middle, smooth / max(float(smooth.max()), 1e-300)


def _under(axes: Any, colours: Colours, said: str, note: str) -> None:
    """Words of the scale, and a note under them; both on two lines where the Axes are narrow."""
    wide = points_of(axes)[0]
    text = wrapped(said, LARGE, wide + 40)
    label(axes, colours, x=text)
    axes.xaxis.label.set_linespacing(1.05)
    if not note:
        return
    down = 21 + (text.count("\n") + 1) * LARGE * LINE
    axes.annotate(wrapped(note, FINE, wide + 8), (0.5, 0.0), xycoords="axes fraction", xytext=(0, -down), va="top", ha="center",
                  textcoords="offset points", fontsize=FINE, color=colours.faint, linespacing=LINE,
                  annotation_clip=False, parse_math=False)  # fmt: skip


def _inside(axes: Any, at: float, text: str, points: float) -> float:
    """Where the middle of a text must be so that the text stays over its Axes; limits are set before."""
    low, high = (float(v) for v in axes.get_xlim())
    half = 0.5 * text_size(text, points)[0] / points_of(axes)[0] * (high - low)
    return min(max(at, low + half), high - half) if 2 * half < high - low else (low + high) / 2


def _nothing(axes: Any, colours: Colours) -> Any:
    """What stands where there is nothing to draw."""
    dress(axes, colours, left=False, bottom=False)
    axes.text(0.5, 0.5, "no draw is air that can be", transform=axes.transAxes, fontsize=SMALL, color=colours.faint,
              ha="center", va="center")  # fmt: skip
    return axes


def capacity_densities(
    change: Change, axes: Any, units: UnitSystem, theme: Theme = "light", *, with_note: bool = False
) -> Any:
    """Densities of both delivered capacities, as measured, drawn into an Axes; gives it back.

    Parameters
    ----------
    change : Change
    axes : matplotlib Axes
        In its place already; about 30 points below it are for its words, with a note 45.
    units : "IP" or "SI"
    theme : "light", "dark" or "print"
    with_note : bool
        Whether it says below that what is shaded is the 95 % interval.
    """
    colours = colours_of(theme, units)
    visits = (change.before, change.after)
    both = [_totals(visit, units) for visit in visits]
    if not all(b.size for b in both):
        return _nothing(axes, colours)
    ends = np.array([np.quantile(b, (0.001, 0.999)) for b in both])
    low, high = float(ends[:, 0].min()), float(ends[:, 1].max())
    if not high > low:
        low, high = low - 1.0, high + 1.0
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1.52)
    dress(axes, colours, left=False)
    few_ticks(axes.xaxis, 4)
    totals = (change.figures["total"].before, change.figures["total"].after)
    for index, (draws, total) in enumerate(zip(both, totals, strict=True)):
        colour, name = colours.series[index], NAMES[index]
        x, y = density(draws, low, high)
        axes.plot(x, y, color=colour, linewidth=1.6, linestyle=STYLES[index], zorder=3)
        first, last = (float(from_inside(v, "capacity", units)) for v in total.interval_95)
        inside = (x >= first) & (x <= last)
        axes.fill_between(x[inside], 0, y[inside], color=colour, alpha=0.22, linewidth=0)
        at = float(from_inside(total.value, "capacity", units))
        axes.plot([at, at], [0, 1.04], color=colour, linewidth=1.2, gid=name, zorder=3)
        axes.plot([at], [1.04], color=colour, marker=MARKERS[index], markersize=6, zorder=4)
        text = f"{name} {show(total.value, 'capacity', units)}"
        # One above the other, whichever way the change goes.
        axes.text(_inside(axes, at, text, SMALL), 1.15 + 0.19 * index, text, color=colours.ink, ha="center", va="bottom",
                  fontsize=SMALL)  # fmt: skip
    said = f"Delivered total capacity as measured, {KINDS['capacity'].display(units).label}"
    _under(axes, colours, said, "shaded: 95 % intervals" if with_note else "")
    return axes


def _totals(visit: VisitUncertainty, units: UnitSystem) -> Array:
    """Draws of total capacity that can be, in the shown unit."""
    drawn = np.broadcast_to(np.asarray(visit.measured.capacity.total, dtype=np.float64), visit.is_possible.shape)
    found: Array = np.asarray(from_inside(drawn[visit.is_possible], "capacity", units))
    return found


def change_density(
    change: Change, axes: Any, theme: Theme = "light", *, units: UnitSystem | None = None, with_note: bool = False
) -> Any:
    """Density of the relative change with its 95 % interval, drawn into an Axes; gives it back.

    Parameters
    ----------
    change : Change
    axes : matplotlib Axes
        In its place already; about 30 points below it are for its words, with a note 60.
    theme : "light", "dark" or "print"
    units : "IP" or "SI", optional
        Of the conditions in the note; default those of the before visit.
    with_note : bool
        Whether it says below to which conditions both visits were brought.
    """
    system = units or change.before.visit.units
    colours = colours_of(theme, system)
    found = change.ratios[change.basis]
    draws = change.draws[change.basis] * 100
    draws = draws[np.isfinite(draws)]
    if not draws.size:
        return _nothing(axes, colours)
    low, high = (float(v) for v in np.quantile(draws, (0.001, 0.999)))
    # Zero is always seen, with room for its words.
    span = max(high, 0.0) - min(low, 0.0)
    low, high = min(low, -2.0, -0.08 * span), max(high, 2.0, 0.08 * span)
    axes.set_xlim(low, high)
    axes.set_ylim(0, 1.52)
    dress(axes, colours, left=False)
    few_ticks(axes.xaxis, 6)
    x, y = density(draws, low, high)
    first, last = (v * 100 for v in found.interval_95)
    inside = (x >= first) & (x <= last)
    colour, at = colours.series[2], found.value * 100
    axes.plot(x, y, color=colour, linewidth=1.6, zorder=3)
    axes.fill_between(x[inside], 0, y[inside], color=colour, alpha=0.25, linewidth=0)
    axes.plot([0, 0], [0, 1.02], color=colours.ink, linewidth=1.0, linestyle=(0, (2, 2)), zorder=2)
    axes.plot([first, last], [1.07, 1.07], color=colour, linewidth=2.4, solid_capstyle="butt", gid="interval")
    axes.plot([at], [1.07], marker=MARKERS[3], color=colour, markeredgecolor=colours.paper, markersize=7, gid="change")
    text = f"{percent(found.value, 1, sign=True)}\n95 % interval {first:.1f} to {last:.1f} %".replace(" -0.0 ", " 0.0 ")
    axes.text(_inside(axes, (first + last) / 2, text, SMALL), 1.15, text, color=colours.ink, ha="center", va="bottom",
              fontsize=SMALL, linespacing=LINE)  # fmt: skip
    # Beside its line, on the side away from the change.
    axes.annotate("no change", (0, 0.03), xytext=(-3 if at > 0 else 3, 0), textcoords="offset points", color=colours.ink,
                  fontsize=FINE, ha="right" if at > 0 else "left", va="bottom", rotation=90)  # fmt: skip
    where = "at the same conditions" if change.basis == "reference" else "as measured"
    note = "not brought to the same conditions"
    if change.reference is not None and change.basis == "reference":
        note = change.reference.text(system, change.before.visit.mode)
    _under(axes, colours, f"Change of total capacity {where}, %", note if with_note else "")
    return axes


def budget_bars(
    rows: Sequence[BudgetRow], axes: Any, theme: Theme = "light", *, most: int = 8, words: str = OF_CHANGE
) -> Any:
    """Shares of the named errors as bars, the largest on top, drawn into an Axes; gives it back.

    Parameters
    ----------
    rows : sequence of BudgetRow
        Of a change, ``change.budgets[change.basis]``, or of a visit, ``airside.analyse(visit).budget``.
    axes : matplotlib Axes
        In its place already; the names stand left of it, as wide as the figure lets them be.
    theme : "light", "dark" or "print"
    most : int
        Errors that get a bar of their own; the rest shares one.
    words : str
        What the shares are of.
    """
    colours = colours_of(theme, "SI")
    rows = [r for r in rows if r.share > 1e-6]
    shown = [(r.error.name, r.share * 100) for r in rows[:most] if r.share >= 0.005]
    rest = sum(r.share for r in rows) * 100 - sum(s for _, s in shown)
    if len(rows) > len(shown):
        left = len(rows) - len(shown)
        shown.append((f"{left} other{'s' if left > 1 else ''}", max(rest, 0.0)))
    label(axes, colours, x=words)
    if not shown:
        dress(axes, colours, left=False, bottom=False)
        axes.text(0.5, 0.5, "no error has a part in it", transform=axes.transAxes, fontsize=SMALL, color=colours.faint,
                  ha="center", va="center")  # fmt: skip
        return axes
    dress(axes, colours)
    axes.set_yticks([])
    few_ticks(axes.xaxis, 5)
    # Where there are fewer, the bars keep their height.
    axes.set_ylim(-0.6 - max(0, min(most, 3) - len(shown)), len(shown) - 0.4)
    longest = max([*(s for _, s in shown), 1.0])
    wide, high = points_of(axes)
    axes.set_xlim(0, longest * wide / max(wide - 32, 0.5 * wide))
    places = np.arange(len(shown))[::-1]
    bars = axes.barh(places, [s for _, s in shown], color=colours.series[4], height=0.6, alpha=0.85)
    if len(rows) > len(shown) - 1 and shown[-1][0].endswith(("other", "others")):
        # The rest is no error of its own.
        bars[-1].set(facecolor=colours.paper, edgecolor=colours.series[4], linewidth=1.2, alpha=1.0)
    room = float(axes.get_position().x0) * float(axes.figure.get_size_inches()[0]) * 72 - 14
    lines = 2 if high / (axes.get_ylim()[1] - axes.get_ylim()[0]) >= 2 * SMALL * LINE else 1
    for place, (whole, share) in zip(places, shown, strict=True):
        name = wrapped(whole, SMALL, room, 2) if lines == 2 else shortened(one_line(whole), SMALL, room)
        for text, at, side, shift in ((name, 0.0, "right", -6), (f"{share:.0f} %", share, "left", 5)):
            axes.annotate(text, (at, place), xytext=(shift, 0), textcoords="offset points", ha=side, va="center",
                          fontsize=SMALL, color=colours.ink, parse_math=False, linespacing=1.05,
                          annotation_clip=False)  # fmt: skip
    return axes


def _some(draws: MoistAir) -> MoistAir:
    """As many draws of a state as its ellipse needs: every so many-th of them."""
    t, w, p = np.broadcast_arrays(*(np.asarray(v) for v in (draws.dry_bulb, draws.humidity_ratio, draws.pressure)))
    if t.size <= ENOUGH_DRAWS:
        return draws
    step = t.size // ENOUGH_DRAWS
    return MoistAir(t[::step], w[::step], p[::step])


def change_chart(
    change: Change, *, units: UnitSystem | None = None, theme: Theme = "light", with_verdict: bool = True
) -> Any:
    """One picture of a comparison.

    Parameters
    ----------
    change : Change
    units : "IP" or "SI", optional
        Default those of the before visit.
    theme : "light", "dark" or "print"
    with_verdict : bool
        Whether the verdict stands above the picture. Without it the picture is for a panel: narrow and
        tall, so that its words stay readable in a narrow column, and of one size with and without budget, so
        that nothing jumps while a slider is drawn.

    Returns
    -------
    matplotlib Figure
        12 by 9 inches, or 6.6 by 8.9: both processes on one psychrometric chart with how well their states are
        known, both capacities and the change as densities, and the budget where the change has one.
    """
    import textwrap

    system = units or change.before.visit.units
    colours = colours_of(theme, system)
    figure = new_figure(*((12.0, 9.0) if with_verdict else (WIDTH, 8.9)), colours)
    if with_verdict:
        # A number and its percent sign stay on one line.
        text = "\n".join(textwrap.wrap(change.verdict.replace(" %", "\u00a0%"), 105))
        figure.text(0.04, 0.975, text, fontsize=13, color=colours.ink, va="top", parse_math=False)
        chart, first, second, bars = (
            (0.35, 3.75, 6.3, 3.95),
            (8.1, 6.45, 3.6, 1.35),
            (8.1, 3.75, 3.6, 1.35),
            (4.4, 0.6, 7.3, 2.2),
        )
    else:
        chart, first, second, bars = (
            (0.2, 5.1, 5.7, 3.3),
            (0.3, 3.3, 2.8, 1.15),
            (3.6, 3.3, 2.8, 1.15),
            (2.75, 0.5, 3.6, 1.78),
        )
    processes = [
        Process(
            v.at_readings.return_air, v.at_readings.supply_air, name, start_draws=_some(v.measured.return_air),
            end_draws=_some(v.measured.supply_air),
        )
        for v, name in ((change.before, "before"), (change.after, "after"))
    ]  # fmt: skip
    psychrometric_chart(processes, units=system, theme=theme, axes=axes_in_inches(figure, *chart))
    capacity_densities(change, axes_in_inches(figure, *first), system, theme, with_note=True)
    change_density(change, axes_in_inches(figure, *second), theme, units=system, with_note=True)
    if change.budgets:
        most = 8 if with_verdict else 5
        budget_bars(change.budgets[change.basis], axes_in_inches(figure, *bars), theme, most=most)
    return figure
