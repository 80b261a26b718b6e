"""Questions of lesson 4, worked by hand with pocket-calculator figures; and the figures that the lesson's text gives."""

from pathlib import Path

import pytest

import airside
from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.units import from_inside, show, to_input, to_inside

LESSON = Path(__file__).parents[2] / "notebooks/lessons/04_capacity"


def asked(name, units="IP", **given):
    """A question with stated numbers, bare in the units of its text."""
    kind = kind_of(name)
    values = {p.name: float(to_inside(given.pop(p.name), p.kind, units)) for p in kind.parameters}
    assert not given
    return Question(kind, 0, units, values)


def answer(question):
    """The right answer, as it is shown."""
    return float(from_inside(question.answer, question.kind.kind, question.units))


def slip(question, name):
    """What a slip gives, as it is shown."""
    value = next(v for s, v in question.slips if s.name == name)
    return float(from_inside(value, question.kind.kind, question.units))


ENTHALPIES = {"return_dry_bulb": 75, "supply_dry_bulb": 55, "return_enthalpy": 30.00, "supply_enthalpy": 23.00}
WATER = {"return_dry_bulb": 75, "supply_dry_bulb": 55, "return_ratio": 78.0, "supply_ratio": 64.0}
# 1,600 cfm at 16 ft³/lb are 6,000 lb/h.
FLOW = {"flow": 1600, "supply_volume": 16}
KW = 3412.14

# Question, its numbers, and the answer worked by hand; all in IP.
BY_HAND = [
    ("total_by_enthalpies", {"mass_flow": 5000, **ENTHALPIES}, 5000 * 7, 1e-6),
    ("total_from_flow_at_altitude", {**FLOW, **ENTHALPIES}, 6000 * 7, 1e-6),
    ("total_where_the_flow_was_read", {**FLOW, "return_volume": 16.64, **ENTHALPIES}, 6000 * 7, 1e-6),
    # 0.244 is rounded.
    ("sensible_capacity", {**FLOW, **ENTHALPIES}, 6000 * 0.244 * 20, 0.002),
    ("sensible_share_of_total", {"mass_flow": 5000, **ENTHALPIES}, 0.244 * 20 / 7, 0.002),
    ("moisture_removal_of_the_coil", {**FLOW, **WATER}, 6000 * 14 / 7000, 1e-6),
    # 1,095 is rounded.
    ("latent_capacity", {**FLOW, **WATER}, 12 * 1095, 0.002),
    ("latent_capacity_from_a_bucket", {"time": 40, "caught": 8}, 12 * 1095, 0.002),
    ("drift_of_the_total_factor", {"supply_volume": 16}, 20, 1e-6),
    # 1.08 against 60 × 0.244 ÷ 16, which is 0.915.
    ("drift_of_the_sensible_factor", {**FLOW, "return_dry_bulb": 75, "supply_dry_bulb": 55}, 100 * 1.08 / 0.915, 0.002),
    ("gross_capacity_of_the_coil", {"probed": 45_600, "fan_power": 0.71}, 45_600 + 0.71 * KW, 1e-6),
    ("delivered_when_probes_span_the_coil", {"probed": 48_000, "fan_power": 0.71}, 48_000 - 0.71 * KW, 1e-6),
    # The vapour's share of the heat moves it by hundredths.
    ("dry_bulb_of_outdoor_and_return_air_mixed", {"outdoor_share": 20, "outdoor_dry_bulb": 95, "return_dry_bulb": 75},
     79, 0.001),
    ("coil_total_with_outdoor_air",
     {"mass_flow": 5000, "outdoor_share": 25, "outdoor_enthalpy": 38, "return_enthalpy": 28, "supply_enthalpy": 22.5},
     5000 * (30.5 - 22.5), 1e-6),
    ("efficiency_with_all_power", {"delivered": 48_000, "outdoor_unit": 4.2, "indoor_fan": 0.6}, 10, 1e-6),
    ("share_of_nominal_capacity", {"nominal": 5, "total": 45_000, "sensible": 33_000}, 75, 1e-5),
]  # fmt: skip


@pytest.mark.parametrize(("name", "numbers", "expected", "within"), BY_HAND, ids=[b[0] for b in BY_HAND])
def test_answer_by_hand(name, numbers, expected, within):
    question = asked(name, **numbers)
    assert answer(question) == pytest.approx(expected, rel=within)
    assert judge(question, question.shown(question.answer)).outcome == "right"


# Question, the slip, and what it gives by hand; all in IP.
SLIPS_BY_HAND = [
    ("total_by_enthalpies", "sensible for total", 5000 * 0.244 * 20, 0.002),
    ("total_by_enthalpies", "return enthalpy alone", 5000 * 30, 1e-6),
    ("total_by_enthalpies", "enthalpies added", 5000 * 53, 1e-6),
    ("total_from_flow_at_altitude", "4.5 at altitude", 4.5 * 1600 * 7, 1e-6),
    ("total_where_the_flow_was_read", "specific volume of the other place", 1600 * 60 / 16.64 * 7, 1e-6),
    ("sensible_capacity", "1.08 at altitude", 1.08 * 1600 * 20, 1e-6),
    ("sensible_capacity", "total for sensible", 6000 * 7, 1e-6),
    ("moisture_removal_of_the_coil", "standard air for actual air", 4.5 * 1600 * 14 / 7000, 1e-6),
    ("moisture_removal_of_the_coil", "grains for pounds", 6000 * 14, 1e-6),
    ("latent_capacity", "0.68 at altitude", 0.68 * 1600 * 14, 1e-6),
    ("latent_capacity", "heat of boiling water", 12 * 970, 0.001),
    ("latent_capacity_from_a_bucket", "not brought to the hour", 8 * 1095, 0.002),
    ("drift_of_the_total_factor", "share of the card's figure", 100 / 6, 1e-6),
    ("drift_of_the_sensible_factor", "density alone", 120, 1e-6),
    ("gross_capacity_of_the_coil", "kW as thousands of Btu/h", 45_600 + 710, 1e-6),
    ("delivered_when_probes_span_the_coil", "fan heat added", 48_000 + 0.71 * KW, 1e-6),
    ("dry_bulb_of_outdoor_and_return_air_mixed", "shares swapped", 91, 0.001),
    ("coil_total_with_outdoor_air", "return taken for mixed air", 5000 * (28 - 22.5), 1e-6),
    ("efficiency_with_all_power", "outdoor unit's power alone", 48_000 / 4200, 1e-6),
    ("efficiency_with_all_power", "W/W for Btu/Wh", 10 / 3.41214, 1e-5),
    ("share_of_nominal_capacity", "sensible for total", 55, 1e-5),
    ("share_of_nominal_capacity", "kW over tons", 100 * 45_000 / KW / 5, 1e-5),
]  # fmt: skip


@pytest.mark.parametrize(("name", "slipped", "expected", "within"), SLIPS_BY_HAND)
def test_slip_by_hand(name, slipped, expected, within):
    numbers = next(n for k, n, _, _ in BY_HAND if k == name)
    assert slip(asked(name, **numbers), slipped) == pytest.approx(expected, rel=within)


def test_the_sea_level_factor_is_recognised_however_it_is_typed():
    question = asked("total_from_flow_at_altitude", **FLOW, **ENTHALPIES)
    for typed in ("50,400", "50400 Btu/h", "50.4 kBtu/h", "14.77 kW"):
        assert judge(question, typed).slip == "4.5 at altitude"
    for typed in ("42,000", "42 kBtu/h", "12.31 kW"):
        assert judge(question, typed).outcome == "right"


def test_si_by_hand():
    states = {"return_dry_bulb": 24, "supply_dry_bulb": 13, "return_enthalpy": 50, "supply_enthalpy": 35}
    question = asked("total_by_enthalpies", "SI", mass_flow=0.8, **states)
    assert answer(question) == pytest.approx(12.0)
    question = asked("latent_capacity_from_a_bucket", "SI", time=30, caught=3)
    assert answer(question) == pytest.approx(6 * 2546 / 3600, rel=0.002)


def stated(question):
    """The numbers of a question, bare as its text has them."""
    return {p.name: float(to_input(question.values[p.name], p.kind, question.units)) for p in question.kind.parameters}


def dry_bulbs(n):
    return n["return_dry_bulb"] - n["supply_dry_bulb"]


def water(n):
    return n["flow"] / n["supply_volume"] * (n["return_ratio"] - n["supply_ratio"])


# The lesson's own rules with its rounded figures, in IP and in SI.
POCKET = {
    "sensible_capacity": (
        lambda n: n["flow"] * 60 / n["supply_volume"] * 0.244 * dry_bulbs(n),
        lambda n: n["flow"] / 1000 / n["supply_volume"] * 1.02 * dry_bulbs(n),
    ),
    "latent_capacity": (
        lambda n: water(n) * 60 / 7000 * 1095,
        lambda n: water(n) / 1000 * 3.6 * 2546 / 3600,
    ),
    "latent_capacity_from_a_bucket": (
        lambda n: n["caught"] / n["time"] * 60 * 1095,
        lambda n: n["caught"] / n["time"] * 60 * 2546 / 3600,
    ),
    "drift_of_the_total_factor": (
        lambda n: 100 * (n["supply_volume"] / 13.33 - 1),
        lambda n: 100 * (n["supply_volume"] / 0.833 - 1),
    ),
    "drift_of_the_sensible_factor": (
        lambda n: 100 * 1.08 / (60 / n["supply_volume"] * 0.244),
        lambda n: 100 * 1.21 / (1 / n["supply_volume"] * 1.02),
    ),
    "dry_bulb_of_outdoor_and_return_air_mixed": (
        lambda n: n["return_dry_bulb"] + n["outdoor_share"] / 100 * (n["outdoor_dry_bulb"] - n["return_dry_bulb"]),
        lambda n: n["return_dry_bulb"] + n["outdoor_share"] / 100 * (n["outdoor_dry_bulb"] - n["return_dry_bulb"]),
    ),
}


@pytest.mark.parametrize("name", POCKET)
def test_the_rounded_figures_of_the_lesson_are_good_enough(name):
    for units, rule in zip(("IP", "SI"), POCKET[name], strict=True):
        for seed in range(40):
            question = draw(kind_of(name), seed, units)
            found = f"{rule(stated(question)):.{max(question.decimals, 1)}f}"
            assert judge(question, found).outcome == "right", question.text


@pytest.mark.parametrize(("removal", "expected"), [(12.4, 0), (16.0, 1), (9.0, 2)])
def test_bucket_against_air_side(removal, expected):
    # 8 lb in 40 minutes are 12 lb in an hour.
    question = asked("does_the_bucket_agree", removal=removal, doubt=15, time=40, caught=8)
    assert question.answer == expected
    assert judge(question, str(expected + 1)).outcome == "right"


def test_figures_of_the_lesson():
    found = airside.analyse(airside.load_visit(LESSON / "museum.toml"))
    capacity, text = found.capacity, (LESSON / "lesson.md").read_text()
    said = {
        "45,600 Btu/h (13.4 kW)": capacity.total,
        "32,000 Btu/h (9.38 kW) sensible": capacity.sensible,
        "13,600 Btu/h (3.98 kW) latent": capacity.latent,
        "54,400 Btu/h (15.9 kW)": found.textbook[0].textbook,
    }
    for words, value in said.items():
        assert words in text
        assert round(float(from_inside(value, "capacity", "IP")), -2) == float(words.split()[0].replace(",", ""))
        decimals = len(words.split("(")[1].split()[0].split(".")[1])
        assert show(float(value), "capacity", "SI", decimals=decimals) == words.split("(")[1].split(")")[0]
    assert "here 0.70" in text and capacity.sensible_heat_ratio == pytest.approx(0.70, abs=0.005)
    assert "12.4 lb/h (5.6 kg/h)" in text and capacity.moisture_removal == pytest.approx(5.63, abs=0.05)
    assert "6,718 lb/h (0.846 kg/s)" in text and capacity.dry_air_mass_flow == pytest.approx(0.8465, abs=0.0005)
    assert found.textbook[0].error == pytest.approx(0.19, abs=0.005)


def test_drift_in_the_lesson_s_picture():
    # Return 24 °C and 50 %, supply 13 °C and 88 %, flow read in the supply: the figures of the "lines" mark.
    from airside.air.process import textbook_factors
    from airside.teach.lesson import read_lesson
    from airside.teach.marks import PictureMark

    picture = next(m for m, _ in read_lesson(LESSON).marks(PictureMark) if m.shows == "lines").parameters
    feet = picture["across"]["values"]
    for place, elevation in enumerate(feet):
        above = float(to_inside(elevation, "elevation", "IP"))
        back = airside.MoistAir.from_relative_humidity(24.0, 0.50, elevation=above)
        supply = airside.MoistAir.from_relative_humidity(13.0, 0.88, elevation=above)
        capacity = airside.delivered_capacity(back, supply, airside.Airflow.measured(0.7, at=supply))
        for line, factor in zip(picture["lines"], textbook_factors(back, supply, 0.7, capacity), strict=True):
            assert str(factor.factor) in line["name"]
            assert line["values"][place] == pytest.approx(100 * factor.error, abs=0.06)
