"""The refrigerant panel in a real browser: a pressure typed, units, marks, and what is saved."""

from __future__ import annotations

import pytest

import airside
from airside.compare.explanation import explain
from airside.show.panels import RefrigerantPanel
from airside.visit.uncertainty import visit_uncertainty

expect = pytest.importorskip("playwright.sync_api").expect
NOTEBOOK = "notebooks/workbench/refrigerant_side.ipynb"
LIBRARY = "reading_room/before.toml"
LIQUID = "Liquid pressure, readings, psi gauge"


def found(visit, units="IP"):
    """First sentence, and the figures by name, that the panel must show of a visit."""
    said = explain(visit_uncertainty(visit, count=RefrigerantPanel.draws))
    return said.finding_sentences(units)[0], {r.title: r.text(units) for r in said.refrigerant.rows()}


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the library's visit."""
    panel.load(f"../../data/{LIBRARY}")


def test_it_opens_with_the_finding_of_the_demo(panel, changed):
    sentence, figures = found(changed(LIBRARY))
    panel.says(sentence)
    for title in list(figures)[:3]:
        panel.shows(title, figures[title])


def test_a_pressure_typed_moves_sentence_figures_and_picture(panel, changed):
    before = panel.content()
    typed = [370.1, 370.4, 369.8, 370.2, 370.0]
    panel.type(LIQUID, ", ".join(map(str, typed)))
    sentence, figures = found(changed(LIBRARY, {"readings.refrigerant.liquid_pressure": typed}))
    panel.says(sentence)
    subcooling = next(title for title in figures if "ubcooling" in title)
    panel.shows(subcooling, figures[subcooling])
    panel.new_picture(before)


def test_units_switch_in_place(panel, changed):
    before = panel.content()
    panel.press("SI")
    sentence, figures = found(changed(LIBRARY, units="SI"), "SI")
    panel.says(sentence)
    title = next(iter(figures))
    panel.shows(title, figures[title])
    expect(panel.field("Liquid pressure, readings, kPa gauge")).to_be_visible()
    panel.new_picture(before)


def test_another_visit_is_brought_in(panel, changed):
    panel.load("../../data/bakery/after.toml")
    panel.says(found(changed("bakery/after.toml"), "SI")[0])
    expect(panel.field("Refrigerant")).to_have_value("R-32")


def test_a_pressure_that_is_wrong_is_marked_and_the_result_greyed(panel):
    picture = panel.content()
    panel.type(LIQUID, "high")
    panel.is_greyed()
    expect(panel.fold("Refrigerant side").locator(".airside-wrong-text")).to_contain_text("high")
    assert panel.content() == picture
    panel.press("Undo")
    panel.is_greyed(False)


def test_what_is_saved_reads_back(panel, folder, changed):
    typed = [370.1, 370.4, 369.8, 370.2, 370.0]
    panel.type(LIQUID, ", ".join(map(str, typed)))
    panel.write("Visit file", "Save", "../../data/reading_room/pressures.toml")
    saved = airside.load_visit(folder / "../../data/reading_room/pressures.toml")
    assert (
        saved.readings.refrigerant
        == changed(LIBRARY, {"readings.refrigerant.liquid_pressure": typed}).readings.refrigerant
    )
    panel.says(found(saved)[0])
