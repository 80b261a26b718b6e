"""The picture of a plan: its bars are the plan's numbers, its words keep apart."""

from pathlib import Path

import pytest
from matplotlib.colors import to_hex
from same_picture import assert_same_picture
from words_in_picture import check_words

import airside
from airside.compare.planning import Option, Plan
from airside.show.palette import THEMES
from airside.show.planning import NOW, plan_chart
from airside.show.psychrometric import figure_bytes

DATA = Path(__file__).parents[2] / "data"
ODD = Plan(
    0.021,
    (
        Option("a $x$ word " * 20, 0.003),
        Option("X" * 300, float("nan")),
        Option("short", 0.0209),
        Option("<b>\n\x00", 0.5),
    ),
    (),
)


@pytest.fixture(scope="module")
def plans():
    found = {
        f: airside.plan(airside.load_visit(DATA / f / "before.toml"), count=4000) for f in ("reading_room", "bakery")
    }
    return {**found, "odd": ODD, "alone": Plan(0.1, (), ()), "unknown": Plan(float("nan"), (Option("a", 0.1),), ())}


def bars(figure):
    return [p.get_width() for p in figure.axes[0].patches]


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("name", ["reading_room", "bakery", "odd", "alone", "unknown"])
def test_words_keep_apart_and_can_be_read(plans, name, theme):
    check_words(plan_chart(plans[name], theme=theme), smallest=9)


@pytest.mark.parametrize("name", ["reading_room", "bakery"])
def test_bars_and_numbers_are_the_plans_in_its_order(plans, name):
    plan = plans[name]
    figure = plan_chart(plan)
    expected = [plan.smallest_detectable_ratio, *(o.smallest_detectable_ratio for o in plan.options)]
    assert bars(figure) == pytest.approx([100 * e for e in expected])
    said = [t.get_text() for t in figure.axes[0].texts]
    assert [t for t in said if t.endswith(" %") and t[0].isdigit()] == [f"{100 * e:.1f} %" for e in expected]
    named = [t.replace("\n", " ").replace("\u00a0", " ") for t in said]
    assert [n for n in named if n in (NOW, *(o.action for o in plan.options))] == [
        NOW,
        *(o.action for o in plan.options),
    ]
    # From top to bottom.
    places = [p.get_y() for p in figure.axes[0].patches]
    assert places == sorted(places, reverse=True)
    (half,) = [line for line in figure.axes[0].lines if len(line.get_xdata()) == 2]
    assert half.get_xdata()[0] == pytest.approx(50 * expected[0])


def test_what_is_not_known_has_no_bar(plans):
    assert bars(plan_chart(plans["odd"]))[2] == 0
    assert "not known" in check_words(plan_chart(plans["odd"]))
    unknown = plan_chart(plans["unknown"])
    assert bars(unknown) == [0, pytest.approx(10.0)] and not unknown.axes[0].lines


def test_no_colour_judges_an_option(plans):
    first, *options = plan_chart(plans["bakery"]).axes[0].patches
    assert len({to_hex(p.get_facecolor()) for p in options}) == 1
    assert to_hex(first.get_facecolor()).upper() == THEMES["light"].paper
    assert len({to_hex(p.get_edgecolor()) for p in (first, *options)}) == 1


def test_odd_words_are_shown_as_they_are(plans):
    said = " ".join(check_words(plan_chart(plans["odd"])))
    assert "$x$" in said and "<b>" in said and "\x00" not in said


def test_themes_are_checked_and_bytes_repeat(plans):
    with pytest.raises(ValueError, match="theme is 'blue'"):
        plan_chart(plans["alone"], theme="blue")
    one, two = (figure_bytes(plan_chart(plans["odd"]), "svg") for _ in range(2))
    assert one == two and b"&lt;b&gt;" in one


@pytest.mark.parametrize("theme", THEMES)
def test_it_looks_as_it_did(theme):
    options = (
        Option("check the probes side by side at each visit and measure in mixed streams", 0.084),
        Option("take return and supply as the mean of a grid of points, or mix the stream", 0.161),
        Option("take 10 readings at return and supply", 0.25),
    )
    assert_same_picture(plan_chart(Plan(0.277, options, ()), theme=theme), f"plan_{theme}")
