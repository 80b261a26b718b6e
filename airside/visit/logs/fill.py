"""A visit's nested dictionaries with one stretch's readings filled in where the file names logger files."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

import numpy as np

from airside.errors import Problem, VisitError
from airside.units import UnitSystem, to_input
from airside.visit.convert import kind_of
from airside.visit.logs.log import Log
from airside.visit.logs.log_schema import LOG_KEYS
from airside.visit.problems import model_of

AIR = ("dry_bulb", "relative_humidity", "wet_bulb", "dew_point")


def without_logs(data: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of a visit's data without the keys that name logger files; what was typed stays."""
    found = {k: deepcopy(v) for k, v in data.items() if k != "log"}
    tables = [t for t in found.values() if isinstance(t, dict)]
    readings = found.get("readings")
    if isinstance(readings, dict):
        readings.pop("status", None)
        tables += [t for t in readings.values() if isinstance(t, dict)]
    for table in tables:
        for key in LOG_KEYS:
            table.pop(key, None)
    return found


def field_kind(data: Mapping[str, Any], channel: str) -> str | None:
    """Kind of quantity of a channel's field; None where the file has no such field."""
    *path, field = channel.split(".")
    model = model_of(tuple(path), data)
    known = {} if model is None else {f.alias or n: f for n, f in model.model_fields.items()}
    return kind_of(known[field].annotation, known[field].metadata) if field in known else None


def filled(data: Mapping[str, Any], log: Log, start: int, stop: int, name: str = "visit") -> dict[str, Any]:
    """A visit's data with the readings of some rows of its log.

    Parameters
    ----------
    data : mapping
        The visit file as nested dictionaries.
    log : Log
    start, stop : int
        First row, and one past the last row.
    name : str
        The file's, for messages.

    Raises
    ------
    VisitError
        A channel has no field in the visit file.
    """
    units: UnitSystem = "IP" if data.get("units") == "IP" else "SI"
    found = without_logs(data)
    for channel, column in log.channels.items():
        if channel.startswith("readings.status."):
            continue
        values = column[start:stop]
        kind = field_kind(data, channel)
        if kind is None:
            raise VisitError(name, [Problem("is no field that readings can be logged for.", channel)])
        if not np.isfinite(values).all():
            # Only what the capacity does not need may lack values; the field is left out.
            continue
        bare = np.atleast_1d(to_input(values if channel != "site.barometric_pressure" else values.mean(), kind, units))
        # Twelve digits: far below any reading's resolution, and no rounding tail.
        numbers = [float(f"{v:.12g}") for v in bare]
        *path, field = channel.split(".")
        table: Any = found
        for part in path:
            table = table.setdefault(part, {})
        table[field] = numbers[0] if channel == "site.barometric_pressure" else numbers
    _repeat_typed(found, log, stop - start)
    readings = found.setdefault("readings", {})
    if isinstance(readings, dict):
        readings.setdefault("interval", log.step / 60)
        # What is left of a table whose loggers had no values here.
        for table, wanted in (("outdoor", "dry_bulb"), ("refrigerant", "pressure")):
            content = readings.get(table)
            if isinstance(content, dict) and not any(k.endswith(wanted) for k in content):
                del readings[table]
    return found


def _repeat_typed(data: dict[str, Any], log: Log, count: int) -> None:
    """Beside a logged quantity, one typed value of the same air holds for each of its readings."""
    for place in ("return", "supply", "outdoor"):
        logged = any(f"readings.{place}.{n}" in log.channels for n in AIR)
        table = data.get("readings", {}).get(place)
        if not logged or not isinstance(table, dict):
            continue
        for name in AIR:
            value = table.get(name)
            if name in table and f"readings.{place}.{name}" not in log.channels:
                single = value if not isinstance(value, list) else (value[0] if len(value) == 1 else None)
                if single is not None:
                    table[name] = [single] * count
