"""Questions of lesson 3, worked by hand with pocket-calculator figures; and the figures that the lesson's text gives."""

import math
from pathlib import Path

import numpy as np
import pytest

import airside
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.units import from_inside, to_input, to_inside

LESSON = Path(__file__).parents[2] / "notebooks/lessons/03_airflow"


def asked(name, units="IP", **given):
    """A question with stated numbers, bare in the units of its text."""
    kind = kind_of(name)
    values = {}
    for parameter in kind.parameters:
        bare = given.pop(parameter.name)
        if isinstance(bare, tuple):
            values[parameter.name] = tuple(float(to_inside(v, parameter.kind, units)) for v in bare)
        else:
            values[parameter.name] = float(to_inside(bare, parameter.kind, units))
    assert not given
    return Question(kind, 0, units, values)


def answer(question):
    """The right answer, as it is shown."""
    return float(from_inside(question.answer, question.kind.kind, question.units))


def slip(question, name):
    """What a slip gives, as it is shown."""
    value = next(v for s, v in question.slips if s.name == name)
    return float(from_inside(value, question.kind.kind, question.units))


ROWS = {"upper_static": 0.5, "lower_static": 0.7, "upper_flow": 1590, "lower_flow": 1470}
CIRCLE = 3.1416 * 0.75 * 0.75

# Question, its numbers, and the answer worked by hand; all in IP.
BY_HAND = [
    ("external_static_from_readings", {"supply_static": 0.43, "return_static": -0.20}, 0.43 + 0.20, 1e-6),
    ("external_static_without_filter", {"supply_static": 0.35, "return_static": -0.18, "after_filter": -0.38},
     0.35 + 0.38, 1e-6),
    # A quarter of the way from 0.50 to 0.70.
    ("fan_table_flow", {**ROWS, "upper_medium_flow": 1400, "lower_medium_flow": 1270, "static": 0.55}, 1590 - 120 / 4, 1e-6),
    ("static_for_the_fan_table", {"density": 0.0600, "static": 0.48}, 0.48 * 0.075 / 0.060, 1e-6),
    # 0.48 becomes 0.60, half of the way.
    ("fan_table_flow_at_altitude", {**ROWS, "density": 0.0600, "static": 0.48}, 1530, 1e-6),
    ("flow_from_coil_pressure_drop", {"rated_flow": 1500, "wet_drop": 0.36, "dry_drop": 0.25, "drop": 0.25},
     1500 * 5 / 6, 1e-6),
    # 4005 is rounded: the library has 4009.
    ("velocity_from_velocity_pressure", {"velocity_pressure": 0.045, "density": 0.0640},
     4005 * math.sqrt(0.045) * math.sqrt(0.075 / 0.0640), 0.0015),
    # Roots of 0.04, 0.09, 0.16, 0.09, 0.04: 0.2, 0.3, 0.4, 0.3, 0.2, with a mean of 0.28.
    ("mean_velocity_of_a_traverse", {"velocity_pressures": (0.04, 0.09, 0.16, 0.09, 0.04), "density": 0.0600},
     4005 * 0.28 * math.sqrt(1.25), 0.0015),
    ("flow_in_a_round_duct", {"diameter": 18, "velocities": (800, 900, 1000, 1000, 900, 800)}, 900 * CIRCLE, 1e-5),
    ("flow_in_a_lined_duct", {"width": 20, "height": 14, "lining": 1, "velocity": 800}, 800 * (18 / 12) * (12 / 12), 1e-6),
    # 0.244 is rounded: the library has 0.2442 for this air.
    ("flow_by_temperature_rise", {"heater": 9.4, "fan": 0.6, "rise": 20, "specific_volume": 16},
     10 * 3412.14 / (0.2442 * 20) * 16 / 60, 0.001),
    ("flow_by_pressure_match", {"device_flow": 1000, "normal_static": 0.36, "device_static": 0.25}, 1200, 1e-6),
    ("price_of_a_rule_of_thumb", {"rule_flow": 1600, "measured_flow": 1280}, 25, 1e-6),
    ("doubt_of_a_rule_of_thumb", {"capacity": 40_000}, 12_000, 1e-6),
    ("standard_from_actual_flow", {"flow": 1200, "specific_volume": 16}, 1000, 1e-6),
    ("actual_from_standard_flow", {"flow": 1000, "specific_volume": 16}, 1200, 1e-6),
    ("dry_air_mass_flow", {"flow": 1600, "specific_volume": 16}, 6000, 1e-6),
]  # fmt: skip


@pytest.mark.parametrize(("name", "numbers", "expected", "within"), BY_HAND, ids=[b[0] for b in BY_HAND])
def test_answer_by_hand(name, numbers, expected, within):
    question = asked(name, **numbers)
    assert answer(question) == pytest.approx(expected, rel=within)
    assert judge(question, question.shown(question.answer)).outcome == "right"


# Question, its numbers, the slip, and what it gives by hand; all in IP.
SLIPS_BY_HAND = [
    ("external_static_from_readings", "the return's minus sign dropped", 0.43 - 0.20, 1e-6),
    ("external_static_without_filter", "filter left out", 0.35 + 0.18, 1e-6),
    ("fan_table_flow", "counted from the wrong row", 1470 + 120 / 4, 1e-6),
    ("fan_table_flow", "the other speed's column", 1400 - 130 / 4, 1e-6),
    ("static_for_the_fan_table", "density ratio upside down", 0.48 * 0.060 / 0.075, 1e-6),
    ("fan_table_flow_at_altitude", "static right, but the flow scaled too", 1530 * 0.060 / 0.075, 1e-6),
    ("flow_from_coil_pressure_drop", "dry column for a wet coil", 1500, 1e-6),
    ("flow_from_coil_pressure_drop", "no root", 1500 * 25 / 36, 1e-6),
    ("velocity_from_velocity_pressure", "sea-level factor at altitude", 4005 * math.sqrt(0.045), 0.0015),
    ("velocity_from_velocity_pressure", "root forgotten", 4005 * 0.045 * math.sqrt(0.075 / 0.064), 0.0015),
    # The mean of the five pressures is 0.084.
    ("mean_velocity_of_a_traverse", "averaging velocity pressures", 4005 * math.sqrt(0.084 * 1.25), 0.0015),
    ("mean_velocity_of_a_traverse", "sea-level factor at altitude", 4005 * 0.28, 0.0015),
    ("flow_in_a_round_duct", "diameter taken for half of it", 900 * 4 * CIRCLE, 1e-5),
    ("flow_in_a_round_duct", "round duct taken for a square", 900 * 1.5 * 1.5, 1e-6),
    ("flow_in_a_lined_duct", "outside measures", 800 * 20 * 14 / 144, 1e-6),
    ("flow_in_a_lined_duct", "lining taken off once", 800 * 19 * 13 / 144, 1e-6),
    ("flow_by_temperature_rise", "sea-level factor at altitude", 10 * 3412.14 / (1.08 * 20), 1e-4),
    ("flow_by_temperature_rise", "watts as Btu/h", 10_000 / (0.2442 * 20) * 16 / 60, 0.001),
    ("flow_by_pressure_match", "no root", 1440, 1e-6),
    ("price_of_a_rule_of_thumb", "share of the rule's figure", 20, 1e-6),
    ("doubt_of_a_rule_of_thumb", "doubt of a traverse", 4_000, 1e-6),
    ("dry_air_mass_flow", "sea-level factor at altitude", 4.5 * 1600, 1e-6),
]  # fmt: skip


@pytest.mark.parametrize(("name", "slipped", "expected", "within"), SLIPS_BY_HAND)
def test_slip_by_hand(name, slipped, expected, within):
    numbers = next(n for k, n, _, _ in BY_HAND if k == name)
    question = asked(name, **numbers)
    assert slip(question, slipped) == pytest.approx(expected, rel=within)


def test_averaged_pressures_are_named_gently_in_both_units():
    for units, pressures, density in (("IP", (0.02, 0.03, 0.16, 0.15, 0.04), 0.0600), ("SI", (5, 8, 40, 38, 10), 0.96)):
        question = asked("mean_velocity_of_a_traverse", units, velocity_pressures=pressures, density=density)
        wrong = next(v for s, v in question.slips if s.name == "averaging velocity pressures")
        judged = judge(question, question.shown(wrong))
        assert (judged.outcome, judged.slip) == ("slip", "averaging velocity pressures")
        assert "root at each point first" in judged.says
        # The mean of pressures always reads high.
        assert wrong > question.answer


def test_si_velocity_by_hand():
    question = asked("velocity_from_velocity_pressure", "SI", velocity_pressure=18.0, density=1.0)
    assert answer(question) == pytest.approx(6.0)
    assert slip(question, "the two in the formula forgotten") == pytest.approx(math.sqrt(18.0))


def stated(question):
    """The numbers of a question, bare as its text has them."""
    kinds = {p.name: p.kind for p in question.kind.parameters}
    return {n: to_input(np.array(v), kinds[n], question.units) for n, v in question.values.items()}


# The lesson's own rules with its rounded figures, in IP and in SI.
POCKET = {
    "velocity_from_velocity_pressure": (
        lambda n: 4005 * math.sqrt(n["velocity_pressure"]) * math.sqrt(0.075 / n["density"]),
        lambda n: 1.29 * math.sqrt(n["velocity_pressure"]) * math.sqrt(1.2 / n["density"]),
    ),
    "mean_velocity_of_a_traverse": (
        lambda n: 4005 * np.sqrt(n["velocity_pressures"]).mean() * math.sqrt(0.075 / n["density"]),
        lambda n: 1.29 * np.sqrt(n["velocity_pressures"]).mean() * math.sqrt(1.2 / n["density"]),
    ),
    "static_for_the_fan_table": (
        lambda n: n["static"] * 0.075 / n["density"],
        lambda n: n["static"] * 1.2 / n["density"],
    ),
    "standard_from_actual_flow": (
        lambda n: n["flow"] * 13.33 / n["specific_volume"],
        lambda n: n["flow"] * 0.833 / n["specific_volume"],
    ),
    "flow_by_temperature_rise": (
        lambda n: (n["heater"] + n["fan"]) * 3412 / (0.244 * n["rise"]) * n["specific_volume"] / 60,
        lambda n: (n["heater"] + n["fan"]) / (1.02 * n["rise"]) * n["specific_volume"] * 1000,
    ),
}


@pytest.mark.parametrize("name", POCKET)
def test_the_rounded_figures_of_the_lesson_are_good_enough(name):
    for units, rule in zip(("IP", "SI"), POCKET[name], strict=True):
        for seed in range(40):
            question = draw(kind_of(name), seed, units)
            found = f"{float(rule(stated(question))):.{max(question.decimals, 1)}f}"
            assert judge(question, found).outcome == "right", question.text


@pytest.mark.parametrize(("traverse", "expected"), [(1250, 0), (1500, 1), (1800, 2)])
def test_coil_and_traverse_together(traverse, expected):
    # The drop is that of the table, so the coil's table says 1,500 cfm.
    question = asked("is_the_coil_as_its_table", rated_flow=1500, wet_drop=0.30, drop=0.30, traverse_flow=traverse)
    assert question.answer == expected
    assert judge(question, str(expected + 1)).outcome == "right"


def test_the_electrician_s_sum_gives_what_the_lesson_prints():
    pounds = 9740 * 3.412 / (0.244 * 26.5)
    kilograms = 9.74 / (1.02 * 14.7)
    text = (LESSON / "lesson.md").read_text(encoding="utf-8")
    assert (
        f"is {round(pounds, -1):,.0f} lb/h; times 16.43, divided by 60, is {round(pounds, -1) * 16.43 / 60:,.0f} cfm"
        in text
    )
    assert f"is {kilograms:.3f} kg/s; times 1.026 is {round(kilograms, 3) * 1.026:.3f} m³/s, or 667 L/s" in text
    visit = airside.analyse(airside.load_visit(LESSON / "clinic_temperature_rise.toml"))
    assert f"{float(from_inside(visit.airflow.volume_flow, 'volume_flow', 'IP')):,.0f} cfm" in text


@pytest.mark.parametrize(
    ("file", "cfm", "litres", "pounds"),
    [
        ("clinic_rule_of_thumb.toml", 1600, 755, 5840),
        ("clinic_fan_table.toml", 1442, 681, 5500),
        ("clinic_traverse.toml", 1392, 657, 5300),
        ("clinic_temperature_rise.toml", 1401, 661, 5120),
    ],
)
def test_figures_of_the_lesson(file, cfm, litres, pounds):
    flow = airside.analyse(airside.load_visit(LESSON / file)).airflow
    assert round(float(from_inside(flow.volume_flow, "volume_flow", "IP"))) == cfm
    assert round(float(from_inside(flow.volume_flow, "volume_flow", "SI"))) == litres
    assert round(float(from_inside(flow.dry_air_mass_flow, "mass_flow", "IP")), -1) == pounds
    text = (LESSON / "lesson.md").read_text()
    assert f"{cfm:,} cfm ({litres} L/s)" in text
    assert f"{pounds:,} lb/h" in text
