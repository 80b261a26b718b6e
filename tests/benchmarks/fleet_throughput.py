"""A fleet of invented systems with 30 days of one-minute readings each, in Parquet: rows a second on one and on two workers.

Workers are processes of a LocalCluster of dask.distributed on this machine, one thread each. What is timed is the whole of
`airside.fleet.run.run_fleet`, from the Parquet file to the joined results; the cluster is there before, and each worker has
done one system. Scaling is the throughput of two workers over that of one, in one run, on the same file. The peak is the
highest resident memory of a worker since its start, as the operating system counts it, at two sizes of the fleet.

The machine needs more than two free cores for two workers, the scheduler and this process to have one each.
``AIRSIDE_FLEET_SYSTEMS=30`` makes a trial with fewer systems; the targets are for 300.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.benchmarks import Figure
from tests.benchmarks.peak_memory import peak_memory

SYSTEMS, DAYS = int(os.environ.get("AIRSIDE_FLEET_SYSTEMS", "300")), 30
PER_SYSTEM = DAYS * 1440


def measure() -> Iterator[Figure]:
    """Rows a second, scaling, and the peak of a worker."""
    from airside.fleet.make_fleet import make_fleet

    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        small = make_fleet(Path(folder) / "small", max(SYSTEMS // 3, 1), DAYS, seed=1)
        large = make_fleet(Path(folder) / "large", SYSTEMS, DAYS, seed=1)
        yield Figure("making both fleets", time.perf_counter() - begin, "s")
        rows = SYSTEMS * PER_SYSTEM
        yield Figure("rows", rows, "rows")
        one, _, first = _run(large, 1, Path(folder) / "one.parquet")
        two, peak, second = _run(large, 2, Path(folder) / "two.parquet")
        _, peak_of_small, _ = _run(small, 2, Path(folder) / "three.parquet")
        assert first == second, "one and two workers gave different results"
    yield Figure("one worker", rows / one, "rows/s")
    yield Figure("two workers", rows / two, "rows/s")
    yield Figure("scaling from one worker to two", one / two, "times", at_least=1.6)
    yield Figure(f"peak memory of a worker, {max(SYSTEMS // 3, 1)} systems", peak_of_small, "MB", at_most=1000.0)
    yield Figure(f"peak memory of a worker, {SYSTEMS} systems", peak, "MB", at_most=1000.0)
    yield Figure("peak memory of the process that hands out and joins", peak_memory() / 1e6, "MB")


def _run(made: Any, workers: int, out: Path) -> tuple[float, float, bytes]:
    """Seconds, the highest peak of a worker [MB], and the results."""
    from distributed import Client, LocalCluster

    from airside.fleet.long_form import find_in_parquet
    from airside.fleet.parts import part_of
    from airside.fleet.run import run_fleet

    os.environ["AIRSIDE_THREADS"] = "1"
    with (
        LocalCluster(
            n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1"
        ) as cluster,
        Client(cluster) as client,
    ):
        client.run(part_of, find_in_parquet(made.readings, made.template).systems[0])
        begin = time.perf_counter()
        run = run_fleet(made.readings, out, template=made.template, scheduler=cluster.scheduler_address)
        seconds = time.perf_counter() - begin
        assert not run.problems, run.problems
        peak = max(client.run(peak_memory).values()) / 1e6
    return seconds, peak, out.read_bytes()
