"""The report's pictures, as SVG that can stand in a page beside others: ids of its own, no style for the whole page."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree

import numpy as np

from airside.compare.result import Change
from airside.show.palette import THEMES, Colours, Theme
from airside.show.report.wording import with_minus
from airside.units import KINDS, UnitSystem, from_inside

# Inches: as wide as the text of an A4 or Letter page, so that the words in a picture are as large as beside it.
WIDTH = 7.0
# Characters that XML cannot hold; an instrument's name may have them.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_SVG, _LINK = "{http://www.w3.org/2000/svg}", "{http://www.w3.org/1999/xlink}href"
_REFERENCE = re.compile(r"url\(#([^)]+)\)")


def theme() -> Theme:
    """The colours of print, where the palette has them."""
    return next((t for t in THEMES if t == "print"), "light")


def new_figure(height: float) -> Any:
    """A figure [inches] of the page's width."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(WIDTH, height), facecolor=THEMES[theme()].paper)
    FigureCanvasAgg(figure)
    return figure


def inline_svg(figure: Any, name: str, words: str) -> str:
    """A figure as an ``svg`` element to stand in HTML.

    Parameters
    ----------
    figure : matplotlib Figure
    name : str
        Put before each id, so that the ids of two pictures in one page differ.
    words : str
        What the picture shows, for who cannot see it.
    """
    from airside.show.psychrometric import figure_bytes

    text = _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", figure_bytes(figure, "svg").decode())
    root = ElementTree.fromstring(text)
    for parent in list(root.iter()):
        for child in list(parent):
            # A style sheet in the picture would count for the whole page.
            if child.tag in (f"{_SVG}metadata", f"{_SVG}style"):
                parent.remove(child)
    for element in root.iter():
        if element.text:
            element.text = with_minus(element.text)
    used = _references(root)
    for element in root.iter():
        element.tag = str(element.tag).removeprefix(_SVG)
        for key, value in list(element.attrib.items()):
            del element.attrib[key]
            plain = "href" if key == _LINK else key
            if plain == "id":
                # matplotlib names every group, and repeats what it uses twice: one name for each is enough.
                if value not in used:
                    continue
                used.discard(value)
                value = f"{name}-{value}"
            elif plain == "href":
                value = f"#{name}-{value.removeprefix('#')}"
            element.attrib[plain] = _REFERENCE.sub(rf"url(#{name}-\1)", value)
        # Line ends between elements are matplotlib's indentation.
        element.tail = None if element.tail is None or not element.tail.strip() else element.tail
    root.attrib.pop("version", None)
    root.attrib |= {"role": "img", "aria-label": words, "style": "stroke-linejoin: round; stroke-linecap: butt"}
    return ElementTree.tostring(root, encoding="unicode")


def _references(root: Any) -> set[str]:
    """The ids that something in a picture refers to."""
    values = [(key, value) for element in root.iter() for key, value in element.attrib.items()]
    links = {value.removeprefix("#") for key, value in values if key == _LINK}
    return links.union(*(_REFERENCE.findall(value) for _, value in values))


def change_for_customer(change: Change) -> Any:
    """The relative change on one line, with its 95 % interval; None where there is nothing to draw."""
    from airside.show.change import density

    found = change.ratios[change.basis]
    if not np.isfinite(found.standard_uncertainty) or found.standard_uncertainty == 0:
        return None
    colours = THEMES[theme()]
    figure = new_figure(2.0)
    axes = figure.add_axes((0.03, 0.27, 0.94, 0.70))
    draws = change.draws[change.basis] * 100
    first, last = (v * 100 for v in found.interval_95)
    value = found.value * 100
    # From no change to the far end of the interval, with room for words on both sides.
    room = 0.25 * (max(last, 0.0) - min(first, 0.0))
    low = min(float(np.quantile(draws, 0.001)), min(first, 0.0) - room)
    high = max(float(np.quantile(draws, 0.999)), max(last, 0.0) + room)
    x, y = density(draws, low, high)
    colour = colours.series[0]
    inside = (x >= first) & (x <= last)
    axes.fill_between(x[inside], 0, y[inside], color=colour, alpha=0.22, linewidth=0)
    axes.plot(x, y, color=colour, linewidth=1.0)
    axes.plot([0, 0], [-0.34, 1.2], color=colours.ink, linewidth=1.2, linestyle=(0, (3, 2)))
    axes.plot([first, last], [0, 0], color=colour, linewidth=4, solid_capstyle="butt", zorder=3)
    axes.plot([value], [0], marker="D", markersize=9, color=colour, markeredgecolor=colours.paper, zorder=4)
    coarse = last - first >= 4
    texts = [
        f"{v:+.{0 if coarse and abs(v) >= 1 else 1}f} %".replace("-", "\N{MINUS SIGN}") for v in (value, first, last)
    ]
    places = [(value, texts[0], 11.5), (first, texts[1], 9.5), (last, texts[2], 9.5)]
    if last - first <= (high - low) / 4:
        # Three numbers would stand on each other.
        places = [(value, f"{texts[0]} ({texts[1]} to {texts[2]})", 9.5)]
    for at, text, size in places:
        paper = {"facecolor": colours.paper, "edgecolor": "none", "pad": 0.5}
        axes.text(at, -0.10, text, color=colours.ink, fontsize=size, ha="center", va="top", bbox=paper)
    axes.text(0, 1.24, "no change", color=colours.ink, fontsize=9.5, ha="center", va="bottom")
    axes.set_xlim(low, high)
    axes.set_ylim(-0.34, 1.5)
    _only_bottom(axes, colours)
    for at, side, words in (
        (0.0, "left", "◂ less than before"),
        (0.5, "center", f"change of the {change.before.visit.mode} that is delivered, %"),
        (1.0, "right", "more than before ▸"),
    ):
        axes.annotate(words, (at, 0), xycoords="axes fraction", xytext=(0, -20), textcoords="offset points", ha=side,
                      va="top", color=colours.ink, fontsize=9.5)  # fmt: skip
    return figure


def ranges_for_customer(rows: Sequence[tuple[str, float, tuple[float, float] | None]], units: UnitSystem) -> Any:
    """Capacities [W] under each other, each as a point with its 95 % interval.

    Parameters
    ----------
    rows : sequence of (name, value, interval or None)
    units : "IP" or "SI"
    """
    colours = THEMES[theme()]
    figure = new_figure(0.75 + 0.42 * len(rows))
    height = 0.42 * len(rows) / (0.75 + 0.42 * len(rows))
    axes = figure.add_axes((0.40, 0.94 - height, 0.57, height))
    label, top = KINDS["capacity"].display(units).label, 0.0
    for place, (name, value, interval) in enumerate(reversed(rows)):
        shown = float(from_inside(value, "capacity", units))
        marker = "D" if place == len(rows) - 1 else "s"
        colour = colours.series[0] if place == len(rows) - 1 else colours.faint
        ends = (shown, shown)
        if interval is not None and np.all(np.isfinite(interval)):
            low, high = (float(from_inside(v, "capacity", units)) for v in interval)
            ends = (low, high)
            axes.plot([low, high], [place, place], color=colour, linewidth=4, solid_capstyle="butt", alpha=0.75)
        axes.plot([shown], [place], marker=marker, markersize=9, color=colour, markeredgecolor=colours.paper, zorder=4)
        axes.annotate(name, (0, place), xycoords=("axes fraction", "data"), xytext=(-8, 0), textcoords="offset points",
                      ha="right", va="center", fontsize=9.5, color=colours.ink)  # fmt: skip
        top = max(top, *ends)
    axes.set_ylim(-0.6, len(rows) - 0.4)
    axes.set_xlim(min(0.0, *(float(from_inside(v, "capacity", units)) for _, v, _ in rows)), top * 1.06)
    _only_bottom(axes, colours)
    axes.xaxis.set_major_formatter(lambda v, _: f"{v:,.0f}" if units == "IP" else f"{v:g}")
    axes.grid(axis="x", color=colours.grid, linewidth=0.6)
    axes.set_axisbelow(True)
    axes.set_xlabel(label, color=colours.ink, fontsize=9.5)
    return figure


def _only_bottom(axes: Any, colours: Colours) -> None:
    axes.set_facecolor(colours.paper)
    axes.set_yticks([])
    axes.tick_params(colors=colours.ink, labelsize=9)
    for side, spine in axes.spines.items():
        spine.set_visible(side == "bottom")
        spine.set_color(colours.ink)
