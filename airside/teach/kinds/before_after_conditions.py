"""Questions of lesson 9 about conditions: what weather and return air do by themselves, and how to bring two visits together."""

from __future__ import annotations

import numpy as np

from airside.compare.correction import Correction
from airside.compare.curves import AIR_CONDITIONER, SLOPE_DOUBT
from airside.compare.reference import Conditions
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside, from_inside, show

NREL = (
    "NREL/TP-5500-56354 (2013): Cutler, Winkler, Kruis, Christensen, Brandemuehl, Improved Modeling of Residential Air Conditioners and Heat "
    "Pumps for Energy Calculations"
)
# The flow stays; any will do.
CORRECTION = Correction(AIR_CONDITIONER, 1.0, False)
# Where the questions' short tables stand [°C]: round in both scales, so near to each other that a proportion will do.
WET_BULB = 17.0
OUTDOOR_ROWS = (25.0, 30.0, 35.0, 40.0)
OUTDOOR = 30.0
WET_BULB_ROWS = (16.0, 17.0, 18.0, 19.0, 20.0)


def _curve(wet_bulb: float, outdoor: float) -> float:
    return float(AIR_CONDITIONER.capacity_ratio(wet_bulb, outdoor))


def _factor(here: Conditions, to: Conditions) -> float:
    """Factor on a capacity that brings it from conditions to conditions, by the library."""
    return float(CORRECTION.apply("capacity", CORRECTION.factors("capacity", here, 1.0, to, 1.0), {}))


def _both(temperature: float) -> str:
    ip, si = (show(temperature, "temperature", units, decimals=0) for units in ("IP", "SI"))
    return f"{ip} ({si})"


def _precisely(temperature: float) -> str:
    return f"{show(temperature, 'temperature', 'IP')} ({show(temperature, 'temperature', 'SI', decimals=0)})"


OUTDOOR_TABLE = (
    f"The rating curve of such units, at {_precisely(WET_BULB)} return wet bulb, is "
    + ", ".join(f"{_curve(WET_BULB, t):.3f} at {_both(t)}" for t in OUTDOOR_ROWS)
    + " outdoors; in between go by proportion."
)
WET_BULB_TABLE = (
    f"The rating curve of such units, at {_both(OUTDOOR)} outdoors, is "
    + ", ".join(f"{_curve(t, OUTDOOR):.3f} at {_precisely(t)}" for t in WET_BULB_ROWS)
    + " return wet bulb; in between go by proportion."
)


def _at(outdoor: float) -> Conditions:
    return Conditions("", WET_BULB, outdoor)


def _wet(wet_bulb: float) -> Conditions:
    return Conditions("", wet_bulb, OUTDOOR)


def _weather(values: Values) -> float:
    """What the weather alone does from the first day to the second [fraction]."""
    return _factor(_at(values["outdoor_before"]), _at(values["outdoor_after"])) - 1


def _weather_alone(values: Values) -> Solution:
    return Solution(_weather(values), (
        Step("Curve on the first day", _curve(WET_BULB, values["outdoor_before"]), "fraction", (4, 4)),
        Step("Curve on the second day", _curve(WET_BULB, values["outdoor_after"]), "fraction", (4, 4)),
        Step("Second over first, less one", _weather(values), "percentage", written="{-1} ÷ {-2} − 1"),
    ))  # fmt: skip


def _degrees(values: Values, units: UnitSystem) -> float:
    fall = values["outdoor_before"] - values["outdoor_after"]
    return float(difference_from_inside(fall, "temperature_difference", units)) / 100


def _of_the_temperature(values: Values, units: UnitSystem) -> float:
    before, after = (float(from_inside(values[f"outdoor_{n}"], "temperature", units)) for n in ("before", "after"))
    return before / after - 1


def _same_outdoors(values: Values, back: float = 1.0) -> float:
    """Relative change with the after brought to the outdoor temperature of the before; ``back`` -1 goes the wrong way."""
    factor = _factor(_at(values["outdoor_after"]), _at(values["outdoor_before"])) ** back
    return float(values["after"] * factor / values["before"] - 1)


def _to_the_same_outdoors(values: Values) -> Solution:
    factor = _factor(_at(values["outdoor_after"]), _at(values["outdoor_before"]))
    return Solution(_same_outdoors(values), (
        Step("Curve at the outdoor temperature of the before visit", _curve(WET_BULB, values["outdoor_before"]), "fraction", (4, 4)),
        Step("Curve at that of the after visit", _curve(WET_BULB, values["outdoor_after"]), "fraction", (4, 4)),
        Step("Capacity after, at the conditions of the before visit: times the first over the second", values["after"] * factor, "capacity",
             written="{after} × {-2} ÷ {-1}"),
        Step("That over the capacity before, less one", _same_outdoors(values), "percentage", written="{-1} ÷ {before} − 1"),
    ))  # fmt: skip


def _dried(values: Values, back: float = 1.0) -> float:
    """Capacity after, brought to the return wet bulb of the before [W]."""
    factor = _factor(_wet(values["wet_bulb_after"]), _wet(values["wet_bulb_before"]))
    return float(values["after"] * factor**back)


def _to_the_same_return(values: Values) -> Solution:
    return Solution(_dried(values), (
        Step("Curve at the return wet bulb of the before visit", _curve(values["wet_bulb_before"], OUTDOOR), "fraction", (4, 4)),
        Step("Curve at that of the after visit", _curve(values["wet_bulb_after"], OUTDOOR), "fraction", (4, 4)),
        Step("Capacity after times the first over the second", _dried(values), "capacity", written="{after} × {-2} ÷ {-1}"),
    ))  # fmt: skip


def _by_temperatures(values: Values, units: UnitSystem) -> float:
    before, after = (float(from_inside(values[f"wet_bulb_{n}"], "temperature", units)) for n in ("before", "after"))
    return float(values["after"] * before / after)


def _work(values: Values) -> float:
    return float((1 + values["raw"]) / (1 + values["weather"]) - 1)


def _work_alone(values: Values) -> Solution:
    return Solution(_work(values), (
        Step("After over before, as measured", 1 + values["raw"], "fraction", written="1 + {raw:fraction}"),
        Step("What the weather alone would make of it", 1 + values["weather"], "fraction", written="1 + {weather:fraction}"),
        Step("The one over the other, less one", _work(values), "percentage", written="{-2} ÷ {-1} − 1"),
    ))  # fmt: skip


def _slope(values: Values) -> float:
    """Doubt of the correction [fraction of the capacity]: the library's own part of its logarithm."""
    factors = CORRECTION.factors("capacity", _at(values["outdoor_after"]), 1.0, _at(values["outdoor_before"]), 1.0)
    return abs(float(np.asarray(factors["outdoor"]))) * SLOPE_DOUBT


def _doubt_of_correction(values: Values) -> Solution:
    correction = abs(_factor(_at(values["outdoor_after"]), _at(values["outdoor_before"])) - 1)
    return Solution(_slope(values), (
        Step("Curve at the outdoor temperature of the before visit", _curve(WET_BULB, values["outdoor_before"]), "fraction", (4, 4)),
        Step("Curve at that of the after visit", _curve(WET_BULB, values["outdoor_after"]), "fraction", (4, 4)),
        Step("Correction: how far the first over the second is from one", correction, "percentage", (2, 2), written="1 − {-2} ÷ {-1}"),
        Step("Half of it, taken of the logarithm of the ratio, which is nearly the same", _slope(values), "percentage",
             written="ln({-2} ÷ {-3}) ÷ 2"),
    ))  # fmt: skip


def _one_over_two(values: Values) -> bool:
    return bool(values["outdoor_before"] > values["outdoor_after"] + 2.5)


WARM = Parameter("outdoor_before", "temperature", 30.0, 40.0, (1.0, 0.5))
COOL = Parameter("outdoor_after", "temperature", 25.0, 34.0, (1.0, 0.5))

BEFORE_AFTER_CONDITIONS = (
    QuestionKind(
        name="what_the_weather_alone_does",
        lesson=9,
        title="What the weather alone does",
        ask="Nothing is done to a laundry's unit. Outdoors it is {outdoor_before} on the first day and {outdoor_after} on the second; the return air stays. "
        f"{OUTDOOR_TABLE} By how many percent does the capacity rise, by the weather alone?",
        kind="percentage",
        parameters=(WARM, COOL),
        solve=_weather_alone,
        limits=(0.012, 0.15),
        hints=(
            "Find the curve's value for each day. Between two rows, go the same share of the way.",
            "Set the second day against the first.",
        ),
        slips=(
            Slip("degrees as percent", _degrees,
                 "A degree is not a percent. Find the curve's value for each day and set the second against the first."),
            Slip("percent of the temperature", _of_the_temperature,
                 "You set one temperature against the other. Use the curve: it says how the capacity goes with them."),
            Slip("second day alone", lambda v, u: _curve(WET_BULB, v["outdoor_after"]) - 1,
                 "That is the second day against rating conditions. Set it against the first day."),
        ),
        possible=_one_over_two,
        source=NREL,
    ),
    QuestionKind(
        name="change_at_the_same_outdoor_temperature",
        lesson=9,
        title="Brought to the same outdoor temperature",
        ask="A laundry's unit gave {before} before the work, at {outdoor_before} outdoors, and {after} after it, at {outdoor_after}. The return air was the same. "
        f"{OUTDOOR_TABLE} Bring the after to the outdoor temperature of the before. What is the change then, in percent?",
        kind="percentage",
        parameters=(
            Parameter("before", "capacity", 9.0e3, 14.0e3, (100.0, 0.05)),
            Parameter("after", "capacity", 10.0e3, 17.0e3, (100.0, 0.05)),
            Parameter("outdoor_before", "temperature", 33.0, 40.0, (1.0, 0.5)),
            Parameter("outdoor_after", "temperature", 25.0, 30.0, (1.0, 0.5)),
        ),
        solve=_to_the_same_outdoors,
        limits=(0.03, 0.25),
        hints=(
            "On the cooler day the unit gives more by itself. So the capacity after must come down.",
            "Times the curve at the before's temperature, over the curve at the after's.",
            "Only then compare with the capacity before.",
        ),
        slips=(
            Slip("raw change", lambda v, u: v["after"] / v["before"] - 1,
                 "That is the raw change. A part of it is the cooler day: bring the after to the before's temperature first."),
            Slip("wrong way", lambda v, u: _same_outdoors(v, -1.0),
                 "You corrected the wrong way. On the cooler day the unit gave more by itself, so the capacity after must come down."),
        ),
        source=NREL,
    ),
    QuestionKind(
        name="capacity_at_the_same_return_wet_bulb",
        lesson=9,
        title="Brought to the same return air",
        ask="A library's unit was measured at {wet_bulb_before} return wet bulb before the work, and gave {after} at {wet_bulb_after} after it. Outdoors it was the same. "
        f"{WET_BULB_TABLE} What would it have given after the work, at the return wet bulb of the before visit?",
        kind="capacity",
        parameters=(
            Parameter("wet_bulb_before", "temperature", 16.0, 17.6, (0.2, 0.1)),
            Parameter("wet_bulb_after", "temperature", 18.4, 20.0, (0.2, 0.1)),
            Parameter("after", "capacity", 10.0e3, 18.0e3, (100.0, 0.05)),
        ),
        solve=_to_the_same_return,
        limits=(8.0e3, 18.0e3),
        hints=(
            "Moister return air makes a unit give more by itself. So the figure must come down.",
            "Times the curve at the before's wet bulb, over the curve at the after's.",
        ),
        slips=(
            Slip("wrong way", lambda v, u: _dried(v, -1.0),
                 "You corrected the wrong way. The moister air of the after visit gave more by itself, so the figure must come down."),
            Slip("not corrected", lambda v, u: v["after"],
                 "That is the figure as measured. Bring it to the before's wet bulb."),
            Slip("temperatures for the curve", _by_temperatures,
                 "You used the wet bulbs themselves as the ratio. Use the curve's values at them."),
        ),
        source=NREL,
    ),
    QuestionKind(
        name="what_the_work_alone_did",
        lesson=9,
        title="What the work did",
        ask="Measured before and after, the capacity of a bakery's unit rose by {raw}. By the rating curve the cooler day alone makes {weather}. By how many percent did the work "
        "raise it?",
        kind="percentage",
        parameters=(
            Parameter("raw", "percentage", 0.15, 0.35, (0.5, 0.5), exact=True),
            Parameter("weather", "percentage", 0.05, 0.12, (0.5, 0.5), exact=True),
        ),
        solve=_work_alone,
        limits=(0.03, 0.29),
        hints=(
            "The two multiply: weather, and on top of it the work.",
            "So divide: one and the raw change, over one and the weather's.",
        ),
        slips=(
            Slip("percents taken off", lambda v, u: v["raw"] - v["weather"],
                 "You took one percent from the other. That is near, but they multiply: divide 1.2 by 1.08, say, not 20 less 8."),
            Slip("both multiplied", lambda v, u: (1 + v["raw"]) * (1 + v["weather"]) - 1,
                 "You put the weather on top. It is in the raw change already: divide by it."),
            Slip("raw change", lambda v, u: v["raw"],
                 "That is the raw change. A part of it is the weather: divide that out."),
        ),
        source="common practice, no source",
    ),
    QuestionKind(
        name="doubt_of_the_correction",
        lesson=9,
        title="What the correction costs",
        ask="The change of a laundry's unit is brought from {outdoor_after} outdoors, after, to {outdoor_before}, before. "
        f"{OUTDOOR_TABLE} The curve's slope is good to half of itself (standard uncertainty). How many percent of doubt does the correction bring?",
        kind="percentage",
        parameters=(
            Parameter("outdoor_before", "temperature", 30.0, 34.0, (1.0, 0.5)),
            Parameter("outdoor_after", "temperature", 25.0, 29.0, (1.0, 0.5)),
        ),
        solve=_doubt_of_correction,
        limits=(0.007, 0.034),
        hints=(
            "How large is the correction: the curve at the one temperature over that at the other?",
            "Its doubt is half of what it takes off.",
        ),
        slips=(
            Slip("the correction itself", lambda v, u: abs(_factor(_at(v["outdoor_after"]), _at(v["outdoor_before"])) - 1),
                 "That is the correction itself. Its doubt is half of it."),
            Slip("degrees as percent", _degrees,
                 "A degree is not a percent. Go by the curve, and take half of the correction.", ("IP",)),
        ),
        possible=lambda v: v["outdoor_before"] - v["outdoor_after"] > 2.0 and _slope(v) < 0.032,
        decimals=(1, 1),
        source="slope doubt found on one-minute readings of an unchanged laboratory heat pump (NIST facility, US DOE EE-0009153); curve: " + NREL,
    ),
)  # fmt: skip
