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
        assert field.box.description == f"Words{label}"
        # The slider's ends are whole steps, the last ones that are not short of the quantity's.
        slider = field.slider
        assert least - step < slider.min <= least + 1e-9 and most - 1e-9 <= slider.max < most + step
        assert slider.step == field.box.step == step
        assert field.box.value == pytest.approx(here, rel=1e-12)
        assert abs(slider.value - here) <= step / 2 + 1e-9
        for part in (field.box, slider):
            assert part.tooltip == f"What it is. From {least:g} to {most:g}{label.removeprefix(',')}."
        assert field.value == value


@pytest.mark.parametrize("part", ["box", "slider"])
def test_a_move_of_either_moves_both_and_is_said_once(heard, part):
    field, calls = heard
    getattr(field, part).value = 77.0
    assert shown(field) == (77.0, 77.0)
    assert calls == [pytest.approx(25.0, abs=1e-12)] and field.value == calls[0]
    field.set_units("SI")
    assert shown(field) == (25.0, 25.0)
    getattr(field, part).value = 26.4
    assert shown(field) == (26.4, 26.4) and field.value == 26.4 and len(calls) == 2


def test_setting_a_value_from_outside_is_not_said():
    field, calls = dry_bulb(), []
    field.on_change(lambda: calls.append(1))
    field.value = 27.0
    assert not calls and field.value == 27.0 and shown(field) == (80.6, 80.6)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_the_browsers_rounding_to_a_step_is_no_move(heard, units):
    field, calls = heard
    field.set_units(units)
    for exact in (18.0, 20.03, 23.4567, 24.1888888888, 26.6666666667, 30.049):
        field.value = exact
        box, slider = shown(field)
        # The slider's handle stands on a step only, and is told one: what the browser reports is what it was told.
        step = field.slider.step
        reported = field.slider.min + round((slider - field.slider.min) / step) * step
        assert reported == pytest.approx(slider, abs=1e-9)
        field.slider.value = reported
        assert field.value == exact and not calls and field.box.value == box


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("steps", [1, -1])
def test_one_step_after_the_browsers_rounding_is_a_move(heard, units, steps):
    field, calls = heard
    field.set_units(units)
    field.value = 24.02
    step = field.slider.step
    rounded = field.slider.min + round((field.slider.value - field.slider.min) / step) * step
    field.slider.value = rounded
    assert not calls
    field.slider.value = rounded + steps * step
    assert len(calls) == 1 and field.box.value == pytest.approx(rounded + steps * step)


@pytest.mark.parametrize("measured", [12.3, 38.9])
def test_what_was_measured_beyond_the_ends_widens_them(heard, measured):
    field, calls = heard
    field.value = measured
    assert field.value == measured and not calls
    low, high = min(15.0, measured), max(35.0, measured)
    for units in ("IP", "SI"):
        field.set_units(units)
        turn = (lambda c: c * 1.8 + 32) if units == "IP" else (lambda c: c)
        step = field.slider.step
        assert turn(low) - step < field.slider.min <= turn(low) + 1e-9
        assert turn(high) - 1e-9 <= field.slider.max < turn(high) + step
        assert shown(field) == (pytest.approx(turn(measured), abs=0.05), pytest.approx(turn(measured), abs=0.6 * step))
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
    field.slider.value = 80.0
    assert not field.said and field.box.value == 80.0


def test_ends_step_and_value_of_the_slider_go_out_in_one_message(heard, monkeypatch):
    """Where they came one by one the browser put the slider on a step of the old scale and sent that back."""
    field, _ = heard
    sent = []
    monkeypatch.setattr(field.slider, "send_state", lambda key=None: sent.append({key} if isinstance(key, str) else set(key or ())))
    field.set_units("SI")
    changed = [keys for keys in sent if keys]
    assert any({"min", "max", "step", "value"} <= set(keys) for keys in changed), changed


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
    field.slider.value = 80.0
    field.set_units("SI")
    field.restore(kept)
    assert field.value == 23.456789 and field.box.value == 23.46 and len(calls) == 1


def test_every_slider_of_the_panels_has_steps_that_fit_between_its_ends():
    sliders = [*AccuracySliders().settings.values(), *CoilPanel().sliders.values()]
    assert len(sliders) == 8
    for field in sliders:
        for units in ("IP", "SI"):
            field.set_units(units)
            assert field.slider.max - field.slider.min >= 10 * field.slider.step > 0
            assert len(field.box.description) > 5 and ". From " in field.slider.tooltip
