"""Questions of lesson 1: moist air. One humidity from another here; heat and altitude, and choices, in modules of their own."""

from __future__ import annotations

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.air.state import MoistAir
from airside.teach.kinds.moist_air_choices import MOIST_AIR_CHOICES
from airside.teach.kinds.moist_air_heat import MOIST_AIR_HEAT
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, to_input, to_inside

FUNDAMENTALS = "ASHRAE Handbook—Fundamentals (2017) ch. 1"


def _pressure(values: Values) -> float:
    """Of the elevation; of sea level where the question names none."""
    return float(standard_atmosphere_pressure(values["elevation"])) if "elevation" in values else SEA_LEVEL_PRESSURE


def _saturation(values: Values) -> float:
    return float(properties.saturation_pressure(values["dry_bulb"]))


def _by_relative_humidity(values: Values, pressure: float | None = None) -> MoistAir:
    return MoistAir.from_relative_humidity(
        values["dry_bulb"], values["relative_humidity"], _pressure(values) if pressure is None else pressure
    )


def _by_wet_bulb(values: Values, wet_bulb: float, pressure: float) -> MoistAir:
    return MoistAir.from_wet_bulb(values["dry_bulb"], wet_bulb, pressure, impossible="nan")


def _barometer(pressure: float) -> Step:
    # In the unit of the vapour pressure, so that the two can be set against each other.
    return Step("Barometric pressure of this elevation, from the standard atmosphere", pressure, "vapour_pressure")


def _vapour_pressure(values: Values) -> Solution:
    vapour = float(_by_relative_humidity(values).vapour_pressure)
    return Solution(vapour, (
        Step("Saturation pressure of water at the dry bulb, from the table", _saturation(values), "vapour_pressure"),
        Step("Vapour pressure: relative humidity, as a fraction, times saturation pressure", vapour, "vapour_pressure",
             written="{relative_humidity:fraction} × {-1}"),
    ))  # fmt: skip


def _ratio_steps(ratio: float, vapour: float, pressure: float) -> tuple[Step, ...]:
    grains = "The same in grains for a pound (times 7,000), or in grams for a kilogram (times 1,000)"
    return (
        Step("Pressure of the dry air: barometric less vapour pressure", pressure - vapour, "vapour_pressure", written="{1} − {-1}"),
        Step("Humidity ratio, mass by mass: 0.622 times vapour pressure over dry-air pressure", ratio, "fraction", (5, 5),
             written="0.622 × {-2} ÷ {-1}"),
        Step(grains, ratio, "humidity_ratio", written=("{-1} × 7,000 gr/lb", "{-1} × 1,000 g/kg")),
    )  # fmt: skip


def _humidity_ratio(values: Values) -> Solution:
    air, pressure = _by_relative_humidity(values), _pressure(values)
    ratio, vapour = float(air.humidity_ratio), float(air.vapour_pressure)
    return Solution(ratio, (
        _barometer(pressure),
        Step("Saturation pressure of water at the dry bulb, from the table", _saturation(values), "vapour_pressure"),
        Step("Vapour pressure: relative humidity, as a fraction, times saturation pressure", vapour, "vapour_pressure",
             written="{relative_humidity:fraction} × {-1}"),
        *_ratio_steps(ratio, vapour, pressure),
    ))  # fmt: skip


def _dew_point(values: Values) -> Solution:
    air = _by_relative_humidity(values)
    return Solution(float(air.dew_point), (
        Step("Saturation pressure of water at the dry bulb, from the table", _saturation(values), "vapour_pressure"),
        Step("Vapour pressure: relative humidity times saturation pressure", float(air.vapour_pressure), "vapour_pressure",
             written="{relative_humidity:fraction} × {-1}"),
        Step("Dew point: the temperature in the table that has this as its saturation pressure", float(air.dew_point), "temperature"),
    ))  # fmt: skip


def _relative_humidity(values: Values) -> Solution:
    air = MoistAir.from_dew_point(values["dry_bulb"], values["dew_point"], SEA_LEVEL_PRESSURE)
    return Solution(float(air.relative_humidity), (
        Step("Vapour pressure: the saturation pressure at the dew point, from the table", float(air.vapour_pressure), "vapour_pressure"),
        Step("Saturation pressure at the dry bulb, from the table", _saturation(values), "vapour_pressure"),
        Step("Relative humidity: the first over the second", float(air.relative_humidity), "relative_humidity", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _ratio_of_temperatures(values: Values, units: UnitSystem) -> float:
    return float(
        to_input(values["dew_point"], "temperature", units) / to_input(values["dry_bulb"], "temperature", units)
    )


def _humidity_ratio_of_dew_point(values: Values) -> Solution:
    pressure = _pressure(values)
    vapour = float(properties.saturation_pressure(values["dew_point"]))
    ratio = float(properties.saturation_humidity_ratio(values["dew_point"], pressure))
    return Solution(ratio, (
        _barometer(pressure),
        Step("Vapour pressure: the saturation pressure at the dew point, from the table", vapour, "vapour_pressure"),
        *_ratio_steps(ratio, vapour, pressure),
    ))  # fmt: skip


def _wet_bulb(values: Values) -> Solution:
    air = _by_relative_humidity(values)
    return Solution(float(air.wet_bulb), (
        Step("Find the dry bulb and the relative humidity on the chart; the humidity ratio there is",
             float(air.humidity_ratio), "humidity_ratio"),
        Step("Follow the wet-bulb line up to saturation and read the temperature there", float(air.wet_bulb), "temperature"),
    ))  # fmt: skip


def _relative_humidity_of_wet_bulb(values: Values) -> Solution:
    air = _by_wet_bulb(values, values["wet_bulb"], _pressure(values))
    return Solution(float(air.relative_humidity), (
        Step("Barometric pressure of this elevation: choose the chart that is drawn for it", _pressure(values), "barometric_pressure"),
        Step("Follow the wet-bulb line down to the dry bulb; the humidity ratio there is", float(air.humidity_ratio), "humidity_ratio"),
        Step("Read the relative humidity at that point", float(air.relative_humidity), "relative_humidity"),
    ))  # fmt: skip


DRY_BULB = Parameter("dry_bulb", "temperature", 20.0, 28.0, (0.5, 0.5))
RELATIVE_HUMIDITY = Parameter("relative_humidity", "relative_humidity", 0.30, 0.65, (1.0, 1.0))
ELEVATION = Parameter("elevation", "elevation", 900.0, 2400.0, (100.0, 50.0))

HUMIDITIES = (
    QuestionKind(
        name="vapour_pressure_of_room_air",
        needs=("saturation",),
        lesson=1,
        title="Vapour pressure from dry bulb and relative humidity",
        ask="A museum keeps its store room at {dry_bulb} and {relative_humidity} relative humidity. What is the pressure of the "
        "water vapour in the room's air?",
        kind="vapour_pressure",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY),
        solve=_vapour_pressure,
        limits=(600.0, 2600.0),
        hints=(
            "The table of saturation pressures says how much vapour pressure air can have at this dry bulb.",
            "Relative humidity is a share of that. Write the percent as a fraction: 45 % is 0.45.",
        ),
        slips=(
            Slip("relative humidity as percent", lambda v, u: 100.0 * v["relative_humidity"] * _saturation(v),
                 "The percent was used as it stands. 45 % means 45 of a hundred: write 0.45 before you multiply."),
            Slip("saturated air", lambda v, u: _saturation(v),
                 "That is the saturation pressure: the most that is possible at this dry bulb. The air has only its relative "
                 "humidity of that."),
            Slip("what is missing to saturation", lambda v, u: (1.0 - v["relative_humidity"]) * _saturation(v),
                 "That is what is missing to saturation. The vapour that is there is the other share: the relative humidity itself."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 12; saturation pressure Eq. 6",
    ),
    QuestionKind(
        name="humidity_ratio_at_altitude",
        needs=("saturation", "elevation"),
        lesson=1,
        title="Humidity ratio from dry bulb and relative humidity, at altitude",
        ask="A building stands at {elevation}. The return air is at {dry_bulb} and {relative_humidity} relative humidity. "
        "What is its humidity ratio?",
        kind="humidity_ratio",
        parameters=(
            ELEVATION,
            Parameter("dry_bulb", "temperature", 21.0, 29.0, (0.5, 0.5)),
            Parameter("relative_humidity", "relative_humidity", 0.35, 0.65, (1.0, 1.0)),
        ),
        solve=_humidity_ratio,
        limits=(0.005, 0.025),
        hints=(
            "Which pressure does the building have? It is lower than at sea level.",
            "Relative humidity is a share of the saturation pressure at the dry bulb.",
            "Humidity ratio is 0.622 times vapour pressure over the rest of the barometric pressure.",
        ),
        slips=(
            Slip("sea-level pressure at altitude", lambda v, u: float(_by_relative_humidity(v, SEA_LEVEL_PRESSURE).humidity_ratio),
                 "That would be right at sea level. At this elevation the barometer is lower, so the same vapour pressure "
                 "is a larger share of it. Take the pressure of the elevation."),
            Slip("saturated air", lambda v, u: float(properties.saturation_humidity_ratio(v["dry_bulb"], _pressure(v))),
                 "That is the humidity ratio of saturated air at this dry bulb. The air holds only its relative humidity of that."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 3, 20 and 22",
    ),
    QuestionKind(
        name="humidity_ratio_from_dew_point",
        needs=("saturation", "elevation"),
        lesson=1,
        title="Humidity ratio from dew point, at altitude",
        ask="A dew-point sensor in the return duct of a clinic shows {dew_point}. The clinic stands at {elevation}. What is the "
        "humidity ratio of the air?",
        kind="humidity_ratio",
        parameters=(ELEVATION, Parameter("dew_point", "temperature", 6.0, 17.0, (0.5, 0.5))),
        solve=_humidity_ratio_of_dew_point,
        limits=(0.005, 0.018),
        hints=(
            "At its dew point air is saturated. So the table gives its vapour pressure at once.",
            "Humidity ratio is 0.622 times vapour pressure over (barometric less vapour pressure).",
            "Take the barometric pressure of the elevation.",
        ),
        slips=(
            Slip("sea-level pressure at altitude", lambda v, u: float(properties.saturation_humidity_ratio(v["dew_point"], SEA_LEVEL_PRESSURE)),
                 "That would be right at sea level. The clinic's barometer is lower: take the pressure of its elevation."),
            Slip("0.622 left out", lambda v, u: float(properties.saturation_humidity_ratio(v["dew_point"], _pressure(v))) / properties.MASS_RATIO,
                 "Vapour pressure over dry-air pressure counts molecules. Water vapour is lighter than air: multiply by 0.622 to "
                 "come to masses."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 3, 20 and 36",
    ),
    QuestionKind(
        name="dew_point_from_relative_humidity",
        needs=("saturation",),
        lesson=1,
        title="Dew point from dry bulb and relative humidity",
        ask="A library at sea level keeps its book store at {dry_bulb} and {relative_humidity} relative humidity. A cold pipe runs "
        "through the room. At what surface temperature does it begin to sweat?",
        kind="temperature",
        parameters=(DRY_BULB, RELATIVE_HUMIDITY),
        solve=_dew_point,
        limits=(1.0, 20.0),
        hints=(
            "A surface begins to sweat at the dew point of the air around it.",
            "Find the vapour pressure of the air first: relative humidity times the saturation pressure at the dry bulb.",
            "Then go to the table once more, the other way round: which temperature has this saturation pressure?",
        ),
        slips=(
            Slip("wet bulb for dew point", lambda v, u: float(_by_relative_humidity(v).wet_bulb),
                 "That is the wet bulb. A wet wick stays warmer than the dew point, because it takes heat from the air all the time. "
                 "A surface sweats only at the dew point."),
            Slip("share of the dry bulb",
                 lambda v, u: float(to_inside(v["relative_humidity"] * to_input(v["dry_bulb"], "temperature", u), "temperature", u)),
                 "Relative humidity is a share of the saturation pressure, not of the temperature. Go through the table of "
                 "saturation pressures.", ("IP",)),
        ),
        source=f"{FUNDAMENTALS}, Eq. 12 and 36",
    ),
    QuestionKind(
        name="relative_humidity_from_dew_point",
        needs=("saturation",),
        lesson=1,
        title="Relative humidity from dry bulb and dew point",
        ask="The air in a school hall is at {dry_bulb}. Its dew point is {dew_point}. What is its relative humidity?",
        kind="relative_humidity",
        parameters=(
            Parameter("dry_bulb", "temperature", 21.0, 28.0, (0.5, 0.5)),
            Parameter("dew_point", "temperature", 4.0, 17.0, (0.5, 0.5)),
        ),
        solve=_relative_humidity,
        limits=(0.2, 0.75),
        hints=(
            "The vapour pressure of the air is the saturation pressure at its dew point.",
            "Relative humidity is that over the saturation pressure at the dry bulb.",
        ),
        slips=(
            Slip("ratio of temperatures", _ratio_of_temperatures,
                 "Dew point over dry bulb says nothing: degrees are no amounts of water. Set the two saturation pressures against "
                 "each other."),
            Slip("dew point for wet bulb",
                 lambda v, u: float(_by_wet_bulb(v, v["dew_point"], SEA_LEVEL_PRESSURE).relative_humidity),
                 "The dew point was taken as a wet bulb. The vapour pressure is simply the saturation pressure at the dew point."),
        ),
        possible=lambda v: v["dry_bulb"] - v["dew_point"] > 5.0,
        source=f"{FUNDAMENTALS}, Eq. 12 and 36",
    ),
    QuestionKind(
        name="wet_bulb_from_relative_humidity",
        needs=("chart",),
        lesson=1,
        title="Wet bulb, read from the chart",
        ask="The return air of a bakery at sea level is at {dry_bulb} and {relative_humidity} relative humidity. Read its "
        "wet bulb from the chart, to the nearest degree. What is it?",
        kind="temperature",
        parameters=(Parameter("dry_bulb", "temperature", 20.0, 28.0, (1.0, 0.5)), RELATIVE_HUMIDITY),
        solve=_wet_bulb,
        limits=(8.0, 24.0),
        hints=(
            "Find the point on the chart: dry bulb below, then up to the line of the relative humidity.",
            "Go from there up and to the left along a wet-bulb line, as far as the saturation line.",
        ),
        slips=(
            Slip("dew point for wet bulb", lambda v, u: float(_by_relative_humidity(v).dew_point),
                 "That is the dew point: straight to the left at the same humidity ratio. The wet bulb lies along the slanted "
                 "wet-bulb line, and is higher."),
        ),
        decimals=(0, 0),
        source=f"{FUNDAMENTALS}, Eq. 33",
    ),
    QuestionKind(
        name="relative_humidity_from_wet_bulb",
        needs=("elevation", "chart"),
        lesson=1,
        title="Relative humidity from dry and wet bulb, at altitude",
        ask="In a gym at {elevation} a psychrometer shows {dry_bulb} dry bulb and {wet_bulb} wet bulb. What is the relative humidity?",
        kind="relative_humidity",
        parameters=(
            Parameter("elevation", "elevation", 1500.0, 2700.0, (100.0, 50.0)),
            Parameter("dry_bulb", "temperature", 23.0, 32.0, (0.2, 0.1)),
            Parameter("wet_bulb", "temperature", 11.0, 18.0, (0.2, 0.1)),
        ),
        solve=_relative_humidity_of_wet_bulb,
        limits=(0.12, 0.6),
        hints=(
            "Use a chart for the pressure of this elevation, not the one for sea level.",
            "Find the wet bulb on the saturation line, then go down to the right along its line to the dry bulb.",
            "Read the relative humidity there.",
        ),
        slips=(
            Slip("sea-level chart at altitude",
                 lambda v, u: float(_by_wet_bulb(v, v["wet_bulb"], SEA_LEVEL_PRESSURE).relative_humidity),
                 "That is what the sea-level chart says. In thinner air a wick dries faster at the same humidity: use the chart for "
                 "this elevation."),
            Slip("wet bulb for dew point",
                 lambda v, u: float(MoistAir.from_dew_point(v["dry_bulb"], v["wet_bulb"], _pressure(v)).relative_humidity),
                 "The wet bulb was taken as the dew point. Go along the slanted wet-bulb line, not level, from saturation to the dry "
                 "bulb."),
        ),
        possible=lambda v: v["dry_bulb"] - v["wet_bulb"] > 4.0,
        source=f"{FUNDAMENTALS}, Eq. 3 and 33",
    ),
)  # fmt: skip

MOIST_AIR = (*HUMIDITIES, *MOIST_AIR_HEAT, *MOIST_AIR_CHOICES)
