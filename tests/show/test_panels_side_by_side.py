"""The side-by-side panel: offsets of the library, a table that a visit file takes."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from airside.instruments.side_by_side import offset
from airside.show.panels import SideBySideCheck
from airside.visit.load import parse_visit

FIRST, SECOND = [75.1, 75.2, 75.0, 75.1, 75.2], [75.6, 75.6, 75.5, 75.7, 75.6]
HUMID_FIRST, HUMID_SECOND = [47.2, 46.9, 47.2, 47.1], [45.7, 45.4, 45.6, 45.9]
STALE = "airside-stale"


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    # Pictures are looked at in test_panels_form.py.
    monkeypatch.setattr(SideBySideCheck, "_picture", lambda *_: b"picture")


@pytest.fixture
def check():
    found = SideBySideCheck()
    type_in(found, "dry_bulb", FIRST, SECOND)
    return found


def type_in(check, quantity, first, second):
    for index, values in enumerate((first, second)):
        check.fields[quantity, index].box.value = values if isinstance(values, str) else ", ".join(map(str, values))


def marks(check):
    fields = [*check.fields.values(), *check.names]
    return [f.message.value for f in fields if f.message.value]


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


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_table_is_taken_by_a_visit_file_of_either_system(check, units):
    type_in(check, "relative_humidity", HUMID_FIRST, HUMID_SECOND)
    check.names[0].box.value, check.names[1].box.value = 'old "red" probe', "probe_b"
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
    for field, name in zip(check.names, names, strict=True):
        field.box.value = name
    assert len(marks(check)) == 1 and check.frame.is_stale
    check.names[0].box.value, check.names[1].box.value = "a", "b"
    assert "b reads" in check.frame.head.value and not marks(check)


def test_readings_with_units_of_their_own(check):
    type_in(check, "dry_bulb", "24 degC; 24.1 degC; 75.3", "24.5 degC\n24.6 degC\n76.2")
    assert check.offsets["dry_bulb"].offset == pytest.approx(0.5, abs=1e-9)
    table = tomllib.loads(check.text.value)["side_by_side"]
    assert table["dry_bulb"][0] == ["24 degC", "24.1 degC", "75.3 degF"]


def test_names_are_escaped(check):
    check.names[1].box.value = "<script>"
    assert "<script>" not in check.frame.head.value
