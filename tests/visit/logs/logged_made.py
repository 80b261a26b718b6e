"""Logs and visit files of an invented library unit, for the tests of runs, stretches and logged visits."""

from __future__ import annotations

import numpy as np

from airside.visit.logs.log import Log

MINUTE = 60.0
# 2026-07-13 00:00 of a clock without a zone.
BEGIN = 1_783_900_800.0


def made_log(on, *, seed=1, noise=0.02, stage=None, step=MINUTE, begin=BEGIN, zone=None, **changed):
    """A log in SI of a cooling system that runs where `on` is true; without lag, so that runs are exact.

    Further channels by their path with underscores for dots, or None to leave one out.
    """
    on = np.asarray(on, dtype=bool)
    random = np.random.default_rng(seed)

    def noisy(values, size=noise):
        return np.asarray(values, dtype=float) + size * random.standard_normal(on.size)

    channels = {
        "readings.return.dry_bulb": noisy(np.full(on.size, 24.0)),
        "readings.return.dew_point": noisy(np.full(on.size, 13.0)),
        "readings.supply.dry_bulb": noisy(np.where(on, 13.0, 23.5)),
        "readings.supply.dew_point": noisy(np.where(on, 11.0, 12.5)),
        "readings.outdoor.dry_bulb": noisy(np.full(on.size, 33.0)),
        "readings.power.total": noisy(np.where(on, 2600.0, 60.0), 100 * noise),
        "airflow.volume_flow": noisy(np.where(on, 0.55, 0.002), noise / 20),
    }
    if stage is not None:
        channels["readings.status.stage"] = np.asarray(stage, dtype=float)
    for name, values in changed.items():
        if values is None:
            del channels[name]
        else:
            channels[name] = np.asarray(values, dtype=float)
    return Log(begin + step * np.arange(on.size), channels, step, zone)


def made_data(**counting):
    """The visit file of the log as nested dictionaries, in SI; its logger files are never read."""
    log = {"log": "library.csv"}
    return {
        "format": "airside visit 1",
        "units": "SI",
        "name": "Library unit, logged (invented)",
        "mode": "cooling",
        "site": {"elevation": 300},
        "system": {"nominal_capacity": 10},
        "airflow": {"method": "measured", "basis": "actual", "at": "return", "instrument": "hood",
                    **log, "columns": {"volume_flow": "flow"}},
        "instruments": {
            "probe_1": {"dry_bulb": {"accuracy": 0.4, "resolution": 0.1}, "dew_point": {"accuracy": 0.6}},
            "probe_2": {"dry_bulb": {"accuracy": 0.4, "resolution": 0.1}, "dew_point": {"accuracy": 0.6}},
            "meter": {"power": {"accuracy_of_reading": 1.0}},
            "hood": {"volume_flow": {"accuracy_of_reading": 3.0}},
        },
        "readings": {
            "return": {"instrument": "probe_1", **log, "columns": {"dry_bulb": "t1", "dew_point": "d1"}},
            "supply": {"instrument": "probe_2", **log, "columns": {"dry_bulb": "t2", "dew_point": "d2"}},
            "outdoor": {"instrument": "probe_2", **log, "columns": {"dry_bulb": "t3"}},
            "power": {"instrument": "meter", **log, "columns": {"total": "p"}},
        },
        "log": {"counting": dict(counting)},
    }  # fmt: skip


def cycles(*minutes):
    """Off and on in turn, so many minutes each, beginning with off."""
    return np.concatenate([np.full(m, bool(i % 2)) for i, m in enumerate(minutes)])
