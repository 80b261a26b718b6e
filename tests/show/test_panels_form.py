"""What all panels have in common: words at every input, pictures, the line of text, readings as people type them."""

import struct
import zlib
from pathlib import Path

import pytest

from airside.show.panels import BeforeAfter, CoilPanel, FieldSheet, RefrigerantPanel, SideBySideCheck, before_after
from airside.show.panels.fields import ChoiceField, NumberField, TextField
from airside.units import KINDS

DATA = Path(__file__).parents[2] / "data"
BEFORE, AFTER = (DATA / "reading_room" / f"{n}.toml" for n in ("before", "after"))


def side_by_side():
    check = SideBySideCheck()
    check.fields["dry_bulb", 0].take([75.1, 75.2, 75.0, 75.1])
    check.fields["dry_bulb", 1].take([75.6, 75.6, 75.5, 75.7])
    return check


MAKERS = {
    "Field sheet": lambda: FieldSheet(BEFORE),
    "Before and after": lambda: BeforeAfter(BEFORE, AFTER),
    "Coil performance": lambda: CoilPanel(BEFORE),
    "Refrigerant side": lambda: RefrigerantPanel(BEFORE),
    "Side-by-side check": side_by_side,
}


@pytest.fixture(scope="module")
def panels():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(before_after, "FULL", 2000)
        yield {name: make() for name, make in MAKERS.items()}


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


INPUTS = ("Text", "Textarea", "Dropdown", "FloatSlider", "Button", "Checkbox")


@pytest.mark.parametrize("name", MAKERS)
def test_every_input_has_a_tooltip_or_says_what_it_does(panels, name):
    found = [w for w in widgets_in(panels[name].widget) if type(w).__name__ in INPUTS]
    assert len(found) >= 5
    for widget in found:
        # A tick has its words beside it.
        assert (widget.tooltip or "").strip() or (type(widget).__name__ == "Checkbox" and widget.description), widget
    for widget in widgets_in(panels[name].widget):
        if type(widget).__name__ == "ToggleButtons":
            assert len(widget.tooltips) == len(widget.options)


def all_fields(panel):
    forms = [panel.form] if hasattr(panel, "form") else list(getattr(panel, "forms", {}).values())
    found = list(panel.fields.values()) if hasattr(panel, "fields") else []
    for form in forms:
        found += form._all_fields()
    return found


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", ["Field sheet", "Before and after", "Refrigerant side", "Side-by-side check"])
def test_every_field_has_a_label_with_its_unit(panels, name, units):
    panel = panels[name]
    panel.units_choice.value = units
    fields = all_fields(panel)
    assert len(fields) >= 4
    for field in fields:
        assert (
            field.label in field.caption.value and len(field.label) > 2 and field.box.tooltip and field.caption.tooltip
        )
        if isinstance(field, NumberField):
            unit = KINDS[field.kind].display(units).label
            # A fraction has no unit, so its label says that it is one.
            assert f", {unit}</span>" in field.caption.value if unit else "fraction" in field.label, field.path


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", MAKERS)
def test_pictures_are_whole_and_of_a_sensible_size(panels, name, units):
    panel = panels[name]
    panel.units_choice.value = units
    assert not panel.frame.is_stale
    picture = panel.frame.picture.value
    assert picture[:8] == b"\x89PNG\r\n\x1a\n" and picture[-8:-4] == b"IEND"
    width, height = struct.unpack(">II", picture[16:24])
    assert 700 <= width <= 1400 and 250 <= height <= 1100
    assert 8_000 < len(picture) < 400_000
    # Every part carries its own checksum: a picture that was cut short fails here.
    place = 8
    while place < len(picture):
        (length,) = struct.unpack(">I", picture[place : place + 4])
        body = picture[place + 4 : place + 8 + length]
        assert zlib.crc32(body) == struct.unpack(">I", picture[place + 8 + length : place + 12 + length])[0]
        place += 12 + length


@pytest.mark.parametrize("name", MAKERS)
def test_without_widgets_there_is_a_line_of_text(panels, name):
    shown = panels[name]._repr_mimebundle_()
    assert shown["text/plain"] == f"{name}: needs a running kernel and widgets to show."
    assert "application/vnd.jupyter.widget-view+json" in shown


@pytest.mark.parametrize("name", MAKERS)
def test_the_safety_line_and_both_columns_are_there(panels, name):
    panel = panels[name].widget
    columns, *_, safety = panel.children
    assert "licensed practice" in safety.value
    # Both columns and the space between fit a window of 900 px, whose notebook leaves about 700.
    bases = [int(c.layout.flex.split()[2].removesuffix("px")) for c in columns.children]
    assert sum(bases) + 12 <= 700


# -- readings as people type them ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("76.1, 76.2", [76.1, 76.2]),
        ("76.1,76.2,76", [76.1, 76.2, 76]),
        ("76,76,76", [76, 76, 76]),
        ("118,122,120", [118, 122, 120]),
        ("76;75.5;77", [76, 75.5, 77]),
        ("76\n75.5\n\n77\n", [76, 75.5, 77]),
        ("  76 ,  75 ,", [76, 75]),
        ("-3, +4, .5, 5.", [-3, 4, 0.5, 5]),
        ("24.1 degC, 76", ["24.1 degC", 76]),
        ("24.1 degC,24.2 degC", ["24.1 degC", "24.2 degC"]),
        ("1e3", [1000]),
        # These may be one number or two: they go on as they are, to be asked about.
        ("1,700", ["1,700"]),
        ("1,234,567", ["1,234,567"]),
        ("75,5", ["75,5"]),
        ("1_0", ["1_0"]),
        ("warm", ["warm"]),
        ("1e400", [float("inf")]),
        ("", None),
        (" ; ,\n", None),
    ],
)
def test_readings_as_they_are_typed(text, parts):
    field = NumberField("x", "Readings", "", "temperature", many=True, rows=3)
    field.box.value = text
    assert field.value() == parts


def test_nan_stays_one_number():
    field = NumberField("x", "Readings", "", "temperature", many=True)
    field.box.value = "nan, 76"
    nan, other = field.value()
    assert nan != nan and other == 76


def test_a_field_of_one_number_takes_a_list_for_a_text():
    field = NumberField("x", "Width", "", "duct_side")
    field.box.value = "5, 6"
    assert field.value() == "5, 6"
    field.box.value = "5"
    assert field.value() == 5 and isinstance(field.value(), int)


@pytest.mark.parametrize("kind", ["temperature", "temperature_difference", "duct_pressure", "refrigerant_pressure",
                                  "relative_humidity", "velocity", "volume_flow", "nominal_capacity", "fraction"])  # fmt: skip
@pytest.mark.parametrize("text", ["76.6,  76.40;24.7 degC", "75,5", "nan", "0", "1e3\n2", "33.33333333333333"])
def test_units_there_and_back_give_every_letter_and_exactly_the_number(kind, text):
    field = NumberField("x", "Readings", "", kind, many=True, rows=2)
    field.box.value = text
    before = str(field.value())
    for _ in range(2):
        field.switch_units("SI")
        field.switch_units("IP")
        assert field.box.value == text and str(field.value()) == before


def test_a_switch_shows_few_digits_and_computes_with_all():
    field = NumberField("x", "Readings", "", "temperature", many=True)
    field.box.value = "75.9"
    field.switch_units("SI")
    assert field.box.value == "24.3889"
    assert field.value() == [pytest.approx(24.38888889, abs=1e-8)]
    field.box.value = "24.5"
    field.switch_units("IP")
    assert field.box.value == "76.1"


def test_a_value_from_a_file_is_not_taken_for_one_that_was_switched():
    field = NumberField("x", "Readings", "", "temperature", many=True)
    field.box.value = "75.9"
    field.switch_units("SI")
    field.take([24.3889])
    assert field.value() == [24.3889]


def test_choices_from_a_file():
    field = ChoiceField("x", "Shape", "", ["rectangular", "round"])
    field.take("round")
    assert field.value() == "round"
    field.take(None)
    assert field.value() == "rectangular"
    free = ChoiceField("x", "Device", "", ["fixed orifice"], empty=True, free=True)
    free.take("piston no. 61")
    assert free.value() == "piston no. 61"
    free.take(None)
    assert free.value() is None and len(free.box.options) == 2


def test_text_is_trimmed_and_an_empty_one_is_none():
    field = TextField("x", "Name", "")
    field.box.value = "  Clinic  "
    assert field.value() == "Clinic"
    field.box.value = "   "
    assert field.value() is None


def test_messages_and_labels_are_escaped():
    field = TextField("x", "Name <b>", "")
    assert "&lt;b&gt;" in field.caption.value
    field.say("found <script>")
    assert "<script>" not in field.message.value and "▲" in field.message.value
    field.say("")
    assert field.message.value == ""
