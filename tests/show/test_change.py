"""The picture of a comparison: what stands in it, and that its words keep apart."""

import sys
from itertools import combinations
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.text import Annotation, Text
from test_psychrometric import corners, overlap

import airside
from airside.show.change import LONGEST_NAME, budget_bars, change_chart, density
from airside.show.palette import THEMES
from airside.show.psychrometric import figure_bytes

sys.path.insert(0, str(Path(__file__).parents[1] / "compare"))
from pair_of_visits import AFTER, HEATING, supply, visit

DATA = Path(__file__).parents[2] / "data"
DRAWS = 5000
CHART, CAPACITIES, CHANGE, BUDGET = range(4)


def demo(folder):
    return [airside.load_visit(DATA / folder / f"{n}.toml") for n in ("before", "after")]


# A gain, nothing to be seen, a loss, a huge gain, two equal visits, no outdoor readings, heating, one and the same.
PAIRS = {
    "library": lambda: demo("reading_room"),
    "bakery": lambda: demo("bakery"),
    "loss": lambda: [visit(), visit(AFTER, supply(17.5))],
    "huge": lambda: [visit(supply(19.0, 66.0)), visit(AFTER, supply(11.0))],
    "equal": lambda: [visit(), visit(AFTER)],
    "as measured": lambda: [visit({"readings.outdoor": None}), visit(AFTER, {"readings.outdoor": None}, supply(12.0))],
    "heating": lambda: [visit(HEATING), visit(HEATING, AFTER)],
    "same": lambda: [visit(), visit()],
}


@pytest.fixture(scope="module")
def changes():
    return {name: airside.compare(*pair(), count=DRAWS) for name, pair in PAIRS.items()}


def labels(axes, renderer):
    """Corners of every label of the psychrometric chart; a leader is no part of its words."""
    found = []
    for text in axes.texts:
        if isinstance(text, Annotation):
            box = Text.get_window_extent(text, renderer)
            found.append((text.get_text(), [np.array(p) for p in box.corners()[[0, 2, 3, 1]]]))
        elif text.get_text() and not text.get_text().startswith("Moist air at"):
            found.append((text.get_text(), corners(text, renderer)))
    return found


def words(axes, renderer):
    """Everything that is written in and about an Axes, with its extent."""
    found = [*axes.texts, *axes.get_xticklabels(), *axes.get_yticklabels(), axes.xaxis.label, axes.yaxis.label]
    low, high = sorted(axes.get_xlim())
    shown = []
    for text in found:
        if not text.get_visible() or not text.get_text().strip():
            continue
        # Labels of ticks beyond the ends are there, but are not drawn.
        if text in axes.get_xticklabels() and not low <= text.get_position()[0] <= high:
            continue
        if text in axes.get_yticklabels() and not min(axes.get_ylim()) <= text.get_position()[1] <= max(
            axes.get_ylim()
        ):
            continue
        shown.append((text.get_text(), text.get_window_extent(renderer)))
    return shown


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", PAIRS)
def test_words_keep_apart_and_inside_the_picture(changes, name, units, theme):
    figure = change_chart(changes[name], units=units, theme=theme)
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    assert len(figure.axes) == 4
    for (said, one), (other_said, other) in combinations(labels(figure.axes[CHART], renderer), 2):
        assert not overlap(one, other), (said, other_said)
    everything = [(t.get_text(), t.get_window_extent(renderer)) for t in figure.texts]
    for axes in figure.axes:
        written = words(axes, renderer)
        everything += written
        if axes is figure.axes[CHART]:
            continue
        assert len(written) >= 4
        for (said, one), (other_said, other) in combinations(written, 2):
            assert not one.overlaps(other), (said, other_said)
    for said, box in everything:
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, said
    for (said, one), (other_said, other) in combinations(everything[:1] + words(figure.axes[1], renderer), 2):
        assert not one.overlaps(other), (said, other_said)


@pytest.mark.parametrize("name", PAIRS)
def test_the_verdict_stands_above_and_the_numbers_are_those_of_the_change(changes, name):
    change = changes[name]
    figure = change_chart(change)
    (verdict,) = figure.texts
    assert verdict.get_text().replace("\n", " ").replace("\u00a0", " ") == change.verdict
    found = change.ratios[change.basis]
    low, high = (100 * v for v in found.interval_95)
    (said,) = [t.get_text() for t in figure.axes[CHANGE].texts if "interval" in t.get_text()]
    assert f"95 % interval {low:.1f} to {high:.1f} %".replace("-0.0", "0.0") in said.replace("-0.0", "0.0")
    where = "at the same conditions" if change.basis == "reference" else "as measured"
    assert figure.axes[CHANGE].get_xlabel() == f"Change of total capacity {where}, %"
    assert change_chart(change, with_verdict=False).texts == []


@pytest.mark.parametrize(("units", "label", "factor"), [("IP", "Btu/h", 3.412142), ("SI", "kW", 1e-3)])
def test_capacities_stand_where_they_are(changes, units, label, factor):
    change = changes["library"]
    axes = change_chart(change, units=units).axes[CAPACITIES]
    assert label in axes.get_xlabel()
    for name, visit_doubt in (("before", change.before), ("after", change.after)):
        (text,) = [t for t in axes.texts if t.get_text() == name]
        assert text.get_position()[0] == pytest.approx(visit_doubt.estimate("total").value * factor, rel=1e-5)


def test_both_processes_are_on_one_chart_and_told_apart_without_colour(changes):
    figure = change_chart(changes["library"])
    legend = [t.get_text() for t in figure.axes[CHART].get_legend().get_texts()]
    assert legend == ["before", "after"]
    styles = {line.get_linestyle() for line in figure.axes[CAPACITIES].lines[:3:2]}
    assert styles == {"-", "--"}


def test_the_budget_shows_the_largest_shares_first_and_the_rest(changes):
    change = changes["library"]
    axes = change_chart(change).axes[BUDGET]
    rows = change.budgets["reference"]
    names = [t.get_text() for t in axes.texts if not t.get_text().endswith(" %")]
    assert names[0] == rows[0].error.name
    # Errors without any part, such as a gauge's, are not counted.
    assert names[-1] == f"{sum(r.share > 1e-6 for r in rows) - 8} others"
    widths = [p.get_width() for p in axes.patches]
    assert widths[:-1] == sorted(widths[:-1], reverse=True)
    assert sum(widths) == pytest.approx(100 * sum(r.share for r in rows), abs=0.01)


def test_long_names_are_cut_and_dollars_stay_dollars(changes):
    from dataclasses import replace

    rows = changes["library"].budgets["reference"]
    odd = [replace(rows[0], error=replace(rows[0].error, name="cost $5 and $6 " * 10)), *rows[1:]]
    figure = matplotlib.figure.Figure(figsize=(12, 9))
    axes = budget_bars(odd, figure.add_axes((0.36, 0.07, 0.60, 0.25)))
    figure.canvas.draw()
    said = axes.texts[0].get_text()
    assert len(said) == LONGEST_NAME and said.endswith("…") and "$5 and $6" in said
    assert axes.texts[0].get_window_extent().x0 >= 0


def test_without_budgets_there_is_no_budget_in_it(changes):
    change = airside.compare(*PAIRS["library"](), count=DRAWS, with_budget=False)
    assert len(change_chart(change).axes) == 3


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_themes_colour_paper_and_ink(changes, theme):
    figure = change_chart(changes["library"], theme=theme)
    colours = THEMES[theme]
    assert to_hex(figure.get_facecolor()).upper() == colours.paper
    for axes in figure.axes:
        assert to_hex(axes.get_facecolor()).upper() == colours.paper
    assert to_hex(figure.texts[0].get_color()).upper() == colours.ink


def test_the_units_are_those_of_the_before_visit_by_default(changes):
    assert "Btu/h" in change_chart(changes["library"]).axes[CAPACITIES].get_xlabel()
    assert "kW" in change_chart(changes["bakery"]).axes[CAPACITIES].get_xlabel()


def test_a_density_has_its_peak_at_1_and_the_middle_of_its_draws():
    drawn = np.random.default_rng(1).normal(5.0, 1.0, 100_000)
    x, y = density(drawn, 0.0, 10.0)
    assert y.max() == 1
    assert x[y.argmax()] == pytest.approx(5.0, abs=0.2)
    assert (x * y).sum() / y.sum() == pytest.approx(5.0, abs=0.02)
    # One standard deviation from the middle: exp(-1/2).
    assert np.interp(6.0, x, y) == pytest.approx(0.607, abs=0.03)


@pytest.mark.parametrize("form", ["png", "svg"])
def test_the_same_comparison_gives_the_same_bytes(changes, form):
    one, two = (figure_bytes(change_chart(changes["bakery"]), form) for _ in range(2))
    assert one == two and len(one) > 20_000
