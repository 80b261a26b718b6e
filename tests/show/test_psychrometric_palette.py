"""Colours of the themes: readable, and in print told apart without colour."""

import pytest
from matplotlib.colors import to_rgb

from airside import MoistAir, psychrometric_chart
from airside.show.palette import MARKERS, THEMES
from airside.show.psychrometric import Process


def light(colour):
    """Relative luminance of a colour: WCAG 2.2, https://www.w3.org/TR/WCAG22/#dfn-relative-luminance."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, two):
    bright, dim = sorted((light(one), light(two)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", ["ink", "faint", "wet_bulb_text", "volume_text"])
def test_text_stands_out_from_its_paper(theme, name):
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1 for text.
    colours = THEMES[theme]
    assert contrast(getattr(colours, name), colours.paper) >= 4.5


def test_print_is_of_black_and_greys():
    colours = THEMES["print"]
    for value in (
        colours.paper,
        colours.ink,
        colours.faint,
        colours.grid,
        colours.wet_bulb,
        colours.volume,
        *colours.series,
    ):
        assert len(set(to_rgb(value))) == 1, value
    assert len({str(s) for s in colours.series_styles}) == len(colours.series_styles) == len(colours.series)


@pytest.mark.parametrize("theme", THEMES)
def test_each_series_has_a_colour_a_style_and_a_marker(theme):
    colours = THEMES[theme]
    assert len(set(colours.series)) == len(colours.series) == len(colours.series_styles) == len(MARKERS)


def test_processes_in_print_differ_in_style_and_marker():
    warm, cold = MoistAir.from_relative_humidity(24.0, 0.5, 83e3), MoistAir.from_relative_humidity(13.0, 0.9, 83e3)
    axes = psychrometric_chart([Process(warm, cold, "before"), Process(warm, cold, "after")], theme="print")
    styles = [(a.get_linestyle(), str(a._unscaled_dash_pattern)) for a in axes.lines if a.get_gid() == "process"]
    markers = {a.get_marker() for a in axes.lines if a.get_gid() == "states"}
    assert len(styles) == len(set(styles)) == len(markers) == 2
