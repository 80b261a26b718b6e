"""Questions of lesson 4 about fan heat, outdoor air, electric power and the plate."""

from __future__ import annotations

from airside.air.process import Capacity, delivered_capacity, mix
from airside.air.state import MoistAir
from airside.teach.kinds.stated_states import HILLS, MASS_FLOW
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, from_inside, to_inside

MIXING = "ASHRAE Handbook—Fundamentals (2017) ch. 1, adiabatic mixing, Eq. 43 to 45"
FAN_HEAT = "ASHRAE Standard 37, the fan's heat in the delivered capacity (from memory)"
PRACTICE = "common practice, no source"

PROBED = Parameter("probed", "capacity", 9000.0, 19000.0, (100.0, 0.05))
FAN_POWER = Parameter("fan_power", "power", 350.0, 950.0, (0.01, 0.01))


def _probed(values: Values, *, fan_between_probes: bool) -> Capacity:
    """The library's capacity with fan, for two states and a flow that show the stated figure at the probes."""
    back = MoistAir.from_humidity_ratio(24.0, 0.0105, HILLS)
    supply = MoistAir.from_humidity_ratio(13.0, 0.009, HILLS)
    flow = float(values["probed"]) / (float(back.enthalpy) - float(supply.enthalpy))
    return delivered_capacity(back, supply, flow, fan_power=values["fan_power"], fan_between_probes=fan_between_probes)


def _gross(values: Values) -> Solution:
    gross = _probed(values, fan_between_probes=True).gross
    assert gross is not None
    return Solution(float(gross), (
        Step("Delivered, as the probes on both sides of coil and fan show it", values["probed"], "capacity"),
        Step("Fan power, all of which becomes heat in the air (1 kW is 3,412 Btu/h)", values["fan_power"], "capacity",
             written=("{fan_power} × 3,412 Btu/h per kW", "")),
        Step("The coil has to take that heat as well: the two added", float(gross), "capacity", written="{-2} + {-1}"),
    ))  # fmt: skip


def _delivered(values: Values) -> Solution:
    total = float(_probed(values, fan_between_probes=False).total)
    return Solution(total, (
        Step("What the coil does, as the probes before and behind it show", values["probed"], "capacity"),
        Step("Fan power, all of which becomes heat in the air (1 kW is 3,412 Btu/h)", values["fan_power"], "capacity",
             written=("{fan_power} × 3,412 Btu/h per kW", "")),
        Step("The rooms get the coil's capacity less the fan's heat", total, "capacity", written="{-2} − {-1}"),
    ))  # fmt: skip


def _kilowatt_as_thousand(values: Values, sign: int) -> float:
    """Fan power in kW taken for thousands of Btu/h."""
    fan = float(from_inside(values["fan_power"], "power", "IP")) * 1000
    return float(values["probed"]) + sign * float(to_inside(fan, "capacity", "IP"))


RETURN_RATIO = 0.0095


def _mixed(values: Values, share: float) -> MoistAir:
    outdoor = MoistAir.from_humidity_ratio(values["outdoor_dry_bulb"], RETURN_RATIO, HILLS)
    back = MoistAir.from_humidity_ratio(values["return_dry_bulb"], RETURN_RATIO, HILLS)
    return mix(outdoor, share, back, 1 - share)


def _mixed_dry_bulb(values: Values) -> Solution:
    mixed = float(_mixed(values, values["outdoor_share"]).dry_bulb)
    return Solution(mixed, (
        Step("Outdoor less return dry bulb", values["outdoor_dry_bulb"] - values["return_dry_bulb"], "temperature_difference",
             written="{outdoor_dry_bulb} − {return_dry_bulb}"),
        Step("Outdoor air's share of that", mixed - values["return_dry_bulb"], "temperature_difference", written="{outdoor_share} × {-1}"),
        Step("Added to the return dry bulb", mixed, "temperature", written="{return_dry_bulb} + {-1}"),
    ))  # fmt: skip


def _entering(values: Values, share: float) -> MoistAir:
    """Air before the coil, from the stated enthalpies; the dry bulbs are usual ones and fall out."""
    outdoor = MoistAir.from_enthalpy(33.0, values["outdoor_enthalpy"], HILLS)
    back = MoistAir.from_enthalpy(24.0, values["return_enthalpy"], HILLS)
    return mix(outdoor, share, back, 1 - share)


def _coil_total(values: Values, share: float) -> float:
    supply = MoistAir.from_enthalpy(13.0, values["supply_enthalpy"], HILLS)
    return float(delivered_capacity(_entering(values, share), supply, float(values["mass_flow"])).total)


def _coil_with_outdoor_air(values: Values) -> Solution:
    share = float(values["outdoor_share"])
    mixed, back = float(_entering(values, share).enthalpy), float(values["return_enthalpy"])
    return Solution(_coil_total(values, share), (
        Step("Outdoor less return enthalpy", float(values["outdoor_enthalpy"]) - back, "enthalpy_difference",
             written="{outdoor_enthalpy} − {return_enthalpy}"),
        Step("Outdoor air's share of that", mixed - back, "enthalpy_difference", written="{outdoor_share} × {-1}"),
        Step("Added to the return: enthalpy of the mixed air", mixed, "enthalpy", written="{return_enthalpy} + {-1}"),
        Step("Mixed less supply enthalpy", mixed - float(values["supply_enthalpy"]), "enthalpy_difference",
             written="{-1} − {supply_enthalpy}"),
        Step("Dry air times that difference", _coil_total(values, share), "capacity", written="{mass_flow} × {-1}"),
    ))  # fmt: skip


def _efficiency(values: Values) -> Solution:
    power = float(values["outdoor_unit"] + values["indoor_fan"])
    return Solution(float(values["delivered"]) / power, (
        Step("Delivered capacity", values["delivered"], "capacity"),
        Step("Electric power of the whole: outdoor unit and indoor fan", power, "power", written="{outdoor_unit} + {indoor_fan}"),
        Step("Capacity over power (in IP, Btu/h over watts)", float(values["delivered"]) / power, "efficiency",
             written=("{-2} ÷ ({-1} × 1,000 W/kW)", "{-2} ÷ {-1}")),
    ))  # fmt: skip


def _without_conversion(values: Values) -> float:
    # Watts over watts, written where Btu/h over watts belong.
    return float(to_inside(_efficiency(values).answer, "efficiency", "IP"))


def _share_of_nominal(values: Values) -> Solution:
    share = float(values["total"]) / float(values["nominal"])
    return Solution(share, (
        Step("Plate, as a capacity (a ton is 12,000 Btu/h)", values["nominal"], "capacity",
             written=("{nominal} × 12,000 Btu/h per ton", "")),
        Step("Total capacity delivered", values["total"], "capacity"),
        Step("Delivered over plate", share, "percentage", written="{-1} ÷ {-2}"),
    ))  # fmt: skip


def _kilowatts_to_tons(values: Values, units: UnitSystem) -> float:
    return float(values["total"]) / 1000 / float(from_inside(values["nominal"], "nominal_capacity", units))


CAPACITY_FAN_AND_POWER = (
    QuestionKind(
        name="gross_capacity_of_the_coil",
        lesson=4,
        title="Gross capacity of the coil, from the delivered one",
        ask="At a school the probes sit in the return duct and in the supply duct, with coil and fan between them. They show a total of "
        "{probed}. The fan takes {fan_power}. What is the gross capacity of the coil?",
        kind="capacity",
        parameters=(PROBED, FAN_POWER),
        solve=_gross,
        limits=(9000.0, 21000.0),
        hints=(
            "All electric power of the fan ends as heat in the air.",
            "The probes see the coil's cooling after the fan has eaten a part of it.",
            "So the coil does more than the probes show: add the fan. 1 kW is 3,412 Btu/h.",
        ),
        slips=(
            Slip("fan heat not counted", lambda v, u: v["probed"],
                 "That is the delivered capacity. The coil also carries off the fan's heat, so its own figure is larger."),
            Slip("fan heat taken off", lambda v, u: float(_probed(v, fan_between_probes=False).total),
                 "The fan's heat was taken off. The probes already show the figure after the fan; for the coil alone, add it."),
            Slip("kW as thousands of Btu/h", lambda v, u: _kilowatt_as_thousand(v, 1),
                 "The fan's kW was counted as thousands of Btu/h. 1 kW is 3,412 Btu/h.", systems=("IP",)),
        ),
        source=FAN_HEAT,
    ),
    QuestionKind(
        name="delivered_when_probes_span_the_coil",
        lesson=4,
        title="Delivered capacity, from probes at the coil alone",
        ask="At a clinic both probes sit inside the unit, right before and right behind the coil; the fan is further on. They show a total of "
        "{probed}. The fan takes {fan_power}. What total capacity reaches the rooms?",
        kind="capacity",
        parameters=(PROBED, FAN_POWER),
        solve=_delivered,
        limits=(7500.0, 19000.0),
        hints=(
            "What lies between the probes, and what does not?",
            "After the coil the air passes the fan and takes up its heat.",
            "The rooms get less than the coil does: take the fan off. 1 kW is 3,412 Btu/h.",
        ),
        slips=(
            Slip("fan heat not counted", lambda v, u: v["probed"],
                 "That is the coil's own capacity. Behind the probes the fan still warms the air: take its heat off."),
            Slip("fan heat added", lambda v, u: float(_probed(v, fan_between_probes=True).gross or 0.0),
                 "The fan's heat was added. It warms the cold air on its way to the rooms, so it takes from the cooling."),
            Slip("kW as thousands of Btu/h", lambda v, u: _kilowatt_as_thousand(v, -1),
                 "The fan's kW was counted as thousands of Btu/h. 1 kW is 3,412 Btu/h.", systems=("IP",)),
        ),
        source=FAN_HEAT,
    ),
    QuestionKind(
        name="dry_bulb_of_outdoor_and_return_air_mixed",
        lesson=4,
        title="Dry bulb of mixed air",
        ask="A library's unit takes in {outdoor_share} outdoor air (by weight) at {outdoor_dry_bulb}; the rest is return air at "
        "{return_dry_bulb}. At what dry bulb does the mixture reach the coil?",
        kind="temperature",
        parameters=(
            Parameter("outdoor_share", "percentage", 0.12, 0.38, (1.0, 1.0)),
            Parameter("outdoor_dry_bulb", "temperature", 32.0, 40.0, (0.5, 0.5)),
            Parameter("return_dry_bulb", "temperature", 22.0, 26.0, (0.5, 0.5)),
        ),
        solve=_mixed_dry_bulb,
        limits=(22.0, 34.0),
        hints=(
            "The mixture lies between the two, nearer to the air of which there is more.",
            "It goes the outdoor air's share of the way from return to outdoor.",
        ),
        slips=(
            Slip("half and half", lambda v, u: float(_mixed(v, 0.5).dry_bulb),
                 "That is the middle of the two. There is more return air than outdoor air: weigh them by their shares."),
            Slip("shares swapped", lambda v, u: float(_mixed(v, 1 - v["outdoor_share"]).dry_bulb),
                 "The shares were swapped. The larger share is return air, so the mixture lies near the return."),
            Slip("return taken for mixed air", lambda v, u: float(v["return_dry_bulb"]),
                 "That is the return air before the outdoor air comes in. The coil meets the mixture."),
        ),
        source=MIXING,
    ),
    QuestionKind(
        name="coil_total_with_outdoor_air",
        lesson=4,
        title="Total capacity of a coil that meets mixed air",
        ask="{mass_flow} of dry air goes through the coil of a clinic; {outdoor_share} of it is outdoor air. Enthalpies: outdoor "
        "{outdoor_enthalpy}, return {return_enthalpy}, supply {supply_enthalpy}. What total does the coil take from the air that reaches it?",
        kind="capacity",
        parameters=(
            MASS_FLOW,
            Parameter("outdoor_share", "percentage", 0.12, 0.35, (1.0, 1.0)),
            Parameter("outdoor_enthalpy", "enthalpy", 62.0e3, 82.0e3, (0.1, 0.1)),
            Parameter("return_enthalpy", "enthalpy", 45.0e3, 53.0e3, (0.05, 0.1)),
            Parameter("supply_enthalpy", "enthalpy", 33.0e3, 38.0e3, (0.05, 0.1)),
        ),
        solve=_coil_with_outdoor_air,
        limits=(4000.0, 35000.0),
        hints=(
            "Which air meets the coil? The mixture, not the return air.",
            "The mixture's enthalpy goes the outdoor air's share of the way from return to outdoor.",
            "Then dry air times mixed less supply enthalpy.",
        ),
        slips=(
            Slip("return taken for mixed air", lambda v, u: _coil_total(v, 0.0),
                 "That is from return to supply. The coil also cools the outdoor air down: begin at the mixture."),
            Slip("outdoor air alone", lambda v, u: _coil_total(v, 1.0),
                 "That takes all of the air as outdoor air. Only a share of it comes from outdoors."),
            Slip("half and half", lambda v, u: _coil_total(v, 0.5),
                 "That takes the middle of the two enthalpies. Weigh them by their shares."),
        ),
        source=MIXING,
    ),
    QuestionKind(
        name="efficiency_with_all_power",
        lesson=4,
        title="Efficiency: capacity over which power?",
        ask="A unit at a laundry delivers {delivered}. Its outdoor unit takes {outdoor_unit}, its indoor fan {indoor_fan}. What is its efficiency "
        "(EER in Btu/Wh, or COP in W/W)?",
        kind="efficiency",
        parameters=(
            Parameter("delivered", "capacity", 11000.0, 17000.0, (100.0, 0.05)),
            Parameter("outdoor_unit", "power", 3200.0, 5400.0, (0.02, 0.02)),
            Parameter("indoor_fan", "power", 400.0, 900.0, (0.01, 0.01)),
        ),
        solve=_efficiency,
        limits=(2.3, 4.5),
        hints=(
            "Delivered capacity has the fan's heat in it. So its power belongs in too.",
            "Add both powers. In IP take them in watts.",
            "Capacity over power: Btu/h over W, or kW over kW.",
        ),
        slips=(
            Slip("outdoor unit's power alone", lambda v, u: v["delivered"] / v["outdoor_unit"],
                 "The indoor fan was left out. The delivered capacity needs both units running: count both powers."),
            Slip("gross capacity for the delivered one",
                 lambda v, u: (v["delivered"] + v["indoor_fan"]) / (v["outdoor_unit"] + v["indoor_fan"]),
                 "The fan's heat was added to the capacity. What counts is what reaches the rooms: the delivered figure."),
            Slip("W/W for Btu/Wh", lambda v, u: _without_conversion(v),
                 "That is watts over watts. In Btu/Wh the capacity stays in Btu/h: 3.412 times as much.", systems=("IP",)),
        ),
        source="10 CFR 430 subpart B appendix M1, net capacity over the total power of the unit",
    ),
    QuestionKind(
        name="share_of_nominal_capacity",
        lesson=4,
        title="Delivered against the plate",
        ask="A unit's plate says {nominal}. Today it delivers a total of {total}, of which {sensible} is sensible. What share of its "
        "nominal capacity is that, in percent?",
        kind="percentage",
        parameters=(
            Parameter("nominal", "nominal_capacity", 8500.0, 18000.0, (0.5, 0.5), exact=True),
            Parameter("total", "capacity", 7000.0, 17000.0, (100.0, 0.05)),
            Parameter("sensible", "capacity", 5000.0, 13000.0, (100.0, 0.05)),
        ),
        solve=_share_of_nominal,
        limits=(0.6, 1.05),
        hints=(
            "Bring both to one unit: a ton is 12,000 Btu/h.",
            "The plate means the total, so take the total over the plate.",
        ),
        slips=(
            Slip("sensible for total", lambda v, u: v["sensible"] / v["nominal"],
                 "That is the sensible part over the plate. The plate means sensible and latent together."),
            Slip("upside down", lambda v, u: v["nominal"] / v["total"],
                 "That is plate over delivered. The plate is the whole, so it goes below."),
            Slip("kW over tons", _kilowatts_to_tons,
                 "Kilowatts were divided by tons. A ton is 3.517 kW, or 12,000 Btu/h.", systems=("IP",)),
        ),
        source=PRACTICE,
        possible=lambda v: 0.6 <= v["sensible"] / v["total"] <= 0.9,
    ),
    QuestionKind(
        name="what_nominal_capacity_promises",
        lesson=4,
        title="What the plate promises",
        ask="At a museum, on a hot afternoon and with dry return air, a unit delivers 88 % of the nominal capacity on its plate. What does that "
        "show?",
        kind="count",
        parameters=(),
        solve=lambda v: Solution(2),
        limits=(0, 2),
        hints=(
            "At which indoor wet bulb, and at which outdoor temperature, was the unit rated?",
            "Dry return air gives the coil less to do.",
        ),
        source=PRACTICE,
        options=(
            "The unit has lost 12 %: look for a fault",
            "The airflow is 12 % too low",
            "Nothing yet: first see what the unit should do at today's conditions",
        ),
        because=(
            "The plate holds at the rating conditions alone. Dry return air and heat outdoors lower the total without any fault.",
            "Capacity may be low for many reasons, and dry return air is one that is no fault at all. The airflow has to be measured.",
            "The plate holds at the rating conditions alone. Dry return air, heat outdoors and thin air lower the figure without any fault.",
        ),
    ),
)  # fmt: skip
