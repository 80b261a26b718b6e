"""The picture of an airflow: tables, readings and flows in it are the library's numbers, its words keep apart."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_hex
from same_picture import assert_same_picture
from words_in_picture import check_words

import airside
from airside.airflow import Airflow
from airside.show.airflow import airflow_chart
from airside.show.palette import THEMES
from airside.show.psychrometric import figure_bytes

sys.path.insert(0, str(Path(__file__).parents[1] / "compare"))
from pair_of_visits import visit

DATA = Path(__file__).parents[2] / "data"
# Shown units as SI, typed here: the picture's own conversions are under test.
FLOW = {"IP": 0.3048**3 / 60, "SI": 1e-3}
PRESSURE = {"IP": 249.08891, "SI": 1.0}
SPEED = {"IP": 0.3048 / 60, "SI": 1.0}
COIL = "flow [L/s],dry [Pa],wet [Pa]\n300,20,28\n400,35,48\n500,54,74\n600,77,104\n700,104,\n"
LONG = "tap 1 with a name of its own that is very long, $1 $2"
FAN = f'static pressure [Pa],"{LONG}" [L/s],tap 2 [L/s],3 [L/s],4 [L/s]\n' + "\n".join(
    f"{p},{430 - p * 0.6},{470 - p * 0.6},{520 - p * 0.5},{'' if p > 100 else 640 - p * 0.8}"
    for p in (0, 30, 60, 90, 120)
)
EVIDENCE = {
    "coil": {"method": "coil pressure drop", "table": "coil.csv", "coil": "wet", "pressure_drop": [80.0, 81.0, 79.0, 80.0]},
    "fan": {"method": "fan table", "table": "fan.csv", "speed": "Tap 2", "external_static_pressure": [55.0, 56.0]},
    "measured": {"method": "measured", "basis": "standard", "volume_flow": [500.0, 520.0, 510.0, 515.0], "at": "return"},
    "one reading": {"method": "measured", "basis": "actual", "volume_flow": [500.0]},
    "rise": {"method": "temperature rise", "heat_input": [9.6], "temperature_rise": [15.0, 15.2, 15.1, 15.0]},
    "match": {"method": "pressure match", "device_flow": [500.0, 505.0], "normal_static_pressure": [50.0, 51.0],
              "device_static_pressure": [48.0, 48.0]},
    "thumb": {"method": "rule of thumb", "flow_per_capacity": 54.0},
    "pressures": {"method": "traverse", "shape": "round", "diameter": 300,
                  "velocity_pressure": [20.0, 22.0, 25.0, 30.0, 31.0, 28.0, 24.0, 19.0, 0.0]},
}  # fmt: skip


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    folder = tmp_path_factory.mktemp("airflow")
    (folder / "coil.csv").write_text(COIL)
    (folder / "fan.csv").write_text(FAN)
    visits = {"library": airside.load_visit(DATA / "reading_room/before.toml"),
              "bakery": airside.load_visit(DATA / "bakery/before.toml")}  # fmt: skip
    for name, evidence in EVIDENCE.items():
        visits[name] = visit({"airflow": evidence}, path=folder / "visit.toml")
    visits["no nominal"] = visit({"system.nominal_capacity": None})
    visits["far"] = visit({"system.nominal_capacity": 80.0})
    return {name: airside.analyse(v, count=3000) for name, v in visits.items()}


NAMES = ["library", "bakery", *EVIDENCE, "no nominal", "far"]
TABLES = {"library", "coil", "fan"}


def parts(figure, name):
    """The strip of flows, and what stands above it."""
    strip, *above = figure.axes
    assert len(above) == (name in TABLES or name in ("bakery", "pressures"))
    return strip, above[0] if above else None


def flows(result):
    return {r.name: r for r in dict(result.parts())[result.airflow.title]}


def markers(axes, marker):
    return [line for line in axes.lines if line.get_marker() == marker and len(line.get_xdata()) == 1]


@pytest.mark.parametrize("theme", ["light", "print"])
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", NAMES)
def test_words_keep_apart_and_can_be_read(results, name, units, theme):
    said = check_words(airflow_chart(results[name], units=units, theme=theme), smallest=9)
    assert "actual" in said and "standard air" in said
    assert results[name].airflow.title in said[0]


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", NAMES)
def test_flows_and_intervals_are_those_of_the_result(results, name, units):
    strip, _ = parts(airflow_chart(results[name], units=units), name)
    rows = flows(results[name])
    drawn = [line for line in strip.lines if len(line.get_xdata()) == 2]
    assert len(drawn) == 2
    for row, interval, marker in (
        (rows["volume_flow"], drawn[0], "o"),
        (rows["standard_volume_flow"], drawn[1], "s"),
    ):
        (point,) = markers(strip, marker)
        assert point.get_xdata()[0] * FLOW[units] == pytest.approx(row.value, rel=1e-6)
        assert np.asarray(interval.get_xdata()) * FLOW[units] == pytest.approx(row.interval, rel=1e-6)
        said = f"{row.text(units)}, 95 % interval {row.interval_text(units)}"
        assert said in [t.get_text() for t in strip.texts]
        low, high = strip.get_xlim()
        assert low < min(interval.get_xdata()) and max(interval.get_xdata()) < high


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_customary_flow_is_a_band(results, units):
    strip, _ = parts(airflow_chart(results["library"], units=units), "library")
    (band,) = strip.patches
    # Five tons.
    ends = np.array([band.get_x(), band.get_x() + band.get_width()]) * FLOW[units] / FLOW["IP"]
    assert ends == pytest.approx([5 * 350, 5 * 450], rel=1e-4)
    (said,) = [t.get_text() for t in strip.texts if t.get_text().startswith("Shaded")]
    assert "common practice, no source" in said
    assert ("350 to 450 cfm/ton" if units == "IP" else "47.0 to 60.4 L/s per kW") in said


def test_a_customary_flow_that_is_far_away_is_told_in_words(results):
    strip, _ = parts(airflow_chart(results["far"]), "far")
    assert not strip.patches
    (said,) = [t.get_text() for t in strip.texts if t.get_text().startswith("Customary")]
    assert "3,757 to 4,831 L/s: not in this picture" in said
    strip, _ = parts(airflow_chart(results["no nominal"]), "no nominal")
    assert not strip.patches and not [t for t in strip.texts if "ustomary" in t.get_text()]


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", ["library", "fan"])
def test_fan_curves_are_the_tables_and_the_reading_is_on_its_curve(results, name, units):
    result = results[name]
    figure = airflow_chart(result, units=units)
    strip, axes = parts(figure, name)
    table = result.doubt.inputs.airflow.table
    static, *speeds = table.columns.values()
    curves = [line for line in axes.lines if line.get_gid() == "curve"]
    assert len(curves) == len(speeds)
    for line, flow in zip(curves, speeds, strict=True):
        known = np.isfinite(flow)
        assert np.asarray(line.get_xdata()) * FLOW[units] == pytest.approx(flow[known], rel=1e-6)
        assert np.asarray(line.get_ydata()) * PRESSURE[units] == pytest.approx(static[known], rel=1e-6, abs=1e-9)
    (point,) = markers(axes, "o")
    (x,), (y,) = point.get_data()
    (chosen,) = [line for line in curves if line.get_linestyle() == "-"]
    assert chosen.get_label().casefold() == result.visit.airflow.speed.casefold()
    cx, cy = chosen.get_data()
    assert np.interp(y, cy, cx) == pytest.approx(x, rel=1e-9)
    assert y * PRESSURE[units] == pytest.approx(result.airflow.evidence[1].value, rel=1e-6)
    assert axes.get_xlim() == strip.get_xlim()
    interval = [line for line in axes.lines if line.get_gid() == "reading" and len(line.get_xdata()) == 2]
    assert np.asarray(interval[0].get_xdata()) * FLOW[units] == pytest.approx(
        flows(result)["volume_flow"].interval, rel=1e-6
    )


def test_every_curve_has_its_name(results):
    figure = airflow_chart(results["library"])
    names = [t.get_text() for t in figure.axes[1].texts]
    assert names == ["low", "medium", "high"]
    # A long name is cut; dollars stay dollars.
    (cut,) = [t.get_text() for t in airflow_chart(results["fan"]).axes[1].texts if "…" in t.get_text()]
    assert LONG.startswith(cut.split("…")[0]) and LONG.endswith(cut.split("…")[1])


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_points_of_the_coils_curves_give_their_flow_again(results, units):
    result = results["coil"]
    _, axes = parts(airflow_chart(result, units=units), "coil")
    table = result.doubt.inputs.airflow.table
    curves = [line for line in axes.lines if line.get_gid() == "curve"]
    assert [line.get_label() for line in curves] == ["dry coil", "wet coil"]
    # Air of the table's density, so that a drop is entered as it stands.
    dry = airside.MoistAir.from_relative_humidity(21.0, 0.3, 101_325.0)
    for line, name in zip(curves, ("dry", "wet"), strict=True):
        x, y = (np.asarray(v) for v in line.get_data())
        assert len(x) > 20
        found = Airflow.coil_pressure_drop(table.columns["flow"], table.columns[name], y * PRESSURE[units], at=dry,
                                           table_density=float(dry.density), outside="extend")  # fmt: skip
        assert x * FLOW[units] == pytest.approx(np.asarray(found.volume_flow), rel=1e-6)
    (point,) = markers(axes, "o")
    assert np.interp(point.get_xdata()[0], *curves[1].get_data()) == pytest.approx(point.get_ydata()[0], rel=1e-3)


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", ["bakery", "pressures"])
def test_points_of_a_traverse_have_the_results_mean(results, name, units):
    result = results[name]
    _, axes = parts(airflow_chart(result, units=units), name)
    mean = next(r.value for r in result.airflow.evidence if r.name == "mean_velocity")
    points, line = (np.asarray(v.get_ydata()) for v in axes.lines)
    assert points.mean() * SPEED[units] == pytest.approx(mean, rel=1e-6)
    assert line[0] * SPEED[units] == pytest.approx(mean, rel=1e-6)
    assert list(axes.lines[0].get_xdata()) == list(range(1, len(points) + 1))
    if name == "bakery":
        assert points * SPEED[units] == pytest.approx(result.visit.airflow.velocity, rel=1e-6)


def test_readings_of_a_flow_are_strokes_on_their_row(results):
    figure = airflow_chart(results["measured"])
    (strokes,) = figure.axes[0].collections
    shown = [s[0] for s in strokes.get_segments()]
    assert [x for x, _ in shown] == pytest.approx([500, 520, 510, 515])
    # On the row of standard air.
    assert all(-1 < y < 0 for _, y in shown)
    assert "Strokes: the 4 readings" in [t.get_text() for t in figure.texts]
    assert not airflow_chart(results["one reading"]).axes[0].collections


def test_without_its_doubt_a_result_has_flows_alone(results):
    alone = replace(results["library"], doubt=None)
    strip, axes = parts(airflow_chart(alone), "library")
    assert all(len(line.get_xdata()) == 1 for line in strip.lines)
    assert [t.get_text() for t in strip.texts[-2:]] == [r.text("IP") for r in list(alone.airflow.rows())[:2]]
    assert len([line for line in axes.lines if line.get_gid() == "curve"]) == 3


@pytest.mark.parametrize("theme", THEMES)
def test_themes_colour_paper_and_ink(results, theme):
    figure = airflow_chart(results["library"], theme=theme)
    assert to_hex(figure.get_facecolor()).upper() == THEMES[theme].paper
    for axes in figure.axes:
        assert to_hex(axes.get_facecolor()).upper() == THEMES[theme].paper
        assert to_hex(axes.yaxis.get_ticklabels()[0].get_color()).upper() == THEMES[theme].ink


def test_units_are_the_visits_by_default_and_bytes_repeat(results):
    assert airflow_chart(results["library"]).axes[0].get_xlabel() == "Airflow, cfm"
    assert airflow_chart(results["bakery"]).axes[0].get_xlabel() == "Airflow, L/s"
    with pytest.raises(ValueError, match="units is 'US'"):
        airflow_chart(results["bakery"], units="US")
    for form in ("png", "svg"):
        one, two = (figure_bytes(airflow_chart(results["fan"]), form) for _ in range(2))
        assert one == two


@pytest.mark.parametrize(("name", "theme", "units"), [("library", "light", "IP"), ("bakery", "dark", "SI"),
                                                      ("coil", "print", "SI"), ("measured", "light", "SI")])  # fmt: skip
def test_it_looks_as_it_did(results, name, theme, units):
    assert_same_picture(airflow_chart(results[name], theme=theme, units=units), f"airflow_{name}_{theme}")
