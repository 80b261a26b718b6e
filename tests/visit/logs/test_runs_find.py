"""Runs of a log: where they begin and end, their age, and why minutes do not count."""

import numpy as np
import pytest
from logged_made import BEGIN, cycles, made_data, made_log

from airside.errors import VisitError
from airside.visit.logs.counting import Counting, counting_of
from airside.visit.logs.log import Log
from airside.visit.logs.running import COUNTS, OFF, OTHER_STAGE, OUTSIDE, START, STOP, find_runs

ON = cycles(20, 40, 15, 60, 25)


@pytest.mark.parametrize("signal", ["power", "airflow", "supply temperature"])
def test_runs_are_where_it_ran(signal):
    runs = find_runs(made_log(ON), Counting(running_from=signal))
    assert list(runs.start) == [20, 75]
    assert list(runs.stop) == [60, 135]
    assert list(runs.length / 60) == [40, 60]
    assert list(runs.begin) == [BEGIN + 20 * 60, BEGIN + 75 * 60]
    assert (runs.run == np.repeat([-1, 0, -1, 1, -1], [20, 40, 15, 60, 25])).all()
    assert list(runs.age[20:23]) == [0, 60, 120]
    assert np.isnan(runs.age[~ON]).all()
    assert runs.signal == signal
    assert "found" in runs.sentences[0]


def test_start_up_and_the_minute_before_a_stop_are_left_out():
    reason = find_runs(made_log(ON), Counting(after_start=600, before_stop=120)).reason
    assert (reason[20:30] == START).all()
    assert (reason[30:58] == COUNTS).all()
    assert (reason[58:60] == STOP).all()
    assert (reason[~ON] == OFF).all()


def test_heating_runs_where_the_supply_is_warmer():
    log = made_log(ON, **{"readings.supply.dry_bulb": np.where(ON, 38.0, 23.0)})
    counting = Counting(running_from="supply temperature")
    assert list(find_runs(log, counting, mode="heating").start) == [20, 75]


def test_change_of_stage_begins_a_run_and_the_highest_that_lasts_counts():
    stage = np.where(ON, 1, 0)
    stage[100:135] = 2
    runs = find_runs(made_log(ON, stage=stage), Counting())
    assert list(runs.start) == [20, 75, 100]
    assert list(runs.stage) == [1, 1, 2]
    assert runs.stage_that_counts == 2
    assert (runs.reason[20:60] == OTHER_STAGE).all()
    assert (runs.reason[100:110] == START).all()
    # Of 6 minutes no stretch can be had.
    stage[106:135] = 1
    runs = find_runs(made_log(ON, stage=stage), Counting())
    assert runs.stage_that_counts == 1
    assert "stage 1 counts" in runs.sentences[-1]
    assert find_runs(made_log(ON, stage=stage), Counting(stage=2)).stage_that_counts == 2


def test_two_levels_of_running_power_are_two_stages():
    power = np.where(ON, 1400.0, 50.0)
    power[75:135] = 2400.0
    runs = find_runs(made_log(ON, **{"readings.power.total": power}), Counting())
    assert list(runs.stage) == [1, 2]
    assert "two levels" in runs.sentences[1]


def test_one_broad_level_of_power_is_one_stage():
    wave = np.where(np.tile(ON, 9), 2000 + 500 * np.sin(np.arange(9 * ON.size) / 230), 50.0)
    runs = find_runs(made_log(np.tile(ON, 9), **{"readings.power.total": wave}), Counting())
    assert np.isnan(runs.stage).all()
    assert np.isnan(runs.stage_that_counts)


def test_status_in_words():
    log = made_log(ON)
    words = ("Off", "Low", "High")
    stage = np.where(ON, 1.0, 0.0)
    stage[75:135] = 2
    log = Log(log.time, {**log.channels, "readings.status.stage": stage}, log.step,
              status_words={"readings.status.stage": words})  # fmt: skip
    runs = find_runs(log, Counting(stage="high"))
    assert list(runs.start) == [20, 75]
    assert runs.stage_name(runs.stage_that_counts) == 'status "High"'
    with pytest.raises(VisitError, match=r'"Medium", but the system never runs at it.*status "Low", status "High"'):
        find_runs(log, Counting(stage="Medium"))


def test_a_gap_ends_a_run():
    log = made_log(ON)
    holes = {**log.channels, "readings.power.total": log.channels["readings.power.total"].copy()}
    holes["readings.power.total"][40] = np.nan
    by_value = find_runs(Log(log.time, holes, 60.0), Counting(running_from="power"))
    assert list(by_value.start) == [20, 41, 75]
    kept = np.delete(np.arange(ON.size), [40, 41])
    absent = Log(log.time[kept], {c: v[kept] for c, v in log.channels.items()}, 60.0)
    by_time = find_runs(absent, Counting(running_from="power"))
    assert list(by_time.length / 60) == [20, 18, 60]


def test_part_of_the_log():
    data = made_data(first="2026-07-13T01:10:00", last="2026-07-13T02:00:00")
    log = made_log(ON)
    runs = find_runs(log, counting_of(data, log))
    assert list(runs.start) == [75]
    assert (runs.reason[:70] == OUTSIDE).all()
    assert (runs.reason[121:] == OUTSIDE).all()


def test_first_is_on_the_clock_of_the_wall():
    log = made_log(ON, zone="America/Denver")
    counting = counting_of(made_data(first="2026-07-12T18:10:00"), log)
    # Denver is six hours behind UTC in July (IANA).
    assert counting.first == BEGIN + 600


def test_stated_threshold():
    log = made_log(ON)
    runs = find_runs(log, counting_of(made_data(running_from="power", running_above="2 kW"), log))
    assert runs.threshold == pytest.approx(2000)
    assert list(runs.start) == [20, 75]
    bare = counting_of(made_data(running_from="airflow", running_above=300), log)
    assert find_runs(log, bare).threshold == pytest.approx(0.3)


def test_one_level_runs_all_the_time():
    runs = find_runs(made_log(np.ones(60, bool)), Counting())
    assert list(runs.stop - runs.start) == [60]
    assert "one level only" in runs.sentences[0]


def test_a_system_that_is_never_on():
    with pytest.raises(VisitError, match=r"the system never runs.*off all the time"):
        find_runs(made_log(np.zeros(60, bool)), Counting())
    off = made_log(np.zeros(60, bool), stage=np.zeros(60))
    with pytest.raises(VisitError, match=r"never runs.*between 0 and 0"):
        find_runs(off, Counting())


def test_what_lies_outside_first_and_last_does_not_count_as_running():
    log = made_log(ON, stage=ON)
    counting = counting_of(made_data(first="2026-07-13T00:00:00", last="2026-07-13T00:10:00"), log)
    with pytest.raises(
        VisitError, match=r"never runs between first and last: readings.status.stage is between 0 and 0"
    ):
        find_runs(log, counting)


def test_no_two_clear_levels_is_asked_about():
    ramp = np.linspace(0, 11, 400)
    only = dict.fromkeys(("readings.power.total", "airflow.volume_flow"))
    log = made_log(np.ones(400, bool), **only, **{"readings.supply.dry_bulb": 24 - np.where(ramp > 10, 10, ramp)})
    log.channels["readings.return.dry_bulb"][:] = 24.0
    # The fading of a supply is cut where most of its variance is; a power that drifts so is asked about.
    assert len(find_runs(log, Counting(running_from="supply temperature"))) == 1
    drifting = made_log(np.ones(400, bool), **{"readings.power.total": np.linspace(100, 2000, 400)})
    with pytest.raises(VisitError, match=r"running_above: is missing: .* without two clear levels"):
        find_runs(drifting, Counting(running_from="power"))


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ({"running_from": "fan"}, 'running_from: found "fan"; expected one of "status", "power"'),
        ({"after_start": -1}, "after_start: found .* expected minutes, zero or above"),
        ({"after_start": "ten"}, "after_start: found \"ten\"|after_start: \"ten\""),
        ({"window": 0}, "window: found 0 min; expected minutes, above zero"),
        ({"window": 3}, "window: found 3 min, which is 3 of the log's steps of 60 s; expected at least 5: 5 min or more"),
        ({"stretch": 0}, "stretch: found 0; expected the number of a stretch"),
        ({"stretch": True}, "stretch: found true"),
        ({"first": "yesterday"}, 'first: found "yesterday"; expected a date and time'),
        ({"first": "2027-01-01"}, "first: the log ends at 2026-07-13 02:39:00, before that"),
        ({"last": "2020-01-01"}, "last: the log begins at 2026-07-13 00:00:00, after that"),
        ({"first": "2026-07-13T02:00", "last": "2026-07-13T01:00"}, "last: is not after first"),
        ({"stages": 2}, 'unknown key "stages". Did you mean "stage"?'),
        ({"stage": [1]}, "stage: found a list; expected a value of the status channel"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_table_is_said(table, said):
    with pytest.raises(VisitError, match=r"visit: log\.counting.*" + said.replace("?", r"\?")):
        counting_of(made_data(**table), made_log(ON))


@pytest.mark.parametrize(
    ("counting", "said"),
    [
        (Counting(running_from="status"), 'found "status", but no such channel is logged; expected one that is: "power"'),
        (Counting(stage=3.0), "found 3, but the system never runs at it; expected what is seen while it runs: no stage"),
        (Counting(running_from="power", running_above="2 degC"), "running_above: \"2 degC\" is not a power"),
    ],
)  # fmt: skip
def test_what_does_not_fit_the_log_is_said(counting, said):
    with pytest.raises(VisitError, match=said):
        find_runs(made_log(ON), counting)
    with pytest.raises(VisitError, match="no channel that says when the system runs"):
        find_runs(Log(np.arange(3.0) * 60, {"readings.outdoor.dry_bulb": np.ones(3)}, 60.0), Counting())
    with pytest.raises(VisitError, match="no rows"):
        find_runs(Log(np.zeros(0), {}, 60.0), Counting())
