"""Scales of the psychrometric chart put back into the kernels, and the room that they take."""

import re

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure

from airside import MoistAir, psychrometric_chart
from airside.air import properties
from airside.show.palette import THEMES
from airside.show.psychrometric import Process, new_axes

ALTITUDE, SEA_LEVEL = 83_000.0, 101_325.0
# Units typed here: the chart's own conversions are under test. Enthalpy is zero for dry air at 0 °C, and at 0 °F in IP.
TO_CELSIUS = {"SI": lambda x: x, "IP": lambda x: (x - 32) / 1.8}
TO_RATIO = {"SI": lambda y: y / 1000, "IP": lambda y: y / 7000}
TO_HEAT = {"SI": lambda h: h * 1000, "IP": lambda h: h * 2326 - 1006 * 32 / 1.8}

every_chart = pytest.mark.parametrize(
    ("units", "view", "pressure"),
    [(u, v, p) for u in ("SI", "IP") for v in ("states", "full") for p in (61_000.0, ALTITUDE, SEA_LEVEL)],
)
both_units = pytest.mark.parametrize("units", ["SI", "IP"])


def chart(pressure=ALTITUDE, warm=(24.5, 0.46), cold=(13.0, 0.85), **options):
    states = (MoistAir.from_relative_humidity(*s, pressure) for s in (warm, cold))
    return psychrometric_chart([Process(*states)], **options)


def segments(axes, name):
    found = [c for c in axes.collections if isinstance(c, LineCollection) and c.get_gid() == name]
    assert len(found) <= 1
    return np.array(found[0].get_segments()) if found else np.empty((0, 2, 2))


def texts(axes, name):
    return [t for t in axes.texts if t.get_gid() == name]


def value(text):
    return float(text.get_text().replace("\u2212", "-"))


# -- dew point ------------------------------------------------------------------------------------


@every_chart
def test_numbers_of_the_dew_point_scale(units, view, pressure):
    axes = chart(pressure, units=units, view=view)
    numbers = texts(axes, "dew point")
    assert len(numbers) >= 6
    for text in numbers:
        ratio = TO_RATIO[units](text.get_position()[1])
        at = properties.dew_point(ratio, pressure)
        assert at == pytest.approx(TO_CELSIUS[units](value(text)), abs=1e-7)


@every_chart
def test_ticks_of_the_dew_point_scale(units, view, pressure):
    axes = chart(pressure, units=units, view=view)
    ticks = segments(axes, "dew point")[1:]  # the first is the scale's own line
    heights = sorted(t.get_position()[1] for t in texts(axes, "dew point"))
    np.testing.assert_allclose(sorted(ticks[:, 0, 1]), heights, rtol=1e-9)
    fine = segments(axes, "finer dew points")
    shown = np.asarray(properties.dew_point(TO_RATIO[units](fine[:, 0, 1]), pressure))
    shown = shown * 1.8 + 32 if units == "IP" else shown
    np.testing.assert_allclose(shown, np.round(shown), atol=1e-6)
    # What is finer has more ticks, and no two run into each other.
    assert len(fine) > len(ticks)
    pixels = axes.transData.transform(fine[:, 0])[:, 1]
    assert np.diff(np.sort(pixels)).min() >= 3


@both_units
def test_the_dew_point_scale_stands_right_of_the_humidity_ratio(units):
    axes = chart(units=units)
    line = segments(axes, "dew point")[0]
    assert line[0, 0] == line[1, 0] > axes.get_xlim()[1]
    renderer = axes.figure.canvas.get_renderer()
    right = max(t.get_window_extent(renderer).x1 for t in (*texts(axes, "humidity ratio"), axes.yaxis.label))
    assert axes.transData.transform(line[0])[0] > right


# -- enthalpy -------------------------------------------------------------------------------------


@every_chart
def test_ticks_of_the_enthalpy_scale(units, view, pressure):
    axes = chart(pressure, units=units, view=view)
    ticks = segments(axes, "enthalpy")
    assert len(ticks) >= 5
    edges = (*axes.get_xlim(), *axes.get_ylim())
    for (x0, y0), (x1, y1) in ticks:
        t, w = TO_CELSIUS[units](x0), TO_RATIO[units](y0)
        heat = properties.enthalpy(t, w)
        shown = (heat + 1006 * 32 / 1.8) / 2326 if units == "IP" else heat / 1000
        assert shown == pytest.approx(round(shown), abs=1e-6)
        # Its foot is on saturation, or on the chart's left or upper edge; it goes on along its line, outwards.
        saturated = properties.saturation_humidity_ratio(t, pressure)
        on_edge = min(abs(x0 - edges[0]) / 50, abs(y0 - edges[3]) / 100) < 1e-6
        assert on_edge or w == pytest.approx(saturated, rel=1e-6)
        assert x1 < x0 and y1 > y0
        assert properties.enthalpy(TO_CELSIUS[units](x1), TO_RATIO[units](y1)) == pytest.approx(heat, abs=15)


@every_chart
def test_numbers_of_the_enthalpy_scale(units, view, pressure):
    axes = chart(pressure, units=units, view=view)
    ends = segments(axes, "enthalpy")
    numbers = texts(axes, "enthalpy scale")
    assert len(numbers) >= 4
    places = axes.transData.transform(ends[:, 1])
    for text in numbers:
        # The tick that a number belongs to is the one that ends nearest to it.
        away = np.hypot(*(places - axes.transData.transform(text.get_position())).T)
        x, y = ends[int(np.argmin(away)), 0]
        heat = properties.enthalpy(TO_CELSIUS[units](x), TO_RATIO[units](y))
        assert heat == pytest.approx(TO_HEAT[units](value(text)), abs=1e-3)


@both_units
def test_the_enthalpy_scale_goes_on_along_the_top(units):
    axes = chart(warm=(38.0, 0.2), units=units)
    feet = segments(axes, "enthalpy")[:, 0]
    on_top = np.isclose(feet[:, 1], axes.get_ylim()[1])
    assert 0 < on_top.sum() < len(feet)


@pytest.mark.parametrize("view", ["states", "full"])
@both_units
def test_lines_of_enthalpy(units, view):
    axes = chart(units=units, view=view, lines="enthalpy")
    lines = [c for c in axes.collections if c.get_gid() == "enthalpy" and len(c.get_segments()[0]) > 2]
    assert len(lines) == 1
    found = lines[0].get_segments()
    assert len(found) >= 5
    for line in found:
        t, w = TO_CELSIUS[units](line[:, 0]), TO_RATIO[units](line[:, 1])
        heat = properties.enthalpy(t, w)
        np.testing.assert_allclose(heat, heat[0], atol=1e-5)
        shown = (heat[0] + 1006 * 32 / 1.8) / 2326 if units == "IP" else heat[0] / 1000
        assert shown == pytest.approx(round(shown), abs=1e-6)
        assert w[0] == pytest.approx(properties.saturation_humidity_ratio(t[0], ALTITUDE), rel=1e-7)
    assert not any("wet bulb" in t.get_text() for t in axes.texts if t.get_gid() != "state")
    numbers = texts(axes, "enthalpy")
    assert len(numbers) >= 4
    for text in numbers:
        x, y = text.get_position()
        said = float(re.fullmatch(r"(\S+) (kJ/kg|Btu/lb)", text.get_text().replace("\u2212", "-"))[1])
        at = properties.enthalpy(TO_CELSIUS[units](x), TO_RATIO[units](y))
        assert at == pytest.approx(TO_HEAT[units](said), abs=60)


# -- dry bulb and humidity ratio ------------------------------------------------------------------


@every_chart
def test_numbers_of_dry_bulb_and_humidity_ratio(units, view, pressure):
    axes = chart(pressure, units=units, view=view)
    below, right = texts(axes, "temperature"), texts(axes, "humidity ratio")
    assert len(below) >= 5
    assert len(right) >= 5
    for numbers, place in ((below, 0), (right, 1)):
        for text in numbers:
            assert text.get_position()[place] == pytest.approx(value(text), abs=1e-9)
    # Every number has its tick.
    ticks = segments_of_all(axes, "ticks")
    at = sorted(x for (x, y), (x1, _) in ticks if x == pytest.approx(x1))
    np.testing.assert_allclose(at, sorted(value(t) for t in below), atol=1e-9)


def segments_of_all(axes, name):
    return [s for c in axes.collections if c.get_gid() == name for s in c.get_segments()]


def test_the_grid_ends_at_saturation():
    grid = segments_of_all(chart(view="full"), "grid")
    assert len(grid) > 10
    for (x0, y0), (x1, y1) in grid:
        if x0 == x1:
            assert max(y0, y1) / 1000 <= properties.saturation_humidity_ratio(x0, ALTITUDE) * (1 + 1e-9)
        else:
            assert min(y0, y1) / 1000 <= properties.saturation_humidity_ratio(min(x0, x1), ALTITUDE) * (1 + 1e-6)


# -- room -----------------------------------------------------------------------------------------


def both(scales, text_scale=1.0):
    figure = Figure(figsize=(10, 5))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.05, 0.15, 0.8, 0.7))
    figure.add_axes((0.92, 0.15, 0.07, 0.7))  # a neighbour
    chart(axes=axes, scales=scales, text_scale=text_scale)
    return figure, axes


def test_axes_that_exist_have_no_further_scales_unless_asked_for():
    _, axes = both(None)
    assert not texts(axes, "dew point")
    assert not segments_of_all(axes, "enthalpy")
    assert axes.get_position().bounds == pytest.approx((0.05, 0.15, 0.8, 0.7))


def test_axes_with_room_for_the_scales_stay_as_they_are():
    axes = new_axes(THEMES["light"], (7.0, 5.0))
    before = axes.get_position().bounds
    chart(axes=axes, scales=True)
    assert axes.get_position().bounds == before
    assert texts(axes, "dew point")


def test_a_figure_of_its_own_has_the_size_asked_for():
    assert tuple(chart(size=(7.0, 5.0)).figure.get_size_inches()) == (7.0, 5.0)


def test_axes_that_exist_give_up_room_for_the_scales():
    figure, axes = both(True)
    assert texts(axes, "dew point")
    assert segments_of_all(axes, "enthalpy")
    plain_figure, plain = both(False)
    renderers = [f.canvas.get_renderer() for f in (figure, plain_figure)]
    right = [a.get_tightbbox(r).x1 for a, r in zip((axes, plain), renderers, strict=True)]
    # What was beside the chart before is still beside it.
    assert right[0] <= right[1] + 2
    assert axes.get_position().x0 == plain.get_position().x0


@pytest.mark.parametrize("text_scale", [1.0, 1.5])
@pytest.mark.parametrize("title", ["", "A unit"])
@both_units
def test_nothing_runs_out_of_a_figure_of_its_own(units, title, text_scale):
    axes = chart(units=units, title=title, text_scale=text_scale)
    box = axes.get_tightbbox(axes.figure.canvas.get_renderer())
    wide, high = axes.figure.bbox.size
    assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= wide and box.y1 <= high


def test_a_long_title_is_made_to_fit():
    axes = chart(title="An air handler with a long name " * 8)
    box = axes.get_tightbbox(axes.figure.canvas.get_renderer())
    assert box.x1 <= axes.figure.bbox.width
    assert axes.get_title(loc="left").endswith("…")


def test_text_is_legible_at_900_pixels_and_larger_for_a_projector():
    usual, large = chart(), chart(text_scale=1.5)
    # 9 inches at 900 pixels: 100 pixels an inch, 72 points an inch.
    least = [min(t.get_fontsize() for t in a.texts if t.get_text()) for a in (usual, large)]
    assert least[0] * 100 / 72 >= 9
    assert least[1] == pytest.approx(1.5 * least[0])


def test_an_axes_of_its_own_leaves_the_room_that_its_scales_need():
    colours = THEMES["light"]
    with_scales, without = new_axes(colours), new_axes(colours, scales=False)
    assert with_scales.get_position().x1 < without.get_position().x1 < 1


@pytest.mark.parametrize("bad", [{"lines": "dew"}, {"doubt": "box"}, {"arrays": "list"}, {"text_scale": 0.0}])
def test_an_option_that_is_not_known_says_what_is(bad):
    with pytest.raises(ValueError, match="expected"):
        chart(**bad)


def test_states_at_other_pressures_are_said():
    said = [t.get_text() for t in texts(psychrometric_chart(
        [Process(MoistAir.from_relative_humidity(24, 0.5, 83e3), MoistAir.from_relative_humidity(13, 0.9, 81e3))]
    ), "caption")]  # fmt: skip
    assert "Moist air at 83.00 kPa" in said
    assert any("81.00 kPa to 83.00 kPa" in s for s in said)
    assert len(texts(chart(), "caption")) == 1
