"""Judgements: what a person types, right or wrong, always gets a sentence."""

import dataclasses

import pytest

from airside.teach.drawing import Question, draw
from airside.teach.judging import judge
from airside.teach.kinds import kind_of
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step


def kind_with(answer, kind="capacity", **changes):
    made = QuestionKind(
        name="fixed", lesson=1, title="Fixed", ask="{load}?", kind=kind, parameters=(Parameter("load", "count", 1, 1, (1, 1), exact=True),),
        solve=lambda v: Solution(answer, (Step("It is", answer, kind),)), limits=(-1e9, 1e9), hints=("One.", "Two."),
        slips=(Slip("doubled", lambda v, u: 2 * answer, "That is twice as much."),), source="common practice, no source",
    )  # fmt: skip
    return dataclasses.replace(made, **changes)


def question(answer, units="IP", kind="capacity", **changes):
    return Question(kind_with(answer, kind, **changes), 1, units, {"load": 1.0})


# 9,144 W are 31,200 Btu/h.
CAPACITY = question(9143.817)


@pytest.mark.parametrize(
    "text",
    [
        "31,200 Btu/h", "31200", "31,200", "31.2 kBtu/h", "31.2kBtu/h", " 31.2  MBH ", "9.14 kW", "9144 W", "2.6 tons",
        "31200 BTU/HR", "31200 Btu per hour", "+31200", "3.12e4", "31300",
    ],
)  # fmt: skip
def test_right_in_many_spellings(text):
    found = judge(CAPACITY, text)
    assert found.outcome == "right"
    assert found.says == "Right: 31,200 Btu/h."


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "There is no answer yet. Expected a number in Btu/h, or with a unit of its own."),
        ("   ", "There is no answer yet."),
        ("much", '"much" is not a number with a unit.'),
        ("31,2 kBtu/h", "If 31,2 is meant as a decimal number, write 31.2 kBtu/h."),
        ("31,2", '"31,2": a comma may only stand between thousands, as in 24,980; decimals come behind a point. If'),
        ("3,12,00", "a comma may only stand between thousands"),
        ("0,312 kBtu/h, say", "write 0.312 kBtu/h, say."),
        ("1,2345", "write 1.2345."),
        ("31.2 gr/lb", "is not a capacity"),
        ("31.2 smoots", 'has an unknown unit "smoots"'),
        ("nan", '"nan" is not a number with a unit.'),
        ("inf kW", "is not a number with a unit."),
        ("1e999", "too large to be computed with"),
        ("1e999 kW", "too large to be computed with"),
        ("9" * 3000, "That is too long for an answer."),
        ("<script>alert(1)</script>", "is not a number with a unit."),
        ("__import__('os')", "is not a number with a unit."),
        ("30000 + 1200", 'has an unknown unit "+ 1200"'),
    ],
)
def test_what_is_no_answer_gets_a_sentence(text, says):
    found = judge(CAPACITY, text)
    assert found.outcome == "unreadable"
    assert says in found.says


def test_a_known_slip_is_named():
    assert judge(CAPACITY, "62.4 kBtu/h") == judge(CAPACITY, "62400")
    found = judge(CAPACITY, "62400")
    assert (found.outcome, found.slip, found.says) == ("slip", "doubled", "That is twice as much.")


@pytest.mark.parametrize(
    ("text", "slip"),
    [
        ("9.14", "the other unit"),
        ("-31200", "the sign"),
        ("\u221231200 Btu/h", "the sign"),
        ("31.2", "a factor of a thousand"),
        ("31.2 Btu/h", "a factor of a thousand"),
        ("312", "percent and fraction"),
    ],
)
def test_slips_that_any_question_may_meet(text, slip):
    found = judge(CAPACITY, text)
    assert (found.outcome, found.slip) == ("slip", slip)


def test_close_and_far():
    assert judge(CAPACITY, "31500").says.startswith("Close: your figure lies a little above")
    assert judge(CAPACITY, "40000").says.startswith("Not yet: your figure lies above")
    assert judge(CAPACITY, "20000").says.startswith("Not yet: your figure lies below")
    assert {judge(CAPACITY, t).outcome for t in ("31500", "40000", "20000")} == {"wrong"}


def test_a_temperature_knows_its_scales():
    asked = question(24.0, kind="temperature", slips=())
    assert judge(asked, "75.2").outcome == judge(asked, "24 °C").outcome == judge(asked, "75.2 F").outcome == "right"
    assert judge(asked, "24").slip == "the other unit"
    # No sign and no factor is looked for on the inside scale: 24 °C and -11.2 °F.
    assert judge(asked, "-11.2").outcome == "wrong"


def test_a_difference_of_temperatures_has_no_zero_of_its_own():
    asked = question(11.0, kind="temperature_difference")
    assert judge(asked, "19.8 °F").outcome == judge(asked, "11 K").outcome == judge(asked, "11 °C").outcome == "right"


def test_a_relative_humidity_as_a_fraction_is_a_slip():
    asked = question(0.47, kind="relative_humidity", slips=())
    assert judge(asked, "47").outcome == judge(asked, "47 %").outcome == judge(asked, "47 % RH").outcome == "right"
    assert judge(asked, "0.47").slip == "percent and fraction"


def test_a_number_without_a_unit():
    asked = question(0.8, kind="fraction")
    assert judge(asked, "0.8").outcome == judge(asked, "80 %").outcome == "right"
    assert judge(asked, "80").slip == "percent and fraction"
    assert judge(asked, "0.8 kW").says == '"0.8 kW" is not a number. Expected a number.'


def test_zero_has_no_sign_and_no_factor():
    asked = question(0.0, kind="temperature_difference", slips=())
    assert judge(asked, "0").outcome == "right"
    assert judge(asked, "5").outcome == "wrong"


CHOICE = question(
    1.0, kind="count", options=("Yes", "No, it is dry"), because=("Yes is wrong.", "It is dry indeed."), slips=()
)


@pytest.mark.parametrize("text", ["No, it is dry", "no,  IT is dry ", "2"])
def test_the_right_option(text):
    assert (judge(CHOICE, text).outcome, judge(CHOICE, text).says) == ("right", "Right. It is dry indeed.")


def test_the_wrong_option_says_why():
    found = judge(CHOICE, "1")
    assert (found.outcome, found.slip, found.says) == ("slip", "Yes", "Not this one. Yes is wrong.")


@pytest.mark.parametrize("text", ["", "0", "3", "maybe", "²", "-1", "99999999999"])
def test_no_option_at_all(text):
    assert judge(CHOICE, text).says == "Choose one of the 2 answers, or type its number."


@pytest.mark.parametrize(
    "text",
    ["75.2 degrees", "75.2 deg", "75.2°", "75.2 °", "75.2 Deg.", "75.2 degree", "75.2 degrees F", "24 degrees C"],
)
def test_degrees_without_a_letter_are_those_of_the_question(text):
    asked = question(24.0, kind="temperature", slips=())
    assert judge(asked, text).outcome == "right"
    # In an SI question the same words are Celsius, and a difference is a difference.
    assert judge(question(24.0, "SI", kind="temperature", slips=()), "24 degrees").outcome == "right"
    assert judge(question(11.0, kind="temperature_difference"), "19.8 degrees").outcome == "right"


def test_degrees_are_no_unit_of_anything_else():
    assert judge(CAPACITY, "31200 degrees").outcome == "unreadable"


@pytest.mark.parametrize("unit", ["iwc", "in wc", "inches of water", "in. w.c.", "inH2O", "IWC", "inches WC"])
def test_the_trade_writes_inches_of_water_in_many_ways(unit):
    # 1 inH2O = 249.089 Pa, NIST SP 811 appendix B.8
    assert judge(question(0.5 * 249.089, kind="duct_pressure", slips=()), f"0.5 {unit}").outcome == "right"


@pytest.mark.parametrize(
    ("kind", "right", "text", "says"),
    [
        ("relative_humidity", 0.47, "-5 %", "A relative humidity below 0 % cannot be. At 0 % there is no water"),
        ("relative_humidity", 0.47, "130", "A relative humidity above 100 % cannot be. At 100 % air is saturated"),
        ("humidity_ratio", 0.009, "-3 gr/lb", "A humidity ratio below 0 gr/lb cannot be."),
        ("temperature", 12.0, "-500", "A temperature below -459.7 °F cannot be. That is absolute zero"),
        ("temperature", 12.0, "-300 °C", "A temperature below -459.7 °F cannot be."),
        ("vapour_pressure", 1500.0, "-9 psi", "A vapour pressure below 0 psi cannot be."),
        ("specific_volume", 0.9, "-1", "A specific volume below 0 ft³/lb cannot be."),
    ],
)
def test_what_cannot_be_is_said_to_be_so(kind, right, text, says):
    found = judge(question(right, kind=kind, slips=()), text)
    assert found.outcome == "wrong" and found.says.startswith(says)
    assert "Not yet" not in found.says and found.says.endswith("go through the steps.")


def test_a_difference_has_no_end_of_a_scale():
    asked = question(0.08, kind="relative_humidity", slips=(), is_difference=True)
    assert judge(asked, "-3 %").says.startswith("Not yet: your figure lies below")
    assert judge(question(11.0, kind="temperature_difference"), "-600").says.startswith("Not yet")


def test_a_count_comes_whole():
    question = draw(kind_of("stretches_in_a_run"), 3, "IP")
    whole = round(question.answer)
    assert judge(question, str(whole)).outcome == judge(question, f"{whole}.0").outcome == "right"
    found = judge(question, f"{whole + 0.17:.2f}")
    assert found.outcome == "wrong" and "comes whole" in found.says
