"""The before-and-after panel: the verdict of the library, sliders that start where the files are, exports that read back."""

import shutil
from html import unescape
from pathlib import Path

import pytest

import airside
from airside.errors import OutputError, VisitError
from airside.show.panels import BeforeAfter, FieldSheet, before_after
from airside.show.panels import panel as panel_base
from airside.show.panels.later import Later
from airside.units import show

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = ([DATA / folder / f"{n}.toml" for n in ("before", "after")] for folder in ("reading_room", "bakery"))
DRAWS = 2000
STALE = "airside-stale"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    # More draws than while dragging, and few enough to be quick; pictures are looked at in test_panels_form.py.
    monkeypatch.setattr(before_after, "FULL", DRAWS)
    # The draft of a drag is as good as the full result, which is not waited for: see test_panels_marks.py for that.
    monkeypatch.setattr(BeforeAfter, "dragging_draws", DRAWS)
    monkeypatch.setattr(Later, "request", lambda _: None)
    monkeypatch.setattr(before_after, "change_chart", lambda change, **_: change)
    monkeypatch.setattr(panel_base, "figure_bytes", lambda change, form, **_: f"picture {form}".encode())
    # The budget takes most of the time and changes no verdict.
    monkeypatch.setattr(
        before_after, "compare", lambda *visits, **how: airside.compare(*visits, **{**how, "with_budget": False})
    )


@pytest.fixture
def with_budget(quick, monkeypatch):
    monkeypatch.setattr(before_after, "compare", airside.compare)


def head(panel):
    return unescape(panel.frame.head.value).replace("\u00a0", " ")


def compared(before, after, **options):
    options.setdefault("with_budget", False)
    return airside.compare(airside.load_visit(before), airside.load_visit(after), count=DRAWS, **options)


def marked(panel, name):
    return {f.path: f.said for f in panel.forms[name].all_fields() if f.said}


def changed(folder, name, source, *pairs):
    """A demo visit with texts changed, in a folder with its fan table."""
    folder.mkdir(exist_ok=True)
    text = source.read_text()
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    if (source.parent / "fan_table.csv").exists():
        shutil.copy(source.parent / "fan_table.csv", folder)
    (folder / f"{name}.toml").write_text(text)
    return folder / f"{name}.toml"


def without_instruments(folder, name, source):
    text = source.read_text()
    text = text[: text.index("[instruments.")] + text[text.index("[readings.return]") :]
    lines = [line for line in text.splitlines() if not line.startswith(("instrument =", "line_instrument ="))]
    folder.mkdir(exist_ok=True)
    (folder / f"{name}.toml").write_text("\n".join(lines))
    return folder / f"{name}.toml"


STARTED = {}


def made(files):
    """A panel on a pair of demo visits, as it starts: made once, since most of a test's time would go into making it."""
    key = files[0]
    if key not in STARTED:
        panel = BeforeAfter(*files)
        STARTED[key] = panel, panel.snapshot()
    panel, start = STARTED[key]
    panel.frame.clear()
    panel.shown, panel.files.replace.value = None, False
    panel.files.picture_name.value = panel.files.report_name.value = ""
    panel.restore(start)
    panel.refresh()
    return panel


def fold_button(panel, heading):
    """The button of a fold, by its heading."""
    found = [w for w in widgets_in(panel.widget) if getattr(w, "description", "")[2:] == heading]
    assert len(found) == 1
    return found[0]


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


def load(panel, name, file):
    panel.files.names[name].value = str(file)
    panel.files.load_buttons[name].click()


def save(panel, name, file):
    panel.files.names[name].value = str(file)
    panel.files.save_buttons[name].click()


def save_both(panel, folder):
    folder.mkdir(parents=True, exist_ok=True)
    return [panel.save(folder / f"{name}.toml", name) for name in ("before", "after")]


def width(panel):
    low, high = panel.change.ratios[panel.change.basis].interval_95
    return high - low


# -- the verdict ----------------------------------------------------------------------------------


@pytest.mark.parametrize("files", [LIBRARY, BAKERY])
def test_verdict_and_figures_are_the_librarys(files, with_budget):
    panel, found = made(files), compared(*files, with_budget=True)
    assert found.verdict in head(panel)
    units = airside.load_visit(files[0]).units
    figures = unescape(panel.frame.figures.value)
    for visit in (found.before, found.after):
        assert f"<b>{show(visit.estimate('total').value, 'capacity', units)}</b>" in figures
    assert f"<b>{found.probability_of_increase * 100:.1f} %</b>" in figures
    assert f"<b>{found.smallest_detectable_ratio * 100:.1f} %</b>" in figures
    assert found.improve[0] in figures
    assert found.cancelled in unescape(panel.frame.assumptions.value)


@pytest.mark.parametrize("reference", ["before", "after", "A", "B"])
def test_reference_and_same_flow(reference):
    panel = made(LIBRARY)
    panel.reference.box.value = reference
    for same_flow in (False, True):
        panel.same_flow.box.value = same_flow
        found = compared(*LIBRARY, reference=reference, same_flow=same_flow)
        assert found.verdict in head(panel)


def test_units_there_and_back_keep_every_letter_and_the_verdict():
    panel = made(LIBRARY)
    boxes = [f.box.value for form in panel.forms.values() for f in form.all_fields()]
    said, figures = head(panel), panel.frame.figures.value
    panel.units_choice.value = "SI"
    assert "kW" in panel.frame.figures.value and "Btu" not in panel.frame.figures.value
    assert head(panel).split(", 95")[0] == said.split(", 95")[0]
    panel.units_choice.value = "IP"
    assert [f.box.value for form in panel.forms.values() for f in form.all_fields()] == boxes
    assert (head(panel), panel.frame.figures.value) == (said, figures)


def test_visits_of_two_unit_systems_are_shown_in_that_of_the_before_visit(tmp_path):
    sheet = FieldSheet(LIBRARY[1])
    sheet.units_choice.value = "SI"
    sheet.save(tmp_path / "after.toml")
    panel, other = BeforeAfter(LIBRARY[0], tmp_path / "after.toml"), made(LIBRARY)
    assert panel.units == "IP" and {form.units for form in panel.forms.values()} == {"IP"}
    one, two = (p.change.after.estimate("total").value for p in (panel, other))
    assert one == pytest.approx(two, rel=1e-8)
    assert show(two, "capacity", "IP") in panel.frame.figures.value


def test_readings_are_typed_under_the_fold():
    panel = made(BAKERY)
    before = float(panel.change.after.estimate("total").value)
    panel.forms["after"].fields["readings.supply.dry_bulb"].box.value = "14.1, 14.2, 14.2, 14.1, 14.1"
    assert float(panel.change.after.estimate("total").value) > before


def test_an_empty_panel_asks_for_both():
    panel = BeforeAfter()
    assert "before and the after visit" in head(panel) and panel.change is None
    half = BeforeAfter(LIBRARY[0])
    assert "Type the after visit on the left, or load its file below." in head(half)


# -- what the readings are worth ------------------------------------------------------------------


def test_sliders_start_at_the_files_values_and_change_nothing_until_moved():
    panel = made(LIBRARY)
    worth, said, figures = panel.accuracy, head(panel), panel.frame.figures.value
    button = fold_button(panel, "What the readings are worth")
    assert button.description.startswith("▸")
    button.click()
    assert button.description.startswith("▾")
    # 0.9 °F, 2.5 %, and the default of a fan table.
    assert worth.dry_bulb.value == pytest.approx(0.5) and worth.humidity.value == pytest.approx(0.025)
    assert worth.airflow.value == pytest.approx(0.07)
    assert (worth.dry_bulb.box.value, worth.humidity.box.value, worth.airflow.box.value) == (0.9, 2.5, 7.0)
    assert worth.dry_bulb.caption == "Dry-bulb accuracy (±), °F"
    assert (head(panel), panel.frame.figures.value) == (said, figures)
    panel.units_choice.value = "SI"
    assert worth.dry_bulb.caption == "Dry-bulb accuracy (±), K" and worth.dry_bulb.box.value == 0.5
    assert not any(worth.is_moved(key) for key in worth.settings)
    panel.units_choice.value = "IP"
    assert (head(panel), panel.frame.figures.value) == (said, figures)
    bakery = made(BAKERY).accuracy
    assert (bakery.dry_bulb.box.value, bakery.humidity.box.value, bakery.airflow.box.value) == (0.4, 2.0, 5.0)


def test_sliders_follow_what_is_typed_until_they_are_moved():
    panel = made(LIBRARY)
    form, worth = panel.forms["before"], panel.accuracy
    form.uncertainty.box.value = "0.12"
    assert worth.airflow.value == pytest.approx(0.12) and not worth.is_moved("airflow")
    worth.airflow.box.value = 9.0
    form.uncertainty.box.value = "0.11"
    assert worth.airflow.box.value == 9.0
    assert panel.visit("before").airflow.relative_uncertainty == pytest.approx(0.09)
    worth.button.click()
    assert worth.airflow.box.value == 11.0 and panel.visit("before").airflow.relative_uncertainty == 0.11


@pytest.mark.parametrize("instruments", ["named", "without"])
@pytest.mark.parametrize(("slider", "better", "worse"), [("dry_bulb", 0.1, 1.5), ("humidity", 0.5, 6.0),
                                                         ("airflow", 1.0, 20.0)])  # fmt: skip
def test_sliders_have_an_effect(instruments, slider, better, worse, tmp_path):
    files = BAKERY
    if instruments == "without":
        files = [without_instruments(tmp_path, n, f) for n, f in zip(("before", "after"), BAKERY, strict=True)]
    panel = BeforeAfter(*files)
    stated = width(panel)
    setting = panel.accuracy.settings[slider]
    start = setting.value
    setting.box.value = better
    narrow = width(panel)
    setting.box.value = worse
    wide = width(panel)
    assert narrow < stated * 1.02 and wide > stated and wide > 1.03 * narrow
    panel.accuracy.button.click()
    assert setting.value == start and width(panel) == stated


@pytest.mark.parametrize("instruments", ["named", "without"])
def test_the_part_that_is_new_with_each_visit(instruments, tmp_path):
    files = BAKERY
    if instruments == "without":
        files = [without_instruments(tmp_path, n, f) for n, f in zip(("before", "after"), BAKERY, strict=True)]
    panel = BeforeAfter(*files)
    panel.accuracy.dry_bulb.box.value = 1.5
    panel.accuracy.new_share.box.value = 0.0
    common = width(panel)
    panel.accuracy.new_share.box.value = 1.0
    assert width(panel) > 1.1 * common


def test_moving_one_slider_leaves_the_other_statements():
    panel = made(LIBRARY)
    panel.accuracy.humidity.box.value = 4.0
    visit = panel.visit("before")
    probe = visit.instruments["duct_probe_1"]
    assert probe.relative_humidity.accuracy == pytest.approx(0.04)
    assert probe.relative_humidity.resolution == pytest.approx(0.001)
    assert probe.dry_bulb == airside.load_visit(LIBRARY[0]).instruments["duct_probe_1"].dry_bulb
    assert probe.relative_humidity.new_each_visit is None and visit.airflow.relative_uncertainty is None


def test_a_new_before_visit_starts_the_sliders_anew():
    panel = made(LIBRARY)
    panel.accuracy.dry_bulb.box.value = 1.2
    load(panel, "before", BAKERY[0])
    assert panel.accuracy.dry_bulb.value == pytest.approx(0.4) and not panel.accuracy.is_moved("dry_bulb")
    assert head(BeforeAfter(BAKERY[0], LIBRARY[1])) == head(panel)
    # Another after visit leaves them where they are.
    panel.accuracy.dry_bulb.box.value = 1.2
    load(panel, "after", BAKERY[1])
    assert panel.accuracy.dry_bulb.value == pytest.approx(1.2)


def test_a_rule_of_thumb_stays_as_doubtful_as_it_is(tmp_path):
    pair = ('method = "fan table"\ntable = "fan_table.csv"\nspeed = "high"\nexternal_static_pressure = ',
            'method = "rule of thumb"\nflow_per_capacity = 400\n# ')  # fmt: skip
    file = changed(tmp_path, "before", LIBRARY[0], pair, ('instrument = "manometer_1"\n', ""))
    panel = BeforeAfter(file, LIBRARY[1])
    assert panel.accuracy.airflow.box.value == 15
    panel.accuracy.airflow.box.value = 2
    assert not panel.frame.is_stale
    assert panel.visit("before").airflow.relative_uncertainty == 0.15
    assert panel.visit("after").airflow.relative_uncertainty == pytest.approx(0.02)


# -- what is wrong --------------------------------------------------------------------------------


def test_wrong_readings_in_both_visits_are_both_marked():
    panel = made(LIBRARY)
    figures, change = panel.frame.figures.value, panel.change
    for name, text in (("before", "76,5"), ("after", "warm")):
        panel.forms[name].fields["readings.return.dry_bulb"].box.value = text
    for name in ("before", "after"):
        assert set(marked(panel, name)) == {"readings.return.dry_bulb"}
        assert f"The {name} visit: see the marks under its readings." in head(panel)
    assert panel.frame.is_stale and STALE in panel.frame.picture._dom_classes
    assert panel.frame.figures.value == figures and panel.change is change
    for name, good in (("before", "76.6, 76.4, 76.6, 76.2, 76.4, 76.5, 76.3, 76.3"), ("after", "75.5")):
        panel.forms[name].fields["readings.return.dry_bulb"].box.value = good
        if name == "after":
            panel.forms[name].load(LIBRARY[1])
    panel.refresh()
    assert not marked(panel, "before") and not marked(panel, "after") and not panel.frame.is_stale
    assert panel.frame.figures.value == figures


def test_a_missing_table_is_marked_in_its_visit():
    panel = made(LIBRARY)
    table = panel.forms["after"].evidence["fan table"][0]
    table.box.value = "none.csv"
    assert panel.frame.is_stale and "airflow.table" in marked(panel, "after") and not marked(panel, "before")
    assert "The after visit" in head(panel)
    table.box.value = "fan_table.csv"
    assert not panel.frame.is_stale and not marked(panel, "after")


def test_visits_that_cannot_be_compared_say_why(tmp_path):
    heating = changed(
        tmp_path, "after", BAKERY[1], ('"cooling"', '"heating"'),
        ("[15.1, 15.2, 15.2, 15.1, 15.1]", "[35.1, 35.2, 35.2, 35.1, 35.1]"),
        ("[85.9, 85.5, 85.3, 85.4, 86.0]", "[29.0, 29.1, 29.0, 29.2, 29.1]"),
    )  # fmt: skip
    panel = BeforeAfter(BAKERY[0], heating)
    assert panel.frame.is_stale and "heating" in head(panel)


def test_two_heating_visits_are_compared(tmp_path):
    files = [
        changed(
            tmp_path, name, source, ('"cooling"', '"heating"'), (dry_bulb, warm), (humid, "[29.0, 29.1, 29.0, 29.2, 29.1]"),
        )
        for name, source, dry_bulb, warm, humid in (
            ("before", BAKERY[0], "[13.6, 13.7, 13.7, 13.7, 13.7]", "[35.6, 35.7, 35.7, 35.7, 35.7]",
             "[90.0, 89.6, 89.9, 90.2, 89.7]"),
            ("after", BAKERY[1], "[15.1, 15.2, 15.2, 15.1, 15.1]", "[37.1, 37.2, 37.2, 37.1, 37.1]",
             "[85.9, 85.5, 85.3, 85.4, 86.0]"),
        )
    ]  # fmt: skip
    panel = BeforeAfter(*files)
    assert panel.change.before.visit.mode == "heating" and compared(*files).verdict in head(panel)
    panel.reference.box.value = "H1"
    assert not panel.frame.is_stale and compared(*files, reference="H1").verdict in head(panel)
    figures = panel.frame.figures.value
    panel.reference.box.value = "A"
    assert panel.frame.is_stale and 'expected one of "before", "after", "H1" in heating' in head(panel)
    assert panel.frame.figures.value == figures and STALE in panel.frame.figures._dom_classes
    cooling = made(BAKERY)
    cooling.reference.box.value = "H1"
    assert cooling.frame.is_stale and '"A", "B" in cooling' in head(cooling)


def test_a_wrong_file_name_keeps_the_old_visit_and_says_so():
    panel = made(LIBRARY)
    said, data = head(panel), panel.forms["after"].data()
    load(panel, "after", "nowhere.toml")
    assert "no such file" in panel.frame.message.value and "The panel is still as it was." in panel.frame.message.value
    assert head(panel) == said and panel.forms["after"].data() == data
    load(panel, "after", LIBRARY[0])
    assert f">Loaded {LIBRARY[0]}.<" in panel.frame.message.value
    assert panel.forms["after"].data() == panel.forms["before"].data()
    assert head(panel) != said


# -- files ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("turned", [False, True])
def test_saved_visits_give_the_verdict_of_the_panel(turned, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = made(BAKERY)
    if turned:
        worth = panel.accuracy
        worth.dry_bulb.box.value, worth.airflow.box.value, worth.new_share.box.value = 0.8, 9.0, 0.6
    (tmp_path / "out").mkdir()
    for name in ("before", "after"):
        save(panel, name, f"out/{name}.toml")
        assert f">Saved {Path('out', name)}.toml.<" in panel.frame.message.value
    assert compared("out/before.toml", "out/after.toml").verdict == panel.change.verdict


def test_saved_visits_find_their_fan_table(tmp_path, monkeypatch):
    folder = tmp_path / "unit"
    files = [changed(folder, n, f) for n, f in zip(("before", "after"), LIBRARY, strict=True)]
    panel = BeforeAfter(*files)
    saved = save_both(panel, tmp_path / "deep" / "out")
    assert not any(str(tmp_path) in file.read_text() for file in saved)
    monkeypatch.chdir(tmp_path / "deep")
    found, shown = compared(*saved), panel.change
    for one, two in ((found.before, shown.before), (found.after, shown.after)):
        assert one.estimate("total").value == pytest.approx(two.estimate("total").value, rel=1e-12)
    # The table is named by another way there, so the draws are other ones.
    assert found.ratios["reference"].value == pytest.approx(shown.ratios["reference"].value, abs=0.01)


def test_saved_visits_without_instruments_keep_what_the_sliders_say(tmp_path):
    files = [without_instruments(tmp_path / "in", n, f) for n, f in zip(("before", "after"), BAKERY, strict=True)]
    panel = BeforeAfter(*files)
    panel.accuracy.dry_bulb.box.value = 1.0
    assert compared(*save_both(panel, tmp_path / "out")).verdict == panel.change.verdict


@pytest.mark.parametrize(("reference", "same_flow"), [("after", True), ("B", False)])
def test_what_both_are_brought_to_is_saved_with_the_before_visit(reference, same_flow, tmp_path):
    panel = made(LIBRARY)
    panel.reference.box.value, panel.same_flow.box.value = reference, same_flow
    files = save_both(panel, tmp_path)
    before, after = (airside.load_visit(f) for f in files)
    assert before.panel == {"before_after": {"reference": reference, "same_flow": same_flow}} and after.panel == {}
    again = BeforeAfter(*files)
    assert (again.reference.value(), again.same_flow.value()) == (reference, same_flow)
    assert again.change.verdict == panel.change.verdict
    # As the after visit of another pair it says nothing of what both are brought to.
    other = BeforeAfter(LIBRARY[0], files[0])
    assert (other.reference.value(), other.same_flow.value()) == ("before", False)
    # And a before visit that says nothing is compared as usual.
    load(again, "before", LIBRARY[0])
    assert (again.reference.value(), again.same_flow.value()) == ("before", False)


@pytest.mark.parametrize("form", ["svg", "PNG", "pdf"])
def test_pictures_are_saved(form, tmp_path):
    panel = made(BAKERY)
    panel.files.picture_name.value = str(tmp_path / f"change.{form}")
    panel.files.picture_button.click()
    assert (tmp_path / f"change.{form}").read_text() == f"picture {form.lower()}"
    (tmp_path / f"change.{form}").write_text("mine")
    panel.files.picture_button.click()
    assert "exists already" in panel.frame.message.value and "the tick at" in panel.frame.message.value
    assert (tmp_path / f"change.{form}").read_text() == "mine"
    panel.files.replace.value = True
    panel.files.picture_button.click()
    assert "Saved" in panel.frame.message.value
    assert (tmp_path / f"change.{form}").read_text() == f"picture {form.lower()}"


def test_a_picture_is_never_that_of_a_drag(tmp_path, with_budget, monkeypatch):
    panel = made(BAKERY)
    monkeypatch.setattr(BeforeAfter, "dragging_draws", DRAWS - 1)
    panel.accuracy.dry_bulb.box.value = 1.0
    assert not panel.change.budgets and panel.change.before.draws.count == DRAWS - 1
    panel.save_picture(tmp_path / "change.svg")
    assert panel.change.budgets and panel.change.before.draws.count == DRAWS


def test_what_saving_refuses(tmp_path):
    panel = made(BAKERY)
    for button in (panel.files.picture_button, panel.files.report_button):
        button.click()
        assert "Name the file first." in panel.frame.message.value
    panel.files.names["after"].value = " "
    panel.files.save_buttons["after"].click()
    assert "Name the file first." in panel.frame.message.value
    for name, said in (
        (tmp_path / "change.docx", "the name ends in .docx; expected .svg or .png or .pdf."),
        (tmp_path / "no folder" / "x.svg", "does not exist"),
    ):
        panel.files.picture_name.value = str(name)
        panel.files.picture_button.click()
        assert said in panel.frame.message.value
    (tmp_path / "file").write_text("mine")
    for name, said in (("file", "exists already"), ("file/deeper.toml", "is a file, not a folder")):
        with pytest.raises(OutputError, match=said):
            panel.save(tmp_path / name, "after")
    assert (tmp_path / "file").read_text() == "mine"
    panel.save(tmp_path / "file", "after", replace=True)
    assert airside.load_visit(tmp_path / "file").name == airside.load_visit(BAKERY[1]).name
    panel.forms["before"].fields["readings.return.dry_bulb"].box.value = "warm"
    with pytest.raises(VisitError, match="warm"):
        panel.save(tmp_path / "new.toml", "before")
    with pytest.raises(OutputError, match="Mend what is marked first"):
        panel.save_picture(tmp_path / "new.svg")
    with pytest.raises(OutputError, match="Mend what is marked first"):
        panel.save_report(tmp_path / "new.html")
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_without_a_result_there_is_nothing_to_save(tmp_path):
    panel = BeforeAfter()
    panel.files.picture_name.value, panel.files.report_name.value = str(tmp_path / "x.svg"), str(tmp_path / "x.html")
    for button in (panel.files.picture_button, panel.files.report_button):
        button.click()
        assert "no result yet" in panel.frame.message.value and not list(tmp_path.iterdir())
