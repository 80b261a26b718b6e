"""Read the logger files that a visit file names: from bytes to channels on one grid."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from airside.errors import FileError, Problem, VisitError
from airside.units import SYSTEMS, UnitSystem
from airside.visit.logs.channel import Channel, read_channel
from airside.visit.logs.delimited import read_delimited
from airside.visit.logs.grid import FASTER, NEAR, Clean, gaps, grid_times, in_order, is_on_grid, on_grid, usual_interval
from airside.visit.logs.log import ChannelRecord, Floats, Log, is_complete, wall_time
from airside.visit.logs.log_schema import FileSettings, LoggedColumn, LogSettings, log_settings
from airside.visit.logs.logger_table import LoggerTable
from airside.visit.logs.parquet import read_arrow, read_parquet
from airside.visit.logs.plain import read_plain
from airside.visit.logs.time_zones import to_utc
from airside.visit.logs.workbook import read_workbook
from airside.visit.quantities import found

UNREADABLE = "time that cannot be read"
REPEATED = "repeated time stamp"
# A log that is larger than this is another file, or belongs into Parquet [bytes].
LARGEST = 2_000_000_000


@dataclass(frozen=True)
class _File:
    """One logger file, read."""

    table: LoggerTable
    clean: Clean
    channels: tuple[tuple[LoggedColumn, Channel], ...]
    interval: float
    zone: str | None
    row_reasons: Mapping[str, tuple[int, tuple[tuple[int, str], ...]]]
    notes: tuple[str, ...]


def read_log(data: Mapping[str, Any], *, folder: Path, name: str, tables: Mapping[str, Any] | None = None) -> Log:
    """Read all logger files that a visit file names.

    Parameters
    ----------
    data : mapping
        The visit file as nested dictionaries.
    folder : Path
        Logger files are named relative to it.
    name : str
        The visit file, for sentences.
    tables : mapping of str to pyarrow.Table, optional
        Logger files that are in memory already, by the name that the visit file has for them.

    Returns
    -------
    Log

    Raises
    ------
    VisitError
        What the visit file says of the logs cannot be used; every problem is named.
    FileError
        A logger file cannot be read, or does not hold what the visit file says.
    """
    _keep_memory()
    settings = log_settings(data)
    if settings.problems:
        raise VisitError(name, settings.problems)
    said = data.get("units")
    units: UnitSystem = next((s for s in SYSTEMS if s == said), "SI")
    held = tables or {}
    files: dict[str, _File] = {}
    wrong: list[FileError] = []
    for file in settings.files:
        try:
            files[file] = _read_file(file, settings, folder, units, held.get(file))
        except FileError as error:
            wrong.append(error)
    if len(wrong) > 1:
        raise VisitError(name, [Problem(str(error)) for error in wrong])
    if wrong:
        raise wrong[0]
    zone = _one_zone(files, name)
    _overlap(files, zone, name)
    return _together(files, settings, zone)


def _keep_memory() -> None:
    """Let the process keep what it frees, for the next array: the C library of Linux does so up to the largest block
    that was freed, at most 32 MB. Memory that is fetched anew takes as long as what is done with it."""
    np.empty(31 << 20, np.uint8)


def _bytes(file: str, folder: Path) -> bytes:
    path = folder / file
    try:
        if path.stat().st_size > LARGEST:
            raise FileError(file, f"has more than {LARGEST:,} bytes. Split it by months, or save it as Parquet.")
        return path.read_bytes()
    except FileNotFoundError:
        raise FileError(
            file, f"there is no such file. Logger files are named relative to the visit file ({folder})."
        ) from None
    except IsADirectoryError:
        raise FileError(file, "is a folder; expected a logger file.") from None
    except (OSError, ValueError) as error:
        raise FileError(file, f"cannot be read ({getattr(error, 'strerror', None) or error}).") from None


def _table(
    file: str, wanted: Sequence[str | int], how: FileSettings, words: frozenset[str | int], folder: Path
) -> LoggerTable:
    quick = read_plain(folder / file, wanted, how, file, words)
    if quick is not None:
        return quick
    raw = _bytes(file, folder)
    # The beginning alone tells nearly always; the whole is long.
    if not raw[:1000].strip(b"\0\r\n\t ") and not raw.strip(b"\0\r\n\t "):
        raise FileError(file, "is empty; expected headings and rows of readings.")
    if raw.startswith(b"\xd0\xcf\x11\xe0"):
        raise FileError(file, "is an old workbook (.xls). Save it as .xlsx or as CSV.")
    reader = (
        read_workbook if raw.startswith(b"PK\x03\x04") else read_parquet if raw.startswith(b"PAR1") else read_delimited
    )
    return reader(raw, wanted, how, file, words)


def _read_file(file: str, settings: LogSettings, folder: Path, units: UnitSystem, held: Any = None) -> _File:
    own = [c for c in settings.columns if c.file == file]
    how = settings.files[file]
    wanted = list(dict.fromkeys(c.column for c in own))
    words = frozenset(c.column for c in own if not c.kind)
    table = _table(file, wanted, how, words, folder) if held is None else read_arrow(held, wanted, how, file, words)
    time = _times(table, how)
    clean = in_order(time)
    if not len(clean.rows):
        raise FileError(file, "holds no row whose time can be read.")
    reasons = {
        reason: (len(rows), tuple((number, text) for number, text in rows[:3]))
        for reason, rows in table.odd_rows.items()
    }
    for reason, rows in ((UNREADABLE, np.flatnonzero(~np.isfinite(time))), (REPEATED, clean.repeated)):
        if len(rows):
            reasons[reason] = (
                len(rows),
                tuple((int(table.row_numbers[r]), table.time_texts.get(int(r), "")) for r in rows[:3]),
            )
    uses = Counter(table.index[c.column] for c in own)
    channels = tuple(
        (column, read_channel(table, column, units, is_last_use=uses[table.index[column.column]] == 1))
        for column in own
    )  # fmt: skip
    # What the channels did not take goes; a year of it is large.
    table.columns.clear()
    notes = [f"{file}: {note}" for note in table.notes]
    assumed = dict.fromkeys(
        f"{column.column} in {channel.unit or '1'}" for column, channel in channels if channel.assumed
    )
    if assumed:
        notes.append(
            f"{file}: columns that name no unit were taken as bare numbers of the visit file: {', '.join(assumed)}."
        )
    late = clean.out_of_order
    if len(late):
        notes.append(f"{file}: {len(late):,} rows were out of order and were put into their places (the first: row "
                     f"{table.row_numbers[late[0]]}).")  # fmt: skip
    if len(clean.repeated):
        hint = "" if how.time_zone else " If they are the hour that comes twice in autumn, give time_zone in [log]."
        notes.append(f"{file}: {len(clean.repeated):,} rows repeat a time; the first of each was taken.{hint}")
    if how.clock_offset:
        notes.append(f"{file}: {how.clock_offset:+g} s were added to its times, as clock_offset says.")
    zone = how.time_zone or ("UTC" if table.utc else None)
    return _File(table, clean, channels, usual_interval(clean.time), zone, reasons, tuple(notes))


def _times(table: LoggerTable, how: FileSettings) -> Floats:
    time = table.time
    if how.time_zone is not None and not table.utc:
        time = to_utc(time, how.time_zone, lambda r: f"row {table.row_numbers[r]}", table.file)
    return time + how.clock_offset if how.clock_offset else time


def _one_zone(files: Mapping[str, _File], name: str) -> str | None:
    """The zone in which times are shown; all files have UTC, or none has."""
    zones = {file: f.zone for file, f in files.items()}
    without = [file for file, zone in zones.items() if zone is None]
    if without and len(without) < len(zones):
        other = next(file for file, zone in zones.items() if zone is not None)
        raise VisitError(name, f"log: the times of {found(other)} are of a known zone, those of {found(without[0])} are not. "
                         f'Write time_zone in [log.files."{without[0]}"].')  # fmt: skip
    known = [zone for zone in zones.values() if zone not in (None, "UTC")]
    return known[0] if known else next(iter(zones.values()))


def _overlap(files: Mapping[str, _File], zone: str | None, name: str) -> None:
    latest = max(files, key=lambda f: files[f].clean.time[0])
    earliest = min(files, key=lambda f: files[f].clean.time[-1])
    begin, end = files[latest].clean.time[0], files[earliest].clean.time[-1]
    if begin > end:
        raise VisitError(name, (
            f"log: {found(earliest)} ends at {wall_time(end, zone)}, before {found(latest)} begins at "
            f"{wall_time(begin, zone)}; expected logs of one time. Check year, time_zone and date_order in [log]."
        ))  # fmt: skip


def _together(files: Mapping[str, _File], settings: LogSettings, zone: str | None) -> Log:
    """All channels on one grid, in the order of the visit file."""
    intervals = [f.interval for f in files.values() if np.isfinite(f.interval)]
    step = settings.step or (max(intervals) if intervals else 60.0)
    # The slowest file has fewest values to lose: the grid lies on its times.
    slowest = max(files.values(), key=lambda f: f.interval if np.isfinite(f.interval) else 0.0)
    grid = grid_times([f.clean.time for f in files.values()], step, float(slowest.clean.time[0]))
    channels: dict[str, Floats] = {}
    records: dict[str, ChannelRecord] = {}
    words: dict[str, Mapping[str, float]] = {}
    fitting = {name for name, file in files.items() if is_on_grid(grid, file.clean.time, step)}
    for name, file in files.items():
        fits, wide = name in fitting, gaps(file.clean.time, file.interval)
        for column, channel in file.channels:
            values = (
                channel.values[file.clean.rows]
                if len(file.clean.rows) < len(channel.values) or not _rising(file)
                else channel.values
            )
            channels[column.channel] = values if fits else on_grid(
                grid, file.clean.time, values, step, file.interval, words=not column.kind
            )  # fmt: skip
            records[column.channel] = _record(file, column, channel, values, wide)
            if channel.words:
                words[column.channel] = MappingProxyType(dict(channel.words))
    order = [c.channel for c in settings.columns]
    others = {name: file for name, file in files.items() if name not in fitting}
    notes = tuple(dict.fromkeys([n for f in files.values() for n in f.notes] + [*_resampled(others, grid, step)]))
    return Log(
        grid, MappingProxyType({c: channels[c] for c in order}), step, zone, tuple(records[c] for c in order), notes,
        MappingProxyType(words), MappingProxyType({f: how.clock_offset or 0.0 for f, how in settings.files.items()}),
    )  # fmt: skip


def _resampled(files: Mapping[str, _File], grid: Floats, step: float) -> Iterator[str]:
    """Which files were not on the grid, and how they came to it."""
    for name, file in files.items():
        time = file.clean.time
        after = np.clip(np.searchsorted(grid, time), 1, max(len(grid) - 1, 1))
        off = np.minimum(np.abs(time - grid[after - 1]), np.abs(time - grid[np.minimum(after, len(grid) - 1)]))
        count = int((off > NEAR * step).sum())
        if count:
            means = step >= FASTER * file.interval
            how = f"means over {step:g} s" if means else "lines between neighbours no further apart than 1.5 intervals"
            yield f"{name}: {count:,} of {len(time):,} rows lie between the times of the grid; values there are {how}."


def _rising(file: _File) -> bool:
    return not len(file.clean.out_of_order) and not len(file.clean.repeated)


def _record(
    file: _File, column: LoggedColumn, channel: Channel, values: Floats, wide: tuple[tuple[float, float], ...]
) -> ChannelRecord:
    """What `check` says of a channel; `wide` are the file's own gaps."""
    is_whole = is_complete(values)
    sound = slice(None) if is_whole else np.isfinite(values)
    time, held = file.clean.time[sound], values[sound]
    ends = (float(time[0]), float(time[-1])) if len(time) else (np.nan, np.nan)
    span = (float(held.min()), float(held.max())) if len(held) else (np.nan, np.nan)
    set_aside = {**{r: count for r, (count, _) in file.row_reasons.items()}, **channel.set_aside}
    samples = {**{r: rows for r, (_, rows) in file.row_reasons.items()}, **channel.samples}
    heading = column.column if isinstance(column.column, str) else f"column {column.column}"
    return ChannelRecord(
        column.channel, column.file, heading, channel.unit, *ends, file.interval, len(time), wide if is_whole else gaps(time, file.interval),
        *span, MappingProxyType(set_aside), MappingProxyType(samples), column.kind,
    )  # fmt: skip
