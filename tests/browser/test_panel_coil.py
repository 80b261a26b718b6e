"""The coil panel in a real browser: sliders by key, mouse and box, back to the readings, and what is saved."""

from __future__ import annotations

import tomllib

import numpy as np
import pytest

import airside
from airside.air.coil_prediction import predict_coil
from airside.compare.rating import rating_of
from airside.compare.reference import Conditions
from airside.show.panels import CoilPanel
from airside.units import show
from airside.visit.coil_block import coil_of_visit
from airside.visit.uncertainty import visit_uncertainty

expect = pytest.importorskip("playwright.sync_api").expect
NOTEBOOK = "notebooks/workbench/coil_performance.ipynb"
BAKERY = "bakery/before.toml"
AIRFLOW, OUTDOOR = "Airflow, of that measured, %", "Outdoor dry bulb, °C"


@pytest.fixture
def expected(changed):
    """Sentence, and supply dry bulb in words, of the bakery's coil at another airflow and outdoor dry bulb."""

    def find(airflow=1.0, outdoor=None, changes=()):
        doubt = visit_uncertainty(changed(BAKERY, changes), count=CoilPanel.draws)
        coil, _ = coil_of_visit(doubt)
        at = doubt.at_readings
        there = float(np.asarray(at.outdoor_dry_bulb)) if outdoor is None else outdoor
        rating, _ = rating_of(doubt.visit)
        here = Conditions("", at.return_air.wet_bulb, at.outdoor_dry_bulb)
        ratio = rating.capacity_ratio(here, float(np.asarray(at.airflow.standard_volume_flow)), there)
        flow = airflow * float(np.asarray(at.airflow.dry_air_mass_flow))
        found = predict_coil(coil.performance, return_air=at.return_air, dry_air_mass_flow=flow, capacity_ratio=ratio)
        total = float(np.asarray(found.capacity.total))
        step = (total / float(np.asarray(at.capacity.total)) - 1) * 100
        supply = show(float(np.asarray(found.supply_air.dry_bulb)), "temperature", "SI")
        return f"The same coil there: {show(total, 'capacity', 'SI')} total, {step:+.1f} % from the visit.", supply

    return find


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the bakery's visit."""
    panel.load(f"../../data/{BAKERY}")


def test_it_opens_at_what_was_measured(panel, changed):
    total = float(airside.analyse(changed(BAKERY)).capacity.total)
    panel.says(f"As measured: {show(total, 'capacity', 'SI')} total.")
    expect(panel.field(AIRFLOW)).to_have_value("100")


def test_a_slider_moves_by_the_keys_and_comes_back(panel, expected):
    said, before = panel.head.inner_text(), panel.content()
    slider = panel.slider(AIRFLOW)
    slider.focus()
    for _ in range(20):
        slider.press("ArrowRight")
    expect(panel.field(AIRFLOW)).to_have_value("120")
    sentence, supply = expected(airflow=1.2)
    panel.says(sentence)
    panel.shows("Supply dry bulb", supply)
    before = panel.new_picture(before)
    panel.press("As measured")
    expect(panel.field(AIRFLOW)).to_have_value("100")
    expect(panel.head).to_have_text(said)
    panel.new_picture(before)
    panel.press("Undo")
    panel.says(sentence)


def test_a_slider_moves_by_the_mouse(panel, expected):
    panel.drag(AIRFLOW, -40)
    box = panel.field(AIRFLOW)
    expect(box).not_to_have_value("100")
    moved = float(box.input_value())
    assert 50 <= moved < 95
    sentence, supply = expected(airflow=moved / 100)
    panel.says(sentence)
    panel.shows("Supply dry bulb", supply)


def test_a_number_typed_beside_the_slider_counts(panel, expected):
    panel.type(OUTDOOR, "38")
    panel.says(expected(outdoor=38.0)[0])
    # In the other units it is the same condition.
    panel.press("IP")
    expect(panel.field("Outdoor dry bulb, °F")).to_have_value("100.4")
    panel.press("SI")
    panel.says(expected(outdoor=38.0)[0])


def test_a_reading_that_is_wrong_is_marked_and_the_result_greyed(panel):
    fold = panel.open_fold("The visit's readings")
    air = panel.open_fold("Return air", fold)
    panel.type("Dry bulb, readings, °C", "25, tepid, 25, 25, 25", air)
    panel.is_greyed()
    expect(air.locator(".airside-wrong-text")).to_contain_text("tepid")
    panel.press("Undo")
    panel.is_greyed(False)
    expect(panel.wrong).to_have_count(0)


def test_where_the_sliders_stand_is_saved_with_the_visit(panel, folder, expected):
    panel.type(AIRFLOW, "85")
    panel.write("Visit file", "Save", "coil_turned.toml")
    assert airside.load_visit(folder / "coil_turned.toml").airflow.method == "traverse"
    data = tomllib.loads((folder / "coil_turned.toml").read_text(encoding="utf-8"))
    assert list(data["panel"]["coil_performance"]) == ["airflow"]
    panel.load(f"../../data/{BAKERY}")
    expect(panel.field(AIRFLOW)).to_have_value("100")
    panel.load("coil_turned.toml")
    expect(panel.field(AIRFLOW)).to_have_value("85")
    panel.says(expected(airflow=0.85)[0])
