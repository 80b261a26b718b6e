"""Questions of lesson 6 that are answered by choosing; which answer is right is computed. Also the coil as a question states it."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.coil import CoilPerformance, coil_performance
from airside.air.coil_prediction import predict_coil
from airside.air.coil_status import CoilStatus
from airside.air.state import MoistAir
from airside.compare.curves import AIR_CONDITIONER
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

BYPASS_SOURCE = "EnergyPlus Engineering Reference, Single-Speed DX Cooling Coil: apparatus dew point and bypass factor"
CURVE_SOURCE = f"{BYPASS_SOURCE}; capacity over airflow and return wet bulb: NREL/TP-5500-56354 (2013), air conditioner"
# Outdoors where a question leaves it open [°C]: rating condition A of 10 CFR 430, 95 °F.
OUTDOOR = 35.0

RETURN_AIR = (
    Parameter("return_dry_bulb", "temperature", 23.0, 27.0, (0.1, 0.1)),
    Parameter("return_humidity", "relative_humidity", 0.42, 0.60, (1.0, 1.0)),
)
SUPPLY_AIR = (
    Parameter("supply_dry_bulb", "temperature", 11.5, 15.0, (0.1, 0.1)),
    Parameter("supply_humidity", "relative_humidity", 0.84, 0.95, (1.0, 1.0)),
)


def saturated(dry_bulb: float) -> MoistAir:
    """Saturated air at sea level."""
    return MoistAir.from_relative_humidity(dry_bulb, 1.0, SEA_LEVEL_PRESSURE)


def measured_coil(values: Values, flow: float | None = None) -> CoilPerformance:
    """The coil between the question's return and supply air, at sea level."""
    before, after = (
        MoistAir.from_relative_humidity(values[f"{n}_dry_bulb"], values[f"{n}_humidity"], SEA_LEVEL_PRESSURE)
        for n in ("return", "supply")
    )
    return coil_performance(before, after, flow)


def _is_plain_coil(values: Values) -> bool:
    coil = measured_coil(values)
    return math.isfinite(float(coil.bypass_factor)) and 0.03 < float(coil.bypass_factor) < 0.3


def _other_flow(values: Values) -> Solution:
    coil = measured_coil(values, flow=1.0)
    indoor = float(coil.return_air.wet_bulb)
    share = values["flow_share"]
    ratio = float(AIR_CONDITIONER.capacity_ratio(indoor, OUTDOOR, share)) / float(
        AIR_CONDITIONER.capacity_ratio(indoor, OUTDOOR)
    )
    then = predict_coil(coil, dry_air_mass_flow=share, capacity_ratio=ratio)
    colder = float(then.apparatus_dew_point) < float(coil.apparatus_dew_point)
    more_water = float(then.capacity.sensible_heat_ratio) < float(coil.sensible_heat_ratio)
    warmer_supply = float(then.supply_air.dry_bulb) > values["supply_dry_bulb"]
    answer = (
        0
        if colder and more_water and not warmer_supply
        else 1
        if not (colder or more_water) and warmer_supply
        else math.nan
    )
    return Solution(answer, (
        Step("Apparatus dew point as measured", float(coil.apparatus_dew_point), "temperature"),
        Step("Apparatus dew point at the other airflow", float(then.apparatus_dew_point), "temperature"),
        Step("Supply dry bulb as measured", values["supply_dry_bulb"], "temperature"),
        Step("Supply dry bulb at the other airflow", float(then.supply_air.dry_bulb), "temperature"),
        Step("Sensible heat ratio as measured", float(coil.sensible_heat_ratio), "fraction"),
        Step("Sensible heat ratio at the other airflow", float(then.capacity.sensible_heat_ratio), "fraction"),
        Step("Total capacity at the other airflow, of what it was", ratio, "percentage"),
    ))  # fmt: skip


def _other_return(values: Values) -> Solution:
    coil = measured_coil(values, flow=1.0)
    air = MoistAir.from_relative_humidity(values["return_dry_bulb"], values["later_humidity"], SEA_LEVEL_PRESSURE)
    before, after = (float(AIR_CONDITIONER.capacity_ratio(float(a.wet_bulb), OUTDOOR)) for a in (coil.return_air, air))
    then = predict_coil(coil, return_air=air, capacity_ratio=after / before)
    rises = (
        float(then.capacity.total) > float(coil.enthalpy_difference),
        float(then.supply_air.dry_bulb) > values["supply_dry_bulb"],
        float(then.capacity.sensible_heat_ratio) < float(coil.sensible_heat_ratio),
    )
    answer = 0 if all(rises) else 1 if not any(rises) else math.nan
    return Solution(answer, (
        Step("Return wet bulb before", float(coil.return_air.wet_bulb), "temperature"),
        Step("Return wet bulb after", float(air.wet_bulb), "temperature"),
        Step("Total capacity after, of what it was", after / before, "percentage"),
        Step("Supply dry bulb before", values["supply_dry_bulb"], "temperature"),
        Step("Supply dry bulb after", float(then.supply_air.dry_bulb), "temperature"),
        Step("Sensible heat ratio before", float(coil.sensible_heat_ratio), "fraction"),
        Step("Sensible heat ratio after", float(then.capacity.sensible_heat_ratio), "fraction"),
    ))  # fmt: skip


def _wet_or_dry(values: Values) -> Solution:
    air = MoistAir.from_relative_humidity(values["return_dry_bulb"], values["return_humidity"], SEA_LEVEL_PRESSURE)
    return Solution(0.0 if values["surface"] < float(air.dew_point) else 1.0, (
        Step("Dew point of the return air", float(air.dew_point), "temperature"),
        Step("Coldest part of the surface", values["surface"], "temperature"),
    ))  # fmt: skip


def _is_off_dew_point(values: Values) -> bool:
    air = MoistAir.from_relative_humidity(values["return_dry_bulb"], values["return_humidity"], SEA_LEVEL_PRESSURE)
    return bool(abs(values["surface"] - float(air.dew_point)) > 1.0)


def _meeting(values: Values) -> Solution:
    coil = measured_coil(values)
    place = {CoilStatus.WET: 0, CoilStatus.NO_MEETING: 1, CoilStatus.DRY: 2}
    assert isinstance(coil.status, CoilStatus)
    answer = place.get(coil.status, math.nan)
    steps = [
        Step("Humidity ratio of the return air", float(coil.return_air.humidity_ratio), "humidity_ratio"),
        Step("Humidity ratio of the supply air", float(coil.supply_air.humidity_ratio), "humidity_ratio"),
    ]
    if answer == 0:
        steps.append(
            Step(
                "The line from return through supply meets saturation at",
                float(coil.apparatus_dew_point),
                "temperature",
            )
        )
    return Solution(answer, tuple(steps))


def _is_clear_meeting(values: Values) -> bool:
    """Not where one percent of humidity would make another answer."""
    found = {
        measured_coil({**values, "supply_humidity": values["supply_humidity"] + d}).status for d in (-0.02, 0.0, 0.02)
    }
    return len(found) == 1 and CoilStatus.DRY not in found


COIL_CHOICES = (
    QuestionKind(
        name="coil_at_another_airflow",
        lesson=6,
        title="The same coil at another airflow",
        ask="The coil of a clinic at sea level: return air {return_dry_bulb} and {return_humidity} relative humidity, supply air "
        "{supply_dry_bulb} and {supply_humidity}. The airflow is brought to {flow_share} of what it was; the return air stays. What will the "
        "coil do?",
        kind="count",
        parameters=(*RETURN_AIR, *SUPPLY_AIR, Parameter("flow_share", "percentage", 0.65, 1.35, (5.0, 5.0))),
        solve=_other_flow,
        limits=(0, 2),
        hints=(
            "Capacity changes less than the airflow does. So what happens to each pound or kilogram of air?",
            "A colder surface takes more water beside the heat.",
        ),
        options=(
            "Surface and supply air get colder; relatively more water is taken",
            "Surface and supply air get warmer; relatively less water is taken",
            "Surface, supply air and the share of water stay as they are",
        ),
        because=(
            "That is what less air does: each pound or kilogram gives up more heat, and a colder surface takes more water. More air does the "
            "opposite.",
            "That is what more air does: each pound or kilogram gives up less heat, and a warmer surface takes less water. Less air does the "
            "opposite.",
            "That would be so if the capacity fell and rose exactly with the airflow. It changes much less.",
        ),
        possible=lambda v: _is_plain_coil(v) and abs(v["flow_share"] - 1) > 0.12,
        source=CURVE_SOURCE,
    ),
    QuestionKind(
        name="coil_with_another_return_humidity",
        lesson=6,
        title="The same coil on a damper or a drier day",
        ask="A bakery's coil at sea level: return air {return_dry_bulb} and {return_humidity} relative humidity, supply air {supply_dry_bulb} "
        "and {supply_humidity}. An hour later the return air is at {later_humidity} relative humidity, at the same dry bulb, airflow and "
        "outdoor air. What has changed?",
        kind="count",
        parameters=(*RETURN_AIR, *SUPPLY_AIR, Parameter("later_humidity", "relative_humidity", 0.40, 0.68, (1.0, 1.0))),
        solve=_other_return,
        limits=(0, 2),
        hints=(
            "The capacity of such a coil goes with the wet bulb of the return air.",
            "Part of the capacity goes into water. What is left for the dry bulb?",
        ),
        options=(
            "More total capacity, but warmer supply air: more of it goes into water",
            "Less total capacity, but colder supply air: less of it goes into water",
            "Nothing: the return dry bulb has not changed",
        ),
        because=(
            "That is what damper return air does: the wet bulb is higher, so the coil does more, and the water takes more than that. Drier air "
            "does the opposite.",
            "That is what drier return air does: the wet bulb is lower, so the coil does less, but less of it goes into water. Damper air does "
            "the opposite.",
            "The dry bulb has stayed, the wet bulb has not. A wet coil answers to the wet bulb.",
        ),
        possible=lambda v: _is_plain_coil(v) and abs(v["later_humidity"] - v["return_humidity"]) > 0.06,
        source=CURVE_SOURCE,
    ),
    QuestionKind(
        name="is_the_coil_wet",
        needs=("saturation",),
        lesson=6,
        title="Wet or dry?",
        ask="The return air of a museum at sea level is at {return_dry_bulb} and {return_humidity} relative humidity. The coldest part of the "
        "coil's surface is at {surface}. Does the coil take water?",
        kind="count",
        parameters=(
            Parameter("return_dry_bulb", "temperature", 22.0, 27.0, (0.5, 0.5)),
            Parameter("return_humidity", "relative_humidity", 0.28, 0.58, (1.0, 1.0)),
            Parameter("surface", "temperature", 6.0, 16.0, (0.5, 0.5)),
        ),
        solve=_wet_or_dry,
        limits=(0, 2),
        hints=("What is the dew point of the return air?", "Compare it with the coldest part of the surface."),
        options=("Yes, it is wet", "No, it is dry", "Only where the return air is saturated"),
        because=(
            "A coil is wet where its surface is colder than the dew point of the return air. Work out the dew point and compare.",
            "A coil is dry where all of its surface is warmer than the dew point of the return air. Then the supply air has all the water "
            "that the return air brought. Work out the dew point and compare.",
            "The return air need not be saturated. It is enough that the air at the fins is cooled below its dew point.",
        ),
        possible=_is_off_dew_point,
        source="ASHRAE Handbook—Fundamentals (2017) ch. 1, definition of dew point",
    ),
    QuestionKind(
        name="does_the_line_meet_saturation",
        needs=("chart",),
        lesson=6,
        title="Is there an apparatus dew point?",
        ask="A school at sea level. Return air: {return_dry_bulb} and {return_humidity} relative humidity. Supply air, read far down the duct: "
        "{supply_dry_bulb} and {supply_humidity}. Draw the straight line. What do you find?",
        kind="count",
        parameters=(
            *RETURN_AIR,
            Parameter("supply_dry_bulb", "temperature", 12.0, 17.5, (0.1, 0.1)),
            Parameter("supply_humidity", "relative_humidity", 0.52, 0.92, (1.0, 1.0)),
        ),
        solve=_meeting,
        limits=(0, 2),
        hints=(
            "Find both states on the chart and lay a ruler through them.",
            "Does the ruler touch the saturation line, or does it pass below it?",
        ),
        options=(
            "The line meets saturation: there is an apparatus dew point",
            "The line misses saturation: one coil alone cannot make such air",
            "The line is level: the coil is dry",
        ),
        because=(
            "If the ruler meets the saturation line, the temperature there is the apparatus dew point.",
            "If the ruler passes below the saturation line, the supply air is warmer or drier than one coil can make it. Look for heat between "
            "coil and probe, air that goes round the coil, or a humidity reading that is off.",
            "A dry coil leaves the humidity ratio as it is. Here it has changed: compare the two.",
        ),
        possible=_is_clear_meeting,
        source=BYPASS_SOURCE,
    ),
)  # fmt: skip
