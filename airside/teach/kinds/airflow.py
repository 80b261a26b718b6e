"""Questions of lesson 3: airflow. Here heat, a calibrated device, rules of thumb, actual and standard air; tables and ducts beside it."""

from __future__ import annotations

from typing import Any

from airside.air.process import TEXTBOOK_FACTORS
from airside.airflow import STANDARD_DENSITY, Airflow, heat_to_air
from airside.airflow.defaults import METHODS
from airside.teach.kinds.airflow_coil_drop import AIRFLOW_COIL_DROP
from airside.teach.kinds.airflow_ducts import AIRFLOW_DUCTS
from airside.teach.kinds.airflow_tables import AIRFLOW_TABLES, PRACTICE
from airside.teach.kinds.stated_air import air_of_density, air_of_specific_volume, heat_per_degree
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, from_inside, to_inside

STANDARD_AIR = "10 CFR 430 subpart B appendix M1, section 1, standard air"

FLOW = Parameter("flow", "volume_flow", 0.45, 1.0, (10.0, 5.0))
VOLUME = Parameter("specific_volume", "specific_volume", 0.95, 1.10, (0.05, 0.005))


def _by_rise(values: Values, heat: float) -> Airflow:
    return Airflow.temperature_rise(heat, values["rise"], at=air_of_specific_volume(values["specific_volume"]))


def _temperature_rise(values: Values) -> Solution:
    heat = float(heat_to_air(heat_input=values["heater"] + values["fan"]))
    flow = _by_rise(values, heat)
    dry_air = float(flow.dry_air_mass_flow)
    each = heat_per_degree(heat, dry_air, values["rise"])
    return Solution(float(flow.volume_flow), (
        Step("Heat into the air: heater and fan together (1 kW is 3,412 Btu/h)", heat, "capacity",
             written=("({heater} + {fan}) × 3,412 Btu/h per kW", "{heater} + {fan}")),
        Step("Dry air: heat over rise and over 0.244 Btu per lb and °F (1.023 kJ per kg and K), to one place more in the sum",
             dry_air, "mass_flow", written=(f"{{-1}} ÷ {{rise}} ÷ {each[0]}", f"{{-1}} ÷ {{rise}} ÷ {each[1]}")),
        Step("Volume: dry air times the specific volume here (in IP, over 60, for the minute)", float(flow.volume_flow),
             "volume_flow", written=("{-1} × {specific_volume} ÷ 60 min/h", "{-1} × {specific_volume} × 1,000 L/m³")),
    ))  # fmt: skip


def _textbook_rise(values: Values) -> float:
    """Flow by the sea-level factor for sensible heat [m³/s]: as on a pocket card, in Btu/h, cfm and °F."""
    heat = float(from_inside(values["heater"] + values["fan"], "capacity", "IP"))
    rise = float(from_inside(values["rise"], "temperature_difference", "IP"))
    return float(to_inside(heat / (TEXTBOOK_FACTORS["sensible"] * rise), "volume_flow", "IP"))


def _kilowatts_as_btu(values: Values) -> float:
    # Watts put where Btu/h belong.
    return float(_by_rise(values, values["heater"] + values["fan"]).volume_flow) / float(
        from_inside(1.0, "capacity", "IP")
    )


def _match(values: Values, normal: str, device: str) -> Airflow:
    return Airflow.pressure_match(
        values["device_flow"], values[normal], values[device], at=air_of_density(STANDARD_DENSITY), outside="extend"
    )


def _pressure_match(values: Values) -> Solution:
    flow = _match(values, "normal_static", "device_static")
    root = float(next(r.value for r in flow.evidence if r.name == "flow_correction"))
    return Solution(float(flow.volume_flow), (
        Step("Static without the device over static with it", values["normal_static"] / values["device_static"], "fraction",
             written="{normal_static} ÷ {device_static}"),
        Step("Root of that ratio", root, "fraction", written="√{-1}"),
        Step("Plate's flow times that root", float(flow.volume_flow), "volume_flow", written="{device_flow} × {-1}"),
    ))  # fmt: skip


def _price(values: Values) -> Solution:
    error = values["rule_flow"] / values["measured_flow"] - 1
    return Solution(error, (
        Step("Flow by the rule less flow measured", values["rule_flow"] - values["measured_flow"], "volume_flow",
             written="{rule_flow} − {measured_flow}"),
        Step("That difference over the flow measured", error, "percentage", written="{-1} ÷ {measured_flow}"),
    ))  # fmt: skip


def _half_width(values: Values, method: str) -> float:
    return 2 * METHODS[method].relative_standard_uncertainty * float(values["capacity"])


def _rule_doubt(values: Values) -> Solution:
    one = METHODS["rule of thumb"].relative_standard_uncertainty
    return Solution(_half_width(values, "rule of thumb"), (
        Step("Standard uncertainty of a rule of thumb", one, "percentage"),
        Step("Twice that", 2 * one, "percentage", written="2 × {-1}"),
        Step("That share of the capacity", _half_width(values, "rule of thumb"), "capacity", written="{-1} × {capacity}"),
    ))  # fmt: skip


def _read_as(values: Values, basis: Any) -> Airflow:
    return Airflow.measured(values["flow"], at=air_of_specific_volume(values["specific_volume"]), basis=basis)


def _standard_flow(values: Values) -> Solution:
    flow = _read_as(values, "actual")
    return Solution(float(flow.standard_volume_flow), (
        Step("Dry air: flow over specific volume here (in IP, times 60 for the hour)", float(flow.dry_air_mass_flow), "mass_flow",
             written=("{flow} ÷ {specific_volume} × 60 min/h", "{flow} ÷ {specific_volume} ÷ 1,000 L/m³")),
        Step("Specific volume of standard air (in SI its 1.2 is 1.2014 to more places)", 1 / STANDARD_DENSITY, "specific_volume",
             written=("1 ÷ 0.075 lb/ft³", "1 ÷ 1.2014 kg/m³")),
        Step("Dry air times that (in IP, over 60, for the minute)", float(flow.standard_volume_flow), "volume_flow",
             written=("{-2} × {-1} ÷ 60 min/h", "{-2} × {-1} × 1,000 L/m³")),
    ))  # fmt: skip


def _actual_flow(values: Values) -> Solution:
    flow = _read_as(values, "standard")
    return Solution(float(flow.volume_flow), (
        Step("Specific volume of standard air (in SI its 1.2 is 1.2014 to more places)", 1 / STANDARD_DENSITY, "specific_volume",
             written=("1 ÷ 0.075 lb/ft³", "1 ÷ 1.2014 kg/m³")),
        Step("Specific volume here over that of standard air", values["specific_volume"] * STANDARD_DENSITY, "fraction",
             written="{specific_volume} ÷ {-1}"),
        Step("Flow shown, times that ratio", float(flow.volume_flow), "volume_flow", written="{flow} × {-1}"),
    ))  # fmt: skip


def _dry_air(values: Values) -> Solution:
    return Solution(float(_read_as(values, "actual").dry_air_mass_flow), (
        Step("Airflow by volume", values["flow"], "volume_flow"),
        Step("Specific volume here: the room that one pound (one kilogram) takes", values["specific_volume"], "specific_volume"),
        Step("Volume over specific volume (in IP, times 60, for the hour)", float(_read_as(values, "actual").dry_air_mass_flow),
             "mass_flow", written=("{flow} ÷ {specific_volume} × 60 min/h", "{flow} ÷ {specific_volume} ÷ 1,000 L/m³")),
    ))  # fmt: skip


def _times_volume(values: Values, units: UnitSystem) -> float:
    shown = float(from_inside(values["specific_volume"], "specific_volume", units))
    return float(_read_as(values, "actual").dry_air_mass_flow) * shown**2


AIRFLOW = (
    *AIRFLOW_TABLES,
    *AIRFLOW_DUCTS,
    *AIRFLOW_COIL_DROP,
    QuestionKind(
        name="flow_by_temperature_rise",
        lesson=3,
        title="Flow from the temperature rise over an electric heater, at altitude",
        ask="A school in the hills. The electric heater takes {heater}, and the fan, which also sits between the probes, {fan}. The air "
        "gets warmer by {rise}. The specific volume there is {specific_volume}. What is the airflow?",
        kind="volume_flow",
        parameters=(
            Parameter("heater", "power", 6000.0, 10000.0, (0.05, 0.05)),
            Parameter("fan", "power", 400.0, 900.0, (0.01, 0.01)),
            Parameter("rise", "temperature_difference", 10.0, 17.0, (0.1, 0.1)),
            VOLUME,
        ),
        solve=_temperature_rise,
        limits=(0.3, 1.2),
        hints=(
            "Which heat goes into the air between the two probes? All of it: heater and fan.",
            "Heat over rise, over what a unit of air takes for one degree (0.244 Btu per lb and °F, 1.02 kJ per kg and K), gives the "
            "air in lb/h or kg/s. 1 kW is 3,412 Btu/h.",
            "Then turn weight into volume with the specific volume that holds there. In IP, divide by 60 for minutes.",
        ),
        slips=(
            Slip("sea-level factor at altitude", lambda v, u: _textbook_rise(v),
                 "The factor 1.08 (in SI 1.21) holds for standard air. A unit of air takes more room at this altitude, so more "
                 "volume flows for the same heat and rise."),
            Slip("fan heat left out", lambda v, u: float(_by_rise(v, v["heater"]).volume_flow),
                 "The fan's heat was left out. It sits between the probes, and all of its power ends as heat in the air."),
            Slip("watts as Btu/h", lambda v, u: _kilowatts_as_btu(v),
                 "The heat was put in as watts. One watt is 3.412 Btu/h.", systems=("IP",)),
        ),
        source="ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 30, as an energy balance",
    ),
    QuestionKind(
        name="flow_by_pressure_match",
        lesson=3,
        title="Flow by a calibrated plate, brought back to normal running",
        ask="A calibrated plate in place of the filter shows {device_flow}. The static in the supply plenum is {device_static} with the "
        "plate, and was {normal_static} before, with the filter. What is the airflow in normal running?",
        kind="volume_flow",
        parameters=(
            Parameter("device_flow", "volume_flow", 0.45, 0.85, (10.0, 5.0)),
            Parameter("normal_static", "duct_pressure", 60.0, 110.0, (0.005, 1.0)),
            Parameter("device_static", "duct_pressure", 50.0, 110.0, (0.005, 1.0)),
        ),
        solve=_pressure_match,
        limits=(0.4, 1.1),
        hints=(
            "The plate holds the air back a little more, or less, than the filter did. So its flow is not yet the answer.",
            "The duct behind the unit did not change. Its static pressure goes with the square of the flow.",
            "Multiply the plate's flow by the root of static without over static with the plate.",
        ),
        slips=(
            Slip("plate's flow not brought back", lambda v, u: v["device_flow"],
                 "That is the flow with the plate in place. Without it the static was another, so the flow was another too."),
            Slip("no root", lambda v, u: v["device_flow"] * v["normal_static"] / v["device_static"],
                 "That is a straight proportion. Static goes with the square of the flow, so the ratio needs a root."),
            Slip("ratio upside down", lambda v, u: float(_match(v, "device_static", "normal_static").volume_flow),
                 "The ratio is upside down. More static means more flow through the same duct."),
        ),
        source=PRACTICE,
        possible=lambda v: 0.72 < v["device_static"] / v["normal_static"] < 1.3,
    ),
    QuestionKind(
        name="price_of_a_rule_of_thumb",
        lesson=3,
        title="What a rule of thumb costs",
        ask="For a unit at a laundry the rule of thumb gives {rule_flow}. A traverse then finds {measured_flow}. Capacity goes straight "
        "with airflow. By how many percent would the rule have set the capacity too high?",
        kind="percentage",
        parameters=(
            Parameter("rule_flow", "volume_flow", 0.65, 1.0, (10.0, 5.0)),
            Parameter("measured_flow", "volume_flow", 0.45, 0.85, (10.0, 5.0)),
        ),
        solve=_price,
        limits=(0.12, 0.55),
        hints=(
            "The measured flow is what is there. So it is the measure of the error.",
            "Rule less measured, over measured.",
        ),
        slips=(
            Slip("share of the rule's figure", lambda v, u: 1 - v["measured_flow"] / v["rule_flow"],
                 "That is the difference as a share of the rule's figure. Take it as a share of what was measured."),
            Slip("the ratio itself", lambda v, u: v["rule_flow"] / v["measured_flow"],
                 "That is the whole ratio. How much lies above 100 %?"),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="doubt_of_a_rule_of_thumb",
        lesson=3,
        title="How wide the doubt of a rule of thumb is",
        ask="With an airflow by rule of thumb a capacity of {capacity} was worked out. A rule of thumb has a standard uncertainty of 15 %. "
        "About 95 % of the cases lie within twice that. By how much may the capacity be off to each side, from the airflow alone?",
        kind="capacity",
        parameters=(Parameter("capacity", "capacity", 8000.0, 20000.0, (200.0, 0.1)),),
        solve=_rule_doubt,
        limits=(2000.0, 7000.0),
        hints=(
            "Capacity goes straight with airflow, so it has the same doubt in percent.",
            "Twice the standard uncertainty, of the capacity.",
        ),
        slips=(
            Slip("once for twice", lambda v, u: METHODS["rule of thumb"].relative_standard_uncertainty * v["capacity"],
                 "That is one standard uncertainty: about a third of the cases lie outside it. Take twice that."),
            Slip("the whole width", lambda v, u: 2 * _half_width(v, "rule of thumb"),
                 "That is the whole width, from the lower end to the upper. The question is for one side."),
            Slip("doubt of a traverse", lambda v, u: _half_width(v, "traverse"),
                 "That is what a careful traverse would leave, with 5 %. Here nothing was measured: it is 15 %."),
        ),
        source=METHODS["rule of thumb"].source,
    ),
    QuestionKind(
        name="standard_from_actual_flow",
        lesson=3,
        title="Actual flow as standard air",
        ask="At a library in the mountains {flow} of actual air flows. Its specific volume is {specific_volume}. How much is that as "
        "standard air, which has 0.075 lb in a cubic foot (1.2 kg in a cubic metre)?",
        kind="volume_flow",
        parameters=(FLOW, VOLUME),
        solve=_standard_flow,
        limits=(0.35, 1.0),
        hints=(
            "The weight of air is the same, only its volume differs.",
            "Standard air takes 13.33 ft³ to a pound (0.833 m³ to a kilogram). Thin air takes more.",
            "A proportion: standard volume over the volume here, times the flow. It comes out smaller.",
        ),
        slips=(
            Slip("actual taken for standard air", lambda v, u: v["flow"],
                 "That is the actual volume. The same weight of air fills less room at standard density."),
            Slip("ratio upside down", lambda v, u: float(_read_as(v, "standard").volume_flow),
                 "The ratio is upside down. Standard air is denser than the air there, so its volume is smaller."),
        ),
        source=STANDARD_AIR,
    ),
    QuestionKind(
        name="actual_from_standard_flow",
        lesson=3,
        title="Standard flow as actual air",
        ask="A measuring grid at a clinic shows {flow}, and its sheet says: standard air, 0.075 lb/ft³ (1.2 kg/m³). At this altitude the "
        "specific volume is {specific_volume}. How much actual air flows?",
        kind="volume_flow",
        parameters=(FLOW, VOLUME),
        solve=_actual_flow,
        limits=(0.5, 1.5),
        hints=(
            "The grid counts air as if each pound took 13.33 ft³ (each kilogram 0.833 m³).",
            "Here it takes more room. A proportion: volume here over 13.33 ft³ (0.833 m³), times what is shown.",
        ),
        slips=(
            Slip("standard taken for actual air", lambda v, u: v["flow"],
                 "That is what the grid shows, as standard air. In the thin air there the same weight takes more room."),
            Slip("ratio upside down", lambda v, u: float(_read_as(v, "actual").standard_volume_flow),
                 "The ratio is upside down. Actual volume is larger than standard volume where air is thin."),
        ),
        source=STANDARD_AIR,
    ),
    QuestionKind(
        name="dry_air_mass_flow",
        lesson=3,
        title="How much dry air is that?",
        ask="In a duct of a museum in the hills {flow} of air flows. Its specific volume is {specific_volume}. How much dry air is that?",
        kind="mass_flow",
        parameters=(FLOW, VOLUME),
        solve=_dry_air,
        limits=(0.35, 1.1),
        hints=(
            "Volume over the volume of one pound (or kilogram) gives pounds (or kilograms).",
            "In IP the flow is by the minute, and the answer by the hour: times 60.",
        ),
        slips=(
            Slip("sea-level factor at altitude", lambda v, u: float(_read_as(v, "standard").dry_air_mass_flow),
                 "That takes 13.33 ft³ to a pound (0.833 m³ to a kilogram), which is standard air. Here a pound takes more room, so "
                 "less of it flows."),
            Slip("by the minute", lambda v, u: float(_read_as(v, "actual").dry_air_mass_flow) / 60,
                 "That is by the minute. The hour has 60 of them.", systems=("IP",)),
            Slip("multiplied, not divided", _times_volume,
                 "The specific volume says how much room one pound takes. Divide by it.", systems=("IP",)),
        ),
        source="ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 26",
    ),
)  # fmt: skip
