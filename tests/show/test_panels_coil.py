"""The coil panel: as measured it gives the measurement, elsewhere what the library predicts."""

import math
import shutil
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.show.panels import CoilPanel, coil
from airside.show.panels import panel as panel_base
from airside.units import show

DATA = Path(__file__).parents[2] / "data"
FILES = [DATA / folder / f"{name}.toml" for folder in ("reading_room", "bakery") for name in ("before", "after")]
BAKERY, LIBRARY = DATA / "bakery" / "before.toml", DATA / "reading_room" / "before.toml"
DRAWS = 1500


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(CoilPanel, "draws", DRAWS)
    # Pictures are looked at in test_panels_form.py.
    monkeypatch.setattr(coil, "panel_chart", lambda *_, **__: None)
    monkeypatch.setattr(panel_base, "figure_bytes", lambda *_, **__: b"picture")


def number(value):
    return float(np.asarray(value))


@pytest.mark.parametrize("file", FILES)
def test_as_measured_is_the_measurement(file):
    panel = CoilPanel(file)
    visit = airside.load_visit(file)
    found = airside.analyse(visit, count=DRAWS)
    total = number(found.capacity.total)
    assert number(panel.prediction.capacity.total) == pytest.approx(total, rel=1e-9)
    assert number(panel.prediction.supply_air.dry_bulb) == pytest.approx(number(found.supply_air.dry_bulb), abs=1e-6)
    assert number(panel.prediction.bypass_factor) == pytest.approx(number(panel.coil.bypass_factor), rel=1e-9)
    assert f"As measured: <b>{show(total, 'capacity', visit.units)}</b> total." in panel.frame.head.value
    assert show(number(found.capacity.sensible), "capacity", visit.units) in panel.frame.figures.value
    assert panel.units == visit.units


@pytest.mark.parametrize("percent", [60, 85, 120, 150])
def test_airflow_moves_the_bypass_factor_by_the_effective_surface(percent):
    panel = CoilPanel(BAKERY)
    at = panel.doubt.at_readings
    flow = number(at.airflow.dry_air_mass_flow)
    measured = number(panel.coil.bypass_factor)
    surface = -math.log(measured) * flow
    panel.airflow.box.value = percent
    assert panel.airflow.value == pytest.approx(percent / 100, rel=1e-12)
    expected = math.exp(-surface / (flow * percent / 100))
    assert number(panel.prediction.bypass_factor) == pytest.approx(expected, rel=1e-9)
    assert show(expected, "fraction", "SI") in panel.frame.figures.value
    assert "The same coil there" in panel.frame.head.value and "from the visit" in panel.frame.head.value
    # More air: more capacity, less of it latent.
    ratio = number(panel.prediction.capacity.total) / number(at.capacity.total)
    assert (ratio > 1) == (percent > 100)
    assert f"{(ratio - 1) * 100:+.1f}&nbsp;%" in panel.frame.head.value


def test_return_and_outdoor_air_move_the_capacity_the_right_way():
    panel = CoilPanel(BAKERY)
    before = number(panel.prediction.capacity.total)
    panel.outdoor.box.value += 5
    assert number(panel.prediction.capacity.total) < before
    panel.reset_button.click()
    panel.return_humidity.box.value += 8
    assert number(panel.prediction.capacity.total) > before
    latent = number(panel.prediction.capacity.latent)
    panel.reset_button.click()
    panel.return_dry_bulb.box.value += 2
    assert number(panel.prediction.capacity.latent) != latent


def test_reset_brings_the_measurement_back():
    panel = CoilPanel(BAKERY)
    head, figures = panel.frame.head.value, panel.frame.figures.value
    panel.airflow.box.value, panel.return_dry_bulb.box.value, panel.outdoor.box.value = 130, 29, 40
    panel.return_humidity.box.value = 65
    assert panel.frame.figures.value != figures
    panel.reset_button.click()
    assert panel.frame.head.value == head and panel.frame.figures.value == figures
    assert panel.airflow.value == 1 and panel.airflow.box.value == panel.airflow.box.value == 100
    assert panel.is_as_measured


def test_outside_the_curve_is_said():
    panel = CoilPanel(BAKERY)
    assert "warning" not in panel.frame.head.value
    panel.airflow.box.value = 50
    assert "▲ 1 warning" in panel.frame.head.value and "flow ratio" in panel.frame.head.value
    assert "<b>Warning:</b>" in panel.frame.assumptions.value
    panel.reset()
    panel.return_dry_bulb.box.value, panel.return_humidity.box.value = 34, 75
    assert "▲ 1 warning" in panel.frame.head.value and "wet bulb" in panel.frame.head.value
    panel.reset()
    assert "warning" not in panel.frame.head.value


def test_units_there_and_back():
    panel = CoilPanel(BAKERY)
    panel.airflow.box.value = 120
    head, figures = panel.frame.head.value, panel.frame.figures.value
    panel.units_choice.value = "IP"
    assert show(number(panel.prediction.capacity.total), "capacity", "IP") in panel.frame.head.value
    for slider in panel.sliders.values():
        words = slider.caption
        assert (", °F" in words) == ("dry bulb" in words) == ("°F" in slider.box.tooltip)
    panel.units_choice.value = "SI"
    assert panel.frame.head.value == head and panel.frame.figures.value == figures


def test_without_outdoor_air_the_capacity_is_held_and_said_to_be(tmp_path):
    text = LIBRARY.read_text()
    first, last = text.index("[readings.outdoor]"), text.index("[readings.power]")
    shutil.copy(LIBRARY.parent / "fan_table.csv", tmp_path)
    (tmp_path / "x.toml").write_text(text[:first] + text[last:])
    panel = CoilPanel(tmp_path / "x.toml")
    assert (
        panel.outdoor.slider.disabled
        and panel.outdoor.box.disabled
        and "The capacity is held" in panel.frame.head.value
    )
    before = number(panel.prediction.capacity.total)
    panel.airflow.box.value = 120
    assert number(panel.prediction.capacity.total) == pytest.approx(before, rel=1e-9)


def test_sliders_reach_what_was_measured_however_dry_or_hot(tmp_path):
    text = BAKERY.read_text()
    text = text.replace("[25.4, 25.5, 25.6, 25.4, 25.3]", "[36.4, 36.5, 36.6, 36.4, 36.3]")
    text = text.replace("[51.7, 52.1, 52.0, 52.0, 51.6]", "[14.7, 15.1, 15.0, 15.0, 14.6]")
    text = text.replace("[13.6, 13.7, 13.7, 13.7, 13.7]", "[22.6, 22.7, 22.7, 22.7, 22.7]")
    text = text.replace("[90.0, 89.6, 89.9, 90.2, 89.7]", "[31.5, 31.6, 31.9, 31.2, 31.7]")
    (tmp_path / "dry.toml").write_text(text)
    panel = CoilPanel(tmp_path / "dry.toml")
    assert "As measured" in panel.frame.head.value
    assert panel.return_humidity.value < 0.2 and panel.return_dry_bulb.value > 35
    total = number(airside.analyse(airside.load_visit(tmp_path / "dry.toml"), count=DRAWS).capacity.total)
    assert number(panel.prediction.capacity.total) == pytest.approx(total, rel=1e-9)


def test_files_a_wrong_one_keeps_the_visit_and_says_so():
    panel = CoilPanel(BAKERY)
    box, button = panel.files.names["visit"], panel.files.load_buttons["visit"]
    head = panel.frame.head.value
    box.value = "nowhere.toml"
    button.click()
    assert "no such file" in panel.frame.message.value and "The panel is still as it was." in panel.frame.message.value
    assert panel.frame.head.value == head and panel.doubt.visit.name.startswith("Bakery")
    box.value = ""
    button.click()
    assert panel.frame.head.value == head and "Name the file first." in panel.frame.message.value
    box.value = str(LIBRARY)
    button.click()
    assert f">Loaded {LIBRARY}.<" in panel.frame.message.value and panel.units == "IP"
    assert "Btu/h" in panel.frame.head.value


def heating(folder):
    text = BAKERY.read_text().replace('mode = "cooling"', 'mode = "heating"')
    text = text.replace("[13.6, 13.7, 13.7, 13.7, 13.7]", "[35.6, 35.7, 35.7, 35.7, 35.7]")
    text = text.replace("[90.0, 89.6, 89.9, 90.2, 89.7]", "[29.0, 29.6, 29.9, 29.2, 29.7]")
    (folder / "heating.toml").write_text(text)
    return folder / "heating.toml"


def test_a_heating_visit_has_no_coil_and_the_panel_says_so(tmp_path):
    file = heating(tmp_path)
    panel = CoilPanel(file)
    assert panel.frame.is_stale and not panel.frame.has_result and panel.prediction is None
    assert "heating" in panel.frame.head.value
    # Brought in over a good one, the last good result stays, greyed.
    panel = CoilPanel(BAKERY)
    figures = panel.frame.figures.value
    panel.load(file)
    assert panel.frame.is_stale and panel.frame.figures.value == figures and "heating" in panel.frame.head.value
    assert "airside-stale" in panel.frame.figures._dom_classes
    panel.load(BAKERY)
    assert not panel.frame.is_stale and panel.frame.figures.value == figures
    assert "airside-stale" not in panel.frame.figures._dom_classes
