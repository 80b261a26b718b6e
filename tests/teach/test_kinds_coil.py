"""Questions of lesson 6, worked by hand and by psychrolib; and the figures that the lesson's text gives."""

import math
import re
from pathlib import Path

import psychrolib
import pytest

import airside
from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.coil import coil_performance
from airside.air.coil_prediction import predict_coil
from airside.air.state import MoistAir
from airside.compare.curves import AIR_CONDITIONER
from airside.teach.drawing import Question
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.units import from_inside, to_inside

LESSON = Path(__file__).parents[2] / "notebooks/lessons/06_coil"


@pytest.fixture(autouse=True)
def _si():
    psychrolib.SetUnitSystem(psychrolib.SI)


def asked(name, units="IP", **given):
    """A question with stated numbers, bare in the units of its text."""
    kind = kind_of(name)
    values = {}
    for parameter in kind.parameters:
        values[parameter.name] = float(to_inside(given.pop(parameter.name), parameter.kind, units))
    assert not given
    return Question(kind, 0, units, values)


def answer(question):
    """The right answer, as it is shown."""
    return float(from_inside(question.answer, question.kind.kind, question.units))


def slip(question, name):
    """What a slip gives, as it is shown."""
    value = next(v for s, v in question.slips if s.name == name)
    return float(from_inside(value, question.kind.kind, question.units))


# Question, its numbers in IP, the answer worked by hand, and how near the hand comes.
BY_HAND = [
    ("bypass_factor_of_a_coil", {"return_dry_bulb": 75, "supply_dry_bulb": 55, "apparatus": 50}, 5 / 25, 1e-6),
    # Along a straight line enthalpy is not quite straight.
    ("supply_from_bypass_factor", {"apparatus": 50, "bypass": 0.2, "return_dry_bulb": 75}, 55, 2e-3),
    ("supply_humidity_from_bypass_factor", {"return_ratio": 65, "surface_ratio": 55, "bypass": 0.2}, 57, 1e-6),
    ("bypass_factor_at_another_airflow", {"bypass": 0.16, "flow": 1500, "other_flow": 1000}, 0.16**1.5, 1e-9),
    # ln 0.1 is -2.3026, ln 0.2 is -1.6094.
    ("surface_left_of_a_dirty_coil",
     {"clean_bypass": 0.1, "clean_flow": 1600, "dirty_bypass": 0.2, "dirty_flow": 1200}, 100 * 1.6094 / 2.3026 * 0.75, 1e-4),
    # Saturation pressures of the handbook's table: 0.1781 psi at 50 °F, 0.4301 psi at 75 °F.
    ("humidity_that_wets_the_coil", {"surface": 50, "return_dry_bulb": 75}, 100 * 0.1781 / 0.4301, 4e-4),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted", "near"), BY_HAND)
def test_the_answer_is_that_worked_by_hand(name, given, wanted, near):
    question = asked(name, **given)
    assert answer(question) == pytest.approx(wanted, rel=near)
    assert judge(question, question.shown(question.answer)).outcome == "right"


# Question, its numbers in IP, a slip of it, and what the slip comes to by hand.
SLIPS = [
    ("bypass_factor_of_a_coil", {"return_dry_bulb": 75, "supply_dry_bulb": 55, "apparatus": 50}, "contact factor", 0.8),
    ("bypass_factor_of_a_coil", {"return_dry_bulb": 75, "supply_dry_bulb": 55, "apparatus": 50}, "over the drop", 5 / 20),
    ("supply_from_bypass_factor", {"apparatus": 50, "bypass": 0.2, "return_dry_bulb": 75}, "part of the return dry bulb", 15),
    ("supply_humidity_from_bypass_factor", {"return_ratio": 65, "surface_ratio": 55, "bypass": 0.2},
     "bypass and contact mixed up", 63),
    ("bypass_factor_at_another_airflow", {"bypass": 0.16, "flow": 1500, "other_flow": 1000}, "power upside down",
     0.16 ** (2 / 3)),
    ("surface_left_of_a_dirty_coil",
     {"clean_bypass": 0.1, "clean_flow": 1600, "dirty_bypass": 0.2, "dirty_flow": 1200}, "airflow left out",
     100 * math.log(0.2) / math.log(0.1)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "which", "wanted"), SLIPS)
def test_a_slip_is_what_it_says(name, given, which, wanted):
    assert slip(asked(name, **given), which) == pytest.approx(wanted, rel=1e-3)


COIL = {"return_dry_bulb": 24.0, "return_humidity": 50.0, "supply_dry_bulb": 13.0, "supply_humidity": 90.0}


def ratios():
    """Humidity ratios of return and supply air by psychrolib [kg/kg]."""
    return [
        psychrolib.GetHumRatioFromRelHum(COIL[f"{n}_dry_bulb"], COIL[f"{n}_humidity"] / 100, SEA_LEVEL_PRESSURE)
        for n in ("return", "supply")
    ]


def test_the_apparatus_dew_point_is_saturated_and_on_the_line():
    surface = answer(asked("apparatus_dew_point", "SI", **COIL))
    first, second = ratios()
    line = first - (24 - surface) * (first - second) / (24 - 13)
    assert psychrolib.GetSatHumRatio(surface, SEA_LEVEL_PRESSURE) == pytest.approx(line, rel=2e-4)
    assert surface < 13


def test_the_sensible_heat_ratio_is_that_of_psychrolib():
    first, second = ratios()
    whole = psychrolib.GetMoistAirEnthalpy(24, first) - psychrolib.GetMoistAirEnthalpy(13, second)
    dry = psychrolib.GetMoistAirEnthalpy(24, second) - psychrolib.GetMoistAirEnthalpy(13, second)
    question = asked("sensible_heat_ratio_of_a_coil", "SI", **COIL)
    assert answer(question) == pytest.approx(dry / whole, rel=5e-4)
    assert slip(question, "sensible over latent") == pytest.approx(dry / (whole - dry), rel=5e-3)


def test_the_apparatus_dew_point_at_less_airflow_is_that_of_the_steps_by_psychrolib():
    question = asked("apparatus_dew_point_at_less_airflow", "SI", **COIL, flow_share=75, capacity_share=93)
    first, second = ratios()
    coming, leaving = psychrolib.GetMoistAirEnthalpy(24, first), psychrolib.GetMoistAirEnthalpy(13, second)
    surface = answer(asked("apparatus_dew_point", "SI", **COIL))
    saturated = psychrolib.GetSatAirEnthalpy(surface, SEA_LEVEL_PRESSURE)
    bypass = ((leaving - saturated) / (coming - saturated)) ** (1 / 0.75)
    wanted = coming - (coming - leaving) * 0.93 / 0.75 / (1 - bypass)
    assert psychrolib.GetSatAirEnthalpy(answer(question), SEA_LEVEL_PRESSURE) == pytest.approx(wanted, rel=5e-4)
    assert answer(question) < surface == pytest.approx(slip(question, "as before"))


# Question, its numbers in IP, and the number of the right option.
AIR = {"return_dry_bulb": 75, "return_humidity": 50}
CHOICES = [
    ("coil_at_another_airflow", {**AIR, "supply_dry_bulb": 55, "supply_humidity": 90, "flow_share": 70}, 0),
    ("coil_at_another_airflow", {**AIR, "supply_dry_bulb": 55, "supply_humidity": 90, "flow_share": 130}, 1),
    ("coil_with_another_return_humidity", {**AIR, "supply_dry_bulb": 55, "supply_humidity": 90, "later_humidity": 60}, 0),
    ("coil_with_another_return_humidity", {**AIR, "supply_dry_bulb": 55, "supply_humidity": 90, "later_humidity": 42}, 1),
    # The dew point of 75 °F and 50 % is 55.1 °F.
    ("is_the_coil_wet", {**AIR, "surface": 50}, 0),
    ("is_the_coil_wet", {**AIR, "surface": 60}, 1),
    ("does_the_line_meet_saturation", {**AIR, "supply_dry_bulb": 55, "supply_humidity": 90}, 0),
    # 64.7 gr/lb come in, 50.3 go out: about 1 gr/lb for each °F. At 50 °F that line is at 41, saturation at 53.5.
    ("does_the_line_meet_saturation", {**AIR, "supply_dry_bulb": 60, "supply_humidity": 65}, 1),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted"), CHOICES)
def test_the_right_option_is_computed(name, given, wanted):
    question = asked(name, **given)
    assert question.answer == wanted
    for number, option in enumerate(question.kind.options):
        assert (judge(question, option).outcome == "right") == (number == wanted)


# -- what the lesson's text says --------------------------------------------------------------------


@pytest.fixture(scope="module")
def text():
    return (LESSON / "lesson.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def coil():
    """The library's coil as its visit gives it."""
    result = airside.analyse(airside.load_visit(LESSON / "school_library.toml"))
    air = result.capacity.return_air, result.capacity.supply_air
    states = (MoistAir.from_relative_humidity("75 degF", 0.5, SEA_LEVEL_PRESSURE),
              MoistAir.from_relative_humidity("55 degF", 0.9, SEA_LEVEL_PRESSURE))  # fmt: skip
    for found, wanted in zip(air, states, strict=True):
        assert found.dry_bulb == pytest.approx(wanted.dry_bulb, abs=0.01)
        assert found.relative_humidity == pytest.approx(wanted.relative_humidity, abs=0.001)
    return coil_performance(*states, 1.0)


def fahrenheit(celsius):
    return celsius * 1.8 + 32


def both(cell):
    """The numbers of a cell such as "49.3 °F (9.6 °C)"."""
    return [float(v) for v in re.findall(r"-?[\d.]+", cell)]


def rows(text, columns):
    found = [
        [c.strip() for c in line.strip("|").split("|")] for line in text.splitlines() if re.match(r"\| \d+ % \|", line)
    ]
    return [r for r in found if len(r) == columns]


def shares(found, coil):
    base = predict_coil(coil).capacity
    got = found.capacity
    return [100 * a / b for a, b in ((got.total, base.total), (got.sensible, base.sensible), (got.moisture_removal, base.moisture_removal))]  # fmt: skip


def test_the_table_of_airflows_is_that_of_the_coil(text, coil):
    table = rows(text, 8)
    assert len(table) == 5
    indoor = coil.return_air.wet_bulb
    for airflow, supply, surface, bypass, heat_ratio, *wanted in table:
        share = both(airflow)[0] / 100
        ratio = AIR_CONDITIONER.capacity_ratio(indoor, 35.0, share) / AIR_CONDITIONER.capacity_ratio(indoor, 35.0)
        found = predict_coil(coil, dry_air_mass_flow=share, capacity_ratio=ratio)
        dry_bulb = found.supply_air.dry_bulb
        assert both(supply) == pytest.approx([fahrenheit(dry_bulb), dry_bulb], abs=0.051)
        at = found.apparatus_dew_point
        assert both(surface) == pytest.approx([fahrenheit(at), at], abs=0.051)
        assert float(bypass) == pytest.approx(found.bypass_factor, abs=0.0051)
        assert float(heat_ratio) == pytest.approx(found.capacity.sensible_heat_ratio, abs=0.0051)
        assert [both(w)[0] for w in wanted] == pytest.approx(shares(found, coil), abs=0.51)


def test_the_table_of_damp_days_is_that_of_the_coil(text, coil):
    table = rows(text, 7)
    assert len(table) == 4
    for humidity, wet_bulb, total, sensible, water, supply, heat_ratio in table:
        air = MoistAir.from_relative_humidity("75 degF", both(humidity)[0] / 100, SEA_LEVEL_PRESSURE)
        before, after = (AIR_CONDITIONER.capacity_ratio(a.wet_bulb, 35.0) for a in (coil.return_air, air))
        found = predict_coil(coil, return_air=air, capacity_ratio=after / before)
        assert both(wet_bulb) == pytest.approx([fahrenheit(air.wet_bulb), air.wet_bulb], abs=0.051)
        assert both(supply) == pytest.approx(
            [fahrenheit(found.supply_air.dry_bulb), found.supply_air.dry_bulb], abs=0.051
        )
        assert float(heat_ratio) == pytest.approx(found.capacity.sensible_heat_ratio, abs=0.0051)
        assert [both(v)[0] for v in (total, sensible, water)] == pytest.approx(shares(found, coil), abs=0.51)


def test_the_numbers_in_the_running_text_are_those_of_the_coil(text, coil):
    surface = coil.apparatus_dew_point
    assert f"{fahrenheit(surface):.1f} °F ({surface:.1f} °C), the apparatus dew point" in text
    assert f"3.4 ÷ 23.4 is {coil.dry_bulb_bypass_factor:.2f}" in text
    assert f"In the library it is {coil.sensible_heat_ratio:.2f}" in text
    assert f"{coil.bypass_factor:.3f} to the power of 1.25 is {coil.bypass_factor**1.25:.2f}" in text
