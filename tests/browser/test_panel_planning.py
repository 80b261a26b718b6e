"""Planning a visit in a real browser: accuracies turned, evidence chosen, and what is saved."""

from __future__ import annotations

import pytest

import airside
from airside.show.panels import PlanningPanel

expect = pytest.importorskip("playwright.sync_api").expect
NOTEBOOK = "notebooks/workbench/planning_a_visit.ipynb"
BAKERY = "bakery/before.toml"
DRY_BULB, AIRFLOW = "Dry-bulb accuracy, ±, °C difference", "Airflow, standard uncertainty, %"


@pytest.fixture
def sentence(changed):
    """What the panel must say of the bakery's visit with some changes."""

    def find(changes=(), units=None):
        return airside.plan(changed(BAKERY, changes, units), count=PlanningPanel.draws).sentence

    return find


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the bakery's visit."""
    panel.load(f"../../data/{BAKERY}")


def test_it_opens_with_the_plan_of_the_demo(panel, sentence):
    panel.says(sentence())


def test_a_slider_moves_sentence_and_picture_by_the_keys(panel, sentence):
    before = panel.content()
    slider = panel.slider(AIRFLOW)
    slider.focus()
    for _ in range(4):
        slider.press("ArrowRight")
    expect(panel.field(AIRFLOW)).to_have_value("7")
    panel.says(sentence({"airflow.relative_uncertainty": 0.07}))
    panel.new_picture(before)


def test_a_slider_moves_by_the_mouse_and_goes_back_to_the_file(panel, sentence):
    panel.drag(AIRFLOW, 50)
    box = panel.field(AIRFLOW)
    expect(box).not_to_have_value("5")
    moved = float(box.input_value())
    panel.says(sentence({"airflow.relative_uncertainty": moved / 100}))
    panel.press("As the file states")
    expect(box).to_have_value("5")
    panel.says(sentence())


def test_evidence_that_is_only_a_rule_shows_less(panel, sentence):
    fold = panel.open_fold("Airflow")
    panel.field("Airflow evidence", fold).select_option("rule of thumb")
    panel.type("Flow per nominal capacity, L/s per kW", "54")
    # What belonged to the traverse is not the rule's.
    evidence = {"method": "rule of thumb", "flow_per_capacity": 54, "instrument": "anemometer_1", "at": "supply"}
    panel.says(sentence({"airflow": evidence}))


def test_a_reading_that_is_wrong_is_marked_and_the_result_greyed(panel):
    air = panel.open_fold("Supply air")
    panel.type("Dry bulb, readings, °C", "", air)
    panel.is_greyed()
    expect(panel.wrong).to_have_count(1)
    expect(air.locator(".airside-wrong")).to_have_count(1)
    panel.press("Undo")
    panel.is_greyed(False)


def test_the_planned_accuracy_is_saved(panel, folder, sentence):
    panel.type(AIRFLOW, "2")
    said = sentence({"airflow.relative_uncertainty": 0.02})
    panel.says(said)
    panel.write("Visit file", "Save", "../../data/bakery/planned.toml")
    saved = airside.load_visit(folder / "../../data/bakery/planned.toml")
    assert saved.airflow.relative_uncertainty == 0.02
    assert airside.plan(saved, count=PlanningPanel.draws).sentence == said
