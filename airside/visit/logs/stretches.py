"""Steady stretches: windows of one length, inside runs, over which every channel stays within its tolerance.

A window is steady if the range (highest less lowest) of each channel is within the visit's tolerances, as in a test on a
bench. From each run's begin on, the first steady window is taken, then the first after its end, and so on: stretches do
not overlap.

Sources
-------
Tolerances of temperatures and humidity: `airside.instruments.steadiness`. Those of flow, pressure and power are common
practice, no source. Standard errors: `airside.visit.logs.autocorrelation`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.errors import NothingSteadyError, Problem
from airside.instruments.steadiness import TOLERANCES, ToleranceSet
from airside.units import UnitSystem, percent, show_difference
from airside.visit.logs import running as r
from airside.visit.logs.autocorrelation import Scatter, scatter_of
from airside.visit.logs.counting import Counting
from airside.visit.logs.log import Floats, Log, is_complete
from airside.visit.logs.running import REASONS, Runs

# Largest range over the window as a fraction of the mean; common practice, no source. A flow goes with the root of a
# pressure, so pressures get twice as much.
RELATIVE: dict[ToleranceSet, dict[str, float]] = {
    "strict": {"volume_flow": 0.05, "velocity": 0.05, "duct_pressure": 0.10, "power": 0.05},
    "field": {"volume_flow": 0.10, "velocity": 0.10, "duct_pressure": 0.20, "power": 0.10},
}
# Channels of these tables may lack a value without making a minute useless: the capacity does not need them.
NOT_NEEDED = ("readings.refrigerant.", "readings.status.", "readings.outdoor.wet_bulb", "readings.outdoor.dew_point",
              "readings.outdoor.relative_humidity")  # fmt: skip
HUMIDITIES = ("relative_humidity", "wet_bulb", "dew_point")
ROWS_AT_ONCE = 1 << 14
# Rounding of decimal readings.
WITHIN = 1 + 1e-9


@dataclass(frozen=True)
class Limit:
    """Largest range of one channel over the window: in its inside unit, or a fraction of its mean."""

    size: float
    is_relative: bool = False

    def text(self, value: float, channel: str, units: UnitSystem) -> str:
        """A range or limit of the channel, in words."""
        if self.is_relative:
            return f"{percent(value, 1)} of the mean"
        kind = "relative_humidity" if channel.endswith("relative_humidity") else "temperature"
        return show_difference(value, kind, units)


def needed_channels(log: Log) -> list[str]:
    """Channels without whose value a minute does not count."""
    return [c for c in log.channels if not c.startswith(NOT_NEEDED)]


def limits_of(log: Log, tolerances: ToleranceSet) -> dict[str, Limit]:
    """Limit of each channel that has one; barometric pressure and the refrigerant side have none."""
    ranges, relative = TOLERANCES[tolerances], RELATIVE[tolerances]
    found = {}
    for channel in needed_channels(log):
        table, _, field = channel.rpartition(".")
        if table == "readings.outdoor":
            found[channel] = Limit(ranges["outdoor"])
        elif field in ranges:
            found[channel] = Limit(ranges[field])
        elif field == "temperature_rise":
            found[channel] = Limit(ranges["dry_bulb"])
        elif table in ("fan", "readings.power") or field in ("heat_input", "fuel_input", "voltage", "current"):
            found[channel] = Limit(relative["power"], True)
        elif field in ("volume_flow", "device_flow"):
            found[channel] = Limit(relative["volume_flow"], True)
        elif field == "velocity":
            found[channel] = Limit(relative["velocity"], True)
        elif table == "airflow":
            found[channel] = Limit(relative["duct_pressure"], True)
    return found


@dataclass(frozen=True, eq=False)
class Stretches:
    """Steady stretches of a log, columnar.

    Attributes
    ----------
    start, stop : int array, shape (m,)
        First row, and one past the last row.
    begin, end : array, shape (m,)
        Time of the first and of the last row [s, as `Log.time`].
    run : int array, shape (m,)
        Number of the run, counted from 0.
    age : array, shape (m,)
        Time since the run's begin [s].
    stage : array, shape (m,)
    channels : mapping of str to Scatter
        Mean, scatter, trend and standard error of each needed channel [inside unit].
    limits : mapping of str to Limit
    reason : int array, shape (n,)
        What became of each row of the log; a place in `REASONS`.
    absent : int
        Rows of the grid that the log does not have.
    rows : int
        Of one stretch.
    step : float [s]
    """

    start: NDArray[np.intp]
    stop: NDArray[np.intp]
    begin: Floats
    end: Floats
    run: NDArray[np.intp]
    age: Floats
    stage: Floats
    channels: Mapping[str, Scatter]
    limits: Mapping[str, Limit]
    reason: NDArray[np.int8]
    absent: int
    rows: int
    step: float

    def __len__(self) -> int:
        return len(self.start)

    @property
    def minutes(self) -> int:
        """Every row of the grid from the log's first to its last."""
        return int(self.reason.size + self.absent)

    @property
    def set_aside(self) -> dict[str, int]:
        """Rows that are in no stretch, by reason; with those in stretches they are all of them."""
        counts = [np.count_nonzero(self.reason == i) for i in range(len(REASONS))]
        counts[r.NO_VALUE] += self.absent
        return {name: int(counts[i]) for i, name in enumerate(REASONS) if i != r.COUNTS and counts[i]}

    @property
    def window(self) -> float:
        """Length of a stretch [s]."""
        return self.rows * self.step


def is_impossible(log: Log) -> NDArray[np.bool_]:
    """Rows whose return or supply air cannot be: a dew point or wet bulb above the dry bulb, a humidity beyond 0 to 100 %."""
    found = np.zeros(len(log), dtype=bool)
    for place in ("return", "supply"):
        dry_bulb = log.channels.get(f"readings.{place}.dry_bulb")
        for name in HUMIDITIES:
            values = log.channels.get(f"readings.{place}.{name}")
            if values is None:
                continue
            if name == "relative_humidity":
                if values.min() < 0 or values.max() > 1 or not is_complete(values):
                    found |= (values > 1) | (values < 0)
            elif dry_bulb is not None:
                found |= values > dry_bulb
    return found


def find_stretches(
    log: Log, runs: Runs, counting: Counting, *, tolerances: ToleranceSet = "field", name: str = "visit"
) -> Stretches:
    """Find the steady stretches of a log.

    Parameters
    ----------
    log : Log
    runs : Runs
        From `airside.visit.logs.running.find_runs`.
    counting : Counting
    tolerances : "field" or "strict"
    name : str
        The visit file's, for messages.

    Raises
    ------
    NothingSteadyError
        There is no steady stretch; the message says what stands in the way.
    """
    rows, count = counting.rows(log.step), len(log)
    limits, needed = limits_of(log, tolerances), needed_channels(log)
    reason = runs.reason.copy()
    counts = reason == r.COUNTS
    impossible = is_impossible(log)
    lacks = np.zeros(count, dtype=bool)
    for channel in needed:
        if not is_complete(log.channels[channel]):
            lacks |= ~np.isfinite(log.channels[channel])
    reason[counts & impossible] = r.IMPOSSIBLE
    reason[counts & lacks] = r.NO_VALUE
    usable = reason == r.COUNTS
    # Runs are unbroken in time, so a window with all its rows usable and in one run has no gap.
    whole = _all_of(usable, rows)
    if count >= rows:
        whole &= runs.run[: count - rows + 1] == runs.run[rows - 1 :]
    in_whole = _covered(whole, rows) if whole.size else np.zeros(count, dtype=bool)
    # Rows of whole windows alone, run after run: a window that begins whole is the same rows here.
    kept = np.flatnonzero(in_whole)
    begins = whole[kept[: max(len(kept) - rows + 1, 0)]]
    values = {c: log.channels[c][kept] for c in needed}
    steady = _steady(values, limits, begins, rows)
    first = _jump(steady, rows)
    if not first.size:
        at = np.flatnonzero(begins)
        ranges = {c: _ranges(values[c], rows, limit)[at] for c, limit in limits.items()} if at.size else {}
        said = _none_steady(log, runs, counting, reason, ranges, limits, tolerances)
        raise NothingSteadyError(name, [Problem(said, "log")])
    index, starts = first + np.arange(rows)[:, np.newaxis], kept[first]
    reason[usable & ~in_whole] = r.TOO_SHORT
    became = np.where(_covered(steady, rows), np.int8(r.LEFT_OVER), np.int8(r.UNSTEADY))
    became[index] = r.COUNTS
    reason[kept] = became
    absent = round(float(log.time[-1] - log.time[0]) / log.step) + 1 - count
    return Stretches(
        starts, starts + rows, log.time[starts], log.time[starts + rows - 1], runs.run[starts], runs.age[starts],
        runs.stage[runs.run[starts]], {c: scatter_of(v[index].T) for c, v in values.items()}, limits, reason,
        max(absent, 0), rows, log.step,
    )  # fmt: skip


def _all_of(flags: NDArray[np.bool_], rows: int) -> NDArray[np.bool_]:
    """Whether a window that begins at a row has only true rows, shape (n - rows + 1,)."""
    return _extreme(flags, rows, np.logical_and) if flags.size >= rows else np.zeros(0, dtype=bool)


def _covered(begins: NDArray[np.bool_], rows: int) -> NDArray[np.bool_]:
    """Rows that are in a window whose begin is marked, shape (n,)."""
    edge = np.zeros(rows - 1, dtype=bool)
    return _extreme(np.concatenate([edge, begins, edge]), rows, np.logical_or)


def _steady(
    values: Mapping[str, Floats], limits: Mapping[str, Limit], begins: NDArray[np.bool_], rows: int
) -> NDArray[np.bool_]:
    """Which of the marked windows are within all limits; in pieces that stay in the processor's own memory."""
    steady = begins.copy()
    for first in range(0, len(begins), ROWS_AT_ONCE):
        piece = steady[first : first + ROWS_AT_ONCE]
        for channel, limit in limits.items():
            if not piece.any():
                break
            spread, scale = _spread(values[channel][first : first + ROWS_AT_ONCE + rows - 1], rows, limit)
            piece &= spread <= limit.size * WITHIN * scale
    return steady


def _spread(values: Floats, rows: int, limit: Limit) -> tuple[Floats, Floats]:
    """Highest less lowest of each window, and what the limit goes with: 1, or the window's mean."""
    spread: Floats = _extreme(values, rows, np.maximum) - _extreme(values, rows, np.minimum)
    return spread, np.abs(_sums(values, rows)) / rows if limit.is_relative else np.ones(1)


def _ranges(values: Floats, rows: int, limit: Limit) -> Floats:
    """Range of each window, shape (n - rows + 1,), as the limit is."""
    spread, scale = _spread(values, rows, limit)
    with np.errstate(divide="ignore", invalid="ignore"):
        found: Floats = np.where(spread == 0, 0.0, spread / scale)
    return found


def _sums(values: Floats, rows: int) -> Floats:
    """Sum of each window, shape (n - rows + 1,), of windows of 1, 2, 4 and so on."""
    count = len(values) - rows + 1
    total, known, length, place = np.zeros(1), values, 1, 0
    while length <= rows:
        if rows & length:
            total = total + known[place : place + count]
            place += length
        if 2 * length <= rows:
            known = known[:-length] + known[length:]
        length *= 2
    return total


def _extreme(values: NDArray[Any], rows: int, of: np.ufunc) -> NDArray[Any]:
    """Highest or lowest value of each window, or whether one is true, shape (n - rows + 1,): windows of twice the length, again and again."""
    known, length = values, 1
    while 2 * length <= rows:
        known = of(known[:-length], known[length:])
        length *= 2
    # Two windows that overlap make the whole one.
    rest = rows - length
    return known if rest == 0 else of(known[:-rest], known[rest:])


def _jump(steady: NDArray[np.bool_], rows: int) -> NDArray[np.intp]:
    """The first steady window, then the first at least so many rows later, and so on."""
    flags = steady.tobytes()
    chosen, at = [], flags.find(b"\1")
    while at >= 0:
        chosen.append(at)
        at = flags.find(b"\1", at + rows)
    return np.array(chosen, dtype=np.intp)


def _none_steady(
    log: Log, runs: Runs, counting: Counting, reason: NDArray[np.int8], ranges: Mapping[str, Floats],
    limits: Mapping[str, Limit], tolerances: ToleranceSet,
) -> str:  # fmt: skip
    """Why there is no steady stretch, and what could be done."""
    rows = counting.rows(log.step)
    window = f"{rows * log.step / 60:g} min"
    tried = next(iter(ranges.values())).size if ranges else 0
    if tried:
        beyond = {c: np.flatnonzero(v > limits[c].size * WITHIN) for c, v in ranges.items()}
        worst = max(beyond, key=lambda c: beyond[c].size)
        limit, size = limits[worst], float(np.median(ranges[worst][beyond[worst]]))
        return (
            f"no stretch of {window} is steady. Most often {_words(worst)} is not: in {beyond[worst].size:,} of {tried:,} "
            f"windows it ranges beyond the {tolerances} tolerance of {limit.text(limit.size, worst, counting.units)}, "
            f"half of the time by more than {limit.text(size, worst, counting.units)}. Take a shorter window or a longer "
            'after_start in [log.counting]' + (', or tolerances = "field".' if tolerances == "strict" else ".")
        )  # fmt: skip
    at_stage = runs.stage == runs.stage_that_counts if np.isfinite(runs.stage_that_counts) else np.ones(len(runs), bool)
    longest = float(runs.length[at_stage].max()) / 60
    stage = runs.stage_name(runs.stage_that_counts)
    needed = (counting.after_start + counting.before_stop) / 60 + rows * log.step / 60
    counted = {name: int((reason == i).sum()) for i, name in enumerate(REASONS) if i in (r.NO_VALUE, r.IMPOSSIBLE)}
    aside = ", ".join(f"{count:,} {name}" for name, count in counted.items() if count)
    others = [runs.stage_name(s) for s in np.unique(runs.stage[np.isfinite(runs.stage)]) if s != runs.stage_that_counts]
    what = f"Runs{f' at {stage}' if stage else ''}"
    said = f"no stretch of {window} without a break is left. {what} last {longest:.0f} min at most; {needed:.0f} min are needed after start-up and stop are left out"  # fmt: skip
    return (
        f"{said}{f' (rows set aside: {aside})' if aside else ''}. Take a shorter window or after_start in [log.counting]"
        + (f", or another stage ({', '.join(others)} is seen too)." if others else ".")
    )


def _words(channel: str) -> str:
    return channel.removeprefix("readings.").replace(".", " ").replace("_", " ")
