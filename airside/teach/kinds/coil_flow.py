"""Questions of lesson 6 about the same coil at another airflow, and about a dirty one."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.coil import CoilPerformance
from airside.air.coil_prediction import CoilPrediction, predict_coil
from airside.air.coil_status import CoilStatus
from airside.air.state import MoistAir
from airside.teach.kinds.coil_choices import BYPASS_SOURCE, RETURN_AIR, SUPPLY_AIR, measured_coil
from airside.teach.kinds.stated_air import USUAL_DRY_BULB, USUAL_HUMIDITY_RATIO
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

SURFACE_SOURCE = f"{BYPASS_SOURCE}; effective surface: -ln(bypass factor) times airflow"


def _with_bypass(bypass: float, flow: float) -> CoilPerformance:
    """A coil of which the question says bypass factor and flow alone; flows of one density compare as dry air does."""
    air = MoistAir.from_humidity_ratio(USUAL_DRY_BULB, USUAL_HUMIDITY_RATIO, SEA_LEVEL_PRESSURE)
    supply = MoistAir.from_relative_humidity(12.0, 0.92, SEA_LEVEL_PRESSURE)
    return CoilPerformance(air, supply, CoilStatus.WET, math.nan, bypass, bypass, flow)


def _surface(bypass: float, flow: float) -> float:
    return float(_with_bypass(bypass, flow).effective_surface)  # type: ignore[arg-type]


def _other_bypass(values: Values, before: float, after: float) -> float:
    return float(predict_coil(_with_bypass(values["bypass"], before), dry_air_mass_flow=after).bypass_factor)


def _bypass_then(values: Values) -> Solution:
    return Solution(_other_bypass(values, values["flow"], values["other_flow"]), (
        Step("Old airflow over new airflow", values["flow"] / values["other_flow"], "fraction", written="{flow} ÷ {other_flow}"),
        Step("The old bypass factor to the power of that, because the surface stays; a calculator's key for it says xʸ, or ^",
             _other_bypass(values, values["flow"], values["other_flow"]), "fraction", written="{bypass} ^ {-1}"),
    ))  # fmt: skip


def _left(values: Values) -> float:
    return _surface(values["dirty_bypass"], values["dirty_flow"]) / _surface(
        values["clean_bypass"], values["clean_flow"]
    )


def _surface_left(values: Values) -> Solution:
    clean, dirty = (
        float(_with_bypass(values[f"{n}_bypass"], values[f"{n}_flow"]).number_of_transfer_units) for n in ("clean", "dirty")
    )  # fmt: skip
    return Solution(_left(values), (
        Step("Clean: natural logarithm of the bypass factor, without its minus", clean, "fraction", written="ln(1 ÷ {clean_bypass})"),
        Step("Dirty: the same", dirty, "fraction", written="ln(1 ÷ {dirty_bypass})"),
        Step("Second over first", dirty / clean, "fraction", written="{-1} ÷ {-2}"),
        Step("Airflow dirty over airflow clean", values["dirty_flow"] / values["clean_flow"], "fraction",
             written="{dirty_flow} ÷ {clean_flow}"),
        Step("Both ratios multiplied", _left(values), "percentage", written="{-2} × {-1}"),
    ))  # fmt: skip


def _at_less(values: Values) -> CoilPrediction:
    """The measured coil at a part of its airflow; the capacity falls less than the airflow does."""
    coil = measured_coil(values, flow=1.0)
    return predict_coil(coil, dry_air_mass_flow=values["flow_share"], capacity_ratio=values["capacity_share"])


def _apparatus_then(values: Values) -> Solution:
    coil, then = measured_coil(values, flow=1.0), _at_less(values)
    each = float(then.return_air.enthalpy) - float(then.supply_air.enthalpy)
    at_surface = float(then.return_air.enthalpy) - each / (1 - float(then.bypass_factor))
    return Solution(float(then.apparatus_dew_point), (
        Step("Enthalpy of the return air", float(coil.return_air.enthalpy), "enthalpy"),
        Step("Enthalpy of the supply air as measured", float(coil.supply_air.enthalpy), "enthalpy"),
        Step("Enthalpy of the supply air then: the difference times capacity share over airflow share, off the return air's",
             float(then.supply_air.enthalpy), "enthalpy", written="{-2} − ({-2} − {-1}) × {capacity_share} ÷ {flow_share}"),
        Step("Bypass factor as measured", float(coil.bypass_factor), "fraction"),
        Step("Bypass factor then: at less airflow a smaller part goes past", float(then.bypass_factor), "fraction"),
        Step("Enthalpy at the surface then: the difference over (1 less bypass factor), off the return air's", at_surface, "enthalpy",
             written="{1} − ({1} − {3}) ÷ (1 − {5})"),
        Step("Saturated air of this enthalpy is at", float(then.apparatus_dew_point), "temperature"),
    ))  # fmt: skip


def _same_bypass(values: Values) -> float:
    """Apparatus dew point with the bypass factor of the measured flow kept."""
    coil = measured_coil(values, flow=1.0)
    # At the same flow the bypass factor stays; the capacity of each pound or kilogram is that of the lower flow.
    kept = predict_coil(coil, capacity_ratio=values["capacity_share"] / values["flow_share"])
    return float(kept.apparatus_dew_point)


def _is_sound(values: Values) -> bool:
    coil = measured_coil(values, flow=1.0)
    if not (math.isfinite(float(coil.bypass_factor)) and 0.05 < float(coil.bypass_factor) < 0.3):
        return False
    if not values["flow_share"] + 0.08 < values["capacity_share"]:
        return False
    return _at_less(values).status == CoilStatus.WET


FLOW = Parameter("flow", "volume_flow", 0.50, 0.95, (10.0, 5.0))

COIL_FLOW = (
    QuestionKind(
        name="bypass_factor_at_another_airflow",
        lesson=6,
        title="Bypass factor at another airflow",
        ask="The coil of a bakery has a bypass factor of {bypass} at {flow}. The blower is set to another speed, and the airflow is {other_flow}. "
        "The coil itself has not changed. What is its bypass factor now?",
        kind="fraction",
        parameters=(
            Parameter("bypass", "fraction", 0.08, 0.28, (0.01, 0.01)),
            FLOW,
            Parameter("other_flow", "volume_flow", 0.40, 1.05, (10.0, 5.0)),
        ),
        solve=_bypass_then,
        limits=(0.02, 0.45),
        hints=(
            "Slower air has more time at the fins: less of it goes past.",
            "What stays with the coil is the logarithm of the bypass factor times the airflow.",
            "New bypass factor: the old one to the power of old airflow over new airflow.",
        ),
        slips=(
            Slip("unchanged", lambda v, u: v["bypass"],
                 "The coil is the same, its bypass factor is not: it depends on how fast the air goes through."),
            Slip("plain proportion", lambda v, u: v["bypass"] * v["other_flow"] / v["flow"],
                 "That is a plain proportion. What goes in proportion is the logarithm of the bypass factor: use a power."),
            Slip("proportion upside down", lambda v, u: v["bypass"] * v["flow"] / v["other_flow"],
                 "That goes the wrong way, and by proportion. Less airflow makes the bypass factor smaller, by a power."),
            Slip("power upside down", lambda v, u: _other_bypass(v, v["other_flow"], v["flow"]),
                 "The power is upside down. Less airflow makes the bypass factor smaller: old airflow over new airflow."),
        ),
        possible=lambda v: 0.12 < abs(v["other_flow"] / v["flow"] - 1) < 0.45,
        source=SURFACE_SOURCE,
    ),
    QuestionKind(
        name="surface_left_of_a_dirty_coil",
        lesson=6,
        title="What dirt has left of the coil",
        ask="When a laundry's coil was new, its bypass factor was {clean_bypass} at {clean_flow}. Today, with lint between the fins, it is "
        "{dirty_bypass} at {dirty_flow}. How much of its effective surface is left, in percent of the new coil's?",
        kind="percentage",
        parameters=(
            Parameter("clean_bypass", "fraction", 0.08, 0.16, (0.01, 0.01)),
            Parameter("clean_flow", "volume_flow", 0.70, 0.95, (10.0, 5.0)),
            Parameter("dirty_bypass", "fraction", 0.15, 0.32, (0.01, 0.01)),
            Parameter("dirty_flow", "volume_flow", 0.45, 0.80, (10.0, 5.0)),
        ),
        solve=_surface_left,
        limits=(0.25, 0.85),
        hints=(
            "Effective surface: the natural logarithm of the bypass factor, without its minus, times the airflow.",
            "Work it out for both days. The second over the first is what is left.",
        ),
        slips=(
            Slip("airflow left out",
                 lambda v, u: _surface(v["dirty_bypass"], 1.0) / _surface(v["clean_bypass"], 1.0),
                 "You compared the logarithms alone. The dirty coil also has less airflow, which makes its bypass factor look better: multiply "
                 "by the airflows' ratio too."),
            Slip("airflow alone", lambda v, u: v["dirty_flow"] / v["clean_flow"],
                 "That is what is left of the airflow. The surface has suffered too: its bypass factor says how much."),
            Slip("ratio of bypass factors", lambda v, u: v["clean_bypass"] / v["dirty_bypass"],
                 "You set the bypass factors against each other. Take their logarithms, and the airflows."),
            Slip("what is lost", lambda v, u: 1 - _left(v),
                 "That is what is lost. Asked is what is left."),
        ),
        possible=lambda v: v["dirty_flow"] < v["clean_flow"] - 0.08 and v["dirty_bypass"] > v["clean_bypass"] + 0.03,
        source=SURFACE_SOURCE,
    ),
    QuestionKind(
        name="apparatus_dew_point_at_less_airflow",
        needs=("chart",),
        lesson=6,
        title="Apparatus dew point at less airflow",
        ask="A library's coil at sea level: return air {return_dry_bulb} and {return_humidity} relative humidity, supply air {supply_dry_bulb} "
        "and {supply_humidity}. A clogged filter brings the airflow down to {flow_share} of what it was; the total capacity comes down to "
        "{capacity_share}. The return air stays. What is the apparatus dew point then?",
        kind="temperature",
        parameters=(
            *RETURN_AIR,
            *SUPPLY_AIR,
            Parameter("flow_share", "percentage", 0.65, 0.85, (1.0, 1.0)),
            Parameter("capacity_share", "percentage", 0.86, 0.97, (1.0, 1.0)),
        ),
        solve=_apparatus_then,
        limits=(0.5, 13.0),
        hints=(
            "Each pound or kilogram of air now gives up more: capacity share over airflow share, times the old enthalpy difference.",
            "The bypass factor becomes smaller: the old one to the power of 1 over the airflow share.",
            "Enthalpy at the surface: return enthalpy less the new difference over (1 less bypass factor). Then look up the saturated air.",
        ),
        slips=(
            Slip("as before", lambda v, u: float(measured_coil(v).apparatus_dew_point),
                 "That is the apparatus dew point from before. With less air, each pound or kilogram gives up more heat, and the surface gets "
                 "colder."),
            Slip("bypass factor unchanged", lambda v, u: _same_bypass(v),
                 "You kept the old bypass factor. At less airflow a smaller part goes past, so the surface need not be quite that cold."),
        ),
        possible=_is_sound,
        source=f"{BYPASS_SOURCE}; method of airside.air.coil_prediction",
    ),
)  # fmt: skip
