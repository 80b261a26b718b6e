"""Questions of lesson 8 about sensitivity: by how much an error of one reading moves the capacity."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.process import delivered_capacity
from airside.air.state import MoistAir
from airside.teach.kinds.doubt_sums import GUM
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside, from_inside

# Usual dry bulbs of return and supply [°C], where a question gives enthalpies alone: they do not count then.
RETURN_DRY_BULB, SUPPLY_DRY_BULB = 25.0, 13.0
# Where a question gives dry bulbs alone.
HUMIDITY_RATIO = 0.008


def _total(return_enthalpy: float, supply_enthalpy: float) -> float:
    # The question says nothing of the flow: it stays, so any will do.
    back = MoistAir.from_enthalpy(RETURN_DRY_BULB, return_enthalpy, SEA_LEVEL_PRESSURE)
    supply = MoistAir.from_enthalpy(SUPPLY_DRY_BULB, supply_enthalpy, SEA_LEVEL_PRESSURE)
    return float(delivered_capacity(back, supply, 1.0).total)


def _humidity(values: Values) -> Solution:
    back, supply, shift = (values[n] for n in ("return_enthalpy", "supply_enthalpy", "shift"))
    moved = _total(back + shift, supply) / _total(back, supply) - 1
    return Solution(moved, (
        Step("Difference of the enthalpies", back - supply, "enthalpy_difference", written="{return_enthalpy} − {supply_enthalpy}"),
        Step("Shift over that difference", moved, "percentage", written="{shift} ÷ {-1}"),
    ))  # fmt: skip


def _of_the_enthalpy(values: Values, units: UnitSystem) -> float:
    # The scale's own zero: in Btu/lb another one than in kJ/kg.
    back, moved = (
        float(from_inside(v, "enthalpy", units))
        for v in (values["return_enthalpy"], values["return_enthalpy"] + values["shift"])
    )
    return moved / back - 1


def _drop(values: Values) -> float:
    return float(values["return_dry_bulb"] - values["supply_dry_bulb"])


def _dry_bulb(values: Values) -> Solution:
    def sensible(supply: float) -> float:
        back, cold = (
            MoistAir.from_humidity_ratio(t, HUMIDITY_RATIO, SEA_LEVEL_PRESSURE)
            for t in (values["return_dry_bulb"], supply)
        )
        return float(delivered_capacity(back, cold, 1.0).sensible)

    moved = sensible(values["supply_dry_bulb"] - values["error"]) / sensible(values["supply_dry_bulb"]) - 1
    return Solution(moved, (
        Step("Drop: return less supply", _drop(values), "temperature_difference", written="{return_dry_bulb} − {supply_dry_bulb}"),
        Step("Doubt over that drop", moved, "percentage", written="{error} ÷ {-1}"),
    ))  # fmt: skip


def _part_of_temperature(values: Values, units: UnitSystem) -> float:
    supply, moved = (
        float(from_inside(v, "temperature", units))
        for v in (values["supply_dry_bulb"], values["supply_dry_bulb"] + values["error"])
    )
    return moved / supply - 1


DOUBT_SENSITIVITY = (
    QuestionKind(
        name="humidity_doubt_in_percent_of_capacity",
        lesson=8,
        title="What a humidity reading does to the capacity",
        ask="In a laundry the return air has an enthalpy of {return_enthalpy}, the supply air {supply_enthalpy}. One standard uncertainty of the return "
        "humidity moves the return enthalpy by {shift}. By how many percent does that move the total capacity?",
        kind="percentage",
        parameters=(
            Parameter("return_enthalpy", "enthalpy", 46.0e3, 58.0e3, (0.1, 0.2)),
            Parameter("supply_enthalpy", "enthalpy", 33.0e3, 41.0e3, (0.1, 0.2)),
            Parameter("shift", "enthalpy_difference", 0.6e3, 1.8e3, (0.05, 0.1), exact=True),
        ),
        solve=_humidity,
        limits=(0.03, 0.16),
        hints=(
            "Capacity goes with the difference of the two enthalpies.",
            "So set the shift against that difference, not against an enthalpy.",
        ),
        slips=(
            Slip("share of the return enthalpy", _of_the_enthalpy,
                 "You set the shift against the return enthalpy itself. Its zero is only where the scale begins: set it against the difference of the "
                 "two."),
            Slip("units as percent",
                 lambda v, u: float(difference_from_inside(v["shift"], "enthalpy_difference", u)) / 100,
                 "That is the shift with a percent sign. Set it against the difference of the two enthalpies."),
            Slip("upside down", lambda v, u: (v["return_enthalpy"] - v["supply_enthalpy"]) / v["shift"] / 100,
                 "The division is upside down: the small shift goes above, the difference of the enthalpies below."),
        ),
        possible=lambda v: 12.0e3 < v["return_enthalpy"] - v["supply_enthalpy"] < 22.0e3,
        source=f"{GUM}, 5.1.3; ASHRAE Standard 37, air-enthalpy method (from memory)",
    ),
    QuestionKind(
        name="dry_bulb_doubt_in_percent_of_capacity",
        lesson=8,
        title="What a dry bulb does to the sensible capacity",
        ask="Return air of a clinic: {return_dry_bulb}. Supply air: {supply_dry_bulb}, known to {error} (standard uncertainty). By how many percent does "
        "one standard uncertainty of the supply dry bulb move the sensible capacity?",
        kind="percentage",
        parameters=(
            Parameter("return_dry_bulb", "temperature", 22.5, 26.5, (0.1, 0.1)),
            Parameter("supply_dry_bulb", "temperature", 11.5, 15.5, (0.1, 0.1)),
            Parameter("error", "temperature_difference", 0.3, 0.9, (0.1, 0.05), exact=True),
        ),
        solve=_dry_bulb,
        limits=(0.02, 0.11),
        hints=(
            "At one airflow the sensible capacity goes with the drop: return less supply.",
            "Set the doubt against the drop.",
        ),
        slips=(
            Slip("percent of the temperature", _part_of_temperature,
                 "You set the doubt against the temperature itself, but its zero is only where the scale begins. Set it against the drop."),
            Slip("degrees as percent",
                 lambda v, u: float(difference_from_inside(v["error"], "temperature_difference", u)) / 100,
                 "A degree is not a percent. Set the doubt against the drop."),
            Slip("limit taken apart again", lambda v, u: _dry_bulb(v).answer / math.sqrt(3),
                 "You divided by the root of 3. The doubt here is a standard uncertainty already."),
        ),
        source=f"{GUM}, 5.1.3; ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 39",
    ),
)  # fmt: skip
