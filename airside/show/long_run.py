"""Pictures of two long periods: capacity against the weather with the baseline and its band, and how the change came about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from airside.compare.baseline import WORDS, kind_of
from airside.compare.long_run_result import LongRun
from airside.compare.periods import Period
from airside.compare.running_change import running_change
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
    points_of,
    shortened,
    wrapped,
)
from airside.units import KINDS, UnitSystem, from_inside, percent, show
from airside.visit.logs.log import Floats

# Points of one period that are drawn, at most.
MOST = 1200
# Inches: left and right of the panels, their heights, and what is above and below each.
LEFT, RIGHT = 0.82, 0.28
SCATTER, RUNNING = 2.75, 1.55
KEY, UNDER, TOP = 0.46, 0.66, 0.12


def long_run_chart(
    found: LongRun,
    *,
    units: UnitSystem | None = None,
    theme: Theme = "light",
    with_verdict: bool = True,
    parts: Sequence[Literal["weather", "running"]] = ("weather", "running"),
) -> Any:
    """One picture of two long periods.

    Parameters
    ----------
    found : LongRun
    units : "IP" or "SI", optional
        Default those of the before period.
    theme : "light", "dark" or "print"
    with_verdict : bool
        Whether the verdict stands above.
    parts : sequence of "weather" and "running"
        Capacity against the main condition, and the change as it came about.

    Returns
    -------
    matplotlib Figure
        6.6 inches wide, as high as its parts need.
    """
    system = units or found.before.units
    colours = colours_of(theme, system)
    text = wrapped(found.verdict, LARGE, (WIDTH - 0.5) * 72, 4) if with_verdict else ""
    above = (text.count("\n") + 1) * LARGE * 1.3 / 72 + 0.1 if text else 0.0
    tall = {"weather": SCATTER, "running": RUNNING}
    height = TOP + above + sum(KEY + tall[part] + UNDER for part in parts)
    figure = new_figure(WIDTH, height, colours)
    if text:
        figure.text(0.25 / WIDTH, 1 - 0.14 / height, text, fontsize=LARGE, color=colours.ink, va="top", linespacing=1.3,
                    parse_math=False)  # fmt: skip
    at = height - TOP - above
    for part in parts:
        at -= KEY + tall[part]
        axes = axes_in_inches(figure, LEFT, at, WIDTH - LEFT - RIGHT, tall[part])
        if part == "weather":
            weather_scatter(found, axes, units=system, theme=theme)
        else:
            running_change_band(found, axes, theme=theme)
        at -= UNDER
    return figure


def main_condition(found: LongRun) -> str:
    """The condition along which capacity is drawn: the baseline's first one, else the first that is known."""
    used = found.baselines["total"].terms.used
    return used[0] if used else found.before.conditions[0]


def brought_together(found: LongRun, period: Period, main: str) -> Floats:
    """Total capacity of a period [W] with all conditions but the main one at the baseline's mean, by its slopes."""
    base = found.baselines["total"]
    values = period.columns["total"].copy()
    for i, term in enumerate(base.terms.used):
        if term != main:
            values -= base.coefficients[i + 1] * (period.columns[term] - base.terms.centre[i])
    return values


def _line(found: LongRun, main: str) -> tuple[Floats, Floats, Floats]:
    """The baseline along the main condition: places [inside unit], capacity and half its 95 % band [W]."""
    base = found.baselines["total"]
    low, high = float(found.before.columns[main].min()), float(found.before.columns[main].max())
    x: Floats = np.linspace(low, high, 60)
    columns: Mapping[str, Floats] = {
        "total": x, **{t: np.full(x.size, c) for t, c in zip(base.terms.used, base.terms.centre, strict=True)}, main: x,
    }  # fmt: skip
    return x, base.predict(columns), 1.96 * base.standard_error(columns)


def weather_scatter(found: LongRun, axes: Any, *, units: UnitSystem | None = None, theme: Theme = "light") -> Any:
    """Capacity of every stretch against the main condition, with the baseline and its band, drawn into an Axes.

    Parameters
    ----------
    found : LongRun
    axes : matplotlib Axes
        In its place already; about 33 points above it are for the key, 45 below for its words.
    units : "IP" or "SI", optional
    theme : "light", "dark" or "print"
    """
    system = units or found.before.units
    colours = colours_of(theme, system)
    main = main_condition(found)
    kind = kind_of(main)
    dress(axes, colours)
    inside = found.inside
    groups = (
        (found.before, np.ones(len(found.before), dtype=bool), 0, True, f"before ({len(found.before):,})"),
        (found.after, inside, 1, True, f"after ({int(inside.sum()):,})"),
        (found.after, ~inside, 2, False, f"after, set apart ({found.set_apart:,})"),
    )
    key: list[tuple[str, dict[str, Any]]] = []
    for period, which, index, filled, name in groups:
        if not which.any():
            continue
        look: dict[str, Any] = {
            "linestyle": "none", "marker": MARKERS[index], "markersize": 3.4, "color": colours.series[index],
            "markerfacecolor": colours.series[index] if filled else "none", "markeredgewidth": 0.0 if filled else 0.8,
        }  # fmt: skip
        at = _some(which)
        x = from_inside(period.columns[main][at], kind, system)
        y = from_inside(brought_together(found, period, main)[at], "capacity", system)
        axes.plot(x, y, alpha=0.75 if filled else 1.0, zorder=3 - 0.1 * index, gid=name.split(" (")[0], **look)
        key.append((name, look | {"markersize": 5}))
    x, y, half = _line(found, main)
    shown_x, shown = from_inside(x, kind, system), [from_inside(v, "capacity", system) for v in (y, y - half, y + half)]
    axes.fill_between(shown_x, shown[1], shown[2], color=colours.series[0], alpha=0.22, linewidth=0, zorder=1)
    axes.plot(shown_x, shown[0], color=colours.ink, linewidth=1.5, zorder=4, gid="baseline")
    moved = from_inside(y * (1 + found.change.value), "capacity", system)
    axes.plot(shown_x, moved, color=colours.ink, linewidth=1.3, linestyle=DASHED, zorder=4, gid="changed")
    lines: list[tuple[str, dict[str, Any]]] = [("baseline with its 95 % band", {"color": colours.ink, "linewidth": 1.5, "linestyle": SOLID}),
            (f"baseline {percent(found.change.value, 1, sign=True)}", {"color": colours.ink, "linewidth": 1.3, "linestyle": DASHED})]  # fmt: skip
    few_ticks(axes.xaxis, 7)
    few_ticks(axes.yaxis, 5)
    unit = KINDS["capacity"].display(system).label
    label(axes, colours, y=f"Total capacity, {unit}")
    _under(
        axes, colours, f"{WORDS[main].capitalize()}, {KINDS[kind].display(system).label}", _note(found, main, system)
    )
    _key(axes, colours, key, lines)
    return axes


def _note(found: LongRun, main: str, units: UnitSystem) -> str:
    """To which values of the other conditions the points are brought."""
    terms = found.baselines["total"].terms
    others = [
        f"{WORDS[t]} {show(c, kind_of(t), units)}" for t, c in zip(terms.used, terms.centre, strict=True) if t != main
    ]
    return f"points brought by the baseline to {' and '.join(others)}" if others else ""


def _some(which: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Numbers of the stretches that are drawn: every so many-th of them."""
    at = np.flatnonzero(which)
    return at[:: max(1, -(-at.size // MOST))]


def running_change_band(found: LongRun, axes: Any, *, theme: Theme = "light") -> Any:
    """The change of the after period so far, over time, with its 95 % band, drawn into an Axes.

    Parameters
    ----------
    found : LongRun
    axes : matplotlib Axes
        In its place already; about 33 points above it are for the key, 45 below for its words.
    theme : "light", "dark" or "print"
    """
    colours = colours_of(theme, "SI")
    run = running_change(found)
    dress(axes, colours)
    days = run.time / 86_400
    colour = colours.series[1]
    axes.fill_between(days, 100 * run.low, 100 * run.high, color=colour, alpha=0.22, linewidth=0)
    axes.plot(
        days, 100 * run.value, color=colour, linewidth=1.6, linestyle=colours.series_styles[0], gid="running change"
    )
    axes.plot(days[-1:], 100 * run.value[-1:], color=colour, marker=MARKERS[3], markersize=6, markeredgecolor=colours.paper,
              clip_on=False, zorder=4)  # fmt: skip
    axes.axhline(0, color=colours.ink, linewidth=1.0, linestyle=(0, (2, 2)), zorder=2, gid="no change")
    # The first few stretches know little: their band may run out of the picture.
    settled = max(1, len(days) // 8)
    low = min(0.0, float(run.low[settled:].min() if len(days) > settled else run.low.min())) * 100
    high = max(0.0, float(run.high[settled:].max() if len(days) > settled else run.high.max())) * 100
    room = 0.08 * max(high - low, 1.0)
    axes.set_ylim(low - room, high + room)
    axes.set_xlim(float(days[0]), float(days[-1]) if days[-1] > days[0] else float(days[0]) + 0.1)
    few_ticks(axes.yaxis, 5)
    label(axes, colours, y="Change so far, %")
    _days(axes, found, float(run.time[0]), float(run.time[-1]), colours)
    ends = found.change.interval_95
    said = f"change {percent(found.change.value, 1, sign=True)}, 95 % interval {100 * ends[0]:.1f} to {percent(ends[1], 1)}"
    _key(axes, colours, [
        (said.replace("-0.0", "0.0"), {"color": colour, "linewidth": 1.6, "marker": MARKERS[3], "markersize": 5}),
        ("no change", {"color": colours.ink, "linewidth": 1.0, "linestyle": (0, (2, 2))}),
    ])  # fmt: skip
    return axes


def _days(axes: Any, found: LongRun, low: float, high: float, colours: Colours) -> None:
    """Days on the wall's clock."""
    from zoneinfo import ZoneInfo

    import matplotlib.dates as dates
    from matplotlib.ticker import FuncFormatter

    # matplotlib's dates have no types.
    untyped: Any = dates
    zone = ZoneInfo(found.after.zone) if found.after.zone is not None else UTC
    axes.xaxis.set_major_locator(untyped.AutoDateLocator(tz=zone, minticks=3, maxticks=7))

    def stamp(value: float, _: Any) -> str:
        moment = untyped.num2date(value, tz=zone)
        if high - low > 300 * 86_400:
            return str(moment.strftime("%Y-%m"))
        return str(moment.strftime("%H:%M" if moment.hour or moment.minute else "%m-%d"))

    axes.xaxis.set_major_formatter(FuncFormatter(stamp))
    kept = found.after.keeping(found.inside)
    first, last = kept.text_of(0)[:10], kept.text_of(-1)[:10]
    where = f", {found.after.zone}" if found.after.zone is not None else ""
    _under(axes, colours, f"After period, {first if first == last else f'{first} to {last}'}{where}",
           "shaded: 95 % interval of the change so far, instruments' part included")  # fmt: skip


def _under(axes: Any, colours: Colours, said: str, note: str) -> None:
    """Words of the scale, and a note under them."""
    wide = points_of(axes)[0]
    label(axes, colours, x=shortened(said, LARGE, wide + 20))
    if not note:
        return
    axes.annotate(shortened(note, FINE, wide + 60), (0.5, 0.0), xycoords="axes fraction", xytext=(-8, -35), va="top", ha="center",
                  textcoords="offset points", fontsize=FINE, color=colours.faint, annotation_clip=False,
                  parse_math=False)  # fmt: skip


def _key(axes: Any, colours: Colours, *groups: list[tuple[str, dict[str, Any]]]) -> None:
    """What marks and lines mean, in a row above the Axes; each group in a row of its own where one is too short for all."""
    wide, tall = points_of(axes)
    piece, gap = 15.0, 11.0
    entries = [e for group in groups for e in group]
    whole = sum(piece + 4 + text_size(name, SMALL)[0] + gap for name, _ in entries) - gap
    rows = [entries] if whole <= wide + 14 else groups
    for number, row in enumerate(rows):
        y = 1 + (10 + (len(rows) - 1 - number) * SMALL * (LINE + 0.25)) / tall
        x = 0.0
        for name, look in row:
            ends, marked = [x, x + piece / 2, x + piece], look | {"markevery": [1]}
            axes.plot([e / wide for e in ends], [y] * 3, transform=axes.transAxes, clip_on=False, **marked)
            axes.annotate(name, ((x + piece) / wide, y), xycoords="axes fraction", xytext=(4, 0), textcoords="offset points",
                          ha="left", va="center_baseline", fontsize=SMALL, color=colours.ink, annotation_clip=False,
                          parse_math=False)  # fmt: skip
            x += piece + 4 + text_size(name, SMALL)[0] + gap
