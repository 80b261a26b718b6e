"""What all panels have in common: words at every input, pictures, the line of text, readings as people type them."""

import re
import struct
import zlib
from datetime import date as Day
from html import unescape
from pathlib import Path

import ipywidgets
import pytest

from airside.show.panels import (
    AirflowEvidence,
    BeforeAfter,
    CoilPanel,
    FieldSheet,
    LoggedData,
    LongRunPanel,
    PlanningPanel,
    RefrigerantPanel,
    SideBySideCheck,
    before_after,
    panel,
)
from airside.show.panels.fields import ChoiceField, DateField, Field, NumberField, TextField
from airside.show.panels.fold import Fold
from airside.show.panels.shared import words_of
from airside.show.panels.style import STYLE
from airside.show.panels.ticks import Tick
from airside.units import KINDS, parse, to_inside

DATA = Path(__file__).parents[2] / "data"
BEFORE, AFTER = (DATA / "reading_room" / f"{n}.toml" for n in ("before", "after"))

MAKERS = {
    "Field sheet": lambda: FieldSheet(BEFORE),
    "Airflow evidence": lambda: AirflowEvidence(BEFORE),
    "Before and after": lambda: BeforeAfter(BEFORE, AFTER),
    "Coil performance": lambda: CoilPanel(BEFORE),
    "Refrigerant side": lambda: RefrigerantPanel(BEFORE),
    "Planning a visit": lambda: PlanningPanel(BEFORE),
    "Side-by-side check": lambda: SideBySideCheck(BEFORE),
    "Logged data": lambda: LoggedData(DATA / "clinic" / "before.toml"),
    "Long run": lambda: LongRunPanel(*(DATA / "clinic" / f"{n}.toml" for n in ("before", "after"))),
}
# Fields, those of numbers and numbers of the demo that a panel has at least; those of logged data have no readings to type.
FIELDS, NUMBERS, SEEN = ({"Logged data": few, "Long run": fewer} for few, fewer in ((10, 2), (4, 0), (1, 0)))
# More widgets than this, each a message to the browser, and Jupyter's server drops some: see shared.py.
MOST_WIDGETS = 700
MADE = {}
# Where values usually lie: shown, and no limit.
USUAL = (1.0, 2.0)


@pytest.fixture(scope="module")
def panels():
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(before_after, "FULL", 2000)
        patch.setattr(panel.Panel, "draws", 1000)
        found = {}
        for name, make in MAKERS.items():
            made = []
            ipywidgets.Widget.on_widget_constructed(made.append)
            found[name] = make()
            ipywidgets.Widget.on_widget_constructed(None)
            MADE[name] = len(made)
        yield found


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


INPUTS = ("Text", "Textarea", "Dropdown", "FloatText", "IntSlider", "Button", "Checkbox")


@pytest.mark.parametrize("name", MAKERS)
def test_every_input_has_a_tooltip_or_says_what_it_does(panels, name):
    found = [w for w in widgets_in(panels[name].widget) if type(w).__name__ in INPUTS]
    assert len(found) >= 20
    for widget in found:
        assert len((widget.tooltip or "").strip()) > 5, widget
    for widget in widgets_in(panels[name].widget):
        if type(widget).__name__ == "ToggleButtons":
            assert len(widget.tooltips) == len(widget.options) and all(widget.tooltips)


@pytest.mark.parametrize("name", MAKERS)
def test_every_input_has_a_label_that_a_screen_reader_says(panels, name):
    known = {*INPUTS, "ToggleButtons", "VBox", "HBox", "HTML", "Image"}
    kinds = {type(w).__name__ for w in widgets_in(panels[name].widget)}
    assert kinds <= known, kinds - known
    for widget in widgets_in(panels[name].widget):
        if type(widget).__name__ in (*INPUTS, "ToggleButtons") and type(widget).__name__ != "IntSlider":
            words = widget.description if type(widget).__name__ in ("Button", "ToggleButtons") else words_of(widget)
            assert len(words.strip()) > 3 and "<" not in words and "_" not in words, widget
            if type(widget).__name__ in ("Button", "ToggleButtons"):
                continue
            # The label holds the tooltip itself: ipywidgets shows no other one that was there before the box.
            title = re.fullmatch(r'<span title="([^"<>]*)">[^<>]*</span>', widget.description)
            assert widget.description_allow_html and title and unescape(title[1]) == widget.tooltip
    # A slider has its label at the box above it.
    for widget in widgets_in(panels[name].widget):
        if any(type(c).__name__ == "IntSlider" for c in getattr(widget, "children", ())):
            box, slider = widget.children
            assert type(box).__name__ == "FloatText" and "airside-slider" in widget._dom_classes
            assert slider.description == "" and box.tooltip == slider.tooltip


def all_fields(found):
    fields = [f for form in found.forms.values() for f in form.all_fields()]
    return fields + [s for s in found.settings.values() if isinstance(s, Field)]


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", MAKERS)
def test_every_field_has_a_label_with_its_unit(panels, name, units):
    found = panels[name]
    found.set_units(units)
    fields = all_fields(found)
    assert len(fields) >= FIELDS.get(name, 40)
    for field in fields:
        assert field.caption.startswith(field.label) and len(field.label) > 2 and field.box.tooltip
        assert field.tooltip and field.box.tooltip.startswith(field.tooltip)
        if isinstance(field, NumberField):
            unit = KINDS[field.kind].display(units).label
            # A fraction has no unit, so its label says that it is one.
            assert field.caption == f"{field.label}, {unit}" if unit else "fraction" in field.label, field.path


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", MAKERS)
def test_every_number_says_what_is_usual_and_the_demo_is(panels, name, units):
    found = panels[name]
    found.set_units(units)
    numbers = [f for f in all_fields(found) if isinstance(f, NumberField)]
    assert len(numbers) >= NUMBERS.get(name, 30)
    seen = 0
    for field in numbers:
        low, high = field.usual
        assert low < high
        unit = KINDS[field.kind].display(units).label
        words = re.search(r"Usual: (\S+) to (\S+?)( \S.*)?\.$", field.box.tooltip)
        assert words and (words[3] or "").strip() == unit, field.path
        assert field.box.placeholder == f"usual {words[1]} to {words[2]}"
        for shown, inside in ((words[1], low), (words[2], high)):
            # Two digits are shown, three of a hundred and more.
            assert float(to_inside(float(shown), field.kind, units)) == pytest.approx(inside, rel=0.04, abs=0.5)
        value = field.value()
        for number in value if isinstance(value, list) else [] if value is None else [value]:
            inside = parse(number, field.kind) if isinstance(number, str) else to_inside(number, field.kind, units)
            assert low <= float(inside) <= high, (field.path, number)
            seen += 1
    assert seen >= SEEN.get(name, 10)


@pytest.mark.parametrize("name", MAKERS)
def test_a_panel_is_not_too_many_messages_for_the_server(panels, name):
    assert 100 < MADE[name] < MOST_WIDGETS


@pytest.mark.parametrize("name", MAKERS)
def test_a_mark_is_one_widget_more_and_goes_again(panels, name, monkeypatch):
    monkeypatch.setattr(panel, "figure_bytes", lambda *_, **__: b"picture")
    found = panels[name]
    found.set_units("IP")
    field = {
        "Side-by-side check": lambda: found.fields["dry_bulb", 0],
        "Logged data": lambda: found.form.fields["log.counting.window"],
        "Long run": lambda: found.bins,
    }.get(name, lambda: found.form.fields["readings.return.dry_bulb"])()
    good, before = field.box.value, sum(1 for _ in widgets_in(found.widget))
    field.box.value = "warm"
    assert sum(1 for _ in widgets_in(found.widget)) - before == sum(1 for f in all_fields(found) if f.said) >= 1
    field.box.value = good
    assert sum(1 for _ in widgets_in(found.widget)) == before


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", MAKERS)
def test_pictures_are_whole_and_of_a_sensible_size(panels, name, units):
    found = panels[name]
    found.set_units(units)
    found.refresh()
    assert not found.frame.is_stale
    picture = found.frame.picture.value
    assert picture[:8] == b"\x89PNG\r\n\x1a\n" and picture[-8:-4] == b"IEND"
    width, height = struct.unpack(">II", picture[16:24])
    # Before and after has three pictures under each other, so that each is legible beside the inputs.
    assert 700 <= width <= 1400 and 200 <= height <= (1200 if name == "Before and after" else 1100)
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
    found = panels[name].widget
    columns, files, message, safety = found.children
    assert "licensed practice" in safety.value and STYLE in safety.value
    assert [c._dom_classes for c in columns.children] == [("airside-left",), ("airside-right",)]
    assert "airside-files" in files._dom_classes and "airside-message" in message._dom_classes
    # Both columns and the space between fit a window of 900 px, whose notebook leaves about 700.
    bases = [
        int(re.search(rf"\.{column} \{{flex: \d \d (\d+)px", STYLE)[1]) for column in ("airside-left", "airside-right")
    ]
    assert sum(bases) + 12 <= 700


def test_a_panel_that_is_named_twice_is_none():
    kinds = [FieldSheet, AirflowEvidence, BeforeAfter, CoilPanel, RefrigerantPanel, PlanningPanel, SideBySideCheck,
             LoggedData, LongRunPanel]  # fmt: skip
    assert len({k.key for k in kinds}) == len({k.title for k in kinds}) == len(kinds)
    assert {k.title for k in kinds} == set(MAKERS)


def test_a_fold_opens_and_closes_by_its_button():
    text = ipywidgets.Text()
    fold = Fold("Outdoor air", [text])
    assert fold.button.description == "▸ Outdoor air" and fold.inside.layout.display == "none" and not fold.is_open
    fold.button.click()
    assert fold.button.description == "▾ Outdoor air" and fold.inside.layout.display != "none" and fold.is_open
    fold.button.click()
    assert not fold.is_open and fold.inside.children == (text,)
    assert Fold("Visit", [], is_open=True).is_open


def test_a_tick_is_true_or_false():
    calls, tick = [], Tick("to one airflow too", "Leave it out where the work changed the airflow")
    tick.on_change(lambda: calls.append(tick.value()))
    tick.box.value = True
    kept = tick.snapshot()
    tick.set_units("SI")
    tick.take(None)
    assert calls == [True, False] and tick.value() is False
    tick.restore(kept)
    assert tick.value() is True


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
    field = NumberField("x", "Readings", "", "temperature", usual=USUAL, many=True, rows=3)
    field.box.value = text
    assert field.value() == parts


def test_nan_stays_one_number():
    field = NumberField("x", "Readings", "", "temperature", usual=USUAL, many=True)
    field.box.value = "nan, 76"
    nan, other = field.value()
    assert nan != nan and other == 76


def test_a_field_of_one_number_takes_a_list_for_a_text():
    field = NumberField("x", "Width", "", "duct_side", usual=USUAL)
    field.box.value = "5, 6"
    assert field.value() == "5, 6"
    field.box.value = "5"
    assert field.value() == 5 and isinstance(field.value(), int)


@pytest.mark.parametrize("kind", ["temperature", "temperature_difference", "duct_pressure", "refrigerant_pressure",
                                  "relative_humidity", "velocity", "volume_flow", "nominal_capacity", "fraction"])  # fmt: skip
@pytest.mark.parametrize("text", ["76.6,  76.40;24.7 degC", "75,5", "nan", "0", "1e3\n2", "33.33333333333333"])
def test_units_there_and_back_give_every_letter_and_exactly_the_number(kind, text):
    field = NumberField("x", "Readings", "", kind, usual=USUAL, many=True, rows=2)
    field.box.value = text
    before = str(field.value())
    for _ in range(2):
        field.switch_units("SI")
        field.switch_units("IP")
        assert field.box.value == text and str(field.value()) == before


def test_a_switch_shows_few_digits_and_computes_with_all():
    field = NumberField("x", "Readings", "", "temperature", usual=USUAL, many=True)
    field.box.value = "75.9"
    field.switch_units("SI")
    assert field.box.value == "24.39"
    assert field.value() == [pytest.approx(24.38888889, abs=1e-8)]
    field.box.value = "24.5"
    field.switch_units("IP")
    assert field.box.value == "76.1"


def test_a_value_from_a_file_is_not_taken_for_one_that_was_switched():
    field = NumberField("x", "Readings", "", "temperature", usual=USUAL, many=True)
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


@pytest.mark.parametrize(("text", "value"), [("2026-07-14", "2026-07-14"), (" 2026-07-14 ", "2026-07-14"), ("", None)])
def test_a_day_is_a_day(text, value):
    field = DateField("date", "Date", "")
    field.box.value = text
    assert field.value() == (None if value is None else Day.fromisoformat(value))


def test_what_is_no_day_stays_a_text_to_be_asked_about():
    field = DateField("date", "Date", "")
    field.box.value = "14 July"
    assert field.value() == "14 July"


def test_messages_and_labels_are_escaped():
    field = TextField("x", "Name <b>", "")
    assert field.caption == "Name <b>" and "Name &lt;b&gt;</span>" in field.box.description
    field.say("found <script>")
    box, message = field.widget.children
    assert box is field.box and message.value == '<div class="airside-wrong-text">▲ found &lt;script&gt;</div>'
    assert field.said == "found <script>" and "airside-wrong" in field.box._dom_classes
    field.say("")
    assert field.said == "" and field.widget.children == (field.box,) and "airside-wrong" not in field.box._dom_classes
