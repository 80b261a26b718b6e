"""How well a state on a psychrometric chart is known: the ellipse of its draws, or the draws themselves."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from airside.air.blocks import Array
from airside.air.state import MoistAir
from airside.show.chart_lines import saturation_curve
from airside.show.chart_sheet import Sheet

Doubt = Literal["ellipse", "cloud", "none"]
# Of a normal distribution in two quantities, this share lies inside the ellipse where the squared distance, in
# standard deviations, is -2 ln(1 - share): the chi-square distribution with 2 degrees of freedom; any text on statistics,
# from memory.
SHARE = 0.95
SQUARED_DISTANCE = -2.0 * math.log(1.0 - SHARE)
# Points of a cloud that are drawn at most; more only blacken it.
MOST_POINTS = 400


def points_of(state: MoistAir) -> Array:
    """A state, or an array of them, as dry bulb [°C] and humidity ratio [kg/kg], shape (n, 2); without those not known."""
    t, w = np.broadcast_arrays(np.asarray(state.dry_bulb), np.asarray(state.humidity_ratio))
    points = np.column_stack([t.reshape(-1), w.reshape(-1)])
    return np.asarray(points[np.isfinite(points).all(axis=1)])


# One chart asks for the same ellipses several times: for its window, its legend and to draw them.
@lru_cache(maxsize=4)
def ellipse(draws: MoistAir) -> tuple[Array, Array] | None:
    """The ellipse that holds 95 % of a state's draws.

    Parameters
    ----------
    draws : MoistAir
        Arrays; draws that are not numbers are left out.

    Returns
    -------
    tuple of arrays, or None
        Centre, shape (2,) [°C, kg/kg], and the axes, shape (2, 2): the ellipse is
        ``centre + axes @ (cos a, sin a)``. None where the draws do not spread in both.

    Notes
    -----
    Of the draws' mean and covariance, as for a normal distribution: it holds where the squared
    Mahalanobis distance is below the 95 % point of chi-square with 2 degrees of freedom. An ellipse
    of the covariance stays one in any unit.
    """
    points = points_of(draws)
    if len(points) < 3:
        return None
    covariance = np.cov(points.T)
    if not (covariance[0, 0] > 0 and covariance[1, 1] > 0):
        return None
    # In standard deviations first: °C and kg/kg differ by a factor of thousands.
    deviation = np.sqrt(np.diag(covariance))
    values, vectors = np.linalg.eigh(covariance / np.outer(deviation, deviation))
    axes = vectors * np.sqrt(np.maximum(values, 0.0) * SQUARED_DISTANCE)
    return points.mean(axis=0), axes * deviation[:, None]


def draw_doubt(sheet: Sheet, draws: MoistAir, doubt: Doubt, colour: str, style: Any) -> None:
    """Draw the ellipse or the cloud of a state's draws, and keep texts off it."""
    if doubt == "cloud":
        draw_cloud(sheet, points_of(draws), colour)
        if (shape := ellipse(draws)) is not None:
            block_ellipse(sheet, shape)
    elif doubt == "ellipse" and (shape := ellipse(draws)) is not None:
        turn = np.linspace(0, 2 * np.pi, 73)
        t, w = shape[0][:, None] + shape[1] @ np.array([np.cos(turn), np.sin(turn)])
        x, y = sheet.window.x(t), sheet.window.y(w)
        # Beyond saturation there is no moist air: the ellipse ends there.
        patch = sheet.area(x, y, facecolor=colour, alpha=0.22, zorder=3.4, gid="ellipse ground")
        edge = sheet.line(x, y, color=colour, linewidth=1.0, linestyle=style, zorder=3.5, gid="ellipse")
        block_ellipse(sheet, shape)
        region = _moist_region(sheet)
        for artist in (patch, edge):
            artist.set_clip_path(region, sheet.axes.transData)


def draw_cloud(sheet: Sheet, points: Array, colour: str) -> None:
    """Draw states [°C, kg/kg], shape (n, 2), as a cloud of points."""
    # Evenly from the whole, the same ones each time.
    some = points[:: max(1, math.ceil(len(points) / MOST_POINTS))]
    sheet.line(sheet.window.x(some[:, 0]), sheet.window.y(some[:, 1]), linestyle="none", marker=".", color=colour,
               markersize=3.2, markeredgewidth=0, alpha=0.45, zorder=3.5, gid="cloud")  # fmt: skip


def block_ellipse(sheet: Sheet, shape: tuple[Array, Array]) -> None:
    """Keep texts off an ellipse and what is inside it."""
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    around = shape[1] @ np.array([np.cos(turn), np.sin(turn)])
    edge = sheet.place(*(shape[0][:, None] + around)) - sheet.place(*shape[0][:, None])
    margin, middle = sheet.pixels(5), sheet.place(*shape[0][:, None])[0]
    for part in np.arange(1.0, 0.0, -2 * margin / max(float(np.hypot(*edge.T).max()), margin)):
        count = max(1, int(24 * part))
        ring = middle + part * edge[np.linspace(0, 48, count, endpoint=False).astype(int)]
        sheet.placer.block(ring[:, 0], ring[:, 1], radius=margin)


def _moist_region(sheet: Sheet) -> Any:
    """The part of the chart below saturation, as a path."""
    from matplotlib.path import Path

    window = sheet.window
    curve = saturation_curve(window)
    (x0, x1), (y0, y1) = sheet.axes.get_xlim(), sheet.axes.get_ylim()
    x = np.concatenate([[x0], window.x(curve.dry_bulb), [x1, x1]])
    y = np.concatenate([[y0], np.minimum(window.y(curve.humidity_ratio), y1), [y1, y0]])
    return Path(np.column_stack([x, y]), closed=False)
