"""Questions of lesson 7: the refrigerant side. Saturation, superheat, subcooling and targets here; choices in a module of their own."""

from __future__ import annotations

from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.refrigerant.cycle import (
    absolute_pressure,
    condensing_over_outdoor,
    condensing_temperature,
    subcooling,
    superheat,
)
from airside.refrigerant.saturation import bubble_temperature, dew_pressure, dew_temperature, saturation_midpoint
from airside.refrigerant.targets import LOWEST_TARGET, target_superheat_fixed_orifice
from airside.teach.kinds.refrigerant_choices import PRACTICE, REFRIGERANT_CHOICES, SATURATION, SUCTION, TARGET_PLACES
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, to_input, to_inside

# One refrigerant without glide that is worth the name, one with: the lesson's tables are of these two.
PLAIN, BLEND = "R-410A", "R-407C"
GAUGE = ("The gauge pressure was taken as absolute. A gauge shows what is above the barometer: use a table in gauge pressure, or add the "
         "barometer first.")  # fmt: skip
TWICE = ("The barometer was added twice. In a table in gauge pressure, look up what the gauge shows; add the barometer only for a table in "
         "absolute pressure.")  # fmt: skip


def _dew(refrigerant: str, gauge: float, barometer: float = SEA_LEVEL_PRESSURE) -> float:
    return float(dew_temperature(refrigerant, absolute_pressure(gauge, barometer)))


def _bubble(refrigerant: str, gauge: float, barometer: float = SEA_LEVEL_PRESSURE) -> float:
    return float(bubble_temperature(refrigerant, absolute_pressure(gauge, barometer)))


def _saturated_suction(values: Values) -> Solution:
    found = _dew(PLAIN, values["suction_pressure"])
    return Solution(found, (
        Step("Look up what the gauge shows in a table in gauge pressure at sea level", values["suction_pressure"], "refrigerant_pressure"),
        Step("Saturation temperature beside it (dew)", found, "temperature"),
    ))  # fmt: skip


def _at_rest(values: Values, temperature: float) -> float:
    return float(dew_pressure(PLAIN, temperature)) - SEA_LEVEL_PRESSURE


def _pressure_at_rest(values: Values) -> Solution:
    return Solution(_at_rest(values, values["air"]), (
        Step("All of the circuit has come to the temperature of the air around it", values["air"], "temperature"),
        Step("Pressure beside this temperature, in gauge pressure", _at_rest(values, values["air"]), "refrigerant_pressure"),
    ))  # fmt: skip


def _in_the_other_scale(values: Values, units: UnitSystem) -> float:
    """The number of °C looked up as °F."""
    return _at_rest(values, float(to_inside(to_input(values["air"], "temperature", units), "temperature", "IP")))


def _barometer(values: Values) -> float:
    return float(standard_atmosphere_pressure(values["elevation"]))


def _higher_up(values: Values) -> Solution:
    here = _barometer(values)
    found = _dew(PLAIN, values["suction_pressure"], here)
    as_at_sea_level = values["suction_pressure"] + here - SEA_LEVEL_PRESSURE
    return Solution(found, (
        Step("Barometric pressure at this elevation", here, "barometric_pressure"),
        Step("Below sea level's by (in IP: 1 inHg is 0.491 psi)", SEA_LEVEL_PRESSURE - here, "barometric_pressure",
             written=("29.92 inHg − {-1}", "101.33 kPa − {-1}")),
        Step("With the same refrigerant pressure a gauge at sea level would show that much less", as_at_sea_level, "refrigerant_pressure",
             written=("{suction_pressure} − {-1} × 0.491 psi per inHg", "{suction_pressure} − {-1}")),
        Step("Saturation temperature beside that, in the table for sea level", found, "temperature"),
    ))  # fmt: skip


def _plain_superheat(values: Values) -> Solution:
    dew = _dew(PLAIN, values["suction_pressure"])
    return Solution(float(superheat(PLAIN, values["suction_pressure"], values["line"], SEA_LEVEL_PRESSURE)), (
        Step("Saturation temperature at the suction pressure, from the table in gauge pressure", dew, "temperature"),
        Step("Suction line less saturation", values["line"] - dew, "temperature_difference", written="{line} − {-1}"),
    ))  # fmt: skip


def _blend_superheat(values: Values) -> Solution:
    dew = _dew(BLEND, values["suction_pressure"])
    return Solution(float(superheat(BLEND, values["suction_pressure"], values["line"], SEA_LEVEL_PRESSURE)), (
        Step("Dew temperature at the suction pressure: there the last drop has boiled", dew, "temperature"),
        Step("Suction line less dew temperature", values["line"] - dew, "temperature_difference", written="{line} − {-1}"),
    ))  # fmt: skip


def _middle(gauge: float) -> float:
    return float(saturation_midpoint(BLEND, absolute_pressure(gauge, SEA_LEVEL_PRESSURE)))


def _blend_subcooling(values: Values) -> Solution:
    bubble = _bubble(BLEND, values["liquid_pressure"])
    return Solution(float(subcooling(BLEND, values["liquid_pressure"], values["line"], SEA_LEVEL_PRESSURE)), (
        Step("Bubble temperature at the liquid pressure: there the last vapour has condensed", bubble, "temperature"),
        Step("Bubble temperature less liquid line", bubble - values["line"], "temperature_difference", written="{-1} − {line}"),
    ))  # fmt: skip


def _over_outdoor(values: Values) -> Solution:
    condensing = float(condensing_temperature(PLAIN, values["liquid_pressure"], SEA_LEVEL_PRESSURE))
    over = float(condensing_over_outdoor(PLAIN, values["liquid_pressure"], values["outdoor"], SEA_LEVEL_PRESSURE))
    return Solution(over, (
        Step("Condensing temperature at the liquid pressure, from the table", condensing, "temperature"),
        Step("Condensing temperature less outdoor air", over, "temperature_difference", written="{-1} − {outdoor}"),
    ))  # fmt: skip


def _over_with_gauge_as_absolute(values: Values) -> float:
    return float(saturation_midpoint(PLAIN, values["liquid_pressure"])) - float(values["outdoor"])


def _target(values: Values, wet_bulb: float) -> float:
    return float(target_superheat_fixed_orifice(wet_bulb, values["outdoor"], no_target="extend"))


def _orifice_target(values: Values) -> Solution:
    target = _target(values, values["return_wet_bulb"])
    return Solution(target, (
        Step("Return wet bulb, which goes into the rule three times", values["return_wet_bulb"], "temperature"),
        Step("Outdoor dry bulb, which is taken off once", values["outdoor"], "temperature"),
        Step("In °F: (3 times wet bulb, less 80, less outdoor) over 2. In °C: 1.5 times wet bulb, less 0.5 times outdoor, less 4.44",
             target, "temperature_difference",
             written=("(3 × {return_wet_bulb} − 80 − {outdoor}) ÷ 2", "1.5 × {return_wet_bulb} − 0.5 × {outdoor} − 4.44")),
    ))  # fmt: skip


def _celsius_in_the_rule(values: Values) -> float:
    # The rule's own numbers are for °F.
    return (3 * float(values["return_wet_bulb"]) - 80 - float(values["outdoor"])) / 2


def _on_the_way(values: Values) -> Solution:
    at_coil, at_unit = (
        float(superheat(PLAIN, values["suction_pressure"], values[n], SEA_LEVEL_PRESSURE))
        for n in ("at_coil", "at_unit")
    )
    return Solution(at_unit - at_coil, (
        Step("Saturation temperature at the suction pressure, from the table in gauge pressure", values["at_coil"] - at_coil, "temperature"),
        Step("Superheat at the coil: suction line there less saturation", at_coil, "temperature_difference", written="{at_coil} − {-1}"),
        Step("Superheat at the outdoor unit", at_unit, "temperature_difference", written="{at_unit} − {-2}"),
        Step("The second less the first", at_unit - at_coil, "temperature_difference", written="{-1} − {-2}"),
    ))  # fmt: skip


LIQUID = Parameter("liquid_pressure", "refrigerant_pressure", 2_250_000.0, 3_050_000.0, (1.0, 5.0))
LINE_STEP = (0.5, 0.2)

REFRIGERANT_NUMBERS = (
    QuestionKind(
        name="saturated_suction_temperature",
        needs=("R-410A",),
        lesson=7,
        title="Saturation temperature from the gauge",
        ask="The suction gauge of a school's unit, at sea level, shows {suction_pressure}. The refrigerant is R-410A. What is the saturation "
        "temperature at this pressure?",
        kind="temperature",
        parameters=(SUCTION,),
        solve=_saturated_suction,
        limits=(-3.0, 15.0),
        hints=(
            "A gauge shows how far the pressure is above the barometer.",
            "Is your table in gauge or in absolute pressure? The one of the lesson is in gauge pressure, at sea level.",
            "Go between two rows of the table by proportion.",
        ),
        slips=(
            Slip("gauge for absolute", lambda v, u: float(dew_temperature(PLAIN, v["suction_pressure"])), GAUGE),
            Slip("barometer added twice", lambda v, u: _dew(PLAIN, v["suction_pressure"], 2 * SEA_LEVEL_PRESSURE), TWICE),
        ),
        source=SATURATION,
    ),
    QuestionKind(
        name="pressure_at_rest",
        needs=("R-410A",),
        lesson=7,
        title="Pressure of a unit at rest",
        ask="A unit with R-410A has stood still overnight, at sea level. All of its parts and the air around it are at {air}. There is liquid in "
        "it, and nothing but R-410A. What does the gauge show?",
        kind="refrigerant_pressure",
        parameters=(Parameter("air", "temperature", 15.0, 34.0, (1.0, 0.5)),),
        solve=_pressure_at_rest,
        limits=(900_000.0, 2_300_000.0),
        hints=(
            "At rest, with liquid in it, the circuit is at saturation: temperature and pressure belong together.",
            "Go through the table the other way round: from the temperature to the pressure.",
        ),
        slips=(
            Slip("absolute for gauge", lambda v, u: _at_rest(v, v["air"]) + SEA_LEVEL_PRESSURE,
                 "That is the absolute pressure. A gauge shows it less the barometer."),
            Slip("barometer taken off twice", lambda v, u: _at_rest(v, v["air"]) - SEA_LEVEL_PRESSURE,
                 "The barometer was taken off twice. A table in gauge pressure says what the gauge shows."),
            Slip("°C looked up as °F", _in_the_other_scale,
                 "The number was looked up in a table in °F. The question is in °C.", ("SI",)),
        ),
        source=SATURATION,
    ),
    QuestionKind(
        name="saturation_temperature_higher_up",
        needs=("R-410A", "elevation"),
        lesson=7,
        title="Saturation temperature higher up",
        ask="A library stands at {elevation}. The suction gauge of its R-410A unit shows {suction_pressure}. What is the saturation temperature?",
        kind="temperature",
        parameters=(
            Parameter("elevation", "elevation", 1600.0, 2700.0, (100.0, 50.0)),
            Parameter("suction_pressure", "refrigerant_pressure", 680_000.0, 1_000_000.0, (0.5, 2.0)),
        ),
        solve=_higher_up,
        limits=(-5.0, 14.0),
        hints=(
            "A gauge shows how far the pressure is above the barometer. What is the barometer here?",
            "The table is for gauges at sea level. With the same refrigerant pressure, such a gauge would show less, by as much as the barometer "
            "here is lower.",
        ),
        slips=(
            Slip("sea-level barometer at altitude", lambda v, u: _dew(PLAIN, v["suction_pressure"]),
                 "That would be right at sea level. Here the barometer is lower, so the same gauge reading is a lower pressure, and a colder "
                 "saturation."),
            Slip("gauge for absolute", lambda v, u: float(dew_temperature(PLAIN, v["suction_pressure"])), GAUGE),
            Slip("corrected the wrong way",
                 lambda v, u: _dew(PLAIN, v["suction_pressure"], 2 * SEA_LEVEL_PRESSURE - _barometer(v)),
                 "The correction went the wrong way. Less barometer means less pressure behind the same gauge reading."),
        ),
        source=f"{SATURATION}; barometer: ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 3",
    ),
    QuestionKind(
        name="superheat_of_a_suction_line",
        needs=("R-410A",),
        lesson=7,
        title="Superheat",
        ask="A bakery's unit with R-410A, at sea level. Suction pressure: {suction_pressure}. The suction line, under its insulation, is at {line}. "
        "What is the superheat?",
        kind="temperature_difference",
        parameters=(SUCTION, Parameter("line", "temperature", 3.0, 24.0, LINE_STEP)),
        solve=_plain_superheat,
        limits=(1.5, 14.0),
        hints=(
            "At which temperature does R-410A boil at this pressure?",
            "Superheat is how far the line is above that.",
        ),
        slips=(
            Slip("gauge for absolute", lambda v, u: v["line"] - float(dew_temperature(PLAIN, v["suction_pressure"])), GAUGE),
            Slip("barometer added twice", lambda v, u: v["line"] - _dew(PLAIN, v["suction_pressure"], 2 * SEA_LEVEL_PRESSURE), TWICE),
        ),
        source=SATURATION,
    ),
    QuestionKind(
        name="superheat_of_a_blend",
        needs=("R-407C",),
        lesson=7,
        title="Superheat of a blend with glide",
        ask="A laundry's unit with R-407C, at sea level. Suction pressure: {suction_pressure}. The suction line is at {line}. What is the "
        "superheat?",
        kind="temperature_difference",
        parameters=(
            Parameter("suction_pressure", "refrigerant_pressure", 370_000.0, 560_000.0, (1.0, 5.0)),
            Parameter("line", "temperature", 4.0, 22.0, LINE_STEP),
        ),
        solve=_blend_superheat,
        limits=(1.5, 14.0),
        hints=(
            "A blend with glide has two saturation temperatures at one pressure: bubble and dew.",
            "Superheat begins where the last drop has boiled: at dew.",
            "Suction line less dew temperature.",
        ),
        slips=(
            Slip("bubble for dew", lambda v, u: v["line"] - _bubble(BLEND, v["suction_pressure"]),
                 "That is counted from bubble, where boiling begins. Superheat begins where boiling ends: at dew."),
            Slip("middle for dew", lambda v, u: v["line"] - _middle(v["suction_pressure"]),
                 "That is counted from the middle of bubble and dew. Superheat begins where boiling ends: at dew."),
            # Gauge for absolute would look like bubble for dew at these pressures.
        ),
        source=SATURATION,
    ),
    QuestionKind(
        name="subcooling_of_a_blend",
        needs=("R-407C",),
        lesson=7,
        title="Subcooling of a blend with glide",
        ask="A museum's unit with R-407C, at sea level. Liquid pressure: {liquid_pressure}. The liquid line is at {line}. What is the "
        "subcooling?",
        kind="temperature_difference",
        parameters=(
            Parameter("liquid_pressure", "refrigerant_pressure", 1_450_000.0, 2_000_000.0, (1.0, 5.0)),
            Parameter("line", "temperature", 27.0, 46.0, LINE_STEP),
        ),
        solve=_blend_subcooling,
        limits=(1.5, 13.0),
        hints=(
            "A blend with glide has two saturation temperatures at one pressure: bubble and dew.",
            "Subcooling begins where the last vapour has condensed: at bubble.",
            "Bubble temperature less liquid line.",
        ),
        slips=(
            Slip("dew for bubble", lambda v, u: _dew(BLEND, v["liquid_pressure"]) - v["line"],
                 "That is counted from dew, where condensing begins. Subcooling begins where condensing ends: at bubble."),
            Slip("middle for bubble", lambda v, u: _middle(v["liquid_pressure"]) - v["line"],
                 "That is counted from the middle of bubble and dew. Subcooling begins where condensing ends: at bubble."),
            Slip("gauge for absolute", lambda v, u: float(bubble_temperature(BLEND, v["liquid_pressure"])) - v["line"], GAUGE),
        ),
        source=SATURATION,
    ),
    QuestionKind(
        name="condensing_above_outdoor_air",
        needs=("R-410A",),
        lesson=7,
        title="Condensing above outdoor air",
        ask="A clinic's unit with R-410A, at sea level. Liquid pressure: {liquid_pressure}. Liquid line: {line}. Outdoor air: {outdoor}. How far is "
        "the condensing temperature above the outdoor air?",
        kind="temperature_difference",
        parameters=(
            LIQUID,
            Parameter("line", "temperature", 28.0, 46.0, LINE_STEP),
            Parameter("outdoor", "temperature", 24.0, 38.0, LINE_STEP),
        ),
        solve=_over_outdoor,
        limits=(5.0, 22.0),
        hints=(
            "Which temperature belongs to the liquid pressure, at saturation?",
            "One of the figures is not needed here.",
        ),
        slips=(
            Slip("liquid line for saturation", lambda v, u: v["line"] - v["outdoor"],
                 "That is the liquid line above the outdoor air. The liquid has been subcooled already: take the saturation temperature of the "
                 "liquid pressure."),
            Slip("subcooling", lambda v, u: float(subcooling(PLAIN, v["liquid_pressure"], v["line"], SEA_LEVEL_PRESSURE)),
                 "That is the subcooling: saturation less liquid line. Asked is saturation less outdoor air."),
            Slip("gauge for absolute", lambda v, u: _over_with_gauge_as_absolute(v), GAUGE),
        ),
        possible=lambda v: v["line"] > v["outdoor"] + 1,
        source=f"{SATURATION}; usual values: {PRACTICE}",
    ),
    QuestionKind(
        name="target_superheat_of_an_orifice",
        lesson=7,
        title="Target superheat of a fixed orifice",
        ask="An old unit in a school has a fixed orifice, and its maker's table is lost. Return air: {return_dry_bulb} dry bulb and {return_wet_bulb} "
        "wet bulb. Outdoors: {outdoor}. What is the target superheat, by the rule of thumb?",
        kind="temperature_difference",
        parameters=(*TARGET_PLACES, Parameter("return_dry_bulb", "temperature", 21.0, 28.0, (1.0, 0.5))),
        solve=_orifice_target,
        limits=(LOWEST_TARGET, 17.0),
        hints=(
            "The rule takes return wet bulb and outdoor dry bulb.",
            "In °F: three times the wet bulb, less 80, less the outdoor dry bulb; half of that.",
            "In °C: 1.5 times the wet bulb, less 0.5 times the outdoor dry bulb, less 4.44.",
        ),
        slips=(
            Slip("dry bulb for wet bulb", lambda v, u: _target(v, v["return_dry_bulb"]),
                 "The return dry bulb went into the rule. It wants the wet bulb, which says how much the coil has to do."),
            Slip("not halved", lambda v, u: 2 * _target(v, v["return_wet_bulb"]),
                 "That is twice the target: halve it at the end.", ("IP",)),
            Slip("°C in a rule for °F", lambda v, u: _celsius_in_the_rule(v),
                 "The rule with 80 in it is for °F. Use the one for °C, or turn the temperatures first.", ("SI",)),
            Slip("°F for K", lambda v, u: 1.8 * _target(v, v["return_wet_bulb"]),
                 "Those are degrees Fahrenheit. Divide by 1.8 for K.", ("SI",)),
        ),
        possible=lambda v: v["return_dry_bulb"] - v["return_wet_bulb"] > 3.5,
        source=f"{PRACTICE}; a maker's table stands above it",
    ),
    QuestionKind(
        name="superheat_gained_on_the_way",
        needs=("R-410A",),
        lesson=7,
        title="Superheat gained on the way",
        ask="A long suction line crosses a hot roof. R-410A, suction pressure {suction_pressure} at sea level. The line is at {at_coil} where it leaves "
        "the coil, and at {at_unit} where it reaches the outdoor unit. How much of the superheat at the outdoor unit was gained on the way?",
        kind="temperature_difference",
        parameters=(
            SUCTION,
            Parameter("at_coil", "temperature", 4.0, 18.0, LINE_STEP),
            Parameter("at_unit", "temperature", 8.0, 26.0, LINE_STEP),
        ),
        solve=_on_the_way,
        limits=(1.5, 12.0),
        hints=(
            "Superheat at both places is counted from the same saturation temperature.",
            "So what was gained is the difference of the two.",
        ),
        slips=(
            Slip("superheat at the outdoor unit",
                 lambda v, u: float(superheat(PLAIN, v["suction_pressure"], v["at_unit"], SEA_LEVEL_PRESSURE)),
                 "That is the whole superheat at the outdoor unit. A part of it was there already when the gas left the coil."),
            Slip("superheat at the coil",
                 lambda v, u: float(superheat(PLAIN, v["suction_pressure"], v["at_coil"], SEA_LEVEL_PRESSURE)),
                 "That is the superheat at the coil. Asked is what came to it on the way."),
        ),
        possible=lambda v: 1.5 < v["at_coil"] - _dew(PLAIN, v["suction_pressure"]) < 11,
        source=SATURATION,
    ),
)  # fmt: skip

REFRIGERANT = (*REFRIGERANT_NUMBERS, *REFRIGERANT_CHOICES)
