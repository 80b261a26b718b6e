"""What was read from logger files: channels on one grid of times, and a record of each channel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def is_complete(values: Floats) -> bool:
    """Whether every row has a value."""
    # The sum is a number if all of them are; one look, and no memory.
    return bool(np.isfinite(values.sum()))


@dataclass(frozen=True)
class ChannelRecord:
    """Where one channel came from, and what was set aside on the way.

    Attributes
    ----------
    channel : str
        Path in the visit file, such as ``readings.return.dry_bulb``.
    file, column : str
        Logger file as the visit file names it, and the heading of the column.
    unit : str
        Unit in which the file holds the values, as it was found or stated; empty for words and bare stages.
    first, last : float
        First and last time with a value [s, as `Log.time`]; NaN where there is none.
    interval : float
        Usual interval of the file's rows [s].
    count : int
        Rows with a value, before they are brought to the grid.
    gaps : tuple of (float, float)
        Last time before and first time after each gap without values [s, as `Log.time`].
    lowest, highest : float
        Range of the values [the inside unit of the channel's kind].
    set_aside : mapping of str to int
        How many rows gave no value, by reason.
    samples : mapping of str to tuple of (int, str)
        Up to three examples of each reason: row of the file (counted as an editor counts lines) and what stood there.
    kind : str
        Kind of quantity (`airside.units.KINDS`); empty for a status.
    """

    channel: str
    file: str
    column: str
    unit: str
    first: float
    last: float
    interval: float
    count: int
    gaps: tuple[tuple[float, float], ...]
    lowest: float
    highest: float
    set_aside: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    samples: Mapping[str, tuple[tuple[int, str], ...]] = field(default_factory=lambda: MappingProxyType({}))
    kind: str = ""


@dataclass(frozen=True, eq=False)
class Log:
    """Channels on one grid of times.

    Attributes
    ----------
    time : array, shape (n,)
        Stamps, strictly rising, on a grid of `step`; minutes in which no file has a row may be absent
        [s since 1970-01-01 UTC, or of the files' own clock where `zone` is None].
    channels : mapping of str to array, shape (n,)
        Values by the visit file's path [inside unit]; NaN where there is no value.
    step : float
        Step of the grid [s].
    zone : str or None
        IANA name of the time zone in which times are shown.
    records : tuple of ChannelRecord
        One for each channel, in the order of the visit file.
    notes : tuple of str
        What was found out or assumed while reading, as sentences.
    status_words : mapping of str to mapping of str to float
        For a status channel that holds words: which number of the channel stands for which word.
    clock_offsets : mapping of str to float
        What was added to the times of each logger file, as the visit file says [s].
    """

    time: Floats
    channels: Mapping[str, Floats]
    step: float
    zone: str | None = None
    records: tuple[ChannelRecord, ...] = ()
    notes: tuple[str, ...] = ()
    status_words: Mapping[str, Mapping[str, float]] = field(default_factory=lambda: MappingProxyType({}))
    clock_offsets: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

    def __len__(self) -> int:
        return len(self.time)

    def record(self, channel: str) -> ChannelRecord:
        """The record of a channel.

        Raises
        ------
        KeyError
            There is no such channel.
        """
        for record in self.records:
            if record.channel == channel:
                return record
        raise KeyError(channel)

    def between(self, first: float, last: float) -> Log:
        """The part of the log from `first` to `last` [s, as `time`], both included; records stay as they are."""
        start, stop = np.searchsorted(self.time, first, "left"), np.searchsorted(self.time, last, "right")
        cut = {name: values[start:stop] for name, values in self.channels.items()}
        return replace(self, time=self.time[start:stop], channels=cut)

    def wall_time(self, time: Any) -> str:
        """One time as the clock on the wall shows it, ``2021-08-26 14:05:00``."""
        return wall_time(float(time), self.zone)


def wall_time(seconds: float, zone: str | None) -> str:
    """One time [s, as `Log.time`] as the clock on the wall shows it, ``2021-08-26 14:05:00``."""
    from datetime import UTC, datetime, timedelta
    from zoneinfo import ZoneInfo

    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
    if zone is not None:
        moment = moment.astimezone(ZoneInfo(zone))
    return moment.strftime("%Y-%m-%d %H:%M:%S")
