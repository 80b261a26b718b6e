"""One grid for loggers of several clocks and intervals: against numpy's own interpolation and means."""

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from logger_files_made import T, read, table, write

from airside.errors import VisitError
from airside.visit.logs.grid import gaps, grid_times, in_order, on_grid, usual_interval

SUPPLY = "readings.supply.dry_bulb"
START = datetime(2026, 7, 14, 10, tzinfo=UTC).timestamp()


def logger(folder, name, offsets, values):
    stamps = [datetime.fromtimestamp(START + o, UTC).strftime("%Y-%m-%d %H:%M:%S") for o in offsets]
    write(folder, "time;t\n" + "".join(f"{s};{v}\n" for s, v in zip(stamps, values, strict=True)), name)


def both(folder, **log):
    return read(folder, log=log, return_air=table("a.csv", dry_bulb="t"), supply=table("b.csv", dry_bulb="t"))


def test_a_shifted_logger_is_interpolated_between_its_neighbours(tmp_path):
    times = np.arange(0, 3600, 60.0)
    logger(tmp_path, "a.csv", times, 20 + times / 600)
    values = np.round(10 + np.sin(times / 700), 4)
    logger(tmp_path, "b.csv", times + 17, values)
    log = both(tmp_path)
    np.testing.assert_allclose(log.channels[T][:60], 20 + times / 600)
    assert log.notes[-1] == (
        "b.csv: 60 of 60 rows lie between the times of the grid; values there are lines between neighbours no further apart "
        "than 1.5 intervals."
    )
    inside = (log.time >= START + 17) & (log.time <= START + 17 + times[-1])
    np.testing.assert_allclose(log.channels[SUPPLY][inside], np.interp(log.time[inside], START + times + 17, values))
    assert np.isnan(log.channels[SUPPLY][~inside]).all()


def test_a_faster_logger_is_averaged(tmp_path):
    slow, fast = np.arange(0, 3600, 60.0), np.arange(0, 3600, 10.0)
    logger(tmp_path, "a.csv", slow, 20 + slow / 600)
    logger(tmp_path, "b.csv", fast, np.round(15 + fast / 500, 4))
    log = both(tmp_path)
    assert log.step == 60
    assert (
        log.notes[-1] == "b.csv: 300 of 360 rows lie between the times of the grid; values there are means over 60 s."
    )
    # Six rows around each grid time, from 20 s before it to 30 s after: of a ramp, their mean is that 5 s after it.
    np.testing.assert_allclose(log.channels[SUPPLY][1:60], 15 + (slow[1:] + 5.0) / 500, atol=1e-4)
    # After the last minute are two rows of six: too few for a mean.
    assert np.isfinite(log.channels[SUPPLY][:60]).all() and np.isnan(log.channels[SUPPLY][60:]).all()


def test_nothing_is_invented_across_a_gap(tmp_path):
    times = np.arange(0, 3600, 60.0)
    logger(tmp_path, "a.csv", times, 20 + times / 600)
    kept = np.concatenate([times[:20], times[30:]])
    logger(tmp_path, "b.csv", kept + 17, 15 + kept / 500)
    log = both(tmp_path)
    missing = (log.time > START + times[19] + 17) & (log.time < START + times[30] + 17)
    assert missing.sum() == 11
    assert np.isnan(log.channels[SUPPLY][missing]).all()
    assert log.record(SUPPLY).gaps == ((START + times[19] + 17, START + times[30] + 17),)
    assert log.record(SUPPLY).count == 50


def test_clock_offset_is_applied_only_when_the_file_says_so(tmp_path):
    times = np.arange(0, 3600, 60.0)
    logger(tmp_path, "a.csv", times, 20 + times / 600)
    logger(tmp_path, "b.csv", times + 120, 15 + times / 500)
    log = read(
        tmp_path, return_air=table("a.csv", dry_bulb="t"), supply=table("b.csv", dry_bulb="t"),
        files={"b.csv": {"clock_offset": -120}},
    )  # fmt: skip
    np.testing.assert_allclose(log.channels[SUPPLY], 15 + times / 500)
    assert "b.csv: -120 s were added to its times, as clock_offset says." in log.notes
    assert len(both(tmp_path)) == 62


def test_a_stated_step(tmp_path):
    times = np.arange(0, 3600, 10.0)
    for name in ("a.csv", "b.csv"):
        logger(tmp_path, name, times, 20 + times / 600)
    log = both(tmp_path, step=300)
    assert log.step == 300 and np.allclose(np.diff(log.time), 300)


def test_logs_of_different_days(tmp_path):
    times = np.arange(0, 600, 60.0)
    logger(tmp_path, "a.csv", times, 20 + times / 600)
    logger(tmp_path, "b.csv", times + 86400, 20 + times / 600)
    with pytest.raises(VisitError) as caught:
        both(tmp_path)
    assert str(caught.value) == (
        'visit.toml: log: "a.csv" ends at 2026-07-14 10:09:00, before "b.csv" begins at 2026-07-15 10:00:00; expected logs of '
        "one time. Check year, time_zone and date_order in [log]."
    )


def test_a_status_is_never_in_between():
    grid = np.arange(0, 600, 60.0)
    time = grid + 20
    stage = np.array([0, 0, 1, 1, 2, 2, 0, 0, 1, 1.0])
    got = on_grid(grid, time, stage, 60.0, 60.0, words=True)
    assert set(got) <= {0.0, 1.0, 2.0}
    np.testing.assert_array_equal(got, stage)


@given(st.lists(st.integers(0, 400), min_size=1, max_size=60))
def test_rows_come_into_order_and_each_time_once(offsets):
    clean = in_order(np.array(offsets, dtype=float))
    assert clean.time.tolist() == sorted(set(offsets))
    assert [offsets[r] for r in clean.rows] == clean.time.tolist()
    assert all(offsets.index(offsets[r]) == r for r in clean.rows)
    assert sorted([*clean.rows, *clean.repeated]) == list(range(len(offsets)))


@given(st.lists(st.integers(1, 2000), min_size=3, max_size=60, unique=True), st.floats(0, 59))
def test_values_stay_between_their_neighbours(offsets, shift):
    time = np.sort(np.array(offsets, dtype=float)) * 60 + shift
    values = np.sin(time)
    grid = grid_times([time], 60.0, 0.0)
    got = on_grid(grid, time, values, 60.0, 60.0)
    assert (np.diff(grid) > 0).all()
    for g, v in zip(grid, got, strict=True):
        after = int(np.searchsorted(time, g))
        near = [values[i] for i in (after - 1, after) if 0 <= i < len(time) and abs(time[i] - g) <= 90]
        assert np.isnan(v) or min(near) - 1e-12 <= v <= max(near) + 1e-12


def test_usual_interval_and_gaps():
    time = np.array([0, 60, 120, 180, 400, 460.0])
    assert usual_interval(time) == 60
    assert gaps(time, 60.0) == ((180.0, 400.0),)
    assert np.isnan(usual_interval(time[:1]))


def test_every_broken_file_of_a_visit_is_named_at_once(tmp_path):
    times = np.arange(0, 600, 60.0)
    logger(tmp_path, "a.csv", times, ["off"] * 10)
    with pytest.raises(VisitError) as said:
        both(tmp_path)
    assert [str(p).split(":")[0] for p in said.value.problems] == ["a.csv", "b.csv"]
    assert "there is no such file" in str(said.value)
