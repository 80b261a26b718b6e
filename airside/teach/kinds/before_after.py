"""Questions of lesson 9: the change itself. Conditions, and choices, in modules of their own."""

from __future__ import annotations

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.process import Capacity, delivered_capacity
from airside.air.state import MoistAir
from airside.instruments.propagation import Linear
from airside.teach.kinds.before_after_choices import BEFORE_AFTER_CHOICES
from airside.teach.kinds.before_after_conditions import BEFORE_AFTER_CONDITIONS
from airside.teach.kinds.doubt_sums import GUM, PRACTICE
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside

# Usual dry bulbs of return and supply [°C], where a question gives enthalpies alone: they do not count then.
RETURN_DRY_BULB, SUPPLY_DRY_BULB = 25.0, 13.0
SUPPLY_ENTHALPY = 36.0e3


def _ratio(values: Values) -> float:
    return float(values["after"] / values["before"])


def _raw(values: Values) -> Solution:
    return Solution(_ratio(values) - 1, (
        Step("After less before", values["after"] - values["before"], "capacity", written="{after} − {before}"),
        Step("That over the capacity before", _ratio(values) - 1, "percentage", written="{-1} ÷ {before}"),
    ))  # fmt: skip


def _total(flow: float, difference: float) -> Capacity:
    """Capacity of so much dry air [kg/s] and such a difference of enthalpies [J/kg]."""
    back = MoistAir.from_enthalpy(RETURN_DRY_BULB, SUPPLY_ENTHALPY + difference, SEA_LEVEL_PRESSURE)
    supply = MoistAir.from_enthalpy(SUPPLY_DRY_BULB, SUPPLY_ENTHALPY, SEA_LEVEL_PRESSURE)
    return delivered_capacity(back, supply, flow)


def _of_both(values: Values, flow: str = "flow_after", difference: str = "difference_after") -> float:
    """Relative change of total capacity; by default of airflow and difference together."""
    first = _total(values["flow_before"], values["difference_before"])
    return float(_total(values[flow], values[difference]).total) / float(first.total) - 1


def _flow_and_difference(values: Values) -> Solution:
    flow, difference = _of_both(values, difference="difference_before"), _of_both(values, flow="flow_before")
    return Solution(_of_both(values), (
        Step("Airflow: after over before", 1 + flow, "fraction", written="{flow_after} ÷ {flow_before}"),
        Step("Difference of the enthalpies: after over before", 1 + difference, "fraction",
             written="{difference_after} ÷ {difference_before}"),
        Step("The one times the other, less one", _of_both(values), "percentage", written="{-2} × {-1} − 1"),
    ))  # fmt: skip


def _true_gain(values: Values) -> float:
    """After less before [W], with the meter's error taken out of both."""
    return float((values["after"] - values["before"]) / (1 + values["error"]))


def _meter_too_high(values: Values) -> Solution:
    return Solution(_true_gain(values), (
        Step("Change in percent as shown, and as it is", _ratio(values) - 1, "percentage", written="{after} ÷ {before} − 1"),
        Step("True capacity before: shown over one and the error", values["before"] / (1 + values["error"]), "capacity",
             written="{before} ÷ (1 + {error:fraction})"),
        Step("True capacity after, in the same way", values["after"] / (1 + values["error"]), "capacity",
             written="{after} ÷ (1 + {error:fraction})"),
        Step("After less before", _true_gain(values), "capacity", written="{-1} − {-2}"),
    ))  # fmt: skip


def _efficiency(values: Values, *, power: float = 1.0) -> float:
    return float((1 + values["capacity"]) / (1 - power * values["power"]) - 1)


def _capacity_and_power(values: Values) -> Solution:
    return Solution(_efficiency(values), (
        Step("Capacity: after over before", 1 + values["capacity"], "fraction", written="1 + {capacity:fraction}"),
        Step("Power: after over before", 1 - values["power"], "fraction", written="1 − {power:fraction}"),
        Step("The one over the other, less one", _efficiency(values), "percentage", written="{-2} ÷ {-1} − 1"),
    ))  # fmt: skip


def _change(values: Values) -> Linear:
    return Linear(values["change"], values["doubt"], {})


def _interval_begins(values: Values) -> Solution:
    found = _change(values)
    return Solution(found.interval_95[0], (
        Step("Half of the interval: 1.96 times the standard uncertainty", found.value - found.interval_95[0], "percentage",
             written="1.96 × {doubt}"),
        Step("Change less that", found.interval_95[0], "percentage", written="{change} − {-1}"),
    ))  # fmt: skip


def _limit(values: Values) -> float:
    return float(values["share"] * values["nominal"])


def _to_be_measured(values: Values) -> float:
    # The lower end of the figure's interval must stand on the limit.
    return Linear(_limit(values), values["doubt"], {}).interval_95[1]


def _guarded(values: Values) -> Solution:
    return Solution(_to_be_measured(values), (
        Step("Limit: the share that was promised, of the nominal capacity", _limit(values), "capacity", written="{share} × {nominal}"),
        Step("Room for the doubt: 1.96 times the standard uncertainty", _to_be_measured(values) - _limit(values), "capacity",
             written="1.96 × {doubt}"),
        Step("Limit and room together", _to_be_measured(values), "capacity", written="{-2} + {-1}"),
    ))  # fmt: skip


def _in_thousands(values: Values, units: UnitSystem) -> float:
    gain = float(difference_from_inside(values["after"] - values["before"], "capacity", units))
    return gain / (100_000 if units == "IP" else 100)


THE_CHANGE = (
    QuestionKind(
        name="change_in_percent",
        lesson=9,
        title="The raw change",
        ask="A laundry's unit delivered {before} before its coil was cleaned, and {after} after it. By how many percent has the capacity changed, as measured?",
        kind="percentage",
        parameters=(
            Parameter("before", "capacity", 8.0e3, 15.0e3, (100.0, 0.05)),
            Parameter("after", "capacity", 8.5e3, 18.0e3, (100.0, 0.05)),
        ),
        solve=_raw,
        limits=(0.05, 0.30),
        hints=("How much more is it after the work?", "Set that against the capacity before."),
        slips=(
            Slip("against the capacity after", lambda v, u: 1 - 1 / _ratio(v),
                 "You set the difference against the capacity after. The change is counted from where it began: divide by the capacity before."),
            Slip("one left on", lambda v, u: _ratio(v),
                 "That is after over before. The change is what lies above one, which is 100 %."),
            Slip("thousands as percent", _in_thousands,
                 "Those are the thousands (in SI: the kW) with a percent sign. Set the difference against the capacity before."),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="change_from_airflow_and_enthalpies",
        lesson=9,
        title="More air, a smaller difference",
        ask="The blower wheel of a laundry's unit was cleaned. Dry air before: {flow_before}, with {difference_before} between return and supply enthalpy. After: "
        "{flow_after}, with {difference_after}. By how many percent has the total capacity changed?",
        kind="percentage",
        parameters=(
            Parameter("flow_before", "mass_flow", 0.45, 0.75, (50.0, 0.01), exact=True),
            Parameter("difference_before", "enthalpy_difference", 16.0e3, 20.0e3, (0.1, 0.2), exact=True),
            Parameter("flow_after", "mass_flow", 0.55, 0.95, (50.0, 0.01), exact=True),
            Parameter("difference_after", "enthalpy_difference", 14.0e3, 19.0e3, (0.1, 0.2), exact=True),
        ),
        solve=_flow_and_difference,
        limits=(0.04, 0.30),
        hints=(
            "Total capacity is dry air times the difference of the enthalpies.",
            "Work out after over before for each of the two, and multiply.",
        ),
        slips=(
            Slip("airflow alone", lambda v, u: _of_both(v, difference="difference_before"),
                 "That is the airflow alone. The difference of the enthalpies became smaller: multiply the two ratios."),
            Slip("percents added", lambda v, u: _of_both(v, difference="difference_before") + _of_both(v, flow="flow_before"),
                 "You added the two percents. They multiply: after over before for each, the one times the other, less one."),
            Slip("difference alone", lambda v, u: _of_both(v, flow="flow_before"),
                 "That is the difference of the enthalpies alone. There is more air too: multiply the two ratios."),
        ),
        possible=lambda v: 0.15 < v["flow_after"] / v["flow_before"] - 1 < 0.45
        and -0.2 < v["difference_after"] / v["difference_before"] - 1 < -0.04,
        source="ASHRAE Standard 37, air-enthalpy method (from memory)",
    ),
    QuestionKind(
        name="true_gain_with_a_meter_too_high",
        lesson=9,
        title="A meter that is off: the percent and the Btu/h",
        ask="A flow meter at a clinic reads {error} too high, on both days. With it the capacity comes out as {before} before the work and {after} after it. The change "
        "in percent is right all the same. What is the true gain, as a capacity?",
        kind="capacity",
        parameters=(
            Parameter("error", "percentage", 0.05, 0.12, (1.0, 1.0), exact=True),
            Parameter("before", "capacity", 8.0e3, 15.0e3, (100.0, 0.1), exact=True),
            Parameter("after", "capacity", 9.0e3, 18.0e3, (100.0, 0.1), exact=True),
        ),
        solve=_meter_too_high,
        limits=(1.0e3, 3.5e3),
        hints=(
            "Both capacities are shown too large by that percent.",
            "Divide each by one and the error, such as 1.08. Then take the one from the other.",
        ),
        slips=(
            Slip("as shown", lambda v, u: v["after"] - v["before"],
                 "That is the gain as shown. In percent the meter's error cancels; as a capacity it does not: divide by one and the error."),
            Slip("made larger", lambda v, u: (v["after"] - v["before"]) * (1 + v["error"]),
                 "You made it larger. The meter reads too high, so the true capacities are smaller: divide."),
            Slip("only after mended", lambda v, u: v["after"] / (1 + v["error"]) - v["before"],
                 "You mended the figure after the work only. The meter was off on both days."),
        ),
        # In steps of 100 Btu/h the answer is exact; kW need a third decimal.
        decimals=(0, 3),
        source=f"{GUM}, 5.2.2",
    ),
    QuestionKind(
        name="change_of_efficiency",
        lesson=9,
        title="More capacity with less power",
        ask="After the outdoor coil of a bakery's unit was cleaned, the capacity is {capacity} higher and the electric power {power} lower, under the same conditions. "
        "By how many percent has the efficiency (EER or COP) risen?",
        kind="percentage",
        parameters=(
            Parameter("capacity", "percentage", 0.05, 0.20, (0.5, 0.5), exact=True),
            Parameter("power", "percentage", 0.04, 0.15, (0.5, 0.5), exact=True),
        ),
        solve=_capacity_and_power,
        limits=(0.09, 0.42),
        hints=("Efficiency is capacity over power.", "Work out after over before for each. The capacity's ratio goes above, the power's below."),
        slips=(
            Slip("percents added", lambda v, u: v["capacity"] + v["power"],
                 "You added the two percents. Efficiency is a ratio: divide after over before of the capacity by that of the power."),
            Slip("capacity alone", lambda v, u: v["capacity"],
                 "That is the capacity alone. The same unit now takes less power too: divide by the power's ratio."),
            Slip("multiplied", lambda v, u: (1 + v["capacity"]) * (1 - v["power"]) - 1,
                 "You multiplied by the power's ratio. Efficiency is capacity over power: divide."),
        ),
        source="10 CFR 430 subpart B appendix M1: efficiency is capacity over power",
    ),
    QuestionKind(
        name="where_the_interval_of_a_change_begins",
        lesson=9,
        title="Where the interval of the change begins",
        ask="At the same conditions the capacity of a school's unit has changed by {change}, known to {doubt} (standard uncertainty, in percent of the capacity "
        "before). Where does the 95 % interval of the change begin? It may lie below zero.",
        kind="percentage",
        parameters=(
            Parameter("change", "percentage", 0.03, 0.20, (0.5, 0.5), exact=True),
            Parameter("doubt", "percentage", 0.015, 0.07, (0.5, 0.5), exact=True),
        ),
        solve=_interval_begins,
        limits=(-0.10, 0.17),
        hints=("A 95 % interval reaches 1.96 standard uncertainties to each side.", "Take 1.96 times the doubt off the change."),
        slips=(
            Slip("one standard uncertainty", lambda v, u: v["change"] - v["doubt"],
                 "You went down by one standard uncertainty. For 95 % it is 1.96 of them."),
            Slip("percent of the percent", lambda v, u: v["change"] * (1 - 1.96 * v["doubt"]),
                 "You took the doubt as a percent of the change. It is in percent of the capacity, as the change is: take 1.96 times the doubt off."),
            Slip("upper end", lambda v, u: _change(v).interval_95[1],
                 "That is where the interval ends. Asked is where it begins: go down from the change."),
        ),
        source=f"{GUM}, 6.3.3",
    ),
    QuestionKind(
        name="what_must_be_measured_for_acceptance",
        lesson=9,
        title="How much must be measured?",
        ask="A contract for a museum says: at least {share} of the nominal {nominal} is delivered. The capacity is measured with a standard uncertainty of {doubt}. "
        "How much must be measured, so that even the lower end of its 95 % interval keeps the contract?",
        kind="capacity",
        parameters=(
            Parameter("share", "percentage", 0.85, 0.95, (5.0, 5.0), exact=True),
            Parameter("nominal", "capacity", 10.0e3, 21.0e3, (6000.0, 0.5), exact=True),
            Parameter("doubt", "capacity", 0.4e3, 1.4e3, (100.0, 0.05), exact=True),
        ),
        solve=_guarded,
        limits=(9.0e3, 23.0e3),
        hints=(
            "First the limit: the promised share of the nominal capacity.",
            "The interval reaches 1.96 standard uncertainties down. So measure that much above the limit.",
        ),
        slips=(
            Slip("the limit itself", lambda v, u: _limit(v),
                 "That is the limit. Who measures just that is below it in one case of two: leave room for the doubt."),
            Slip("room on the wrong side", lambda v, u: Linear(_limit(v), v["doubt"], {}).interval_95[0],
                 "You took the room off. Then a unit below the limit would pass: put it on top."),
            Slip("of the nominal capacity", lambda v, u: Linear(v["nominal"], v["doubt"], {}).interval_95[1],
                 "You began at the nominal capacity. The contract asks for a share of it only."),
            Slip("one standard uncertainty", lambda v, u: _limit(v) + v["doubt"],
                 "You left room for one standard uncertainty. For the 95 % interval it is 1.96 of them."),
        ),
        source="JCGM 106:2012 ch. 8 (guarded acceptance)",
    ),
)  # fmt: skip

BEFORE_AFTER = (*THE_CHANGE, *BEFORE_AFTER_CONDITIONS, *BEFORE_AFTER_CHOICES)
