"""From the clock on the wall to UTC: the change to summer time and back, resolved by the order of the rows."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np

from airside.errors import FileError
from airside.visit.logs.log import Floats, wall_time

DAY = 86400.0
# Rows further apart than this many usual intervals have a gap between them; common practice, no source.
GAP = 1.5


def _offset(zone: ZoneInfo, utc: float) -> float:
    """How far a zone's clocks are ahead of UTC at a time [s]."""
    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=utc)
    ahead = moment.astimezone(zone).utcoffset()
    assert ahead is not None
    return ahead.total_seconds()


def changes(zone: ZoneInfo, first: float, last: float) -> list[tuple[float, float, float]]:
    """Changes of a zone's clocks between two times [s UTC].

    Returns
    -------
    list of (float, float, float)
        When [s UTC], and how far clocks are ahead of UTC before and after it [s].
    """
    found = []
    # A day is short enough: no zone has changed twice in one.
    days = np.arange(np.floor(first / DAY) - 1, np.ceil(last / DAY) + 3) * DAY
    before = _offset(zone, float(days[0]))
    for start, end in pairwise(days):
        after = _offset(zone, float(end))
        if after != before:
            low, high = int(start), int(end)
            while high - low > 1:
                middle = (low + high) // 2
                low, high = (middle, high) if _offset(zone, middle) == before else (low, middle)
            found.append((float(high), before, after))
        before = after
    return found


def to_utc(local: Floats, zone_name: str, where: Callable[[int], str], file: str) -> Floats:
    """Times of a wall clock as UTC.

    Parameters
    ----------
    local : array of float64, shape (n,)
        In the order of the file's rows; NaN is passed on [s since 1970-01-01 of the wall clock].
    zone_name : str
        IANA name.
    where : callable
        Gives the place of a row, for sentences.
    file : str
        Name for sentences.

    Returns
    -------
    array of float64, shape (n,) [s since 1970-01-01 UTC]

    Raises
    ------
    FileError
        A time that the clocks skipped, or one that came twice and that the order of the rows does not tell apart.
    """
    zone = ZoneInfo(zone_name)
    usable = np.isfinite(local)
    if not usable.any():
        return local
    low, high = float(np.nanmin(local)), float(np.nanmax(local))
    turns = changes(zone, low - DAY, high + DAY)
    start = _offset(zone, low - 2 * DAY) if not turns else turns[0][1]
    ahead = np.full(len(local), start)
    for moment, before, after in turns:
        first, last = moment + min(before, after), moment + max(before, after)
        ahead[local >= last] = after
        inside = np.flatnonzero(usable & (local >= first) & (local < last))
        if not len(inside):
            continue
        if after > before:
            # The last minute before the jump may be stamped by its end, which is the jump itself.
            skipped = inside[local[inside] > first]
            if len(skipped):
                _refuse_skipped(local, skipped, first, last, zone_name, where, file)
            continue
        second = _second_pass(local, inside, first, last, zone_name, where, file)
        ahead[inside[second:]] = after
    return np.asarray(local - ahead, dtype=np.float64)


def _refuse_skipped(
    local: Floats, rows: np.ndarray, first: float, last: float, zone: str, where: Callable[[int], str], file: str
) -> None:
    row = int(rows[0])
    count = f" {len(rows):,} rows are so." if len(rows) > 1 else ""
    raise FileError(file, (
        f"{where(row)}: found {wall_time(local[row], None)}, a time that does not exist in {zone}: clocks went from "
        f"{wall_time(first, None)[11:16]} to {wall_time(last, None)[11:16]}.{count} Does the logger keep winter time "
        'all year? Then write a zone that does not change, such as time_zone = "Etc/GMT-1" for UTC+1.'
    ))  # fmt: skip


def _second_pass(
    local: Floats, inside: np.ndarray, first: float, last: float, zone: str, where: Callable[[int], str], file: str
) -> int:
    """Where in the rows of an hour that comes twice the second pass begins."""
    times = local[inside]
    steps = np.diff(local[np.isfinite(local)])
    usual = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    back = np.flatnonzero(np.diff(times) <= 0) + 1
    # Rows of the hour stand together; a stray one among others is out of order.
    together = bool(inside[-1] - inside[0] + 1 == len(inside) or not np.isfinite(local[inside[0] : inside[-1]]).all())
    # One stamp written twice is not the hour's second pass.
    whole = len(back) == 1 and (times[back[0]] - first <= GAP * usual or last - times[back[0] - 1] <= GAP * usual)
    if whole and together:
        return int(back[0])
    span = f"{wall_time(first, None)[:16]} to {wall_time(last, None)[11:16]}"
    if len(back) or not together:
        row = int(inside[back[-1]]) if len(back) else int(inside[-1])
        raise FileError(file, (
            f"{where(row)}: {span} comes twice in {zone}, and the rows of it are not in order, so that it cannot be told "
            "which belong to summer time. Put the rows in the order in which they were logged, or write a zone that "
            "does not change."
        ))  # fmt: skip
    before = local[: inside[0]][np.isfinite(local[: inside[0]])][-1:]
    after = local[inside[-1] + 1 :][np.isfinite(local[inside[-1] + 1 :])][:1]
    follows = bool(len(before) and 0 < times[0] - before[0] <= GAP * usual)
    leads = bool(len(after) and 0 < after[0] - times[-1] <= GAP * usual)
    if follows != leads:
        return len(inside) if follows else 0
    row = int(inside[0])
    raise FileError(file, (
        f"{where(row)}: {span} comes twice in {zone}, but the file has it once, so that it cannot be told whether it is "
        "summer or winter time. Does the logger's clock not change? Then write a zone that does not change, such as "
        'time_zone = "Etc/GMT-1" for UTC+1, or leave time_zone out.'
    ))  # fmt: skip
