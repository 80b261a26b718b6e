"""The field sheet without a browser: what it shows is what the library computes, and nothing typed is lost."""

import os
import shutil
import tomllib
from html import escape
from pathlib import Path

import pytest

import airside
from airside.errors import OutputError, VisitError
from airside.show.panels import FieldSheet, field_sheet, panel
from airside.units import show

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = DATA / "reading_room" / "before.toml", DATA / "bakery" / "after.toml"
STALE = "airside-stale"
DRAWS = 1500


@pytest.fixture(autouse=True, scope="module")
def few_draws():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(FieldSheet, "draws", DRAWS)
        # The picture is looked at in test_panels_form.py; here it would only take time.
        patch.setattr(field_sheet, "visit_picture", lambda result, *_, **__: result)
        patch.setattr(panel, "figure_bytes", lambda *_, **__: b"picture")
        yield


def number_boxes(sheet):
    return {id(f): f.box.value for f in sheet.form.all_fields()}


def field(sheet, path):
    """The field of a path; of an airflow field, the one of the method that is chosen."""
    shown = {f.path: f for f in [*sheet.form.fields.values(), *sheet.form.evidence[sheet.form.method.value()]]}
    return {**shown, "airflow.method": sheet.form.method, "airflow.at": sheet.form.place,
            "airflow.relative_uncertainty": sheet.form.uncertainty}[path]  # fmt: skip


def type_in(sheet, path, text):
    field(sheet, path).box.value = text


def marked(sheet):
    return {f.path: f.said for f in sheet.form.all_fields() if f.said}


def total(sheet):
    return float(sheet.result.capacity.total)


def shown_marks(sheet):
    """The HTML of every mark, as the browser gets it."""
    return "".join(w.value for f in sheet.form.all_fields() for w in f.widget.children[1:])


def is_greyed(frame):
    return {STALE in part._dom_classes for part in (frame.figures, frame.picture)} == {True}


# -- the demos, and what the library says ---------------------------------------------------------


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("file", [LIBRARY, BAKERY])
def test_a_demo_shows_what_the_library_computes(file, units):
    sheet = FieldSheet(file)
    visit = airside.load_visit(file)
    assert sheet.units == visit.units
    sheet.units_choice.value = units
    found = airside.analyse(visit, count=DRAWS)
    head, figures = sheet.frame.head.value, sheet.frame.figures.value
    capacity, flow = found.capacity, found.airflow
    assert f"<b>{show(float(capacity.total), 'capacity', units)}</b>" in head
    if units == visit.units:
        interval = next(r for r in found.parts()[0][1] if r.name == "total").interval_text(units)
        assert f"95 % interval {interval}, with the {flow.title.lower()}." in head
    for value, kind in (
        (capacity.sensible, "capacity"), (capacity.latent, "capacity"), (capacity.sensible_heat_ratio, "fraction"),
        (capacity.moisture_removal, "moisture_rate"), (flow.volume_flow, "volume_flow"),
        (flow.standard_volume_flow, "volume_flow"),
    ):  # fmt: skip
        assert f"<b>{show(float(value), kind, units)}</b>" in figures
    assert found.improve[0].split(" (")[0] in figures
    if units == visit.units:
        assert all(escape(a) in sheet.frame.assumptions.value for a in found.assumptions)
    assert not marked(sheet)


def listed(data):
    """As the form writes it: a reading that stands alone is a list of one."""
    data["fan"]["power"] = [data["fan"]["power"]]
    return data


def test_data_are_those_of_the_file():
    with LIBRARY.open("rb") as file:
        assert FieldSheet(LIBRARY).data() == listed(tomllib.load(file))


def test_an_empty_sheet_asks_for_readings():
    sheet = FieldSheet()
    assert "Type the readings" in sheet.frame.head.value
    assert sheet.result is None and not sheet.frame.has_result and not sheet.frame.picture.value
    assert not marked(sheet)


# -- units ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("file", [LIBRARY, BAKERY])
def test_units_there_and_back_keep_every_letter_and_the_figure(file):
    sheet = FieldSheet(file)
    typed, head, before = number_boxes(sheet), sheet.frame.head.value, total(sheet)
    own, other = sheet.units, "SI" if sheet.units == "IP" else "IP"
    for _ in range(2):
        sheet.units_choice.value = other
        assert number_boxes(sheet) != typed
        assert total(sheet) == pytest.approx(before, rel=1e-8)
        assert not sheet.frame.is_stale
        sheet.units_choice.value = own
        assert number_boxes(sheet) == typed
        assert total(sheet) == before
        assert sheet.frame.head.value == head


def test_what_was_typed_as_it_is_typed_survives_units():
    sheet = FieldSheet(LIBRARY)
    texts = {"readings.return.dry_bulb": "76.60;76.4, 24.7 degC ; 76.20,76.40\n076.5,+76.3, 7.63e1",
             "site.elevation": "5413.0", "readings.outdoor.dry_bulb": "nan, 91"}  # fmt: skip
    for path, text in texts.items():
        type_in(sheet, path, text)
    stored = {path: field(sheet, path).box.value for path in texts}
    sheet.units_choice.value = "SI"
    assert "24.7 degC" in field(sheet, "readings.return.dry_bulb").box.value
    sheet.units_choice.value = "IP"
    assert {path: field(sheet, path).box.value for path in texts} == stored


def test_a_value_changed_between_switches_is_kept():
    sheet = FieldSheet(LIBRARY)
    sheet.units_choice.value = "SI"
    type_in(sheet, "readings.supply.dry_bulb", ", ".join(["10.0"] * 8))
    sheet.units_choice.value = "IP"
    assert field(sheet, "readings.supply.dry_bulb").box.value == ", ".join(["50"] * 8)


def test_humidity_kind_and_then_units():
    sheet = FieldSheet(LIBRARY)
    wet = field(sheet, "readings.return.humidity_value")
    assert wet.caption.count("Relative humidity, readings, %") == 1
    sheet.units_choice.value = "SI"
    sheet.units_choice.value = "IP"
    field(sheet, "readings.return.humidity").box.value = "wet_bulb"
    assert "Wet bulb, readings, °F" in wet.caption
    # What was typed stays as it is: 47 °F is a wet bulb too.
    assert wet.box.value.startswith("46.8, 47.2")
    type_in(sheet, "readings.return.humidity_value", ", ".join(["61.0"] * 8))
    here = total(sheet)
    sheet.units_choice.value = "SI"
    assert "Wet bulb, readings, °C" in wet.caption
    assert wet.box.value == ", ".join(["16.11"] * 8)
    assert total(sheet) == pytest.approx(here, rel=1e-8)
    field(sheet, "readings.return.humidity").box.value = "dew_point"
    assert "Dew point, readings, °C" in wet.caption
    assert total(sheet) > here
    field(sheet, "readings.return.humidity").box.value = "relative_humidity"
    type_in(sheet, "readings.return.humidity_value", ", ".join(["46.5"] * 8))
    sheet.units_choice.value = "IP"
    assert wet.box.value == ", ".join(["46.5"] * 8)
    assert set(sheet.data()["readings"]["return"]) == {"instrument", "placement", "dry_bulb", "relative_humidity"}


# -- airflow --------------------------------------------------------------------------------------

METHODS = {
    "fan table": {"table": "fan_table.csv", "speed": "high", "external_static_pressure": "0.61, 0.62"},
    "measured": {"volume_flow": "2040, 2050", "basis": "actual"},
    "traverse": {"shape": "rectangular", "width": "20", "height": "18", "velocity": ",".join(["800"] * 25)},
    "temperature rise": {"heat_input": "9.6", "temperature_rise": "17.9, 18.1"},
    "pressure match": {"device_flow": "2000", "normal_static_pressure": "0.30", "device_static_pressure": "0.29"},
    "coil pressure drop": {"table": "coil.csv", "coil": "wet", "pressure_drop": "0.25, 0.26"},
    "rule of thumb": {"flow_per_capacity": "400"},
}
EXACT = {"measured": 2045.0, "traverse": 800 * 20 * 18 / 144, "pressure match": 2000 * (0.30 / 0.29) ** 0.5}


@pytest.mark.parametrize("method", METHODS)
def test_each_airflow_method_can_be_filled_and_computes(method, tmp_path):
    shutil.copytree(DATA / "reading_room", tmp_path / "unit")
    (tmp_path / "unit" / "coil.csv").write_text(
        "flow [cfm],dry [inH2O],wet [inH2O]\n1200,0.09,0.12\n1600,0.15,0.20\n2000,0.22,0.30\n2400,0.30,0.42\n"
    )
    sheet = FieldSheet(tmp_path / "unit" / "before.toml")
    sheet.form.method.box.value = method
    if method != "fan table":
        assert sheet.frame.is_stale and is_greyed(sheet.frame)
    assert sheet.form._evidence_box.children == tuple(f.widget for f in sheet.form.evidence[method])
    for name, text in METHODS[method].items():
        type_in(sheet, f"airflow.{name}", text)
    assert not sheet.frame.is_stale, sheet.frame.head.value
    assert f"with the {sheet.result.airflow.title.lower()}." in sheet.frame.head.value
    flow = float(sheet.result.airflow.volume_flow) * 2118.88
    assert flow == pytest.approx(EXACT.get(method, 2000), rel=1e-3 if method in EXACT else 0.25)
    before = total(sheet)
    sheet.units_choice.value = "SI"
    assert total(sheet) == pytest.approx(before, rel=1e-8)
    sheet.save(tmp_path / "saved.toml")
    read = airside.analyse(airside.load_visit(tmp_path / "saved.toml"), count=DRAWS)
    assert float(read.capacity.total) == pytest.approx(before, rel=1e-8)


def test_the_other_ways_of_a_method_compute_too():
    sheet = FieldSheet(LIBRARY)
    sheet.form.method.box.value = "temperature rise"
    for name, text in {"voltage": "240", "current": "40", "temperature_rise": "17.9"}.items():
        type_in(sheet, f"airflow.{name}", text)
    electric = float(sheet.result.airflow.volume_flow)
    for name, text in {"voltage": "", "current": "", "fuel_input": "12", "efficiency": "0.8"}.items():
        type_in(sheet, f"airflow.{name}", text)
    assert float(sheet.result.airflow.volume_flow) == pytest.approx(electric, rel=1e-9)
    sheet.form.method.box.value = "traverse"
    for name, text in {"shape": "round", "diameter": "20", "velocity_pressure": "0.04\n0.04\n0.04; 0.04"}.items():
        type_in(sheet, f"airflow.{name}", text)
    assert not sheet.frame.is_stale, sheet.frame.head.value
    assert sheet.data()["airflow"]["velocity_pressure"] == [0.04] * 4


def test_what_a_file_gives_one_method_is_not_given_to_another(tmp_path):
    text = LIBRARY.read_text().replace(
        'method = "fan table"\ntable = "fan_table.csv"\nspeed = "high"\nexternal_static_pressure = [0.61, 0.61, 0.63, 0.62]\n'
        'instrument = "manometer_1"',
        'method = "temperature rise"\nvoltage = 240\ncurrent = 23\nphases = 3\ntest_dry_bulb = 71.6\ntemperature_rise = 18',
    )
    file = tmp_path / "visit.toml"
    file.write_text(text)
    sheet = FieldSheet(file)
    before = total(sheet)
    sheet.form.method.box.value = "rule of thumb"
    type_in(sheet, "airflow.flow_per_capacity", "400")
    assert not sheet.frame.is_stale, sheet.frame.head.value
    sheet.units_choice.value = "SI"
    sheet.form.method.box.value = "temperature rise"
    assert sheet.data()["airflow"]["phases"] == 3
    assert sheet.data()["airflow"]["test_dry_bulb"] == pytest.approx(22.0)
    assert total(sheet) == pytest.approx(before, rel=1e-8)


def test_the_basis_of_a_pressure_match_is_kept(tmp_path):
    file = tmp_path / "visit.toml"
    text = LIBRARY.read_text().replace('method = "fan table"\ntable = "fan_table.csv"\nspeed = "high"\n', "")
    file.write_text(text.replace(
        "external_static_pressure = [0.61, 0.61, 0.63, 0.62]",
        'method = "pressure match"\nbasis = "indicated"\ndevice_flow = 1700\nnormal_static_pressure = 0.3\n'
        "device_static_pressure = 0.29",
    ))  # fmt: skip
    sheet = FieldSheet(file)
    assert sheet.data()["airflow"]["basis"] == "indicated"
    assert total(sheet) == pytest.approx(float(airside.analyse(airside.load_visit(file), count=DRAWS).capacity.total))


# -- what is wrong --------------------------------------------------------------------------------

WRONG = [
    ("readings.return.dry_bulb", "76,5", "decimal point, not a comma"),
    ("site.elevation", "5,413", "nothing between thousands"),
    ("readings.return.dry_bulb", "76.6, 76.4, nan, 76.2, 76.4, 76.5, 76.3, 76.3", "value 3: found nan"),
    ("readings.supply.dry_bulb", "1_0, 56.6, 56.8, 56.7, 56.7, 56.6, 56.5, 56.7", "1_0"),
    ("readings.supply.dry_bulb", "56.6, 56.6, 56.8", "equal lengths"),
    ("readings.supply.dry_bulb", "56.6, 56.6, 56.8, warm, 56.7, 56.6, 56.5, 56.7", "value 4: "),
    ("readings.return.humidity_value", "146, 47, 47, 47, 47, 47, 47, 47", "146"),
    ("readings.return.dry_bulb", "76 inH2O, 76, 76, 76, 76, 76, 76, 76", "is not a temperature"),
    ("readings.return.dry_bulb", "", "is missing; expected a temperature in °F"),
    ("readings.return.humidity_value", "", "no humidity"),
    ("readings.outdoor.dry_bulb", "inf", "found inf"),
    ("system.nominal_capacity", "0", "above zero"),
    ("system.nominal_capacity", "5, 6", "5, 6"),
    ("site.elevation", "", "neither elevation nor barometric pressure"),
    ("site.barometric_pressure", "2.4", "2.4"),
    ("fan.power", "0.7 cfm", "is not a power"),
    ("name", "", "is missing; expected text."),
    ("airflow.external_static_pressure", "0,6", "decimal point"),
    ("airflow.external_static_pressure", "9", "outside the table"),
    ("airflow.external_static_pressure", "0.61, 0,62", "a space follows each comma"),
    ("airflow.speed", "turbo", "turbo"),
    ("airflow.table", "none.csv", "none.csv"),
    ("airflow.relative_uncertainty", "five", "five"),
]  # fmt: skip


@pytest.fixture(scope="module")
def one_sheet(few_draws):
    return FieldSheet(LIBRARY)


@pytest.mark.parametrize(("path", "text", "said"), WRONG)
def test_bad_input_is_marked_at_its_field_and_mending_takes_it_away(one_sheet, path, text, said):
    sheet = one_sheet
    good, before, result = field(sheet, path).box.value, sheet.frame.figures.value, sheet.result
    picture, head = sheet.frame.picture.value, sheet.frame.head.value
    type_in(sheet, path, text)
    # The lengths of two lists are marked at the humidity, which makes the pair.
    at = {"equal lengths": "readings.supply.humidity_value", "outside the table": "airflow.method"}.get(said, path)
    assert set(marked(sheet)) == {at}
    assert said in marked(sheet)[at] and f"▲ {escape(marked(sheet)[at])}</div>" in shown_marks(sheet)
    assert "airside-wrong" in next(f for f in sheet.form.all_fields() if f.said).box._dom_classes
    assert sheet.frame.is_stale and is_greyed(sheet.frame)
    assert sheet.frame.figures.value == before and sheet.frame.picture.value == picture
    assert sheet.result is result
    assert "marked" in sheet.frame.head.value or path in sheet.frame.head.value
    type_in(sheet, path, good)
    assert not marked(sheet) and not shown_marks(sheet) and not sheet.frame.is_stale and not is_greyed(sheet.frame)
    assert not any("airside-wrong" in f.box._dom_classes for f in sheet.form.all_fields())
    assert sheet.frame.figures.value == before and sheet.frame.head.value == head


def test_wrong_input_does_not_hinder_a_switch_of_units(one_sheet):
    sheet = one_sheet
    good = field(sheet, "readings.return.dry_bulb").box.value
    type_in(sheet, "readings.return.dry_bulb", "76,5")
    sheet.units_choice.value = "SI"
    assert "readings.return.dry_bulb" in marked(sheet)
    sheet.units_choice.value = "IP"
    assert field(sheet, "readings.return.dry_bulb").box.value == "76,5"
    type_in(sheet, "readings.return.dry_bulb", good)
    assert not sheet.frame.is_stale


def test_texts_from_a_file_are_escaped(one_sheet):
    sheet = one_sheet
    good = field(sheet, "readings.return.dry_bulb").box.value
    type_in(sheet, "readings.return.dry_bulb", "<script>alert(1)</script>")
    assert "&lt;script&gt;" in shown_marks(sheet) and "<script>" not in shown_marks(sheet) + sheet.frame.head.value
    type_in(sheet, "readings.return.dry_bulb", good)


# -- files ----------------------------------------------------------------------------------------


def test_load_replaces_and_a_wrong_name_keeps_the_sheet():
    sheet = FieldSheet(LIBRARY)
    data = sheet.data()
    sheet.files.names["visit"].value = "nowhere.toml"
    sheet.files.load_buttons["visit"].click()
    assert "no such file" in sheet.frame.message.value and "still as it was" in sheet.frame.message.value
    assert sheet.data() == data and not sheet.frame.is_stale
    sheet.files.names["visit"].value = "  "
    sheet.files.load_buttons["visit"].click()
    assert "Name the file first" in sheet.frame.message.value
    sheet.files.names["visit"].value = f" {BAKERY} "
    sheet.files.load_buttons["visit"].click()
    assert f"Loaded {BAKERY}." in sheet.frame.message.value
    assert sheet.units == "SI" and sheet.form.method.value() == "traverse"
    assert total(sheet) == float(airside.analyse(airside.load_visit(BAKERY), count=DRAWS).capacity.total)


def test_a_saved_sheet_is_read_from_another_folder_with_its_fan_table(tmp_path, monkeypatch):
    shutil.copytree(DATA / "reading_room", tmp_path / "first" / "unit")
    (tmp_path / "second").mkdir()
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "first")
    sheet = FieldSheet("unit/before.toml")
    type_in(sheet, "readings.supply.dry_bulb", "55.1, 55.2, 55.1, 55.0, 55.3, 55.1, 55.2, 55.1")
    sheet.files.names["visit"].value = os.path.join("..", "second", "mine.toml")  # noqa: PTH118 - as it is typed
    sheet.files.save_buttons["visit"].click()
    assert f">Saved {Path('..', 'second', 'mine.toml')}.<" in sheet.frame.message.value
    saved = tmp_path / "second" / "mine.toml"
    assert str(tmp_path) not in saved.read_text()
    monkeypatch.chdir(tmp_path / "elsewhere")
    for read in (airside.load_visit("../second/mine.toml"), airside.load_visit(saved)):
        assert float(airside.analyse(read, count=DRAWS).capacity.total) == pytest.approx(total(sheet), rel=1e-12)


def test_an_existing_file_is_left_unless_the_tick_is_set(tmp_path):
    sheet = FieldSheet(BAKERY)
    target = tmp_path / "there.toml"
    target.write_text("mine")
    sheet.files.names["visit"].value = str(target)
    sheet.files.save_buttons["visit"].click()
    assert "exists already" in sheet.frame.message.value and "the tick at" in sheet.frame.message.value
    assert target.read_text() == "mine"
    with pytest.raises(OutputError):
        sheet.save(target)
    sheet.files.replace.value = True
    sheet.files.save_buttons["visit"].click()
    assert airside.load_visit(target).units == "SI"
    sheet.files.names["visit"].value = str(tmp_path / "no such folder" / "x.toml")
    sheet.files.save_buttons["visit"].click()
    assert "does not exist" in sheet.frame.message.value
    sheet.files.names["visit"].value = ""
    sheet.files.save_buttons["visit"].click()
    assert "Name the file first" in sheet.frame.message.value


def test_a_sheet_that_is_wrong_is_not_saved(tmp_path):
    sheet = FieldSheet(BAKERY)
    type_in(sheet, "readings.return.dry_bulb", "warm")
    with pytest.raises(VisitError):
        sheet.save(tmp_path / "x.toml")
    sheet.files.names["visit"].value = str(tmp_path / "x.toml")
    sheet.files.save_buttons["visit"].click()
    assert "warm" in sheet.frame.message.value
    assert not list(tmp_path.iterdir())


def test_new_empties_everything():
    sheet = FieldSheet(BAKERY)
    sheet.files.new_button.click()
    texts = {f.path: f.box.value for f in sheet.form.all_fields() if type(f).__name__ != "ChoiceField"}
    assert set(texts.values()) == {""}
    assert sheet.form.kept_words == "" and sheet.files.kept.value == "" and sheet.files.names["visit"].value == ""
    assert sheet.result is None and not sheet.frame.picture.value and not sheet.frame.figures.value
    assert "Type the readings" in sheet.frame.head.value
    # The units are the user's choice and stay.
    assert sheet.units == "SI"
    assert set(sheet.data()) <= {"format", "units", "mode", "airflow", "site", "system", "readings"}


def test_parts_without_fields_are_said_saved_and_survive_units(tmp_path):
    file = tmp_path / "visit.toml"
    shutil.copy(DATA / "reading_room" / "fan_table.csv", tmp_path)
    text = LIBRARY.read_text().replace(
        'mode = "cooling"\n', 'mode = "cooling"\nmeasured_by = "A. Name"\nnotes = "dusty"\n'
    )
    file.write_text(text)
    sheet = FieldSheet(file)
    words = sheet.files.kept.value
    for said in ("a side-by-side check", "7 instruments", "the probes&#x27; placement"):
        assert said in words, said
    # What was only kept in words has fields now.
    for path, typed in {"date": "2026-07-14", "measured_by": "A. Name", "notes": "dusty", "system.refrigerant": "R-410A",
                       "system.metering_device": "thermostatic valve", "system.target_subcooling": "9",
                       "readings.power.outdoor_unit": "4.59, 4.59, 4.63, 4.64, 4.63, 4.64, 4.66, 4.62",
                       "readings.refrigerant.liquid_line": "115.3, 115.3, 115.4, 114.9, 115.3"}.items():  # fmt: skip
        assert field(sheet, path).box.value == typed
    sheet.units_choice.value = "SI"
    sheet.save(tmp_path / "si.toml")
    sheet.units_choice.value = "IP"
    sheet.save(tmp_path / "ip.toml")
    given = listed(tomllib.loads(text))
    saved = tomllib.loads((tmp_path / "ip.toml").read_text())
    assert saved == given
    si = airside.load_visit(tmp_path / "si.toml")
    assert si.units == "SI" and si.measured_by == "A. Name" and str(si.date) == "2026-07-14"
    one, two = (
        v.model_dump(exclude={"path", "units", "airflow", "file_units"}) for v in (airside.load_visit(file), si)
    )
    assert_close(one, two)


def assert_close(one, two):
    """Two nested structures of which the numbers went through units and back."""
    if isinstance(one, dict):
        assert one.keys() == two.keys()
        for key in one:
            assert_close(one[key], two[key])
    elif isinstance(one, list | tuple):
        assert len(one) == len(two)
        for a, b in zip(one, two, strict=True):
            assert_close(a, b)
    elif isinstance(one, float):
        assert one == pytest.approx(two, rel=1e-8, abs=1e-9)
    else:
        assert one == two
