"""The side-by-side panel: offsets of the library, a table that a visit file takes."""

import shutil
import tomllib
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.errors import OutputError
from airside.instruments.side_by_side import offset
from airside.show.panels import SideBySideCheck, side_by_side
from airside.show.panels import panel as panel_base
from airside.visit.load import parse_visit

FIRST, SECOND = [75.1, 75.2, 75.0, 75.1, 75.2], [75.6, 75.6, 75.5, 75.7, 75.6]
HUMID_FIRST, HUMID_SECOND = [47.2, 46.9, 47.2, 47.1], [45.7, 45.4, 45.6, 45.9]
STALE = "airside-stale"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    # Pictures are looked at in test_panels_form.py.
    monkeypatch.setattr(side_by_side, "side_by_side_chart", lambda readings, offsets, **_: readings)
    monkeypatch.setattr(panel_base, "figure_bytes", lambda *_, **__: b"picture")


@pytest.fixture
def check():
    found = SideBySideCheck()
    type_in(found, "dry_bulb", FIRST, SECOND)
    return found


def type_in(check, quantity, first, second):
    for index, values in enumerate((first, second)):
        check.fields[quantity, index].box.value = values if isinstance(values, str) else ", ".join(map(str, values))


def marks(check):
    fields = [*check.fields.values(), *check.probes]
    return [f.said for f in fields if f.said]


def celsius(values):
    return [(v - 32) / 1.8 for v in values]


def test_an_empty_check_asks_for_readings():
    check = SideBySideCheck()
    assert "Hold both probes" in check.frame.head.value and not marks(check) and not check.text.value


def test_offsets_and_sentence_are_the_librarys(check):
    found = offset(celsius(FIRST), celsius(SECOND))
    assert check.offsets["dry_bulb"].offset == pytest.approx(found.offset)
    assert check.offsets["dry_bulb"].standard_uncertainty == pytest.approx(found.standard_uncertainty)
    by_hand = np.mean(np.subtract(SECOND, FIRST))
    assert f"probe_2 reads {by_hand:.2f} °F above probe_1 in dry bulb." in check.frame.head.value
    assert (
        f"{found.standard_uncertainty * 1.8:.2f} °F" in check.frame.figures.value and "yes" in check.frame.figures.value
    )


def test_both_quantities_and_the_other_sign(check):
    type_in(check, "relative_humidity", HUMID_FIRST, HUMID_SECOND)
    by_hand = -np.mean(np.subtract(HUMID_SECOND, HUMID_FIRST))
    assert f"probe_2 reads {by_hand:.2f}&nbsp;% below probe_1 in relative humidity" in check.frame.head.value
    assert set(check.offsets) == {"dry_bulb", "relative_humidity"}
    type_in(check, "relative_humidity", "", "")
    assert set(check.offsets) == {"dry_bulb"}


def test_units_there_and_back(check):
    head, text = check.frame.head.value, check.text.value
    check.units_choice.value = "SI"
    assert "0.27 K above" in check.frame.head.value and "degC" in check.text.value
    check.units_choice.value = "IP"
    assert check.frame.head.value == head and check.text.value == text
    assert check.fields["dry_bulb", 0].box.value == ", ".join(map(str, FIRST))
    assert not check.frame.is_stale and not marks(check)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_table_is_taken_by_a_visit_file_of_either_system(check, units):
    type_in(check, "relative_humidity", HUMID_FIRST, HUMID_SECOND)
    check.probes[0].box.value, check.probes[1].box.value = 'old "red" probe', "probe_b"
    check.units_choice.value = units
    table = tomllib.loads(check.text.value)["side_by_side"]
    assert table["instruments"] == ['old "red" probe', "probe_b"] and table["apply"] is True
    bakery = Path(__file__).parents[2] / "data" / "bakery" / "before.toml"
    names = "".join(f"\n[instruments.'{n}']\ndry_bulb = {{ accuracy = 0.4 }}\n" for n in table["instruments"][:1])
    visit = parse_visit(f"{bakery.read_text()}\n{names}\n{check.text.value}")
    assert visit.side_by_side.dry_bulb[0] == pytest.approx(celsius(FIRST), abs=1e-4)
    assert visit.side_by_side.relative_humidity[1] == pytest.approx(np.array(HUMID_SECOND) / 100)


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ("75.1, 75.2", "75.6, 75.6", "3"),
        ("75.1, 75.2, 75.0", "75.6, 75.6", "3"),
        ("75.1, 75.2, 75.0", "", ""),
        ("75.1, 75.2, warm", "75.6, 75.6, 75.5", "warm"),
        ("75,1", "75.6, 75.6, 75.5", "75,1"),
        ("75.1, nan, 75.0", "75.6, 75.6, 75.5", "value 2: found nan"),
        ("75.1, inf, 75.0", "75.6, 75.6, 75.5", "value 2: found inf"),
        ("75.1, 1_0, 75.0", "75.6, 75.6, 75.5", "1_0"),
        ("75.1, 751, 75.0", "75.6, 75.6, 75.5", "value 2: found 751.0 °F"),
        ("75.1, 75.2, 75.0", "75.6, 75.6, 50 %", "50 %"),
    ],
)
def test_bad_readings_are_marked_and_mending_takes_it_away(check, first, second, said):
    figures, text, offsets = check.frame.figures.value, check.text.value, check.offsets
    type_in(check, "dry_bulb", first, second)
    (mark,) = marks(check)
    assert said in mark
    assert check.frame.is_stale and STALE in check.frame.picture._dom_classes
    assert check.frame.figures.value == figures and check.offsets is offsets
    # What was typed before must not be copied into a visit file as if it were this.
    assert check.text.value == ""
    type_in(check, "dry_bulb", FIRST, SECOND)
    assert not marks(check) and not check.frame.is_stale and STALE not in check.frame.picture._dom_classes
    assert check.text.value == text


@pytest.mark.parametrize("names", [("a", "a"), ("", "b"), ("a", "")])
def test_two_names_are_needed(check, names):
    for field, name in zip(check.probes, names, strict=True):
        field.box.value = name
    assert len(marks(check)) == 1 and check.frame.is_stale
    check.probes[0].box.value, check.probes[1].box.value = "a", "b"
    assert "b reads" in check.frame.head.value and not marks(check)


def test_readings_with_units_of_their_own(check):
    type_in(check, "dry_bulb", "24 degC; 24.1 degC; 75.3", "24.5 degC\n24.6 degC\n76.2")
    assert check.offsets["dry_bulb"].offset == pytest.approx(0.5, abs=1e-9)
    table = tomllib.loads(check.text.value)["side_by_side"]
    assert table["dry_bulb"][0] == ["24 degC", "24.1 degC", "75.3 degF"]


def test_names_are_escaped(check):
    check.probes[1].box.value = "<script>"
    assert "<script>" not in check.frame.head.value


# -- the check of a visit -------------------------------------------------------------------------

DATA = Path(__file__).parents[2] / "data"
LIBRARY, BAKERY = DATA / "reading_room" / "before.toml", DATA / "bakery" / "before.toml"
CELSIUS = ("24.1, 24.2, 24.1, 24.2", "24.6, 24.6, 24.5, 24.7")


def own_check(file):
    return tomllib.loads(Path(file).read_text())["side_by_side"]


def supply_dry_bulb(visit):
    return float(airside.analyse(visit, count=50).supply_air.dry_bulb)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_a_visits_own_check_is_shown(units):
    found = SideBySideCheck(LIBRARY)
    table, visit = own_check(LIBRARY), airside.load_visit(LIBRARY)
    assert [p.value() for p in found.probes] == table["instruments"] and found.apply.value() is table["apply"]
    for (quantity, index), field in found.fields.items():
        assert field.value() == table[quantity][index]
    found.units_choice.value = units
    for quantity in ("dry_bulb", "relative_humidity"):
        wanted = offset(*getattr(visit.side_by_side, quantity))
        assert found.offsets[quantity].offset == pytest.approx(wanted.offset, abs=1e-8)
        assert found.offsets[quantity].standard_uncertainty == pytest.approx(wanted.standard_uncertainty, rel=1e-6)
    assert not found.frame.is_stale and not marks(found)


def test_what_came_with_a_visit_is_saved_as_it_was(tmp_path):
    shutil.copy(LIBRARY.parent / "fan_table.csv", tmp_path)
    found = SideBySideCheck(LIBRARY)
    file = found.save(tmp_path / "saved.toml")
    assert own_check(file) == own_check(LIBRARY)
    assert airside.load_visit(file).side_by_side == airside.load_visit(LIBRARY).side_by_side
    found.units_choice.value = "SI"
    si = airside.load_visit(found.save(tmp_path / "si.toml"))
    assert si.side_by_side.dry_bulb[1] == pytest.approx(airside.load_visit(LIBRARY).side_by_side.dry_bulb[1], abs=1e-8)


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("is_applied", [True, False])
def test_a_check_that_is_saved_is_read_and_applied(units, is_applied, tmp_path):
    found = SideBySideCheck(BAKERY)
    assert "Hold both probes" in found.frame.head.value and found.units == "SI"
    assert [p.value() for p in found.probes] == ["probe_a", "probe_b"]
    type_in(found, "dry_bulb", *CELSIUS)
    found.units_choice.value = units
    found.apply.box.value = is_applied
    file = found.save(tmp_path / "checked.toml")
    visit, plain = airside.load_visit(file), airside.load_visit(BAKERY)
    assert visit.units == units and visit.side_by_side.apply is is_applied and visit.panel == {}
    assert visit.side_by_side.instruments == ("probe_a", "probe_b")
    assert visit.side_by_side.dry_bulb[0] == pytest.approx([24.1, 24.2, 24.1, 24.2], abs=1e-8)
    # Half of the offset is taken from the probe that reads high: here the one in the supply air.
    shift = found.offsets["dry_bulb"].offset / 2 if is_applied else 0.0
    assert found.offsets["dry_bulb"].offset == pytest.approx(0.45)
    assert supply_dry_bulb(visit) == pytest.approx(supply_dry_bulb(plain) - shift, abs=1e-6)
    # The panel's own visit is that of the file.
    assert found.visit().side_by_side.apply is is_applied
    assert supply_dry_bulb(found.visit()) == pytest.approx(supply_dry_bulb(visit), abs=1e-6)
    again = SideBySideCheck(file)
    assert again.frame.head.value == found.frame.head.value and again.apply.value() is is_applied
    assert [p.value() for p in again.probes] == ["probe_a", "probe_b"]


def test_readings_typed_before_the_visit_came_in_are_saved_in_it(check, tmp_path):
    check.probes[0].box.value, check.probes[1].box.value = "probe_b", "probe_a"
    check.load(BAKERY)
    # The visit has no check of its own, so what was typed stays, in the visit's units, with the names as typed.
    assert check.units == "SI" and check.offsets["dry_bulb"].offset == pytest.approx(0.2667, abs=1e-3)
    assert [p.value() for p in check.probes] == ["probe_b", "probe_a"]
    visit = airside.load_visit(check.save(tmp_path / "checked.toml"))
    assert visit.side_by_side.instruments == ("probe_b", "probe_a")
    assert visit.side_by_side.dry_bulb[1] == pytest.approx(celsius(SECOND), abs=1e-8)


def test_a_check_that_came_with_a_visit_goes_with_it():
    found = SideBySideCheck(LIBRARY)
    found.load(BAKERY)
    assert not any(f.box.value for f in found.fields.values()) and found.text.value == ""
    assert [p.value() for p in found.probes] == ["probe_a", "probe_b"] and "Hold both probes" in found.frame.head.value
    assert found.data().get("side_by_side") is None
    found.undo()
    assert found.fields["dry_bulb", 0].value() == own_check(LIBRARY)["dry_bulb"][0]
    # And a visit's own check replaces one that was typed.
    found = SideBySideCheck()
    type_in(found, "dry_bulb", FIRST, SECOND)
    found.load(LIBRARY)
    assert found.fields["dry_bulb", 1].value() == own_check(LIBRARY)["dry_bulb"][1]


def test_a_probe_that_the_visit_does_not_know_is_said_when_saving(check, tmp_path):
    check.load(BAKERY)
    check.files.names["visit"].value = str(tmp_path / "x.toml")
    check.files.save_buttons["visit"].click()
    assert "probe_1" in check.frame.message.value and "probe_2" in check.frame.message.value
    assert not list(tmp_path.iterdir())


def test_a_check_that_is_wrong_is_not_saved(tmp_path):
    found = SideBySideCheck(LIBRARY)
    found.fields["dry_bulb", 0].box.value = "75.1, 75.2"
    with pytest.raises(OutputError, match="Mend what is marked first"):
        found.save(tmp_path / "x.toml")
    # Meanwhile the visit is as its file has it.
    assert found.visit().side_by_side == airside.load_visit(LIBRARY).side_by_side


def test_a_quantity_that_is_emptied_is_no_longer_in_the_check(tmp_path):
    file = tmp_path / "visit.toml"
    shutil.copy(LIBRARY.parent / "fan_table.csv", tmp_path)
    found = SideBySideCheck(LIBRARY)
    found.form.fields["notes"].box.value = "dusty"
    type_in(found, "dry_bulb", ", ".join(["75.0"] * 4), ", ".join(["74.0"] * 4))
    type_in(found, "relative_humidity", "", "")
    table = own_check(found.save(file))
    assert table == {"instruments": ["duct_probe_1", "duct_probe_2"], "apply": True,
                     "dry_bulb": [[75.0] * 4, [74.0] * 4]}  # fmt: skip
    assert airside.load_visit(file).notes == "dusty"


def test_empty_takes_the_readings_away(check):
    check.probes[0].box.value, check.apply.box.value = "mine", False
    check.files.new_button.click()
    assert not any(f.box.value for f in check.fields.values()) and check.offsets == {} and check.text.value == ""
    assert [p.value() for p in check.probes] == ["probe_1", "probe_2"] and check.apply.value() is True
    check.undo()
    assert check.probes[0].value() == "mine" and check.offsets["dry_bulb"].offset == pytest.approx(0.2667, abs=1e-3)


def test_a_heating_visit_is_checked_too(tmp_path):
    text = BAKERY.read_text().replace('mode = "cooling"', 'mode = "heating"')
    text = text.replace("[13.6, 13.7, 13.7, 13.7, 13.7]", "[35.6, 35.7, 35.7, 35.7, 35.7]")
    text = text.replace("[90.0, 89.6, 89.9, 90.2, 89.7]", "[29.0, 29.6, 29.9, 29.2, 29.7]")
    (tmp_path / "heating.toml").write_text(text)
    found = SideBySideCheck(tmp_path / "heating.toml")
    type_in(found, "dry_bulb", *CELSIUS)
    visit = airside.load_visit(found.save(tmp_path / "checked.toml"))
    assert visit.mode == "heating"
    assert supply_dry_bulb(visit) == pytest.approx(
        supply_dry_bulb(airside.load_visit(tmp_path / "heating.toml")) - 0.225
    )
