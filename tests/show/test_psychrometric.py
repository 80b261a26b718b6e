"""The psychrometric chart: its lines are put back into the kernels, its labels keep apart, its files repeat."""

import re
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text

from airside import MoistAir
from airside.air import properties
from airside.show.palette import THEMES
from airside.show.psychrometric import RELATIVE_HUMIDITIES, Process, figure_bytes, psychrometric_chart
from airside.units import KINDS, to_inside

ALTITUDE = 83_000.0
# The two zeros of temperature and the sizes of units, typed here: the chart's own conversions are under test.
TO_CELSIUS = {"SI": lambda x: x, "IP": lambda x: (x - 32) / 1.8}
TO_RATIO = {"SI": lambda y: y / 1000, "IP": lambda y: y / 7000}


def process(pressure=ALTITUDE, warm=24.5, cold=13.0):
    return Process(
        MoistAir.from_relative_humidity(warm, 0.46, pressure), MoistAir.from_relative_humidity(cold, 0.85, pressure)
    )


def draw(**options):
    return psychrometric_chart([process()], **options)


def states_of(line, units):
    """A line of the chart as dry bulb [°C] and humidity ratio [kg/kg]."""
    line = np.asarray(line)
    return TO_CELSIUS[units](line[:, 0]), TO_RATIO[units](line[:, 1])


def lines_of(axes, family):
    """Lines of one family."""
    (found,) = (c for c in axes.collections if isinstance(c, LineCollection) and c.get_gid() == family)
    return found.get_segments()


both_units = pytest.mark.parametrize("units", ["SI", "IP"])
both_views = pytest.mark.parametrize("view", ["states", "full"])
all_themes = pytest.mark.parametrize("theme", ["light", "dark", "print"])


# -- lines put back into the kernels --------------------------------------------------------------


@both_units
@both_views
def test_saturation_curve(units, view):
    axes = draw(units=units, view=view)
    (curve,) = (line for line in axes.lines if line.get_gid() == "saturation")
    t, w = states_of(np.column_stack(curve.get_data()), units)
    np.testing.assert_allclose(properties.relative_humidity(t, w, ALTITUDE), 1.0, rtol=1e-9)
    # It runs from the left edge to the top.
    assert curve.get_xdata()[0] == pytest.approx(axes.get_xlim()[0])
    assert curve.get_ydata()[-1] == pytest.approx(axes.get_ylim()[1])


@both_units
@both_views
def test_lines_of_relative_humidity(units, view):
    lines = lines_of(draw(units=units, view=view), "relative humidity")
    assert len(lines) == len(RELATIVE_HUMIDITIES)
    for humidity, line in zip(RELATIVE_HUMIDITIES, lines, strict=True):
        t, w = states_of(line, units)
        np.testing.assert_allclose(properties.relative_humidity(t, w, ALTITUDE), humidity, rtol=1e-9)


@both_units
@both_views
def test_lines_of_wet_bulb(units, view):
    lines = lines_of(draw(units=units, view=view), "wet bulb")
    assert len(lines) >= 4
    for line in lines:
        t, w = states_of(line, units)
        wet = properties.wet_bulb(t, w, ALTITUDE)
        # One wet bulb all along, and a round number of the shown unit.
        np.testing.assert_allclose(wet, wet[0], atol=1e-6)
        shown = wet[0] * 1.8 + 32 if units == "IP" else wet[0]
        assert shown == pytest.approx(round(shown), abs=1e-5)


@both_units
@both_views
def test_lines_of_specific_volume(units, view):
    axes = draw(units=units, view=view)
    lines = lines_of(axes, "specific volume")
    assert len(lines) >= 2
    for line in lines:
        t, w = states_of(line, units)
        volume = properties.specific_volume(t, w, ALTITUDE)
        np.testing.assert_allclose(volume, volume[0], rtol=1e-9)
        # It begins at saturation, or at the top of the chart, not short of them.
        saturated = properties.saturation_humidity_ratio(t[0], ALTITUDE)
        top = TO_RATIO[units](axes.get_ylim()[1])
        assert w[0] == pytest.approx(min(saturated, top), rel=1e-7) or w[0] == pytest.approx(saturated, rel=1e-7)
        # Never drawn where there is no moist air.
        assert np.all(w <= properties.saturation_humidity_ratio(t, ALTITUDE) * (1 + 1e-9))


@both_units
def test_the_number_on_a_line_is_that_of_the_line(units):
    axes = draw(units=units)
    inverse = axes.transData
    checked = 0
    for text in axes.texts:
        found = re.fullmatch(r"([\d.]+) (\S+)( wet bulb)?", text.get_text())
        if not found or found[2] == "%":
            continue
        x, y = text.get_position()
        (t,), (w,) = states_of([(x, y)], units)
        if found[3]:
            is_at = properties.wet_bulb(t, w, ALTITUDE)
            said = TO_CELSIUS[units](float(found[1]))
        else:
            is_at = properties.specific_volume(t, w, ALTITUDE)
            said = to_inside(float(found[1]), "specific_volume", units)
        # The lines bend a little between the points at which they are computed.
        assert is_at == pytest.approx(said, rel=2e-3, abs=0.05)
        checked += 1
    assert checked >= 4
    assert inverse is axes.transData


@both_units
def test_states_stand_where_they_are(units):
    drawn = process()
    axes = psychrometric_chart([drawn], units=units)
    markers = next(line for line in axes.lines if line.get_marker() == "o")
    t, w = states_of(np.column_stack(markers.get_data()), units)
    np.testing.assert_allclose(t, [drawn.start.dry_bulb, drawn.end.dry_bulb], rtol=1e-12)
    np.testing.assert_allclose(w, [drawn.start.humidity_ratio, drawn.end.humidity_ratio], rtol=1e-12)


@both_units
def test_what_is_written_at_the_states_and_the_axes(units):
    axes = draw(units=units, title="A unit")
    words = [t.get_text() for t in axes.texts]
    return_text = next(w for w in words if w.startswith("return"))
    assert "46 % RH" in return_text
    assert ("24.5 °C" if units == "SI" else "76.1 °F") in return_text
    assert f"Moist air at {'83.00 kPa' if units == 'SI' else '24.51 inHg'}" in words
    assert axes.get_xlabel() == f"Dry bulb, {KINDS['temperature'].display(units).label}"
    assert axes.get_ylabel() == f"Humidity ratio, {'g/kg' if units == 'SI' else 'gr/lb'} dry air"
    assert axes.get_title(loc="left").strip() == "A unit"


# -- axes, units, themes, views -------------------------------------------------------------------


def test_it_draws_into_axes_that_exist_and_gives_them_back():
    figure = Figure()
    FigureCanvasAgg(figure)
    left, right = figure.subplots(1, 2)
    assert psychrometric_chart([process()], axes=right) is right
    assert right.texts
    assert not left.texts


def test_it_makes_axes_of_its_own_without_pyplot():
    import matplotlib.pyplot as plt

    open_before = plt.get_fignums()
    axes = draw()
    assert axes.figure is not None
    assert plt.get_fignums() == open_before


@all_themes
def test_themes(theme):
    axes = draw(theme=theme)
    colours = THEMES[theme]
    assert to_hex(axes.get_facecolor()).upper() == colours.paper.upper()
    assert to_hex(axes.xaxis.label.get_color()).upper() == colours.ink.upper()


def test_a_view_of_the_states_is_closer_than_the_full_chart():
    near, full = draw(view="states"), draw(view="full")
    assert full.get_xlim() == (-10.0, 50.0)
    assert full.get_ylim() == pytest.approx((0.0, 30.0))
    assert np.ptp(near.get_xlim()) < np.ptp(full.get_xlim())
    for axes in (near, full):
        for place, (low, high) in ((13.0, axes.get_xlim()), (24.5, axes.get_xlim())):
            assert low < place < high


def test_an_empty_chart_is_the_full_one_at_sea_level():
    axes = psychrometric_chart()
    assert axes.get_xlim() == (-10.0, 50.0)
    assert "Moist air at 101.33 kPa" in [t.get_text() for t in axes.texts]


def test_several_processes_differ_in_colour_and_marker_and_are_named():
    one, two = process(), process(warm=26.0, cold=15.0)
    named = [Process(one.start, one.end, "before"), Process(two.start, two.end, "after")]
    axes = psychrometric_chart(named, states=[("outdoor", MoistAir.from_relative_humidity(30.0, 0.3, ALTITUDE))])
    drawn = [line for line in axes.lines if line.get_marker() not in ("None", None, "")]
    assert len({line.get_marker() for line in drawn}) == 3
    assert len({to_hex(line.get_color()) for line in drawn}) == 3
    assert [t.get_text() for t in axes.get_legend().get_texts()] == ["before", "after"]
    assert any(t.get_text().startswith("outdoor") for t in axes.texts)


@pytest.mark.parametrize("pressure", [61_000.0, 101_325.0, 109_000.0])
@pytest.mark.parametrize(("warm", "cold"), [(24.0, 24.0), (45.0, 8.0), (5.0, -15.0)])
@both_units
def test_any_states_at_any_pressure_can_be_drawn(pressure, warm, cold, units):
    axes = psychrometric_chart([process(pressure, warm, cold)], units=units)
    assert figure_bytes(axes.figure, "svg").startswith(b"<?xml")


# -- files ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["svg", "png", "pdf"])
def test_the_same_chart_gives_the_same_bytes(form):
    first, second = (figure_bytes(draw(title="Same").figure, form) for _ in range(2))
    assert first == second


def test_words_of_an_svg_stay_words_and_hold_no_place_of_this_machine():
    content = figure_bytes(draw(title="A <b> & unit").figure, "svg").decode()
    assert "A &lt;b&gt; &amp; unit" in content
    assert "wet bulb" in content
    assert str(Path(__file__).parents[2]) not in content


# -- labels ---------------------------------------------------------------------------------------


ON_THE_CHART = ("relative humidity", "wet bulb", "enthalpy", "specific volume", "state", "sensible heat ratio")


def boxes(axes, groups=None):
    """Real extents of all texts of some groups, or of all texts of a chart, each with its words."""
    renderer = axes.figure.canvas.get_renderer()
    axes.figure.draw(renderer)
    found = []
    texts = axes.findobj(Text) if groups is None else axes.texts
    for text in texts:
        if not text.get_text() or (groups is not None and text.get_gid() not in groups):
            continue
        # A label along a line is turned: its own height counts, not that of the box around it.
        found.append((text.get_text(), corners(text, renderer)))
    return found


def corners(text, renderer):
    angle = text.get_rotation()
    text.set_rotation(0)
    box = text.get_window_extent(renderer)
    text.set_rotation(angle)
    placed = text.get_window_extent(renderer)
    # The middle stays where it is; turn the upright box about it.
    middle = np.array([(placed.x0 + placed.x1) / 2, (placed.y0 + placed.y1) / 2])
    half = np.array([box.width / 2, box.height / 2])
    turn = np.radians(angle)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return [middle + rotation @ (half * sign) for sign in ((-1, -1), (1, -1), (1, 1), (-1, 1))]


def overlap(one, two):
    """Whether two convex boxes touch: no edge's normal parts them."""
    for polygon in (one, two):
        for a, b in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
            normal = np.array([b[1] - a[1], a[0] - b[0]])
            first, second = ([normal @ p for p in q] for q in (one, two))
            if max(first) <= min(second) or max(second) <= min(first):
                return False
    return True


@both_units
@both_views
@pytest.mark.parametrize(("warm", "cold"), [(24.5, 13.0), (26.0, 22.0), (35.0, 10.0)])
def test_labels_keep_apart(units, view, warm, cold):
    axes = psychrometric_chart([process(warm=warm, cold=cold)], units=units, view=view)
    labels = boxes(axes)
    assert len(labels) > 6
    for i, (said, box) in enumerate(labels):
        for other_said, other in labels[i + 1 :]:
            assert not overlap(box, other), (said, other_said)


def touching(labels):
    """Pairs of texts that overlap."""
    return [(s, t) for i, (s, one) in enumerate(labels) for t, two in labels[i + 1 :] if overlap(one, two)]


@both_units
def test_labels_of_two_processes_keep_apart(units):
    pair = [
        Process(process().start, process().end, "before"),
        Process(process(warm=24.0).start, process(cold=12.2).end, "after"),
    ]
    assert touching(boxes(psychrometric_chart(pair, units=units))) == []


@both_units
@both_views
@pytest.mark.parametrize(
    "options", [{"lines": "enthalpy", "protractor": True}, {"text_scale": 1.5}, {"scales": False}, {"title": "A unit"}]
)
def test_labels_of_every_form_keep_apart_and_stay_in_the_picture(units, view, options):
    axes = draw(units=units, view=view, **options)
    labels = boxes(axes)
    assert len(labels) > 20
    assert touching(labels) == []
    wide, high = axes.figure.bbox.size
    for said, box in labels:
        for x, y in box:
            assert 0 <= x <= wide, said
            assert 0 <= y <= high, said


@both_units
def test_labels_stay_inside(units):
    axes = draw(units=units)
    frame = axes.get_window_extent()
    for said, box in boxes(axes, ON_THE_CHART):
        for x, y in box:
            assert frame.x0 - 3 <= x <= frame.x1 + 3, said
            assert frame.y0 - 3 <= y <= frame.y1 + 3, said
