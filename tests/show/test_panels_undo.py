"""Undo: one step for each change, whatever it was, and everything is as it was before."""

import shutil
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import pytest

import airside
from airside.show.panels import (
    AirflowEvidence,
    BeforeAfter,
    CoilPanel,
    FieldSheet,
    PlanningPanel,
    SideBySideCheck,
    airflow_evidence,
    before_after,
    coil,
    field_sheet,
    history,
    panel,
    planning,
    side_by_side,
)

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = ([DATA / folder / f"{n}.toml" for n in ("before", "after")] for folder in ("reading_room", "bakery"))
RETURN, SUPPLY = "readings.return.dry_bulb", "readings.supply.dry_bulb"


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    """Few draws, no pictures, and a clock that stands still until it is moved."""
    monkeypatch.setattr(panel.Panel, "draws", 400)
    monkeypatch.setattr(panel.Panel, "dragging_draws", 300)
    monkeypatch.setattr(before_after, "FULL", 400)
    monkeypatch.setattr(
        before_after, "compare", lambda *visits, **how: airside.compare(*visits, **{**how, "with_budget": False})
    )
    for module, chart in ((field_sheet, "visit_picture"), (coil, "panel_chart"), (before_after, "change_chart"),
                          (airflow_evidence, "airflow_chart"), (planning, "plan_chart"),
                          (side_by_side, "side_by_side_chart")):  # fmt: skip
        monkeypatch.setattr(module, chart, lambda *_, **__: None)
    monkeypatch.setattr(panel, "figure_bytes", lambda *_, **__: b"picture")
    monkeypatch.setattr(planning, "plan", planned)
    now = SimpleNamespace(at=100.0)
    monkeypatch.setattr(history, "time", SimpleNamespace(monotonic=lambda: now.at))
    return now


def planned(visit, **_):
    """Something that is another for every visit, and quicker than a plan."""
    return SimpleNamespace(smallest_detectable_ratio=0.1, options=(), largest=(), sentence=repr(visit.readings))


def boxes(found):
    """What every input holds."""
    fields = [f for form in found.forms.values() for f in form.all_fields()]
    return [f.box.value for f in fields] + [s.box.value for s in found.settings.values()] + [found.units]


def seen(found):
    """Everything that the user sees, but for the files' names; where the input is wrong, no figures of another one."""
    frame = found.frame
    marks = [f.said for form in found.forms.values() for f in form.all_fields()]
    figures = None if frame.is_stale else frame.figures.value
    return boxes(found), frame.head.value, figures, frame.is_stale, found.files.kept.value, marks


def undo(found):
    assert not found.undo_button.disabled
    found.undo_button.click()


MAKERS = {
    "field sheet": lambda: FieldSheet(LIBRARY[0]),
    "airflow evidence": lambda: AirflowEvidence(BAKERY[0]),
    "coil": lambda: CoilPanel(BAKERY[0]),
    "planning": lambda: PlanningPanel(BAKERY[0]),
    "before and after": lambda: BeforeAfter(*LIBRARY),
    "side by side": lambda: SideBySideCheck(LIBRARY[1]),
}


@pytest.mark.parametrize("name", MAKERS)
def test_a_panel_begins_with_nothing_to_undo(name):
    found = MAKERS[name]()
    before = seen(found)
    assert found.undo_button.disabled
    found.undo()
    assert seen(found) == before and found.undo_button.disabled


@pytest.mark.parametrize("name", MAKERS)
def test_every_kind_of_change_is_a_step_of_its_own(name, tmp_path):
    found = MAKERS[name]()
    form = found.forms[found.names[-1]]
    other = "SI" if found.units == "IP" else "IP"
    changes = [
        lambda: setattr(form.fields[RETURN].box, "value", form.fields[RETURN].box.value.split(",")[0]),
        lambda: setattr(form.fields["readings.return.humidity_value"].box, "value", "51.5"),
        lambda: setattr(found.units_choice, "value", other),
        lambda: setattr(form.fields["name"].box, "value", "Another name"),
        lambda: setattr(form.method.box, "value", "rule of thumb"),
        lambda: setattr(form.evidence["rule of thumb"][0].box, "value", "380 cfm/ton"),
        lambda: setattr(form.fields["fan.position"].box, "value", "outside probes"),
        lambda: found.load(BAKERY[1], found.names[-1]),
        lambda: found.load(LIBRARY[1], found.names[0]),
        found.files.new_button.click,
    ]
    for setting in found.settings.values():
        if type(setting).__name__ == "SliderField":
            changes.insert(3, lambda s=setting: setattr(s.slider, "value", round(s.slider.min + 5 * s.slider.step, 2)))
    views = [seen(found)]
    for change in changes:
        change()
        views.append(seen(found))
    assert all(one != two for one, two in pairwise(views))
    for number, view in reversed(list(enumerate(views[:-1]))):
        undo(found)
        assert seen(found) == view, (name, number)
    assert found.undo_button.disabled


def test_what_is_wrong_goes_with_the_change_that_made_it():
    sheet = FieldSheet(LIBRARY[0])
    before = seen(sheet)
    sheet.form.fields[RETURN].box.value = "76,5"
    assert sheet.frame.is_stale and "airside-stale" in sheet.frame.figures._dom_classes
    undo(sheet)
    assert seen(sheet) == before and "airside-stale" not in sheet.frame.figures._dom_classes
    assert not any(f.said for f in sheet.form.all_fields()) and sheet.undo_button.disabled


def test_units_are_switched_back_and_every_letter_is_as_it_was():
    sheet = FieldSheet(LIBRARY[0])
    typed = "76.60;76.4, 24.7 degC ; 76.20,76.40\n076.5,+76.3, 7.63e1"
    sheet.form.fields[RETURN].box.value = typed
    before, stored = seen(sheet), sheet.form.fields[RETURN].box.value
    sheet.units_choice.value = "SI"
    assert "°C" in sheet.form.fields[RETURN].caption
    undo(sheet)
    assert sheet.units == "IP" and "°F" in sheet.form.fields[RETURN].caption
    assert seen(sheet) == before and sheet.form.fields[RETURN].box.value == stored
    # And the switch can be made again, there and back.
    sheet.units_choice.value = "SI"
    sheet.units_choice.value = "IP"
    assert seen(sheet) == before


def test_a_value_typed_in_the_other_units_is_taken_back_to_the_exact_number():
    sheet = FieldSheet(LIBRARY[0])
    total = float(sheet.result.capacity.total)
    sheet.units_choice.value = "SI"
    there = float(sheet.result.capacity.total)
    sheet.form.fields[SUPPLY].box.value = ", ".join(["10.0"] * 8)
    undo(sheet)
    assert float(sheet.result.capacity.total) == there
    sheet.units_choice.value = "IP"
    assert float(sheet.result.capacity.total) == total


def test_loading_is_taken_back_with_the_folder_of_the_tables(tmp_path):
    shutil.copytree(DATA / "reading_room", tmp_path / "unit")
    sheet = FieldSheet(tmp_path / "unit" / "before.toml")
    before = seen(sheet)
    sheet.load(BAKERY[0])
    assert sheet.units == "SI" and sheet.form.folder == BAKERY[0].parent
    undo(sheet)
    assert seen(sheet) == before and not sheet.frame.is_stale
    assert sheet.form.folder == tmp_path / "unit" and sheet.form.file == tmp_path / "unit" / "before.toml"


def test_a_file_that_is_refused_is_no_step():
    sheet = FieldSheet(LIBRARY[0])
    before = seen(sheet)
    sheet.files.names["visit"].value = "nowhere.toml"
    sheet.files.load_buttons["visit"].click()
    assert "no such file" in sheet.frame.message.value
    assert sheet.undo_button.disabled and seen(sheet) == before


def test_the_theme_and_names_of_files_are_no_steps():
    sheet = FieldSheet(LIBRARY[0])
    sheet.theme_choice.value = "dark" if sheet.theme == "light" else "light"
    sheet.files.picture_name.value = "x.svg"
    assert sheet.undo_button.disabled


def test_as_many_steps_are_kept_as_are_said(monkeypatch):
    monkeypatch.setattr(history, "MOST_STEPS", 3)
    sheet = FieldSheet()
    for number in range(6):
        sheet.form.fields["name"].box.value = f"name {number}"
    steps = 0
    while not sheet.undo_button.disabled:
        undo(sheet)
        steps += 1
    assert steps == 3 and sheet.form.fields["name"].box.value == f"name {5 - steps}"


# -- drags ----------------------------------------------------------------------------------------


def drag(found, clock, values, pause=0.1):
    for value in values:
        clock.at += pause
        found.box.value = value


def test_a_drag_is_one_step(clock):
    found = CoilPanel(BAKERY[0])
    before = seen(found)
    drag(found.airflow, clock, [102, 105, 111, 118, 124])
    assert found.airflow.value == pytest.approx(1.24)
    undo(found)
    assert seen(found) == before and found.airflow.value == 1.0 and found.undo_button.disabled


def test_a_drag_may_take_longer_than_a_second_in_all(clock):
    found = CoilPanel(BAKERY[0])
    drag(found.airflow, clock, range(101, 131), pause=0.4)
    undo(found)
    assert found.airflow.value == 1.0 and found.undo_button.disabled


def test_a_pause_begins_a_new_step(clock):
    found = CoilPanel(BAKERY[0])
    drag(found.airflow, clock, [105, 110])
    clock.at += 1.5
    drag(found.airflow, clock, [115, 120])
    undo(found)
    assert found.airflow.value == pytest.approx(1.10)
    undo(found)
    assert found.airflow.value == 1.0 and found.undo_button.disabled


def test_another_slider_or_field_begins_a_new_step(clock):
    found = CoilPanel(BAKERY[0])
    drag(found.airflow, clock, [105, 110])
    drag(found.outdoor, clock, [34.0, 36.0])
    drag(found.airflow, clock, [115, 120])
    found.form.fields["name"].box.value = "Another"
    drag(found.airflow, clock, [125, 130])
    stood = []
    while not found.undo_button.disabled:
        undo(found)
        stood.append((round(100 * found.airflow.value), round(found.outdoor.value, 1)))
    measured = round(found.outdoor.value, 1)
    assert stood == [(120, 36.0), (120, 36.0), (110, 36.0), (110, measured), (100, measured)]


def test_a_step_after_an_undo_is_a_new_one(clock):
    found = CoilPanel(BAKERY[0])
    drag(found.airflow, clock, [105])
    undo(found)
    drag(found.airflow, clock, [107])
    assert found.airflow.value == pytest.approx(1.07)
    undo(found)
    assert found.airflow.value == 1.0 and found.undo_button.disabled


def test_typed_words_within_a_second_are_steps_of_their_own(clock):
    sheet = FieldSheet()
    for text in ("one", "two"):
        sheet.form.fields["name"].box.value = text
    undo(sheet)
    assert sheet.form.fields["name"].box.value == "one"


# -- what follows from a change belongs to it ------------------------------------------------------


def test_sliders_that_followed_a_reading_stand_at_it_when_a_later_drag_is_taken_back(clock):
    found = CoilPanel(BAKERY[0])
    found.form.fields[RETURN].box.value = "27.0, 27.1, 27.0, 27.1, 27.0"
    followed = found.return_dry_bulb.value
    assert followed == pytest.approx(27.04) and found.is_as_measured
    after_typing = seen(found)
    clock.at += 5
    drag(found.airflow, clock, [105, 110])
    undo(found)
    assert seen(found) == after_typing and found.return_dry_bulb.value == followed and found.is_as_measured
    undo(found)
    assert found.return_dry_bulb.value == pytest.approx(25.44) and found.is_as_measured and found.undo_button.disabled


def test_a_turned_slider_stays_turned_through_empty_and_undo(clock):
    found = CoilPanel(BAKERY[0])
    drag(found.airflow, clock, [120])
    before = seen(found)
    found.files.new_button.click()
    undo(found)
    assert seen(found) == before and found.airflow.value == pytest.approx(1.2)


def test_unmoved_accuracies_are_unmoved_again_when_another_visit_is_taken_back(clock):
    found = BeforeAfter(*LIBRARY)
    before = seen(found)
    found.load(BAKERY[0], "before")
    assert found.accuracy.dry_bulb.value == pytest.approx(0.4)
    undo(found)
    assert found.accuracy.dry_bulb.value == pytest.approx(0.5)
    assert not any(found.accuracy.is_moved(key) for key in found.accuracy.settings)
    assert seen(found) == before
    assert found.visit("before").airflow.relative_uncertainty is None


@pytest.mark.parametrize("kind", [BeforeAfter, PlanningPanel])
def test_an_accuracy_turned_to_what_the_other_visit_states_is_turned_again_when_that_is_taken_back(kind):
    found = kind(*LIBRARY[: len(kind.names)])
    # The library states 0.5 K, the bakery 0.4 K.
    found.set_units("SI")
    found.accuracy.dry_bulb.box.value = 0.4
    before = seen(found)
    found.load(BAKERY[0])
    assert not found.accuracy.is_moved("dry_bulb")
    undo(found)
    assert found.accuracy.is_moved("dry_bulb") and found.accuracy.dry_bulb.value == 0.4 and seen(found) == before


def test_the_button_that_brings_the_accuracies_back_is_one_step(clock):
    found = PlanningPanel(BAKERY[0])
    drag(found.accuracy.dry_bulb, clock, [0.6, 0.8])
    drag(found.accuracy.airflow, clock, [9.0])
    before = seen(found)
    found.accuracy.button.click()
    assert not found.accuracy.is_moved("dry_bulb") and not found.accuracy.is_moved("airflow")
    undo(found)
    assert seen(found) == before
    assert found.accuracy.is_moved("dry_bulb") and found.accuracy.is_moved("airflow")


def test_reference_and_tick_are_taken_back():
    found = BeforeAfter(*LIBRARY)
    before = seen(found)
    found.reference.box.value = "B"
    found.same_flow.box.value = True
    undo(found)
    assert (found.reference.value(), found.same_flow.value()) == ("B", False)
    undo(found)
    assert seen(found) == before


def test_a_button_right_after_a_drag_is_a_step_of_its_own(clock):
    found = CoilPanel(BAKERY[0])
    drag(found.airflow, clock, [105, 110])
    turned = seen(found)
    clock.at += 0.1
    found.reset()
    assert found.is_as_measured
    undo(found)
    assert seen(found) == turned and found.airflow.value == pytest.approx(1.1)
    undo(found)
    assert found.is_as_measured and found.undo_button.disabled
