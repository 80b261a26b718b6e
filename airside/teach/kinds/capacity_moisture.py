"""Questions of lesson 4 about water: latent capacity, moisture removal, the bucket and the watch."""

from __future__ import annotations

from airside.air.process import delivered_capacity
from airside.air.state import MoistAir
from airside.teach.kinds.stated_air import USUAL_DRY_BULB
from airside.teach.kinds.stated_states import (
    DRY_BULBS,
    FLOW,
    HILLS,
    HUMIDITY_RATIOS,
    SUPPLY_VOLUME,
    capacity_of,
    is_believable,
    supply_flow,
    textbook,
)
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

METHOD = "ASHRAE Standard 37; ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 39 and 40"
PRACTICE = "common practice, no source"
# Heat of evaporation at the boiling point, 970 Btu/lb [J/kg]: the figure that many remember; from memory.
HEAT_AT_BOILING = 2_257_000.0
# Two figures agree, or clearly do not, as a share of the doubt stated for the air side.
AGREES, DISAGREES = 0.6, 1.6

STATED = (FLOW, SUPPLY_VOLUME, *DRY_BULBS, *HUMIDITY_RATIOS)


def _steps(values: Values) -> tuple[Step, ...]:
    return (
        Step("Dry air: flow over specific volume (in IP, times 60, for the hour)", float(supply_flow(values).dry_air_mass_flow),
             "mass_flow", written=("{flow} ÷ {supply_volume} × 60 min/h", "{flow} ÷ {supply_volume} ÷ 1,000 L/m³")),
        Step("Water that each unit of dry air gives off: return less supply humidity ratio",
             values["return_ratio"] - values["supply_ratio"], "humidity_ratio", written="{return_ratio} − {supply_ratio}"),
        Step("Water by the hour: the two multiplied (in IP, over 7,000 grains to a pound; in SI, times 3.6)",
             float(capacity_of(values).moisture_removal), "moisture_rate",
             written=("{-2} × {-1} ÷ 7,000 gr/lb", "{-2} × {-1} × 3,600 s/h ÷ 1,000 g/kg")),
    )  # fmt: skip


def _latent_steps(rate: float, latent: float) -> tuple[Step, Step]:
    """From water by the hour [kg/h] to its heat [W]."""
    heat = "Heat in a unit of vapour in room air: about 1,095 Btu/lb (2,546 kJ/kg), a little more in warm air, less in cool; here"
    return (
        Step(heat, latent / rate * 3600, "enthalpy_difference", (1, 1)),
        Step("The two multiplied (in SI, over 3,600 for kW)", latent, "capacity", written=("{-2} × {-1}", "{-2} × {-1} ÷ 3,600 s/h")),
    )  # fmt: skip


def _latent(values: Values) -> Solution:
    latent = float(capacity_of(values).latent)
    return Solution(latent, (
        *_steps(values),
        *_latent_steps(float(capacity_of(values).moisture_removal), latent),
    ))  # fmt: skip


def _moisture(values: Values) -> Solution:
    return Solution(float(capacity_of(values).moisture_removal), _steps(values))


def _with_standard_air(values: Values) -> float:
    """The flow taken as if it were standard air."""
    return float(capacity_of(values, supply_flow(values, "standard")).moisture_removal)


def _latent_of(rate: float) -> float:
    """Latent capacity [W] of so much water an hour [kg/h], by the library: taken from one kg/s of usual indoor air."""
    supply = MoistAir.from_humidity_ratio(12.0, 0.004, HILLS)
    back = MoistAir.from_humidity_ratio(USUAL_DRY_BULB, 0.004 + rate / 3600, HILLS)
    return float(delivered_capacity(back, supply, 1.0).latent)


def _rate(values: Values) -> float:
    """Water in the bucket by the hour [kg/h]."""
    return float(values["caught"]) / float(values["time"]) * 3600


def _bucket(values: Values) -> Solution:
    latent = _latent_of(_rate(values))
    return Solution(latent, (
        Step("Water by the hour: what was caught, over the minutes, times 60", _rate(values), "moisture_rate",
             written="{caught} ÷ {time} × 60 min/h"),
        *_latent_steps(_rate(values), latent),
    ))  # fmt: skip


def _away(values: Values) -> float:
    """How far the air side lies above the bucket, in doubts of the air side."""
    return (float(values["removal"]) / _rate(values) - 1) / float(values["doubt"])


def _agreement(values: Values) -> Solution:
    away = _away(values)
    return Solution(0 if abs(away) < 1 else 1 if away > 0 else 2, (
        Step("Water by the hour in the bucket", _rate(values), "moisture_rate", written="{caught} ÷ {time} × 60 min/h"),
        Step("Water by the hour from the air side", values["removal"], "moisture_rate"),
        Step("Air side over bucket, less one", float(values["removal"]) / _rate(values) - 1, "percentage", written="{-1} ÷ {-2} − 1"),
        Step("Doubt of the air side", values["doubt"], "percentage"),
    ))  # fmt: skip


CAPACITY_MOISTURE = (
    QuestionKind(
        name="moisture_removal_of_the_coil",
        lesson=4,
        title="Water that the coil takes out",
        ask="In the supply duct of a museum in the hills {flow} flows, with a specific volume of {supply_volume}. The return air "
        "({return_dry_bulb}) holds {return_ratio} of water, the supply air ({supply_dry_bulb}) {supply_ratio}. How much water does the "
        "coil take out?",
        kind="moisture_rate",
        parameters=STATED,
        solve=_moisture,
        limits=(1.5, 22.0),
        hints=(
            "How much dry air flows? Flow over specific volume (times 60 in IP).",
            "Each unit of dry air leaves the difference of the humidity ratios behind.",
            "In IP 7,000 grains are a pound. In SI g/s times 3.6 is kg/h.",
        ),
        slips=(
            Slip("standard air for actual air", lambda v, u: _with_standard_air(v),
                 "That takes the air as standard air. At this altitude there is less of it in the same volume: divide by the specific volume."),
            Slip("by the minute", lambda v, u: float(capacity_of(v).moisture_removal) / 60,
                 "That is by the minute. The answer is by the hour: times 60.", systems=("IP",)),
            Slip("grains for pounds", lambda v, u: 7000 * float(capacity_of(v).moisture_removal),
                 "Those are grains. A pound has 7,000 of them.", systems=("IP",)),
            Slip("by the second", lambda v, u: float(capacity_of(v).moisture_removal) / 3.6,
                 "That is in grams by the second. Times 3.6 gives kilograms by the hour.", systems=("SI",)),
        ),
        source=METHOD,
        possible=is_believable,
    ),
    QuestionKind(
        name="latent_capacity",
        lesson=4,
        title="Latent capacity at altitude",
        ask="In the supply duct of a bakery in the mountains {flow} flows, with a specific volume of {supply_volume}. The return air "
        "({return_dry_bulb}) holds {return_ratio} of water, the supply air ({supply_dry_bulb}) {supply_ratio}. What is the latent capacity?",
        kind="capacity",
        parameters=STATED,
        solve=_latent,
        limits=(1000.0, 14000.0),
        hints=(
            "Latent capacity is the heat of the water that the coil takes out. First: how much water by the hour?",
            "Dry air times the difference of the humidity ratios. In IP over 7,000, because a pound has 7,000 grains.",
            "A pound of vapour holds about 1,095 Btu (a kilogram 2,546 kJ).",
        ),
        slips=(
            Slip("0.68 at altitude", lambda v, u: textbook(v, "latent").textbook,
                 "That is what the sea-level factor gives (0.68 in IP, 2.96 in SI). In thin air there is less air in the same volume: work "
                 "from the specific volume."),
            Slip("sensible for latent", lambda v, u: float(capacity_of(v).sensible),
                 "That is the sensible capacity, from the dry bulbs. Latent comes from the water, so from the humidity ratios."),
            Slip("heat of boiling water", lambda v, u: float(capacity_of(v).moisture_removal) / 3600 * HEAT_AT_BOILING,
                 "That takes 970 Btu/lb (2,257 kJ/kg), which holds for water that boils. Vapour in room air holds about 1,095 Btu/lb "
                 "(2,546 kJ/kg)."),
            Slip("grains for pounds", lambda v, u: 7000 * float(capacity_of(v).latent),
                 "The water is still in grains. A pound has 7,000 of them.", systems=("IP",)),
        ),
        source=METHOD,
        possible=is_believable,
    ),
    QuestionKind(
        name="latent_capacity_from_a_bucket",
        lesson=4,
        title="Latent capacity with a bucket and a watch",
        ask="At a museum the condensate runs into a bucket. After {time} it holds {caught} of water. Which latent capacity is that?",
        kind="capacity",
        parameters=(
            Parameter("time", "time", 1200.0, 3000.0, (0.5, 0.5)),
            Parameter("caught", "mass", 2.5, 7.0, (0.05, 0.02)),
        ),
        solve=_bucket,
        limits=(1500.0, 10000.0),
        hints=(
            "How much would it be in a full hour? A proportion.",
            "Each pound of that water was vapour in room air, and gave off about 1,095 Btu (each kilogram 2,546 kJ).",
            "In SI, kJ by the hour over 3,600 is kW.",
        ),
        slips=(
            Slip("not brought to the hour", lambda v, u: _latent_of(float(v["caught"])),
                 "The water in the bucket was taken as that of a whole hour. Bring it to the hour first: over the minutes, times 60."),
            Slip("hour and minutes upside down", lambda v, u: _latent_of(float(v["caught"]) * float(v["time"]) / 3600),
                 "The proportion is upside down. In a full hour more water comes than in these minutes."),
            Slip("heat of boiling water", lambda v, u: _rate(v) / 3600 * HEAT_AT_BOILING,
                 "That takes 970 Btu/lb (2,257 kJ/kg), which holds for water that boils. Vapour in room air holds about 1,095 Btu/lb "
                 "(2,546 kJ/kg)."),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="does_the_bucket_agree",
        lesson=4,
        title="Does the bucket agree with the air side?",
        ask="From probes and airflow {removal} of water follow, good to {doubt}. The bucket under the drain held {caught} after {time}; the unit "
        "had run steadily for an hour. What do you say?",
        kind="count",
        parameters=(
            Parameter("removal", "moisture_rate", 4.0, 11.0, (0.1, 0.1)),
            Parameter("doubt", "percentage", 0.10, 0.18, (1.0, 1.0)),
            Parameter("time", "time", 1200.0, 3000.0, (0.5, 0.5)),
            Parameter("caught", "mass", 2.0, 7.0, (0.05, 0.02)),
        ),
        solve=_agreement,
        limits=(0, 2),
        hints=(
            "Bring the bucket to the hour: over the minutes, times 60.",
            "By how many percent do the two differ? Compare that with the doubt.",
        ),
        source=PRACTICE,
        options=(
            "They agree within the doubt: the humidity readings hold",
            "The air side shows more water than came: look for a probe that reads wrong, or water that does not reach the bucket",
            "The air side shows less water than came: look for a probe that reads wrong, or an airflow that is too low",
        ),
        because=(
            "Where the two differ by less than the doubt, nothing speaks against the humidity readings.",
            "Where the air side lies above the bucket by more than its doubt, humidity readings, airflow or the drain need a second look.",
            "Where the air side lies below the bucket by more than its doubt, humidity readings or airflow need a second look.",
        ),
        possible=lambda v: 4.0 < _rate(v) < 14.0 and (abs(_away(v)) < AGREES or DISAGREES < abs(_away(v)) < 4.0),
    ),
    QuestionKind(
        name="supply_with_more_water_than_return",
        lesson=4,
        title="The supply seems to hold more water than the return",
        ask="The compressor runs steadily, the drain runs, and the fan has been on for an hour. Your probes say that the supply air holds more "
        "water, in grains or grams, than the return air. What is the likely reason?",
        kind="count",
        parameters=(),
        solve=lambda v: Solution(1),
        limits=(0, 2),
        hints=(
            "Where would the water in the drain come from?",
            "How well does a humidity probe read in cold, nearly saturated air?",
        ),
        source=PRACTICE,
        options=(
            "The latent capacity is negative today: write it down as it is",
            "A humidity probe reads wrong: hold both side by side in one airstream",
            "Supply air always holds more water, because its relative humidity is higher",
        ),
        because=(
            "Water runs from the drain, so the coil does dry the air. The readings cannot both be right.",
            "Water in the drain has left the air, so the supply must hold less. A probe in cold damp air easily reads too high.",
            "Relative humidity is higher because the air is colder. By weight it holds less water than the return.",
        ),
    ),
)  # fmt: skip
