"""Place texts on lines and at points without overlap."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np

from airside.air.blocks import Array

# Heights over the font size: of a line of text among several, and of one line without its descenders.
LINE_HEIGHT, LETTER_HEIGHT = 1.24, 0.98
# Ways from a point to its text, all around; texts beside the point come before those above and below it.
_TURNS = np.radians([35, 145, -35, -145, 0, 180, 60, 120, -60, -120, 15, 165, -15, -165, 90, -90, 75, 105, -75, -105])
_REACHES = np.array([8.0, 14.0, 22.0, 32.0, 44.0, 58.0, 74.0, 92.0, 112.0, 140.0, 175.0, 215.0])  # points


@lru_cache(maxsize=4096)
def _width(text: str) -> float:
    """Width of one line of text over its font size."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    return float(text_to_path.get_text_width_height_descent(text, FontProperties(size=10), False)[0]) / 10


def text_size(text: str, points: float) -> tuple[float, float]:
    """Width and height of a text in points; several lines allowed. Nothing is drawn to measure it."""
    lines = text.split("\n")
    height = LETTER_HEIGHT + LINE_HEIGHT * (len(lines) - 1)
    return points * max(map(_width, lines)), points * height


class LabelPlacer:
    """Keeps what is already on one Axes, in pixels, and finds room for the next text.

    What is kept is a box with rounded corners each: centre x and y, half width, half height, radius, and
    whether it is a text. A turned text is a row of discs, so that lines of text may lie close beside each other. The Axes
    must have its place and limits before; they may not change afterwards.
    """

    def __init__(self, axes: Any) -> None:
        self.axes = axes
        self.pixels_per_point = axes.figure.dpi / 72
        left, bottom, width, height = axes.bbox.bounds
        self.frame = (left, bottom, left + width, bottom + height)
        (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
        self._scale = np.array([width / (x1 - x0), height / (y1 - y0)])
        self._origin = np.array([left, bottom]) - np.array([x0, y0]) * self._scale
        self._kept = np.empty((512, 6))
        self._count = 0
        # Grounds of the texts on lines, in data coordinates.
        self._grounds: list[Array] = []

    def pixels(self, x: Any, y: Any) -> Array:
        """Data coordinates as pixels, shape (n, 2)."""
        return np.asarray(np.column_stack([np.atleast_1d(x), np.atleast_1d(y)]) * self._scale + self._origin)

    def data(self, pixels: Any) -> Array:
        """Pixels as data coordinates, of the same shape."""
        return np.asarray((np.asarray(pixels) - self._origin) / self._scale)

    # -- what is kept ------------------------------------------------------------------------------

    def block(
        self, x: Any, y: Any, half_width: float = 0.0, half_height: float = 0.0, radius: float = 0.0,
        *, text: bool = False,
    ) -> None:  # fmt: skip
        """Keep texts away from boxes of one size, given in pixels; leaders keep away from texts too."""
        x = np.atleast_1d(x)
        count = self._count + len(x)
        while count > len(self._kept):
            self._kept = np.concatenate([self._kept, np.empty_like(self._kept)])
        rows = self._kept[self._count : count]
        rows[:, 0], rows[:, 1], rows[:, 2:] = x, y, (half_width, half_height, radius, text)
        self._count = count

    def block_line(self, x: Any, y: Any, margin: float = 5.0) -> None:
        """Keep texts away from a line given in data coordinates."""
        ends = self.pixels(x, y)
        length = _lengths(ends)
        at = np.linspace(0, length[-1], max(2, int(length[-1] / (1.5 * margin)) + 1))
        self.block(np.interp(at, length, ends[:, 0]), np.interp(at, length, ends[:, 1]), radius=margin)

    def block_box(self, x0: float, y0: float, x1: float, y1: float, radius: float = 3.0) -> None:
        """Keep texts away from a rectangle given by its corners in pixels."""
        self.block((x0 + x1) / 2, (y0 + y1) / 2, abs(x1 - x0) / 2, abs(y1 - y0) / 2, radius)

    def touched(
        self, x: Any, y: Any, half_width: float = 0.0, half_height: float = 0.0, radius: float = 0.0,
        *, inside: bool = True, texts: bool = False,
    ) -> Any:  # fmt: skip
        """How many of the kept boxes each of some boxes of one size touches.

        With ``inside``, a box that leaves the Axes counts as touching a thousand; with ``texts``, only
        texts count.
        """
        x, y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        rows = self._kept[: self._count]
        # Most of what is kept is far away.
        wide, high = half_width + radius + rows[:, 2] + rows[:, 4], half_height + radius + rows[:, 3] + rows[:, 4]
        near = (rows[:, 0] + wide > x.min()) & (rows[:, 0] - wide < x.max())
        near &= (rows[:, 1] + high > y.min()) & (rows[:, 1] - high < y.max())
        if texts:
            near &= rows[:, 5] > 0
        rows = rows[near]
        across = np.maximum(np.abs(x[..., None] - rows[:, 0]) - (half_width + rows[:, 2]), 0.0)
        along = np.maximum(np.abs(y[..., None] - rows[:, 1]) - (half_height + rows[:, 3]), 0.0)
        count = (across * across + along * along < (radius + rows[:, 4]) ** 2).sum(axis=-1)
        if inside:
            left, bottom, right, top = self.frame
            dx, dy = half_width + radius + 2, half_height + radius + 2
            within = (x >= left + dx) & (x <= right - dx) & (y >= bottom + dy) & (y <= top - dy)
            count = count + np.where(within, 0, 1000)
        return count

    def free(
        self, x: Any, y: Any, half_width: float = 0.0, half_height: float = 0.0, radius: float = 0.0,
        *, inside: bool = True,
    ) -> Any:  # fmt: skip
        """Whether boxes of one size touch nothing that is kept and lie inside the Axes, element by element."""
        return self.touched(x, y, half_width, half_height, radius, inside=inside) == 0

    # -- texts on lines ----------------------------------------------------------------------------

    def on_line(
        self, x: Any, y: Any, text: str, *, points: float, colour: str, prefer: float, group: str = "",
        ground: bool = True, inner: float = 6.0,
    ) -> bool:  # fmt: skip
        """Write a text along a line where there is room, as near as can be to a wanted place.

        Parameters
        ----------
        x, y : array
            The line, in data coordinates; only its part inside the Axes counts.
        text : str
        points : float
            Font size.
        colour : str
        prefer : float [points]
            Wanted distance of the text's near end from the line's first point; negative: from its last.
        group : str
            What the text belongs to: its gid once drawn.
        ground : bool
            Whether the line is hidden under the text; see `draw_grounds`.
        inner : float [points]
            Least length of line left before and after the text.

        Returns
        -------
        bool
            Whether there was room.
        """
        unit = self.pixels_per_point
        half, radius = 0.5 * text_size(text, points)[0] * unit, 0.60 * points * unit
        left, bottom, right, top = self.frame
        place = _dense(self.pixels(x, y))
        place = place[((place >= (left - 0.5, bottom - 0.5)) & (place <= (right + 0.5, top + 0.5))).all(axis=1)]
        if len(place) < 2:
            return False
        length = _lengths(place)
        first, last = half + inner * unit, length[-1] - half - inner * unit
        if last < first:
            return False
        wanted = half + prefer * unit if prefer >= 0 else length[-1] - half + prefer * unit
        wanted = min(max(wanted, first), last)
        at = np.concatenate([[wanted], np.arange(first, last, 5.0)])
        at = at[np.argsort(np.abs(at - wanted), kind="stable")]
        discs = np.linspace(-half, half, max(2, math.ceil(2 * half / (1.2 * radius))))
        # Most texts find room at once, so the places are tried in blocks.
        for low, high in pairwise([0, *range(4, len(at), 16), len(at)]):
            cx, cy, turn = _chords(at[low:high], half, length, place)
            rows_x = cx[:, None] + discs * np.cos(turn)[:, None]
            rows_y = cy[:, None] + discs * np.sin(turn)[:, None]
            fits = self.free(rows_x, rows_y, radius=radius).all(axis=1)
            if fits.any():
                k = int(np.argmax(fits))
                self.block(rows_x[k], rows_y[k], radius=radius)
                if ground:
                    self._add_ground(cx[k], cy[k], turn[k], half + 1.5 * unit, 0.58 * points * unit)
                self.write(cx[k], cy[k], text, points=points, colour=colour, turn=float(turn[k]), group=group)
                return True
        return False

    def write(
        self, x: float, y: float, text: str, *, points: float, colour: str, turn: float = 0.0, group: str = "",
        align: str = "center", zorder: float = 2.5,
    ) -> None:  # fmt: skip
        """Write a text in the middle of a place in pixels, turned by an angle [rad]; nothing is checked."""
        self.axes.text(
            *self.data((x, y)), text, rotation=math.degrees(turn), rotation_mode="anchor", ha=align,
            va="center_baseline", fontsize=points, color=colour, zorder=zorder, gid=group or None, parse_math=False,
        )  # fmt: skip

    def _add_ground(self, x: float, y: float, turn: float, half_width: float, half_height: float) -> None:
        along = np.array([np.cos(turn), np.sin(turn)])
        across = np.array([-along[1], along[0]])
        corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * (half_width, half_height)
        self._grounds.append(self.data(np.array([x, y]) + corners[:, :1] * along + corners[:, 1:] * across))

    def draw_grounds(self, paper: str, zorder: float = 2.0) -> None:
        """Hide the lines under the texts that stand on them."""
        from matplotlib.collections import PolyCollection

        if self._grounds:
            grounds = PolyCollection(self._grounds, facecolors=paper, edgecolors="none", zorder=zorder, gid="grounds")
            self.axes.add_collection(grounds, autolim=False)

    # -- texts at points ---------------------------------------------------------------------------

    def at_point(
        self, x: float, y: float, texts: Sequence[str], *, points: float, colour: str, paper: str, ink: str,
        style: Any = "solid", clear: float = 5.0,
    ) -> bool:  # fmt: skip
        """Write a text in a frame near a point of data coordinates, with a thin leader.

        The nearest place that is free wins. Where none is, the next shorter text is tried, and where that
        has none either, the last one may stand on lines; on another text it is left out.

        Parameters
        ----------
        x, y : float
            The point, in data coordinates.
        texts : sequence of str
            What is wanted first, then shorter forms of it.
        points : float
            Font size.
        colour, paper, ink : str
            Of the frame, its ground and the text.
        style : line style
            Of the frame.
        clear : float [points]
            Radius that the text leaves around its point.

        Returns
        -------
        bool
            Whether anything was written.
        """
        from matplotlib.lines import Line2D

        unit = self.pixels_per_point
        (px, py) = self.pixels(x, y)[0]
        for text in texts:
            width, height = text_size(text, points)
            wide, high = (0.5 * width + 0.35 * points) * unit, (0.5 * height + 0.35 * points) * unit
            spot, hides = self._spot(px, py, wide, high, points / 9 * unit, clear * unit)
            if not hides:
                break
        if hides and self.touched(*spot, wide, high, 2 * unit, texts=True):
            return False
        self.block(*spot, wide, high, 2 * unit, text=True)
        edge = (min(max(px, spot[0] - wide), spot[0] + wide), min(max(py, spot[1] - high), spot[1] + high))
        to = self.data(edge)
        self.block_line([x, to[0]], [y, to[1]], margin=2.0 * unit)
        leader = Line2D([x, to[0]], [y, to[1]], color=colour, linewidth=0.8, zorder=4.5, gid="leader",
                        transform=self.axes.transData)  # fmt: skip
        self.axes.add_artist(leader)
        self.axes.text(
            *self.data(spot), text, ha="center", va="center", fontsize=points, color=ink, zorder=6, parse_math=False,
            linespacing=1.2, gid="state",
            bbox={"facecolor": paper, "edgecolor": colour, "linewidth": 0.8, "linestyle": style,
                  "boxstyle": "square,pad=0.3"},
        )  # fmt: skip
        return True

    def _spot(
        self, px: float, py: float, wide: float, high: float, unit: float, clear: float
    ) -> tuple[tuple[float, float], bool]:
        """The best place for a frame of a half width and height near a point, all in pixels; whether it hides anything."""
        reach = _REACHES[:, None] * unit + clear
        ux, uy = np.cos(_TURNS), np.sin(_TURNS)
        # The frame's nearest edge or corner lies at the reach, so a text goes further out where it is wide.
        cx = px + reach * ux + wide * np.where(np.abs(ux) > 0.1, np.sign(ux), 0.0)
        cy = py + reach * uy + high * np.where(np.abs(uy) > 0.3, np.sign(uy), 0.0)
        touched = self.touched(cx, cy, wide, high, 2 * self.pixels_per_point)
        # A leader that crosses another text, or a text that has no room, costs more than a longer leader.
        steps = np.linspace(0.0, 0.9, 8)
        ex, ey = np.clip(px, cx - wide, cx + wide), np.clip(py, cy - high, cy + high)
        crossed = self.touched(ex[..., None] + steps * (px - ex)[..., None], ey[..., None] + steps * (py - ey)[..., None],
                               radius=1.0, inside=False, texts=True).sum(axis=-1) > 0  # fmt: skip
        cost = np.arange(cx.size).reshape(cx.shape) + 60.0 * crossed + 1e3 * touched
        k = np.unravel_index(int(np.argmin(cost)), cost.shape)
        return (float(cx[k]), float(cy[k])), bool(touched[k] or crossed[k])


def _dense(place: Array, step: float = 3.0) -> Array:
    """A line with a point every few pixels, so that what lies inside is known to a few pixels."""
    length = _lengths(place)
    at = np.linspace(0, length[-1], max(2, int(length[-1] / step)))
    return np.column_stack([np.interp(at, length, place[:, i]) for i in (0, 1)])


def _lengths(place: Array) -> Array:
    """Length along a line up to each of its points."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(place, axis=0).T))])


def _chords(at: Array, half: float, length: Array, place: Array) -> tuple[Array, Array, Array]:
    """Middle and angle [rad] of the chords on which texts of a half length lie; none stands on its head."""
    ends = [[np.interp(at + d, length, place[:, i]) for i in (0, 1)] for d in (-half, half)]
    turn = np.arctan2(ends[1][1] - ends[0][1], ends[1][0] - ends[0][0])
    turn = turn - np.where(turn > np.pi / 2, np.pi, 0.0) + np.where(turn <= -np.pi / 2, np.pi, 0.0)
    return np.interp(at, length, place[:, 0]), np.interp(at, length, place[:, 1]), turn
