"""Picture of a plan: the smallest change that could be seen now, and with each thing that could be done."""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.compare.planning import Plan
from airside.show.palette import Theme
from airside.show.plain_axes import (
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
    wrapped,
)
from airside.units import UnitSystem, percent

# Inches: room of the words left of the bars, and of the scale below them.
WORDS, SCALE = 3.1, 0.62
NOW = "the visit as it is now"


def plan_chart(plan: Plan, *, units: UnitSystem = "SI", theme: Theme = "light") -> Any:
    """The smallest changes that could be seen, as bars: the visit as it is on top, then each option, best first.

    Parameters
    ----------
    plan : Plan
        From `airside.plan`.
    units : "IP" or "SI"
        All is in percent; taken so that every picture is called alike.
    theme : "light", "dark" or "print"

    Returns
    -------
    matplotlib Figure
        6.6 inches wide, as high as the options need.
    """
    colours = colours_of(theme, units)
    now = plan.smallest_detectable_ratio
    rows = [(NOW, now), *((o.action, o.smallest_detectable_ratio) for o in plan.options)]
    named = [(wrapped(text, SMALL, (WORDS - 0.2) * 72, 3), ratio) for text, ratio in rows]
    # Each row is as high as its words, and no lower than two lines.
    heights = [max(2, text.count("\n") + 1) * SMALL * LINE + 7 for text, _ in named]
    high = sum(heights)
    figure = new_figure(WIDTH, high / 72 + SCALE + 0.32, colours)
    axes = axes_in_inches(figure, WORDS, SCALE, WIDTH - WORDS - 0.2, high / 72)
    middles = high - np.cumsum(heights) + np.array(heights) / 2
    shown = [max(ratio, 0.0) * 100 if np.isfinite(ratio) else 0.0 for _, ratio in named]
    longest = max([*shown, 0.1])
    # Room for the numbers at the ends of the bars.
    axes.set_xlim(0, longest * points_of(axes)[0] / (points_of(axes)[0] - 42))
    axes.set_ylim(0, high)
    dress(axes, colours)
    axes.set_yticks([])
    few_ticks(axes.xaxis, 6)
    label(axes, colours, x="Smallest change that could be seen reliably, %")
    # Black bars are heavy on paper.
    ink = colours.series[4 if theme == "print" else 0]
    for index, ((text, ratio), at, value) in enumerate(zip(named, middles, shown, strict=True)):
        # The visit as it is is an open bar: a word and a form say which it is, not a colour.
        axes.barh([at], [value], height=13, linewidth=1.2, edgecolor=ink,
                  color=colours.paper if index == 0 else ink)  # fmt: skip
        said = percent(ratio, 1) if np.isfinite(ratio) else "not known"
        for words, x, side, shift, weight in (
            (text, 0.0, "right", -7, "bold" if index == 0 else "normal"), (said, value, "left", 5, "normal"),
        ):  # fmt: skip
            axes.annotate(words, (x, at), xytext=(shift, 0), textcoords="offset points", ha=side, va="center",
                          fontsize=SMALL, color=colours.ink, weight=weight, linespacing=LINE, parse_math=False,
                          annotation_clip=False)  # fmt: skip
    if plan.options and np.isfinite(now) and now > 0:
        _half(axes, now * 50, high, colours)
    return figure


def _half(axes: Any, at: float, high: float, colours: Any) -> None:
    """Where the smallest change would be halved: what a plan is often asked for."""
    axes.plot([at, at], [0, high], color=colours.ink, linewidth=0.9, linestyle=(0, (2, 2)), zorder=0.5)
    axes.annotate("half of the first bar", (at, high), xytext=(0, 3), textcoords="offset points", ha="center", va="bottom",
                  fontsize=SMALL, color=colours.ink, annotation_clip=False)  # fmt: skip
