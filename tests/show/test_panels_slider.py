"""A slider and its box: one quantity, exact inside, in the units shown; what the browser rounds is no move."""

import pytest

from airside.show.panels.accuracy_sliders import AccuracySliders
from airside.show.panels.coil import CoilPanel
from airside.show.panels.slider import SliderField


def dry_bulb(value=24.0):
    return SliderField(
        "Return dry bulb", "Air that enters the coil", "temperature", 15.0, 35.0, (0.2, 0.1), value=value
    )


@pytest.fixture
def heard():
    """A slider, and a list that grows by what it is whenever it says that it was moved."""
    field, calls = dry_bulb(), []
    field.on_change(lambda: calls.append(field.value))
    return field, calls


def shown(field):
    return field.box.value, field.slider.value


SETTINGS = [
    # (kind, low, high, steps, value), then what is shown in IP and SI: label, low, high, step, value.
    (("temperature", 15.0, 35.0, (0.2, 0.1), 24.0), (", °F", 59.0, 95.0, 0.2, 75.2), (", °C", 15.0, 35.0, 0.1, 24.0)),
    (("temperature_difference", 0.05, 1.5, (0.1, 0.05), 0.5), (", °F", 0.09, 2.7, 0.1, 0.9), (", K", 0.05, 1.5, 0.05, 0.5)),
    (("relative_humidity", 0.2, 0.8, (0.5, 0.5), 0.5), (", %", 20.0, 80.0, 0.5, 50.0), (", %", 20.0, 80.0, 0.5, 50.0)),
    (("percentage", 0.5, 1.5, (1.0, 1.0), 1.0), (", %", 50.0, 150.0, 1.0, 100.0), (", %", 50.0, 150.0, 1.0, 100.0)),
    (("fraction", 0.0, 1.0, (0.05, 0.05), 0.3), ("", 0.0, 1.0, 0.05, 0.3), ("", 0.0, 1.0, 0.05, 0.3)),
]  # fmt: skip


@pytest.mark.parametrize(("given", "ip", "si"), SETTINGS)
def test_label_ends_step_and_value_are_in_the_units_shown(given, ip, si):
    kind, low, high, steps, value = given
    field = SliderField("Words", "What it is", kind, low, high, steps, value=value)
    for units, (label, least, most, step, here) in (("IP", ip), ("SI", si), ("IP", ip)):
        field.set_units(units)
        assert field.caption == f"Words{label}"
        assert field.box.step == step and field.box.value == pytest.approx(here, rel=1e-12)
        # The slider stands at its share of the way between the ends, whatever the units.
        slider = field.slider
        assert (slider.min, slider.step) == (0, 1)
        assert slider.value / slider.max == pytest.approx((value - low) / (high - low), abs=0.51 / slider.max)
        for part in (field.box, slider):
            assert part.tooltip == f"What it is. From {least:g} to {most:g}{label.removeprefix(',')}."
        assert field.value == value


def test_a_typed_number_moves_both_and_is_said_once(heard):
    field, calls = heard
    field.box.value = 77.0
    assert field.box.value == 77.0 and field.slider.value == 100
    assert calls == [pytest.approx(25.0, abs=1e-12)] and field.value == calls[0]
    field.set_units("SI")
    assert field.box.value == 25.0 and field.slider.value == 100
    field.box.value = 26.4
    assert field.box.value == 26.4 and field.slider.value == 114 and field.value == 26.4 and len(calls) == 2


@pytest.mark.parametrize(("units", "shown"), [("IP", 78.8), ("SI", 26.0)])
def test_a_move_of_the_slider_moves_both_and_is_said_once(heard, units, shown):
    field, calls = heard
    field.set_units(units)
    field.slider.value = 110
    assert field.box.value == pytest.approx(shown) and calls == [pytest.approx(26.0)] and field.slider.value == 110


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_every_place_of_the_slider_is_another_number_and_the_slider_stays_on_it(heard, units):
    field, _ = heard
    field.set_units(units)
    seen = set()
    for place in range(field.slider.max + 1):
        field.slider.value = place
        assert field.slider.value == place
        seen.add(field.box.value)
        assert field.low - 1e-9 <= field.value <= field.high + 1e-9
    assert len(seen) == field.slider.max + 1


def test_setting_a_value_from_outside_is_not_said():
    field, calls = dry_bulb(), []
    field.on_change(lambda: calls.append(1))
    field.value = 27.0
    assert not calls and field.value == 27.0 and shown(field) == (80.6, 120)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_what_the_browser_sends_back_is_no_move(heard, units):
    """It says where the slider stands, after every change too: that is a place, and the one that it was told."""
    field, calls = heard
    field.set_units(units)
    for exact in (18.0, 20.03, 23.4567, 24.1888888888, 26.6666666667, 30.049):
        field.value = exact
        box, place = shown(field)
        assert isinstance(place, int)
        field._slid(place)
        assert field.value == exact and not calls and field.box.value == box


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("steps", [1, -1])
def test_one_place_further_is_a_move(heard, units, steps):
    field, calls = heard
    field.set_units(units)
    field.value = 24.02
    field.slider.value += steps
    assert len(calls) == 1 and field.value == pytest.approx(24.0 + 0.1 * steps, abs=0.03)


@pytest.mark.parametrize("change", ["units", "value", "ends"])
def test_the_sliders_scale_never_changes(heard, monkeypatch, change):
    """Where it changed, the browser put the slider on the new scale by itself and sent that as if it were a move."""
    field, _ = heard
    sent = set()
    monkeypatch.setattr(
        field.slider, "send_state", lambda key=None: sent.update([key] if isinstance(key, str) else key)
    )
    if change == "units":
        field.set_units("SI")
    else:
        field.value = 30.0 if change == "value" else 45.0
    assert sent <= {"value", "tooltip"}


@pytest.mark.parametrize("measured", [12.3, 38.9])
def test_what_was_measured_beyond_the_ends_widens_them(heard, measured):
    field, calls = heard
    field.value = measured
    assert field.value == measured and not calls
    low, high = min(15.0, measured), max(35.0, measured)
    for units in ("IP", "SI"):
        field.set_units(units)
        turn = (lambda c: c * 1.8 + 32) if units == "IP" else (lambda c: c)
        assert (field.low, field.high) == (low, high)
        assert field.box.value == pytest.approx(turn(measured), abs=0.05)
        assert field.slider.value == (0 if measured == low else field.slider.max)
    assert field.value == measured and not calls


def test_the_tooltip_says_the_ends_as_they_are_now():
    field = dry_bulb()
    field.value = 40.0
    assert "From 59 to 104 °F" in field.box.tooltip and "From 59 to 104 °F" in field.slider.tooltip


@pytest.mark.parametrize("typed", [10.0, 200.0, -3.0])
def test_what_is_typed_beyond_the_ends_is_said_and_not_used(heard, typed):
    field, calls = heard
    field.box.value = typed
    assert not calls and field.value == 24.0
    assert field.said == f"found {typed:g}; expected 59 to 95 °F. 75.2 is used still."
    assert "airside-wrong" in field.box._dom_classes and field.said in field.widget.children[-1].value
    field.box.value = 77.0
    assert not field.said and len(field.widget.children) == 2 and field.value == pytest.approx(25.0)
    assert "airside-wrong" not in field.box._dom_classes and len(calls) == 1


def test_a_move_of_the_slider_takes_the_mark_away(heard):
    field, _ = heard
    field.box.value = 200.0
    field.slider.value = 120
    assert not field.said and field.box.value == 80.6


def test_units_there_and_back_keep_the_quantity_to_the_last_bit(heard):
    field, calls = heard
    exact = 23.333333333333332
    field.value = exact
    first = shown(field)
    for _ in range(3):
        field.set_units("SI")
        field.set_units("IP")
    assert field.value == exact and shown(field) == first and not calls


def test_off_means_both_parts():
    field = dry_bulb()
    assert not field.disabled
    field.disabled = True
    assert field.box.disabled and field.slider.disabled and field.disabled
    field.disabled = False
    assert not field.box.disabled and not field.slider.disabled


def test_undo_brings_the_exact_quantity_back(heard):
    field, calls = heard
    field.value = 23.456789
    kept = field.snapshot()
    field.slider.value = 120
    field.set_units("SI")
    field.restore(kept)
    assert field.value == 23.456789 and field.box.value == 23.46 and len(calls) == 1


def test_every_slider_of_the_panels_has_steps_that_fit_between_its_ends():
    sliders = [*AccuracySliders().settings.values(), *CoilPanel().sliders.values()]
    assert len(sliders) == 8
    for field in sliders:
        for units in ("IP", "SI"):
            field.set_units(units)
            assert field.slider.max >= 10 and (field.slider.min, field.slider.step) == (0, 1)
            assert len(field.caption) > 5 and ". From " in field.slider.tooltip
