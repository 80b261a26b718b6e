"""The picture of expected capacity: its curves are the rating's, its points the visit's, its words keep apart."""

import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_hex
from same_picture import assert_same_picture
from words_in_picture import check_words

import airside
from airside.compare.expected import expected_of_visit
from airside.compare.performance_table import read_performance_table
from airside.compare.rating import rating_of
from airside.compare.reference import Conditions
from airside.errors import AirsideError, ComparisonError, TableError
from airside.show.palette import THEMES
from airside.show.performance import MOST_CURVES, performance_chart
from airside.show.psychrometric import figure_bytes
from airside.units import show
from airside.visit.uncertainty import visit_uncertainty

sys.path.insert(0, str(Path(__file__).parents[1] / "compare"))
from pair_of_visits import HEATING, visit

DATA = Path(__file__).parents[2] / "data"
CAPACITY = {"IP": 1055.05585262 / 3600, "SI": 1e3}
CELSIUS = {"IP": lambda t: (t - 32) / 1.8, "SI": lambda t: t}
HEAD = "return wet bulb [degC],outdoor dry bulb [degC],flow [L/s],total [kW]\n"
LONG = "a table with a name that is long, $x and $y in it, and goes on and on and does not end where it should.csv"
# Wet bulbs, outdoor dry bulbs, flows.
TABLES = {
    "table.csv": ((14, 17, 19, 22), (25, 30, 35, 40, 46), (400, 500, 600)),
    "one flow.csv": ((14, 17, 19, 22), (25, 30, 35, 40, 46), (500,)),
    "many.csv": (tuple(range(13, 25)), tuple(range(20, 48, 3)), (400, 500, 600)),
    "far.csv": ((19, 21, 23), (38, 42, 46), (600, 700)),
    "one point.csv": ((19,), (35,), (500,)),
    LONG: ((14, 17, 19, 22), (25, 30, 35, 40, 46), (400, 500, 600)),
}


def total(wet_bulb, outdoor, flow):
    # Not a plane, so that reading between points is seen.
    return 10 + 0.3 * (wet_bulb - 19) - 0.1 * (outdoor - 35) - 0.004 * (outdoor - 35) ** 2 + 0.004 * (flow - 520)


@pytest.fixture(scope="module")
def doubts(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tables")
    visits = {"library": airside.load_visit(DATA / "reading_room/before.toml"),
              "bakery": airside.load_visit(DATA / "bakery/after.toml")}  # fmt: skip
    for name, (wet_bulbs, outdoor, flows) in TABLES.items():
        rows = [f"{w},{o},{q},{total(w, o, q)}" for w in wet_bulbs for o in outdoor for q in flows]
        (folder / name).write_text(HEAD + "\n".join(rows))
        visits[name] = visit({"system.performance_table": name}, path=folder / "visit.toml")
    hot = {"system.performance_table": "table.csv", "readings.outdoor.dry_bulb": [45.0, 45.1, 44.9, 45.0]}
    visits["hot"] = visit(hot, path=folder / "visit.toml")
    visits["cold"] = visit({"readings.outdoor.dry_bulb": [10.0]})
    return {name: visit_uncertainty(v, count=3000) for name, v in visits.items()}


NAMES = ["library", "bakery", *TABLES, "hot", "cold"]
EXPECTED = [n for n in NAMES if n not in ("far.csv", "one point.csv", "cold")]


def lines(figure, gid):
    return [line for line in figure.axes[0].lines if line.get_gid() == gid]


@pytest.mark.parametrize("theme", ["light", "print"])
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", NAMES)
def test_words_keep_apart_and_can_be_read(doubts, name, units, theme):
    check_words(performance_chart(doubts[name], units=units, theme=theme), smallest=9)


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", EXPECTED)
def test_curves_are_the_ratings_at_the_visits_flow(doubts, name, units):
    doubt = doubts[name]
    expected, _ = expected_of_visit(doubt)
    figure = performance_chart(doubt, units=units)
    curves = lines(figure, "curve")
    named = [t.get_text() for t in figure.axes[0].texts if t.get_text().endswith(("°F", "°C"))]
    assert len(curves) == len(named) >= 3
    for curve, said in zip(curves, named, strict=True):
        wet_bulb = CELSIUS[units](float(said.split()[0]))
        x, y = (np.asarray(v, dtype=float) for v in curve.get_data())
        there = Conditions("", wet_bulb, CELSIUS[units](x))
        found = expected.rating.capacity(there, expected.flow)
        # The name is rounded to a tenth.
        assert y * CAPACITY[units] == pytest.approx(found, rel=2e-3)


@pytest.mark.parametrize("name", ["table.csv", "many.csv", "hot"])
def test_curves_of_a_table_are_the_tables(doubts, name):
    doubt = doubts[name]
    expected, _ = expected_of_visit(doubt)
    table = read_performance_table(expected.rating.table.path, "SI")
    curves = lines(performance_chart(doubt, units="SI"), "curve")
    read = [w for w in table.axes[0] for c in curves if c.get_ydata()[0] * 1e3 == pytest.approx(
        table.read("total", w, table.axes[1][0], expected.flow), rel=1e-9)]  # fmt: skip
    assert len(read) == len(curves) <= MOST_CURVES
    assert read[0] == table.axes[0][0] and read[-1] == table.axes[0][-1]
    # The visit's own wet bulb lies between two that are drawn and stand beside each other in the table.
    below, above = (
        max(w for w in read if w <= expected.conditions.indoor),
        min(w for w in read if w > expected.conditions.indoor),
    )
    assert np.flatnonzero(table.axes[0] == above)[0] == np.flatnonzero(table.axes[0] == below)[0] + 1
    for curve, wet_bulb in zip(curves, read, strict=True):
        x, y = (np.asarray(v, dtype=float) for v in curve.get_data())
        assert list(x) == list(table.axes[1])
        assert y * 1e3 == pytest.approx([table.read("total", wet_bulb, o, expected.flow) for o in x], rel=1e-9)


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", EXPECTED)
def test_points_and_intervals_are_those_of_the_result(doubts, name, units):
    expected, _ = expected_of_visit(doubts[name])
    figure = performance_chart(doubts[name], units=units)
    for what, estimate in (("expected", expected.total), ("delivered", expected.delivered)):
        (point,) = lines(figure, what)
        (interval,) = lines(figure, f"{what} interval")
        (x,), (y,) = point.get_data()
        assert CELSIUS[units](x) == pytest.approx(expected.conditions.outdoor, abs=1e-6)
        assert y * CAPACITY[units] == pytest.approx(estimate.value, rel=1e-6)
        assert np.asarray(interval.get_ydata()) * CAPACITY[units] == pytest.approx(estimate.interval_95, rel=1e-6)
        said = f"{what} {show(estimate.value, 'capacity', units)}"
        assert any(t.get_text().split("\n")[0] == said for t in figure.axes[0].texts)
        low, high = figure.axes[0].get_ylim()
        assert low < min(interval.get_ydata()) and max(interval.get_ydata()) < high
    # The visit's own curve goes through what is expected.
    (own,) = lines(figure, "own curve")
    (point,) = lines(figure, "expected")
    assert np.interp(point.get_xdata()[0], *own.get_data()) == pytest.approx(point.get_ydata()[0], rel=3e-3)


@pytest.mark.parametrize("name", ["far.csv", "one point.csv", "cold"])
def test_outside_its_range_the_visit_stands_beside_the_curves(doubts, name):
    doubt = doubts[name]
    figure = performance_chart(doubt)
    _, reason = expected_of_visit(doubt)
    said = figure.texts[1].get_text().replace("\n", " ").replace("\u00a0", " ")
    assert said.startswith("No capacity is expected.") and said == reason
    assert not lines(figure, "expected") and not lines(figure, "own curve")
    (point,) = lines(figure, "delivered")
    assert point.get_ydata()[0] == pytest.approx(doubt.estimate("total").value / 1e3)
    low, high = figure.axes[0].get_xlim()
    assert low < point.get_xdata()[0] < high


def test_no_curve_is_read_beyond_the_tables_flows(doubts):
    figure = performance_chart(doubts["far.csv"])
    # The visit's flow is below the table's.
    assert "Expected capacity at 600 L/s of standard air" in figure.texts[0].get_text()
    assert lines(figure, "curve")[0].get_ydata()[0] == pytest.approx(total(19, 38, 600))


def test_every_way_to_name_the_visit_gives_one_picture(doubts):
    doubt = doubts["library"]
    result = airside.analyse(doubt.visit, count=3000)
    expected, _ = expected_of_visit(doubt)
    pictures = {figure_bytes(performance_chart(s), "svg") for s in (doubt, result, expected)}
    assert len(pictures) == 1
    assert performance_chart(doubt.visit).axes[0].get_xlabel() == "Outdoor dry bulb, °F"


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"system.nominal_capacity": None}, "No nominal capacity and no performance table is given"),
        ({"readings.outdoor": None}, "The visit has no outdoor dry bulb"),
        (HEATING, "Expected capacity is given for cooling"),
    ],
)
def test_where_nothing_is_expected_a_sentence_says_so(change, said):
    with pytest.raises(ComparisonError, match=f"There is no picture of expected capacity. {said}") as caught:
        performance_chart(visit_uncertainty(visit(change), count=200))
    assert isinstance(caught.value, AirsideError)


def test_a_table_that_cannot_be_used_is_named(tmp_path):
    missing = visit({"system.performance_table": "none.csv"}, path=tmp_path / "visit.toml")
    with pytest.raises(TableError, match="there is no such file"):
        performance_chart(missing)


def test_a_name_from_a_file_is_cut_and_dollars_stay_dollars(doubts):
    figure = performance_chart(doubts[LONG])
    said = " ".join(t.get_text() for t in figure.texts)
    assert "$x" in said or "…" in said
    assert b"manufacturer" in figure_bytes(figure, "svg")


def test_a_rating_curve_without_a_table_says_what_it_is(doubts):
    rating, _ = rating_of(doubts["library"].visit)
    figure = performance_chart(doubts["library"])
    assert rating.correction.name in figure.texts[1].get_text().replace("\n", " ")


@pytest.mark.parametrize("theme", THEMES)
def test_themes_colour_paper_and_ink_and_points_are_told_apart_without_colour(doubts, theme):
    figure = performance_chart(doubts["bakery"], theme=theme)
    assert to_hex(figure.axes[0].get_facecolor()).upper() == THEMES[theme].paper
    assert to_hex(figure.texts[0].get_color()).upper() == THEMES[theme].ink
    assert {lines(figure, n)[0].get_marker() for n in ("expected", "delivered")} == {"D", "o"}


@pytest.mark.parametrize(("name", "theme", "units"), [("library", "light", "IP"), ("bakery", "dark", "SI"),
                                                      ("table.csv", "print", "IP")])  # fmt: skip
def test_it_looks_as_it_did(doubts, name, theme, units):
    assert_same_picture(
        performance_chart(doubts[name], theme=theme, units=units), f"performance_{name.split('.')[0]}_{theme}"
    )
