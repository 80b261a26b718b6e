"""Rows of one or several loggers on one grid of times; nothing is invented across gaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airside.visit.logs.log import Floats

# Rows further apart than this many usual intervals have a gap between them; common practice, no source.
GAP = 1.5
# A row this near to a grid time is taken for it [share of a step]; common practice, no source.
NEAR = 0.05
# A logger with this many rows in a step, or more, is averaged; common practice, no source.
FASTER = 1.5
# Share of the rows that a mean over a step needs; common practice, no source.
ENOUGH = 0.5


@dataclass(frozen=True)
class Clean:
    """Rows of one file at times that rise.

    Attributes
    ----------
    rows : array of int, shape (n,)
        Which rows of the file stay, in order of time.
    time : array of float64, shape (n,)
        Strictly rising [s].
    repeated : array of int
        Rows whose time came before in the file.
    out_of_order : array of int
        Rows whose time is before that of an earlier row.
    """

    rows: NDArray[np.intp]
    time: Floats
    repeated: NDArray[np.intp]
    out_of_order: NDArray[np.intp]


def in_order(time: Floats) -> Clean:
    """Rows in order of time, each time once: the first of them in the file.

    Parameters
    ----------
    time : array of float64, shape (n,)
        NaN where it cannot be read [s].
    """
    none = np.zeros(0, np.intp)
    # Not a number is not above anything, nor anything above it.
    if len(time) > 1 and (time[1:] > time[:-1]).all() and np.isfinite(time[[0, -1]]).all():
        return Clean(np.arange(len(time)), time, none, none)
    rows = np.flatnonzero(np.isfinite(time))
    own = time[rows]
    if (np.diff(own) > 0).all():
        return Clean(rows, own, none, none)
    late = np.flatnonzero(own[1:] < np.maximum.accumulate(own)[:-1]) + 1
    order = np.argsort(own, kind="stable")
    first = np.concatenate([[True], np.diff(own[order]) > 0])
    kept = order[first]
    repeated = np.sort(rows[order[~first]])
    return Clean(rows[kept], own[kept], repeated, np.setdiff1d(rows[late], repeated))


def usual_interval(time: Floats) -> float:
    """Median of the steps between rows [s], the lower of two; NaN for fewer than two rows."""
    if len(time) < 2:
        return float("nan")
    steps = np.diff(time)
    if steps.min() == steps.max():
        return float(steps[0])
    middle = (len(steps) - 1) // 2
    return float(np.partition(steps, middle)[middle])


def gaps(time: Floats, interval: float) -> tuple[tuple[float, float], ...]:
    """Last time before and first time after each gap [s]."""
    wide = np.flatnonzero(np.diff(time) > GAP * interval)
    return tuple((float(time[i]), float(time[i + 1])) for i in wide)


def grid_times(times: list[Floats], step: float, anchor: float) -> Floats:
    """Grid times at which at least one file has rows nearby, strictly rising [s].

    Parameters
    ----------
    times : list of array
        Rising stamps of each file [s].
    step : float [s]
    anchor : float
        A time of the grid [s].
    """
    if len(times) == 1 and len(times[0]) > 1 and anchor == times[0][0]:
        steps = np.diff(times[0])
        if steps.min() == steps.max() == step:
            return times[0]
    slots = []
    for time in times:
        near = np.round((time - anchor) / step).astype(np.int64)
        slots.append(near[np.concatenate([[True], np.diff(near) > 0])] if len(near) else near)
    every = slots[0] if len(slots) == 1 else np.unique(np.concatenate(slots))
    return np.asarray(anchor + every * step, dtype=np.float64)


def is_on_grid(grid: Floats, time: Floats, step: float) -> bool:
    """Whether rows are at the grid's times, all of them."""
    return len(time) == len(grid) and float(np.abs(time - grid).max(initial=0.0)) <= NEAR * step


def on_grid(grid: Floats, time: Floats, values: Floats, step: float, interval: float, *, words: bool = False) -> Floats:
    """Values of one channel at the grid's times.

    A row at a grid time is taken as it is; a faster logger is averaged over the step around the grid time; else a
    line is drawn between the two neighbours, if they are no further apart than 1.5 usual intervals. A status is that of
    the nearest row, never in between.

    Parameters
    ----------
    grid : array, shape (n,)
        Strictly rising [s].
    time, values : array, shape (m,)
        Rows with NaN where there is no value [s], [any].
    step, interval : float
        Of the grid, and the usual one of the file [s].
    words : bool
        Whether it is a status.

    Returns
    -------
    array, shape (n,)
        NaN where there is no value.
    """
    if is_on_grid(grid, time, step):
        return values
    sound = np.isfinite(values)
    t, v = time[sound], values[sound]
    if not len(t):
        return np.full(len(grid), np.nan)
    interval = interval if np.isfinite(interval) else step
    if words:
        return _nearest(grid, t, v, 0.5 * max(step, interval))
    if step >= FASTER * interval:
        return _means(grid, t, v, step, interval)
    after = np.clip(np.searchsorted(t, grid), 1, max(len(t) - 1, 1))
    found = np.full(len(grid), np.nan)
    if len(t) > 1:
        left, right = t[after - 1], t[after]
        between = (grid >= left) & (grid <= right) & (right - left <= GAP * interval)
        share = np.where(between, (grid - left) / (right - left), 0.0)
        found = np.where(between, v[after - 1] * (1.0 - share) + v[after] * share, np.nan)
    exact = _nearest(grid, t, v, NEAR * step)
    return np.where(np.isfinite(exact), exact, found)


def _nearest(grid: Floats, t: Floats, v: Floats, reach: float) -> Floats:
    after = np.clip(np.searchsorted(t, grid), 0, len(t) - 1)
    before = np.maximum(after - 1, 0)
    best = np.where(np.abs(t[before] - grid) <= np.abs(t[after] - grid), before, after)
    return np.where(np.abs(t[best] - grid) <= reach * (1 + 1e-9), v[best], np.nan)


def _means(grid: Floats, t: Floats, v: Floats, step: float, interval: float) -> Floats:
    """Mean over the step around each grid time, of those that have enough rows."""
    slot = np.searchsorted(grid, t - 0.5 * step)
    inside = slot < len(grid)
    slot = np.minimum(slot, len(grid) - 1)
    inside &= np.abs(t - grid[slot]) <= 0.5 * step
    count = np.bincount(slot[inside], minlength=len(grid))
    total = np.bincount(slot[inside], weights=v[inside], minlength=len(grid))
    enough = count >= max(1.0, ENOUGH * step / interval)
    return np.where(enough, total / np.maximum(count, 1), np.nan)
