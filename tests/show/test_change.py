"""The picture of a comparison: what stands in it, and that its words keep apart."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_hex
from same_picture import assert_same_picture
from words_in_picture import check_words

import airside
from airside.show.change import BINS, OF_CHANGE, budget_bars, capacity_densities, change_chart, change_density, density
from airside.show.palette import THEMES
from airside.show.plain_axes import axes_in_inches, new_figure
from airside.show.psychrometric import figure_bytes

sys.path.insert(0, str(Path(__file__).parents[1] / "compare"))
from pair_of_visits import AFTER, HEATING, supply, visit

DATA = Path(__file__).parents[2] / "data"
DRAWS = 5000
CHART, CAPACITIES, CHANGE, BUDGET = range(4)
CAPACITY = {"IP": 1055.05585262 / 3600, "SI": 1e3}


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


def plain(text):
    """A text on one line."""
    return text.replace("\n", " ").replace("\u00a0", " ")


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", PAIRS)
def test_words_keep_apart_and_inside_the_picture(changes, name, units, theme):
    figure = change_chart(changes[name], units=units, theme=theme)
    assert len(figure.axes) == 4
    assert len(check_words(figure)) > 40


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", PAIRS)
def test_in_a_panel_every_word_can_be_read(changes, name, units):
    check_words(change_chart(changes[name], units=units, with_verdict=False, theme="print"), smallest=9)


def test_a_panels_picture_is_of_one_size_with_and_without_budget(changes):
    whole = change_chart(changes["library"], with_verdict=False)
    quick = change_chart(airside.compare(*PAIRS["library"](), count=DRAWS, with_budget=False), with_verdict=False)
    assert list(whole.get_size_inches()) == list(quick.get_size_inches())
    for one, other in zip(whole.axes[:3], quick.axes, strict=True):
        assert one.get_position().bounds == other.get_position().bounds
    # Shown as wide as a narrow column, it is not wider than its words allow.
    assert whole.get_size_inches()[0] < 7.5


@pytest.mark.parametrize("name", PAIRS)
def test_the_verdict_stands_above_and_the_numbers_are_those_of_the_change(changes, name):
    change = changes[name]
    figure = change_chart(change)
    (verdict,) = figure.texts
    assert plain(verdict.get_text()) == change.verdict
    found = change.ratios[change.basis]
    low, high = (100 * v for v in found.interval_95)
    axes = figure.axes[CHANGE]
    (said,) = [t.get_text() for t in axes.texts if "interval" in t.get_text()]
    assert f"95 % interval {low:.1f} to {high:.1f} %".replace("-0.0", "0.0") in said.replace("-0.0", "0.0")
    where = "at the same conditions" if change.basis == "reference" else "as measured"
    assert plain(axes.get_xlabel()) == f"Change of total capacity {where}, %"
    (interval,) = [line for line in axes.lines if line.get_gid() == "interval"]
    (point,) = [line for line in axes.lines if line.get_gid() == "change"]
    assert list(interval.get_xdata()) == pytest.approx([low, high])
    assert point.get_xdata()[0] == pytest.approx(100 * found.value)
    assert change_chart(change, with_verdict=False).texts == []


@pytest.mark.parametrize(("name", "units", "said"), [
    ("library", "IP", "conditions of the before visit: 61.5 °F return wet bulb, 91.4 °F outdoors"),
    ("library", "SI", "conditions of the before visit: 16.4 °C return wet bulb, 33.0 °C outdoors"),
    ("heating", "SI", "conditions of the before visit: 21.0 °C return dry bulb, 8.0 °C outdoors"),
    ("as measured", "SI", "not brought to the same conditions"),
])  # fmt: skip
def test_the_picture_says_to_which_conditions_both_were_brought(changes, name, units, said):
    for with_verdict in (True, False):
        figure = change_chart(changes[name], units=units, with_verdict=with_verdict)
        assert said in [plain(t.get_text()) for t in figure.axes[CHANGE].texts]


@pytest.mark.parametrize(("units", "label"), [("IP", "Btu/h"), ("SI", "kW")])
def test_capacities_stand_where_they_are(changes, units, label):
    change = changes["library"]
    axes = change_chart(change, units=units).axes[CAPACITIES]
    assert label in axes.get_xlabel()
    for name, doubt in (("before", change.before), ("after", change.after)):
        total = doubt.estimate("total")
        (line,) = [line for line in axes.lines if line.get_gid() == name]
        assert line.get_xdata()[0] * CAPACITY[units] == pytest.approx(total.value, rel=1e-6)
        (text,) = [t.get_text() for t in axes.texts if t.get_text().startswith(name)]
        shown = float(text.split()[1].replace(",", ""))
        assert shown * CAPACITY[units] == pytest.approx(total.value, rel=1e-3)
    # What is shaded is the 95 % interval.
    for shade, doubt in zip(axes.collections, (change.before, change.after), strict=True):
        x = shade.get_paths()[0].vertices[:, 0] * CAPACITY[units]
        step = (axes.get_xlim()[1] - axes.get_xlim()[0]) * CAPACITY[units] / BINS
        assert [x.min(), x.max()] == pytest.approx(doubt.estimate("total").interval_95, abs=step)


def test_both_processes_are_on_one_chart_and_told_apart_without_colour(changes):
    figure = change_chart(changes["library"])
    legend = [t.get_text() for t in figure.axes[CHART].get_legend().get_texts()]
    assert legend[:2] == ["before", "after"]
    lines = figure.axes[CAPACITIES].lines
    assert {line.get_linestyle() for line in lines if len(line.get_xdata()) > 10} == {"-", "--"}
    assert {line.get_marker() for line in lines if len(line.get_xdata()) == 1} == {"o", "s"}


def test_the_chart_shows_how_well_the_states_are_known(changes):
    figure = change_chart(changes["library"])
    ellipses = [a for a in figure.axes[CHART].get_children() if a.get_gid() == "ellipse"]
    assert len(ellipses) == 4
    # Return and supply of both visits lie inside one each.
    change = changes["library"]
    states = [s for v in (change.before, change.after) for s in (v.at_readings.return_air, v.at_readings.supply_air)]
    for state in states:
        x = float(state.dry_bulb) * 1.8 + 32
        assert any(min(e.get_xdata()) < x < max(e.get_xdata()) for e in ellipses)


@pytest.mark.parametrize(("with_verdict", "most"), [(True, 8), (False, 5)])
def test_the_budget_shows_the_largest_shares_first_and_the_rest(changes, with_verdict, most):
    change = changes["library"]
    axes = change_chart(change, with_verdict=with_verdict).axes[BUDGET]
    rows = change.budgets["reference"]
    names = [plain(t.get_text()) for t in axes.texts if not t.get_text().endswith(" %")]
    assert names[0] == rows[0].error.name
    # Errors without any part, such as a gauge's, are not counted.
    assert names[-1] == f"{sum(r.share > 1e-6 for r in rows) - most} others"
    widths = [p.get_width() for p in axes.patches]
    assert widths[:-1] == sorted(widths[:-1], reverse=True) and len(widths) == most + 1
    assert sum(widths) == pytest.approx(100 * sum(r.share for r in rows), abs=0.01)
    assert axes.get_xlabel() == OF_CHANGE
    # The rest is no error of its own: an open bar.
    assert to_hex(axes.patches[-1].get_facecolor()).upper() == THEMES["light"].paper


def test_long_names_are_cut_in_the_middle_and_dollars_stay_dollars(changes):
    rows = changes["library"].budgets["reference"]
    name = "before: " + "cost $5 and $6 " * 30 + "calibration"
    odd = [replace(rows[0], error=replace(rows[0].error, name=name)), *rows[1:]]
    figure = new_figure(6.6, 3.0, THEMES["light"])
    axes = budget_bars(odd, axes_in_inches(figure, 2.5, 0.5, 3.8, 2.3))
    check_words(figure)
    said = axes.texts[0].get_text()
    assert said.startswith("before: cost $5") and said.endswith("calibration") and said.count("…") == 1


def test_a_budget_of_one_visit_has_words_of_its_own(changes):
    result = airside.analyse(airside.load_visit(DATA / "bakery/before.toml"), count=DRAWS)
    figure = new_figure(6.6, 3.0, THEMES["dark"])
    words = "Share of the variance of total capacity, %"
    axes = budget_bars(result.budget, axes_in_inches(figure, 2.6, 0.5, 3.8, 2.3), "dark", most=4, words=words)
    check_words(figure)
    assert axes.get_xlabel() == words and len(axes.patches) == 5
    assert [p.get_width() for p in axes.patches[:4]] == pytest.approx([100 * r.share for r in result.budget[:4]])


def test_a_budget_without_any_share_says_so(changes):
    axes = change_chart(changes["same"]).axes[BUDGET]
    assert not axes.patches and [t.get_text() for t in axes.texts] == ["no error has a part in it"]


def test_without_budgets_there_is_no_budget_in_it():
    change = airside.compare(*PAIRS["library"](), count=DRAWS, with_budget=False)
    assert len(change_chart(change).axes) == 3


def test_pieces_for_a_report_have_no_note_unless_it_is_asked_for(changes):
    change = changes["library"]
    for draw in (lambda axes, **k: capacity_densities(change, axes, "IP", "print", **k),
                 lambda axes, **k: change_density(change, axes, "print", **k)):  # fmt: skip
        counts = []
        for note in (False, True):
            figure = new_figure(3.5, 2.4, THEMES["print"])
            axes = axes_in_inches(figure, 0.3, 0.95, 2.9, 1.3)
            assert draw(axes, with_note=note) is axes
            counts.append(len([t for t in check_words(figure) if "shaded" in t or "conditions of" in t]))
        assert counts == [0, 1]


@pytest.mark.parametrize("theme", THEMES)
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
    with pytest.raises(ValueError, match="theme is 'neon'"):
        change_chart(changes["bakery"], theme="neon")


def test_a_density_has_its_peak_at_1_and_the_middle_of_its_draws():
    drawn = np.random.default_rng(1).normal(5.0, 1.0, 100_000)
    x, y = density(drawn, 0.0, 10.0)
    assert y.max() == 1
    assert x[y.argmax()] == pytest.approx(5.0, abs=0.2)
    assert (x * y).sum() / y.sum() == pytest.approx(5.0, abs=0.02)
    # One standard deviation from the middle: exp(-1/2).
    assert np.interp(6.0, x, y) == pytest.approx(0.607, abs=0.03)


def test_a_density_of_few_draws_is_calm_and_of_one_value_is_a_stroke():
    few = np.random.default_rng(2).normal(5.0, 1.0, 5000)
    x, y = density(few, 0.0, 10.0)
    # One top: it rises up to it and falls after it, but for the tails.
    rising, top = np.diff(y), y.argmax()
    inner = (x[1:] > 3.2) & (x[1:] < 6.8)
    assert np.all(rising[:top][inner[:top]] > -0.02) and np.all(rising[top:][inner[top:]] < 0.02)
    x, y = density(np.full(1000, 5.0), 0.0, 10.0)
    assert y.max() == 1 and (y > 0.5).sum() <= 4


@pytest.mark.parametrize("form", ["png", "svg"])
def test_the_same_comparison_gives_the_same_bytes(changes, form):
    one, two = (figure_bytes(change_chart(changes["bakery"]), form) for _ in range(2))
    assert one == two and len(one) > 20_000


@pytest.mark.parametrize(("name", "theme", "with_verdict"), [("library", "light", True), ("loss", "dark", False),
                                                             ("library", "print", False)])  # fmt: skip
def test_it_looks_as_it_did(changes, name, theme, with_verdict):
    figure = change_chart(changes[name], theme=theme, with_verdict=with_verdict)
    assert_same_picture(figure, f"change_{name}_{theme}")
