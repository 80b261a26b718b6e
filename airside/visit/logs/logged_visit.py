"""A visit whose readings are in logger files: its log, its runs, its steady stretches, and a visit of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from airside.errors import Problem, VisitError
from airside.units import UnitSystem
from airside.visit.evidence import table_problems
from airside.visit.load import read_visit_data, visit_from_data
from airside.visit.logs.counting import Counting, counting_of
from airside.visit.logs.fill import filled
from airside.visit.logs.log import Log
from airside.visit.logs.log_schema import has_logs
from airside.visit.logs.running import Runs, find_runs
from airside.visit.logs.stretch_record import StretchRecord
from airside.visit.logs.stretches import Stretches, find_stretches
from airside.visit.schema import HUMIDITIES, Visit

if TYPE_CHECKING:
    from airside.visit.logs.stretch_capacity import StretchCapacities


@dataclass(frozen=True, eq=False, repr=False)
class LoggedVisit:
    """One system, logged.

    Attributes
    ----------
    data : mapping
        The visit file as nested dictionaries.
    name : str
        The file's, for messages.
    path : Path or None
        Where it lies.
    log : Log
    counting : Counting
    runs : Runs
    stretches : Stretches
        Numbered from 1 in time.
    """

    data: Mapping[str, Any]
    name: str
    path: Path | None
    log: Log
    counting: Counting
    runs: Runs
    stretches: Stretches

    def __len__(self) -> int:
        return len(self.stretches)

    def __repr__(self) -> str:
        return f"<LoggedVisit: {self.data.get('name', self.name)}, {len(self)} steady stretches>"

    @property
    def standing_number(self) -> int:
        """Number of the stretch that stands for the visit: as the file says, else the last one of the longest run."""
        if self.counting.stretch is not None:
            return self.counting.stretch
        lengths = self.runs.length[self.stretches.run]
        # Of equally long runs the later one.
        return int(np.flatnonzero(lengths == lengths.max())[-1]) + 1

    @cached_property
    def standing(self) -> Visit:
        """The visit of the stretch that stands for it."""
        return self.visit(self.standing_number)

    def visit(self, number: int) -> Visit:
        """An ordinary visit with the readings of one stretch.

        Parameters
        ----------
        number : int
            Counted from 1.

        Raises
        ------
        VisitError
            There is no such stretch, or the rest of the file has problems; all of them are named.
        """
        count = len(self.stretches)
        if not 1 <= number <= count:
            listed = "there is only stretch 1" if count == 1 else f"the stretches are numbered 1 to {count}"
            raise VisitError(self.name, [Problem(f"there is no stretch {number}; {listed}.", "log.counting.stretch")])
        start, stop = int(self.stretches.start[number - 1]), int(self.stretches.stop[number - 1])
        data = filled(self.data, self.log, start, stop, self.name)
        record = self._record(number)
        data.setdefault("date", date.fromisoformat(record.begin[:10]))
        try:
            visit = visit_from_data(data, self.name, path=self.path)
        except VisitError as error:
            folder = self.path.parent if self.path is not None else Path()
            raise VisitError(self.name, [*error.problems, *table_problems(data, folder)]) from None
        return visit.model_copy(update={"stretch": record})

    def _record(self, number: int) -> StretchRecord:
        s, i = self.stretches, number - 1
        found = {c: (float(v.standard_error[i]), v.degrees_of_freedom) for c, v in s.channels.items()}
        return StretchRecord(
            number, len(s), self.log.wall_time(s.begin[i]), self.log.wall_time(s.end[i]),
            float(self.runs.length[s.run[i]]), self.runs.stage_name(float(s.stage[i])), s.step, s.minutes, s.set_aside,
            {entry: found[c] for entry, c in entries_of(self.log).items() if c in found},
            (*self.runs.sentences, *self.log.notes), self.clock_warnings,
        )  # fmt: skip

    @cached_property
    def clock_warnings(self) -> tuple[str, ...]:
        """Clocks of its files that differ by more than a sensor may follow late."""
        from airside.visit.logs.clock import compare_clocks

        return tuple(c.sentence() for c in compare_clocks(self.log) if c.offset.found and not c.agree)

    def to_dict(self) -> dict[str, Any]:
        """The stretches for JSON: which one stands, every row by what became of it, and the columns of `capacities`."""
        s = self.stretches
        return {
            "standing": self.standing_number, "count": len(s), "window_s": s.window, "step_s": s.step, "rows": s.minutes,
            "rows_in_stretches": len(s) * s.rows, "rows_set_aside": s.set_aside, "runs": len(self.runs),
            "time_zone": self.log.zone, "notes": [*self.runs.sentences, *self.log.notes],
            **self.capacities().to_dict(),
            "begin": [self.log.wall_time(t) for t in s.begin], "end": [self.log.wall_time(t) for t in s.end],
        }  # fmt: skip

    def capacities(self) -> StretchCapacities:
        """Capacity, split, airflow and efficiency of every stretch with standard uncertainties; see `stretch_capacity`."""
        return self._capacities

    @cached_property
    def _capacities(self) -> StretchCapacities:
        from airside.visit.logs.stretch_capacity import stretch_capacities

        return stretch_capacities(self.standing, self.log, self.stretches)


def entries_of(log: Log) -> dict[str, str]:
    """Channel of each input that is logged, by the entries of `airside.visit.reading_errors.VisitErrors`."""
    found = {}
    for place in ("return", "supply", "outdoor"):
        for name in ("dry_bulb", *HUMIDITIES):
            if (channel := f"readings.{place}.{name}") in log.channels:
                found[f"{place}.{'dry_bulb' if name == 'dry_bulb' else 'humidity'}"] = channel
    for channel in log.channels:
        if channel.startswith(("airflow.", "readings.refrigerant.")):
            found[channel.removeprefix("readings.")] = channel
    for entry, channels in (
        ("fan.power", ("fan.power", "readings.power.indoor_unit")),
        ("power", ("readings.power.total", "readings.power.outdoor_unit")),
    ):
        for channel in channels:
            if channel in log.channels:
                found.setdefault(entry, channel)
    return found


def load_logged(path: str | Path, *, units: UnitSystem | None = None) -> LoggedVisit:
    """Load a visit file that names logger files, read these, and find the minutes that count.

    Parameters
    ----------
    path : str or Path
        The visit file.
    units : "IP" or "SI", optional
        Of sentences; default those of the file.

    Returns
    -------
    LoggedVisit

    Raises
    ------
    VisitError, FileError
        The visit file or a logger file cannot be used, nothing runs, or no stretch is steady.
    """
    from airside.visit.logs.read import read_log

    name, data = str(path), read_visit_data(path)
    if not has_logs(data):
        raise VisitError(
            name,
            'names no logger file; expected a table with log = "FILE" and columns. For typed visits there is airside compare, and load_visit in Python.',
        )
    return logged_visit(data, read_log(data, folder=Path(path).parent, name=name), name, path=Path(path), units=units)


def logged_visit(
    data: Mapping[str, Any], log: Log, name: str = "visit", *, path: Path | None = None, units: UnitSystem | None = None
) -> LoggedVisit:
    """Find runs and steady stretches of a log.

    Parameters
    ----------
    data : mapping
        The visit file as nested dictionaries.
    log : Log
    name : str
        The file's, for messages.
    path : Path, optional
        What tables are relative to.
    units : "IP" or "SI", optional
        Of sentences; default those of the file.

    Raises
    ------
    VisitError
        As `load_logged`.
    """
    counting = counting_of(data, log, name)
    if units is not None and not isinstance(counting.running_above, int | float):
        # A bare threshold is one in the file's units.
        counting = replace(counting, units=units)
    mode = "heating" if data.get("mode") == "heating" else "cooling"
    readings = data.get("readings")
    strict = isinstance(readings, Mapping) and readings.get("tolerances") == "strict"
    if isinstance(data.get("airflow"), Mapping) and data["airflow"].get("method") == "traverse":
        logged = [c for c in log.channels if c.startswith("airflow.")]
        if logged:
            raise VisitError(name, [Problem(
                "a traverse is read point by point; expected typed values, not a logged column.", logged[0]
            )])  # fmt: skip
    runs = find_runs(log, counting, mode=mode, name=name)
    found = find_stretches(log, runs, counting, tolerances="strict" if strict else "field", name=name)
    return LoggedVisit(data, name, path, log, counting, runs, found)


def load_either(path: str | Path, units: UnitSystem | None = None) -> tuple[Visit, LoggedVisit | None]:
    """A visit file as a visit, and its log where it names logger files.

    Parameters
    ----------
    path : str or Path
    units : "IP" or "SI", optional
        Of what is said of a log; default those of the file.

    Raises
    ------
    VisitError, FileError
        As `airside.load_visit` and `load_logged`.
    """
    from airside.visit.load import load_visit

    if not has_logs(read_visit_data(path)):
        return load_visit(path), None
    found = load_logged(path, units=units)
    return found.standing, found
