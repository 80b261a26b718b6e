"""Place texts on lines and at points without overlap."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from airside.air.blocks import Array


class LabelPlacer:
    """Keeps the boxes of texts already placed on one Axes, in pixels, and finds room for the next.

    Text sizes are estimated from the font size, so that nothing has to be drawn to be measured.
    """

    def __init__(self, axes: Any) -> None:
        self.axes = axes
        self.dpi = axes.figure.dpi
        # Each: centre x, centre y, half width, half height, in pixels.
        self.boxes: list[tuple[float, float, float, float]] = []

    def pixels(self, x: Any, y: Any) -> Array:
        """Data coordinates as pixels, shape (n, 2)."""
        return np.asarray(self.axes.transData.transform(np.column_stack([np.atleast_1d(x), np.atleast_1d(y)])))

    def size(self, text: str, points: float) -> tuple[float, float]:
        """Half width and half height of a text in pixels; several lines allowed."""
        lines = text.split("\n")
        scale = points * self.dpi / 72
        return 0.30 * scale * max(map(len, lines)), 0.66 * scale * len(lines)

    def is_free(self, x: float, y: float, half_width: float, half_height: float) -> bool:
        """Whether a box is inside the Axes and touches no other."""
        left, bottom, width, height = self.axes.bbox.bounds
        if not (left + half_width + 2 <= x <= left + width - half_width - 2):
            return False
        if not (bottom + half_height + 2 <= y <= bottom + height - half_height - 2):
            return False
        return all(abs(x - bx) >= half_width + bw or abs(y - by) >= half_height + bh for bx, by, bw, bh in self.boxes)

    def block(self, x: float, y: float, half_width: float, half_height: float) -> None:
        """Keep texts away from a box given in pixels."""
        self.boxes.append((x, y, half_width, half_height))

    def block_line(self, x: Any, y: Any, margin: float = 5.0) -> None:
        """Keep texts away from a line given in data coordinates."""
        ends = self.pixels(x, y)
        for (x0, y0), (x1, y1) in pairwise(ends):
            count = max(2, int(math.hypot(x1 - x0, y1 - y0) / (2 * margin)))
            for f in np.linspace(0, 1, count):
                self.block(x0 + f * (x1 - x0), y0 + f * (y1 - y0), margin, margin)

    def on_line(
        self, x: Array, y: Array, text: str, *, points: float, colour: str, paper: str, fractions: tuple[float, ...]
    ) -> bool:
        """Write a text along a line where there is room; try the fractions of its visible length in turn."""
        place = self.pixels(x, y)
        left, bottom, width, height = self.axes.bbox.bounds
        inside = (
            (place[:, 0] >= left) & (place[:, 0] <= left + width)
            & (place[:, 1] >= bottom) & (place[:, 1] <= bottom + height)
        )  # fmt: skip
        place = place[inside]
        if len(place) < 2:
            return False
        length = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(place, axis=0).T))])
        half_width, half_height = self.size(text, points)
        if length[-1] < 3 * half_width:
            return False
        for fraction in fractions:
            at = fraction * length[-1]
            cx, cy = np.interp(at, length, place[:, 0]), np.interp(at, length, place[:, 1])
            low, high = max(at - half_width, 0), min(at + half_width, length[-1])
            dx = np.interp(high, length, place[:, 0]) - np.interp(low, length, place[:, 0])
            dy = np.interp(high, length, place[:, 1]) - np.interp(low, length, place[:, 1])
            angle = math.degrees(math.atan2(dy, dx))
            angle -= 180 if angle > 90 else (-180 if angle < -90 else 0)
            turn = math.radians(angle)
            wide = half_width * abs(math.cos(turn)) + half_height * abs(math.sin(turn))
            high_ = half_width * abs(math.sin(turn)) + half_height * abs(math.cos(turn))
            if not self.is_free(cx, cy, wide, high_):
                continue
            self.block(cx, cy, wide, high_)
            data = self.axes.transData.inverted().transform((cx, cy))
            self.axes.text(
                *data, text, rotation=angle, rotation_mode="anchor", ha="center", va="center_baseline",
                fontsize=points, color=colour, zorder=2.5, clip_on=True,
                bbox={"facecolor": paper, "edgecolor": "none", "pad": 0.6, "alpha": 0.9},
            )  # fmt: skip
            return True
        return False

    def at_point(self, x: float, y: float, text: str, *, points: float, colour: str, paper: str, ink: str) -> None:
        """Write a text near a point where there is room, with a thin leader; the nearest place wins."""
        ((px, py),) = self.pixels(x, y)
        half_width, half_height = self.size(text, points)
        pad = 0.25 * points * self.dpi / 72
        wide, high = half_width + pad, half_height + pad
        choices = []
        for reach in (12, 22, 36, 54, 76, 100, 130):
            for ux, uy in ((1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1)):
                choices.append((px + ux * (wide + reach * (0.4 if uy else 1)), py + uy * (high + reach)))
        spot = next((c for c in choices if self.is_free(*c, wide, high)), choices[0])
        self.block(*spot, wide, high)
        data = self.axes.transData.inverted().transform(spot)
        self.axes.annotate(
            text, xy=(x, y), xytext=data, ha="center", va="center", fontsize=points, color=ink, zorder=6, parse_math=False,
            bbox={"facecolor": paper, "edgecolor": colour, "linewidth": 0.8, "boxstyle": "square,pad=0.25"},
            arrowprops={"arrowstyle": "-", "color": colour, "linewidth": 0.8, "shrinkA": 0, "shrinkB": 3},
        )  # fmt: skip
