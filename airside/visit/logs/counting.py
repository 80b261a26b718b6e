"""The visit file's table [log.counting]: which minutes of the log count."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from difflib import get_close_matches
from typing import Any

from pydantic_core import PydanticCustomError

from airside.errors import Problem, VisitError
from airside.units import UnitSystem
from airside.visit.logs.log import Log
from airside.visit.quantities import found, number

RUNNING_FROM = ("status", "power", "airflow", "supply temperature")
KEYS = ("running_from", "running_above", "stage", "after_start", "before_stop", "window", "stretch", "first", "last")
# Common practice, no source: a coil and its probes need about ten minutes after a start.
AFTER_START = 600.0
# The row in which the system stops is part running, part off.
BEFORE_STOP = 60.0
WINDOW = 900.0
# Readings of a stretch: fewer do not tell their scatter from their trend.
FEWEST = 5


@dataclass(frozen=True)
class Counting:
    """Which minutes count.

    Attributes
    ----------
    running_from : str or None
        One of `RUNNING_FROM`; None for the first of them that is logged and shows two levels.
    running_above : float, str or None
        Threshold as the file holds it: a bare number in the visit's unit of that channel, or text with a unit.
    stage : float, str or None
        The stage that counts; None for the highest that runs long enough.
    after_start, before_stop : float [s]
        Left out after a start or a change of stage, and before the next.
    window : float or None [s]
        Length of a steady stretch; None for 15 minutes, or `FEWEST` readings where that is longer.
    stretch : int or None
        Number of the stretch that stands for the visit.
    first, last : float or None [s, as `Log.time`]
    units : "IP" or "SI"
        Of bare numbers.
    """

    running_from: str | None = None
    running_above: float | str | None = None
    stage: float | str | None = None
    after_start: float = AFTER_START
    before_stop: float = BEFORE_STOP
    window: float | None = None
    stretch: int | None = None
    first: float | None = None
    last: float | None = None
    units: UnitSystem = "SI"

    def rows(self, step: float) -> int:
        """How many rows of a log a stretch has."""
        if self.window is None:
            return max(round(WINDOW / step), FEWEST)
        return round(self.window / step)


def counting_of(data: Mapping[str, Any], log: Log, name: str = "visit") -> Counting:
    """Read [log.counting] of a visit's data.

    Parameters
    ----------
    data : mapping
        The visit file as nested dictionaries.
    log : Log
        Gives the time zone and the step.
    name : str
        The file's, for messages.

    Raises
    ------
    VisitError
        Every problem of the table at once.
    """
    top = data.get("log")
    table = top.get("counting", {}) if isinstance(top, Mapping) else {}
    if not isinstance(table, Mapping):
        raise VisitError(name, [Problem(f"found {found(table)}; expected a table.", "log.counting")])
    units: UnitSystem = "IP" if data.get("units") == "IP" else "SI"
    problems: list[Problem] = []
    values: dict[str, Any] = {"units": units}
    for key, value in table.items():
        if key == "stage":
            value = _status_number(value, data)
        if key not in KEYS:
            near = get_close_matches(key, KEYS, n=1, cutoff=0.6)
            hint = f'Did you mean "{near[0]}"?' if near else f"Known here: {', '.join(KEYS)}."
            problems.append(Problem(f'unknown key "{key}". {hint}', "log.counting"))
            continue
        said = _check(key, value, values, log, units)
        if said:
            problems.append(Problem(said, f"log.counting.{key}"))
    counting = Counting(**values) if not problems else None
    if counting is not None:
        problems += _together(counting, log)
    if problems:
        raise VisitError(name, problems)
    assert counting is not None
    return counting


def _check(key: str, value: Any, values: dict[str, Any], log: Log, units: UnitSystem) -> str:
    """Put a key's value among the values; what is wrong with it, else an empty text."""
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if key == "running_from":
        if value not in RUNNING_FROM:
            listed = ", ".join(f'"{v}"' for v in RUNNING_FROM)
            return f"found {found(value)}; expected one of {listed}."
    elif key in ("after_start", "before_stop", "window"):
        try:
            value = number(value, "time", units)
        except PydanticCustomError as error:
            return error.message()
        if value < 0 or (key == "window" and value == 0):
            return (
                f"found {table_text(value)}; expected minutes, {'above zero' if key == 'window' else 'zero or above'}."
            )
    elif key == "stretch":
        if not isinstance(value, int) or isinstance(value, bool) or value < 1:
            return f"found {found(value)}; expected the number of a stretch, counted from 1."
    elif key in ("first", "last"):
        moment = _moment(value)
        if moment is None:
            return f'found {found(value)}; expected a date and time such as "2021-08-26T13:05:00".'
        value = _seconds(moment, log.zone, end=key == "last" and _is_day(value))
    elif key == "stage" and not (is_number or isinstance(value, str)):
        return f"found {found(value)}; expected a value of the status channel."
    elif key == "running_above" and not (is_number or isinstance(value, str)):
        return f"found {found(value)}; expected a number, or text with a unit."
    values[key] = value
    return ""


def _status_number(value: Any, data: Mapping[str, Any]) -> Any:
    """A status word as the number that the visit file gives it."""
    status: Any = data
    for part in ("readings", "status", "words"):
        status = status.get(part) if isinstance(status, Mapping) else None
    if not isinstance(value, str) or not isinstance(status, Mapping):
        return value
    return {str(k).strip().casefold(): v for k, v in status.items()}.get(value.strip().casefold(), value)


def table_text(seconds: float) -> str:
    """Seconds as minutes in words."""
    return f"{seconds / 60:g} min"


def _is_day(value: Any) -> bool:
    return (isinstance(value, date) and not isinstance(value, datetime)) or (
        isinstance(value, str) and len(value.strip()) <= 10
    )


def _moment(value: Any) -> datetime | None:
    if isinstance(value, datetime):
        return value
    if isinstance(value, date):
        return datetime(value.year, value.month, value.day)
    if not isinstance(value, str):
        return None
    try:
        return datetime.fromisoformat(value.strip())
    except ValueError:
        return None


def _seconds(moment: datetime, zone: str | None, *, end: bool) -> float:
    """A time of the wall clock, or one that names its zone, as `Log.time` counts; a day ends at its midnight."""
    from zoneinfo import ZoneInfo

    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=ZoneInfo(zone) if zone else UTC)
    return moment.timestamp() + (86_400.0 if end else 0.0)


def _together(counting: Counting, log: Log) -> list[Problem]:
    problems = []
    rows = counting.rows(log.step)
    if rows < FEWEST:
        assert counting.window is not None
        problems.append(Problem(
            f"found {table_text(counting.window)}, which is {max(rows, 0)} of the log's steps of {log.step:g} s; expected at "
            f"least {FEWEST}: {table_text(FEWEST * log.step)} or more.",
            "log.counting.window",
        ))  # fmt: skip
    if len(log) and counting.first is not None and counting.first > log.time[-1]:
        problems.append(Problem(
            f"the log ends at {log.wall_time(log.time[-1])}, before that; expected a time inside the log.",
            "log.counting.first",
        ))  # fmt: skip
    if len(log) and counting.last is not None and counting.last < log.time[0]:
        problems.append(Problem(
            f"the log begins at {log.wall_time(log.time[0])}, after that; expected a time inside the log.",
            "log.counting.last",
        ))  # fmt: skip
    if counting.first is not None and counting.last is not None and counting.last <= counting.first:
        problems.append(Problem("is not after first; expected a later time.", "log.counting.last"))
    return problems
