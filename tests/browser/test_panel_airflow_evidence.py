"""The airflow panel in a real browser: kinds of evidence, a table by its name, marks, units, and what is saved."""

from __future__ import annotations

import pytest

import airside
from airside.show.panels import AirflowEvidence
from airside.units import percent, show

expect = pytest.importorskip("playwright.sync_api").expect
NOTEBOOK = "notebooks/workbench/airflow_evidence.ipynb"
BAKERY = "bakery/before.toml"
VELOCITIES = "Velocities, one a point, m/s"


def sentence(visit, units="SI"):
    """What the panel must say of a visit."""
    result = airside.analyse(visit, count=AirflowEvidence.draws)
    interval = next(r.interval_text(units) for _, rows in result.parts() for r in rows if r.name == "volume_flow")
    flow = show(float(result.airflow.volume_flow), "volume_flow", units)
    return f"{result.airflow.title}: {flow}, 95 % interval {interval}."


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the bakery's visit."""
    panel.load(f"../../data/{BAKERY}")


def test_it_opens_with_the_traverse_of_the_demo(panel, changed):
    visit = changed(BAKERY)
    panel.says(sentence(visit))
    flow = airside.analyse(visit).airflow
    panel.shows("Standard uncertainty of the method", percent(float(flow.relative_standard_uncertainty), 1))


def test_a_velocity_typed_moves_sentence_and_picture(panel, changed):
    before = panel.content()
    typed = [3.0 + 0.01 * i for i in range(25)]
    panel.type_lines(VELOCITIES, ", ".join(f"{v:.2f}" for v in typed))
    visit = changed(BAKERY, {"airflow.velocity": [round(v, 2) for v in typed]})
    panel.says(sentence(visit))
    panel.new_picture(before)


def test_a_fan_table_is_read_where_the_visit_is(panel, changed):
    panel.field("Airflow evidence").select_option("fan table")
    panel.type("Fan table (CSV file)", "fan_table.csv")
    panel.type("Speed (column of the table)", "low")
    panel.type("External static pressure, Pa", "60, 62, 61")
    evidence = {"method": "fan table", "table": "fan_table.csv", "speed": "low", "at": "supply",
                "external_static_pressure": [60, 62, 61], "instrument": "anemometer_1"}  # fmt: skip
    panel.says(sentence(changed(BAKERY, {"airflow": evidence})))
    # A table that is not there is said at its own field.
    panel.type("Fan table (CSV file)", "no_such_table.csv")
    panel.is_greyed()
    expect(panel.wrong).to_have_count(1)
    expect(panel.wrong).to_contain_text("no_such_table.csv")
    panel.press("Undo")
    panel.is_greyed(False)


def test_units_switch_in_place(panel, changed):
    before = panel.content()
    panel.press("IP")
    panel.says(sentence(changed(BAKERY, units="IP"), "IP"))
    expect(panel.field("Velocities, one a point, ft/min")).to_be_visible()
    panel.new_picture(before)


def test_a_velocity_that_is_wrong_is_marked(panel):
    picture = panel.content()
    panel.type_lines(VELOCITIES, "3.0, 3.1, fast")
    panel.is_greyed()
    expect(panel.root.locator(".airside-wrong-text")).to_contain_text("fast")
    assert panel.content() == picture
    panel.press("Undo")
    panel.is_greyed(False)


def test_what_is_saved_has_the_evidence(panel, folder, changed):
    panel.field("Airflow evidence").select_option("measured")
    panel.type("Measured flow, L/s", "415, 420, 425")
    evidence = {"method": "measured", "volume_flow": [415, 420, 425], "basis": "actual", "at": "supply",
                "instrument": "anemometer_1"}  # fmt: skip
    visit = changed(BAKERY, {"airflow": evidence})
    panel.says(sentence(visit))
    panel.write("Visit file", "Save", "measured.toml")
    saved = airside.load_visit(folder / "measured.toml")
    assert saved.airflow == visit.airflow
    assert sentence(saved) == sentence(visit)
