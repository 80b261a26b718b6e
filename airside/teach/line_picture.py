"""Pictures of a lesson that no result has of its own: lines over an axis, readings in order, an image file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from airside.errors import AirsideError
from airside.show.palette import DASHED, DOTTED, MARKERS, Theme
from airside.show.plain_axes import LINE, SMALL, axes_in_inches, colours_of, dress, few_ticks, label, new_figure, spread
from airside.teach.picture_parameters import Lines
from airside.units import KINDS, UnitSystem, from_inside
from airside.visit.analysis import VisitResult

# Inches.
WIDTH, HEIGHT, LEFT, FOOT, NAMES = 6.6, 3.7, 0.85, 0.6, 1.35
LARGEST_IMAGE = 10_000_000
# Width and height of an image [px].
MOST_PIXELS = 8_000
STYLES = ("solid", DASHED, DOTTED, (0, (6, 2, 1.2, 2)), (0, (9, 3)))


@dataclass(frozen=True)
class Drawn:
    """One line in display units."""

    name: str
    x: Any
    y: Any


def line_picture(given: Lines, *, units: UnitSystem, theme: Theme) -> Any:
    """Lines from numbers that stand in a lesson; gives the figure.

    Parameters
    ----------
    given : Lines
    units : "IP" or "SI"
    theme : "light", "dark" or "print"

    Returns
    -------
    matplotlib Figure
    """

    def shown(axis: Any, values: Sequence[float]) -> Any:
        return np.array([float(from_inside(axis.inside(v), axis.kind, units)) for v in values])

    x = shown(given.across, given.across.values)
    lines = [Drawn(line.name, x, shown(given.up, line.values)) for line in given.lines]
    levels = [(at.name, float(shown(given.up, [at.value])[0])) for at in given.levels]
    moments = [(at.name, float(shown(given.across, [at.value])[0])) for at in given.moments]
    words = (_words(given.across.label, given.across.kind, units), _words(given.up.label, given.up.kind, units))
    return _draw(lines, levels, moments, words, units, theme, dots=given.dots)


def readings_picture(result: VisitResult, quantity: str, *, units: UnitSystem, theme: Theme) -> Any:
    """A visit's readings in the order in which they were taken; gives the figure.

    Parameters
    ----------
    result : VisitResult
    quantity : "dry bulb", "humidity" or "total capacity"
    units : "IP" or "SI"
    theme : "light", "dark" or "print"

    Raises
    ------
    AirsideError
        The visit has too few readings to be drawn.
    """
    readings = result.visit.readings
    series: list[tuple[str, Sequence[float]]]
    if quantity == "total capacity":
        from airside.visit.inputs import mean_inputs
        from airside.visit.steady import capacity_series

        found = capacity_series(result.visit, mean_inputs(result.visit))
        series, kind, words = [("total capacity", [] if found is None else list(found))], "capacity", "Total capacity"
    else:
        places = {"return": readings.return_air, "supply": readings.supply}
        name = "dry_bulb" if quantity == "dry bulb" else readings.return_air.humidity_name or "relative_humidity"
        series = [(place, values) for place, air in places.items() if (values := getattr(air, name))]
        kind = "relative_humidity" if name == "relative_humidity" else "temperature"
        words = name.replace("_", " ").capitalize()
    series = [(name, values) for name, values in series if len(values) > 1]
    if not series:
        raise AirsideError(f"{result.visit.name}: there are too few readings to draw the {quantity} over time.")
    step = readings.interval
    lines = []
    for name, values in series:
        x = np.arange(1, len(values) + 1, dtype=float)
        if step is not None:
            x = (x - 1) * float(from_inside(step, "time", units))
        lines.append(Drawn(name, x, np.array([float(from_inside(v, kind, units)) for v in values])))
    across = "Reading, in order" if step is None else _words("Time", "time", units)
    return _draw(lines, [], [], (across, _words(words, kind, units)), units, theme, dots=True)


def _words(text: str, kind: str, units: UnitSystem) -> str:
    unit = KINDS[kind].display(units).label
    return f"{text}, {unit}" if unit else text


def _draw(
    lines: Sequence[Drawn],
    levels: Sequence[tuple[str, float]],
    moments: Sequence[tuple[str, float]],
    words: tuple[str, str],
    units: UnitSystem,
    theme: Theme,
    *,
    dots: bool,
) -> Any:
    colours = colours_of(theme, units)
    figure = new_figure(WIDTH, HEIGHT, colours)
    axes = axes_in_inches(figure, LEFT, FOOT, WIDTH - LEFT - NAMES, HEIGHT - FOOT - 0.35)
    dress(axes, colours)
    few_ticks(axes.xaxis, 8)
    few_ticks(axes.yaxis, 7)
    label(axes, colours, x=words[0], y=words[1])
    values = [v for line in lines for v in line.y] + [v for _, v in levels]
    low, high = min(values), max(values)
    room = 0.08 * (high - low) or 0.05 * abs(high) or 1.0
    axes.set_ylim(low - room, high + room)
    across = [float(v) for line in lines for v in line.x] + [v for _, v in moments]
    axes.set_xlim(min(across), max(across) if max(across) > min(across) else min(across) + 1)
    for index, line in enumerate(lines):
        axes.plot(
            line.x, line.y, color=colours.series[index], linestyle=STYLES[index] if not dots else "solid", linewidth=1.7,
            marker=MARKERS[index] if dots else None, markersize=4.5, clip_on=False, zorder=3,
        )  # fmt: skip
    for _, level in levels:
        axes.axhline(level, color=colours.faint, linewidth=1.0, linestyle=(0, (2, 2)), zorder=1)
    for name, moment in moments:
        axes.axvline(moment, color=colours.faint, linewidth=1.0, linestyle=(0, (2, 2)), zorder=1)
        axes.annotate(name, (moment, 1.0), xycoords=axes.get_xaxis_transform(), xytext=(0, 4), textcoords="offset points",
                      ha="center", va="bottom", fontsize=SMALL, color=colours.ink, parse_math=False,
                      annotation_clip=False)  # fmt: skip
    _name(axes, lines, levels, colours)
    return figure


def _name(axes: Any, lines: Sequence[Drawn], levels: Sequence[tuple[str, float]], colours: Any) -> None:
    """Names at the right ends, kept apart."""
    from airside.show.plain_axes import wrapped

    high = float(axes.get_position().height * axes.figure.get_size_inches()[1] * 72)
    low, top = axes.get_ylim()
    names = [(line.name, float(line.y[-1]), colours.series[i]) for i, line in enumerate(lines)]
    names += [(name, level, colours.ink) for name, level in levels]
    names.sort(key=lambda n: n[1])
    texts = [wrapped(name, SMALL, NAMES * 72 - 14, 3) for name, _, _ in names]
    sizes = [(t.count("\n") + 1) * SMALL * LINE for t in texts]
    places = spread([(v - low) / (top - low) * high for _, v, _ in names], sizes, -14.0, high + 14.0, 5.0)
    for text, place, (_, value, colour) in zip(texts, places, names, strict=True):
        # A short stroke leads from the line's end to its name.
        axes.annotate("", (1.0, (value - low) / (top - low)), xycoords="axes fraction",
                      xytext=(1.0 + 9 / (axes.get_position().width * axes.figure.get_size_inches()[0] * 72), place / high),
                      textcoords="axes fraction", annotation_clip=False,
                      arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 1.0, "shrinkA": 0, "shrinkB": 0})  # fmt: skip
        axes.annotate(text, (1.0, place / high), xycoords="axes fraction", xytext=(11, 0), textcoords="offset points",
                      ha="left", va="center", fontsize=SMALL, color=colours.ink, parse_math=False, linespacing=LINE,
                      annotation_clip=False)  # fmt: skip


def image_picture(file: Path, *, theme: Theme) -> Any:
    """An image file on the theme's paper; gives the figure.

    Raises
    ------
    AirsideError
        It is no PNG or JPEG, or it is too large.
    """
    if file.suffix.lower() not in (".png", ".jpg", ".jpeg"):
        raise AirsideError(f"{file.name}: ends in {file.suffix or 'nothing'}; expected .png, .jpg or .jpeg.")
    try:
        size = file.stat().st_size
    except OSError as error:
        raise AirsideError(f"{file}: cannot be read ({error.strerror}).") from None
    if size > LARGEST_IMAGE:
        raise AirsideError(f"{file.name}: is larger than {LARGEST_IMAGE:,} bytes. Make the picture smaller.")
    from PIL import Image

    try:
        with Image.open(file, formats=("PNG", "JPEG")) as image:
            wide, high = image.size
            if max(wide, high) > MOST_PIXELS:
                raise AirsideError(f"{file.name}: is {wide} by {high} pixels; at most {MOST_PIXELS} each way.")
            pixels = np.asarray(image.convert("RGBA"))
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise AirsideError(f"{file.name}: is not a whole PNG or JPEG picture.") from None
    colours = colours_of(theme, "SI")
    figure = new_figure(WIDTH, max(0.5, min(WIDTH * high / wide, 9.0)), colours)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.imshow(pixels)
    axes.axis("off")
    return figure
