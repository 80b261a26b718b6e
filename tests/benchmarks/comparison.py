"""Comparing two visits with 100,000 draws and both budgets: seconds, memory, and against a loop of psychrolib.

The loop computes, for each of the same draws, what a comparison takes from it: the total capacity of
both visits and the return wet bulb of both for the rating curve, by psychrolib's scalar functions in
plain Python. It draws no errors and corrects nothing. With numba installed psychrolib compiles itself
on import, so the loop runs in a process of its own without numba; a part of the draws is timed.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from tests.benchmarks import Figure, best_time
from tests.benchmarks.peak_memory import peak_memory

DRAWS = 100_000
LOOPED = 2_000
DEMO = Path(__file__).parents[2] / "data" / "reading_room"


def measure() -> Iterator[Figure]:
    """Seconds, ratios to the loop, and the peak in a process of its own."""
    import airside

    visits = [airside.load_visit(DEMO / f"{name}.toml") for name in ("before", "after")]
    threads = os.environ.get("AIRSIDE_THREADS")
    os.environ["AIRSIDE_THREADS"] = "2"
    change = airside.compare(*visits, count=DRAWS)
    whole = best_time(lambda: airside.compare(*visits, count=DRAWS), 7)
    plain = best_time(lambda: airside.compare(*visits, count=DRAWS, with_budget=False), 7)
    coarse = best_time(lambda: airside.compare(*visits, count=4_000, with_budget=False), 7)
    if threads is None:
        del os.environ["AIRSIDE_THREADS"]
    else:
        os.environ["AIRSIDE_THREADS"] = threads
    runs = 1 + _frozen_errors(change)
    loop, capacity_alone = _loop(change)
    yield Figure(f"compare, {DRAWS:,} draws, both budgets, 2 threads", whole, "s", at_most=1.5)
    yield Figure("compare, without budgets", plain, "s")
    yield Figure("compare, 4,000 draws without budgets, as under a slider", coarse, "s")
    yield Figure("runs of all draws in it: one, and one for each frozen error", runs, "runs")
    yield Figure("psychrolib loop, one run", loop, "s")
    yield Figure("psychrolib loop, one run, total capacity alone", capacity_alone, "s")
    yield Figure("without budgets, against one run of the loop", loop / plain, "times")
    yield Figure("with both budgets, against as many runs of the loop", runs * loop / whole, "times", at_least=100.0)
    yield Figure("peak memory of a process that compares", _peak(), "MB", at_most=700.0)


def _frozen_errors(change: Any) -> int:
    """Errors that `compare` runs through all draws for the budgets; the small ones go by their slope."""
    from airside.compare.change import _small_parts
    from airside.compare.pair import Pair

    pair = Pair(change.before, change.after, change.correction, "before")
    errors = pair.errors()
    return len(errors) - len(_small_parts(pair, errors))


def _loop(change: Any) -> tuple[float, float]:
    """Times [s] of the loop for all draws, from a part of them: with wet bulb, and without.

    It must give the same capacities and wet bulbs.
    """
    rows = []
    for visit in (change.before, change.after):
        measured, shifted = visit.measured, visit._shifted
        columns = [*shifted.air["return"], *shifted.air["supply"], shifted.pressure, measured.airflow.volume_flow]
        table = np.stack([np.broadcast_to(np.asarray(c, dtype=float), (DRAWS,)) for c in columns], axis=-1)
        # The flow holds for the supply air, as the demo's fan table has it.
        possible = np.flatnonzero(visit.is_possible)[:LOOPED]
        both = np.stack([measured.capacity.total, measured.return_air.wet_bulb], axis=-1)
        rows.append((table[possible], both[possible]))
    given = json.dumps([r.tolist() for r, _ in rows])
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.comparison", "loop"], input=given, capture_output=True, text=True,
        check=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    said = json.loads(done.stdout)
    for found, (_, expected) in zip(said["found"], rows, strict=True):
        np.testing.assert_allclose(np.array(found)[:, 0], expected[:, 0], rtol=1e-3)
        # psychrolib stops at a thousandth of a kelvin.
        np.testing.assert_allclose(np.array(found)[:, 1], expected[:, 1], rtol=0, atol=2e-3)
    return tuple(float(said[name]) * DRAWS / LOOPED for name in ("seconds", "seconds_capacity_alone"))


def _psychrolib_loop(visits: list[list[list[float]]]) -> dict[str, Any]:
    # A module that is None cannot be imported: psychrolib then leaves its functions as they are.
    sys.modules["numba"] = None  # type: ignore[assignment]
    import psychrolib as ps

    assert not ps.has_numba
    ps.SetUnitSystem(ps.SI)

    def run(with_wet_bulb: bool = True) -> list[list[tuple[float, float]]]:
        totals = []
        for rows in visits:
            found = []
            for t1, rh1, t2, rh2, pressure, flow in rows:
                w1 = ps.GetHumRatioFromRelHum(t1, rh1, pressure)
                w2 = ps.GetHumRatioFromRelHum(t2, rh2, pressure)
                dry_air = flow / ps.GetMoistAirVolume(t2, w2, pressure)
                total = dry_air * (ps.GetMoistAirEnthalpy(t1, w1) - ps.GetMoistAirEnthalpy(t2, w2))
                found.append((total, ps.GetTWetBulbFromHumRatio(t1, w1, pressure) if with_wet_bulb else 0.0))
            totals.append(found)
        return totals

    return {
        "found": run(), "seconds": best_time(run, 3), "seconds_capacity_alone": best_time(lambda: run(False), 3),
    }  # fmt: skip


def _peak() -> float:
    """Peak resident memory [MB] of a process that loads both visits and compares them."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.comparison", "peak"], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2], env={**os.environ, "AIRSIDE_THREADS": "2"},
    )  # fmt: skip
    return float(done.stdout)


def _compare_once() -> float:
    import airside

    airside.compare(*(airside.load_visit(DEMO / f"{name}.toml") for name in ("before", "after")), count=DRAWS)
    return peak_memory() / 2**20


if __name__ == "__main__":
    if sys.argv[1] == "loop":
        print(json.dumps(_psychrolib_loop(json.load(sys.stdin))))
    else:
        print(_compare_once())
