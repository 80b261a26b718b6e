"""What goes in and out of every panel: visit files, the picture, the report; and what is refused, with a sentence."""

import hashlib
import shutil
import struct
import tomllib
from html import escape, unescape
from pathlib import Path
from types import SimpleNamespace

import pytest
from matplotlib.colors import to_hex

import airside
import airside.show.report
from airside.errors import OutputError, VisitError
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

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = ([DATA / folder / f"{n}.toml" for n in ("before", "after")] for folder in ("reading_room", "bakery"))
KINDS = [FieldSheet, AirflowEvidence, CoilPanel, RefrigerantPanel, PlanningPanel, SideBySideCheck, BeforeAfter]
RETURN = "readings.return.dry_bulb"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(panel.Panel, "draws", 500)
    monkeypatch.setattr(PlanningPanel, "dragging_draws", 499)
    monkeypatch.setattr(CoilPanel, "dragging_draws", 499)
    monkeypatch.setattr(before_after, "FULL", 500)


@pytest.fixture
def no_picture(monkeypatch):
    for module, chart in ((field_sheet, "visit_picture"), (coil, "panel_chart"), (before_after, "change_chart"),
                          (airflow_evidence, "airflow_chart"), (planning, "plan_chart"),
                          (refrigerant, "refrigerant_chart"), (side_by_side, "side_by_side_chart")):  # fmt: skip
        monkeypatch.setattr(module, chart, lambda *_, **__: None)
    monkeypatch.setattr(panel, "figure_bytes", lambda figure, form, **_: f"picture {form}".encode())


@pytest.fixture
def no_plan(monkeypatch):
    """Something that is another for every visit, and quicker than a plan."""

    def plan(visit, **_):
        said = repr((visit.readings, visit.instruments, visit.airflow))
        return SimpleNamespace(smallest_detectable_ratio=0.1, options=(), largest=(), sentence=said)

    monkeypatch.setattr(planning, "plan", plan)


@pytest.fixture
def few_draws_in_reports(monkeypatch):
    made = airside.show.report.report_bytes
    monkeypatch.setattr(airside.show.report, "report_bytes", lambda *visits, **how: made(*visits, **how, count=500))


STARTED = {}


def made(kind):
    """A panel on the library's visits, as it starts: made once, since most of a test's time would go into making it."""
    if kind not in STARTED:
        found = kind(*LIBRARY[: len(kind.names)])
        STARTED[kind] = found, found.snapshot()
    found, start = STARTED[kind]
    found.frame.clear()
    found.shown, found.files.replace.value = None, False
    for name, file in zip(found.names, LIBRARY, strict=False):
        found.files.names[name].value = str(file)
    found.files.picture_name.value = found.files.report_name.value = ""
    found.restore(start)
    found.refresh()
    return found


def result(found):
    """What the panel says."""
    return unescape(found.frame.head.value), found.frame.figures.value


def first_fields(found):
    return {f.path: f for f in found.form.all_fields()}


def broken(found):
    """Make its input wrong; give back how to mend it."""
    field = found.fields["dry_bulb", 0] if isinstance(found, SideBySideCheck) else first_fields(found)[RETURN]
    good = field.box.value
    field.box.value = "warm"
    assert found.frame.is_stale
    return lambda: setattr(field.box, "value", good)


# -- visit files ----------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_saved_is_read_again_and_says_the_same(kind, tmp_path, no_picture):
    source = tmp_path / "unit"
    shutil.copytree(DATA / "reading_room", source)
    found = kind(*(source / f"{name}.toml" for name in ("before", "after")[: len(kind.names)]))
    found.units_choice.value = "SI"
    first_fields(found)["notes"].box.value = "typed here"
    (tmp_path / "elsewhere").mkdir()
    for name in found.names:
        file = found.save(tmp_path / "elsewhere" / f"{name}.toml", name)
        assert str(tmp_path) not in file.read_text()
        visit = airside.load_visit(file)
        assert visit.units == "SI" and visit.airflow.table == "../unit/fan_table.csv"
        assert (visit.notes == "typed here") == (name == found.names[0])
    saved = [found.save(source / f"{name} copy.toml", name) for name in found.names]
    again = kind(*saved)
    assert again.units == "SI" and not again.frame.is_stale
    for name in found.names:
        one, two = (p.forms[name].data() for p in (found, again))
        for data in (one, two):
            data.pop("panel", None)
        assert one == two
    assert result(again) == result(found)
    for name, file in zip(found.names, saved, strict=True):
        twice = again.save(source / f"{name} twice.toml", name)
        assert tomllib.loads(twice.read_text()) == tomllib.loads(file.read_text())


@pytest.mark.parametrize("kind", KINDS)
def test_load_and_save_by_their_buttons(kind, tmp_path, no_picture, no_plan):
    found = kind()
    assert not found.frame.has_result
    for name, source in zip(found.names, LIBRARY, strict=False):
        found.files.names[name].value = f"  {source} "
        found.files.load_buttons[name].click()
        assert f">Loaded {source}.<" in found.frame.message.value
    assert found.frame.has_result and not found.frame.is_stale
    for name in found.names:
        target = tmp_path / f"{name}.toml"
        found.files.names[name].value = str(target)
        found.files.save_buttons[name].click()
        assert f">Saved {target}.<" in found.frame.message.value
        assert airside.load_visit(target).name == airside.load_visit(LIBRARY[found.names.index(name)]).name
        found.files.save_buttons[name].click()
        assert "exists already" in found.frame.message.value and "the tick at" in found.frame.message.value
        found.files.names[name].value = ""
        for button in (found.files.load_buttons[name], found.files.save_buttons[name]):
            button.click()
            assert "Name the file first." in found.frame.message.value


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_that_is_no_visit_is_refused_and_nothing_changes(kind, tmp_path, no_picture, no_plan):
    found = made(kind)
    before, data = result(found), [f.data() for f in found.forms.values()]
    wrong = tmp_path / "<wrong>.toml"
    wrong.write_text(LIBRARY[0].read_text().replace("[76.6,", '["<b>warm</b>",'))
    for name in found.names:
        found.files.names[name].value = str(wrong)
        found.files.load_buttons[name].click()
        said = found.frame.message.value
        assert "readings.return.dry_bulb" in said and "The panel is still as it was." in said
        assert "&lt;wrong&gt;" in said and "<b>" not in said
        assert found.files.names[name].value == str(wrong)
        assert result(found) == before and [f.data() for f in found.forms.values()] == data


@pytest.mark.parametrize("kind", [FieldSheet, BeforeAfter])
def test_a_panel_does_not_begin_with_a_file_that_is_not_there(kind, no_picture):
    with pytest.raises(VisitError, match="no such file"):
        kind(*["nowhere.toml"] * len(kind.names))


@pytest.mark.parametrize("kind", KINDS)
def test_empty_takes_everything_away_and_files_stay(kind, no_picture, no_plan):
    found = made(kind)
    found.files.new_button.click()
    for form in found.forms.values():
        texts = {
            f.path: f.box.value
            for f in form.all_fields()
            if type(f).__name__ not in ("ChoiceField", "RefrigerantField")
        }
        assert set(texts.values()) == {""} and form.file is None and form.kept_words == ""
    blank = kind()
    blank.set_units(found.units)
    assert [s.box.value for s in found.settings.values()] == [s.box.value for s in blank.settings.values()] or (
        # The coil's sliders stay where they are: they have no place of their own without a visit.
        kind is CoilPanel
    )
    assert result(found) == result(blank) and not found.frame.has_result and not found.frame.picture.value
    assert found.shown is None and found.files.kept.value == ""
    for own in ("result", "change", "prediction", "explanation", "plan"):
        assert getattr(found, own, None) is None
    assert all(box.value == "" for box in found.files.names.values())
    assert all(f.is_file() for f in LIBRARY)


# -- settings in the file -------------------------------------------------------------------------


def turned_coil():
    found = CoilPanel(BAKERY[0])
    found.airflow.box.value, found.outdoor.box.value, found.return_humidity.box.value = 118, 36.5, 60
    return found


def test_the_coils_sliders_are_saved_where_they_were_turned_and_read_again(tmp_path, no_picture):
    found = turned_coil()
    file = found.save(tmp_path / "turned.toml")
    table = tomllib.loads(file.read_text())["panel"]["coil_performance"]
    assert table == {"airflow": 1.18, "outdoor": "36.5 degC", "return_humidity": 0.6}
    again = CoilPanel(file)
    assert result(again) == result(found)
    assert {k: s.value for k, s in again.sliders.items()} == {k: s.value for k, s in found.sliders.items()}
    # The slider that was not turned still follows its reading.
    again.form.fields[RETURN].box.value = "26.0, 26.1, 26.0, 26.1, 26.0"
    assert again.return_dry_bulb.value == pytest.approx(26.04) and again.airflow.value == 1.18
    again.reset_button.click()
    assert "panel" not in tomllib.loads(again.save(tmp_path / "back.toml").read_text())
    assert airside.load_visit(file).panel == {"coil_performance": table}


def test_the_coils_settings_mean_the_same_in_both_unit_systems(tmp_path, no_picture):
    found = turned_coil()
    si = found.save(tmp_path / "si.toml")
    found.units_choice.value = "IP"
    ip = found.save(tmp_path / "ip.toml")
    tables = [tomllib.loads(f.read_text())["panel"]["coil_performance"] for f in (si, ip)]
    assert tables[0] == tables[1]
    assert CoilPanel(ip).outdoor.value == 36.5
    text = ip.read_text().replace('"36.5 degC"', '"97.7 degF"')
    ip.write_text(text)
    assert CoilPanel(ip).outdoor.value == pytest.approx(36.5, abs=1e-9)


def test_settings_of_other_panels_are_kept(tmp_path, no_picture):
    file = turned_coil().save(tmp_path / "turned.toml")
    found = BeforeAfter(file, BAKERY[1])
    found.reference.box.value = "after"
    saved = found.save(tmp_path / "both.toml", "before")
    panels = airside.load_visit(saved).panel
    assert set(panels) == {"coil_performance", "before_after"}
    assert result(CoilPanel(saved)) == result(CoilPanel(file))
    # A sheet without settings keeps both.
    assert airside.load_visit(FieldSheet(saved).save(tmp_path / "sheet.toml")).panel == panels


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ('coil_performance]\nairflow = "warm"', "panel.coil_performance.airflow"),
        ("coil_performance]\nairflow = nan", "expected a number"),
        ("coil_performance]\nairflow = inf", "expected a number"),
        ("coil_performance]\nairflow = true", "expected a number"),
        ('coil_performance]\noutdoor = "3 inH2O"', "panel.coil_performance.outdoor"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_and_the_panel_stays(table, said, tmp_path, no_picture):
    file = tmp_path / "odd.toml"
    file.write_text(f"{LIBRARY[0].read_text()}\n[panel.{table}\n")
    shutil.copy(DATA / "reading_room" / "fan_table.csv", tmp_path)
    found = turned_coil()
    before, stood, data = result(found), {k: s.value for k, s in found.sliders.items()}, found.data()
    found.files.names["visit"].value = str(file)
    found.files.load_buttons["visit"].click()
    assert said in found.frame.message.value and "The panel is still as it was." in found.frame.message.value
    assert found.data() == data and {k: s.value for k, s in found.sliders.items()} == stood and found.units == "SI"
    assert result(found) == before and not found.frame.is_stale and found.form.file == BAKERY[0]
    assert set(found.saved_settings("visit")) == {"airflow", "outdoor", "return_humidity"}
    with pytest.raises(VisitError):
        CoilPanel(file)


@pytest.mark.parametrize(("line", "said"), [('reference = "C"', "expected one of before, after, A, B"),
                                            ('same_flow = "no"', "expected true or false")])  # fmt: skip
def test_settings_of_before_and_after_are_words_that_it_knows(line, said, tmp_path, no_picture):
    file = tmp_path / "odd.toml"
    file.write_text(f"{BAKERY[0].read_text()}\n[panel.before_after]\n{line}\n")
    found = BeforeAfter(*BAKERY)
    before = result(found)
    with pytest.raises(VisitError, match=said):
        found.load(file, "before")
    assert result(found) == before


# -- the picture ----------------------------------------------------------------------------------


def test_the_picture_is_written_in_each_form(tmp_path):
    found = FieldSheet(BAKERY[0])
    svg, png, pdf = (found.save_picture(tmp_path / f"picture.{form}").read_bytes() for form in ("svg", "PNG", "pdf"))
    assert b"<svg" in svg[:1000] and svg.rstrip().endswith(b"</svg>") and b"<text" in svg
    assert png[:8] == b"\x89PNG\r\n\x1a\n" and struct.unpack(">I", png[16:20])[0] >= 700
    assert pdf[:5] == b"%PDF-" and b"%%EOF" in pdf[-32:]
    # What is asked for twice comes out the same.
    assert found.save_picture(tmp_path / "again.svg").read_bytes() == svg
    # In the file the picture stands alone, so it says what it is of.
    assert found.result.title in unescape(svg.decode())


@pytest.mark.parametrize("kind", KINDS)
def test_the_picture_is_in_the_theme_and_the_units_shown(kind, tmp_path, monkeypatch):
    written = panel.figure_bytes
    # What the panel shows is looked at in test_panels_form.py.
    monkeypatch.setattr(
        panel, "figure_bytes", lambda fig, form, **how: b"" if form == "png" else written(fig, form, **how)
    )
    found = made(kind)
    found.theme_choice.value = "light"
    ip = found.save_picture(tmp_path / "ip.svg").read_text()
    assert "<svg" in ip and not any(unit in ip for unit in ("°C", " kW", "L/s", "kPa", " Pa"))
    assert sum(found.shown.figure.get_facecolor()[:3]) > 2.5
    found.set_units("SI")
    found.theme_choice.value = "dark"
    si = found.save_picture(tmp_path / "si.svg").read_text()
    assert si != ip and not any(unit in si for unit in ("°F", "Btu", "cfm", "psi", "inH2O"))
    assert sum(found.shown.figure.get_facecolor()[:3]) < 1.0
    # The paper of the file is that of the panel.
    assert to_hex(found.shown.figure.get_facecolor()) in si


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("what", ["picture", "report"])
def test_what_cannot_be_written_is_said(kind, what, tmp_path, no_picture, no_plan, monkeypatch):
    monkeypatch.setattr(airside.show.report, "report_bytes", lambda *_, form, **__: f"report {form}".encode())
    found = made(kind)
    box, button = getattr(found.files, f"{what}_name"), getattr(found.files, f"{what}_button")
    endings = "expected .svg or .png or .pdf." if what == "picture" else "expected .html or .pdf."
    good = f"{what}.{'svg' if what == 'picture' else 'html'}"

    def said(name):
        box.value = str(name)
        button.click()
        return unescape(found.frame.message.value)

    assert "Name the file first." in said("  ")
    assert f"the name ends in .docx; {endings}" in said(tmp_path / "x.docx")
    assert f"the name ends in nothing; {endings}" in said(tmp_path / "x")
    assert "does not exist" in said(tmp_path / "no folder" / good)
    (tmp_path / f"folder.{good[-3:]}").mkdir()
    assert "is a folder" in said(tmp_path / f"folder.{good[-3:]}") or what == "report"
    (tmp_path / good).write_text("mine")
    assert "exists already and is left as it is" in said(tmp_path / good) and "the tick at" in said(tmp_path / good)
    assert (tmp_path / good).read_text() == "mine"
    mend = broken(found)
    assert "The input is wrong, so there is nothing to write. Mend what is marked first." in said(
        tmp_path / f"new {good}"
    )
    mend()
    assert said(tmp_path / f"new {good}").count(f"Saved {tmp_path / f'new {good}'}.") == 1
    assert (tmp_path / f"new {good}").read_text() == f"{what} {good.split('.')[1]}"
    found.files.replace.value = True
    assert "Saved" in said(tmp_path / good) and (tmp_path / good).read_text() != "mine"
    found.files.new_button.click()
    assert "There is no result yet. Type the readings or load a visit first." in said(tmp_path / f"last {good}")
    names = {p.name for p in tmp_path.iterdir()}
    assert names == {good, f"new {good}", f"folder.{good[-3:]}"}


@pytest.mark.parametrize("kind", [CoilPanel, PlanningPanel, BeforeAfter])
@pytest.mark.parametrize("what", ["picture", "report"])
def test_the_result_of_a_drag_is_made_in_full_before_it_is_written(kind, what, tmp_path, no_picture, monkeypatch):
    monkeypatch.setattr(airside.show.report, "report_bytes", lambda *_, form, **__: f"report {form}".encode())
    found = made(kind)
    monkeypatch.setattr(found._later, "request", lambda: None)
    drafts, find = [], found.find
    monkeypatch.setattr(found, "find", lambda *, is_draft: drafts.append(is_draft) or find(is_draft=is_draft))
    slider = found.airflow if kind is CoilPanel else found.accuracy.dry_bulb
    slider.slider.value = slider.slider.max
    assert drafts == [True]
    draft = found.shown
    write = found.save_picture if what == "picture" else found.save_report
    write(tmp_path / ("x.svg" if what == "picture" else "x.html"))
    assert drafts == [True, False] and found.shown is not draft
    # What is full already is not made again.
    write(tmp_path / ("y.svg" if what == "picture" else "y.html"))
    assert drafts == [True, False]


# -- the report -----------------------------------------------------------------------------------


def test_the_report_of_a_sheet_names_the_visits_file_as_long_as_it_says_the_same(
    tmp_path, no_picture, few_draws_in_reports
):
    shutil.copytree(DATA / "reading_room", tmp_path / "unit")
    file = tmp_path / "unit" / "before.toml"
    sheet = FieldSheet(file)
    page = sheet.save_report(tmp_path / "report.html").read_text()
    assert escape(airside.load_visit(file).name) in page and "typed in a panel" not in page
    assert hashlib.sha256(file.read_bytes()).hexdigest() in page and str(tmp_path) not in page
    sheet.form.fields["customer"].box.value = "A. <Customer>"
    assert "A. &lt;Customer&gt;" in (page := sheet.save_report(tmp_path / "named.html").read_text())
    sheet.form.fields["readings.supply.dry_bulb"].box.value = "55.1, 55.2, 55.1, 55.0, 55.3, 55.1, 55.2, 55.1"
    page = sheet.save_report(tmp_path / "typed.html").read_text()
    assert "typed in a panel" in page and hashlib.sha256(file.read_bytes()).hexdigest() not in page
    total = airside.units.show(float(sheet.result.capacity.total), "capacity", "IP")
    assert total in page.replace("\u00a0", " ").replace("\u2212", "-")


def test_the_report_of_two_visits_says_the_panels_verdict(tmp_path, no_picture, few_draws_in_reports):
    found = BeforeAfter(*BAKERY)
    found.reference.box.value = "after"
    page = found.save_report(tmp_path / "report.html").read_text()
    assert escape(found.change.verdict) in page.replace("\u00a0", " ").replace("\u2212", "-")
    for file in BAKERY:
        assert hashlib.sha256(file.read_bytes()).hexdigest() in page


@pytest.mark.parametrize("is_there", [True, False])
def test_a_report_as_pdf_or_a_sentence_what_it_needs(is_there, tmp_path, no_picture, monkeypatch):
    def pdf_bytes(page):
        # How it is made is held in test_report_pdf.py.
        if not is_there:
            raise OutputError("a report as PDF needs WeasyPrint, which is not here")
        return b"%PDF-" + page.encode()

    monkeypatch.setattr(airside.show.report.render, "report_html", lambda visit, *_, **__: f"page of {visit.name}")
    monkeypatch.setattr(airside.show.report.render, "pdf_bytes", pdf_bytes)
    sheet = FieldSheet(BAKERY[0])
    sheet.files.report_name.value = str(tmp_path / "report.pdf")
    sheet.files.report_button.click()
    if is_there:
        assert f">Saved {tmp_path / 'report.pdf'}.<" in sheet.frame.message.value
        assert (tmp_path / "report.pdf").read_text() == f"%PDF-page of {sheet.visit().name}"
    else:
        assert "a report as PDF needs WeasyPrint" in sheet.frame.message.value and not list(tmp_path.iterdir())


@pytest.mark.parametrize("kind", KINDS)
def test_what_the_report_is_given(kind, tmp_path, no_picture, no_plan, monkeypatch):
    calls = []
    monkeypatch.setattr(
        airside.show.report, "report_bytes", lambda *visits, **how: calls.append((visits, how)) or b"report"
    )
    found = made(kind)
    found.units_choice.value = "SI"
    if kind in (PlanningPanel, BeforeAfter):
        found.accuracy.airflow.box.value = 9.0
    if kind is SideBySideCheck:
        found.fields["dry_bulb", 0].box.value = "24.1, 24.2, 24.1, 24.2"
        found.fields["dry_bulb", 1].box.value = "24.5, 24.5, 24.5, 24.6"
    if kind is BeforeAfter:
        found.reference.box.value, found.same_flow.box.value = "B", True
    found.save_report(tmp_path / "report.html")
    ((visits, how),) = calls
    assert [v.path for v in visits] == [f for f in LIBRARY[: len(found.names)]]
    assert how["form"] == "html" and how["units"] == "SI"
    for name, visit in zip(found.names, visits, strict=True):
        assert visit == found.visit(name).model_copy(update={"path": visit.path})
    if kind in (PlanningPanel, BeforeAfter):
        assert all(v.airflow.relative_uncertainty == pytest.approx(0.09) for v in visits)
    if kind is BeforeAfter:
        assert (how["reference"], how["same_flow"]) == ("B", True)
    if kind is SideBySideCheck:
        assert visits[0].side_by_side.dry_bulb[0] == pytest.approx([24.1, 24.2, 24.1, 24.2])


def test_what_a_report_cannot_be_made_of_is_said(tmp_path, no_picture):
    check = SideBySideCheck()
    check.fields["dry_bulb", 0].box.value, check.fields["dry_bulb", 1].box.value = "75, 75, 75", "76, 76, 76.1"
    with pytest.raises(OutputError, match=r"A report needs a visit. Load the visit's file first."):
        check.save_report(tmp_path / "x.html")
    with pytest.raises(OutputError, match=r"A check is saved in a visit."):
        check.save(tmp_path / "x.toml")
    assert check.save_picture(tmp_path / "x.svg").read_text() == "picture svg"
