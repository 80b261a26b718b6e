"""The airflow evidence panel: each method's flow and doubt as the library has them, with what the flow does to the capacity."""

import re
import shutil
from html import unescape
from pathlib import Path

import pytest

import airside
from airside.airflow.defaults import METHODS
from airside.show.panels import AirflowEvidence, FieldSheet, airflow_evidence, field_sheet
from airside.show.panels import panel as panel_base
from airside.units import percent, show

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = DATA / "reading_room" / "before.toml", DATA / "bakery" / "before.toml"
DRAWS = 800
COIL_TABLE = "flow [cfm],dry [inH2O],wet [inH2O]\n1200,0.09,0.12\n1600,0.15,0.20\n2000,0.22,0.30\n2400,0.30,0.42\n"
TYPED = {
    "fan table": {"table": "fan_table.csv", "speed": "high", "external_static_pressure": "0.61, 0.62"},
    "measured": {"volume_flow": "2040, 2050", "basis": "standard"},
    "traverse": {"shape": "rectangular", "width": "20", "height": "18", "velocity": ",".join(["800"] * 25)},
    "temperature rise": {"heat_input": "9.6", "temperature_rise": "17.9, 18.1"},
    "pressure match": {"device_flow": "2000", "normal_static_pressure": "0.30", "device_static_pressure": "0.29"},
    "coil pressure drop": {"table": "coil.csv", "coil": "wet", "pressure_drop": "0.25, 0.26"},
    "rule of thumb": {"flow_per_capacity": "400"},
}


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    for kind in (AirflowEvidence, FieldSheet):
        monkeypatch.setattr(kind, "draws", DRAWS)
    # The picture is looked at in test_panels_form.py.
    monkeypatch.setattr(airflow_evidence, "airflow_chart", lambda result, **_: result)
    monkeypatch.setattr(field_sheet, "visit_picture", lambda result, *_, **__: result)
    monkeypatch.setattr(panel_base, "figure_bytes", lambda *_, **__: b"picture")


@pytest.fixture(scope="module")
def unit(tmp_path_factory):
    """A folder with the library's visit and tables of both kinds."""
    folder = tmp_path_factory.mktemp("unit")
    shutil.copytree(DATA / "reading_room", folder, dirs_exist_ok=True)
    (folder / "coil.csv").write_text(COIL_TABLE)
    return folder


def head(found):
    return unescape(found.frame.head.value).replace("\u00a0", " ")


def figures(found):
    """Name and value of each key figure."""
    return dict(re.findall(r"opacity:.8\">(.*?)</span><br><b>(.*?)</b>", unescape(found.frame.figures.value)))


def says_what_the_library_does(found, visit):
    """Hold every figure of the panel against the library's result for a visit."""
    wanted, units = airside.analyse(visit, count=DRAWS), found.units
    flow = wanted.airflow
    row = next(r for _, rows in wanted.parts() for r in rows if r.name == "volume_flow")
    assert f"{flow.title}: <b>{show(float(flow.volume_flow), 'volume_flow', units)}</b>" in head(found)
    assert f"95 % interval {row.interval_text(units)}." in head(found)
    share = sum(r.share for r in wanted.budget if r.error.name.lower().startswith("airflow"))
    said = {
        "As standard air": show(float(flow.standard_volume_flow), "volume_flow", units),
        "Dry air": show(float(flow.dry_air_mass_flow), "mass_flow", units),
        "Standard uncertainty of the method": percent(float(flow.relative_standard_uncertainty), 1),
        "Total capacity with it": show(float(wanted.capacity.total), "capacity", units),
        "Its share of the capacity's doubt": percent(share, 0),
    }
    nominal = visit.system.nominal_capacity
    if nominal is not None:
        said["Flow per nominal capacity"] = show(float(flow.volume_flow) / nominal, "flow_per_capacity", units)
    assert figures(found) == said
    return wanted


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("file", [LIBRARY, BAKERY])
def test_a_demo_shows_what_the_library_computes(file, units):
    found = AirflowEvidence(file)
    found.units_choice.value = units
    visit = found.visit()
    wanted = says_what_the_library_does(found, visit)
    as_loaded = airside.analyse(airside.load_visit(file), count=DRAWS)
    assert float(wanted.airflow.volume_flow) == pytest.approx(float(as_loaded.airflow.volume_flow), rel=1e-8)
    for assumption in wanted.assumptions:
        assert assumption in unescape(found.frame.assumptions.value)
    assert found.shown.figure is found.result


def test_every_method_of_the_library_is_offered():
    assert set(TYPED) == set(METHODS) == set(AirflowEvidence().form.method.options)


@pytest.mark.parametrize("method", TYPED)
def test_each_method_can_be_typed_and_shows_what_the_library_computes(method, unit, tmp_path):
    found = AirflowEvidence(unit / "before.toml")
    found.form.method.box.value = method
    shown = {f.path.removeprefix("airflow."): f for f in found.form.evidence[method]}
    if method != "fan table":
        # What is missing is marked at once, in the fold of the airflow, and the last good flow is greyed.
        assert found.frame.is_stale and "airside-stale" in found.frame.figures._dom_classes
        assert any(f.said for f in [*shown.values(), found.form.method]) and found.form.folds["Airflow"].is_open
    for name, text in TYPED[method].items():
        shown[name].box.value = text
    assert not found.frame.is_stale and not any(f.said for f in found.form.all_fields()), head(found)
    says_what_the_library_does(found, found.visit())
    # The file that is saved gives the same flow and doubt, by the library and in the field sheet.
    file = found.save(unit / f"{method}.toml")
    says_what_the_library_does(found, airside.load_visit(file))
    # What was not typed stays: the file's own method comes back as it was.
    found.form.method.box.value = "fan table"
    if method != "fan table":
        assert float(found.result.airflow.volume_flow) == pytest.approx(
            float(airside.analyse(airside.load_visit(LIBRARY), count=50).airflow.volume_flow), rel=1e-12
        )


def test_the_methods_own_doubt_and_one_that_is_stated(unit):
    found = AirflowEvidence(unit / "before.toml")
    assert figures(found)["Standard uncertainty of the method"] == percent(
        METHODS["fan table"].relative_standard_uncertainty, 1
    )
    wide = figures(found)["Its share of the capacity's doubt"]
    found.form.uncertainty.box.value = "0.02"
    assert figures(found)["Standard uncertainty of the method"] == "2.0 %"
    assert figures(found)["Its share of the capacity's doubt"] != wide
    says_what_the_library_does(found, found.visit())


@pytest.mark.parametrize("place", ["return", "supply"])
def test_where_the_flow_holds(place, unit):
    found = AirflowEvidence(unit / "before.toml")
    found.form.method.box.value = "measured"
    found.form.evidence["measured"][0].box.value = "2000"
    found.form.place.box.value = place
    assert found.visit().airflow.at == place
    says_what_the_library_does(found, found.visit())


def test_without_a_nominal_capacity_there_is_no_flow_per_capacity(unit):
    found = AirflowEvidence(unit / "before.toml")
    found.form.fields["system.nominal_capacity"].box.value = ""
    assert "Flow per nominal capacity" not in figures(found) and not found.frame.is_stale
    found.form.method.box.value = "rule of thumb"
    found.form.evidence["rule of thumb"][0].box.value = "400"
    # The mark is at a field of another group, which opens.
    assert found.frame.is_stale and "is missing" in found.form.fields["system.nominal_capacity"].said
    assert found.form.folds["Visit"].is_open


@pytest.mark.parametrize(
    ("method", "name", "text", "said"),
    [
        ("fan table", "external_static_pressure", "9", "outside the table"),
        ("fan table", "speed", "turbo", "turbo"),
        ("fan table", "table", "none.csv", "none.csv"),
        ("measured", "volume_flow", "2,000", "nothing between thousands"),
        ("measured", "volume_flow", "-5", "above zero"),
        ("traverse", "velocity", "800, fast", "value 2: "),
        ("pressure match", "device_flow", "2000 inH2O", "is not a volume flow"),
        ("temperature rise", "temperature_rise", "", "is missing; expected a temperature difference in °F"),
    ],
)
def test_bad_evidence_is_marked_and_mending_takes_it_away(method, name, text, said, unit):
    found = AirflowEvidence(unit / "before.toml")
    found.form.method.box.value = method
    shown = {f.path.removeprefix("airflow."): f for f in found.form.evidence[method]}
    for key, good in TYPED[method].items():
        shown[key].box.value = good
    before, result = figures(found), found.result
    shown[name].box.value = text
    marks = {f.path: f.said for f in found.form.all_fields() if f.said}
    assert found.frame.is_stale and len(marks) == 1 and said in "".join(marks.values()), marks
    assert figures(found) == before and found.result is result
    shown[name].box.value = TYPED[method][name]
    assert not found.frame.is_stale and not any(f.said for f in found.form.all_fields()) and figures(found) == before


def test_a_heating_visit(tmp_path):
    text = BAKERY.read_text().replace('mode = "cooling"', 'mode = "heating"')
    text = text.replace("[13.6, 13.7, 13.7, 13.7, 13.7]", "[35.6, 35.7, 35.7, 35.7, 35.7]")
    text = text.replace("[90.0, 89.6, 89.9, 90.2, 89.7]", "[29.0, 29.6, 29.9, 29.2, 29.7]")
    (tmp_path / "heating.toml").write_text(text)
    found = AirflowEvidence(tmp_path / "heating.toml")
    says_what_the_library_does(found, airside.load_visit(tmp_path / "heating.toml"))
    sheet = FieldSheet(tmp_path / "heating.toml")
    assert "Delivered heating" in head(sheet)
    assert figures(found)["Total capacity with it"] in head(sheet)


def test_an_empty_panel_asks_for_readings():
    found = AirflowEvidence()
    assert "Type the readings" in head(found) and found.result is None and found.form.folds["Airflow"].is_open
