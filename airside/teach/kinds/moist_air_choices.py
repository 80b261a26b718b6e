"""Questions of lesson 1 that are answered by choosing; which answer is right is computed."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.air.state import MoistAir
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

FUNDAMENTALS = "ASHRAE Handbook—Fundamentals (2017) ch. 1"
# What is closer than this is equal, for the eye and for a chart [fraction].
EQUAL = 1e-6
# Two humidity ratios or enthalpies that a trainee is asked to tell apart lie at least this far apart [fraction].
APART = 0.06


def _air(
    values: Values,
    dry_bulb: str = "dry_bulb",
    humidity: str = "relative_humidity",
    pressure: float = SEA_LEVEL_PRESSURE,
) -> MoistAir:
    return MoistAir.from_relative_humidity(values[dry_bulb], values[humidity], pressure)


def _low_and_high(values: Values) -> tuple[MoistAir, MoistAir]:
    return _air(values), _air(values, pressure=float(standard_atmosphere_pressure(values["elevation"])))


def _larger(first: float, second: float) -> float:
    """0 where the first is larger, 1 where the second is, 2 where they are equal."""
    if math.isclose(first, second, rel_tol=EQUAL):
        return 2.0
    return 0.0 if first > second else 1.0


def _humidity_ratio_up_high(values: Values) -> Solution:
    low, high = _low_and_high(values)
    return Solution(_larger(float(low.humidity_ratio), float(high.humidity_ratio)), (
        Step("Humidity ratio at sea level", float(low.humidity_ratio), "humidity_ratio"),
        Step("Humidity ratio at that elevation", float(high.humidity_ratio), "humidity_ratio"),
    ))  # fmt: skip


def _dew_point_up_high(values: Values) -> Solution:
    low, high = _low_and_high(values)
    return Solution(_larger(float(low.dew_point), float(high.dew_point)), (
        Step("Dew point at sea level", float(low.dew_point), "temperature"),
        Step("Dew point at that elevation", float(high.dew_point), "temperature"),
    ))  # fmt: skip


def _through_the_coil(values: Values) -> tuple[float, float]:
    before, after = (
        _air(values, "return_dry_bulb", "return_humidity"),
        _air(values, "supply_dry_bulb", "supply_humidity"),
    )
    return float(before.humidity_ratio), float(after.humidity_ratio)


def _coil_and_water(values: Values) -> Solution:
    before, after = _through_the_coil(values)
    return Solution(0.0 if before > after else 1.0, (
        Step("Humidity ratio of the return air", before, "humidity_ratio"),
        Step("Humidity ratio of the supply air", after, "humidity_ratio"),
    ))  # fmt: skip


def _sweating(values: Values) -> Solution:
    dew_point = float(_air(values).dew_point)
    return Solution(0.0 if values["surface"] < dew_point else 1.0, (
        Step("Dew point of the room's air", dew_point, "temperature"),
        Step("Temperature of the duct's outside", values["surface"], "temperature"),
    ))  # fmt: skip


def _two_airs(values: Values) -> tuple[float, float]:
    warm, damp = _air(values, "warm", "warm_humidity"), _air(values, "cool", "cool_humidity")
    return float(warm.enthalpy), float(damp.enthalpy)


def _more_heat(values: Values) -> Solution:
    warm, damp = _two_airs(values)
    return Solution(_larger(warm, damp), (
        Step("Enthalpy of the warm, dry air", warm, "enthalpy"),
        Step("Enthalpy of the cooler, damp air", damp, "enthalpy"),
    ))  # fmt: skip


def _on_the_chart(values: Values) -> Solution:
    before = _air(values)
    after = MoistAir.from_humidity_ratio(values["dry_bulb"] + values["rise"], before.humidity_ratio, SEA_LEVEL_PRESSURE)
    level = math.isclose(float(before.humidity_ratio), float(after.humidity_ratio), rel_tol=EQUAL)
    return Solution(0.0 if level else 1.0, (
        Step("Humidity ratio before the heater", float(before.humidity_ratio), "humidity_ratio"),
        Step("Humidity ratio after it", float(after.humidity_ratio), "humidity_ratio"),
        Step("Relative humidity after it", float(after.relative_humidity), "relative_humidity"),
    ))  # fmt: skip


def _between(values: Values) -> Solution:
    air = _air(values)
    ordered = sorted((float(air.dew_point), float(air.wet_bulb), float(air.dry_bulb)))
    return Solution(float(2 - ordered.index(float(air.wet_bulb))), (
        Step("Dry bulb", float(air.dry_bulb), "temperature"),
        Step("Wet bulb", float(air.wet_bulb), "temperature"),
        Step("Dew point", float(air.dew_point), "temperature"),
    ))  # fmt: skip


def _are_apart(first: float, second: float) -> bool:
    return abs(first - second) > APART * max(abs(first), abs(second))


DRY_BULB = Parameter("dry_bulb", "temperature", 20.0, 28.0, (1.0, 0.5))
RELATIVE_HUMIDITY = Parameter("relative_humidity", "relative_humidity", 0.35, 0.65, (1.0, 1.0))
ELEVATION = Parameter("elevation", "elevation", 1200.0, 2400.0, (100.0, 50.0))
TWO_BUILDINGS = (
    "Two libraries keep their reading rooms at {dry_bulb} and {relative_humidity} relative humidity. One stands at sea level, the other at "
    "{elevation}. "
)

MOIST_AIR_CHOICES = (
    QuestionKind(
        name="humidity_ratio_higher_up",
        lesson=1,
        title="Humidity ratio higher up",
        ask=TWO_BUILDINGS + "Whose air has the larger humidity ratio?",
        kind="count",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY, ELEVATION),
        solve=_humidity_ratio_up_high,
        limits=(0, 2),
        hints=(
            "Both airs have the same vapour pressure. What is different about the dry air around it?",
            "Humidity ratio is water by dry air. Where is there less dry air?",
        ),
        options=("That of the library at sea level", "That of the library higher up", "They are equal"),
        because=(
            "Both have the same vapour pressure, but at sea level there is more dry air around it. So the water is a smaller share there.",
            "The vapour pressure is the same in both, and higher up there is less dry air around it. So each pound or kilogram of dry air "
            "has more water.",
            "Relative humidity and vapour pressure are equal, humidity ratio is not: it sets the water against the dry air, and there is "
            "less dry air higher up.",
        ),
        source=f"{FUNDAMENTALS}, Eq. 3 and 20",
    ),
    QuestionKind(
        name="dew_point_higher_up",
        lesson=1,
        title="Dew point higher up",
        ask=TWO_BUILDINGS + "Whose air has the higher dew point?",
        kind="count",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY, ELEVATION),
        solve=_dew_point_up_high,
        limits=(0, 2),
        hints=(
            "At which vapour pressure is air saturated? Ask the table: does it need to know the elevation?",
            "The dew point goes with the vapour pressure alone.",
        ),
        options=("That of the library at sea level", "That of the library higher up", "They are equal"),
        because=(
            "The dew point goes with the vapour pressure. Dry bulb and relative humidity set that, and they are the same in both rooms.",
            "It is the humidity ratio that is larger higher up. The dew point goes with the vapour pressure, which is the same in both rooms.",
            "Dry bulb and relative humidity set the vapour pressure, and the vapour pressure alone sets the dew point. The barometer has "
            "no say in it.",
        ),
        source=f"{FUNDAMENTALS}, Eq. 12 and 36",
    ),
    QuestionKind(
        name="has_the_coil_taken_water",
        needs=("saturation",),
        lesson=1,
        title="What the coil did to the water",
        ask="A cooling coil in a laundry has run steadily for an hour. Return air: {return_dry_bulb} and {return_humidity} relative humidity. "
        "Supply air: {supply_dry_bulb} and {supply_humidity}. What do the readings say?",
        kind="count",
        parameters=(
            Parameter("return_dry_bulb", "temperature", 22.0, 28.0, (0.5, 0.5)),
            Parameter("return_humidity", "relative_humidity", 0.35, 0.60, (1.0, 1.0)),
            Parameter("supply_dry_bulb", "temperature", 11.0, 17.0, (0.5, 0.5)),
            Parameter("supply_humidity", "relative_humidity", 0.80, 0.95, (1.0, 1.0)),
        ),
        solve=_coil_and_water,
        limits=(0, 2),
        hints=(
            "Compare the water itself: humidity ratio or dew point, before and after.",
            "Vapour pressure will do too: relative humidity times the saturation pressure at each dry bulb.",
        ),
        options=(
            "The coil took water out of the air",
            "The readings cannot both be right: the air would have gained water",
            "The coil added water, because the relative humidity rose",
        ),
        because=(
            "A coil takes water out where the supply air has the smaller humidity ratio. Work out both and compare.",
            "A cooling coil that runs steadily adds no water. Where the supply air has the larger humidity ratio, a probe is wrong, or sits in drops. Work "
            "out both and compare.",
            "Relative humidity rises in any air that is cooled, even while it loses water. Compare humidity ratios or dew points.",
        ),
        possible=lambda v: _are_apart(*_through_the_coil(v)),
        source=f"{FUNDAMENTALS}, Eq. 20",
    ),
    QuestionKind(
        name="will_the_duct_sweat",
        needs=("saturation",),
        lesson=1,
        title="Will the duct sweat?",
        ask="A bare supply duct crosses the kitchen of a bakery. The air there is at {dry_bulb} and {relative_humidity} relative humidity; "
        "the outside of the duct is at {surface}. Does the duct sweat?",
        kind="count",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY, Parameter("surface", "temperature", 9.0, 18.0, (1.0, 0.5))),
        solve=_sweating,
        limits=(0, 2),
        hints=("Work out the dew point of the air in the kitchen.", "Then compare it with the temperature of the duct's outside."),
        options=("Yes", "No", "Only if the air around it is saturated"),
        because=(
            "A surface sweats when it is colder than the dew point of the air around it. Work out the dew point and compare.",
            "A surface stays dry as long as it is warmer than the dew point of the air around it. Work out the dew point and compare.",
            "The room's air need not be saturated. It is enough that the thin layer at the duct is cooled below the dew point.",
        ),
        possible=lambda v: abs(v["surface"] - float(_air(v).dew_point)) > 0.8,
        source=f"{FUNDAMENTALS}, definition of dew point",
    ),
    QuestionKind(
        name="which_air_holds_more_heat",
        needs=("chart",),
        lesson=1,
        title="Which air holds more heat?",
        ask="On two days a museum at sea level takes in outdoor air. Day one: {warm} and {warm_humidity} relative humidity. Day two: {cool} and "
        "{cool_humidity}. On which day does each pound or kilogram of dry air hold more heat?",
        kind="count",
        parameters=(
            Parameter("warm", "temperature", 32.0, 40.0, (1.0, 0.5)),
            Parameter("warm_humidity", "relative_humidity", 0.08, 0.30, (1.0, 1.0)),
            Parameter("cool", "temperature", 23.0, 29.0, (1.0, 0.5)),
            Parameter("cool_humidity", "relative_humidity", 0.60, 0.90, (1.0, 1.0)),
        ),
        solve=_more_heat,
        limits=(0, 1),
        hints=(
            "Heat in air has two parts: that of its temperature and that of its moisture.",
            "Find both states on the chart and read the enthalpies.",
        ),
        options=("On day one", "On day two", "It cannot be told without a barometer"),
        because=(
            "A higher dry bulb alone does not decide it: the moisture holds heat too. Read both enthalpies and compare.",
            "Moisture holds much heat, but dry bulb counts as well. Read both enthalpies and compare.",
            "The place is named: sea level. Dry bulb, relative humidity and barometer together fix the enthalpy.",
        ),
        possible=lambda v: _are_apart(*_two_airs(v)),
        source=f"{FUNDAMENTALS}, Eq. 30",
    ),
    QuestionKind(
        name="heating_on_the_chart",
        needs=("chart",),
        lesson=1,
        title="Heating on the chart",
        ask="Air at {dry_bulb} and {relative_humidity} relative humidity passes an electric heater and becomes {rise} warmer. Which way does "
        "its point move on the chart?",
        kind="count",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY, Parameter("rise", "temperature_difference", 5.0, 15.0, (1.0, 0.5))),
        solve=_on_the_chart,
        limits=(0, 3),
        hints=("Does the heater add water?", "Humidity ratio goes up the chart, dry bulb to the right."),
        options=(
            "Level, to the right",
            "Up, to the right",
            "Along its line of relative humidity",
            "Down, to the right along its wet-bulb line",
        ),
        because=(
            "No water is added, so the humidity ratio stays; only the dry bulb rises. The relative humidity falls.",
            "Up would mean more water. An electric heater adds none.",
            "At the same relative humidity warmer air holds more water. A heater adds none, so the relative humidity falls.",
            "Down would mean less water. A heater takes none away.",
        ),
        source=f"{FUNDAMENTALS}, moist air sensible heating",
    ),
    QuestionKind(
        name="which_one_is_the_wet_bulb",
        lesson=1,
        title="Three temperatures of one air",
        ask="The air in a school hall is at {dry_bulb} and {relative_humidity} relative humidity. Somebody has written down its dry bulb, wet "
        "bulb and dew point without saying which is which. Which one is the wet bulb?",
        kind="count",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY),
        solve=_between,
        limits=(0, 2),
        hints=(
            "What happens to a wet wick in moving air: does it become warmer or colder than the air?",
            "It cools below the air, but not as far as the dew point.",
        ),
        options=("The highest", "The one in the middle", "The lowest"),
        because=(
            "The highest is the dry bulb. A wick that dries is colder than the air.",
            "A wick cools as its water dries, so it is below the dry bulb; and the air keeps warming it, so it stays above the dew point.",
            "The lowest is the dew point. The air warms a wick, so the wick never becomes that cold.",
        ),
        source=f"{FUNDAMENTALS}, definitions",
    ),
)  # fmt: skip
