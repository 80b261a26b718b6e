"""The field sheet in a real browser: typed, loaded, switched, mended, undone, saved, and worked without a mouse."""

from __future__ import annotations

import tomllib

import pytest

import airside
from airside.show.panels import FieldSheet
from airside.units import show

expect = pytest.importorskip("playwright.sync_api").expect
from lab_keyboard import Keyboard  # noqa: E402

NOTEBOOK = "notebooks/workbench/field_sheet.ipynb"
LIBRARY, BAKERY = "../../data/reading_room/before.toml", "../../data/bakery/after.toml"


def sentence(visit, units):
    """What the sheet must say of a visit."""
    result = airside.analyse(visit, count=FieldSheet.draws)
    interval = next(r.interval_text(units) for r in result.parts()[0][1] if r.name == "total")
    total = show(float(result.capacity.total), "capacity", units)
    return f"Delivered {visit.mode}: {total}, 95 % interval {interval}, with the {result.airflow.title.lower()}."


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the library's visit."""
    panel.load(LIBRARY)


def return_air(panel):
    return panel.fold("Return air")


def test_a_reading_typed_moves_sentence_and_picture(panel, changed):
    panel.says(sentence(changed("reading_room/before.toml"), "IP"))
    before = panel.content()
    panel.type("Dry bulb, readings, °F", "77.1, 77.2, 77.0, 77.1, 77.3, 77.1, 77.0, 77.2", return_air(panel))
    typed = [77.1, 77.2, 77.0, 77.1, 77.3, 77.1, 77.0, 77.2]
    visit = changed("reading_room/before.toml", {"readings.return.dry_bulb": typed})
    panel.says(sentence(visit, "IP"))
    panel.new_picture(before)
    panel.shows("Sensible", show(float(airside.analyse(visit).capacity.sensible), "capacity", "IP"))


def test_another_kind_of_evidence_asks_for_its_own_fields(panel, changed):
    panel.field("Airflow evidence").select_option("rule of thumb")
    expect(panel.field("Fan table (CSV file)")).to_have_count(0)
    panel.type("Flow per nominal capacity, cfm/ton", "400")
    evidence = {"method": "rule of thumb", "flow_per_capacity": 400, "instrument": "manometer_1"}
    panel.says(sentence(changed("reading_room/before.toml", {"airflow": evidence}), "IP"))


def test_units_switch_in_place_and_back_to_the_letter(panel, changed):
    typed = "76.6, 76.40, 24.7 degC, 76.2, 76.4, 76.5, 76.3, 76"
    panel.type("Dry bulb, readings, °F", typed, return_air(panel))
    values = [76.6, 76.40, "24.7 degC", 76.2, 76.4, 76.5, 76.3, 76]
    visit = changed("reading_room/before.toml", {"readings.return.dry_bulb": values})
    panel.says(sentence(visit, "IP"))
    before = panel.content()
    panel.press("SI")
    panel.says(sentence(changed("reading_room/before.toml", {"readings.return.dry_bulb": values}, "SI"), "SI"))
    before = panel.new_picture(before)
    expect(panel.field("Dry bulb, readings, °C", return_air(panel))).to_have_value(
        "24.78, 24.67, 24.7 degC, 24.56, 24.67, 24.72, 24.61, 24.44"
    )
    expect(panel.field("Elevation, m")).to_have_value("1650")
    panel.press("IP")
    panel.says(sentence(visit, "IP"))
    panel.new_picture(before)
    expect(panel.field("Dry bulb, readings, °F", return_air(panel))).to_have_value(typed)
    expect(panel.field("Elevation, ft")).to_have_value("5413")


def test_another_visit_is_brought_in(panel, changed):
    panel.load(BAKERY)
    visit = changed("bakery/after.toml")
    panel.says(sentence(visit, "SI"))
    expect(panel.field("Name of the system and its condition")).to_have_value(visit.name)
    expect(panel.field("Elevation, m")).to_have_value("240")


def test_a_file_that_is_not_there_changes_nothing(panel):
    said = panel.head.inner_text()
    panel.row("Visit file").get_by_role("textbox").fill("nowhere.toml")
    panel.press("Load", panel.row("Visit file"))
    expect(panel.message).to_contain_text("nowhere.toml")
    expect(panel.head).to_have_text(said)
    panel.is_greyed(False)


@pytest.mark.parametrize(
    ("label", "typed", "says"),
    [
        ("Dry bulb, readings, °F", "warm", "warm"),
        ("Relative humidity, readings, %", "47, 470, 47, 47, 47, 47, 47, 47", "value 2"),
        ("Dry bulb, readings, °F", "76.6, 76.4", "8"),
    ],
)
def test_what_is_wrong_is_marked_at_its_field_and_undo_mends_it(panel, label, typed, says):
    good, picture = panel.head.inner_text(), panel.content()
    panel.type(label, typed, return_air(panel))
    panel.is_greyed()
    marked = panel.root.locator(".airside-wrong")
    expect(marked).to_have_count(1)
    expect(panel.wrong).to_have_count(1)
    # The sentence stands with its field, inside the same heading.
    expect(return_air(panel).locator(".airside-wrong-text")).to_contain_text(says)
    expect(panel.head).to_contain_text("marked")
    # The last good result stays, greyed.
    assert panel.content() == picture
    panel.press("Undo")
    panel.is_greyed(False)
    expect(marked).to_have_count(0)
    expect(panel.head).to_have_text(good)


def test_undo_goes_back_step_by_step_through_units_and_a_file(panel):
    field = panel.field("Nominal capacity, ton")
    said = panel.head.inner_text()
    panel.type("Nominal capacity, ton", "7.5")
    panel.press("SI")
    expect(panel.field("Nominal capacity, kW")).to_be_visible()
    panel.load(BAKERY)
    panel.press("Undo")
    expect(panel.field("Name of the system and its condition")).to_have_value(
        "Reading room rooftop unit, before cleaning the outdoor coil"
    )
    panel.press("Undo")
    expect(field).to_have_value("7.5")
    panel.press("Undo")
    expect(field).to_have_value("5")
    expect(panel.head).to_have_text(said)


def test_what_is_saved_reads_back_as_what_was_typed(panel, folder, changed, artefacts):
    panel.type("Dry bulb, readings, °F", "77.1, 77.2, 77.0, 77.1, 77.3, 77.1, 77.0, 77.2", return_air(panel))
    panel.open_fold("For the report")
    panel.type("Measured by", "A. <b>Reader</b>")
    typed = [77.1, 77.2, 77.0, 77.1, 77.3, 77.1, 77.0, 77.2]
    visit = changed("reading_room/before.toml", {"readings.return.dry_bulb": typed, "measured_by": "A. <b>Reader</b>"})
    panel.says(sentence(visit, "IP"))
    panel.write("Visit file", "Save", "../../data/reading_room/typed.toml")
    saved = airside.load_visit(folder / "../../data/reading_room/typed.toml")
    assert sentence(saved, "IP") == sentence(visit, "IP")
    data = tomllib.loads((folder / "../../data/reading_room/typed.toml").read_text(encoding="utf-8"))
    assert data["readings"]["return"]["dry_bulb"] == typed
    assert data["measured_by"] == "A. <b>Reader</b>"
    # What has no field in the sheet came along.
    assert saved.side_by_side == visit.side_by_side
    assert saved.instruments == visit.instruments
    # A file that exists is left alone without the tick.
    panel.press("Save", panel.row("Visit file"))
    expect(panel.message).to_contain_text("replace a file that exists")
    panel.field("replace a file that exists").check()
    panel.write("Visit file", "Save", "../../data/reading_room/typed.toml")
    panel.field("replace a file that exists").uncheck()
    # And it comes back.
    panel.load(LIBRARY)
    expect(panel.field("Measured by")).to_have_value("")
    panel.load("../../data/reading_room/typed.toml")
    expect(panel.field("Measured by")).to_have_value("A. <b>Reader</b>")
    panel.says(sentence(saved, "IP"))


def test_a_name_is_heard_before_the_press_that_follows(panel, folder):
    row = panel.row("Visit file")
    for index in range(12):
        row.get_by_role("textbox").fill(f"pressed_{index}.toml")
        panel.press("Save", row)
        expect(panel.message).to_have_text(f"Saved pressed_{index}.toml.")
    assert len(list(folder.glob("pressed_*.toml"))) == 12


def test_by_the_keyboard_alone(lab, panel, changed, folder):
    # A page of its own, in which no mouse has been.
    lab.open(NOTEBOOK)
    keys, page = Keyboard(lab.page), lab.page
    keys.to_first_code_cell()
    keys.press("Shift+Enter")
    page.locator(".airside-panel").wait_for()
    keys.tab_to("Nominal capacity, ton")
    keys.replace("4")
    keys.press("Tab")
    keys.tab_to("Airflow evidence")
    # A choice opens by the space bar; "rule of thumb" is its last.
    keys.press("Space")
    keys.press("End")
    keys.press("Enter")
    keys.tab_to("Flow per nominal capacity, cfm/ton")
    keys.write("350")
    keys.press("Enter")
    evidence = {"method": "rule of thumb", "flow_per_capacity": 350, "instrument": "manometer_1"}
    changes = {"airflow": evidence, "system.nominal_capacity": 4}
    visit = changed("reading_room/before.toml", changes)
    panel.says(sentence(visit, "IP"))
    # Units, by the button that is reached.
    keys.tab_to("SI", back=True)
    keys.press("Enter")
    panel.says(sentence(changed("reading_room/before.toml", changes, "SI"), "SI"))
    keys.tab_to("Undo")
    keys.press("Space")
    panel.says(sentence(visit, "IP"))
    # A fold opens, and the visit is saved.
    keys.tab_to("Outdoor air")
    keys.press("Enter")
    keys.tab_to("Dry bulb, readings, °F")
    keys.tab_to("Visit file")
    keys.replace("by_keys.toml")
    keys.tab_to("Save")
    keys.press("Enter")
    expect(panel.message).to_have_text("Saved by_keys.toml.")
    assert sentence(airside.load_visit(folder / "by_keys.toml"), "IP") == sentence(visit, "IP")
