"""Questions of lesson 4: total, sensible and latent capacity from two states and an airflow; moisture, fan and power beside it."""

from __future__ import annotations

from airside.teach.kinds.capacity_fan_and_power import CAPACITY_FAN_AND_POWER
from airside.teach.kinds.capacity_moisture import CAPACITY_MOISTURE
from airside.teach.kinds.stated_air import heat_per_degree
from airside.teach.kinds.stated_states import (
    DRY_BULBS,
    ENTHALPIES,
    FLOW,
    MASS_FLOW,
    SUPPLY_VOLUME,
    capacity_of,
    is_believable,
    supply_flow,
    textbook,
)
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, to_inside

METHOD = "ASHRAE Standard 37; ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 39 and 40"
PRACTICE = "common practice, no source"


def _enthalpy_steps(values: Values) -> tuple[Step, ...]:
    return (
        Step("Enthalpy of the return air", values["return_enthalpy"], "enthalpy"),
        Step("Enthalpy of the supply air", values["supply_enthalpy"], "enthalpy"),
        Step(
            "Difference: what each unit of dry air gives off",
            values["return_enthalpy"] - values["supply_enthalpy"],
            "enthalpy_difference",
            written="{-2} − {-1}",
        ),
    )


def _dry_air_step(values: Values) -> Step:
    return Step("Dry air: flow over specific volume (in IP, times 60, for the hour)",
                float(supply_flow(values).dry_air_mass_flow), "mass_flow",
                written=("{flow} ÷ {supply_volume} × 60 min/h", "{flow} ÷ {supply_volume} ÷ 1,000 L/m³"))  # fmt: skip


def _total(values: Values) -> Solution:
    total = float(capacity_of(values).total)
    return Solution(total, (
        Step("Dry air", values["mass_flow"], "mass_flow"),
        *_enthalpy_steps(values),
        Step("Total capacity: dry air times that difference", total, "capacity", written="{1} × {-1}"),
    ))  # fmt: skip


def _return_alone(values: Values, units: UnitSystem) -> float:
    # Counted from the zero of the unit system, as one reads it from the chart.
    return float(values["mass_flow"]) * (float(values["return_enthalpy"]) - float(to_inside(0.0, "enthalpy", units)))


def _both_added(values: Values, units: UnitSystem) -> float:
    zero = float(to_inside(0.0, "enthalpy", units))
    return float(values["mass_flow"]) * float(values["return_enthalpy"] + values["supply_enthalpy"] - 2 * zero)


def _total_from_flow(values: Values) -> Solution:
    total = float(capacity_of(values).total)
    return Solution(total, (
        _dry_air_step(values),
        *_enthalpy_steps(values),
        Step("Total capacity: dry air times that difference", total, "capacity", written="{1} × {-1}"),
    ))  # fmt: skip


def _where_read(values: Values) -> Solution:
    total = float(capacity_of(values).total)
    return Solution(total, (
        Step("Specific volume where the flow was read: in the supply duct", values["supply_volume"], "specific_volume"),
        _dry_air_step(values),
        *_enthalpy_steps(values),
        Step("Total capacity: dry air times that difference", total, "capacity", written="{2} × {-1}"),
    ))  # fmt: skip


def _as_if_at_return(values: Values) -> float:
    return float(capacity_of({**values, "supply_volume": values["return_volume"]}).total)


DROP = "({return_dry_bulb} − {supply_dry_bulb})"
EACH = "0.244 Btu per lb and °F (1.02 kJ per kg and K; to one place more in the sum)"


def _heat_per_degree(values: Values) -> tuple[str, str]:
    found, drop = capacity_of(values), values["return_dry_bulb"] - values["supply_dry_bulb"]
    return heat_per_degree(float(found.sensible), float(found.dry_air_mass_flow), drop)


def _sensible(values: Values) -> Solution:
    found = capacity_of(values)
    sensible, each = float(found.sensible), _heat_per_degree(values)
    return Solution(sensible, (
        _dry_air_step(values),
        Step("Return less supply dry bulb", values["return_dry_bulb"] - values["supply_dry_bulb"], "temperature_difference",
             written="{return_dry_bulb} − {supply_dry_bulb}"),
        Step(f"Sensible capacity: dry air, times {EACH}, times that difference",
             sensible, "capacity", written=(f"{{1}} × {each[0]} × {{-1}}", f"{{1}} × {each[1]} × {{-1}}")),
    ))  # fmt: skip


def _ratio(values: Values) -> Solution:
    found, each = capacity_of(values), _heat_per_degree(values)
    return Solution(float(found.sensible_heat_ratio), (
        Step(f"Sensible: dry air, times {EACH}, times return less supply dry bulb",
             float(found.sensible), "capacity", written=(f"{{mass_flow}} × {each[0]} × {DROP}", f"{{mass_flow}} × {each[1]} × {DROP}")),
        Step("Total: dry air times return less supply enthalpy", float(found.total), "capacity",
             written="{mass_flow} × ({return_enthalpy} − {supply_enthalpy})"),
        Step("Sensible over total", float(found.sensible_heat_ratio), "fraction", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _latent_share(values: Values) -> float:
    found = capacity_of(values)
    return float(found.latent) / float(found.total)


def _sensible_over_latent(values: Values) -> float:
    found = capacity_of(values)
    return float(found.sensible) / float(found.latent)


def _drift_of_sensible(values: Values) -> Solution:
    found, each = textbook(values, "sensible"), _heat_per_degree(values)
    return Solution(1 + found.error, (
        Step("Capacity by the card: factor (in SI 1.21, to one place more 1.207) times flow times difference", found.textbook, "capacity",
             written=("1.08 × {flow} × ({return_dry_bulb} − {supply_dry_bulb})",
                      "1.207 × {flow} × ({return_dry_bulb} − {supply_dry_bulb}) ÷ 1,000 W/kW")),
        Step("Capacity by weight: flow over specific volume (in IP, times 60), times 0.244 (1.02), here with one place more, times difference",
             found.exact, "capacity",
             written=(f"{{flow}} ÷ {{supply_volume}} × 60 min/h × {each[0]} × {DROP}",
                      f"{{flow}} ÷ {{supply_volume}} ÷ 1,000 L/m³ × {each[1]} × {DROP}")),
        Step("First over second", 1 + found.error, "percentage", written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _drift_of_total(values: Values) -> Solution:
    found = textbook(values, "total")
    return Solution(found.error, (
        Step("Specific volume that stands behind the factor: standard air, 60 over 4.5 in IP, 1 over 1.2 in SI (1.2014 to more places)",
             values["supply_volume"] / (1 + found.error), "specific_volume", written=("60 ÷ 4.5", "1 ÷ 1.2014")),
        Step("Specific volume here over that one", 1 + found.error, "fraction", written="{supply_volume} ÷ {-1}"),
        Step("What lies above one", found.error, "percentage", written="{-1} − 1"),
    ))  # fmt: skip


STATED = (*DRY_BULBS, *ENTHALPIES)
# States and flow where a question is about the factor alone: they fall out of the ratio.
USUAL: Values = {
    "flow": 0.7, "return_dry_bulb": 24.0, "supply_dry_bulb": 13.0, "return_ratio": 0.0105, "supply_ratio": 0.008,
}  # fmt: skip

CAPACITY = (
    QuestionKind(
        name="total_by_enthalpies",
        lesson=4,
        title="Total capacity from two enthalpies",
        ask="At a school {mass_flow} of dry air goes through a unit. The return air is at {return_dry_bulb} and has an enthalpy of "
        "{return_enthalpy}; the supply air is at {supply_dry_bulb} and has {supply_enthalpy}. What is the total capacity?",
        kind="capacity",
        parameters=(MASS_FLOW, *STATED),
        solve=_total,
        limits=(3000.0, 30000.0),
        hints=(
            "Total means heat and moisture together. Enthalpy counts both.",
            "How much does each pound, or kilogram, of dry air give off on its way? Return less supply.",
            "Times the dry air. In IP lb/h times Btu/lb is Btu/h; in SI kg/s times kJ/kg is kW.",
        ),
        slips=(
            Slip("sensible for total", lambda v, u: float(capacity_of(v).sensible),
                 "That is the sensible capacity, from the dry bulbs. The coil also takes water out: for the total, use the enthalpies."),
            Slip("latent for total", lambda v, u: float(capacity_of(v).latent),
                 "That is the latent part alone. The total is sensible and latent together: use the enthalpies."),
            Slip("return enthalpy alone", _return_alone,
                 "That is all the return air holds. It keeps a part of it: take the supply's enthalpy off first."),
            Slip("enthalpies added", _both_added,
                 "The two enthalpies were added. The coil takes away what the return has more than the supply: take one from the other."),
        ),
        source=METHOD,
        possible=is_believable,
    ),
    QuestionKind(
        name="total_from_flow_at_altitude",
        lesson=4,
        title="Total capacity from a flow by volume, at altitude",
        ask="In the supply duct of a clinic in the mountains {flow} flows, with a specific volume of {supply_volume}. Enthalpy of the return "
        "air {return_enthalpy} (at {return_dry_bulb}), of the supply air {supply_enthalpy} (at {supply_dry_bulb}). What is the total "
        "capacity?",
        kind="capacity",
        parameters=(FLOW, SUPPLY_VOLUME, *STATED),
        solve=_total_from_flow,
        limits=(3000.0, 30000.0),
        hints=(
            "Enthalpy belongs to a pound, or a kilogram, of dry air. So turn the volume into weight first.",
            "Flow over specific volume. In IP that is by the minute; times 60 gives the hour.",
            "Then times return less supply enthalpy.",
        ),
        slips=(
            Slip("4.5 at altitude", lambda v, u: textbook(v, "total").textbook,
                 "That is what the sea-level factor gives (4.5 in IP, 1.2 in SI). In thin air there is less air in the same volume: divide "
                 "the flow by the specific volume that holds there."),
            Slip("sensible for total", lambda v, u: float(capacity_of(v).sensible),
                 "That is the sensible capacity, from the dry bulbs. For the total, use the enthalpies."),
            Slip("by the minute", lambda v, u: float(capacity_of(v).total) / 60,
                 "The flow is by the minute and the capacity by the hour: times 60.", systems=("IP",)),
        ),
        source=METHOD,
        possible=is_believable,
    ),
    QuestionKind(
        name="total_where_the_flow_was_read",
        lesson=4,
        title="Which specific volume goes with the flow",
        ask="At a museum a traverse in the supply duct finds {flow}. The specific volume is {supply_volume} in the supply and "
        "{return_volume} in the return. Enthalpy of the return air {return_enthalpy} (at {return_dry_bulb}), of the supply air "
        "{supply_enthalpy} (at {supply_dry_bulb}). What is the total capacity?",
        kind="capacity",
        parameters=(
            FLOW,
            Parameter("supply_volume", "specific_volume", 0.93, 1.05, (0.01, 0.001)),
            Parameter("return_volume", "specific_volume", 0.97, 1.10, (0.01, 0.001)),
            *STATED,
        ),
        solve=_where_read,
        limits=(3000.0, 30000.0),
        hints=(
            "The same dry air fills more room when it is warm.",
            "Take the specific volume of the place where the flow was read.",
            "Flow over specific volume (times 60 in IP), times return less supply enthalpy.",
        ),
        slips=(
            Slip("specific volume of the other place", lambda v, u: _as_if_at_return(v),
                 "The flow was read in the cold supply air, but the specific volume is the one of the return. Volume and specific volume "
                 "belong to one place."),
            Slip("4.5 at altitude", lambda v, u: textbook(v, "total").textbook,
                 "That is what the sea-level factor gives (4.5 in IP, 1.2 in SI). Divide by the specific volume in the supply duct."),
            Slip("sensible for total", lambda v, u: float(capacity_of(v).sensible),
                 "That is the sensible capacity, from the dry bulbs. For the total, use the enthalpies."),
        ),
        source=METHOD,
        possible=is_believable,
    ),
    QuestionKind(
        name="sensible_capacity",
        lesson=4,
        title="Sensible capacity at altitude",
        ask="In the supply duct of a library in the hills {flow} flows, with a specific volume of {supply_volume}. The return air is at "
        "{return_dry_bulb} (enthalpy {return_enthalpy}), the supply air at {supply_dry_bulb} ({supply_enthalpy}). What is the sensible "
        "capacity?",
        kind="capacity",
        parameters=(FLOW, SUPPLY_VOLUME, *STATED),
        solve=_sensible,
        limits=(3000.0, 20000.0),
        hints=(
            "Sensible heat is what a thermometer sees. Which of the readings do you need?",
            "First the dry air: flow over specific volume (times 60 in IP).",
            "A pound of such air gives off 0.244 Btu for each °F (a kilogram 1.02 kJ for each K).",
        ),
        slips=(
            Slip("1.08 at altitude", lambda v, u: textbook(v, "sensible").textbook,
                 "That is what the sea-level factor gives (1.08 in IP, 1.21 in SI). In thin air there is less air in the same volume: work "
                 "from the specific volume."),
            Slip("total for sensible", lambda v, u: float(capacity_of(v).total),
                 "That is the total capacity, from the enthalpies. Sensible is the part that the thermometers see."),
            Slip("latent for sensible", lambda v, u: float(capacity_of(v).latent),
                 "That is the latent part, the heat of the water taken out. Sensible comes from the dry bulbs."),
            Slip("by the minute", lambda v, u: float(capacity_of(v).sensible) / 60,
                 "The flow is by the minute and the capacity by the hour: times 60.", systems=("IP",)),
        ),
        source=METHOD,
        possible=is_believable,
    ),
    QuestionKind(
        name="sensible_share_of_total",
        lesson=4,
        title="Sensible heat ratio",
        ask="At a bakery {mass_flow} of dry air goes through a unit. Return air {return_dry_bulb} and {return_enthalpy}, supply air "
        "{supply_dry_bulb} and {supply_enthalpy}. What is the sensible heat ratio?",
        kind="fraction",
        parameters=(MASS_FLOW, *STATED),
        solve=_ratio,
        limits=(0.5, 0.95),
        hints=(
            "Sensible heat ratio is sensible over total: how much of the work a thermometer sees.",
            "Total: the difference of the enthalpies. Sensible: 0.244 Btu per lb and °F (1.02 kJ per kg and K), times the difference of "
            "the dry bulbs. The airflow is the same in both, so you may leave it out of both.",
        ),
        slips=(
            Slip("latent share", lambda v, u: _latent_share(v),
                 "That is the latent share. The sensible heat ratio is the other part: one less this."),
            Slip("sensible over latent", lambda v, u: _sensible_over_latent(v),
                 "That is sensible over latent. Take it over the total; it cannot come out above one with a wet coil."),
            Slip("total over sensible", lambda v, u: 1 / float(capacity_of(v).sensible_heat_ratio),
                 "That is upside down: sensible is the part, total the whole."),
        ),
        source=METHOD,
        possible=is_believable,
        decimals=(2, 2),
    ),
    QuestionKind(
        name="drift_of_the_total_factor",
        lesson=4,
        title="How far 4.5 drifts at altitude",
        ask="A pocket card multiplies flow and difference of enthalpy by one factor for the total capacity: 4.5 with cfm and Btu/lb, 1.2 with "
        "L/s and kJ/kg. At a school in the mountains the specific volume in the supply duct, where the flow is read, is {supply_volume}. By "
        "how many percent does the card's capacity come out too high?",
        kind="percentage",
        parameters=(SUPPLY_VOLUME,),
        solve=lambda v: _drift_of_total({**USUAL, **v}),
        limits=(0.08, 0.40),
        hints=(
            "The factor holds one specific volume: that of standard air, 13.33 ft³/lb (0.833 m³/kg).",
            "Capacity goes with the dry air, and dry air is flow over specific volume.",
            "So the card is too high by specific volume here over 13.33 ft³/lb (0.833 m³/kg), less one.",
        ),
        slips=(
            Slip("share of the card's figure", lambda v, u: 1 - 1 / (1 + textbook({**USUAL, **v}, "total").error),
                 "That is the error as a share of the card's figure. Take it as a share of what is right."),
            Slip("the ratio itself", lambda v, u: 1 + textbook({**USUAL, **v}, "total").error,
                 "That is the whole ratio. How much lies above 100 %?"),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="drift_of_the_sensible_factor",
        lesson=4,
        title="How far 1.08 drifts at altitude",
        ask="A pocket card multiplies flow and difference of dry bulb by one factor for the sensible capacity: 1.08 with cfm and °F, 1.21 with "
        "L/s and K. A hospital laundry in the mountains: {flow} flows in the supply duct, with a specific volume of {supply_volume}. Return "
        "{return_dry_bulb}, supply {supply_dry_bulb}. One pound of the air takes 0.244 Btu for each °F (one kilogram 1.02 kJ for each K). How "
        "many percent of the right capacity does the card give?",
        kind="percentage",
        parameters=(FLOW, Parameter("supply_volume", "specific_volume", 0.96, 1.07, (0.01, 0.001)), *DRY_BULBS),
        solve=lambda v: _drift_of_sensible({**USUAL, **v}),
        limits=(1.08, 1.40),
        hints=(
            "Work it out both ways: by the card, and by weight.",
            "By the card: factor times flow times difference. By weight: flow over specific volume (times 60 in IP), times 0.244 (1.02), times "
            "difference.",
            "Card over weight. The flow and the difference are the same in both.",
        ),
        slips=(
            Slip("density alone", lambda v, u: 1 + textbook({**USUAL, **v}, "total").error,
                 "Nearly: that is the density's part. The card also takes the air as dry (0.240), and moist air takes a little more "
                 "(0.244), which brings the figure down again."),
            Slip("upside down", lambda v, u: 1 / (1 + textbook({**USUAL, **v}, "sensible").error),
                 "That is upside down: right over card. The right capacity is the measure, so it goes below."),
            Slip("what lies above 100 %", lambda v, u: textbook({**USUAL, **v}, "sensible").error,
                 "That is how much the card is too high. The question is for the card's whole figure: add 100 %."),
        ),
        source=PRACTICE,
    ),
    *CAPACITY_MOISTURE,
    *CAPACITY_FAN_AND_POWER,
)  # fmt: skip
