"""Steady stretches, against a search that goes window by window."""

import numpy as np
import pandas as pd
import pytest
from logged_made import cycles, made_log

from airside.errors import VisitError
from airside.instruments.steadiness import TOLERANCES
from airside.visit.logs.counting import Counting
from airside.visit.logs.log import Log
from airside.visit.logs.running import REASONS, find_runs
from airside.visit.logs.stretches import find_stretches, limits_of

ON = cycles(20, 40, 15, 90, 25, 12, 18, 130, 5)


def found(log, **counting):
    settings = Counting(**counting)
    runs = find_runs(log, settings)
    return runs, find_stretches(log, runs, settings)


def restless(seed):
    """A log with steps, drifts, holes and impossible minutes."""
    random = np.random.default_rng(seed)
    on = np.tile(ON, 6)
    log = made_log(on, seed=seed, noise=0.1)
    for name in ("readings.return.dry_bulb", "readings.supply.dew_point", "readings.outdoor.dry_bulb"):
        values = log.channels[name]
        values += np.cumsum(random.standard_normal(values.size)) * 0.12 % 2.0
        values[random.integers(0, values.size, 6)] = np.nan
    log.channels["airflow.volume_flow"][random.integers(0, on.size, 10)] *= 1.2
    log.channels["readings.supply.dew_point"][random.integers(0, on.size, 8)] = 15.0
    return log


def searched(log, runs, rows):
    """First rows of stretches by pandas' rolling windows and a plain loop over all minutes."""
    frame = pd.DataFrame(dict(log.channels))
    ok = pd.Series(runs.reason == 0)
    for place in ("return", "supply"):
        ok &= ~(frame[f"readings.{place}.dew_point"] > frame[f"readings.{place}.dry_bulb"])
    ok &= frame.notna().all(axis=1)
    steady = ok.rolling(rows).sum() == rows
    for name in frame:
        rolling = frame[name].rolling(rows)
        spread = rolling.max() - rolling.min()
        if name.endswith("outdoor.dry_bulb"):
            steady &= spread <= 3.0
        elif name.endswith("dry_bulb") or name.endswith("dew_point"):
            steady &= spread <= 1.5
        else:
            steady &= spread <= 0.10 * rolling.mean()
    starts, at = [], 0
    while at + rows <= len(frame):
        last = at + rows - 1
        if steady[last] and runs.run[at] == runs.run[last]:
            starts.append(at)
            at += rows
        else:
            at += 1
    return starts


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("window", [300, 420, 900])
def test_same_as_a_search_minute_by_minute(seed, window):
    log = restless(seed)
    runs, stretches = found(log, window=window)
    assert list(stretches.start) == searched(log, runs, int(window / 60))
    assert len(stretches) > 3


@pytest.mark.parametrize("seed", range(4))
def test_every_minute_has_its_place(seed):
    log = restless(seed)
    kept = np.delete(np.arange(len(log)), [50, 51, 300])
    _, stretches = found(Log(log.time[kept], {c: v[kept] for c, v in log.channels.items()}, 60.0), window=420)
    aside = stretches.set_aside
    assert sum(aside.values()) + stretches.rows * len(stretches) == len(log) == stretches.minutes
    assert stretches.absent == 3
    assert set(aside) <= set(REASONS[1:])
    assert {"off", "start-up", "before a stop", "no value", "impossible", "unsteady"} <= set(aside)


def test_stretches_keep_apart_and_inside_their_run():
    runs, stretches = found(restless(1), window=300)
    assert (stretches.start[1:] >= stretches.stop[:-1]).all()
    assert (stretches.start >= runs.start[stretches.run]).all()
    assert (stretches.stop <= runs.stop[stretches.run]).all()
    assert (stretches.age >= 600).all()
    assert (stretches.end - stretches.begin == 240).all()


def test_numbers_are_those_of_pandas():
    log = restless(2)
    _, stretches = found(log, window=600)
    for name, scatter in stretches.channels.items():
        for i, (a, b) in enumerate(zip(stretches.start, stretches.stop, strict=True)):
            part = pd.Series(log.channels[name][a:b])
            assert scatter.mean[i] == pytest.approx(part.mean())
            assert scatter.scatter[i] == pytest.approx(part.std())


def test_a_range_that_equals_its_tolerance_is_steady():
    on = cycles(5, 40, 5)
    plain = np.full(50, 24.0)
    log = made_log(on, noise=0.0, **{"readings.return.dry_bulb": plain + np.where(np.arange(50) % 2, 1.5, 0.0)})
    assert len(found(log)[1]) == 1
    log.channels["readings.return.dry_bulb"][29] += 0.01
    with pytest.raises(VisitError, match="return dry bulb"):
        found(log)


def test_limits_are_those_of_the_set():
    log = made_log(ON)
    for name in ("field", "strict"):
        limits = limits_of(log, name)
        assert limits["readings.return.dry_bulb"].size == TOLERANCES[name]["dry_bulb"]
        assert limits["readings.supply.dew_point"].size == TOLERANCES[name]["dew_point"]
        assert limits["readings.outdoor.dry_bulb"].size == TOLERANCES[name]["outdoor"]
        assert limits["airflow.volume_flow"].is_relative
    assert limits_of(log, "strict")["readings.power.total"].size < limits_of(log, "field")["readings.power.total"].size


def test_humidity_beyond_saturation_is_impossible():
    log = made_log(ON, **{"readings.supply.dew_point": None}, **{
        "readings.supply.relative_humidity": np.where(np.arange(ON.size) == 40, 1.02, 0.9)})  # fmt: skip
    assert found(log, window=300)[1].set_aside["impossible"] == 1


def test_refrigerant_without_values_sets_nothing_aside():
    empty = np.full(ON.size, np.nan)
    log = made_log(ON, **{"readings.refrigerant.suction_pressure": empty, "readings.outdoor.dew_point": empty})
    assert "no value" not in found(log, window=300)[1].set_aside


def test_what_was_unsteady_is_named_with_its_range():
    log = made_log(ON, noise=0.0)
    log.channels["readings.supply.dry_bulb"] += np.where(np.arange(ON.size) % 7 < 3, 2.5, 0.0)
    with pytest.raises(VisitError) as said:
        found(log)
    text = str(said.value)
    assert "no stretch of 15 min is steady. Most often supply dry bulb is not" in text
    assert "field tolerance of 1.5 K, half of the time by more than 2.5 K" in text


def test_short_runs_say_what_would_be_needed():
    log = made_log(cycles(10, 20, 10, 18, 9), stage=None)
    with pytest.raises(VisitError, match="Runs last 20 min at most; 26 min are needed") as said:
        found(log)
    assert "Take a shorter window or after_start" in str(said.value)
    two = made_log(cycles(10, 20, 10, 18, 9), stage=np.concatenate([cycles(10, 20, 10), 2 * cycles(0, 18, 9)]))
    with pytest.raises(VisitError, match=r"another stage \(stage 1 is seen too\)"):
        found(two)


def test_steps_of_ten_seconds():
    on = cycles(60, 400, 60)
    runs, stretches = found(made_log(on, step=10.0))
    assert stretches.rows == 90
    assert runs.length[0] == 4000
    assert stretches.set_aside["start-up"] == 60
    assert stretches.set_aside["before a stop"] == 6


def test_steps_of_five_minutes_make_longer_stretches():
    _, stretches = found(made_log(cycles(6, 30, 6), step=300.0))
    assert stretches.rows == 5
    assert stretches.window == 1500
