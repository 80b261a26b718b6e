"""The one hand of all pictures beside the psychrometric chart: sizes, axes, ticks, and texts that keep apart.

A picture is `WIDTH` inches wide or a little more, so that letters of `SMALL` points are 9 px high or more where
the picture is shown 560 px wide.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from airside.show.labels import text_size
from airside.show.palette import THEMES, Colours, Theme
from airside.units import SYSTEMS, UnitSystem

# Inches.
WIDTH = 6.6
# Font sizes in points: labels of axes, everything else, and what is beside the matter.
LARGE, SMALL, FINE = 9.5, 8.5, 8.0
# Lines of text stand this far apart, over the font size.
LINE = 1.2
# Letters of a text from a file, at most.
LONGEST = 400


def colours_of(theme: Theme, units: UnitSystem) -> Colours:
    """Colours of a theme.

    Raises
    ------
    ValueError
        An unknown theme or unit system.
    """
    for value, known, name in ((theme, tuple(THEMES), "theme"), (units, SYSTEMS, "units")):
        if value not in known:
            raise ValueError(f"{name} is {value!r}; expected one of {', '.join(map(repr, known))}")
    return THEMES[theme]


def new_figure(width: float, height: float, colours: Colours) -> Any:
    """A figure [inches]; no pyplot, so nothing is kept open."""
    from matplotlib.figure import Figure

    from airside.show.kept_text import KeptTextCanvas

    figure = Figure(figsize=(width, height), facecolor=colours.paper, layout=None)
    KeptTextCanvas(figure)
    return figure


def axes_in_inches(figure: Any, left: float, bottom: float, width: float, height: float) -> Any:
    """An Axes at a place [inches]: texts have their room whatever the size of the figure."""
    across, up = figure.get_size_inches()
    return figure.add_axes((left / across, bottom / up, width / across, height / up))


def points_of(axes: Any) -> tuple[float, float]:
    """Width and height of an Axes in points."""
    place, (across, up) = axes.get_position(), axes.figure.get_size_inches()
    return float(place.width * across * 72), float(place.height * up * 72)


def dress(axes: Any, colours: Colours, *, left: bool = True, bottom: bool = True) -> None:
    """Paper, ink, and no more spines than there are scales."""
    axes.set_facecolor(colours.paper)
    axes.tick_params(colors=colours.ink, labelsize=SMALL, length=3.5)
    for side, spine in axes.spines.items():
        spine.set_visible((side == "left" and left) or (side == "bottom" and bottom))
        spine.set_color(colours.ink)
    if not left:
        axes.set_yticks([])
    if not bottom:
        axes.set_xticks([])


def label(axes: Any, colours: Colours, *, x: str = "", y: str = "") -> None:
    """Words of the scales."""
    if x:
        axes.set_xlabel(x, color=colours.ink, fontsize=LARGE, parse_math=False)
    if y:
        axes.set_ylabel(y, color=colours.ink, fontsize=LARGE, parse_math=False)


def few_ticks(axis: Any, most: int) -> None:
    """A few round numbers on an axis, thousands set apart."""
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    axis.set_major_locator(MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]))
    # A zero with a minus says nothing.
    axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value + 0.0:,.10g}"))


def one_line(text: str) -> str:
    """A text from a file for a picture: on one line, no longer than can be of use, without what cannot be drawn."""
    found = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in " ".join(text.split()))
    return found if len(found) <= LONGEST else f"{found[: LONGEST // 2]}…{found[-LONGEST // 2 :]}"


@lru_cache(maxsize=2048)
def _step(letter: str) -> float:
    """How far a letter moves the next one, over the font size."""
    # No letter closes up to an n.
    return (text_size(f"n{letter}n", 1000.0)[0] - text_size("nn", 1000.0)[0]) / 1000.0


def _length(text: str, points: float) -> float:
    """Length of a text [points], letter by letter: what is cut again and again need not be laid out each time."""
    # Pairs of letters stand a little closer or further apart than their sum says.
    return 1.02 * points * sum(map(_step, text))


def _cut(text: str, kept: int) -> str:
    """A text with so many of its letters, from its begin and its end."""
    return f"{text[: kept - kept // 2].rstrip()}…{text[len(text) - kept // 2 :].lstrip()}"


def shortened(text: str, points: float, width: float) -> str:
    """A text cut in its middle to a width [points]: how a name ends says as much as how it begins."""
    text = one_line(text)
    if _length(text, points) <= width:
        return text
    for kept in range(len(text) - 1, 1, -1):
        if _length(_cut(text, kept), points) <= width:
            return _cut(text, kept)
    return "…"


def wrapped(text: str, points: float, width: float, most: int = 2) -> str:
    """A text on up to so many lines of a width [points]; cut in its middle where they are not enough."""
    # A number and its unit stay on one line.
    whole = re.sub(r"(\d) (?=[%°])", "\\1\u00a0", one_line(text))
    lines, kept = _lines(whole, points, width), len(whole)
    while len(lines) > most and kept > 2:
        kept -= max(1, kept // 40)
        lines = _lines(_cut(whole, kept), points, width)
    # As many lines, but of more equal lengths.
    joined = " ".join(lines)
    for narrower in (0.6, 0.7, 0.8, 0.9):
        even = _lines(joined, points, narrower * width)
        if len(even) == len(lines) and " ".join(even) == joined:
            lines = even
            break
    return "\n".join(lines)


def _lines(text: str, points: float, width: float) -> list[str]:
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip(" ")
        if _length(longer, points) <= width or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
        # A word that is longer than a line goes on in the next one.
        while len(lines[-1]) > 1 and _length(lines[-1], points) > width:
            room = np.cumsum([1.02 * points * _step(c) for c in lines[-1]])
            fits = max(int(np.searchsorted(room, width, side="right")), 1)
            lines[-1:] = [lines[-1][:fits], lines[-1][fits:]]
    return lines


def spread(wanted: Sequence[float], sizes: Sequence[float], low: float, high: float, gap: float = 0.0) -> list[float]:
    """Middles of boxes along a line that keep apart, each as near as can be to where it is wanted.

    Parameters
    ----------
    wanted, sizes : sequence of float
        Middles and lengths, in one unit; in any order.
    low, high : float
        Ends of the line; where it is too short for all, the boxes run over its upper end.
    gap : float
        Between two boxes.

    Returns
    -------
    list of float
        Middles, in the order given.
    """
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    # Groups of boxes that touch: members, their whole length, and the mean of where they want it to begin.
    groups: list[tuple[list[int], float, float]] = []
    for i in order:
        groups.append(([i], sizes[i], wanted[i] - sizes[i] / 2))
        while True:
            members, length, begin = groups[-1]
            begin = max(min(begin, high - length), low)
            groups[-1] = (members, length, begin)
            if len(groups) < 2 or groups[-2][2] + groups[-2][1] + gap <= begin:
                break
            first, one, at = groups[-2]
            # The second group would have the first begin this much earlier.
            share = len(first) / (len(first) + len(members))
            joint = share * at + (1 - share) * (begin - one - gap)
            groups[-2:] = [(first + members, one + gap + length, joint)]
    places = [0.0] * len(order)
    for members, _, begin in groups:
        for i in members:
            places[i] = begin + sizes[i] / 2
            begin += sizes[i] + gap
    return places
