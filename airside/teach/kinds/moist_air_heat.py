"""Questions of lesson 1 about heat, mixing, and what altitude does to air."""

from __future__ import annotations

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.air.process import Capacity, delivered_capacity, mix
from airside.air.state import MoistAir
from airside.airflow import STANDARD_DENSITY
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside, parse, to_input, to_inside

FUNDAMENTALS = "ASHRAE Handbook—Fundamentals (2017) ch. 1"
# Room air whose temperature a question on water alone leaves open [°C].
ROOM = 24.0
# 70 °F, the temperature of standard air as the trade knows it.
STANDARD_TEMPERATURE = parse("70 degF", "temperature")
GRAINS = "Humidity ratio is in grains of water, or in grams: 7,000 grains are a pound, 1,000 grams a kilogram."


def _enthalpy(values: Values) -> Solution:
    air = MoistAir.from_humidity_ratio(values["dry_bulb"], values["humidity_ratio"], SEA_LEVEL_PRESSURE)
    return Solution(float(air.enthalpy), (
        Step("Enthalpy of the dry air alone: specific heat times temperature", float(properties.enthalpy(values["dry_bulb"], 0.0)),
             "enthalpy", written=("0.2403 Btu/lb per °F × {dry_bulb}", "1.006 kJ/kg per K × {dry_bulb}")),
        Step("With the heat that its vapour holds: humidity ratio, as mass by mass, times the heat of vapour", float(air.enthalpy),
             "enthalpy",
             written=("{-1} + {humidity_ratio} ÷ 7,000 gr/lb × (1,061 Btu/lb + 0.444 Btu/lb per °F × {dry_bulb})",
                      "{-1} + {humidity_ratio} ÷ 1,000 g/kg × (2,501 kJ/kg + 1.86 kJ/kg per K × {dry_bulb})")),
    ))  # fmt: skip


def _vapour_alone(values: Values, units: UnitSystem) -> float:
    heat = float(
        properties.enthalpy(values["dry_bulb"], values["humidity_ratio"]) - properties.enthalpy(values["dry_bulb"], 0.0)
    )
    # The bare number that a trainee would write; enthalpy has a zero of its own in IP.
    return float(to_inside(difference_from_inside(heat, "enthalpy", units), "enthalpy", units))


def _grains_as_mass(values: Values, units: UnitSystem) -> float:
    return float(
        properties.enthalpy(
            values["dry_bulb"], difference_from_inside(values["humidity_ratio"], "humidity_ratio", units)
        )
    )


def _heated(values: Values, pressure: float = SEA_LEVEL_PRESSURE) -> tuple[MoistAir, MoistAir]:
    cold = MoistAir.from_relative_humidity(values["outdoor"], values["relative_humidity"], pressure)
    return cold, MoistAir.from_humidity_ratio(values["room"], cold.humidity_ratio, pressure)


def _heated_relative_humidity(values: Values) -> Solution:
    cold, warm = _heated(values)
    return Solution(float(warm.relative_humidity), (
        Step("Saturation pressure of water at the outdoor dry bulb, from the table",
             float(properties.saturation_pressure(values["outdoor"])), "vapour_pressure"),
        Step("Vapour pressure outdoors: relative humidity, as a fraction, times that", float(cold.vapour_pressure), "vapour_pressure",
             written="{relative_humidity:fraction} × {-1}"),
        Step("It stays as it is while the air is heated. Saturation pressure at the room's dry bulb",
             float(properties.saturation_pressure(values["room"])), "vapour_pressure"),
        Step("Relative humidity: the first over the second", float(warm.relative_humidity), "relative_humidity", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _ratio_of_temperatures(values: Values, units: UnitSystem) -> float:
    cold, warm = (float(to_input(values[n], "temperature", units)) for n in ("outdoor", "room"))
    return float(values["relative_humidity"]) * cold / warm


def _mixture(values: Values, share: float) -> float:
    # The question says nothing of moisture: both airs have the same.
    outdoor, room = (
        MoistAir.from_humidity_ratio(values[n], 0.008, SEA_LEVEL_PRESSURE) for n in ("outdoor", "return_air")
    )
    return float(mix(outdoor, share, room, 1.0 - share).dry_bulb)


def _mixed(values: Values) -> Solution:
    mixed = _mixture(values, values["share"])
    return Solution(mixed, (
        Step("From return to outdoor air, the whole step", values["outdoor"] - values["return_air"], "temperature_difference",
             written="{outdoor} − {return_air}"),
        Step("The outdoor share of that step", mixed - values["return_air"], "temperature_difference", written="{share} × {-1}"),
        Step("Mixture: that, added to the return dry bulb", mixed, "temperature", written="{return_air} + {-1}"),
    ))  # fmt: skip


def _dried(values: Values, room: float | None = None) -> Capacity:
    outdoor, inside = (
        MoistAir.from_humidity_ratio(ROOM, w, SEA_LEVEL_PRESSURE)
        for w in (values["outdoor"], values["room"] if room is None else room)
    )
    return delivered_capacity(outdoor, inside, values["flow"])


def _moisture(values: Values) -> Solution:
    water = float(_dried(values).moisture_removal)
    return Solution(water, (
        Step("Water to be taken from each pound or kilogram of dry air", values["outdoor"] - values["room"], "humidity_ratio",
             written="{outdoor} − {room}"),
        Step("Dry air that comes in", values["flow"], "mass_flow"),
        Step("Water: the one times the other, grains divided by 7,000 or grams by 1,000; where the flow is for a second, times 3,600",
             water, "moisture_rate", written=("{flow} × {-2} ÷ 7,000 gr/lb", "{flow} × {-2} ÷ 1,000 g/kg × 3,600 s/h")),
    ))  # fmt: skip


def _barometer(values: Values) -> Solution:
    pressure = float(standard_atmosphere_pressure(values["elevation"]))
    return Solution(pressure, (
        Step("Sea level, for comparison", SEA_LEVEL_PRESSURE, "barometric_pressure"),
        Step("At this elevation it is lower by", SEA_LEVEL_PRESSURE - pressure, "barometric_pressure"),
        Step("What is left, or what the table says between its rows", pressure, "barometric_pressure", written="{-2} − {-1}"),
    ))  # fmt: skip


def _other_unit_of_length(values: Values, units: UnitSystem) -> float:
    other: UnitSystem = "SI" if units == "IP" else "IP"
    number = float(to_input(values["elevation"], "elevation", units))
    return float(standard_atmosphere_pressure(to_inside(number, "elevation", other)))


def _supply(values: Values, pressure: float | None = None) -> MoistAir:
    here = float(standard_atmosphere_pressure(values["elevation"])) if pressure is None else pressure
    return MoistAir.from_relative_humidity(values["dry_bulb"], values["relative_humidity"], here)


def _specific_volume(values: Values) -> Solution:
    air = _supply(values)
    low = MoistAir.from_humidity_ratio(values["dry_bulb"], air.humidity_ratio, SEA_LEVEL_PRESSURE)
    return Solution(float(air.specific_volume), (
        Step("Barometric pressure at sea level", SEA_LEVEL_PRESSURE, "barometric_pressure"),
        Step("Barometric pressure of this elevation", float(air.pressure), "barometric_pressure"),
        Step("Humidity ratio of this air: how much water goes with the dry air", float(air.humidity_ratio), "humidity_ratio"),
        Step("Specific volume at sea level of air with this dry bulb and humidity ratio, from the chart", float(low.specific_volume),
             "specific_volume"),
        Step("Thinner air takes up more room: times sea-level pressure over the pressure here", float(air.specific_volume),
             "specific_volume", written="{-1} × {1} ÷ {2}"),
    ))  # fmt: skip


def _upside_down(values: Values, units: UnitSystem) -> float:
    here, low = float(_supply(values).specific_volume), float(_supply(values, SEA_LEVEL_PRESSURE).specific_volume)
    return low * low / here


def _dry_density(dry_bulb: float) -> float:
    # From the density that the question states, so that the trainee's own sum gives the same figure.
    lighter = properties.density(dry_bulb, 0.0, SEA_LEVEL_PRESSURE) / properties.density(
        STANDARD_TEMPERATURE, 0.0, SEA_LEVEL_PRESSURE
    )
    return STANDARD_DENSITY * float(lighter)


def _density(values: Values) -> Solution:
    return Solution(_dry_density(values["dry_bulb"]), (
        Step("Density of standard air", STANDARD_DENSITY, "density"),
        Step("Its temperature, before 459.67 is added to °F or 273.15 to °C", STANDARD_TEMPERATURE, "temperature"),
        Step("Temperature of this air, before the same is added", values["dry_bulb"], "temperature"),
        Step("Density: that of standard air times its absolute temperature over this air's", _dry_density(values["dry_bulb"]), "density",
             written=("{-3} × ({standard_temperature} + 459.67) ÷ ({dry_bulb} + 459.67)",
                      "{-3} × ({standard_temperature} + 273.15) ÷ ({dry_bulb} + 273.15)")),
    ))  # fmt: skip


def _bare_temperatures(values: Values, units: UnitSystem) -> float:
    standard, found = (float(to_input(t, "temperature", units)) for t in (STANDARD_TEMPERATURE, values["dry_bulb"]))
    return STANDARD_DENSITY * standard / found


ELEVATION = Parameter("elevation", "elevation", 900.0, 2400.0, (100.0, 50.0))

MOIST_AIR_HEAT = (
    QuestionKind(
        name="enthalpy_of_air",
        lesson=1,
        title="Enthalpy from dry bulb and humidity ratio",
        ask="The return air of a clinic is at {dry_bulb}, with a humidity ratio of {humidity_ratio}. What is its enthalpy?",
        kind="enthalpy",
        parameters=(
            Parameter("dry_bulb", "temperature", 20.0, 28.0, (0.5, 0.5)),
            Parameter("humidity_ratio", "humidity_ratio", 0.006, 0.012, (1.0, 0.1)),
        ),
        solve=_enthalpy,
        limits=(33_000.0, 62_000.0),
        hints=(
            "Enthalpy has two parts: the heat of the dry air, and the heat of the vapour in it.",
            "Turn grains into pounds, or grams into kilograms, before you multiply.",
            "In IP: 0.24 times °F, and for the vapour humidity ratio times (1061 + 0.444 times °F). "
            "In SI: 1.006 times °C, and humidity ratio times (2501 + 1.86 times °C).",
        ),
        slips=(
            Slip("vapour left out", lambda v, u: float(properties.enthalpy(v["dry_bulb"], 0.0)),
                 "That is the dry air alone. The vapour in it holds heat too, about a third of the whole: add it."),
            Slip("vapour alone", _vapour_alone,
                 "That is the vapour alone. Add the heat of the dry air: specific heat times temperature."),
            Slip("grains or grams as mass by mass", _grains_as_mass,
                 f"The humidity ratio went in as it stands. {GRAINS} Divide first."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 30",
    ),
    QuestionKind(
        name="relative_humidity_after_heating",
        needs=("saturation",),
        lesson=1,
        title="Relative humidity after heating",
        ask="On a winter day a school takes in air at {outdoor} and {relative_humidity} relative humidity. It is heated to {room}; no "
        "water is added. What is its relative humidity then?",
        kind="relative_humidity",
        parameters=(
            Parameter("outdoor", "temperature", 3.0, 10.0, (0.5, 0.5)),
            Parameter("relative_humidity", "relative_humidity", 0.60, 0.95, (1.0, 1.0)),
            Parameter("room", "temperature", 20.0, 24.0, (0.5, 0.5)),
        ),
        solve=_heated_relative_humidity,
        limits=(0.12, 0.6),
        hints=(
            "Heating adds no water. Which of the humidities stays as it is?",
            "The vapour pressure stays. Work it out for the cold air.",
            "Then set it against the saturation pressure at the room's dry bulb.",
        ),
        slips=(
            Slip("relative humidity unchanged", lambda v, u: v["relative_humidity"],
                 "The water stays, but warm air could hold more of it. So the same water is a smaller share: the relative humidity falls."),
            Slip("ratio of temperatures", _ratio_of_temperatures,
                 "Relative humidity does not go with the ratio of the temperatures. Use the saturation pressures at both of them."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 12",
    ),
    QuestionKind(
        name="dry_bulb_of_a_mixture",
        lesson=1,
        title="Dry bulb of mixed air",
        ask="A museum's unit mixes {share} outdoor air at {outdoor} with return air at {return_air}, by mass of dry air. What is the dry "
        "bulb of the mixture?",
        kind="temperature",
        parameters=(
            Parameter("share", "percentage", 0.10, 0.40, (1.0, 1.0)),
            Parameter("outdoor", "temperature", 31.0, 39.0, (0.5, 0.5)),
            Parameter("return_air", "temperature", 22.0, 25.5, (0.5, 0.5)),
        ),
        solve=_mixed,
        limits=(22.0, 35.0),
        hints=(
            "The mixture lies on the straight line between the two airs.",
            "Its distance from the return air is the outdoor share of the whole step.",
        ),
        slips=(
            Slip("shares mixed up", lambda v, u: _mixture(v, 1.0 - v["share"]),
                 "The shares have changed places. The larger part of the air is return air, so the mixture lies nearer to it."),
            Slip("plain mean", lambda v, u: _mixture(v, 0.5),
                 "That is half way between the two. The air is not half and half: go only the outdoor share of the way."),
        ),
        source=f"{FUNDAMENTALS}, adiabatic mixing of two moist airstreams",
    ),
    QuestionKind(
        name="water_in_outdoor_air",
        lesson=1,
        title="Water that outdoor air brings in",
        ask="A museum takes in {flow} of dry air from outdoors, with a humidity ratio of {outdoor}. Indoors it is to be {room}. How much "
        "water must the coil take out of this air each hour?",
        kind="moisture_rate",
        parameters=(
            Parameter("flow", "mass_flow", 0.25, 1.2, (50.0, 0.01)),
            Parameter("outdoor", "humidity_ratio", 0.011, 0.017, (1.0, 0.1)),
            Parameter("room", "humidity_ratio", 0.007, 0.0095, (1.0, 0.1)),
        ),
        solve=_moisture,
        limits=(1.0, 60.0),
        hints=(
            "Humidity ratio is water by dry air. So water is humidity ratio times dry air.",
            "Only the difference between outdoors and indoors has to go.",
            f"{GRAINS} An hour has 3,600 seconds.",
        ),
        slips=(
            Slip("all of the outdoor water", lambda v, u: float(_dried(v, 0.0).moisture_removal),
                 "That is all the water that comes in. The room keeps its own humidity ratio, so only the difference has to be taken out."),
            Slip("grains not divided by 7,000",
                 lambda v, u: float(_dried(v).moisture_removal) * float(difference_from_inside(1.0, "humidity_ratio", "IP")),
                 "That is in grains an hour. Divide by 7,000 to come to pounds.", ("IP",)),
            Slip("grams for kilograms",
                 lambda v, u: float(_dried(v).moisture_removal) * float(difference_from_inside(1.0, "humidity_ratio", "SI")),
                 "That is in grams an hour. Divide by 1,000 to come to kilograms.", ("SI",)),
            Slip("seconds for hours", lambda v, u: float(_dried(v).moisture_removal) / 3600.0,
                 "That is the water of one second. Multiply by 3,600 for an hour.", ("SI",)),
        ),
        possible=lambda v: v["outdoor"] - v["room"] > 0.003,
        source=f"{FUNDAMENTALS}, definition of humidity ratio",
    ),
    QuestionKind(
        name="barometric_pressure_of_elevation",
        needs=("elevation",),
        lesson=1,
        title="Barometric pressure of an elevation",
        ask="A laundry stands at {elevation}. What is the barometric pressure there, by the standard atmosphere?",
        kind="barometric_pressure",
        parameters=(ELEVATION,),
        solve=_barometer,
        limits=(74_000.0, 92_000.0),
        hints=(
            "The standard atmosphere falls by about an inch of mercury for every 1,000 ft, or 1.1 kPa for every 100 m, and higher up by "
            "a little less.",
            "Use the table of the lesson, and go between its rows by proportion.",
        ),
        slips=(
            Slip("sea-level pressure", lambda v, u: SEA_LEVEL_PRESSURE,
                 "That is sea level, or what a weather report says: reports bring the barometer down to sea level. Take the pressure "
                 "where the equipment stands."),
            Slip("feet and metres mixed up", _other_unit_of_length,
                 "The elevation was taken in the other unit. Look whether the table is in feet or in metres."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 3",
    ),
    QuestionKind(
        name="specific_volume_at_altitude",
        needs=("elevation", "chart"),
        lesson=1,
        title="Specific volume of supply air at altitude",
        ask="The supply air of a library at {elevation} is at {dry_bulb} and {relative_humidity} relative humidity. How much "
        "room does each pound or kilogram of dry air take up in it? That is its specific volume.",
        kind="specific_volume",
        parameters=(
            ELEVATION,
            Parameter("dry_bulb", "temperature", 10.0, 16.0, (0.5, 0.5)),
            Parameter("relative_humidity", "relative_humidity", 0.80, 0.95, (1.0, 1.0)),
        ),
        solve=_specific_volume,
        limits=(0.85, 1.2),
        hints=(
            "Read the specific volume on the sea-level chart first, at the dry bulb and the humidity ratio. (At the relative humidity it "
            "comes out a trifle smaller, which will do.)",
            "Where the barometer is lower, the same air takes up more room: in proportion, the other way round.",
        ),
        slips=(
            Slip("sea-level pressure at altitude", lambda v, u: float(_supply(v, SEA_LEVEL_PRESSURE).specific_volume),
                 "That would be right at sea level. Up here the barometer is lower, so the air takes up more room: multiply by the "
                 "pressure at sea level over that here."),
            Slip("proportion upside down", _upside_down,
                 "The proportion went the wrong way: that air would be denser than at sea level. Thin air takes up more room."),
            Slip("standard air", lambda v, u: 1.0 / STANDARD_DENSITY,
                 "That is standard air, as tables assume it. This air has its own pressure and temperature."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 3 and 26; standard air: 10 CFR 430 subpart B appendix M1",
    ),
    QuestionKind(
        name="density_of_heated_air",
        lesson=1,
        title="Density of heated air",
        ask="A unit heater in a laundry at sea level blows air at {dry_bulb}. Standard air is dry, at {standard_temperature}, and has "
        "{standard_density}. What is the density of the heated air, taken as dry?",
        kind="density",
        parameters=(
            Parameter("dry_bulb", "temperature", 35.0, 60.0, (1.0, 1.0)),
            # One number in each system, to be read in the question.
            Parameter("standard_temperature", "temperature", 21.06, 21.14, (1.0, 0.1), exact=True),
            Parameter("standard_density", "density", 1.2006, 1.2014, (0.001, 0.001), exact=True),
        ),
        solve=_density,
        limits=(1.0, 1.16),
        hints=(
            "Warm air is lighter. It goes with the absolute temperature, in proportion, the other way round.",
            "Absolute is °F plus 459.67, or °C plus 273.15.",
        ),
        slips=(
            Slip("temperatures not absolute", _bare_temperatures,
                 "Degrees as they stand will not do, because their zero is not the zero of heat. Add 459.67 to °F, or 273.15 to °C, before "
                 "you set them against each other."),
            Slip("proportion upside down", lambda v, u: STANDARD_DENSITY**2 / _dry_density(v["dry_bulb"]),
                 "The proportion went the wrong way: that air would be heavier than standard air. Warm air is lighter."),
            Slip("standard air", lambda v, u: STANDARD_DENSITY,
                 "That is standard air itself. This air is warmer, so it is lighter."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 26; standard air: 10 CFR 430 subpart B appendix M1",
    ),
)  # fmt: skip
