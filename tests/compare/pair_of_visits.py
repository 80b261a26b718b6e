"""A visit as nested dictionaries, to change and to pair, for the tests of comparing. SI; invented."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

from airside.visit.load import visit_from_data
from airside.visit.schema import Visit

PROBE: dict[str, Any] = {
    "dry_bulb": {"accuracy": 0.4, "resolution": 0.1},
    "relative_humidity": {"accuracy": 2.0, "resolution": 0.1},
}
BASE: dict[str, Any] = {
    "format": "airside visit 1", "units": "SI", "name": "unit before", "mode": "cooling",
    "site": {"barometric_pressure": 98.0, "instrument": "barometer"},
    "system": {"name": "unit", "nominal_capacity": 10.0},
    "airflow": {"method": "measured", "basis": "actual", "at": "return", "instrument": "station",
                "volume_flow": [520.0, 522.0, 518.0, 521.0]},
    "instruments": {
        "probe 1": PROBE, "probe 2": copy.deepcopy(PROBE), "thermometer": {"dry_bulb": {"accuracy": 0.5}},
        "station": {"volume_flow": {"accuracy_of_reading": 5.0}},
        "barometer": {"barometric_pressure": {"accuracy": 0.2}},
        "meter": {"power": {"accuracy_of_reading": 1.5}},
    },
    "readings": {
        "return": {"instrument": "probe 1", "dry_bulb": [25.0, 25.1, 24.9, 25.0, 25.1, 24.9],
                   "relative_humidity": [50.0, 50.2, 49.9, 50.1, 49.8, 50.0]},
        "supply": {"instrument": "probe 2", "dry_bulb": [14.0, 14.1, 13.9, 14.0, 13.9, 14.1],
                   "relative_humidity": [86.0, 86.3, 85.8, 86.1, 85.9, 86.0]},
        "outdoor": {"instrument": "thermometer", "dry_bulb": [32.0, 32.1, 31.9, 32.0]},
        "power": {"instrument": "meter", "total": [3.0, 3.02, 2.99, 3.01]},
    },
}  # fmt: skip
HEATING: dict[str, Any] = {
    "mode": "heating", "system.equipment": "heat pump",
    "readings.return.dry_bulb": [21.0, 21.1, 20.9, 21.0, 21.1, 20.9],
    "readings.return.relative_humidity": [35.0, 35.2, 34.9, 35.1, 34.8, 35.0],
    "readings.supply.dry_bulb": [37.0, 37.1, 36.9, 37.0, 36.9, 37.1],
    "readings.supply.relative_humidity": [14.2, 14.3, 14.1, 14.2, 14.2, 14.2],
    "readings.outdoor.dry_bulb": [8.0, 8.1, 7.9, 8.0],
}  # fmt: skip
AFTER: dict[str, Any] = {"name": "unit after"}


def data(*changes: dict[str, Any]) -> dict[str, Any]:
    """The base with values set by dotted name; None takes a key out."""
    found = copy.deepcopy(BASE)
    for change in changes:
        for dotted, value in change.items():
            *path, last = dotted.split(".")
            table = found
            for key in path:
                table = table.setdefault(key, {})
            if value is None:
                table.pop(last, None)
            else:
                table[last] = copy.deepcopy(value)
    return found


def visit(*changes: dict[str, Any], path: Path | None = None) -> Visit:
    """The base as a visit."""
    return visit_from_data(data(*changes), path=path)


def supply(dry_bulb: float, humidity: float = 86.0) -> dict[str, Any]:
    """Other supply readings, with a little scatter."""
    steps = (0.0, 0.1, -0.1, 0.0, -0.1, 0.1)
    return {
        "readings.supply.dry_bulb": [round(dry_bulb + s, 3) for s in steps],
        "readings.supply.relative_humidity": [round(humidity + 2 * s, 3) for s in steps],
    }
