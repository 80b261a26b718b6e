"""Questions of lesson 7 that are answered by choosing; which answer is right is computed."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.refrigerant.causes import Findings, what_readings_say
from airside.refrigerant.contradictions import suction_line_colder
from airside.refrigerant.cycle import absolute_pressure, refrigerant_capacity, superheat
from airside.refrigerant.properties import liquid_enthalpy, vapour_enthalpy
from airside.refrigerant.saturation import bubble_temperature, dew_temperature
from airside.refrigerant.targets import target_superheat_fixed_orifice
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

PRACTICE = "common practice, no source"
SATURATION = (
    "saturation curves of airside.refrigerant, made with CoolProp (Bell, Wronski, Quoilin and Lemort 2014); superheat counted from dew, subcooling "
    "from bubble"
)
PLAIN = "R-410A"
# How far two readings may contradict each other before it is said [K].
MARGIN = 1.0
# What a superheat, subcooling or condensing temperature of careful readings is good to, standard uncertainty [K].
DOUBT = 1.0
# The leading cause must have at least this share before a trainee is asked for it.
CLEAR_SHARE = 0.6
# Liquid that goes into the metering device, where a question leaves it open [Pa gauge, °C].
LIQUID_PRESSURE, LIQUID_LINE = 2_700_000.0, 37.0

SUCTION = Parameter("suction_pressure", "refrigerant_pressure", 720_000.0, 1_020_000.0, (1.0, 5.0))
TARGET_PLACES = (
    Parameter("return_wet_bulb", "temperature", 14.0, 22.0, (1.0, 0.5)),
    Parameter("outdoor", "temperature", 22.0, 41.0, (1.0, 0.5)),
)


def _target(wet_bulb: float, outdoor: float) -> float:
    """By the rule of thumb [K]; NaN where it has none."""
    return float(target_superheat_fixed_orifice(wet_bulb, outdoor))


def _another_day(values: Values) -> Solution:
    before, after = (_target(values["return_wet_bulb"], values[n]) for n in ("outdoor", "later"))
    if math.isnan(after):
        return Solution(2.0, (
            Step("Target before", before, "temperature_difference",
                 written=("(3 × {return_wet_bulb} − 80 − {outdoor}) ÷ 2", "1.5 × {return_wet_bulb} − 0.5 × {outdoor} − 4.44")),
            Step("By the rule after; below the least target of the rule",
                 float(target_superheat_fixed_orifice(values["return_wet_bulb"], values["later"], no_target="extend")),
                 "temperature_difference",
                 written=("(3 × {return_wet_bulb} − 80 − {later}) ÷ 2", "1.5 × {return_wet_bulb} − 0.5 × {later} − 4.44")),
        ))  # fmt: skip
    return Solution(0.0 if after > before else 1.0, (
        Step("Target before", before, "temperature_difference",
             written=("(3 × {return_wet_bulb} − 80 − {outdoor}) ÷ 2", "1.5 × {return_wet_bulb} − 0.5 × {outdoor} − 4.44")),
        Step("Target after", after, "temperature_difference",
             written=("(3 × {return_wet_bulb} − 80 − {later}) ÷ 2", "1.5 × {return_wet_bulb} − 0.5 × {later} − 4.44")),
    ))  # fmt: skip


def _is_another_day(values: Values) -> bool:
    if abs(values["later"] - values["outdoor"]) < 4 or math.isnan(
        _target(values["return_wet_bulb"], values["outdoor"])
    ):
        return False
    later = float(target_superheat_fixed_orifice(values["return_wet_bulb"], values["later"], no_target="extend"))
    return abs(later - 5 / 1.8) > 0.6


def _moved(values: Values) -> tuple[float, float]:
    """Change of superheat that was measured, and the one that a fixed orifice would make [K]."""
    rule = [
        float(target_superheat_fixed_orifice(values["return_wet_bulb"], values[n], no_target="extend"))
        for n in ("outdoor", "later")
    ]
    return values["later_superheat"] - values["superheat"], rule[1] - rule[0]


def _device(values: Values) -> Solution:
    measured, rule = _moved(values)
    return Solution(0.0 if abs(measured - rule) < abs(measured) else 1.0, (
        Step("Change of superheat from the first day to the second", measured, "temperature_difference",
             written="{later_superheat} − {superheat}"),
        Step("Change that a fixed orifice should make, by the rule", rule, "temperature_difference", written="({outdoor} − {later}) ÷ 2"),
    ))  # fmt: skip


def _is_clear_device(values: Values) -> bool:
    measured, rule = _moved(values)
    if abs(rule) < 4 or math.isnan(_target(values["return_wet_bulb"], values["later"])):
        return False
    # The first day alone must not give the answer away.
    plausible = abs(values["superheat"] - _target(values["return_wet_bulb"], values["outdoor"])) < 2.5
    return bool(plausible and (abs(measured - rule) < 1.0 or abs(measured) < 1.0))


def _suction_line(values: Values) -> Solution:
    warm = float(superheat(PLAIN, values["suction_pressure"], values["line"], SEA_LEVEL_PRESSURE))
    said = suction_line_colder(PLAIN, values["suction_pressure"], values["line"], SEA_LEVEL_PRESSURE, margin=MARGIN)
    return Solution(1.0 if said else 0.0, (
        Step("Saturation temperature at the suction pressure", values["line"] - warm, "temperature"),
        Step("Suction line less saturation", warm, "temperature_difference", written="{line} − {-1}"),
    ))  # fmt: skip


def _is_clear_line(values: Values) -> bool:
    warm = float(superheat(PLAIN, values["suction_pressure"], values["line"], SEA_LEVEL_PRESSURE))
    return -9 < warm < -2 or 2 < warm < 11


def _taken_up(values: Values, flow: str) -> float:
    low, high = (absolute_pressure(p, SEA_LEVEL_PRESSURE) for p in (values["suction_pressure"], LIQUID_PRESSURE))
    gas = float(dew_temperature(PLAIN, low)) + values["superheat"]
    liquid = float(bubble_temperature(PLAIN, high)) - values["subcooling"]
    return float(refrigerant_capacity(
        values[flow], float(vapour_enthalpy(PLAIN, gas, low)), float(liquid_enthalpy(PLAIN, liquid, high))
    ))  # fmt: skip


def _which_takes_more(values: Values) -> Solution:
    first, second = _taken_up(values, "first_flow"), _taken_up(values, "second_flow")
    return Solution(0.0 if first > second else 1.0, (
        Step("First unit: heat that its refrigerant takes up", first, "capacity"),
        Step("Second unit: the same", second, "capacity"),
    ))  # fmt: skip


NAMES = ("superheat", "subcooling", "condensing_over_outdoor")
# Which cause is which option; two that these readings cannot tell apart share one.
OPTION_OF = {
    "undercharge": 0,
    "overcharge": 1,
    "non_condensable_gas": 1,
    "fouled_outdoor_coil": 2,
    "nothing_unusual": 3,
}

# What the question says is sound.
RULED_OUT = ("low_airflow", "compressor_leak")


def _findings(values: Values) -> Findings:
    off = {n: (values[n] - values[f"usual_{n}"], DOUBT) for n in NAMES}
    return what_readings_say(off, "thermostatic valve")


def _shares(values: Values) -> dict[int, float]:
    """Share of each option among the causes that are left; -1 where a cause is no option."""
    left = [m for m in _findings(values).matches if m.cause.name not in RULED_OUT]
    total = sum(m.share for m in left)
    shares: dict[int, float] = {}
    for match in left:
        option = OPTION_OF.get(match.cause.name, -1)
        shares[option] = shares.get(option, 0.0) + match.share / total
    return shares


def _together(values: Values) -> Solution:
    shares = _shares(values)
    best = max(shares, key=lambda option: shares[option])
    words = {
        "superheat": "Superheat",
        "subcooling": "Subcooling",
        "condensing_over_outdoor": "Condensing above outdoor air",
    }
    steps = [
        Step(
            f"{words[n]}, measured less usual",
            values[n] - values[f"usual_{n}"],
            "temperature_difference",
            written=f"{{{n}}} − {{usual_{n}}}",
        )
        for n in NAMES
    ]
    return Solution(float(best) if best >= 0 else math.nan, tuple(steps))


def _is_clear_picture(values: Values) -> bool:
    found = _findings(values)
    if any(max(m.up, m.down, m.unchanged) < 0.75 for m in found.moved):
        return False
    shares = _shares(values)
    return max(shares.values()) > CLEAR_SHARE and max(shares, key=lambda option: shares[option]) >= 0


def _usual(name: str, value: float) -> Parameter:
    # Wide enough for one round number in either system.
    return Parameter(f"usual_{name}", "temperature_difference", value - 0.06, value + 0.06, (1.0, 0.1), exact=True)


REFRIGERANT_CHOICES = (
    QuestionKind(
        name="orifice_target_on_another_day",
        lesson=7,
        title="A fixed orifice on another day",
        ask="A unit with a fixed orifice, rightly charged. Return wet bulb: {return_wet_bulb}. In the morning it is {outdoor} outdoors, in the afternoon "
        "{later}; the return air stays. What becomes of the target superheat, by the rule of thumb?",
        kind="count",
        parameters=(*TARGET_PLACES, Parameter("later", "temperature", 20.0, 44.0, (1.0, 0.5))),
        solve=_another_day,
        limits=(0, 2),
        hints=(
            "Warmer outdoors means more pressure before the orifice. What comes through then?",
            "Work the rule for both times. Below 5 °F, or 2.8 K, it gives no target.",
        ),
        options=(
            "It rises",
            "It falls, and there still is a target",
            "There is no target any more: superheat says nothing about the charge then",
        ),
        because=(
            "With cooler outdoor air there is less pressure before the orifice, less refrigerant comes through, and the superheat rises. Work the "
            "rule for both times.",
            "With warmer outdoor air there is more pressure before the orifice, more refrigerant comes through, and the superheat falls. Work the "
            "rule for both times, and see whether 5 °F, or 2.8 K, are left.",
            "Where the rule gives less than 5 °F, or 2.8 K, nobody can set a charge by superheat: liquid would be too near the compressor. Work "
            "the rule for both times.",
        ),
        possible=_is_another_day,
        source=PRACTICE,
    ),
    QuestionKind(
        name="valve_or_orifice",
        lesson=7,
        title="Valve or orifice?",
        ask="Nobody knows which metering device a healthy unit has. On one day, {outdoor} outdoors, its superheat is {superheat}. On another day, "
        "{later} outdoors, it is {later_superheat}. The return wet bulb is {return_wet_bulb} on both days. Which device do the readings speak for?",
        kind="count",
        parameters=(
            *TARGET_PLACES,
            Parameter("later", "temperature", 20.0, 42.0, (1.0, 0.5)),
            Parameter("superheat", "temperature_difference", 3.0, 13.0, (1.0, 0.5)),
            Parameter("later_superheat", "temperature_difference", 3.0, 13.0, (1.0, 0.5)),
        ),
        solve=_device,
        limits=(0, 1),
        hints=(
            "One of them answers to the outdoor temperature, the other holds its superheat.",
            "Work the rule of the fixed orifice for both days, and compare the change.",
        ),
        options=("A fixed orifice", "A thermostatic valve"),
        because=(
            "A fixed orifice cannot move: the warmer it is outdoors, the more it lets through, and the superheat falls. Compare the change of "
            "superheat with the change by the rule.",
            "A thermostatic valve opens and closes so that the superheat stays, whatever it is outdoors. Compare the change of superheat with "
            "the change by the rule.",
        ),
        possible=_is_clear_device,
        source=PRACTICE,
    ),
    QuestionKind(
        name="can_the_suction_line_be_right",
        needs=("R-410A",),
        lesson=7,
        title="Can this suction line be right?",
        ask="A unit with R-410A is running in a bakery at sea level. Suction pressure: {suction_pressure}. The clamp on the suction line shows {line}. "
        "What do you make of it?",
        kind="count",
        parameters=(SUCTION, Parameter("line", "temperature", -4.0, 22.0, (0.5, 0.2))),
        solve=_suction_line,
        limits=(0, 1),
        hints=("What is the saturation temperature at this pressure?", "Can gas, or boiling liquid, be colder than that?"),
        options=(
            "The two agree: the gas is superheated",
            "The two contradict each other: a reading, the refrigerant or the pressure's kind is wrong",
        ),
        because=(
            "They agree where the line is warmer than saturation at its pressure. Look up the saturation temperature and compare.",
            "At its pressure the refrigerant boils at the saturation temperature; nothing in the line is colder. Where the line reads colder, "
            "look at the clamp, the gauge, the refrigerant's name, and whether the pressure is gauge or absolute.",
        ),
        possible=_is_clear_line,
        source=SATURATION,
    ),
    QuestionKind(
        name="same_superheat_other_capacity",
        lesson=7,
        title="What superheat cannot tell",
        ask="Two units with R-410A have the same pressures: the suction gauges show {suction_pressure}. Both have a superheat of {superheat} and a "
        "subcooling of {subcooling}. In the first, {first_flow} of refrigerant goes round, in the second {second_flow}. Which of them takes up "
        "more heat?",
        kind="count",
        parameters=(
            SUCTION,
            Parameter("superheat", "temperature_difference", 4.0, 8.0, (1.0, 0.5)),
            Parameter("subcooling", "temperature_difference", 4.0, 8.0, (1.0, 0.5)),
            Parameter("first_flow", "mass_flow", 0.05, 0.10, (10.0, 0.002)),
            Parameter("second_flow", "mass_flow", 0.05, 0.10, (10.0, 0.002)),
        ),
        solve=_which_takes_more,
        limits=(0, 2),
        hints=(
            "Superheat and subcooling say how much heat each pound or kilogram takes up.",
            "How many pounds or kilograms are there in an hour or a second?",
        ),
        options=("The first", "The second", "Both the same: superheat and subcooling are equal"),
        because=(
            "Each pound or kilogram takes up the same heat in both. So more heat goes with the larger flow: compare the two.",
            "Each pound or kilogram takes up the same heat in both. So more heat goes with the larger flow: compare the two.",
            "Superheat and subcooling fix what each pound or kilogram takes up, not how many of them go round. A worn compressor can show both as "
            "they should be, and deliver too little.",
        ),
        possible=lambda v: abs(v["first_flow"] / v["second_flow"] - 1) > 0.12,
        source="heat balance of the evaporator; enthalpies of airside.refrigerant, made with CoolProp (Bell, Wronski, Quoilin and Lemort 2014)",
    ),
    QuestionKind(
        name="what_the_readings_say_together",
        lesson=7,
        title="What the readings say together",
        ask="A unit with a thermostatic valve. Its indoor airflow and its compressor are known to be sound. Superheat: {superheat}, usual "
        "{usual_superheat}. Subcooling: {subcooling}, usual {usual_subcooling}. Condensing above outdoor air: {condensing_over_outdoor}, usual "
        "{usual_condensing_over_outdoor}. Each figure is good to about 2 °F (1 K). What is worth a look first?",
        kind="count",
        parameters=(
            Parameter("superheat", "temperature_difference", 3.5, 8.5, (1.0, 0.5)),
            _usual("superheat", 10 / 1.8),
            Parameter("subcooling", "temperature_difference", 0.5, 10.5, (1.0, 0.5)),
            _usual("subcooling", 10 / 1.8),
            Parameter("condensing_over_outdoor", "temperature_difference", 8.0, 18.0, (1.0, 0.5)),
            _usual("condensing_over_outdoor", 20 / 1.8),
        ),
        solve=_together,
        limits=(0, 3),
        hints=(
            "A valve holds its superheat for a long time. So look at the subcooling first.",
            "Little subcooling: the outdoor coil holds little liquid. Much: it holds too much, or something in it does not condense.",
            "Condensing far above outdoor air, with usual subcooling: the outdoor coil gets rid of its heat with difficulty.",
        ),
        options=(
            "Too little charge",
            "Too much charge, or gas that does not condense",
            "The outdoor coil and its airflow",
            "Nothing: all figures are as usual",
        ),
        because=(
            "Too little charge shows as little subcooling first, while condensing is not high. Set each figure against its usual one.",
            "Too much charge shows as much subcooling with high condensing; gas that does not condense looks the same on these figures. Set each "
            "figure against its usual one.",
            "A dirty outdoor coil shows as high condensing, while superheat is held and subcooling has not gone up. Set each figure against its "
            "usual one.",
            "All figures would have to be within their doubt of the usual ones. Set each against its usual one.",
        ),
        possible=_is_clear_picture,
        source="rule tables after Rossi and Braun (1997) and Breuker and Braun (1998), from memory; later work and physics for valves",
    ),
)  # fmt: skip
