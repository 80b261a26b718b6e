"""The before-and-after panel: the verdict of the library, sliders that start where the files are, exports that read back."""

import shutil
from html import unescape
from pathlib import Path

import pytest

import airside
from airside.errors import OutputError
from airside.show.panels import BeforeAfter, FieldSheet, before_after
from airside.units import show

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = ([DATA / folder / f"{n}.toml" for n in ("before", "after")] for folder in ("reading_room", "bakery"))
DRAWS = 2000
STALE = "airside-stale"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    # More draws than while dragging, and few enough to be quick; pictures are looked at in test_panels_form.py.
    monkeypatch.setattr(before_after, "FULL", DRAWS)
    monkeypatch.setattr(before_after, "DRAGGING", DRAWS - 1)
    monkeypatch.setattr(before_after, "change_chart", lambda change, **_: change)
    monkeypatch.setattr(before_after, "figure_bytes", lambda change, form, **_: f"picture {form}".encode())
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
    return {f.path: f.message.value for f in panel.forms[name]._all_fields() if f.message.value}


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


def width(panel):
    low, high = panel.change.ratios[panel.change.basis].interval_95
    return high - low


# -- the verdict ----------------------------------------------------------------------------------


@pytest.mark.parametrize("files", [LIBRARY, BAKERY])
def test_verdict_and_figures_are_the_librarys(files, with_budget):
    panel, found = BeforeAfter(*files), compared(*files, with_budget=True)
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
    panel = BeforeAfter(*LIBRARY)
    panel.reference.value = reference
    for same_flow in (False, True):
        panel.same_flow.value = same_flow
        found = compared(*LIBRARY, reference=reference, same_flow=same_flow)
        assert found.verdict in head(panel)


def test_units_there_and_back_keep_every_letter_and_the_verdict():
    panel = BeforeAfter(*LIBRARY)
    boxes = [f.box.value for form in panel.forms.values() for f in form._all_fields()]
    said, figures = head(panel), panel.frame.figures.value
    panel.units_choice.value = "SI"
    assert "kW" in panel.frame.figures.value and "Btu" not in panel.frame.figures.value
    assert head(panel).split(", 95")[0] == said.split(", 95")[0]
    panel.units_choice.value = "IP"
    assert [f.box.value for form in panel.forms.values() for f in form._all_fields()] == boxes
    assert (head(panel), panel.frame.figures.value) == (said, figures)


def test_visits_of_two_unit_systems_are_shown_in_that_of_the_before_visit(tmp_path):
    sheet = FieldSheet(LIBRARY[1])
    sheet.units_choice.value = "SI"
    sheet.save(tmp_path / "after.toml")
    panel, other = BeforeAfter(LIBRARY[0], tmp_path / "after.toml"), BeforeAfter(*LIBRARY)
    assert panel.units == "IP" and {form.units for form in panel.forms.values()} == {"IP"}
    one, two = (p.change.after.estimate("total").value for p in (panel, other))
    assert one == pytest.approx(two, rel=1e-8)
    assert show(two, "capacity", "IP") in panel.frame.figures.value


def test_readings_are_typed_under_the_fold():
    panel = BeforeAfter(*BAKERY)
    before = float(panel.change.after.estimate("total").value)
    panel.forms["after"].fields["readings.supply.dry_bulb"].box.value = "14.1, 14.2, 14.2, 14.1, 14.1"
    assert float(panel.change.after.estimate("total").value) > before


def test_an_empty_panel_asks_for_both():
    panel = BeforeAfter()
    assert "before and the after visit" in head(panel) and panel.change is None
    half = BeforeAfter(LIBRARY[0])
    assert "type the after visit" in head(half)


# -- what the readings are worth ------------------------------------------------------------------


def test_sliders_start_at_the_files_values_and_change_nothing_until_moved():
    panel = BeforeAfter(*LIBRARY)
    said, figures = head(panel), panel.frame.figures.value
    assert panel.sliders.layout.display == "none"
    panel.as_stated.value = False
    assert panel.sliders.layout.display != "none"
    # 0.9 °F, 2.5 %, and the default of a fan table.
    assert panel.dry_bulb.value == pytest.approx(0.5) and panel.humidity.value == pytest.approx(2.5)
    assert panel.airflow.value == pytest.approx(7.0)
    assert "± 0.90 °F" in panel.dry_bulb_words.value
    assert (head(panel), panel.frame.figures.value) == (said, figures)
    panel.units_choice.value = "SI"
    assert "± 0.50 K" in panel.dry_bulb_words.value
    bakery = BeforeAfter(*BAKERY)
    bakery.as_stated.value = False
    assert (bakery.dry_bulb.value, bakery.humidity.value, bakery.airflow.value) == (0.4, 2.0, 5.0)


@pytest.mark.parametrize("instruments", ["named", "without"])
@pytest.mark.parametrize(("slider", "better", "worse"), [("dry_bulb", 0.1, 1.5), ("humidity", 0.5, 6.0),
                                                         ("airflow", 1.0, 20.0)])  # fmt: skip
def test_sliders_have_an_effect(instruments, slider, better, worse, tmp_path):
    files = BAKERY
    if instruments == "without":
        files = [without_instruments(tmp_path, n, f) for n, f in zip(("before", "after"), BAKERY, strict=True)]
    panel = BeforeAfter(*files)
    stated = width(panel)
    panel.as_stated.value = False
    assert width(panel) == stated
    getattr(panel, slider).value = better
    narrow = width(panel)
    getattr(panel, slider).value = worse
    wide = width(panel)
    assert narrow < stated * 1.02 and wide > stated and wide > 1.03 * narrow
    panel.as_stated.value = True
    assert width(panel) == stated


@pytest.mark.parametrize("instruments", ["named", "without"])
def test_the_part_that_is_new_with_each_visit(instruments, tmp_path):
    files = BAKERY
    if instruments == "without":
        files = [without_instruments(tmp_path, n, f) for n, f in zip(("before", "after"), BAKERY, strict=True)]
    panel = BeforeAfter(*files)
    panel.as_stated.value = False
    panel.dry_bulb.value = 1.5
    panel.new_share.value = 0.0
    common = width(panel)
    panel.new_share.value = 1.0
    assert width(panel) > 1.1 * common


def test_moving_one_slider_leaves_the_other_statements():
    panel = BeforeAfter(*LIBRARY)
    panel.as_stated.value = False
    panel.humidity.value = 4.0
    visit = panel.visit("before")
    probe = visit.instruments["duct_probe_1"]
    assert probe.relative_humidity.accuracy == pytest.approx(0.04)
    assert probe.relative_humidity.resolution == pytest.approx(0.001)
    assert probe.dry_bulb == airside.load_visit(LIBRARY[0]).instruments["duct_probe_1"].dry_bulb
    assert probe.relative_humidity.new_each_visit is None and visit.airflow.relative_uncertainty is None


def test_a_new_before_visit_starts_the_sliders_anew():
    panel = BeforeAfter(*LIBRARY)
    panel.as_stated.value = False
    panel.dry_bulb.value = 1.2
    panel.files["before"].value = str(BAKERY[0])
    assert panel.dry_bulb.value == pytest.approx(0.4)


def test_a_rule_of_thumb_stays_as_doubtful_as_it_is(tmp_path):
    pair = ('method = "fan table"\ntable = "fan_table.csv"\nspeed = "high"\nexternal_static_pressure = ',
            'method = "rule of thumb"\nflow_per_capacity = 400\n# ')  # fmt: skip
    file = changed(tmp_path, "before", LIBRARY[0], pair, ('instrument = "manometer_1"\n', ""))
    panel = BeforeAfter(file, LIBRARY[1])
    panel.as_stated.value = False
    assert panel.airflow.value == 15
    panel.airflow.value = 2
    assert not panel.frame.is_stale
    assert panel.visit("before").airflow.relative_uncertainty == 0.15
    assert panel.visit("after").airflow.relative_uncertainty == pytest.approx(0.02)


# -- what is wrong --------------------------------------------------------------------------------


def test_wrong_readings_in_both_visits_are_both_marked():
    panel = BeforeAfter(*LIBRARY)
    figures, change = panel.frame.figures.value, panel.change
    for name, text in (("before", "76,5"), ("after", "warm")):
        panel.forms[name].fields["readings.return.dry_bulb"].box.value = text
    for name in ("before", "after"):
        assert set(marked(panel, name)) == {"readings.return.dry_bulb"}
        assert f"The {name} visit: see the marks under Readings." in head(panel)
    assert panel.frame.is_stale and STALE in panel.frame.picture._dom_classes
    assert panel.frame.figures.value == figures and panel.change is change
    for name, good in (("before", "76.6, 76.4, 76.6, 76.2, 76.4, 76.5, 76.3, 76.3"), ("after", "75.5")):
        panel.forms[name].fields["readings.return.dry_bulb"].box.value = good
        if name == "after":
            panel.forms[name].load(LIBRARY[1])
    panel.compute()
    assert not marked(panel, "before") and not marked(panel, "after") and not panel.frame.is_stale
    assert panel.frame.figures.value == figures


def test_a_missing_table_is_marked_in_its_visit():
    panel = BeforeAfter(*LIBRARY)
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


def test_a_wrong_file_name_keeps_the_old_visit_and_says_so():
    panel = BeforeAfter(*LIBRARY)
    said, data = head(panel), panel.forms["after"].data()
    panel.files["after"].value = "nowhere.toml"
    assert "no such file" in panel.frame.message.value
    assert "The after visit is still the one from before" in panel.frame.message.value
    assert head(panel) == said and panel.forms["after"].data() == data
    panel.files["after"].value = str(LIBRARY[0])
    assert "as after." in panel.frame.message.value
    assert panel.forms["after"].data() == panel.forms["before"].data()


# -- export ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("turned", [False, True])
def test_exported_visits_give_the_verdict_of_the_panel(turned, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = BeforeAfter(*BAKERY)
    if turned:
        panel.as_stated.value = False
        panel.dry_bulb.value, panel.airflow.value, panel.new_share.value = 0.8, 9.0, 0.6
    panel.export_name.value = "out"
    panel.export_button.click()
    assert "Saved" in panel.frame.message.value
    assert compared("out/before.toml", "out/after.toml").verdict == panel.change.verdict


def test_exported_visits_find_their_fan_table(tmp_path, monkeypatch):
    folder = tmp_path / "unit"
    files = [changed(folder, n, f) for n, f in zip(("before", "after"), LIBRARY, strict=True)]
    panel = BeforeAfter(*files)
    panel.export(str(tmp_path / "deep" / "out"))
    saved = [tmp_path / "deep" / "out" / f"{n}.toml" for n in ("before", "after")]
    assert str(tmp_path) not in saved[0].read_text()
    monkeypatch.chdir(tmp_path / "deep")
    found, shown = compared(*saved), panel.change
    for one, two in ((found.before, shown.before), (found.after, shown.after)):
        assert one.estimate("total").value == pytest.approx(two.estimate("total").value, rel=1e-12)
    # The table is named by another way there, so the draws are other ones.
    assert found.ratios["reference"].value == pytest.approx(shown.ratios["reference"].value, abs=0.01)


def test_exported_visits_without_instruments_keep_what_the_sliders_say(tmp_path):
    files = [without_instruments(tmp_path / "in", n, f) for n, f in zip(("before", "after"), BAKERY, strict=True)]
    panel = BeforeAfter(*files)
    panel.as_stated.value = False
    panel.dry_bulb.value = 1.0
    panel.export(str(tmp_path / "out"))
    assert compared(tmp_path / "out" / "before.toml", tmp_path / "out" / "after.toml").verdict == panel.change.verdict


@pytest.mark.parametrize("form", ["svg", "PNG", "pdf"])
def test_pictures_are_exported(form, tmp_path):
    panel = BeforeAfter(*BAKERY)
    panel.export_name.value = str(tmp_path / f"change.{form}")
    panel.export_button.click()
    assert (tmp_path / f"change.{form}").read_text() == f"picture {form.lower()}"
    panel.export_button.click()
    assert "exists already" in panel.frame.message.value and "the tick at" in panel.frame.message.value
    panel.replace.value = True
    panel.export_button.click()
    assert "Saved" in panel.frame.message.value


def test_a_picture_is_never_that_of_a_drag(tmp_path, with_budget):
    panel = BeforeAfter(*BAKERY)
    panel.compute(count=DRAWS - 1)
    assert not panel.change.budgets
    panel.export(str(tmp_path / "change.svg"))
    assert panel.change.budgets


def test_what_export_refuses(tmp_path):
    panel = BeforeAfter(*BAKERY)
    panel.export_button.click()
    assert "Name a file or a folder first" in panel.frame.message.value
    for name, said in (
        (tmp_path / "change.docx", "expected a picture"),
        (tmp_path / "no folder" / "x.svg", "does not exist"),
    ):
        panel.export_name.value = str(name)
        panel.export_button.click()
        assert said in panel.frame.message.value
    (tmp_path / "file").write_text("mine")
    for name in ("file", "file/deeper"):
        with pytest.raises(OutputError, match="the folder cannot be made"):
            panel.export(str(tmp_path / name))
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "after.toml").write_text("mine")
    with pytest.raises(OutputError, match="exists already"):
        panel.export(str(tmp_path / "out"))
    # Neither is written where one of them would be lost.
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["after.toml"]
    panel.export(str(tmp_path / "out"), replace=True)
    panel.forms["before"].fields["readings.return.dry_bulb"].box.value = "warm"
    for name in ("new", "new.svg"):
        with pytest.raises(OutputError, match="Mend what is marked first"):
            panel.export(str(tmp_path / name))
    assert not (tmp_path / "new").exists() and not (tmp_path / "new.svg").exists()


def test_without_a_result_there_is_nothing_to_export(tmp_path):
    panel = BeforeAfter()
    panel.export_name.value = str(tmp_path / "x.svg")
    panel.export_button.click()
    assert "no result yet" in panel.frame.message.value and not list(tmp_path.iterdir())
