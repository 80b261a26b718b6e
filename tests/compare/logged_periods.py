"""Logged visits of an invented clinic's unit on disk: visit files and their logger files, a day each."""

from __future__ import annotations

import copy
import csv
import sys
from pathlib import Path

import numpy as np
import tomli_w

sys.path.append(str(Path(__file__).parents[1] / "visit" / "logs"))
from logged_made import BEGIN, cycles, made_data, made_log

DAY = 86_400.0
# Runs of a day, in minutes: off and on in turn.
RUNS = cycles(540, 70, 20, 90, 20, 90, 20, 90, 20, 90, 20, 90, 20, 90, 190)
COLUMNS = {
    "readings.return.dry_bulb": "return_t", "readings.return.dew_point": "return_dp",
    "readings.supply.dry_bulb": "supply_t", "readings.supply.dew_point": "supply_dp",
    "readings.outdoor.dry_bulb": "outdoor_t", "readings.power.total": "power", "airflow.volume_flow": "flow",
}  # fmt: skip


def day_log(number, *, seed, colder=0.0):
    """One day; the supply air is colder by so much after the work [K]."""
    random = np.random.default_rng(seed)
    minutes = np.arange(RUNS.size)
    outdoor = 29 + 3 * random.random() + 4 * np.sin(np.pi * (minutes - 540) / 900).clip(0)
    inside = 23.5 + random.random() + 0.6 * np.sin(2 * np.pi * minutes / 700)
    supply = np.where(RUNS, 13 + 0.12 * (outdoor - 32) - colder, 23.5)
    return made_log(RUNS, seed=seed, begin=BEGIN + DAY * number, **{
        "readings.return.dry_bulb": inside + 0.02 * random.standard_normal(RUNS.size),
        "readings.return.dew_point": 11.8 + 2.0 * random.random() + 0.5 * np.sin(2 * np.pi * minutes / 300) + 0.02 * random.standard_normal(RUNS.size),
        "readings.supply.dry_bulb": supply + 0.02 * random.standard_normal(RUNS.size),
        "readings.supply.dew_point": np.where(RUNS, 11.0 - 0.5 * colder, 12.5) + 0.02 * random.standard_normal(RUNS.size),
        "readings.outdoor.dry_bulb": outdoor + 0.02 * random.standard_normal(RUNS.size),
        "readings.power.total": np.where(RUNS, 2600 + 40 * (outdoor - 32), 60) + 3 * random.standard_normal(RUNS.size),
    })  # fmt: skip


def write_day(folder, name, log, *, title="Clinic unit (invented)"):
    """Write a visit file and its logger file; give the visit file."""
    folder = Path(folder)
    folder.mkdir(exist_ok=True)
    with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["time", *COLUMNS.values()])
        stamps = np.datetime_as_string(log.time.astype("datetime64[s]"), unit="s")
        # Flows of a visit file in SI are in L/s, powers in kW.
        scales = {"airflow.volume_flow": 1000.0, "readings.power.total": 1e-3}
        values = [log.channels[c] * scales.get(c, 1.0) for c in COLUMNS]
        for stamp, *row in zip(stamps, *values, strict=True):
            writer.writerow([stamp, *(f"{v:.4f}" for v in row)])
    data = copy.deepcopy(made_data(after_start="10 min"))
    data["name"] = title
    for table in ("return", "supply", "outdoor", "power"):
        fields = [c.rpartition(".")[2] for c in COLUMNS if c.startswith(f"readings.{table}.")]
        data["readings"][table] |= {
            "log": f"{name}.csv",
            "columns": {f: COLUMNS[f"readings.{table}.{f}"] for f in fields},
        }
    data["airflow"] |= {"log": f"{name}.csv", "columns": {"volume_flow": "flow"}}
    path = folder / f"{name}.toml"
    path.write_text(tomli_w.dumps(data), encoding="utf-8")
    return path


def write_periods(folder, *, days=4, colder=2.5):
    """Two folders of days, before and after the work; give both."""
    folders = []
    for which, first, change in (("before", 0, 0.0), ("after", 20, colder)):
        for i in range(days):
            write_day(Path(folder) / which, f"day_{i}", day_log(first + i, seed=first + i, colder=change),
                      title=f"Clinic unit, {which} (invented)")  # fmt: skip
        folders.append(Path(folder) / which)
    return folders
