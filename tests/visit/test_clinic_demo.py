"""The demo weeks with logger files: they come out the same, and what is found is what was put into them.

The truth stands in data/make_clinic.py, which simulates the unit; nothing of it is in the visit files.
"""

import runpy
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.visit.logs.clock import compare_clocks
from airside.visit.logs.logged_visit import load_logged

DATA = Path(__file__).parents[2] / "data"
STAGES = ("before", "after")


@pytest.fixture(scope="module")
def script():
    return runpy.run_path(str(DATA / "make_clinic.py"))


@pytest.fixture(scope="module")
def logs():
    return {stage: load_logged(DATA / "clinic" / f"{stage}.toml") for stage in STAGES}


def test_the_files_come_out_the_same_and_are_small(script, tmp_path):
    script["make_clinic"](tmp_path)
    made = sorted(f.relative_to(tmp_path) for f in tmp_path.rglob("*") if f.is_file())
    assert len(made) == 6
    for name in made:
        raw = (tmp_path / name).read_bytes()
        assert raw == (DATA / "clinic" / name).read_bytes(), name
        assert len(raw) < 300_000


@pytest.mark.parametrize("stage", STAGES)
def test_capacity_is_that_of_the_simulated_unit(script, logs, stage):
    (week,) = [w for w in script["WEEKS"] if w.stage == stage]
    found = logs[stage].capacities()
    true = script["true_capacity"](
        found.conditions["return_wet_bulb"], found.conditions["outdoor_dry_bulb"], week.volume_flow
    )
    total = found.figures["total"]
    # Each interval holds the truth at its own conditions in all but a few stretches.
    low, high = total.interval_95
    assert np.mean((low <= true) & (true <= high)) > 0.9
    assert len(logs[stage]) > 40


@pytest.mark.parametrize("stage", STAGES)
def test_the_slow_clock_is_found(script, logs, stage):
    (found,) = compare_clocks(logs[stage].log)
    assert found.second == f"loggers/{stage}_unit.csv" and not found.agree
    assert abs(found.offset.seconds - script["SLOW"]) < 3 * found.offset.standard_uncertainty
    assert found.sentence(how=False) in found.sentence().replace(
        f' It is not applied; to apply it, write clock_offset = {found.offset.seconds:.0f} in [log.files."{found.second}"].',
        "",
    )


def test_gap_and_sentinels_are_counted(logs):
    record = logs["before"].log.record("readings.return.dry_bulb")
    ((begin, end),) = record.gaps
    assert end - begin == 42 * 60
    for stage in STAGES:
        (aside,) = logs[stage].log.record("readings.power.outdoor_unit").set_aside.values()
        assert 5 <= aside <= 20


def test_the_change_is_that_of_the_simulated_unit(script, logs):
    before, after = script["WEEKS"]
    truth = (after.volume_flow / before.volume_flow) ** 0.42 - 1
    change = airside.compare(logs["before"].standing, logs["after"].standing, with_budget=False)
    low, high = change.ratios["reference"].interval_95
    assert low < truth < high and low > 0


@pytest.mark.parametrize("stage", STAGES)
def test_the_demo_says_that_it_is_invented(stage):
    assert (DATA / "clinic" / f"{stage}.toml").read_text(encoding="utf-8").startswith("# Invented")
