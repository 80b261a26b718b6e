"""The pictures of the refrigerant side: their words keep apart, their points are those of the readings."""

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.show.palette import THEMES
from airside.show.psychrometric import figure_bytes
from airside.show.refrigerant import refrigerant_chart
from airside.visit.refrigerant_side import refrigerant_side
from airside.visit.uncertainty import visit_uncertainty

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


def words(figure):
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    found = []
    for axes in figure.axes:
        low, high = sorted(axes.get_xlim())
        bottom, top = sorted(axes.get_ylim())
        for text in (*axes.texts, axes.xaxis.label, axes.yaxis.label):
            found.append((text.get_text(), text.get_window_extent(renderer)))
        for place, text in zip(axes.get_xticks(), axes.get_xticklabels(), strict=True):
            if low <= place <= high:
                found.append((text.get_text(), text.get_window_extent(renderer)))
        for place, text in zip(axes.get_yticks(), axes.get_yticklabels(), strict=True):
            if bottom <= place <= top:
                found.append((text.get_text(), text.get_window_extent(renderer)))
    return [(said, box) for said, box in found if said.strip()]


def keeps_apart(figure):
    said = words(figure)
    for text, box in said:
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= figure.bbox.x1 and box.y1 <= figure.bbox.y1, text
    for (text, one), (other_text, other) in combinations(said, 2):
        assert not one.overlaps(other), (text, other_text)
    return [text for text, _ in said]


@pytest.mark.parametrize("stacked", [False, True])
@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("name", VISITS[::3])
def test_words_keep_apart_and_inside(sides, name, units, stacked):
    said = keeps_apart(refrigerant_chart(sides[name], units=units, stacked=stacked))
    for word in ("return air", "supply air", "saturated suction", "suction line", "saturated liquid", "liquid line",
                 "discharge line", "outdoor air"):  # fmt: skip
        assert sum(t.startswith(f"{word}\n") for t in said) == 1, word
    assert f"Enthalpy of {sides[name].refrigerant}, {'Btu/lb' if units == 'IP' else 'kJ/kg'}" in said
    assert f"Pressure, {'psi' if units == 'IP' else 'kPa'} absolute" in said


@pytest.mark.parametrize("names", [("discharge_line",), ("suction_pressure",), ("liquid_pressure",),
                                   ("suction_line_at_coil", "liquid_line")])  # fmt: skip
def test_missing_readings_leave_their_words_out(sides, names):
    side = without(sides["reading_room/before"], *names)
    said = keeps_apart(refrigerant_chart(side, stacked=True))
    gone = {"discharge_line": "discharge line", "suction_pressure": "saturated suction",
            "liquid_pressure": "saturated liquid", "suction_line_at_coil": "suction line", "liquid_line": "liquid line"}  # fmt: skip
    for name in names:
        assert not any(t.startswith(f"{gone[name]}\n") for t in said)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_temperatures_stand_where_they_are(sides, units):
    side = sides["bakery/before"]
    axes = refrigerant_chart(side, units=units).axes[0]
    drawn = TO_CELSIUS[units](np.concatenate([np.asarray(line.get_ydata()) for line in axes.lines]))
    at = side.doubt.at_readings
    expected = [at.return_air.dry_bulb, at.supply_air.dry_bulb, at.outdoor_dry_bulb, side.at_readings["saturated_suction"][0],
                side.at_readings["saturated_liquid"][0], at.refrigerant["discharge_line"], at.refrigerant["liquid_line"],
                at.refrigerant["suction_line_at_coil"]]  # fmt: skip
    for value in expected:
        assert np.abs(drawn - float(np.asarray(value))).min() < 1e-9


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
    for theme in ("light", "dark"):
        figure = refrigerant_chart(sides["bakery/after"], theme=theme)
        from matplotlib.colors import to_hex

        assert to_hex(figure.get_facecolor()).upper() == THEMES[theme].paper
        assert to_hex(figure.axes[0].yaxis.label.get_color()).upper() == THEMES[theme].ink


def test_series_are_told_apart_without_colour(sides):
    lines = refrigerant_chart(sides["bakery/after"]).axes[0].lines
    looks = {(line.get_linestyle(), line.get_marker()) for line in lines}
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
