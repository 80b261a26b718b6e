"""Questions of lesson 7 against CoolProp's own equations and by hand; and the figures that the lesson's text gives."""

import re
from pathlib import Path

import pytest
from CoolProp.CoolProp import PropsSI

from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.refrigerant import targets
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.teach.lesson import read_lesson
from airside.teach.marks import PictureMark
from airside.units import difference_from_inside, from_inside, to_inside

LESSON = Path(__file__).parents[2] / "notebooks/lessons/07_refrigerant_side"
PSI = 6894.757


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


def saturated(fluid, quality, absolute):
    """Saturation temperature by CoolProp [°C]; quality 1 is dew, 0 is bubble."""
    return PropsSI("T", "P", absolute, "Q", quality, fluid) - 273.15


def dew(gauge, barometer=SEA_LEVEL_PRESSURE, fluid="R410A"):
    return saturated(fluid, 1, gauge + barometer)


def bubble(gauge, barometer=SEA_LEVEL_PRESSURE, fluid="R410A"):
    return saturated(fluid, 0, gauge + barometer)


# The tables of the library are within 0.01 K of CoolProp.
NEAR = 0.012


def test_saturation_from_the_gauge_is_that_of_coolprop():
    question = asked("saturated_suction_temperature", "SI", suction_pressure=850)
    assert answer(question) == pytest.approx(dew(850e3), abs=NEAR)
    assert slip(question, "gauge for absolute") == pytest.approx(dew(850e3, 0), abs=NEAR)
    assert slip(question, "barometer added twice") == pytest.approx(dew(850e3, 2 * SEA_LEVEL_PRESSURE), abs=NEAR)


def test_the_pressure_at_rest_is_that_of_coolprop():
    question = asked("pressure_at_rest", "SI", air=25)
    absolute = PropsSI("P", "T", 298.15, "Q", 1, "R410A") / 1e3
    assert answer(question) == pytest.approx(absolute - 101.325, abs=0.5)
    assert slip(question, "absolute for gauge") == pytest.approx(absolute, abs=0.5)
    # 25 °F.
    cold = PropsSI("P", "T", (25 - 32) / 1.8 + 273.15, "Q", 1, "R410A") / 1e3
    assert slip(question, "°C looked up as °F") == pytest.approx(cold - 101.325, abs=0.5)


def test_higher_up_the_same_gauge_reading_is_colder():
    question = asked("saturation_temperature_higher_up", "SI", elevation=2000, suction_pressure=800)
    here = float(standard_atmosphere_pressure(2000))
    assert here == pytest.approx(79_500, abs=60)
    assert answer(question) == pytest.approx(dew(800e3, here), abs=NEAR)
    assert (
        answer(question) < slip(question, "sea-level barometer at altitude") < slip(question, "corrected the wrong way")
    )
    assert slip(question, "sea-level barometer at altitude") == pytest.approx(dew(800e3), abs=NEAR)


def test_superheat_is_counted_from_dew_and_subcooling_from_bubble():
    plain = asked("superheat_of_a_suction_line", "SI", suction_pressure=850, line=12)
    assert answer(plain) == pytest.approx(12 - dew(850e3), abs=NEAR)
    low = 450e3
    blend = asked("superheat_of_a_blend", "SI", suction_pressure=450, line=12)
    assert answer(blend) == pytest.approx(12 - dew(low, fluid="R407C"), abs=NEAR)
    assert slip(blend, "bubble for dew") == pytest.approx(12 - bubble(low, fluid="R407C"), abs=NEAR)
    high = 1700e3
    liquid = asked("subcooling_of_a_blend", "SI", liquid_pressure=1700, line=36)
    assert answer(liquid) == pytest.approx(bubble(high, fluid="R407C") - 36, abs=NEAR)
    assert slip(liquid, "dew for bubble") == pytest.approx(dew(high, fluid="R407C") - 36, abs=NEAR)
    middle = (dew(high, fluid="R407C") + bubble(high, fluid="R407C")) / 2
    assert slip(liquid, "middle for bubble") == pytest.approx(middle - 36, abs=NEAR)


def test_condensing_above_outdoor_air_is_that_of_coolprop():
    question = asked("condensing_above_outdoor_air", "SI", liquid_pressure=2600, line=38, outdoor=32)
    middle = (dew(2600e3) + bubble(2600e3)) / 2
    assert answer(question) == pytest.approx(middle - 32, abs=NEAR)
    assert slip(question, "liquid line for saturation") == pytest.approx(6)
    assert slip(question, "subcooling") == pytest.approx(bubble(2600e3) - 38, abs=NEAR)


def test_the_target_of_an_orifice_is_the_rule_in_both_units():
    given = {"return_wet_bulb": 68, "outdoor": 99, "return_dry_bulb": 81}
    question = asked("target_superheat_of_an_orifice", **given)
    assert answer(question) == pytest.approx((3 * 68 - 80 - 99) / 2)
    assert slip(question, "not halved") == pytest.approx(3 * 68 - 80 - 99)
    assert slip(question, "dry bulb for wet bulb") == pytest.approx((3 * 81 - 80 - 99) / 2)
    metric = asked("target_superheat_of_an_orifice", "SI", return_wet_bulb=20, outdoor=35, return_dry_bulb=27)
    assert answer(metric) == pytest.approx(1.5 * 20 - 0.5 * 35 - 4.44, abs=0.01)
    assert slip(metric, "°C in a rule for °F") == pytest.approx((60 - 80 - 35) / 2)
    assert slip(metric, "°F for K") == pytest.approx(1.8 * answer(metric))


def test_what_was_gained_on_the_way_is_the_difference_of_the_lines():
    question = asked("superheat_gained_on_the_way", suction_pressure=120, at_coil=50, at_unit=58)
    assert answer(question) == pytest.approx(8)
    boils = dew(120 * PSI) * 1.8 + 32
    assert slip(question, "superheat at the outdoor unit") == pytest.approx(58 - boils, abs=1.8 * NEAR)


SUPERHEATS = {"return_wet_bulb": 65, "outdoor": 80, "later": 95}
USUAL = {"usual_superheat": 10, "usual_subcooling": 10, "usual_condensing_over_outdoor": 20}
SAME = {"suction_pressure": 120, "superheat": 10, "subcooling": 10}
# Question, its numbers in IP, and the number of the right option.
CHOICES = [
    # 17.5, then 20.
    ("orifice_target_on_another_day", {"return_wet_bulb": 65, "outdoor": 80, "later": 75}, 0),
    # 17.5, then 10.
    ("orifice_target_on_another_day", {"return_wet_bulb": 65, "outdoor": 80, "later": 95}, 1),
    # 11.5, then 4.
    ("orifice_target_on_another_day", {"return_wet_bulb": 61, "outdoor": 80, "later": 95}, 2),
    ("valve_or_orifice", {**SUPERHEATS, "superheat": 17, "later_superheat": 10}, 0),
    ("valve_or_orifice", {**SUPERHEATS, "superheat": 17, "later_superheat": 17}, 1),
    # R-410A boils at 40.7 °F at 120 psi gauge.
    ("can_the_suction_line_be_right", {"suction_pressure": 120, "line": 50}, 0),
    ("can_the_suction_line_be_right", {"suction_pressure": 120, "line": 35}, 1),
    ("same_superheat_other_capacity", {**SAME, "first_flow": 500, "second_flow": 600}, 1),
    ("same_superheat_other_capacity", {**SAME, "first_flow": 600, "second_flow": 500}, 0),
    ("what_the_readings_say_together",
     {**USUAL, "superheat": 11, "subcooling": 2, "condensing_over_outdoor": 20}, 0),
    ("what_the_readings_say_together",
     {**USUAL, "superheat": 10, "subcooling": 18, "condensing_over_outdoor": 30}, 1),
    ("what_the_readings_say_together",
     {**USUAL, "superheat": 10, "subcooling": 10, "condensing_over_outdoor": 31}, 2),
    ("what_the_readings_say_together",
     {**USUAL, "superheat": 10, "subcooling": 10, "condensing_over_outdoor": 20}, 3),
]  # fmt: skip


@pytest.mark.parametrize(("name", "given", "wanted"), CHOICES)
def test_the_right_option_is_computed(name, given, wanted):
    question = asked(name, **given)
    assert question.answer == wanted
    for number, option in enumerate(question.kind.options):
        assert (judge(question, option).outcome == "right") == (number == wanted)


@pytest.mark.parametrize("units", ["IP", "SI"])
def test_every_answer_of_a_choice_comes_up(units):
    for name, count in (
        ("orifice_target_on_another_day", 3),
        ("valve_or_orifice", 2),
        ("what_the_readings_say_together", 4),
    ):
        kind = kind_of(name)
        assert {draw(kind, seed, units).answer for seed in range(60)} == set(range(count))


# -- what the lesson's text says --------------------------------------------------------------------


@pytest.fixture(scope="module")
def text():
    return (LESSON / "lesson.md").read_text(encoding="utf-8")


def groups(text, heads, width):
    """Rows of a table that has groups of columns beside each other: one list for each group."""
    start = text.index(heads)
    lines = text[start:].splitlines()[2:]
    found = []
    for line in lines:
        if not line.startswith("|"):
            break
        cells = [float(c.replace(",", "")) for c in line.strip("| ").split("|") if c.strip()]
        found += [cells[i : i + width] for i in range(0, len(cells), width)]
    return found


@pytest.mark.parametrize(
    ("heads", "size", "is_ip"), [("| psi gauge | °F |", PSI, True), ("| kPa gauge | °C |", 1e3, False)]
)
def test_the_table_of_the_plain_refrigerant_is_that_of_coolprop(text, heads, size, is_ip):
    table = groups(text, heads, 2)
    assert len(table) == 30
    for gauge, temperature in table:
        celsius = (temperature - 32) / 1.8 if is_ip else temperature
        assert celsius == pytest.approx(dew(gauge * size), abs=0.05 + NEAR)


@pytest.mark.parametrize(
    ("heads", "size", "is_ip"), [("| psi gauge | bubble, °F |", PSI, True), ("| kPa gauge | bubble, °C |", 1e3, False)]
)
def test_the_table_of_the_blend_is_that_of_coolprop(text, heads, size, is_ip):
    table = groups(text, heads, 3)
    assert len(table) == 16
    for gauge, first, last in table:
        celsius = [(t - 32) / 1.8 if is_ip else t for t in (first, last)]
        wanted = [bubble(gauge * size, fluid="R407C"), dew(gauge * size, fluid="R407C")]
        assert celsius == pytest.approx(wanted, abs=0.05 + NEAR)


def test_the_tables_reach_as_far_as_the_questions(text):
    ends = {
        "IP": (groups(text, "| psi gauge | °F |", 2), groups(text, "| psi gauge | bubble, °F |", 3)),
        "SI": (groups(text, "| kPa gauge | °C |", 2), groups(text, "| kPa gauge | bubble, °C |", 3)),
    }
    for units, (plain, blend) in ends.items():
        for name, key, table in (
            ("saturated_suction_temperature", "suction_pressure", plain),
            ("superheat_of_a_suction_line", "suction_pressure", plain),
            ("condensing_above_outdoor_air", "liquid_pressure", plain),
            ("superheat_of_a_blend", "suction_pressure", blend),
            ("subcooling_of_a_blend", "liquid_pressure", blend),
        ):
            parameter = kind_of(name).parameter(key)
            low, high = (from_inside(v, parameter.kind, units) for v in (parameter.low, parameter.high))
            assert min(row[0] for row in table) <= low and high <= max(row[0] for row in table)
        at_rest = kind_of("pressure_at_rest").limits
        least, most = (from_inside(v, "refrigerant_pressure", units) for v in at_rest)
        assert plain[0][0] <= least and most <= plain[-1][0] * 1.001


def test_the_three_days_of_the_story_follow_the_rule(text):
    for wet_bulb, outdoor, wanted in ((63, 75, 17), (65, 95, 10), (62, 72, 17)):
        assert (3 * wet_bulb - 80 - outdoor) / 2 == pytest.approx(wanted, abs=0.5)
        celsius = [(v - 32) / 1.8 for v in (wet_bulb, outdoor)]
        target = float(targets.target_superheat_fixed_orifice(*celsius))
        assert 1.8 * target == pytest.approx(wanted, abs=0.5)
        assert f"{wet_bulb} °F ({celsius[0]:.1f} °C)" in text
    assert "(189 − 80 − 75) ÷ 2, or 17 °F (9.4 K)" in text


def test_the_usual_ranges_are_those_of_the_library(text):
    rows = {
        "Superheat at the bulb of a thermostatic valve": targets.VALVE_SUPERHEAT,
        "Subcooling of a valve system": targets.SUBCOOLING,
        "Condensing above outdoor air": targets.CONDENSING_OVER_OUTDOOR,
        "Saturated suction below return dry bulb": targets.SUCTION_BELOW_RETURN,
    }
    for name, (low, high) in rows.items():
        found = re.search(rf"^\| {name} \| (\d+) to (\d+) °F \((\d+) to (\d+) K\) \|", text, re.MULTILINE)
        assert found is not None, name
        fahrenheit = [difference_from_inside(v, "temperature_difference", "IP") for v in (low, high)]
        assert [float(v) for v in found.groups()] == pytest.approx([*fahrenheit, low, high], abs=0.501)


def test_the_lines_of_the_pictures_are_computed():
    lines = [m.parameters for m, _ in read_lesson(LESSON).marks(PictureMark) if m.shows == "lines"]
    blend, rule = lines
    for index, quality in ((0, 1), (1, 0)):
        values = blend["lines"][index]["values"]
        for gauge, temperature in zip(blend["across"]["values"], values, strict=True):
            wanted = saturated("R407C", quality, gauge * PSI + SEA_LEVEL_PRESSURE)
            assert (temperature - 32) / 1.8 == pytest.approx(wanted, abs=0.05 + NEAR)
    for line, wet_bulb in zip(rule["lines"][:2], (67, 63), strict=True):
        assert line["values"] == pytest.approx([(3 * wet_bulb - 80 - t) / 2 for t in rule["across"]["values"]])
        assert f"{wet_bulb} °F" in line["name"]
    assert rule["levels"][0]["value"] == pytest.approx(1.8 * targets.LOWEST_TARGET)


def test_gauge_for_absolute_makes_the_error_that_the_lesson_says(text):
    assert "6 to 7 °F (3.5 K) at suction" in text
    for gauge in (820e3, 920e3):
        assert dew(gauge) - dew(gauge, 0) == pytest.approx(3.5, abs=0.25)
    assert "At 5,000 ft (1,524 m) that is 2.5 psi (17 kPa)" in text
    short = SEA_LEVEL_PRESSURE - float(standard_atmosphere_pressure(1524.0))
    assert short == pytest.approx(2.47 * PSI, rel=0.01)
    assert dew(840e3) - dew(840e3 - short) == pytest.approx(0.6, abs=0.05)
