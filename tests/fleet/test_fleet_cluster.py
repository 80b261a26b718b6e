"""A fleet on worker processes of dask.distributed, one of which dies."""

import os
import signal

import pytest
from distributed import Client, LocalCluster
from fleet_made import both_bytes

from airside.errors import AirsideError
from airside.fleet import cluster as fleet_cluster
from airside.fleet.make_fleet import make_fleet
from airside.fleet.run import run_fleet


@pytest.fixture(scope="module")
def fleet(tmp_path_factory):
    return make_fleet(tmp_path_factory.mktemp("cluster") / "fleet", 12, 1.0, seed=5)


@pytest.fixture
def two_workers():
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1", silence_logs=50
    ) as cluster:
        yield cluster


def test_a_worker_dies_and_nothing_is_lost(fleet, two_workers, tmp_path):
    alone = run_fleet(fleet.readings, tmp_path / "alone.parquet", template=fleet.template)
    with Client(two_workers) as client:
        before = set(client.run(os.getpid).values())
    victim, killed = min(before), []

    def kill_at_the_first(done, total):
        # Twelve systems, six handed out: the victim has work in its hands.
        if done == 1:
            os.kill(victim, signal.SIGKILL)
            killed.append(done)

    run = run_fleet(
        fleet.readings, tmp_path / "spread.parquet", template=fleet.template, scheduler=two_workers.scheduler_address,
        progress=kill_at_the_first,
    )  # fmt: skip
    assert len(before) == 2 and killed == [1]
    with Client(two_workers) as client:
        assert victim not in client.run(os.getpid).values()
    assert run.systems == 12 and not run.problems
    assert both_bytes(run) == both_bytes(alone)


def test_a_scheduler_that_is_not_there(fleet, tmp_path, monkeypatch):
    monkeypatch.setattr(fleet_cluster, "PATIENCE", 0.5)
    with pytest.raises(AirsideError, match="no scheduler answers at"):
        run_fleet(
            fleet.readings, tmp_path / "results.parquet", template=fleet.template, scheduler="tcp://127.0.0.1:1"
        )  # fmt: skip


def test_a_scheduler_without_workers(fleet, tmp_path, monkeypatch):
    monkeypatch.setattr(fleet_cluster, "PATIENCE", 0.5)
    with (
        LocalCluster(n_workers=0, dashboard_address=None, host="127.0.0.1") as empty,
        pytest.raises(AirsideError, match="has no workers"),
    ):
        run_fleet(
            fleet.readings, tmp_path / "results.parquet", template=fleet.template, scheduler=empty.scheduler_address
        )  # fmt: skip
