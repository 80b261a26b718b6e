"""What holds for every panel in a real browser: names, room, contrast, units, export, Empty and Undo; pictures are kept."""

from __future__ import annotations

from pathlib import Path

import pytest

import airside

expect = pytest.importorskip("playwright.sync_api").expect
from page_checks import cut, faint, inputs, overlaps  # noqa: E402

LIBRARY = ("reading_room/before.toml", "reading_room/after.toml")
BAKERY = ("bakery/before.toml",)
CLINIC = ("clinic/before.toml", "clinic/after.toml")
# The demo visits that each panel begins with, from `data`, and the labels of their file names.
VISITS = {
    "field_sheet": {"Visit file": LIBRARY[0]},
    "airflow_evidence": {"Visit file": BAKERY[0]},
    "side_by_side": {"Visit file": LIBRARY[1]},
    "before_after": {"Before file": LIBRARY[0], "After file": LIBRARY[1]},
    "coil_performance": {"Visit file": BAKERY[0]},
    "refrigerant_side": {"Visit file": LIBRARY[0]},
    "planning_a_visit": {"Visit file": BAKERY[0]},
    "logged_data": {"Visit file": CLINIC[0]},
    "long_run": {"Before file": CLINIC[0], "After file": CLINIC[1]},
}
NOTEBOOKS = {name: f"notebooks/workbench/{name}.ipynb" for name in VISITS}
NARROW = {"width": 900, "height": 1000}

pytestmark = pytest.mark.parametrize("notebook", NOTEBOOKS.values(), ids=NOTEBOOKS.keys())


@pytest.fixture(autouse=True)
def files(panel, notebook):
    """Each test begins with the demo's visits; gives their names by the labels of their boxes."""
    files = VISITS[Path(notebook).stem]
    for words, file in files.items():
        panel.load(f"../../data/{file}", words)
    return files


def unfold(panel):
    """Open every fold, those inside others too."""
    folded = panel.root.locator("button", has_text="▸")
    while folded.count():
        folded.evaluate_all("all => all.forEach(button => button.click())")
        panel.settle()


def values(panel):
    """What every box holds."""
    return panel.left.locator("input, textarea, select").evaluate_all(
        "all => all.map(e => e.type === 'checkbox' ? e.checked : e.value)"
    )


def test_light_and_dark_in_both_units(lab, panel, artefacts, notebook):
    # The first test of each panel: it is seen as it opens.
    seen = {}
    for theme in ("dark", "light"):
        lab.choose_theme(theme)
        panel.press(theme)
        for units in ("SI", "IP"):
            panel.press(units)
            panel.is_greyed(False)
            assert faint(panel.root) == []
            seen[theme, units] = panel.content()
            lab.picture(artefacts / "panels" / f"{Path(notebook).stem}-{units}-{theme}.png", panel.root)
    for units in ("SI", "IP"):
        assert seen["dark", units] != seen["light", units]
    # A plan's picture holds percents alone.
    if "planning" not in notebook:
        assert seen["light", "SI"] != seen["light", "IP"]


def test_every_input_has_a_name_and_a_tooltip(panel):
    unfold(panel)
    found = inputs(panel.root)
    assert len(found) >= 20
    assert [i for i in found if len(i["name"]) < 2] == []
    # A tick has its words beside it.
    assert [i for i in found if not i["tooltip"] and i["kind"] != "checkbox"] == []


def test_at_900_px_all_is_in_its_place(lab, panel, artefacts, notebook):
    lab.page.set_viewport_size(NARROW)
    for state in ("folded", "unfolded"):
        if state == "unfolded":
            unfold(panel)
        # Inputs and result stand side by side.
        panel.root.evaluate("root => root.scrollIntoView()")
        left, right = panel.left.bounding_box(), panel.right.bounding_box()
        assert left["x"] + left["width"] <= right["x"] + 1
        # The result stays in sight beside long inputs.
        assert left["y"] - 1 <= right["y"] <= left["y"] + left["height"]
        assert right["width"] >= 360
        assert cut(panel.root) == []
        assert overlaps(panel.root) == []
        lab.picture(artefacts / "panels" / f"{Path(notebook).stem}-900px-{state}.png", panel.root)


def test_units_there_and_back_lose_nothing(panel, changed, files, notebook):
    own = changed(next(iter(files.values()))).units
    other = {"IP": "SI", "SI": "IP"}[own]
    unfold(panel)
    before, said = values(panel), panel.head.inner_text()
    panel.press(other)
    # Of logged data, minutes and numbers of stretches are all that is typed; of long periods, nothing that has a unit.
    if "logged" in notebook:
        expect(panel.head).not_to_have_text(said, use_inner_text=True)
    elif "long_run" in notebook:
        expect(panel.right).to_contain_text(" °F" if other == "IP" else " °C")
    else:
        assert values(panel) != before
    panel.press(own)
    expect(panel.head).to_have_text(said, use_inner_text=True)
    assert values(panel) == before


def test_pictures_and_reports_are_written(panel, folder, notebook, changed, files):
    stem = Path(notebook).stem
    for ending, begins in (("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF-")):
        panel.write("Picture", "Save picture", f"{stem}.{ending}")
        assert (folder / f"{stem}.{ending}").read_bytes().startswith(begins)
    panel.write("Report", "Write report", f"{stem}.html")
    report = (folder / f"{stem}.html").read_text(encoding="utf-8")
    assert report.lower().startswith("<!doctype html>")
    for file in files.values():
        assert changed(file).name in report
    # A name with another ending is not written.
    row = panel.row("Report")
    row.get_by_role("textbox").fill("report.docx")
    panel.press("Write report", row)
    expect(panel.message).to_contain_text("expected .html")
    assert not (folder / "report.docx").exists()


def test_a_visit_that_is_saved_reads_back(panel, folder, notebook, changed, files):
    for words, file in files.items():
        name = f"{Path(notebook).stem}-{Path(file).name}"
        panel.write(words, "Save", name)
        saved, loaded = airside.load_visit(folder / name), changed(file)
        for part in ("name", "readings", "instruments", "side_by_side", "site", "system", "fan", "units"):
            assert getattr(saved, part) == getattr(loaded, part), part


def test_empty_asks_for_readings_and_undo_brings_them_back(panel):
    before, said = values(panel), panel.head.inner_text()
    panel.press("Empty")
    expect(panel.image).to_be_hidden()
    expect(panel.figures).to_have_text("")
    expect(panel.head).not_to_have_text(said, use_inner_text=True)
    panel.press("Undo")
    panel.is_greyed(False)
    expect(panel.head).to_have_text(said, use_inner_text=True)
    expect(panel.image).to_be_visible()
    assert values(panel) == before


def test_keys_of_the_lab_do_not_take_the_panel_away(lab, panel):
    # With a button in focus the lab hears the keys: pressed twice, this one deletes a cell that may be deleted.
    panel.button("Empty").focus()
    for _ in range(2):
        lab.page.keyboard.press("d")
    panel.settle()
    expect(panel.root).to_be_visible()
