"""What was read from logger files, as a table for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from airside.show.table import print_list
from airside.units import UnitSystem, show
from airside.visit.load import load_visit, read_visit_data
from airside.visit.logs.clock import compare_clocks
from airside.visit.logs.log import ChannelRecord, Log
from airside.visit.logs.log_schema import has_logs
from airside.visit.logs.logged_visit import logged_visit
from airside.visit.logs.read import read_log
from airside.visit.schema import Visit

# Gaps that are listed by their times.
MOST_GAPS = 5


def print_logs(console: Any, file: str) -> Visit:
    """Load a visit file; where it names logger files, print what is in them first.

    Parameters
    ----------
    console : rich.console.Console
    file : str
        A visit file.

    Returns
    -------
    Visit
        Of a logged visit, that of the stretch that stands for it.

    Raises
    ------
    VisitError, FileError
        As `airside.visit.logs.logged_visit.load_either`.
    """
    data = read_visit_data(file)
    if not has_logs(data):
        return load_visit(file)
    log = read_log(data, folder=Path(file).parent, name=file)
    # The table is there even where no stretch of the log is steady.
    print_log(console, log, "IP" if data.get("units") == "IP" else "SI")
    return logged_visit(data, log, file, path=Path(file)).standing


def print_log(console: Any, log: Log, units: UnitSystem) -> None:
    """Each channel: first and last time, interval, gaps, range; what was set aside, and what was found out.

    Parameters
    ----------
    console : rich.console.Console
    log : Log
    units : "IP" or "SI"
    """
    from rich.table import Table

    table = Table(box=None, header_style="", padding=(0, 1, 0, 1))
    # A path may break at its last part, so that the table fits a narrow terminal.
    table.add_column("Logged", overflow="fold")
    table.add_column("first and last", no_wrap=True)
    for name in ("every", "values", "gaps", "lowest", "highest"):
        table.add_column(name, justify="right", no_wrap=name != "values")
    for record in log.records:
        table.add_row(*channel_cells(record, log, units))
    clock = f"{log.zone} time" if log.zone is not None else "the loggers' own clock"
    console.print(f"Logger files ({clock}; {len(log):,} times every {_seconds(log.step)})", style="bold")
    console.print(table)
    console.print()
    print_list(console, "Gaps without values", gap_sentences(log))
    print_list(console, "Set aside", set_aside_sentences(log))
    print_list(console, "Clocks", [c.sentence() for c in compare_clocks(log)])
    print_list(console, "How the logger files were read", log.notes)


def channel_cells(record: ChannelRecord, log: Log, units: UnitSystem) -> tuple[str, ...]:
    """One channel as the cells of its row."""
    first, last = (log.wall_time(t)[:16] if np.isfinite(t) else "none" for t in (record.first, record.last))
    if record.kind:
        lowest, highest = (show(v, record.kind, units) for v in (record.lowest, record.highest))
    else:
        lowest, highest = (f"{v:g}" for v in (record.lowest, record.highest))
    name = record.channel.removeprefix("readings.").replace("_", " ").replace(".", " ")
    ends = f"{first}\n{last}"
    return name, ends, _seconds(record.interval), f"{record.count:,}", str(len(record.gaps)), lowest, highest


def _seconds(value: float) -> str:
    if not np.isfinite(value):
        return "once"
    return f"{value / 60:g} min" if value >= 60 and value % 30 == 0 else f"{value:g} s"


def _once(log: Log, lines: Iterator[tuple[str, str, str]]) -> list[str]:
    """Sentences that several channels of a file share, once: with the channels, or all of them."""
    said: dict[tuple[str, str], list[str]] = {}
    for file, channel, sentence in lines:
        said.setdefault((file, sentence), []).append(channel)
    every = {f: sum(r.file == f for r in log.records) for f in dict.fromkeys(r.file for r in log.records)}
    found = []
    for (file, sentence), channels in said.items():
        whole = len(channels) == every[file] and len(channels) > 1
        where = "all channels" if whole else ", ".join(channels)
        found.append(f"{file}, {where}: {sentence}")
    return found


def gap_sentences(log: Log) -> list[str]:
    """Where values are missing, channels with the same gaps together."""

    def lines() -> Iterator[tuple[str, str, str]]:
        for r in log.records:
            if not r.gaps:
                continue
            longest = sorted(r.gaps, key=lambda g: g[0] - g[1])[:MOST_GAPS]
            listed = "; ".join(f"{log.wall_time(a)} to {log.wall_time(b)}" for a, b in sorted(longest))
            more = f" (the longest {MOST_GAPS} of {len(r.gaps)})" if len(r.gaps) > MOST_GAPS else ""
            yield r.file, r.channel, f"{listed}{more}."

    return _once(log, lines())


def set_aside_sentences(log: Log) -> list[str]:
    """What was set aside and why, with examples; channels of a file with the same rows together."""

    def lines() -> Iterator[tuple[str, str, str]]:
        for r in log.records:
            for reason, count in r.set_aside.items():
                rows = [f"{row} ({_short(text)})" if text else str(row) for row, text in r.samples.get(reason, ())]
                word = "row" if len(rows) == 1 else "rows"
                more = ", …" if count > len(rows) else ""
                yield r.file, r.channel, f"{reason}: {count:,} ({word} {', '.join(rows)}{more})."

    return _once(log, lines())


def _short(text: str) -> str:
    shown = "".join(c if c.isprintable() else "·" for c in text)
    return shown if len(shown) <= 40 else f"{shown[:39]}…"
