"""What all pictures share: words that keep apart, are cut and wrapped."""

import numpy as np
import pytest

from airside.show.labels import text_size
from airside.show.plain_axes import colours_of, one_line, shortened, spread, wrapped


@pytest.mark.parametrize("count", range(1, 9))
def test_boxes_keep_apart_in_their_order_and_inside(count):
    drawn = np.random.default_rng(count)
    for _ in range(50):
        wanted, sizes = drawn.uniform(0, 100, count), drawn.uniform(2, 10, count)
        places = np.array(spread(wanted, sizes, 0, 100, gap=1))
        order = np.argsort(wanted)
        low, high = (places - sizes / 2)[order], (places + sizes / 2)[order]
        assert np.all(low[1:] >= high[:-1] + 1 - 1e-9)
        assert low[0] >= -1e-9 and high[-1] <= 100 + 1e-9


def test_boxes_that_have_room_stay_where_they_are():
    assert spread([10, 50, 90], [8, 8, 8], 0, 100, gap=2) == [10, 50, 90]
    # Two at one place give way by the same length.
    assert spread([50, 50], [10, 10], 0, 100, gap=2) == pytest.approx([44, 56])
    assert spread([1, 99], [10, 10], 0, 100) == pytest.approx([5, 95])
    # Where the line is too short they still keep apart.
    assert spread([5, 5, 5], [10, 10, 10], 0, 20) == pytest.approx([5, 15, 25])
    assert spread([], [], 0, 1) == []


def test_a_long_text_keeps_its_begin_and_its_end():
    text = "before: " + "a very long name " * 9 + "relative humidity, calibration"
    for width in (60, 120, 300):
        cut = shortened(text, 9, width)
        assert text_size(cut, 9)[0] <= width
        assert cut[:3] == "bef" and cut[-3:] == "ion" and cut.count("…") == 1
    assert shortened("short", 9, 100) == "short"


@pytest.mark.parametrize("text", ["word " * 40, "X" * 300, "a" + " b" * 200, "one", ""])
@pytest.mark.parametrize("most", [1, 2, 3])
def test_wrapped_lines_are_few_and_fit(text, most):
    lines = wrapped(text, 9, 110, most).split("\n")
    assert len(lines) <= most
    assert all(text_size(line, 9)[0] <= 110 for line in lines)
    if text_size(text.strip(), 9)[0] <= 110:
        assert lines == [text.strip()]
    else:
        assert lines[0][0] == text[0] and ("…" in "".join(lines)) == (
            len("".join(lines).replace(" ", "")) < len(text.replace(" ", ""))
        )


def test_a_number_and_its_unit_stay_on_one_line():
    text = "about 61.5 °F return wet bulb and 95 % of all"
    for width in range(50, 220, 5):
        for line in wrapped(text, 9, width, 9).split("\n"):
            assert not line.startswith(("°", "%")), width


def test_letters_that_cannot_be_drawn_are_replaced():
    assert one_line("a\n b\tc\x00") == "a b c\N{REPLACEMENT CHARACTER}"


def test_unknown_themes_and_units_are_named():
    with pytest.raises(ValueError, match="theme is 'neon'; expected one of 'light', 'dark', 'print'"):
        colours_of("neon", "SI")
    with pytest.raises(ValueError, match="units is 'CGS'; expected one of 'IP', 'SI'"):
        colours_of("light", "CGS")
