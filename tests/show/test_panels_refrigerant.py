"""The refrigerant panel: figures and sentence of the library, refrigerants by any spelling, pressures that cannot be."""

import re
import shutil
from html import unescape
from pathlib import Path

import pytest

import airside
from airside.show.panels import RefrigerantPanel, refrigerant
from airside.show.panels import panel as panel_base
from airside.visit.uncertainty import visit_uncertainty

DATA = Path(__file__).parents[2] / "data"
FILES = [DATA / folder / f"{name}.toml" for folder in ("reading_room", "bakery") for name in ("before", "after")]
LIBRARY, BAKERY = FILES[0], FILES[2]
DRAWS = 1500
STALE = "airside-stale"
SUCTION, LIQUID = "readings.refrigerant.suction_pressure", "readings.refrigerant.liquid_pressure"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    monkeypatch.setattr(RefrigerantPanel, "draws", DRAWS)
    # Pictures are looked at in test_panels_form.py.
    monkeypatch.setattr(refrigerant, "refrigerant_chart", lambda side, **_: side)
    monkeypatch.setattr(panel_base, "figure_bytes", lambda *_, **__: b"picture")


def explained(file):
    return airside.explain(visit_uncertainty(airside.load_visit(file), count=DRAWS))


def head(panel):
    return unescape(panel.frame.head.value).replace("\u00a0", " ")


def marked(panel):
    return {f.path: f.said for f in panel.form.all_fields() if f.said}


def type_in(panel, path, text):
    panel.form.fields[path].box.value = text


@pytest.mark.parametrize("file", FILES)
def test_figures_and_sentence_are_the_librarys(file):
    panel, found = RefrigerantPanel(file), explained(file)
    units = airside.load_visit(file).units
    assert panel.units == units
    assert found.finding_sentences(units)[0] in head(panel)
    for row in found.refrigerant.rows():
        if "glide" not in row.name:
            shown = re.search(
                rf">{row.title}</td><td><b>([^<]*)</b></td><td[^>]*>([^<]*)</td>", unescape(panel.frame.figures.value)
            )
            assert shown and shown.groups() == (row.text(units), row.interval_text(units))
    for sentence in found.refrigerant.notes():
        assert sentence in unescape(panel.frame.assumptions.value)
    assert not marked(panel)


@pytest.mark.parametrize("file", [LIBRARY, BAKERY])
def test_units_there_and_back_keep_what_was_typed_and_the_figures(file):
    panel = RefrigerantPanel(file)
    typed = {p: f.box.value for p, f in panel.form.fields.items()}
    said, figures, data = head(panel), panel.frame.figures.value, panel.data()
    own, other = panel.units, "SI" if panel.units == "IP" else "IP"
    panel.units_choice.value = other
    assert panel.data() != data and not panel.frame.is_stale
    assert ("kPa gauge" if other == "SI" else "psi gauge") in panel.form.fields[SUCTION].caption
    panel.units_choice.value = own
    assert {p: f.box.value for p, f in panel.form.fields.items()} == typed
    assert (head(panel), panel.frame.figures.value, panel.data()) == (said, figures, data)


def test_another_refrigerant_gives_another_superheat():
    panel = RefrigerantPanel(LIBRARY)
    before = {r.name: float(r.value) for r in panel.explanation.refrigerant.rows()}
    panel.form.fields["system.refrigerant"].box.value = "R-32"
    found = panel.explanation.refrigerant
    assert found.refrigerant == "R-32"
    now = {r.name: float(r.value) for r in found.rows()}
    assert now["saturated_suction"] != before["saturated_suction"]
    assert "A2L" in panel.frame.assumptions.value
    panel.form.fields["system.refrigerant"].box.value = "R-410A"
    assert {r.name: float(r.value) for r in panel.explanation.refrigerant.rows()} == before


@pytest.mark.parametrize("spelling", ["R410A", "r-410a", "410A", "HFC-410A"])
def test_a_spelling_of_the_file_is_found_in_the_list(spelling, tmp_path):
    panel = RefrigerantPanel(changed(tmp_path, '"R-410A"', f'"{spelling}"'))
    assert panel.form.fields["system.refrigerant"].value() == "R-410A"
    assert panel.explanation.refrigerant.refrigerant == "R-410A"


def changed(folder, old, new):
    shutil.copy(LIBRARY.parent / "fan_table.csv", folder)
    text = LIBRARY.read_text()
    assert old in text
    (folder / "visit.toml").write_text(text.replace(old, new))
    return folder / "visit.toml"


def test_an_unknown_or_missing_refrigerant_is_not_taken_for_another(tmp_path):
    panel = RefrigerantPanel(changed(tmp_path, 'refrigerant = "R-410A"\n', ""))
    assert panel.form.fields["system.refrigerant"].value() is None
    assert "missing" in marked(panel)["system.refrigerant"]
    panel.form.fields["system.refrigerant"].box.value = "R-410A"
    assert not marked(panel) and not panel.frame.is_stale
    odd = RefrigerantPanel(changed(tmp_path, '"R-410A"', '"R-9999"'))
    assert "R-9999" in marked(odd)["system.refrigerant"] and odd.explanation is None


def test_a_metering_device_in_words_of_the_files_own_stays(tmp_path):
    panel = RefrigerantPanel(changed(tmp_path, '"thermostatic valve"', '"piston, no. 61"'))
    assert panel.data()["system"]["metering_device"] == "piston, no. 61"
    assert "rule of thumb" in panel.frame.assumptions.value
    # The next file's list is without them.
    panel.load(BAKERY)
    assert panel.form.fields["system.metering_device"].value() == "electronic valve"
    assert "piston, no. 61" not in [o[1] for o in panel.form.fields["system.metering_device"].box.options]


@pytest.mark.parametrize(
    ("path", "text", "at", "said"),
    [
        (SUCTION, "123,6", SUCTION, "decimal point"),
        (SUCTION, "120, low, 121", SUCTION, "value 2: "),
        (SUCTION, "nan", SUCTION, "found nan"),
        (SUCTION, "120 inch", SUCTION, "is not a refrigerant pressure"),
        (LIQUID, "4460", LIQUID, "no saturation temperature"),
        (SUCTION, "-30", SUCTION, "below the barometric pressure"),
        ("readings.refrigerant.liquid_line", "hot", "readings.refrigerant.liquid_line", "hot"),
        ("system.target_subcooling", "nine", "system.target_subcooling", "nine"),
        ("readings.outdoor.dry_bulb", "91,4", "readings.outdoor.dry_bulb", "decimal point"),
    ],
)
def test_wrong_readings_are_marked_at_their_field_and_mending_takes_it_away(path, text, at, said):
    panel = RefrigerantPanel(LIBRARY)
    figures, explanation, good = panel.frame.figures.value, panel.explanation, panel.form.fields[path].box.value
    type_in(panel, path, text)
    assert panel.frame.is_stale
    assert all(STALE in part._dom_classes for part in (panel.frame.figures, panel.frame.picture))
    assert panel.frame.figures.value == figures and panel.explanation is explanation
    assert set(marked(panel)) == {at} and said in marked(panel)[at]
    type_in(panel, path, good)
    assert not marked(panel) and not panel.frame.is_stale and panel.frame.figures.value == figures
    assert STALE not in panel.frame.picture._dom_classes


def test_readings_that_contradict_each_other_are_warned_of():
    panel = RefrigerantPanel(LIBRARY)
    suction, liquid = panel.form.fields[SUCTION].box.value, panel.form.fields[LIQUID].box.value
    type_in(panel, SUCTION, "180, 181, 180")
    assert "▲" in head(panel) and "warning" in head(panel) and not panel.frame.is_stale
    type_in(panel, SUCTION, suction)
    type_in(panel, LIQUID, liquid)
    assert "warning" not in head(panel)


def test_fields_may_be_emptied():
    panel = RefrigerantPanel(LIBRARY)
    type_in(panel, "readings.outdoor.dry_bulb", "")
    assert not panel.frame.is_stale and not marked(panel), (head(panel), marked(panel))
    assert "Condensing over outdoor" not in panel.frame.figures.value
    type_in(panel, "readings.refrigerant.discharge_line", "")
    assert "Discharge line" not in panel.frame.figures.value
    type_in(panel, LIQUID, "")
    assert "Subcooling" not in panel.frame.figures.value and "Superheat at coil" in panel.frame.figures.value
    type_in(panel, SUCTION, "")
    assert panel.frame.is_stale and "neither suction_pressure nor liquid_pressure" in head(panel)


def test_files_a_wrong_one_keeps_the_visit_and_says_so():
    panel = RefrigerantPanel(LIBRARY)
    said, data = head(panel), panel.data()
    box, button = panel.files.names["visit"], panel.files.load_buttons["visit"]
    box.value = "nowhere.toml"
    button.click()
    assert "no such file" in panel.frame.message.value and "The panel is still as it was." in panel.frame.message.value
    assert head(panel) == said and panel.data() == data
    box.value = " "
    button.click()
    assert "Name the file first." in panel.frame.message.value
    assert head(panel) == said and panel.data() == data
    box.value = str(BAKERY)
    button.click()
    assert panel.units == "SI" and panel.explanation.refrigerant.refrigerant == "R-32"
    assert f">Loaded {BAKERY}.<" in panel.frame.message.value


def test_a_visit_without_refrigerant_readings_waits_for_them(tmp_path):
    text = LIBRARY.read_text()
    shutil.copy(LIBRARY.parent / "fan_table.csv", tmp_path)
    (tmp_path / "air.toml").write_text(text[: text.index("[readings.refrigerant]")])
    panel = RefrigerantPanel(tmp_path / "air.toml")
    assert panel.frame.is_stale and "no refrigerant readings" in head(panel) and panel.explanation is None
    type_in(panel, SUCTION, "123.5")
    type_in(panel, "readings.refrigerant.suction_line_at_coil", "51")
    assert not panel.frame.is_stale and "Superheat at coil" in panel.frame.figures.value
