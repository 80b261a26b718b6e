"""The picture of a log: its lines are the log's, its bars the runs and stretches, its words keep apart."""

import sys
from pathlib import Path

import numpy as np
import pytest
from same_picture import assert_same_picture
from words_in_picture import check_words

from airside.show.figure_files import figure_bytes
from airside.show.palette import THEMES
from airside.show.plain_axes import axes_in_inches, colours_of, new_figure
from airside.show.time_series import MOST, _thinned, panels_of, time_series_chart
from airside.units import from_inside
from airside.visit.logs.logged_visit import logged_visit

sys.path.append(str(Path(__file__).parents[1] / "visit" / "logs"))
from logged_made import cycles, made_data, made_log

DAY = cycles(300, 40, 35, 65, 20, 170, 15, 90, 40, 30, 60, 120, 455)


def made(on=DAY, name="A library's unit (invented)", **log):
    data = made_data()
    data["name"] = name
    return logged_visit(data, made_log(on, **log))


@pytest.fixture(scope="module")
def logs():
    week = np.tile(DAY, 7)
    gap = np.where((np.arange(week.size) > 3000) & (np.arange(week.size) < 4000), np.nan, 0.0)
    stage = np.where(DAY, np.where((np.arange(DAY.size) > 640) & (np.arange(DAY.size) < 700), 2, 1), 0)
    return {
        "day": made(),
        "stages": made(stage=stage),
        "odd": made(stage=stage, name="X" * 300),
        "week": made(week, zone="Europe/Berlin", **{"airflow.volume_flow": np.where(week, 0.55, 0.0) + gap}),
        "long": made(np.tile(DAY, 40)),
        "short": made(cycles(5, 30, 5), name="a $x$ <b>\n\x00"),
        "less": made(**{"readings.power.total": None, "readings.outdoor.dry_bulb": None}),
    }


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", ["day", "stages", "odd", "week", "long", "short", "less"])
@pytest.mark.parametrize("units", ["SI", "IP"])
def test_words_keep_apart_and_can_be_read(logs, name, theme, units):
    said = check_words(time_series_chart(logs[name], theme=theme, units=units), smallest=9)
    assert "stands for the visit" in said
    assert f"{logs[name].standing_number:,}" in said
    assert {"runs", "steady", "return", "supply"} <= set(said)


def test_lines_are_the_logs(logs):
    logged = logs["day"]
    figure = time_series_chart(logged, units="IP")
    panels = panels_of(logged)
    assert [p.name for p in panels] == ["Dry bulb", "Dew point", "Power", "Airflow"]
    for axes, panel in zip(figure.axes[1:], panels, strict=True):
        lines = [line for line in axes.lines if len(line.get_xdata()) == len(logged.log)]
        assert len(lines) == len(panel.channels)
        for line, (channel, _) in zip(lines, panel.channels, strict=True):
            assert line.get_ydata() == pytest.approx(from_inside(logged.log.channels[channel], panel.kind, "IP"))
            assert line.get_xdata() == pytest.approx(logged.log.time / 86_400)


def bars(collection):
    return sorted((p.vertices[:, 0].min(), p.vertices[:, 0].max()) for p in collection.get_paths())


def test_bars_are_runs_and_stretches(logs):
    logged = logs["day"]
    strip = time_series_chart(logged).axes[0]
    runs, _, steady, standing = strip.collections
    s = logged.stretches
    half = 30
    assert np.array(bars(runs)) * 86_400 == pytest.approx(
        np.stack([logged.runs.begin - half, logged.runs.begin - half + logged.runs.length], axis=1), abs=1e-3
    )
    assert np.array(bars(steady)) * 86_400 == pytest.approx(np.stack([s.begin - half, s.end + half], axis=1), abs=1e-3)
    at = logged.standing_number - 1
    assert np.array(bars(standing)[0]) * 86_400 == pytest.approx([s.begin[at] - half, s.end[at] + half], abs=1e-3)


def test_other_stages_are_open_bars_and_named(logs):
    strip = time_series_chart(logs["stages"]).axes[0]
    counted, others = strip.collections[:2]
    assert counted.get_facecolor().size and not others.get_facecolor().size
    assert any("filled: stage 2" in t.get_text() for t in strip.texts)


def test_no_line_is_drawn_across_a_gap(logs):
    airflow = time_series_chart(logs["week"]).axes[-1].lines[0]
    x, y = airflow.get_xdata(), airflow.get_ydata()
    assert np.isnan(y[(x > x[0] + 3100 / 1440) & (x < x[0] + 3900 / 1440)]).all()


def test_many_readings_keep_their_peaks():
    random = np.random.default_rng(1)
    values = random.standard_normal(100_000)
    values[777], values[55_555] = 50.0, -40.0
    x, y = _thinned(np.arange(100_000.0), values)
    assert x.size == 2 * MOST
    assert (y.max(), y.min()) == (50.0, -40.0)
    assert (np.diff(x) > 0).all()


def test_a_long_log_is_drawn_as_means_of_stretches(logs):
    logged = logs["long"]
    figure = time_series_chart(logged)
    line = figure.axes[1].lines[0]
    means = logged.stretches.channels["readings.return.dry_bulb"].mean
    every = max(1, means.size // 1500)
    assert line.get_ydata() == pytest.approx(means[::every])
    assert "each point is the mean of one steady stretch" in figure.axes[-1].get_xlabel()


def test_part_of_a_log_and_an_axes_of_ones_own(logs):
    logged = logs["week"]
    first = logged.log.time[1440]
    figure = time_series_chart(logged, first=first, last=first + 43_200)
    assert figure.axes[0].get_xlim() == pytest.approx((first / 86_400, first / 86_400 + 0.5))
    own = new_figure(5, 3, colours_of("light", "SI"))
    axes = axes_in_inches(own, 0.8, 0.6, 3, 2)
    assert time_series_chart(logged, axes=axes) is own
    assert len(axes.lines) >= 3


def test_what_cannot_be_drawn_is_said(logs):
    with pytest.raises(ValueError, match="theme is 'blue'"):
        time_series_chart(logs["day"], theme="blue")
    with pytest.raises(ValueError, match="expected a later last"):
        time_series_chart(logs["day"], first=10.0, last=5.0)
    with pytest.raises(ValueError, match="no channel"):
        time_series_chart(logs["day"], panels=[])


def test_bytes_repeat_and_words_are_as_they_are(logs):
    one, two = (figure_bytes(time_series_chart(logs["short"]), "svg") for _ in range(2))
    assert one == two
    assert b"a $x$ &lt;b&gt;" in one


@pytest.mark.parametrize("theme", THEMES)
def test_it_looks_as_it_did(logs, theme):
    assert_same_picture(time_series_chart(logs["stages"], theme=theme), f"time_series_{theme}")
