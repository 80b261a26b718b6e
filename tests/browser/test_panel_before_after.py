"""Before and after in a real browser: accuracies turned by slider and box, conditions, files, marks, and the keyboard alone."""

from __future__ import annotations

import pytest

import airside
from airside.show.panels.before_after import FULL
from airside.units import show

expect = pytest.importorskip("playwright.sync_api").expect
from lab_keyboard import Keyboard  # noqa: E402

NOTEBOOK = "notebooks/workbench/before_after.ipynb"
BEFORE, AFTER = "reading_room/before.toml", "reading_room/after.toml"
AIRFLOW, WORTH = "Airflow, standard uncertainty, %", "What the readings are worth"


@pytest.fixture
def verdict(changed):
    """The sentence that the panel must show, for changes of the before and the after visit."""

    def find(before=(), after=(), units=None, **options):
        visits = changed(BEFORE, before, units), changed(AFTER, after, units)
        return airside.compare(*visits, count=FULL, with_budget=False, **options).verdict

    return find


@pytest.fixture(autouse=True)
def loaded(panel):
    """Each test begins with the library's two visits."""
    panel.load(f"../../data/{BEFORE}", "Before file")
    panel.load(f"../../data/{AFTER}", "After file")


def airflow_doubt(percents):
    return {"airflow.relative_uncertainty": percents / 100}


def test_it_opens_with_the_verdict_of_the_demo(panel, verdict, changed):
    panel.says(verdict())
    for name, file in (("Before, as measured", BEFORE), ("After, as measured", AFTER)):
        panel.shows(name, show(float(airside.analyse(changed(file)).capacity.total), "capacity", "IP"))


def test_a_slider_moves_verdict_and_picture_by_the_keys(panel, verdict):
    panel.open_fold(WORTH)
    before = panel.content()
    box = panel.field(AIRFLOW)
    expect(box).to_have_value("7")
    slider = panel.slider(AIRFLOW)
    slider.focus()
    for _ in range(6):
        slider.press("ArrowRight")
    expect(box).to_have_value("10")
    panel.says(verdict(airflow_doubt(10), airflow_doubt(10)))
    before = panel.new_picture(before)
    slider.press("ArrowLeft")
    expect(box).to_have_value("9.5")
    panel.says(verdict(airflow_doubt(9.5), airflow_doubt(9.5)))
    panel.new_picture(before)
    panel.press("As the file states")
    panel.says(verdict())


def test_a_slider_moves_by_the_mouse_and_a_drag_is_one_step_of_undo(lab, panel, verdict):
    panel.open_fold(WORTH)
    said = panel.head.inner_text()
    panel.drag(AIRFLOW, 60)
    box = panel.field(AIRFLOW)
    expect(box).not_to_have_value("7")
    moved = float(box.input_value())
    assert 8 < moved <= 25
    panel.says(verdict(airflow_doubt(moved), airflow_doubt(moved)))
    panel.press("Undo")
    expect(box).to_have_value("7")
    expect(panel.head).to_have_text(said)


def test_a_number_typed_beside_the_slider_counts(panel, verdict):
    panel.open_fold(WORTH)
    panel.type(AIRFLOW, "3")
    panel.says(verdict(airflow_doubt(3), airflow_doubt(3)))


def test_both_are_brought_to_other_conditions(panel, verdict):
    panel.field("Both brought to").select_option("rating condition A, 95 °F outdoors")
    panel.says(verdict(reference="A"))
    panel.field("to one airflow too").check()
    panel.says(verdict(reference="A", same_flow=True))
    panel.press("SI")
    panel.says(verdict(units="SI", reference="A", same_flow=True))


def test_a_wrong_reading_is_marked_in_its_own_visit(panel):
    after = panel.open_fold("Readings, after")
    supply = panel.open_fold("Supply air", after)
    good, picture = panel.head.inner_text(), panel.content()
    panel.type("Dry bulb, readings, °F", "54.8, cold", supply)
    panel.is_greyed()
    expect(panel.head).to_contain_text("The after visit")
    expect(supply.locator(".airside-wrong-text")).to_contain_text("cold")
    expect(panel.wrong).to_have_count(1)
    assert panel.content() == picture
    panel.press("Undo")
    panel.is_greyed(False)
    expect(panel.head).to_have_text(good)


def test_what_was_turned_is_saved_and_compares_alike(panel, folder, verdict):
    panel.open_fold(WORTH)
    panel.type(AIRFLOW, "9")
    said = verdict(airflow_doubt(9), airflow_doubt(9))
    panel.says(said)
    names = {"Before file": "turned_before.toml", "After file": "turned_after.toml"}
    for words, name in names.items():
        panel.write(words, "Save", f"../../data/reading_room/{name}")
    saved = [airside.load_visit(folder / "../../data/reading_room" / name) for name in names.values()]
    assert [v.airflow.relative_uncertainty for v in saved] == [0.09, 0.09]
    assert airside.compare(*saved, count=FULL, with_budget=False).verdict == said
    panel.write("Report", "Write report", "turned.html")
    assert said.replace(" %", "") in (folder / "turned.html").read_text(encoding="utf-8").replace(
        "\u00a0%", ""
    ).replace(" %", "")


def test_by_the_keyboard_alone(lab, panel, verdict, folder):
    # A page of its own, in which no mouse has been.
    lab.open(NOTEBOOK)
    keys = Keyboard(lab.page)
    keys.to_first_code_cell()
    keys.press("Shift+Enter")
    panel.says(verdict())
    keys.tab_to("What the readings are worth")
    keys.press("Enter")
    expect(panel.field(AIRFLOW)).to_be_visible()
    keys.tab_to(AIRFLOW)
    keys.replace("4")
    keys.press("Enter")
    panel.says(verdict(airflow_doubt(4), airflow_doubt(4)))
    # The slider is the next stop.
    keys.press("Tab")
    keys.press("ArrowRight", times=2)
    panel.says(verdict(airflow_doubt(5), airflow_doubt(5)))
    keys.tab_to("Readings, before")
    keys.press("Space")
    keys.tab_to("Supply air")
    keys.press("Enter")
    keys.tab_to("Dry bulb, readings, °F")
    typed = [58.6, 58.6, 58.8, 58.7, 58.7, 58.6, 58.5, 58.7]
    keys.replace(", ".join(map(str, typed)))
    keys.press("Enter")
    changes = {"readings.supply.dry_bulb": typed, **airflow_doubt(5)}
    panel.says(verdict(changes, airflow_doubt(5)))
    keys.tab_to("Report")
    keys.write("by_keys.html")
    keys.tab_to("Write report")
    keys.press("Enter")
    expect(panel.message).to_have_text("Saved by_keys.html.", timeout=30_000)
    assert (folder / "by_keys.html").stat().st_size > 10_000
