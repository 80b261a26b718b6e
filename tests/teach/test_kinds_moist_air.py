"""Questions of lesson 1 against handbook values and sums worked by hand, and the lesson's own table against the library.

Printed values: ASHRAE Handbook—Fundamentals (2017), inch-pound edition, ch. 1, Tables 1 to 3 and Example 1 ("table": copied
from a printed or coded table); they are those of `tests/published/test_moist_air.py`.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from airside.air import properties
from airside.air.atmosphere import standard_atmosphere_pressure
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds.moist_air import MOIST_AIR
from airside.units import from_inside, to_inside

KINDS = {kind.name: kind for kind in MOIST_AIR}
LESSON = Path(__file__).resolve().parents[2] / "notebooks" / "lessons" / "01_moist_air" / "lesson.md"
# Table 3: saturation pressure over water [psi].
AT_41, AT_77 = 0.12656, 0.45973
# Table 1: barometric pressure at 3,000 ft; the tables' sea level [psi].
AT_3000_FT, AT_SEA_LEVEL = 13.173, 14.696


def asked(name: str, **bare: float) -> Question:
    """A question of a kind with numbers of one's own, in IP."""
    kind = KINDS[name]
    assert set(bare) == {p.name for p in kind.parameters}
    return Question(kind, 0, "IP", {n: float(to_inside(v, kind.parameter(n).kind, "IP")) for n, v in bare.items()})


def answer(name: str, **bare: float) -> float:
    question = asked(name, **bare)
    return float(from_inside(question.answer, question.kind.kind, "IP"))


def test_there_are_at_least_ten():
    assert len(MOIST_AIR) >= 10 and len(KINDS) == len(MOIST_AIR)
    assert {k.lesson for k in MOIST_AIR} == {1}


def test_vapour_pressure():
    # Half of the printed saturation pressure.
    assert answer("vapour_pressure_of_room_air", dry_bulb=77, relative_humidity=50) == pytest.approx(
        AT_77 / 2, rel=5e-4
    )


def test_humidity_ratio_at_3000_ft():
    # 0.621945 * 0.229865 / (13.173 - 0.229865) = 0.011046 lb/lb, times 7,000 grains.
    question = asked("humidity_ratio_at_altitude", elevation=3000, dry_bulb=77, relative_humidity=50)
    assert from_inside(question.answer, "humidity_ratio", "IP") == pytest.approx(77.32, rel=2e-3)
    # At sea level: 0.621945 * 0.229865 / (14.696 - 0.229865) = 0.0098826 lb/lb.
    judged = judge(question, "69.2 gr/lb")
    assert (judged.outcome, judged.slip) == ("slip", "sea-level pressure at altitude")
    # Saturated: 0.621945 * 0.45973 / (13.173 - 0.45973) = 0.022491 lb/lb.
    assert judge(question, "157.4").slip == "saturated air"
    assert judge(question, "77.3").outcome == "right"


def test_humidity_ratio_from_dew_point():
    # 0.621945 * 0.12656 / (13.173 - 0.12656) = 0.0060333 lb/lb.
    assert answer("humidity_ratio_from_dew_point", elevation=3000, dew_point=41) == pytest.approx(42.23, rel=2e-3)


def test_dew_point_and_relative_humidity():
    # Air of 77 °F whose dew point is 41 °F: 0.12656 over 0.45973 is 27.53 %.
    share = 100 * AT_41 / AT_77
    assert answer("relative_humidity_from_dew_point", dry_bulb=77, dew_point=41) == pytest.approx(share, abs=0.02)
    assert answer("dew_point_from_relative_humidity", dry_bulb=77, relative_humidity=share) == pytest.approx(
        41.0, abs=0.03
    )


def test_the_handbooks_example_by_wet_bulb():
    # Example 1, read off a chart: 100 °F dry bulb, 65 °F wet bulb: 13 % RH.
    assert answer("relative_humidity_from_wet_bulb", elevation=0, dry_bulb=100, wet_bulb=65) == pytest.approx(13, abs=1)
    assert answer("wet_bulb_from_relative_humidity", dry_bulb=100, relative_humidity=13) == pytest.approx(65, abs=0.5)


def test_enthalpy():
    # Dry air of 77 °F holds 18.498 Btu/lb (Table 2); 70 grains are 0.0100 lb: 18.498 + 0.0100 (1061 + 0.444 * 77).
    question = asked("enthalpy_of_air", dry_bulb=77, humidity_ratio=70)
    assert from_inside(question.answer, "enthalpy", "IP") == pytest.approx(29.450, abs=0.03)
    assert judge(question, "18.50 Btu/lb").slip == "vapour left out"
    # 0.0100 * (1061 + 0.444 * 77) = 10.95
    assert judge(question, "10.95").slip == "vapour alone"
    # 70 * (1061 + 0.444 * 77) + 18.5 = 76,682
    assert judge(question, "76,682").slip == "grains or grams as mass by mass"


def test_relative_humidity_after_heating():
    # Saturated at 41 °F, heated to 77 °F.
    assert answer("relative_humidity_after_heating", outdoor=41, relative_humidity=100, room=77) == pytest.approx(
        27.53, abs=0.02
    )


def test_mixture():
    # 75 + 0.20 * (95 - 75) = 79.0
    question = asked("dry_bulb_of_a_mixture", share=20, outdoor=95, return_air=75)
    assert from_inside(question.answer, "temperature", "IP") == pytest.approx(79.0, abs=0.01)
    assert judge(question, "91 °F").slip == "shares mixed up"
    assert judge(question, "85").slip == "plain mean"


def test_water_in_outdoor_air():
    # 3,000 lb/h times 35 grains: 105,000 grains, 15.0 lb/h.
    question = asked("water_in_outdoor_air", flow=3000, outdoor=100, room=65)
    assert from_inside(question.answer, "moisture_rate", "IP") == pytest.approx(15.0, abs=0.001)
    assert judge(question, "105,000").slip == "grains not divided by 7,000"
    # 3,000 * 100 / 7,000
    assert judge(question, "42.86").slip == "all of the outdoor water"


def test_barometer():
    # In inches of mercury: 13.173 psi times 2.03602.
    assert answer("barometric_pressure_of_elevation", elevation=3000) == pytest.approx(AT_3000_FT * 2.03602, abs=0.01)


def test_specific_volume():
    # Dry air of 77 °F takes up 13.5251 ft³/lb at sea level (Table 2).
    found = answer("specific_volume_at_altitude", elevation=3000, dry_bulb=77, relative_humidity=0)
    assert found == pytest.approx(13.5251 * AT_SEA_LEVEL / AT_3000_FT, rel=1e-3)


def test_density_of_heated_air():
    # 0.075 * 529.67 / 579.67 = 0.06853
    question = asked("density_of_heated_air", dry_bulb=120, standard_temperature=70, standard_density=0.075)
    assert from_inside(question.answer, "density", "IP") == pytest.approx(0.06853, rel=3e-3)
    assert judge(question, "0.0685").outcome == "right"
    # 0.075 * 70 / 120
    assert judge(question, "0.0437 lb/ft³").slip == "temperatures not absolute"


@pytest.mark.parametrize(
    ("name", "bare", "right"),
    [
        ("humidity_ratio_higher_up", {"dry_bulb": 75, "relative_humidity": 50, "elevation": 5000}, 1),
        ("dew_point_higher_up", {"dry_bulb": 75, "relative_humidity": 50, "elevation": 5000}, 2),
        # 0.4597 * 0.5 = 0.230 psi against 0.9 times the 0.222 psi of 56 °F: less; against that of 64 °F, 0.294: more.
        ("has_the_coil_taken_water",
         {"return_dry_bulb": 77, "return_humidity": 50, "supply_dry_bulb": 56, "supply_humidity": 90}, 0),
        ("has_the_coil_taken_water",
         {"return_dry_bulb": 77, "return_humidity": 50, "supply_dry_bulb": 64, "supply_humidity": 90}, 1),
        # Dew point 57 °F: half of 0.4597 psi.
        ("will_the_duct_sweat", {"dry_bulb": 77, "relative_humidity": 50, "surface": 52}, 0),
        ("will_the_duct_sweat", {"dry_bulb": 77, "relative_humidity": 50, "surface": 62}, 1),
        # The handbook's 100 °F at 13 % holds 29.8 Btu/lb; saturated air of 77 °F 40.6, and even of 70 °F 34.1.
        ("which_air_holds_more_heat", {"warm": 100, "warm_humidity": 13, "cool": 77, "cool_humidity": 90}, 1),
        ("which_air_holds_more_heat", {"warm": 100, "warm_humidity": 30, "cool": 75, "cool_humidity": 60}, 0),
        ("heating_on_the_chart", {"dry_bulb": 70, "relative_humidity": 50, "rise": 15}, 0),
        ("which_one_is_the_wet_bulb", {"dry_bulb": 77, "relative_humidity": 50}, 1),
    ],
)  # fmt: skip
def test_choices(name, bare, right):
    question = asked(name, **bare)
    assert question.answer == right
    options = question.kind.options
    for index, option in enumerate(options):
        assert judge(question, option).outcome == ("right" if index == right else "slip")


@pytest.mark.parametrize("units", ["IP", "SI"])
@pytest.mark.parametrize("kind", MOIST_AIR, ids=lambda k: k.name)
def test_a_question_can_be_read_and_its_own_worked_answer_is_right(kind, units):
    question = draw(kind, 11, units)
    assert "{" not in question.text and "nan" not in " ".join(question.worked)
    assert judge(question, question.shown(question.answer)).outcome == "right"


def test_the_lessons_tables_are_those_of_the_library():
    text = LESSON.read_text(encoding="utf-8")
    rows = re.findall(r"^\| *(\d+) °F \| *([\d.]+) °C \| *([\d.]+) \| *([\d,]+) \|$", text, flags=re.M)
    assert len(rows) >= 11
    for fahrenheit, celsius, psi, pascal in rows:
        inside = float(to_inside(float(fahrenheit), "temperature", "IP"))
        saturation = float(properties.saturation_pressure(inside))
        assert float(celsius) == pytest.approx(inside, abs=0.051)
        assert float(psi) == pytest.approx(from_inside(saturation, "vapour_pressure", "IP"), abs=0.000051)
        assert float(pascal.replace(",", "")) == pytest.approx(saturation, abs=0.51)
    rows = re.findall(r"^\| *([\d,]+) ft \| *([\d,]+) m \| *([\d.]+) \| *([\d.]+) \| *([\d.]+) \|$", text, flags=re.M)
    assert len(rows) >= 7
    for feet, metres, mercury, psi, kilopascal in rows:
        inside = float(to_inside(float(feet.replace(",", "")), "elevation", "IP"))
        pressure = float(standard_atmosphere_pressure(inside))
        assert float(metres.replace(",", "")) == pytest.approx(inside, abs=0.51)
        assert float(mercury) == pytest.approx(from_inside(pressure, "barometric_pressure", "IP"), abs=0.0051)
        assert float(psi) == pytest.approx(from_inside(pressure, "vapour_pressure", "IP"), abs=0.0051)
        assert float(kilopascal) == pytest.approx(pressure / 1000, abs=0.0051)
