"""Runs of a fleet: whole, stopped, mended, in any order, from folders and from Parquet."""

import shutil

import numpy as np
import pandas as pd
import pyarrow.parquet as pq
import pytest
from fleet_made import both_bytes, rows_of, summaries

from airside.errors import OutputError
from airside.fleet import run as fleet_run
from airside.fleet.make_fleet import make_fleet
from airside.fleet.parts import part_of
from airside.fleet.run import run_fleet
from airside.visit.logs.logged_visit import load_logged


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return make_fleet(tmp_path_factory.mktemp("folders") / "fleet", 5, 1, seed=2, form="folders")


@pytest.fixture
def folder(made, tmp_path):
    """A copy that a test may spoil."""
    return shutil.copytree(made.readings, tmp_path / "systems")


@pytest.fixture
def calls(monkeypatch):
    """Names of the systems that are worked on."""
    names = []

    def counted(system):
        names.append(system.name)
        return part_of(system)

    monkeypatch.setattr(fleet_run, "part_of", counted)
    return names


def test_rows_are_those_of_each_logged_visit(folder, tmp_path):
    rows = rows_of(run_fleet(folder, tmp_path / "results.parquet"))
    for name in ("unit_002", "unit_005"):
        frame = load_logged(folder / name / "visit.toml").capacities().to_frame()
        own = rows[rows.system == name].reset_index(drop=True)
        assert len(own) == len(frame) > 5
        for column in (
            "number",
            "run",
            "total_W",
            "total_W_u_own",
            "sensible_W",
            "coefficient_of_performance_u",
            "split_K",
        ):
            np.testing.assert_allclose(own[column], frame[column], rtol=1e-12)
        assert (pd.to_datetime(own.begin) == frame.begin).all()
        np.testing.assert_allclose(own.expected_total_W * own.expected_ratio, own.total_W)


def test_folders_and_parquet_give_the_same(made, tmp_path):
    long = make_fleet(tmp_path / "fleet", 5, 1, seed=2)
    one = run_fleet(made.readings, tmp_path / "one.parquet")
    two = run_fleet(long.readings, tmp_path / "two.parquet", template=long.template)
    pd.testing.assert_frame_equal(rows_of(one), rows_of(two), rtol=1e-9)
    for name, about in summaries(one).items():
        assert {k: v for k, v in about.items() if k.endswith("_W") or k.startswith("rows")} == pytest.approx(
            {k: v for k, v in summaries(two)[name].items() if k.endswith("_W") or k.startswith("rows")}
        )


def test_every_row_of_a_log_is_accounted_for(made, tmp_path):
    for about in summaries(run_fleet(made.readings, tmp_path / "results.parquet")).values():
        reasons = [int(v) for k, v in about.items() if k.startswith("rows_") and k != "rows_in_stretches"]
        assert int(about["rows"]) == 1440 == int(about["rows_in_stretches"]) + sum(reasons)


def test_a_run_goes_on_after_a_stop(folder, tmp_path, calls):
    whole = run_fleet(folder, tmp_path / "whole.parquet")
    calls.clear()

    def stop_after_two(done, total):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_fleet(folder, tmp_path / "stopped.parquet", progress=stop_after_two)
    assert not (tmp_path / "stopped.parquet").exists() and len(calls) == 2
    # As a stop in the middle of writing leaves it.
    (tmp_path / "stopped_work" / ".airside.half").write_bytes(b"PAR1")
    seen = []
    run = run_fleet(folder, tmp_path / "stopped.parquet", progress=lambda done, total: seen.append(done))
    assert sorted(calls) == [f"unit_00{i}" for i in range(1, 6)]
    assert run.kept == 2 and seen == [2, 3, 4, 5]
    assert both_bytes(run) == both_bytes(whole)
    assert sorted(p.suffix for p in run.work.iterdir()) == [".parquet"] * 5


def test_the_order_of_work_does_not_matter(folder, tmp_path, monkeypatch):
    one = run_fleet(folder, tmp_path / "one.parquet")

    def backwards(systems, scheduler, workers):
        for i in reversed(range(len(systems))):
            yield i, part_of(systems[i])

    monkeypatch.setattr(fleet_run, "_results", backwards)
    assert both_bytes(run_fleet(folder, tmp_path / "two.parquet")) == both_bytes(one)


def test_a_broken_part_is_made_again(folder, tmp_path, calls):
    run = run_fleet(folder, tmp_path / "results.parquet")
    before = both_bytes(run)
    next(iter(run.work.glob("*.parquet"))).write_bytes(b"PAR1")
    calls.clear()
    assert both_bytes(run_fleet(folder, tmp_path / "results.parquet", force=True)) == before
    assert len(calls) == 1


def test_broken_systems_are_said_and_the_rest_goes_on(folder, tmp_path, calls):
    (folder / "unit_001" / "log.csv").unlink()
    visit = folder / "unit_002" / "visit.toml"
    visit.write_text(visit.read_text().replace("elevation =", "elevatoin ="))
    (folder / "unit_003" / "visit.toml").write_text("not = = toml")
    log = folder / "unit_004" / "log.csv"
    good = log.read_text()
    log.write_text("\n".join(good.splitlines()[:5]))
    run = run_fleet(folder, tmp_path / "results.parquet")
    problems = dict(run.problems)
    assert list(problems) == ["unit_001", "unit_002", "unit_003", "unit_004"]
    assert "there is no such file" in problems["unit_001"] and "log.csv" in problems["unit_001"]
    assert "elevatoin" in problems["unit_002"]
    assert "is not valid TOML" in problems["unit_003"]
    assert "fault of the program" not in " ".join(problems.values())
    assert set(rows_of(run).system) == {"unit_005"}
    about = summaries(run)
    assert about["unit_001"]["problem"] == problems["unit_001"] and about["unit_001"]["total_W"] == ""
    assert "1 system" not in run.sentence and "4 with a problem" in run.sentence
    # What was mended is done, and nothing else.
    calls.clear()
    log.write_text(good)
    again = run_fleet(folder, tmp_path / "results.parquet", force=True)
    assert calls == ["unit_004"] and set(rows_of(again).system) == {"unit_004", "unit_005"}


def test_a_fault_of_the_program_is_not_kept(folder, tmp_path, monkeypatch):
    from airside.fleet import one_system

    def faulty(path):
        if "unit_002" in str(path):
            raise ZeroDivisionError("of a test")
        return load_logged(path)

    monkeypatch.setattr(one_system, "load_logged", faulty)
    run = run_fleet(folder, tmp_path / "results.parquet")
    assert [n for n, _ in run.problems] == ["unit_002"]
    assert "a fault of the program, not of this input: ZeroDivisionError: of a test" in run.problems[0][1]
    monkeypatch.undo()
    again = run_fleet(folder, tmp_path / "results.parquet", force=True)
    assert again.kept == 4 and not again.problems


def test_one_of_two_periods_is_broken(tmp_path):
    made = make_fleet(tmp_path / "fleet", 1, 1, seed=4, form="folders", mended=True)
    (made.readings / "unit_001" / "log_before.csv").write_text("")
    run = run_fleet(made.readings, tmp_path / "results.parquet")
    about = summaries(run)["unit_001"]
    assert "log_before.csv: is empty" in about["problem"]
    assert about["before_total_W"] == "" and float(about["total_W"]) > 0 and about["change"] == ""
    assert set(rows_of(run).period) == {"after"}


def test_without_a_rating_it_is_said_why(folder, tmp_path):
    visit = folder / "unit_001" / "visit.toml"
    visit.write_text("".join(t for t in visit.read_text().splitlines(True) if not t.startswith("nominal_capacity")))
    about = summaries(run_fleet(folder, tmp_path / "results.parquet"))
    assert about["unit_001"]["why_nothing_expected"].startswith("No nominal capacity and no performance table is given")
    assert about["unit_001"]["expected_ratio"] == "" and float(about["unit_001"]["total_W"]) > 0


def test_results_are_not_written_over(folder, tmp_path):
    out = tmp_path / "results.parquet"
    out.write_text("mine")
    with pytest.raises(OutputError, match="exists already"):
        run_fleet(folder, out)
    assert out.read_text() == "mine"
    with pytest.raises(OutputError, match="Parquet file"):
        run_fleet(folder, tmp_path / "results.csv")
    with pytest.raises(OutputError, match="workers of its own"):
        run_fleet(folder, tmp_path / "r.parquet", scheduler="tcp://127.0.0.1:1", workers=2)


def test_made_fleets_are_the_same_for_a_seed_and_say_that_they_are_invented(tmp_path):
    one, two = (make_fleet(tmp_path / n, 2, 0.5, seed=9) for n in ("one", "two"))
    assert pq.read_table(one.readings).equals(pq.read_table(two.readings))
    assert one.truth.read_text() == two.truth.read_text()
    for text in (one.truth, one.template):
        assert "Invented: nobody measured this." in text.read_text()
    with pytest.raises(OutputError, match="holds files already"):
        make_fleet(tmp_path / "one", 2, 0.5)
