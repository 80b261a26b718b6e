"""The pictures of the refrigerant side: their words keep apart, their points are those of the readings."""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from same_picture import assert_same_picture
from words_in_picture import check_words

import airside
from airside.show.palette import THEMES
from airside.show.psychrometric import figure_bytes
from airside.show.refrigerant import refrigerant_chart
from airside.visit.refrigerant_side import refrigerant_side
from airside.visit.uncertainty import visit_uncertainty

sys.path.insert(0, str(Path(__file__).parents[1] / "compare"))
from pair_of_visits import HEATING, visit

DATA = Path(__file__).parents[2] / "data"
VISITS = [f"{folder}/{name}" for folder in ("reading_room", "bakery") for name in ("before", "after")]
TO_CELSIUS = {"SI": lambda v: v, "IP": lambda v: (v - 32) / 1.8}


def side_of(visit):
    side, _ = refrigerant_side(visit_uncertainty(visit, count=500))
    return side


@pytest.fixture(scope="module")
def sides():
    return {name: side_of(airside.load_visit(DATA / f"{name}.toml")) for name in VISITS}


def without(side, *names):
    """The same side of a visit that lacks some readings."""
    visit = side.doubt.visit
    fewer = visit.readings.refrigerant.model_copy(update=dict.fromkeys(names))
    return side_of(visit.model_copy(update={"readings": visit.readings.model_copy(update={"refrigerant": fewer})}))


# A case that is easily drawn badly: what is changed in the library's or the bakery's visit (temperatures in °C, pressures in Pa).
SUCTION = {"suction_pressure", "suction_line_at_coil", "suction_line_at_outdoor_unit"}
LIQUID = {"liquid_pressure", "liquid_line", "discharge_line"}
ODD = {
    "only suction": ("reading_room/before", dict.fromkeys(LIQUID)),
    "only liquid": ("bakery/after", dict.fromkeys(SUCTION)),
    "no superheat": ("reading_room/before", {"suction_line_at_coil": (5.0,)}),
    "hot discharge": ("reading_room/before", {"discharge_line": (140.0,)}),
    "suction near supply air": (
        "reading_room/before",
        {"suction_pressure": (1.06e6,), "suction_line_at_coil": (13.6,)},
    ),
    "condensing near outdoor air": ("bakery/after", {"liquid_pressure": (1.95e6,), "liquid_line": (31.2,)}),
    "below saturation": ("reading_room/before", {"suction_line_at_coil": (-8.0,)}),
    "pressures alone": ("bakery/before", dict.fromkeys((SUCTION | LIQUID) - {"suction_pressure", "liquid_pressure"})),
}


def odd(name):
    file, changes = ODD[name]
    visit = airside.load_visit(DATA / f"{file}.toml")
    other = visit.readings.refrigerant.model_copy(update=changes)
    return side_of(visit.model_copy(update={"readings": visit.readings.model_copy(update={"refrigerant": other})}))


def plain(text):
    """A text on one line."""
    return text.replace("\n", " ")


@pytest.mark.parametrize("stacked", [False, True])
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", VISITS[::3])
def test_words_keep_apart_and_inside(sides, name, units, stacked):
    said = check_words(refrigerant_chart(sides[name], units=units, stacked=stacked), smallest=9 if stacked else None)
    for word in ("return air", "supply air", "saturated suction", "suction line", "saturated liquid", "liquid line",
                 "discharge line", "outdoor air"):  # fmt: skip
        assert sum(plain(t).startswith(f"{word} ") for t in said) == 1, word
    assert f"Enthalpy of {sides[name].refrigerant}, {'Btu/lb' if units == 'IP' else 'kJ/kg'}" in said
    assert f"Pressure, {'psi' if units == 'IP' else 'kPa'} absolute" in said


@pytest.mark.parametrize("theme", ["light", "print"])
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("stacked", [False, True])
@pytest.mark.parametrize("name", ODD)
def test_words_keep_apart_in_odd_cases(name, stacked, units, theme):
    check_words(refrigerant_chart(odd(name), units=units, stacked=stacked, theme=theme))


def test_superheat_and_subcooling_stand_with_their_lines(sides):
    side = sides["reading_room/before"]
    said = check_words(refrigerant_chart(side, units="SI"))
    for line, figure in (("suction line", "superheat_at_coil"), ("liquid line", "subcooling")):
        (found,) = [t for t in said if t.startswith(f"{line}\n")]
        words = "superheat" if "superheat" in figure else "subcooling"
        assert found.split("\n")[2] == f"{words} {float(side.at_readings[figure][0]):.1f} K"


@pytest.mark.parametrize("names", [("discharge_line",), ("suction_pressure",), ("liquid_pressure",),
                                   ("suction_line_at_coil", "liquid_line")])  # fmt: skip
def test_missing_readings_leave_their_words_out(sides, names):
    side = without(sides["reading_room/before"], *names)
    said = check_words(refrigerant_chart(side, stacked=True))
    gone = {"discharge_line": "discharge line", "suction_pressure": "saturated suction",
            "liquid_pressure": "saturated liquid", "suction_line_at_coil": "suction line", "liquid_line": "liquid line"}  # fmt: skip
    for name in names:
        assert not any(plain(t).startswith(f"{gone[name]} ") for t in said)


@pytest.mark.parametrize(
    ("name", "corners", "said"),
    [
        ("only suction", ["leaves the coil"], "no cycle without: liquid pressure, liquid line"),
        ("only liquid", ["liquid line", "discharge"], "no cycle without: suction pressure, suction line at the coil"),
        ("below saturation", ["liquid line", "discharge", "enters the coil"],
         "no cycle: a line is not on its side of saturation"),
        ("pressures alone", [], "no cycle without: suction line at the coil, liquid line"),
    ],
)  # fmt: skip
def test_without_a_cycle_there_are_the_corners_and_pressures_that_are_known(name, corners, said):
    side = odd(name)
    axes = refrigerant_chart(side, units="SI").axes[1]
    named = [w for w in ("suction pressure", "liquid pressure") if w not in said]
    assert [t.get_text() for t in axes.texts] == [*named, *corners, said]
    drawn = [line for line in axes.lines if line.get_linestyle() == "--"]
    barometer = float(np.asarray(side.doubt.at_readings.return_air.pressure))
    known = [v for n, v in side.doubt.at_readings.refrigerant.items() if n.endswith("_pressure")]
    assert sorted(line.get_ydata()[0] * 1e3 for line in drawn) == pytest.approx(
        sorted(float(np.asarray(v)) + barometer for v in known)
    )
    low, high = axes.get_ylim()
    assert all(low < line.get_ydata()[0] < high for line in drawn)


def test_the_outdoor_coil_is_left_out_where_nothing_is_known_of_it():
    side = odd("only suction")
    visit = side.doubt.visit
    bare = side_of(visit.model_copy(update={"readings": visit.readings.model_copy(update={"outdoor": None})}))
    ticks = [t.get_text() for t in refrigerant_chart(bare).axes[0].get_xticklabels()]
    assert ticks == ["indoor coil"]
    assert [t.get_text() for t in refrigerant_chart(side).axes[0].get_xticklabels()] == ["indoor coil", "outdoor coil"]
    check_words(refrigerant_chart(bare, stacked=True))


def test_in_heating_the_coils_have_changed_places():
    heating = visit(
        HEATING,
        {
            "system.refrigerant": "R-410A",
            "readings.refrigerant": {"suction_pressure": 620, "liquid_pressure": 2350, "suction_line_at_coil": 2.0,
                                     "liquid_line": 33.0, "discharge_line": 68.0},
        },
    )  # fmt: skip
    axes = refrigerant_chart(side_of(heating), stacked=True).axes[0]
    check_words(axes.figure)
    indoor, outdoor = axes.get_xticks()
    middles = {line.get_marker(): np.mean(line.get_xdata()[-2:]) for line in axes.lines if line.get_gid() != "leader"}
    # The condensing stream (triangles) is at the indoor coil, the evaporating one (squares) outdoors.
    assert abs(middles["^"] - indoor) < abs(middles["^"] - outdoor)
    assert abs(middles["s"] - outdoor) < abs(middles["s"] - indoor)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_temperatures_stand_where_they_are(sides, units):
    side = sides["bakery/before"]
    axes = refrigerant_chart(side, units=units).axes[0]
    streams = [line for line in axes.lines if line.get_gid() != "leader"]
    drawn = TO_CELSIUS[units](np.concatenate([np.asarray(line.get_ydata()) for line in streams]))
    at = side.doubt.at_readings
    expected = [at.return_air.dry_bulb, at.supply_air.dry_bulb, at.outdoor_dry_bulb, side.at_readings["saturated_suction"][0],
                side.at_readings["saturated_liquid"][0], at.refrigerant["discharge_line"], at.refrigerant["liquid_line"],
                at.refrigerant["suction_line_at_coil"]]  # fmt: skip
    for value in expected:
        assert np.abs(drawn - float(np.asarray(value))).min() < 1e-9
    # And nothing else.
    for value in drawn:
        assert min(abs(value - float(np.asarray(e))) for e in expected) < 1e-9


@pytest.mark.parametrize(("units", "per_pressure", "per_enthalpy"), [("IP", 6894.757, 2326.0), ("SI", 1e3, 1e3)])
def test_the_cycle_is_that_of_the_readings(sides, units, per_pressure, per_enthalpy):
    from CoolProp.CoolProp import PropsSI

    side = sides["bakery/before"]
    axes = refrigerant_chart(side, units=units).axes[1]
    cycle = axes.lines[-1]
    at = side.doubt.at_readings
    got = {k: float(np.asarray(v)) for k, v in at.refrigerant.items()}
    pressures = sorted({round(float(p) * per_pressure) for p in cycle.get_ydata()})
    barometer = float(np.asarray(at.return_air.pressure))
    assert pressures == pytest.approx([got["suction_pressure"] + barometer, got["liquid_pressure"] + barometer], abs=1)
    # Differences of enthalpy do not depend on where its zero is.
    x = np.asarray(cycle.get_xdata()) * per_enthalpy
    suction = PropsSI("H", "T", got["suction_line_at_coil"] + 273.15, "P", pressures[0], "R32")
    liquid = PropsSI("H", "T", got["liquid_line"] + 273.15, "P", pressures[1], "R32")
    assert x[2] - x[0] == pytest.approx(suction - liquid, rel=2e-3)


def test_an_open_side_where_the_discharge_is_not_known(sides):
    side = without(sides["reading_room/before"], "discharge_line")
    assert len(refrigerant_chart(side).axes[1].lines[-1].get_xdata()) == 3
    assert len(refrigerant_chart(sides["reading_room/before"]).axes[1].lines[-1].get_xdata()) == 5


def test_units_are_the_visits_and_themes_change_paper_and_ink(sides):
    assert "°F" in refrigerant_chart(sides["reading_room/before"]).axes[0].get_ylabel()
    assert "°C" in refrigerant_chart(sides["bakery/before"]).axes[0].get_ylabel()
    for theme in THEMES:
        figure = refrigerant_chart(sides["bakery/after"], theme=theme)
        from matplotlib.colors import to_hex

        assert to_hex(figure.get_facecolor()).upper() == THEMES[theme].paper
        assert to_hex(figure.axes[0].yaxis.label.get_color()).upper() == THEMES[theme].ink


def test_series_are_told_apart_without_colour(sides):
    lines = refrigerant_chart(sides["bakery/after"]).axes[0].lines
    looks = {(line.get_linestyle(), line.get_marker()) for line in lines if line.get_gid() != "leader"}
    assert looks == {("-", "o"), ("--", "s"), ("--", "^")}


def test_every_refrigerant_has_its_diagram(sides):
    from airside.refrigerant.names import REFRIGERANTS

    side = sides["bakery/before"]
    visit = side.doubt.visit
    for name in REFRIGERANTS:
        system = visit.system.model_copy(update={"refrigerant": name})
        doubt = replace(side.doubt, visit=visit.model_copy(update={"system": system}))
        axes = refrigerant_chart(replace(side, doubt=doubt)).axes[1]
        assert name in axes.get_xlabel()
        for line in axes.lines[:2]:
            assert np.isfinite(line.get_xdata()).mean() > 0.9
        assert len(axes.get_yticks()) >= 2


def test_the_same_bytes_again(sides):
    one, two = (figure_bytes(refrigerant_chart(sides["bakery/after"]), "png") for _ in range(2))
    assert one == two


@pytest.mark.parametrize(("name", "theme", "units", "stacked"), [("reading_room/before", "light", "IP", True),
                                                                 ("bakery/after", "dark", "SI", False),
                                                                 ("bakery/before", "print", "SI", True)])  # fmt: skip
def test_it_looks_as_it_did(sides, name, theme, units, stacked):
    figure = refrigerant_chart(sides[name], theme=theme, units=units, stacked=stacked)
    assert_same_picture(figure, f"refrigerant_{name.split('/')[0]}_{theme}")
