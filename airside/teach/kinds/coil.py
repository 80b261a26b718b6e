"""Questions of lesson 6: the coil. Apparatus dew point and bypass factor here; other airflows, and choices, in modules of their own."""

from __future__ import annotations

import numpy as np

from airside.air import properties
from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.coil import CoilPerformance, coil_performance
from airside.air.process import mix
from airside.air.state import MoistAir
from airside.teach.kinds.coil_choices import (
    BYPASS_SOURCE,
    COIL_CHOICES,
    RETURN_AIR,
    SUPPLY_AIR,
    measured_coil,
    saturated,
)
from airside.teach.kinds.coil_flow import COIL_FLOW
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside, to_input, to_inside

FUNDAMENTALS = "ASHRAE Handbook—Fundamentals (2017) ch. 1"
# Relative humidity of the return air where a question leaves it open [fraction].
USUAL_HUMIDITY = 0.5


def _apparatus(values: Values) -> Solution:
    coil = measured_coil(values)
    return Solution(float(coil.apparatus_dew_point), (
        Step("Humidity ratio of the return air, from the chart", float(coil.return_air.humidity_ratio), "humidity_ratio"),
        Step("Humidity ratio of the supply air", float(coil.supply_air.humidity_ratio), "humidity_ratio"),
        Step("Draw a straight line from return through supply and on to the saturation line; the temperature there is",
             float(coil.apparatus_dew_point), "temperature"),
    ))  # fmt: skip


def _has_apparatus(values: Values) -> bool:
    coil = measured_coil(values)
    return float(coil.apparatus_dew_point) > 3.0 and float(coil.bypass_factor) < 0.35


def _on_the_line(values: Values) -> CoilPerformance:
    """A coil with these dry bulbs: supply air on the straight line from return air to saturation at the apparatus dew point."""
    start = MoistAir.from_relative_humidity(values["return_dry_bulb"], USUAL_HUMIDITY, SEA_LEVEL_PRESSURE)
    end = saturated(values["apparatus"])
    ratio = np.interp(
        values["supply_dry_bulb"], (values["apparatus"], values["return_dry_bulb"]),
        (float(end.humidity_ratio), float(start.humidity_ratio)),
    )  # fmt: skip
    return coil_performance(start, MoistAir(values["supply_dry_bulb"], float(ratio), SEA_LEVEL_PRESSURE))


def _bypass(values: Values) -> Solution:
    past, whole = (values[n] - values["apparatus"] for n in ("supply_dry_bulb", "return_dry_bulb"))
    return Solution(float(_on_the_line(values).dry_bulb_bypass_factor), (
        Step("Supply dry bulb less apparatus dew point: what is missing to the surface", past, "temperature_difference",
             written="{supply_dry_bulb} − {apparatus}"),
        Step("Return dry bulb less apparatus dew point: the whole way", whole, "temperature_difference",
             written="{return_dry_bulb} − {apparatus}"),
        Step("The first over the second", float(_on_the_line(values).dry_bulb_bypass_factor), "fraction", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _is_on_the_line(values: Values) -> bool:
    if not values["apparatus"] + 0.5 < values["supply_dry_bulb"] < values["return_dry_bulb"] - 6:
        return False
    return bool(abs(float(_on_the_line(values).apparatus_dew_point) - values["apparatus"]) < 0.01)


def _ratio_of_temperatures(values: Values, units: UnitSystem) -> float:
    supply, air = (float(to_input(values[n], "temperature", units)) for n in ("supply_dry_bulb", "return_dry_bulb"))
    return supply / air


def _leaving(values: Values, past: float) -> MoistAir:
    """Supply air: this part as it came, the rest saturated at the surface."""
    start = MoistAir.from_relative_humidity(values["return_dry_bulb"], USUAL_HUMIDITY, SEA_LEVEL_PRESSURE)
    return mix(start, past, saturated(values["apparatus"]), 1 - past)


def _supply(values: Values) -> Solution:
    whole = values["return_dry_bulb"] - values["apparatus"]
    left = float(_leaving(values, values["bypass"]).dry_bulb)
    return Solution(left, (
        Step("From apparatus dew point to return dry bulb, the whole way", whole, "temperature_difference",
             written="{return_dry_bulb} − {apparatus}"),
        Step("Bypass factor times that", values["bypass"] * whole, "temperature_difference", written="{bypass} × {-1}"),
        Step("Added to the apparatus dew point", left, "temperature", written="{apparatus} + {-1}"),
    ))  # fmt: skip


def _part_of_return(values: Values, units: UnitSystem) -> float:
    return float(
        to_inside(values["bypass"] * to_input(values["return_dry_bulb"], "temperature", units), "temperature", units)
    )


def _wet_leaving(values: Values, past: float) -> float:
    # Any warm air carries these humidity ratios.
    start, end = (MoistAir(30.0, values[n], SEA_LEVEL_PRESSURE) for n in ("return_ratio", "surface_ratio"))
    return float(mix(start, past, end, 1 - past).humidity_ratio)


def _supply_ratio(values: Values) -> Solution:
    whole = values["return_ratio"] - values["surface_ratio"]
    left = _wet_leaving(values, values["bypass"])
    return Solution(left, (
        Step("Return humidity ratio less that at the surface, the whole way", whole, "humidity_ratio",
             written="{return_ratio} − {surface_ratio}"),
        Step("Bypass factor times that", values["bypass"] * whole, "humidity_ratio", written="{bypass} × {-1}"),
        Step("Added to the humidity ratio at the surface", left, "humidity_ratio", written="{surface_ratio} + {-1}"),
    ))  # fmt: skip


def _sensible_share(values: Values) -> Solution:
    coil = measured_coil(values)
    # Return air dried to the supply's humidity ratio: the corner between sensible and latent.
    corner = float(properties.enthalpy(coil.return_air.dry_bulb, coil.supply_air.humidity_ratio))
    return Solution(float(coil.sensible_heat_ratio), (
        Step("Enthalpy of the return air", float(coil.return_air.enthalpy), "enthalpy"),
        Step("Enthalpy of the supply air", float(coil.supply_air.enthalpy), "enthalpy"),
        Step("Enthalpy at the return dry bulb and the supply humidity ratio: the corner between the two", corner, "enthalpy"),
        Step("Corner less supply, over return less supply", float(coil.sensible_heat_ratio), "fraction",
             written="({-1} − {-2}) ÷ ({-3} − {-2})"),
    ))  # fmt: skip


def _dry_bulb_over_enthalpy(values: Values, units: UnitSystem) -> float:
    """Degrees over Btu/lb or kJ/kg: the specific heat left out."""
    coil = measured_coil(values)
    degrees = float(
        difference_from_inside(values["return_dry_bulb"] - values["supply_dry_bulb"], "temperature_difference", units)
    )
    return degrees / float(difference_from_inside(coil.enthalpy_difference, "enthalpy", units))


def _wetting(values: Values) -> Solution:
    air = MoistAir.from_dew_point(values["return_dry_bulb"], values["surface"], SEA_LEVEL_PRESSURE)
    return Solution(float(air.relative_humidity), (
        Step("Saturation pressure of water at the surface", float(air.vapour_pressure), "vapour_pressure"),
        Step("Saturation pressure of water at the return dry bulb", float(properties.saturation_pressure(values["return_dry_bulb"])),
             "vapour_pressure"),
        Step("The first over the second", float(air.relative_humidity), "relative_humidity", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


APPARATUS = Parameter("apparatus", "temperature", 7.0, 11.0, (0.5, 0.5))
RETURN_DRY_BULB = Parameter("return_dry_bulb", "temperature", 23.0, 27.0, (0.5, 0.5))
BYPASS = Parameter("bypass", "fraction", 0.08, 0.30, (0.01, 0.01))

COIL_NUMBERS = (
    QuestionKind(
        name="apparatus_dew_point",
        needs=("chart",),
        lesson=6,
        title="Apparatus dew point",
        ask="A clinic at sea level. Return air: {return_dry_bulb} and {return_humidity} relative humidity. Supply air right after the coil: "
        "{supply_dry_bulb} and {supply_humidity}. What is the apparatus dew point of the coil?",
        kind="temperature",
        parameters=(*RETURN_AIR, *SUPPLY_AIR),
        solve=_apparatus,
        limits=(3.0, 14.0),
        hints=(
            "Find both states on the psychrometric chart.",
            "Draw a straight line from return through supply, and on until it meets the saturation line.",
            "Read the temperature at that point.",
        ),
        slips=(
            Slip("dew point of the supply air", lambda v, u: float(measured_coil(v).supply_air.dew_point),
                 "That is the dew point of the supply air: level to the left from the supply state. The apparatus dew point lies on the "
                 "straight line that goes on from return through supply."),
            Slip("dew point of the return air", lambda v, u: float(measured_coil(v).return_air.dew_point),
                 "That is the dew point of the return air. The coil's surface is colder than that, or it would take no water."),
            Slip("supply dry bulb", lambda v, u: v["supply_dry_bulb"],
                 "That is the supply air itself. It has not come down all the way: a part of it passed the coil as if untouched."),
            Slip("wet bulb of the return air", lambda v, u: float(measured_coil(v).return_air.wet_bulb),
                 "That is the wet bulb of the return air. Follow the line from return through supply instead."),
        ),
        possible=_has_apparatus,
        source=BYPASS_SOURCE,
    ),
    QuestionKind(
        name="bypass_factor_of_a_coil",
        lesson=6,
        title="Bypass factor from dry bulbs",
        ask="Air enters the coil of a school at {return_dry_bulb} and leaves it at {supply_dry_bulb}. The apparatus dew point is {apparatus}. "
        "What is the bypass factor, by dry bulb?",
        kind="fraction",
        parameters=(
            RETURN_DRY_BULB,
            Parameter("supply_dry_bulb", "temperature", 10.5, 15.0, (0.1, 0.1)),
            Parameter("apparatus", "temperature", 7.0, 11.5, (0.1, 0.1)),
        ),
        solve=_bypass,
        limits=(0.04, 0.40),
        hints=(
            "The bypass factor is the part of the air that goes past the coil as if untouched.",
            "How far is the supply air from the apparatus dew point? How far was the return air?",
            "The first over the second.",
        ),
        slips=(
            Slip("contact factor", lambda v, u: 1 - float(_on_the_line(v).dry_bulb_bypass_factor),
                 "That is the contact factor: the part that meets the coil. The bypass factor is the rest to one."),
            Slip("apparatus dew point left out", _ratio_of_temperatures,
                 "You set the temperatures themselves against each other. Count both from the apparatus dew point."),
            Slip("over the drop",
                 lambda v, u: (v["supply_dry_bulb"] - v["apparatus"]) / (v["return_dry_bulb"] - v["supply_dry_bulb"]),
                 "You divided by the drop from return to supply. Divide by the whole way, from return to the apparatus dew point."),
        ),
        decimals=(2, 2),
        possible=_is_on_the_line,
        source=BYPASS_SOURCE,
    ),
    QuestionKind(
        name="supply_from_bypass_factor",
        lesson=6,
        title="Supply dry bulb from the bypass factor",
        ask="A coil has an apparatus dew point of {apparatus} and a bypass factor of {bypass}. The return air is at {return_dry_bulb}. At what "
        "dry bulb does the air leave the coil?",
        kind="temperature",
        parameters=(APPARATUS, BYPASS, RETURN_DRY_BULB),
        solve=_supply,
        limits=(8.0, 17.0),
        hints=(
            "Think of two streams: one leaves at the apparatus dew point, the other is still return air.",
            "The bypass factor says how large the second stream is.",
            "From the apparatus dew point go that part of the way back to the return dry bulb.",
        ),
        slips=(
            Slip("bypass and contact mixed up", lambda v, u: float(_leaving(v, 1 - v["bypass"]).dry_bulb),
                 "The two streams have changed places. The bypass factor is the small part that stays return air."),
            Slip("surface itself", lambda v, u: v["apparatus"],
                 "That would be a coil that misses no air at all. A part of the air passes it: the supply air is warmer than the surface."),
            Slip("part of the return dry bulb", _part_of_return,
                 "You took the bypass factor of the return dry bulb alone. The rest of the air leaves at the apparatus dew point: add it."),
        ),
        source=BYPASS_SOURCE,
    ),
    QuestionKind(
        name="supply_humidity_from_bypass_factor",
        lesson=6,
        title="Supply humidity ratio from the bypass factor",
        ask="The return air of a museum has a humidity ratio of {return_ratio}. Air that is saturated at the apparatus dew point has "
        "{surface_ratio}. The bypass factor is {bypass}. With which humidity ratio does the air leave the coil?",
        kind="humidity_ratio",
        parameters=(
            Parameter("return_ratio", "humidity_ratio", 0.0085, 0.0115, (0.5, 0.1)),
            Parameter("surface_ratio", "humidity_ratio", 0.0062, 0.0080, (0.5, 0.1)),
            BYPASS,
        ),
        solve=_supply_ratio,
        limits=(0.0062, 0.0095),
        hints=(
            "Humidity ratios mix as dry bulbs do: two streams, one past the coil, one saturated at its surface.",
            "From the surface go the bypass factor's part of the way back to the return air.",
        ),
        slips=(
            Slip("bypass and contact mixed up", lambda v, u: _wet_leaving(v, 1 - v["bypass"]),
                 "The two streams have changed places. The bypass factor is the small part that keeps its moisture."),
            Slip("part of the return humidity", lambda v, u: v["bypass"] * v["return_ratio"],
                 "That is the moisture of the air that passed. The rest of the air leaves saturated, and has moisture too: add it."),
        ),
        possible=lambda v: v["return_ratio"] - v["surface_ratio"] > 0.0015,
        source=BYPASS_SOURCE,
    ),
    QuestionKind(
        name="sensible_heat_ratio_of_a_coil",
        needs=("chart",),
        lesson=6,
        title="Sensible heat ratio of a coil",
        ask="A restaurant at sea level. Air enters the coil at {return_dry_bulb} and {return_humidity} relative humidity, and leaves it at "
        "{supply_dry_bulb} and {supply_humidity}. What is the sensible heat ratio?",
        kind="fraction",
        parameters=(*RETURN_AIR, *SUPPLY_AIR),
        solve=_sensible_share,
        limits=(0.5, 0.97),
        hints=(
            "Read the enthalpies of both states.",
            "Go from supply level to the right, to the return dry bulb. That part of the way is sensible; the part straight up is latent.",
            "Sensible heat ratio: the sensible part over the whole.",
        ),
        slips=(
            Slip("latent for sensible", lambda v, u: 1 - float(measured_coil(v).sensible_heat_ratio),
                 "That is the latent part. The sensible heat ratio is the other one."),
            Slip("sensible over latent",
                 lambda v, u: 1 / (1 / float(measured_coil(v).sensible_heat_ratio) - 1),
                 "That is sensible over latent. Divide by the total, sensible and latent together."),
            Slip("specific heat left out", _dry_bulb_over_enthalpy,
                 "You divided degrees by enthalpy. Turn the degrees into heat first: about 0.244 Btu per pound and °F.", ("IP",)),
        ),
        decimals=(2, 2),
        possible=_has_apparatus,
        source=f"{FUNDAMENTALS}, Eq. 30 and 39",
    ),
    QuestionKind(
        name="humidity_that_wets_the_coil",
        needs=("saturation",),
        lesson=6,
        title="From which humidity on the coil is wet",
        ask="The coil of a computer room has a surface of {surface} all over. The return air is at {return_dry_bulb}, at sea level. From which "
        "relative humidity of the return air on does the coil take water?",
        kind="relative_humidity",
        parameters=(
            Parameter("surface", "temperature", 8.0, 15.0, (0.5, 0.5)),
            Parameter("return_dry_bulb", "temperature", 22.0, 28.0, (0.5, 0.5)),
        ),
        solve=_wetting,
        limits=(0.25, 0.7),
        hints=(
            "A surface takes water when it is colder than the dew point of the air.",
            "Just at the limit the dew point equals the surface temperature.",
            "Relative humidity: saturation pressure at the dew point, over that at the dry bulb.",
        ),
        slips=(
            Slip("ratio of temperatures",
                 lambda v, u: float(to_input(v["surface"], "temperature", u)) / float(to_input(v["return_dry_bulb"], "temperature", u)),
                 "Surface over dry bulb says nothing: degrees are no amounts of water. Set the saturation pressures against each other."),
            Slip("surface taken as wet bulb",
                 lambda v, u: float(MoistAir.from_wet_bulb(v["return_dry_bulb"], v["surface"], SEA_LEVEL_PRESSURE, impossible="nan").relative_humidity),
                 "You took the surface temperature as the wet bulb of the air. What counts is the dew point."),
        ),
        source=f"{FUNDAMENTALS}, Eq. 12 and 36",
    ),
)  # fmt: skip

COIL = (*COIL_NUMBERS, *COIL_FLOW, *COIL_CHOICES)
