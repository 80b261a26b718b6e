"""What is wrong is seen: a mark at its field, in a fold that opens, or a sentence on top; the last good result stays, greyed."""

import asyncio
import shutil
from html import escape, unescape
from pathlib import Path

import pytest

import airside
from airside.errors import Problem, VisitError
from airside.show.panels import (
    AirflowEvidence,
    BeforeAfter,
    CoilPanel,
    FieldSheet,
    PlanningPanel,
    RefrigerantPanel,
    SideBySideCheck,
    airflow_evidence,
    before_after,
    coil,
    field_sheet,
    panel,
    planning,
    refrigerant,
    side_by_side,
)
from airside.show.panels.later import Later
from airside.show.panels.visit_form import VisitForm

DATA = Path(__file__).parents[2] / "data"
LIBRARY = [DATA / "reading_room" / f"{n}.toml" for n in ("before", "after")]
KINDS = [FieldSheet, AirflowEvidence, CoilPanel, RefrigerantPanel, PlanningPanel, BeforeAfter]
SUPPLY = "readings.supply.dry_bulb"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(panel.Panel, "draws", 400)
    monkeypatch.setattr(panel.Panel, "dragging_draws", 300)
    monkeypatch.setattr(PlanningPanel, "dragging_draws", 300)
    monkeypatch.setattr(before_after, "FULL", 400)
    monkeypatch.setattr(
        before_after, "compare", lambda *visits, **how: airside.compare(*visits, **{**how, "with_budget": False})
    )
    for module, chart in ((field_sheet, "visit_picture"), (coil, "panel_chart"), (before_after, "change_chart"),
                          (airflow_evidence, "airflow_chart"), (planning, "plan_chart"),
                          (refrigerant, "refrigerant_chart"), (side_by_side, "side_by_side_chart")):  # fmt: skip
        monkeypatch.setattr(module, chart, lambda *_, **__: None)
    monkeypatch.setattr(panel, "figure_bytes", lambda *_, **__: b"picture")


def made(kind, folder=None):
    files = LIBRARY if folder is None else [folder / f"{n}.toml" for n in ("before", "after")]
    return kind(*files[: len(kind.names)])


def head(found):
    return unescape(found.frame.head.value).replace("\u00a0", " ")


def marks(form):
    return {f.path: f.said for f in form.all_fields() if f.said}


def is_greyed(frame):
    return {"airside-stale" in part._dom_classes for part in (frame.figures, frame.picture)} == {True}


@pytest.mark.parametrize("kind", KINDS)
def test_a_mark_opens_its_fold_and_the_last_good_result_stays_greyed(kind):
    found = made(kind)
    good = found.frame.head.value, found.frame.figures.value, found.frame.picture.value, found.frame.assumptions.value
    for name in found.names:
        form = found.forms[name]
        fold, field = form.folds["Supply air"], form.fields[SUPPLY]
        fold.set_open(False)
        typed = field.box.value
        field.box.value = "56,6"
        assert fold.is_open and fold.button.description == "▾ Supply air" and fold.inside.layout.display != "none"
        assert set(marks(form)) == {SUPPLY} and "decimal point, not a comma" in field.said
        assert "airside-wrong" in field.box._dom_classes and field.said in unescape(field.widget.children[1].value)
        assert found.frame.is_stale and is_greyed(found.frame) and "▲" in head(found) and "mark" in head(found)
        assert (found.frame.figures.value, found.frame.picture.value, found.frame.assumptions.value) == good[1:]
        # Another change that mends nothing leaves it greyed and marked.
        form.fields["notes"].box.value = "dusty"
        assert found.frame.is_stale and is_greyed(found.frame) and set(marks(form)) == {SUPPLY}
        field.box.value = typed
        assert not found.frame.is_stale and not is_greyed(found.frame) and not marks(form)
        assert found.frame.head.value == good[0] and found.frame.figures.value == good[1]


@pytest.mark.parametrize("kind", KINDS)
def test_before_any_good_result_nothing_is_greyed(kind):
    found = kind()
    assert found.frame.is_stale and not is_greyed(found.frame) and not found.frame.has_result
    assert found.frame.picture.layout.display == "none"
    found.forms[found.names[0]].fields["name"].box.value = "Clinic"
    assert not is_greyed(found.frame) and not found.frame.figures.value


@pytest.mark.parametrize("kind", [AirflowEvidence, CoilPanel, PlanningPanel])
def test_what_is_wrong_in_a_group_that_is_not_shown_is_a_sentence_on_top(kind):
    found = made(kind)
    assert "Electric power" not in found.form.folds
    hidden = found.form.fields["readings.power.outdoor_unit"]
    hidden.take(["<b>plenty</b>"])
    assert found.frame.is_stale and is_greyed(found.frame)
    assert "readings.power.outdoor_unit" in head(found) and "<b>plenty</b>" in head(found)
    assert "<b>plenty</b>" not in found.frame.head.value and not marks(found.form)
    hidden.take([4.6] * 8)
    assert not found.frame.is_stale


def test_what_is_wrong_in_a_part_without_a_field_is_a_sentence_on_top(tmp_path):
    shutil.copytree(DATA / "reading_room", tmp_path / "unit")
    file = tmp_path / "unit" / "before.toml"
    file.write_text(file.read_text().replace("[fan]", 'performance_table = "performance.csv"\n\n[fan]'))
    found = CoilPanel(file)
    assert found.frame.is_stale and "performance.csv" in head(found) and "no such file" in head(found)
    assert not marks(found.form)
    text = (DATA / "reading_room" / "fan_table.csv").read_text()
    (tmp_path / "unit" / "performance.csv").write_text(text)
    found.refresh()
    assert found.frame.is_stale and "performance.csv" in head(found) and "no such file" not in head(found)


def test_two_wrong_fields_in_two_folds_are_both_marked_and_a_hidden_one_said():
    found = made(AirflowEvidence)
    form = found.form
    for heading in form.folds:
        form.folds[heading].set_open(False)
    form.fields[SUPPLY].box.value = "warm"
    form.fields["site.elevation"].box.value = "high"
    form.fields["readings.outdoor.dry_bulb"].take(["hot"])
    assert set(marks(form)) == {SUPPLY, "site.elevation"}
    assert form.folds["Supply air"].is_open and form.folds["Visit"].is_open and not form.folds["Return air"].is_open
    assert "readings.outdoor.dry_bulb" in head(found) and "hot" in head(found)


def test_several_wrong_values_of_one_field_are_all_said():
    sheet = made(FieldSheet)
    sheet.form.fields[SUPPLY].box.value = "56.6, warm, 56.8, cold, 56.7, 56.6, 56.5, 56.7"
    said = sheet.form.fields[SUPPLY].said
    assert "value 2: " in said and "value 4: " in said and "warm" in said and "cold" in said


def test_a_mark_in_a_visit_opens_the_fold_of_the_visit_too():
    found = made(BeforeAfter)
    for name in found.names:
        assert not found.visit_folds[name].is_open
    found.forms["after"].fields["site.elevation"].box.value = ""
    assert found.visit_folds["after"].is_open and not found.visit_folds["before"].is_open
    assert found.forms["after"].folds["Visit"].is_open and "The after visit" in head(found)
    assert "neither elevation nor barometric pressure" in found.forms["after"].fields["site.elevation"].said


def test_what_only_the_comparison_finds_is_marked_in_its_own_visit_though_both_came_from_one_file():
    found = BeforeAfter(LIBRARY[0], LIBRARY[0])
    assert not found.frame.is_stale
    found.forms["after"].evidence["fan table"][2].box.value = "9"
    assert found.frame.is_stale and "The after visit" in head(found)
    assert marks(found.forms["after"]) and not marks(found.forms["before"])


def test_a_problem_of_a_table_that_a_form_does_not_show_is_given_back():
    form = VisitForm(("Visit", "Airflow"))
    error = VisitError("x.toml", [Problem("is missing.", "readings.return"), Problem("is odd.", "site.elevation"),
                                  Problem("is of no field."), Problem("is unknown.", "loggers.first")])  # fmt: skip
    assert form.mark(error) == ["readings.return: is missing.", "is of no field.", "loggers.first: is unknown."]
    assert marks(form) == {"site.elevation": "is odd."} and form.folds["Visit"].is_open
    form.clear_marks()
    assert not marks(form)


def test_the_side_by_side_check_greys_its_last_good_result():
    found = SideBySideCheck(LIBRARY[0])
    good, field = found.frame.figures.value, found.fields["dry_bulb", 1]
    typed = field.box.value
    field.box.value = "warm"
    assert found.frame.is_stale and is_greyed(found.frame) and found.frame.figures.value == good and field.said
    field.box.value = typed
    assert not found.frame.is_stale and not is_greyed(found.frame) and not field.said


def test_a_result_outside_the_curve_is_a_warning_and_not_greyed():
    found = made(CoilPanel)
    found.airflow.box.value = 50
    assert not found.frame.is_stale and not is_greyed(found.frame) and "▲ 1 warning" in head(found)


def test_a_slider_that_asks_for_what_cannot_be_greys_the_last_good_result():
    found = made(CoilPanel)
    good = found.frame.figures.value
    found.airflow.value = 1e-9
    found.refresh()
    assert found.frame.is_stale and is_greyed(found.frame) and "too much for this flow" in head(found)
    assert found.frame.figures.value == good
    found.reset_button.click()
    assert not found.frame.is_stale and not is_greyed(found.frame) and found.frame.figures.value == good


# -- what comes from files, and what is typed, is text ---------------------------------------------

HOSTILE = "<script>alert('1')</script> & <b>x</b> $\\frac{"


@pytest.fixture
def hostile(tmp_path):
    """Two visits in which everything that is free text is hostile."""
    folder = tmp_path / "unit"
    folder.mkdir()
    shutil.copy(DATA / "reading_room" / "fan_table.csv", folder / "<i>fan.csv")
    for name, source in zip(("before", "after"), LIBRARY, strict=True):
        text = source.read_text().replace('table = "fan_table.csv"', 'table = "<i>fan.csv"')
        quoted = HOSTILE.replace("\\", "\\\\")
        text = text.replace("units = ", f'measured_by = "{quoted}"\nnotes = "{quoted}"\nwork = "{quoted}"\nunits = ', 1)
        text = text.replace(f'"{airside.load_visit(source).name}"', f'"{quoted} {name}"')
        text = text.replace('"Public library, reading room rooftop unit"', f'"{quoted}"')
        for probe in ("duct_probe_1", "duct_probe_2", "outdoor_thermometer", "manometer_1"):
            text = text.replace(f"[instruments.{probe}]", f'[instruments."{quoted} {probe}"]')
            text = text.replace(f'"{probe}"', f'"{quoted} {probe}"')
        text = text.replace('"thermostatic valve"', f'"{quoted}"')
        text = text.replace("relative_humidity = { accuracy = 2.5, resolution = 0.1 }", "")
        (folder / f"{name}.toml").write_text(text)
    return folder


def markup(found):
    """All HTML that a panel sends."""
    return "".join(w.value for w in widgets_in(found.widget) if type(w).__name__ == "HTML")


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


@pytest.mark.parametrize("kind", [*KINDS, SideBySideCheck])
def test_text_from_files_is_escaped_wherever_it_is_shown(kind, hostile, tmp_path):
    found = made(kind, hostile)
    assert not found.frame.is_stale, head(found)
    for units in ("SI", "IP"):
        found.units_choice.value = units
        text = markup(found)
        assert "<script>" not in text and "<b>x</b>" not in text and "<i>fan" not in text
    shown = unescape(found.frame.head.value + found.frame.assumptions.value + found.frame.figures.value)
    if kind in (FieldSheet, RefrigerantPanel, BeforeAfter, SideBySideCheck):
        # It is there, as text.
        assert HOSTILE in shown
    # What is wrong is escaped too: at its field, on top and under the files.
    found.forms[found.names[-1]].evidence["fan table"][0].box.value = "<i>none.csv"
    found.forms[found.names[-1]].fields["readings.outdoor.dry_bulb"].box.value = HOSTILE
    found.files.picture_name.value = str(tmp_path / "<b>x</b>.docx")
    found.files.picture_button.click()
    assert escape("<b>x</b>.docx") in found.frame.message.value
    found.files.names[found.names[0]].value = "<script>.toml"
    found.files.load_buttons[found.names[0]].click()
    assert "&lt;script&gt;.toml" in found.frame.message.value
    text = markup(found)
    assert "<script>" not in text and "<b>x</b>" not in text and "<i>none" not in text


@pytest.mark.parametrize("kind", [FieldSheet, BeforeAfter, SideBySideCheck])
def test_hostile_names_are_drawn_as_they_are(kind, hostile, tmp_path, monkeypatch):
    monkeypatch.undo()
    monkeypatch.setattr(panel.Panel, "draws", 400)
    monkeypatch.setattr(before_after, "FULL", 400)
    found = made(kind, hostile)
    svg = found.save_picture(tmp_path / "picture.svg").read_text()
    assert "<script" not in svg
    if kind is FieldSheet:
        assert HOSTILE in unescape(svg)


def test_what_the_form_keeps_is_said_escaped(monkeypatch):
    sheet = made(FieldSheet)
    # No valid file has such a key; the words are escaped all the same.
    monkeypatch.setattr(sheet.form, "_kept", {**sheet.form._kept, "system": {"<u>key</u>": 1}})
    sheet.refresh()
    assert "the system's <u>key</u>" in sheet.form.kept_words
    assert "<u>" not in sheet.files.kept.value and escape("<u>key</u>") in sheet.files.kept.value


# -- a moment later -------------------------------------------------------------------------------


def test_a_drag_gives_a_draft_at_once_and_the_full_result_once_it_is_over(monkeypatch):
    found = made(CoilPanel)
    drafts = []
    real = found.find
    monkeypatch.setattr(found, "find", lambda *, is_draft: drafts.append(is_draft) or real(is_draft=is_draft))
    found._later.pause = 0

    async def drag():
        for value in (102, 104, 106):
            found.airflow.box.value = value
        assert drafts == [True] * 3
        # Two rounds of the loop: the timer is due, and then called.
        for _ in range(3):
            await asyncio.sleep(0)

    asyncio.run(drag())
    assert drafts == [True] * 3 + [False]


def test_without_a_running_loop_the_full_result_comes_at_once():
    calls = []
    later = Later(lambda: calls.append(1), pause=100)
    later.request()
    assert calls == [1]
