"""A year of one-minute readings of one system, from CSV to the capacity of each steady stretch, on one core.

525,600 rows of four probes (return, supply, outdoor, zone: dry bulb and humidity), airflow and power, made by
`airside.fleet.make_fleet`, invented. The reference is a plain script of pandas and psychrolib that does the same: it reads the
columns that it needs of the same CSV, finds the running minutes by power, leaves out the same minutes after a start and before
a stop, and takes the same windows with the same tolerances by rolling maxima and minima. Of each stretch it has mean, scatter,
trend and autocorrelation of every channel (rolling mean, standard deviation and correlation), and from the autocorrelation
the standard error; by psychrolib, compiled by numba, total, sensible and latent capacity and the return wet bulb; and the
uncertainty of these from what stretches share and from their own standard errors, each input shifted up and down. It is
checked that both find the same stretches, capacities and shared uncertainties.

The reference takes the threshold of running and the sizes of the shared errors as known, and does not look at its input
(text in a number column, gaps, clocks, impossible air); airside does all of that in its time. A second ratio leaves scatter,
trend, autocorrelation and the stretches' own uncertainty out of the reference, though airside still has them.

Each runs in a process of its own, bound to one core, and has done a day of the same before, so that imports are left out of
the time. So is numba's compilation, which is given by itself: it comes anew in every process.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from tests.benchmarks import Figure
from tests.benchmarks.peak_memory import peak_memory

ROWS = 525_600
HERE = "tests.benchmarks.year_of_minutes"
# Of the made visit file: window and rows left out, tolerances "field".
WINDOW, AFTER_START, BEFORE_STOP = 15, 10, 1
REPEATS = 7


def measure() -> Iterator[Figure]:
    """Seconds, megabytes, and the ratio to the plain script."""
    with tempfile.TemporaryDirectory() as folder:
        visit = _made(Path(folder))
        # By turns, so that a machine that gets slower or faster is so for both.
        pairs = [(_run("airside", visit), _run("plain", visit)) for _ in range(REPEATS)]
        runs, plain = (list(found) for found in zip(*pairs, strict=True))
    ours, theirs = (min(found, key=lambda r: float(r["seconds"])) for found in (runs, plain))
    assert ours["count"] == theirs["count"], (ours["count"], theirs["count"])
    np.testing.assert_allclose(theirs["total"], ours["total"], rtol=2e-3)
    np.testing.assert_allclose(theirs["uncertainty"], ours["uncertainty"], rtol=0.05)
    yield Figure("rows", ROWS, "rows")
    yield Figure("steady stretches", ours["count"], "stretches")
    yield Figure("read, stretches and capacities, one core", ours["seconds"], "s", at_most=6.0)
    yield Figure("of that: reading", ours["reading"], "s")
    yield Figure("of that: runs and stretches", ours["stretches"], "s")
    yield Figure("of that: capacities with uncertainty", ours["capacities"], "s")
    yield Figure("what a first run loads, not in it", ours["warming"], "s")
    yield Figure("peak memory of the process", max(r["memory"] for r in runs), "MB", at_most=600.0)
    yield Figure("plain pandas and psychrolib with numba", theirs["seconds"], "s")
    yield Figure("of that: reading", theirs["reading"], "s")
    yield Figure("of that: runs and stretches", theirs["stretches"], "s")
    yield Figure("of that: scatter, trend and autocorrelation", theirs["scatter"], "s")
    yield Figure("of that: capacities with uncertainty", theirs["capacities"], "s")
    yield Figure("numba's compilation in a first run, not in it", theirs["warming"], "s")
    yield Figure("peak memory of the plain script", max(r["memory"] for r in plain), "MB")
    yield Figure("the plain script over airside", theirs["seconds"] / ours["seconds"], "times", at_least=3.0)
    alone = (theirs["seconds"] - theirs["scatter"]) / ours["seconds"]
    yield Figure("the plain script without scatter over airside", alone, "times")
    whole = (theirs["seconds"] + theirs["warming"]) / (ours["seconds"] + ours["warming"])
    yield Figure("both with what a first run loads and compiles", whole, "times")


def _made(folder: Path) -> Path:
    """The visit file of a year; the zone's probe is in the CSV, as loggers have more than is asked for."""
    from pyarrow import csv

    from airside.fleet.make_fleet import make_fleet

    made = make_fleet(folder / "fleet", 1, 365, seed=2026, form="folders", faulty=0.0)
    visit = made.readings / "unit_001" / "visit.toml"
    log = visit.with_name("log.csv")
    assert csv.read_csv(log).num_rows == ROWS
    make_fleet(folder / "day", 1, 1, seed=1, form="folders", faulty=0.0)
    _more_probes(log)
    _more_probes(visit_of_a_day(folder).with_name("log.csv"))
    return visit


def visit_of_a_day(folder: Path) -> Path:
    """Made beside the year, for the first run of each process."""
    return folder / "day" / "systems" / "unit_001" / "visit.toml"


def _more_probes(log: Path) -> None:
    """Add the probes that the visit file does not need."""
    import pyarrow as pa
    from pyarrow import csv

    table = csv.read_csv(log)
    random = np.random.default_rng(1)
    for name, base, size in (
        ("outdoor_humidity", 55.0, 8.0),
        ("zone_dry_bulb", 24.5, 0.4),
        ("zone_humidity", 48.0, 2.0),
    ):
        table = table.append_column(name, pa.array(np.round(base + size * random.standard_normal(table.num_rows), 1)))
    csv.write_csv(table, log)


def _run(what: str, visit: Path) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-m", HERE, what, str(visit)], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2], env={**os.environ, "AIRSIDE_THREADS": "1"},
    )  # fmt: skip
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def _one_core() -> None:
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


def _by_airside(visit: Path) -> dict[str, Any]:
    from airside.visit.load import read_visit_data
    from airside.visit.logs.logged_visit import logged_visit
    from airside.visit.logs.read import read_log
    from airside.visit.logs.stretch_capacity import stretch_capacities

    begin = time.perf_counter()
    data = read_visit_data(visit)
    log = read_log(data, folder=visit.parent, name=str(visit))
    read = time.perf_counter()
    logged = logged_visit(data, log, str(visit), path=visit)
    found = time.perf_counter()
    capacities = stretch_capacities(logged.standing, log, logged.stretches)
    end = time.perf_counter()
    total = capacities.figures["total"]
    return {
        "seconds": end - begin, "reading": read - begin, "stretches": found - read, "capacities": end - found,
        "memory": peak_memory() / 1e6, "count": len(capacities), "total": total.value.tolist(),
        "uncertainty": total.shared.tolist(),
    }  # fmt: skip


# Standard uncertainty of each input that stretches share, as the made visit file and the defaults of
# `airside.instruments.defaults` give them: two probes with placement, the flow station, the barometer by elevation.
SHIFTS = {
    "t1": np.hypot(0.3 / 3**0.5, 0.1), "t2": np.hypot(0.3 / 3**0.5, 0.3), "rh1": 0.02 / 3**0.5, "rh2": 0.02 / 3**0.5,
    "flow": 0.03, "pressure": 0.008,
}  # fmt: skip
# Largest range in a window: `airside.instruments.steadiness`, "field"; those of flow and power over the mean.
COLUMNS = ["return_dry_bulb", "return_humidity", "supply_dry_bulb", "supply_humidity", "outdoor_dry_bulb", "volume_flow", "power"]  # fmt: skip


def _by_pandas(visit: Path) -> dict[str, Any]:
    import pandas as pd
    import psychrolib as ps

    from airside.instruments.steadiness import TOLERANCES
    from airside.visit.load import load_visit

    elevation = load_visit(visit).site.elevation
    assert ps.has_numba
    if ps.PSYCHROLIB_UNITS != ps.SI:
        # It compiles everything anew each time.
        ps.SetUnitSystem(ps.SI)
    limits = dict(TOLERANCES["field"])
    ranges = {"return_dry_bulb": limits["dry_bulb"], "supply_dry_bulb": limits["dry_bulb"],
              "return_humidity": 100 * limits["relative_humidity"], "supply_humidity": 100 * limits["relative_humidity"],
              "outdoor_dry_bulb": limits["outdoor"]}  # fmt: skip
    begin = time.perf_counter()
    frame = pd.read_csv(visit.with_name("log.csv"), usecols=["time", *COLUMNS], parse_dates=["time"])
    read = time.perf_counter()
    on = frame.power > 0.5 * (frame.power.min() + frame.power.quantile(0.9))
    gap = frame.time.diff() > pd.Timedelta("90s")
    run = ((on != on.shift()) | gap).cumsum()
    place = frame.groupby(run).cumcount()
    left = run.map(run.value_counts()) - 1 - place
    counts = on & (place >= AFTER_START) & (left >= BEFORE_STOP)
    # At the last row of each window.
    steady = counts.rolling(WINDOW).sum() == WINDOW
    for name, limit in ranges.items():
        window = frame[name].rolling(WINDOW)
        steady &= window.max() - window.min() <= limit * (1 + 1e-9)
    for name in ("volume_flow", "power"):
        window = frame[name].rolling(WINDOW)
        steady &= (window.max() - window.min()) / window.mean() <= 0.10 * (1 + 1e-9)
    ends, last = [], -WINDOW
    for at in np.flatnonzero(steady):
        if at - last >= WINDOW:
            ends.append(at)
            last = at
    means = frame[COLUMNS].rolling(WINDOW).mean().iloc[ends]
    found = time.perf_counter()
    scatter = _standard_errors(frame, ends)
    scattered = time.perf_counter()
    pressure = np.full(len(means), ps.GetStandardAtmPressure(elevation))
    inputs = {
        "t1": means.return_dry_bulb.to_numpy(), "rh1": means.return_humidity.to_numpy() / 100,
        "t2": means.supply_dry_bulb.to_numpy(), "rh2": means.supply_humidity.to_numpy() / 100,
        "flow": means.volume_flow.to_numpy() / 1000, "pressure": pressure,
    }  # fmt: skip
    here = _psychrolib(ps, *inputs.values())
    wet_bulb = ps.GetTWetBulbFromRelHum(inputs["t1"], inputs["rh1"], pressure)
    shared, own = np.zeros((3, len(means))), np.zeros((3, len(means)))
    for name, size in SHIFTS.items():
        relative = name in ("flow", "pressure")
        moved = [
            _psychrolib(ps, *{**inputs, name: inputs[name] * (1 + s) if relative else inputs[name] + s}.values())
            for s in (size, -size)
        ]
        slope = (np.stack(moved[0]) - np.stack(moved[1])) / (2 * size)
        shared += (slope * size) ** 2
        if name in scatter:
            own += (slope * (scatter[name] / inputs[name] if relative else scatter[name])) ** 2
    uncertainty, own = np.sqrt(shared), np.sqrt(own)
    end = time.perf_counter()
    assert np.isfinite(own).all() and np.isfinite(wet_bulb).all()
    return {
        "seconds": end - begin, "reading": read - begin, "stretches": found - read, "scatter": scattered - found,
        "capacities": end - scattered, "memory": peak_memory() / 1e6, "count": len(ends),
        "total": here[0].tolist(), "uncertainty": uncertainty[0].tolist(),
    }  # fmt: skip


def _standard_errors(frame: Any, ends: Any) -> dict[str, Any]:
    """Standard error of the mean of each input over each stretch, with its autocorrelation about a straight line."""
    import pandas as pd

    minute = pd.Series(np.arange(len(frame), dtype=float), index=frame.index)
    found = {}
    for name in COLUMNS:
        column = frame[name]
        rolling = column.rolling(WINDOW)
        variance = rolling.var().iloc[ends].to_numpy()
        # Of evenly spaced minutes: n (n + 1) / 12.
        trend = rolling.cov(minute).iloc[ends].to_numpy() / (WINDOW * (WINDOW + 1) / 12)
        left = np.maximum(variance - trend**2 * WINDOW * (WINDOW + 1) / 12, 0.0)
        following = column.shift(1)
        together = column.rolling(WINDOW - 1).cov(following).iloc[ends].to_numpy()
        rho = (together - trend**2 * WINDOW * (WINDOW - 1) / 12).mean() / max(left.mean(), 1e-12)
        rho = min(max(rho, 0.0), 0.95)
        found[name] = np.sqrt(left / WINDOW * (1 + rho) / (1 - rho))
    return {
        "t1": found["return_dry_bulb"], "rh1": found["return_humidity"] / 100, "t2": found["supply_dry_bulb"],
        "rh2": found["supply_humidity"] / 100, "flow": found["volume_flow"] / 1000,
    }  # fmt: skip


def _psychrolib(ps: Any, t1: Any, rh1: Any, t2: Any, rh2: Any, flow: Any, p: Any) -> tuple[Any, ...]:
    """Total, sensible and latent capacity."""
    w1, w2 = ps.GetHumRatioFromRelHum(t1, rh1, p), ps.GetHumRatioFromRelHum(t2, rh2, p)
    dry_air = flow / ps.GetMoistAirVolume(t1, w1, p)
    total = dry_air * (ps.GetMoistAirEnthalpy(t1, w1) - ps.GetMoistAirEnthalpy(t2, w2))
    sensible = dry_air * (ps.GetMoistAirEnthalpy(t1, w2) - ps.GetMoistAirEnthalpy(t2, w2))
    return total, sensible, total - sensible


def _main(what: str, visit: Path) -> None:
    _one_core()
    day, run = visit_of_a_day(visit.parents[3]), {"airside": _by_airside, "plain": _by_pandas}[what]
    first = run(day)["seconds"]
    # A day itself takes next to nothing the second time: the rest of the first was loading and compiling.
    warming = first - run(day)["seconds"]
    print(json.dumps({**run(visit), "warming": warming}))


if __name__ == "__main__":
    _main(sys.argv[1], Path(sys.argv[2]))
