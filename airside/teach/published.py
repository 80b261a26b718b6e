"""Worked examples and table values of published documents, as questions whose numbers are fixed.

The answer is the library's own; the last step sets the printed figure beside it. "From memory" stands where a figure was
written down from memory and confirmed only by computing it again.

Sources
-------
ASHRAE Handbook—Fundamentals (2017), inch-pound edition, ch. 1; 10 CFR part 430 subpart B appendix M1; ISO 3966;
JCGM 101:2008 ch. 9; NREL/TP-5500-56354 (2013).
"""

from __future__ import annotations

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.air.process import TEXTBOOK_FACTORS, Capacity, delivered_capacity, mix, textbook_factors
from airside.air.state import MoistAir
from airside.teach.published_methods import PUBLISHED_METHODS
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, from_inside, parse, to_inside

HANDBOOK = "ASHRAE Handbook—Fundamentals (2017) ch. 1"
EXAMPLE_1 = f"{HANDBOOK}, Example 1 (read off a chart)"
PRINTED = "The handbook prints"
FIND = "Find the wet bulb on the saturation line and follow its line to the dry bulb"
ONLY_IP: tuple[UnitSystem, ...] = ("IP",)


def fixed(name: str, kind: str, text: str, step: float) -> Parameter:
    """A parameter that has one value: an example's number with its unit, exact to the step [bare IP unit]."""
    value = parse(text, kind)
    return Parameter(name, kind, value, value, (step, step))


PRESSURE = fixed("pressure", "vapour_pressure", "14.696 psi", 0.001)


def _printed(text: str, kind: str) -> Step:
    return Step(PRINTED, parse(text, kind), kind)


# -- tables ------------------------------------------------------------------------------------------


def _saturation_pressure(values: Values) -> Solution:
    pressure = float(properties.saturation_pressure(values["dry_bulb"]))
    return Solution(pressure, (
        Step("Row of the temperature, saturation pressure over water", pressure, "vapour_pressure"),
        _printed("0.45973 psi", "vapour_pressure"),
    ))  # fmt: skip


def _as_inches_of_mercury(values: Values, units: UnitSystem) -> float:
    mercury = float(from_inside(float(properties.saturation_pressure(values["dry_bulb"])), "barometric_pressure", "IP"))
    return float(to_inside(mercury, "vapour_pressure", "IP"))


def _saturated(values: Values) -> MoistAir:
    return MoistAir.from_relative_humidity(values["dry_bulb"], 1.0, values["pressure"])


def _saturated_enthalpy(values: Values) -> Solution:
    air = _saturated(values)
    return Solution(float(air.enthalpy), (
        Step("Dry air of this temperature", float(properties.enthalpy(values["dry_bulb"], 0.0)), "enthalpy"),
        Step("Humidity ratio at saturation", float(air.humidity_ratio), "humidity_ratio"),
        Step("Saturated air: with the heat of that much vapour", float(air.enthalpy), "enthalpy"),
        _printed("40.576 Btu/lb", "enthalpy"),
    ))  # fmt: skip


def _atmosphere(values: Values) -> Solution:
    pressure = float(standard_atmosphere_pressure(values["elevation"]))
    return Solution(pressure, (
        Step("Row of the elevation", pressure, "vapour_pressure"),
        _printed("13.173 psi", "vapour_pressure"),
    ))  # fmt: skip


TABLES = (
    QuestionKind(
        name="published_saturation_pressure",
        needs=("saturation",),
        lesson=1,
        title="Handbook, Table 3: saturation pressure",
        ask=f"{HANDBOOK}, Table 3 lists the properties of water at saturation. What is the saturation pressure at {{dry_bulb}}?",
        kind="vapour_pressure",
        parameters=(fixed("dry_bulb", "temperature", "77 degF", 0.1),),
        solve=_saturation_pressure,
        limits=(3100.0, 3250.0),
        hints=("Use the lesson's table and go between its rows.", "75 °F and 80 °F stand on either side."),
        slips=(
            Slip("inches of mercury", _as_inches_of_mercury,
                 "That is the pressure in inches of mercury. The table, and this question, want pounds per square inch."),
        ),
        source=f"{HANDBOOK}, Table 3",
        systems=ONLY_IP,
    ),
    QuestionKind(
        name="published_saturated_enthalpy",
        lesson=1,
        title="Handbook, Table 2: enthalpy of saturated air",
        ask=f"{HANDBOOK}, Table 2 lists moist air at {{pressure}}. What is the enthalpy of saturated air at {{dry_bulb}}?",
        kind="enthalpy",
        parameters=(fixed("dry_bulb", "temperature", "77 degF", 0.1), PRESSURE),
        solve=_saturated_enthalpy,
        limits=(75_000.0, 78_000.0),
        hints=(
            "Enthalpy is that of the dry air, and that of the vapour in it.",
            "Saturated air has a relative humidity of 100 %. Find its humidity ratio first.",
        ),
        slips=(
            Slip("column of dry air", lambda v, u: float(properties.enthalpy(v["dry_bulb"], 0.0)),
                 "That is dry air of this temperature. Saturated air holds vapour, and the vapour holds more than half of the heat."),
        ),
        source=f"{HANDBOOK}, Table 2 (real gas; ideal gas is within 1 %)",
        systems=ONLY_IP,
    ),
    QuestionKind(
        name="published_standard_atmosphere",
        needs=("elevation",),
        lesson=1,
        title="Handbook, Table 1: standard atmosphere",
        ask=f"{HANDBOOK}, Table 1 lists the standard atmosphere. What is the barometric pressure at {{elevation}}, in pounds per square inch?",
        kind="vapour_pressure",
        parameters=(fixed("elevation", "elevation", "3000 ft", 10.0),),
        solve=_atmosphere,
        limits=(90_000.0, 92_000.0),
        hints=("The pressure falls by about half a pound per square inch for each 1,000 ft.", "At sea level it is 14.696."),
        slips=(
            Slip("sea-level pressure", lambda v, u: SEA_LEVEL_PRESSURE, "That is sea level. Go to the row of the elevation."),
            Slip("feet taken for metres", lambda v, u: float(standard_atmosphere_pressure(3000.0)),
                 "The elevation was taken in metres. Look for the row in feet."),
        ),
        source=f"{HANDBOOK}, Table 1 and Eq. 3",
        systems=ONLY_IP,
    ),
)  # fmt: skip


# -- the handbook's Example 1 --------------------------------------------------------------------------


def _air(values: Values) -> MoistAir:
    return MoistAir.from_wet_bulb(values["dry_bulb"], values["wet_bulb"], values["pressure"])


def _taken_as_dew_point(values: Values) -> MoistAir:
    return MoistAir.from_dew_point(values["dry_bulb"], values["wet_bulb"], values["pressure"])


def _dry(values: Values) -> MoistAir:
    return MoistAir.from_humidity_ratio(values["dry_bulb"], 0.0, values["pressure"])


_AS_DEW_POINT = "The wet bulb was taken as the dew point. Go along the slanted wet-bulb line from saturation to the dry bulb, not level."
# Asked for, its attribute, its kind, as printed, limits, further slip
_ASKED: tuple[tuple[str, str, str, str, tuple[float, float], Slip | None], ...] = (
    ("humidity ratio", "humidity_ratio", "humidity_ratio", "36.61 gr/lb", (0.0050, 0.0055), None),
    ("enthalpy", "enthalpy", "enthalpy", "29.80 Btu/lb", (50_000.0, 53_000.0),
     Slip("vapour left out", lambda v, u: float(_dry(v).enthalpy),
          "That is dry air of this temperature. Add the heat of its vapour.")),
    ("relative humidity", "relative_humidity", "relative_humidity", "13 %", (0.10, 0.16), None),
    ("dew point", "dew_point", "temperature", "40 degF", (3.0, 6.0),
     Slip("wet bulb for dew point", lambda v, u: v["wet_bulb"],
          "That is the wet bulb itself. The dew point lies level to the left, on the saturation line.")),
)  # fmt: skip


def _example_1(
    asked: str, attribute: str, kind: str, printed: str, limits: tuple[float, float], more: Slip | None
) -> QuestionKind:
    def solve(values: Values) -> Solution:
        air = _air(values)
        found = float(getattr(air, attribute))
        steps = [
            Step(f"{FIND}. Humidity ratio there", float(air.humidity_ratio), "humidity_ratio"),
            Step(f"{FIND}, and read the humidity ratio there" if attribute == "humidity_ratio" else f"Read the {asked} there", found, kind),
            Step("The handbook prints, read off a chart", parse(printed, kind), kind),
        ]  # fmt: skip
        return Solution(found, tuple(steps[1:] if attribute == "humidity_ratio" else steps))

    dew_point = Slip(
        "wet bulb for dew point", lambda v, u: float(getattr(_taken_as_dew_point(v), attribute)), _AS_DEW_POINT
    )
    slips = ((more,) if more else ()) if attribute == "dew_point" else (dew_point, *((more,) if more else ()))
    return QuestionKind(
        name=f"published_example_1_{attribute}",
        lesson=1,
        title=f"Handbook, Example 1: {asked}",
        ask=f"{HANDBOOK}, Example 1: moist air exists at {{dry_bulb}} dry bulb, {{wet_bulb}} wet bulb and {{pressure}}. What is its {asked}?",
        kind=kind,
        parameters=(
            fixed("dry_bulb", "temperature", "100 degF", 0.1),
            fixed("wet_bulb", "temperature", "65 degF", 0.1),
            PRESSURE,
        ),
        solve=solve,
        limits=limits,
        hints=(
            "Find the state on the sea-level chart: dry bulb below, wet bulb along its slanted line.",
            f"Read the {asked} at that point.",
        ),
        slips=slips,
        source=EXAMPLE_1,
        # To the handbook's digits: it reads a chart.
        decimals=None if attribute == "enthalpy" else (0, 0),
        systems=ONLY_IP,
    )


# -- the handbook's processes ---------------------------------------------------------------------------


def _heating(values: Values, at: MoistAir | None = None) -> tuple[MoistAir, MoistAir, Capacity]:
    cold = MoistAir.from_relative_humidity(values["entering"], 1.0, values["pressure"])
    warm = MoistAir.from_humidity_ratio(values["leaving"], cold.humidity_ratio, values["pressure"])
    flow = values["flow"] / float((at or cold).specific_volume)
    return cold, warm, delivered_capacity(cold, warm, flow, mode="heating")


def _heat_added(values: Values) -> Solution:
    cold, warm, found = _heating(values)
    return Solution(float(found.total), (
        Step("Specific volume of the entering air", float(cold.specific_volume), "specific_volume"),
        Step("Dry air that flows: volume flow over that", float(found.dry_air_mass_flow), "mass_flow",
             written=("{flow} ÷ {-1} × 60 min/h", "{flow} ÷ {-1} ÷ 1,000 L/m³")),
        Step("Enthalpy of the entering air", float(cold.enthalpy), "enthalpy"),
        Step("Enthalpy of the leaving air, with the same humidity ratio", float(warm.enthalpy), "enthalpy"),
        Step("Heat: dry air times the difference of the enthalpies", float(found.total), "capacity", written="{2} × ({-1} − {-2})"),
        _printed("1507000 Btu/h", "capacity"),
    ))  # fmt: skip


def _factor(values: Values, states: tuple[MoistAir, MoistAir, Capacity], name: str) -> float:
    cold, warm, found = states
    return next(t.textbook for t in textbook_factors(cold, warm, values["flow"], found) if t.name == name)


def _cooling(values: Values) -> tuple[MoistAir, MoistAir, Capacity]:
    entering = MoistAir.from_relative_humidity(values["entering"], values["relative_humidity"], values["pressure"])
    leaving = MoistAir.from_relative_humidity(values["leaving"], 1.0, values["pressure"])
    flow = values["flow"] / float(entering.specific_volume)
    return entering, leaving, delivered_capacity(entering, leaving, flow, condensate_temperature=values["leaving"])


def _refrigeration(values: Values) -> Solution:
    entering, leaving, found = _cooling(values)
    balance = float(found.total) - float(found.condensate_heat)
    return Solution(balance, (
        Step("Specific volume of the entering air", float(entering.specific_volume), "specific_volume"),
        Step("Dry air that flows: volume flow over that", float(found.dry_air_mass_flow), "mass_flow",
             written=("{flow} ÷ {-1} × 60 min/h", "{flow} ÷ {-1} ÷ 1,000 L/m³")),
        Step("Enthalpy of the entering air", float(entering.enthalpy), "enthalpy"),
        Step("Enthalpy of the leaving air", float(leaving.enthalpy), "enthalpy"),
        Step("Dry air times the difference of the enthalpies", float(found.total), "capacity", written="{2} × ({-2} − {-1})"),
        Step("Heat that leaves with the condensate", float(found.condensate_heat), "capacity"),
        Step("Refrigeration: the one less the other", balance, "capacity", written="{-2} − {-1}"),
        _printed("609500 Btu/h", "capacity"),
    ))  # fmt: skip


def _mixed(values: Values, *, by_volume: bool = False, swapped: bool = False) -> float:
    outdoor = MoistAir.from_wet_bulb(values["outdoor"], values["outdoor_wet_bulb"], values["pressure"])
    room = MoistAir.from_relative_humidity(values["room"], values["relative_humidity"], values["pressure"])
    first, second = values["outdoor_flow"], values["room_flow"]
    if not by_volume:
        first, second = first / float(outdoor.specific_volume), second / float(room.specific_volume)
    return float(mix(outdoor, second if swapped else first, room, first if swapped else second).dry_bulb)


def _mixture(values: Values) -> Solution:
    outdoor = MoistAir.from_wet_bulb(values["outdoor"], values["outdoor_wet_bulb"], values["pressure"])
    room = MoistAir.from_relative_humidity(values["room"], values["relative_humidity"], values["pressure"])
    return Solution(_mixed(values), (
        Step("Dry air from outdoors: volume flow over specific volume", values["outdoor_flow"] / float(outdoor.specific_volume), "mass_flow",
             written=("{outdoor_flow} ÷ {#1} × 60 min/h", "{outdoor_flow} ÷ {#1} ÷ 1,000 L/m³"), numbers=((float(outdoor.specific_volume), "specific_volume"),)),
        Step("Dry air from the room, in the same way", values["room_flow"] / float(room.specific_volume), "mass_flow",
             written=("{room_flow} ÷ {#1} × 60 min/h", "{room_flow} ÷ {#1} ÷ 1,000 L/m³"), numbers=((float(room.specific_volume), "specific_volume"),)),
        Step("Mixture: from the room's dry bulb towards the outdoor one, by the outdoor share of the dry air", _mixed(values), "temperature"),
        Step("The handbook prints, found on a chart", parse("65.9 degF", "temperature"), "temperature"),
    ))  # fmt: skip


PROCESSES = (
    QuestionKind(
        name="published_sensible_heating",
        lesson=4,
        title="Handbook, worked example: sensible heating",
        ask="ASHRAE Handbook—Fundamentals ch. 1, worked example: saturated air at {entering} flows at {flow} into a heater and leaves at {leaving}; "
        "the pressure is {pressure}. How much heat is added?",
        kind="capacity",
        parameters=(fixed("entering", "temperature", "35 degF", 0.1), fixed("leaving", "temperature", "100 degF", 0.1),
                    fixed("flow", "volume_flow", "20000 cfm", 10.0), PRESSURE),
        solve=_heat_added,
        limits=(430_000.0, 450_000.0),
        hints=("Turn the volume flow into dry air: divide by the specific volume of the entering air.", "Heat is dry air times the difference of the "
               "enthalpies. The humidity ratio stays."),
        slips=(
            Slip("factor of standard air", lambda v, u: _factor(v, _heating(v), "sensible"),
                 f"The factor {TEXTBOOK_FACTORS['sensible']} belongs to standard air. The air that enters here is colder and denser."),
            Slip("volume of the leaving air", lambda v, u: float(_heating(v, _heating(v)[1])[2].total),
                 "The flow was divided by the specific volume of the leaving air. The flow is that of the entering air."),
        ),
        source="ASHRAE Handbook—Fundamentals ch. 1, worked example: moist air sensible heating (from memory)",
        systems=ONLY_IP,
    ),
    QuestionKind(
        name="published_cooling_and_dehumidification",
        lesson=4,
        title="Handbook, worked example: cooling and dehumidification",
        ask="ASHRAE Handbook—Fundamentals ch. 1, worked example: {flow} of air at {entering} and {relative_humidity} relative humidity is cooled to "
        "saturation at {leaving}; the pressure is {pressure}, and the condensate leaves at the same temperature. How much refrigeration is needed?",
        kind="capacity",
        parameters=(fixed("flow", "volume_flow", "10000 cfm", 10.0), fixed("entering", "temperature", "85 degF", 0.1),
                    fixed("relative_humidity", "relative_humidity", "50 %", 0.1), fixed("leaving", "temperature", "50 degF", 0.1), PRESSURE),
        solve=_refrigeration,
        limits=(170_000.0, 190_000.0),
        hints=("Dry air is volume flow over the specific volume of the entering air.",
               "Take dry air times the difference of the enthalpies, and take off what the condensate carries away."),
        slips=(
            Slip("sensible for total", lambda v, u: float(_cooling(v)[2].sensible),
                 "That is the sensible part alone. Much of the refrigeration goes into the water that condenses."),
            Slip("factor of standard air", lambda v, u: _factor(v, _cooling(v), "total"),
                 f"The factor {TEXTBOOK_FACTORS['total']} belongs to standard air. Warm, damp air is lighter."),
        ),
        source="ASHRAE Handbook—Fundamentals ch. 1, worked example: moist air cooling and dehumidification (from memory)",
        systems=ONLY_IP,
    ),
    QuestionKind(
        name="published_adiabatic_mixing",
        lesson=1,
        title="Handbook, worked example: mixing",
        ask="ASHRAE Handbook—Fundamentals ch. 1, worked example: {outdoor_flow} of outdoor air at {outdoor} dry bulb and {outdoor_wet_bulb} wet bulb mixes "
        "with {room_flow} of room air at {room} and {relative_humidity} relative humidity; the pressure is {pressure}. What is the dry bulb of the mixture?",
        kind="temperature",
        parameters=(
            fixed("outdoor_flow", "volume_flow", "2000 cfm", 1.0), fixed("outdoor", "temperature", "40 degF", 0.1),
            fixed("outdoor_wet_bulb", "temperature", "35 degF", 0.1), fixed("room_flow", "volume_flow", "6250 cfm", 1.0),
            fixed("room", "temperature", "75 degF", 0.1), fixed("relative_humidity", "relative_humidity", "50 %", 0.1), PRESSURE,
        ),
        solve=_mixture,
        limits=(17.5, 20.0),
        hints=("Cold air is denser: turn both volume flows into dry air first.",
               "Then go from the room's dry bulb towards the outdoor one, by the outdoor share."),
        slips=(
            Slip("shares mixed up", lambda v, u: _mixed(v, swapped=True),
                 "The shares have changed places. There is more room air, so the mixture lies nearer to it."),
            Slip("shares by volume", lambda v, u: _mixed(v, by_volume=True),
                 "The shares were taken by volume. Cold air is denser: divide each flow by its specific volume first."),
        ),
        source="ASHRAE Handbook—Fundamentals ch. 1, worked example: adiabatic mixing (graphical; from memory)",
        systems=ONLY_IP,
    ),
)  # fmt: skip

PUBLISHED = (*TABLES, *(_example_1(*row) for row in _ASKED), *PROCESSES, *PUBLISHED_METHODS)
