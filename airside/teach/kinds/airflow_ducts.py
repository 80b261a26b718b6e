"""Questions of lesson 3 about velocities in a duct: velocity pressure, traverse, area."""

from __future__ import annotations

from typing import Any

import numpy as np

from airside.airflow import STANDARD_DENSITY, Airflow
from airside.teach.kinds.stated_air import air_of_density
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, to_input

TRAVERSE = "ISO 3966; ASHRAE Handbook—Fundamentals ch. 37, Measurement and Instruments (from memory)"

DENSITY = Parameter("density", "density", 0.93, 1.09, (0.0005, 0.005))


def _mean_velocity(velocity_pressures: Any, density: float) -> float:
    """Mean velocity [m/s] as the library's traverse finds it."""
    flow = Airflow.traverse(
        velocity_pressure=np.asarray(velocity_pressures),
        at=air_of_density(density),
        shape="rectangular",
        width=1.0,
        height=1.0,
    )
    return float(next(r.value for r in flow.evidence if r.name == "mean_velocity"))


def _velocity(values: Values) -> Solution:
    pressure, density = values["velocity_pressure"], values["density"]
    velocity = _mean_velocity((pressure,), density)
    return Solution(velocity, (
        Step("Velocity if this were standard air: 4,009 times the root of the velocity pressure in inH2O gives ft/min (cards say 4005); "
             "1.29 times the root in Pa gives m/s", _mean_velocity((pressure,), STANDARD_DENSITY), "velocity",
             written=("4,009 × √{velocity_pressure}", "1.290 × √{velocity_pressure}")),
        Step("Standard density (in SI 1.2, or 1.201 to one place more) over density here", STANDARD_DENSITY / density, "fraction",
             written=("0.075 lb/ft³ ÷ {density}", "1.201 kg/m³ ÷ {density}")),
        Step("Root of that ratio: thin air goes faster at the same pressure", float(np.sqrt(STANDARD_DENSITY / density)),
             "fraction", written="√{-1}"),
        Step("Velocity in standard air, times that root", velocity, "velocity", written="{-3} × {-1}"),
    ))  # fmt: skip


def _without_root(values: Values, units: UnitSystem) -> float:
    # 4005 or 1.29 times the pressure itself, in the unit in which it is read.
    read = float(to_input(values["velocity_pressure"], "duct_pressure", units))
    return _mean_velocity((values["velocity_pressure"],), values["density"]) * float(np.sqrt(read))


def _traverse_velocity(values: Values) -> Solution:
    pressures, density = values["velocity_pressures"], values["density"]
    each = [_mean_velocity((p,), density) for p in pressures]
    return Solution(_mean_velocity(pressures, density), (
        Step("Root of standard density (in SI 1.2, or 1.201 to one place more) over density here", float(np.sqrt(STANDARD_DENSITY / density)), "fraction",
             written=("√(0.075 lb/ft³ ÷ {density})", "√(1.201 kg/m³ ÷ {density})")),
        Step("Velocity at the first point: 4,009 (cards say 4005) times the root in inH2O, or 1.29 times the root in Pa, times that figure",
             each[0], "velocity", written=("4,009 × √{velocity_pressures:1} × {1}", "1.290 × √{velocity_pressures:1} × {1}")),
        Step("Velocity at the second point", each[1], "velocity",
             written=("4,009 × √{velocity_pressures:2} × {1}", "1.290 × √{velocity_pressures:2} × {1}")),
        Step("Velocity at the third point", each[2], "velocity",
             written=("4,009 × √{velocity_pressures:3} × {1}", "1.290 × √{velocity_pressures:3} × {1}")),
        Step("Velocity at the fourth point", each[3], "velocity",
             written=("4,009 × √{velocity_pressures:4} × {1}", "1.290 × √{velocity_pressures:4} × {1}")),
        Step("Velocity at the fifth point", each[4], "velocity",
             written=("4,009 × √{velocity_pressures:5} × {1}", "1.290 × √{velocity_pressures:5} × {1}")),
        Step("Sum of the five", float(sum(each)), "velocity", written="{-5} + {-4} + {-3} + {-2} + {-1}"),
        Step("Mean: the sum over five", _mean_velocity(pressures, density), "velocity", written="{-1} ÷ 5"),
    ))  # fmt: skip


def _mean_first(values: Values, density: float) -> float:
    return _mean_velocity((float(np.mean(values["velocity_pressures"])),), density)


def _round_duct(values: Values) -> Solution:
    flow = _round_flow(values["velocities"], values["diameter"])
    area, mean = (float(next(r.value for r in flow.evidence if r.name == n)) for n in ("duct_area", "mean_velocity"))
    return Solution(float(flow.volume_flow), (
        Step("Mean of the velocities", mean, "velocity", written="{velocities:total} ÷ {velocities:count}"),
        Step("Half of the diameter", values["diameter"] / 2, "duct_side", (2, 1), written="{diameter} ÷ 2"),
        Step("Area: 3.1416 times half the diameter, times half the diameter again", area, "area", (3, 4),
             written=("3.1416 × {-1} × {-1} ÷ 144 in² per ft²", "3.1416 × {-1} × {-1} ÷ 1,000,000 mm² per m²")),
        Step("Mean velocity times area", float(flow.volume_flow), "volume_flow", written=("{1} × {-1}", "{1} × {-1} × 1,000 L/m³")),
    ))  # fmt: skip


def _round_flow(velocities: Any, diameter: float) -> Airflow:
    return Airflow.traverse(
        np.asarray(velocities), at=air_of_density(STANDARD_DENSITY), shape="round", diameter=diameter
    )


def _square_flow(values: Values) -> float:
    side = values["diameter"]
    return float(_rectangular(values["velocities"], side, side).volume_flow)


def _rectangular(velocities: Any, width: float, height: float) -> Airflow:
    return Airflow.traverse(
        np.asarray(velocities), at=air_of_density(STANDARD_DENSITY), shape="rectangular", width=width, height=height
    )


def _lined_flow(values: Values, linings: int) -> Airflow:
    taken = linings * values["lining"]
    return _rectangular((values["velocity"],), values["width"] - taken, values["height"] - taken)


def _lined_duct(values: Values) -> Solution:
    flow, lining = _lined_flow(values, 2), values["lining"]
    area = float(next(r.value for r in flow.evidence if r.name == "duct_area"))
    return Solution(float(flow.volume_flow), (
        Step("Width inside: outside less the lining twice", values["width"] - 2 * lining, "duct_side", written="{width} − 2 × {lining}"),
        Step("Height inside: outside less the lining twice", values["height"] - 2 * lining, "duct_side", written="{height} − 2 × {lining}"),
        Step("Area inside: width times height", area, "area", (3, 4),
             written=("{-2} × {-1} ÷ 144 in² per ft²", "{-2} × {-1} ÷ 1,000,000 mm² per m²")),
        Step("Mean velocity times area", float(flow.volume_flow), "volume_flow",
             written=("{velocity} × {-1}", "{velocity} × {-1} × 1,000 L/m³")),
    ))  # fmt: skip


AIRFLOW_DUCTS = (
    QuestionKind(
        name="velocity_from_velocity_pressure",
        lesson=3,
        title="Velocity from velocity pressure, in the air that is there",
        ask="In a duct of a library in the mountains a pitot tube shows a velocity pressure of {velocity_pressure}. The air weighs "
        "{density}. What is the velocity?",
        kind="velocity",
        parameters=(Parameter("velocity_pressure", "duct_pressure", 8.0, 35.0, (0.001, 0.1)), DENSITY),
        solve=_velocity,
        limits=(2.0, 12.0),
        hints=(
            "Velocity goes with the root of the velocity pressure.",
            "In standard air: 4005 times the root in inH2O gives ft/min, or 1.29 times the root in Pa gives m/s.",
            "Thin air must go faster to make the same pressure: multiply by the root of 0.075 over the density in lb/ft³ (in SI: "
            "of 1.2 over the density in kg/m³).",
        ),
        slips=(
            Slip("sea-level factor at altitude", lambda v, u: _mean_velocity((v["velocity_pressure"],), STANDARD_DENSITY),
                 "That would be right in standard air. Here the air is thinner and goes faster at the same velocity pressure: "
                 "multiply by the root of standard density over density here."),
            Slip("density ratio without its root",
                 lambda v, u: _mean_velocity((v["velocity_pressure"],), STANDARD_DENSITY) * STANDARD_DENSITY / v["density"],
                 "The density ratio is right, but it needs a root as the pressure does."),
            Slip("density ratio upside down",
                 lambda v, u: _mean_velocity((v["velocity_pressure"] * v["density"] / STANDARD_DENSITY,), STANDARD_DENSITY),
                 "The ratio is upside down. Thin air goes faster at the same velocity pressure, not slower."),
            Slip("root forgotten", _without_root,
                 "The root key was forgotten. Velocity goes with the root of the velocity pressure."),
            Slip("the two in the formula forgotten", lambda v, u: _mean_velocity((v["velocity_pressure"] / 2,), v["density"]),
                 "The two is missing: velocity is the root of twice the pressure over the density.", systems=("SI",)),
        ),
        source=TRAVERSE,
    ),
    QuestionKind(
        name="mean_velocity_of_a_traverse",
        lesson=3,
        title="Mean velocity from five velocity pressures",
        ask="Behind an elbow at a clinic five points of a traverse show velocity pressures of {velocity_pressures}. The air weighs "
        "{density}. What is the mean velocity of the five?",
        kind="velocity",
        parameters=(Parameter("velocity_pressures", "duct_pressure", 28.0, 42.0, (0.005, 1.0), count=5, spread=25.0), DENSITY),
        solve=_traverse_velocity,
        limits=(4.0, 12.0),
        hints=(
            "Mean of what: pressures, or velocities?",
            "Turn each velocity pressure into a velocity first; only then take the mean.",
            "In standard air 4005 times the root in inH2O, or 1.29 times the root in Pa; then times the root of standard density "
            "(0.075 lb/ft³, 1.2 kg/m³) over density here.",
        ),
        slips=(
            Slip("averaging velocity pressures", lambda v, u: _mean_first(v, v["density"]),
                 "The pressures were averaged, and the root taken of their mean. That reads high where the flow is uneven. Take "
                 "the root at each point first, then the mean of the velocities."),
            Slip("sea-level factor at altitude", lambda v, u: _mean_velocity(v["velocity_pressures"], STANDARD_DENSITY),
                 "Each point was well turned into a velocity, but for standard air. Multiply by the root of standard density "
                 "over density here."),
            Slip("averaged pressures, and sea-level factor", lambda v, u: _mean_first(v, STANDARD_DENSITY),
                 "Two things at once: the pressures were averaged before the root, and the factor is the one of standard air."),
        ),
        source=TRAVERSE,
        possible=lambda v: min(v["velocity_pressures"]) > 4.0,
    ),
    QuestionKind(
        name="flow_in_a_round_duct",
        lesson=3,
        title="Flow in a round duct from six velocities",
        ask="On one diameter of a round duct at a bakery, {diameter} inside, six points show {velocities}. What is the airflow?",
        kind="volume_flow",
        parameters=(
            Parameter("diameter", "duct_side", 300.0e-3, 560.0e-3, (0.1, 1.0)),
            Parameter("velocities", "velocity", 3.4, 5.6, (5.0, 0.02), count=6, spread=0.7),
        ),
        solve=_round_duct,
        limits=(0.15, 1.6),
        hints=(
            "Airflow is mean velocity times area.",
            "The area of a circle is 3.1416 times half the diameter, times half the diameter.",
            "Bring the measure to feet (divide inches by 12), or to metres, before you multiply.",
        ),
        slips=(
            Slip("diameter taken for half of it", lambda v, u: float(_round_flow(v["velocities"], 2 * v["diameter"]).volume_flow),
                 "That has four times the area. The formula for a circle takes half the diameter, twice over."),
            Slip("round duct taken for a square", lambda v, u: _square_flow(v),
                 "That is the area of a square with this side. A round duct has 0.785 of it."),
            Slip("square inches for square feet", lambda v, u: 144 * float(_round_flow(v["velocities"], v["diameter"]).volume_flow),
                 "The area is in square inches. A square foot has 144 of them; divide.", systems=("IP",)),
            Slip("highest velocity", lambda v, u: float(_round_flow((max(v["velocities"]),), v["diameter"]).volume_flow),
                 "That is the highest velocity times the area. Take the mean of all six."),
        ),
        source=TRAVERSE,
    ),
    QuestionKind(
        name="flow_in_a_lined_duct",
        lesson=3,
        title="Flow in a duct with lining inside",
        ask="A duct at a museum measures {width} by {height} from outside. Inside it is lined on every side, {lining} thick. A traverse "
        "gives a mean velocity of {velocity}. What is the airflow?",
        kind="volume_flow",
        parameters=(
            Parameter("width", "duct_side", 480e-3, 640e-3, (0.1, 1.0)),
            Parameter("height", "duct_side", 330e-3, 460e-3, (0.1, 1.0)),
            Parameter("lining", "duct_side", 20e-3, 32e-3, (0.05, 1.0)),
            Parameter("velocity", "velocity", 2.6, 5.2, (5.0, 0.02)),
        ),
        solve=_lined_duct,
        limits=(0.3, 1.4),
        hints=(
            "Air flows only inside the lining.",
            "Each measure loses the lining twice: left and right, top and bottom.",
            "Area inside times mean velocity. Bring the measures to feet, or metres, first.",
        ),
        slips=(
            Slip("outside measures", lambda v, u: float(_lined_flow(v, 0).volume_flow),
                 "That is the area of the sheet metal outside. Take the lining off: the air sees only what is inside."),
            Slip("lining taken off once", lambda v, u: float(_lined_flow(v, 1).volume_flow),
                 "The lining was taken off once. It stands on both sides: take it off twice from each measure."),
            Slip("square inches for square feet", lambda v, u: 144 * float(_lined_flow(v, 2).volume_flow),
                 "The area is in square inches. A square foot has 144 of them; divide.", systems=("IP",)),
        ),
        source=TRAVERSE,
    ),
)  # fmt: skip
