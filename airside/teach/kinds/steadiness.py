"""Questions of lesson 5: was it steady? Range and drift here, and how many readings; time, and choices, in modules of their own."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.process import delivered_capacity
from airside.air.state import MoistAir
from airside.instruments.steadiness import beyond_tolerance, standard_error, trend
from airside.teach.kinds.steadiness_choices import MINUTE, STEADINESS_CHOICES, TOLERANCE, scattered
from airside.teach.kinds.steadiness_time import STEADINESS_TIME
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside, to_input


def _beyond(values: Values) -> float:
    """How far the range of the readings goes beyond the field tolerance [K]; NaN where it does not."""
    found = beyond_tolerance([("supply", "dry_bulb", values["readings"])], "field")
    return found[0].range - found[0].tolerance if found else math.nan


def _range(values: Values) -> float:
    return float(max(values["readings"]) - min(values["readings"]))


def _positive(value: float) -> float:
    return value if value > 0 else math.nan


def _range_beyond(values: Values) -> Solution:
    return Solution(_beyond(values), (
        Step("Highest reading", max(values["readings"]), "temperature"),
        Step("Lowest reading", min(values["readings"]), "temperature"),
        Step("Range: highest less lowest", _range(values), "temperature_difference", written="{-2} − {-1}"),
        Step("Range less tolerance", _beyond(values), "temperature_difference", written="{-1} − {tolerance}"),
    ))  # fmt: skip


def _fall(values: Values) -> float:
    return -trend((values["first"], values["last"])).change


def _drift(values: Values) -> Solution:
    minutes = values["time"] / MINUTE
    return Solution(_fall(values) * 10 / minutes, (
        Step("Fall from the first reading to the last", _fall(values), "temperature_difference", written="{first} − {last}"),
        Step("Fall of one minute: the whole fall over the minutes", _fall(values) / minutes, "temperature_difference", (3, 3),
             written="{-1} ÷ {time}"),
        Step("Ten times that", _fall(values) * 10 / minutes, "temperature_difference", written="10 × {-1}"),
    ))  # fmt: skip


def _sensible(values: Values, supply: str) -> float:
    # The question says nothing of moisture and flow: both stay, so any will do.
    air, cold = (
        MoistAir.from_humidity_ratio(values[n], 0.008, SEA_LEVEL_PRESSURE) for n in ("return_dry_bulb", supply)
    )
    return float(delivered_capacity(air, cold, 1.0).sensible)


def _loss(values: Values) -> Solution:
    lost = 1 - _sensible(values, "last") / _sensible(values, "first")
    return Solution(lost, (
        Step("Temperature drop at the first reading: return less supply", values["return_dry_bulb"] - values["first"],
             "temperature_difference", written="{return_dry_bulb} − {first}"),
        Step("Temperature drop at the last reading", values["return_dry_bulb"] - values["last"], "temperature_difference",
             written="{return_dry_bulb} − {last}"),
        Step("The drop has become smaller by", values["last"] - values["first"], "temperature_difference", written="{-2} − {-1}"),
        Step("That, as a share of the first drop", lost, "percentage", written="{-1} ÷ {-3}"),
    ))  # fmt: skip


def _of_itself(values: Values, units: UnitSystem) -> float:
    first, last = (float(to_input(values[n], "temperature", units)) for n in ("first", "last"))
    return last / first - 1


def _count(values: Values) -> int:
    return round(float(values["count"]))


def _error(values: Values) -> Solution:
    count = _count(values)
    return Solution(standard_error(scattered(count, values["scatter"])), (
        Step("Root of the number of readings", math.sqrt(count), "count", written="√{count}"),
        Step("Standard deviation over that root", standard_error(scattered(count, values["scatter"])), "temperature_difference", (2, 2),
             written="{scatter} ÷ {-1}"),
    ))  # fmt: skip


def _enough(values: Values, factor: float = 1.0) -> float:
    """Fewest readings whose mean is good enough; NaN where ten or more are needed."""
    for count in range(2, 10):
        if standard_error(scattered(count, factor * values["scatter"])) <= values["wanted"]:
            return float(count)
    return math.nan


def _readings_needed(values: Values) -> Solution:
    ratio = values["scatter"] / values["wanted"]
    return Solution(_enough(values), (
        Step("So many times smaller than the scatter of one reading", ratio, "fraction", written="{scatter} ÷ {wanted}"),
        Step("That, times itself", ratio**2, "fraction", written="{-1} × {-1}"),
        Step("Rounded up to whole readings", _enough(values), "count"),
    ))  # fmt: skip


SCATTER = Parameter("scatter", "temperature_difference", 0.2, 0.6, (0.02, 0.01))

STEADINESS_NUMBERS = (
    QuestionKind(
        name="range_beyond_tolerance",
        lesson=5,
        title="A range that is too wide",
        ask="In the supply duct of a bakery you read, one after another: {readings}. The field tolerance for the range of a dry bulb is "
        "{tolerance}. By how much is the range wider than that?",
        kind="temperature_difference",
        parameters=(Parameter("readings", "temperature", 12.5, 15.0, (0.1, 0.1), count=6, spread=1.7), TOLERANCE),
        solve=_range_beyond,
        limits=(0.2, 2.5),
        hints=(
            "The range is the highest reading less the lowest. Their order does not matter.",
            "Then take the tolerance off.",
        ),
        slips=(
            Slip("range itself", lambda v, u: _range(v),
                 "That is the whole range. Asked is how much of it lies beyond the tolerance: take the tolerance off."),
            Slip("first to last", lambda v, u: _positive(abs(v["readings"][-1] - v["readings"][0]) - v["tolerance"]),
                 "You went from the first reading to the last. The range goes from the lowest to the highest, wherever they stand."),
            Slip("half the range", lambda v, u: _positive(_range(v) / 2 - v["tolerance"]),
                 "You took half the range, as if the tolerance were plus and minus. Here the tolerance is for the whole range."),
            Slip("tolerance taken off twice", lambda v, u: _positive(_range(v) - 2 * v["tolerance"]),
                 "You took the tolerance off twice, as if it were plus and minus. It is for the whole range: once is enough."),
        ),
        possible=lambda v: math.isfinite(_beyond(v)),
        source="common practice, no source",
    ),
    QuestionKind(
        name="drift_per_ten_minutes",
        lesson=5,
        title="Drift in ten minutes",
        ask="A clinic's unit has been running for a while. Within {time} the supply dry bulb falls evenly from {first} to {last}. How far "
        "does it fall every ten minutes?",
        kind="temperature_difference",
        parameters=(
            Parameter("time", "time", 12 * MINUTE, 45 * MINUTE, (1.0, 1.0)),
            Parameter("first", "temperature", 14.5, 17.0, (0.1, 0.1)),
            Parameter("last", "temperature", 12.0, 13.5, (0.1, 0.1)),
        ),
        solve=_drift,
        limits=(0.25, 4.0),
        hints=(
            "How far does it fall altogether?",
            "An even drift is a proportion: so much in all the minutes, how much in one, how much in ten?",
        ),
        slips=(
            Slip("whole fall", lambda v, u: _fall(v),
                 "That is the fall over the whole time. Ten minutes have only their share of it."),
            Slip("one minute", lambda v, u: _fall(v) * MINUTE / v["time"],
                 "That is the fall of one minute. Ten minutes have ten times as much."),
            Slip("proportion upside down", lambda v, u: _fall(v) * v["time"] / (10 * MINUTE),
                 "The proportion is upside down: ten minutes are less than the whole time, so their fall is smaller than the whole one."),
        ),
        source="common practice, no source",
    ),
    QuestionKind(
        name="drift_in_percent_of_capacity",
        lesson=5,
        title="What a drift does to the capacity",
        ask="The return air of a library stays at {return_dry_bulb}. While you read, the supply dry bulb creeps up from {first} to {last}. "
        "Airflow and moisture stay as they are. By how many percent has the sensible capacity fallen?",
        kind="percentage",
        parameters=(
            Parameter("return_dry_bulb", "temperature", 23.0, 26.5, (0.1, 0.1)),
            Parameter("first", "temperature", 11.5, 13.3, (0.1, 0.1)),
            Parameter("last", "temperature", 13.6, 15.5, (0.1, 0.1)),
        ),
        solve=_loss,
        limits=(0.02, 0.35),
        hints=(
            "At the same airflow the sensible capacity goes with the temperature drop: return less supply.",
            "How large was the drop at first, and how large at last?",
            "Set the loss against the first drop.",
        ),
        slips=(
            Slip("percent of the temperature", _of_itself,
                 "You set the change against the temperature itself, but its zero is only where the scale begins. Set it against the "
                 "temperature drop."),
            Slip("degrees as percent",
                 lambda v, u: float(difference_from_inside(v["last"] - v["first"], "temperature_difference", u)) / 100,
                 "Those are the degrees. A degree is not a percent: set it against the temperature drop."),
            Slip("what is left", lambda v, u: _sensible(v, "last") / _sensible(v, "first"),
                 "That is what is left. Asked is what has been lost."),
        ),
        source="ASHRAE Handbook—Fundamentals (2017) ch. 1, Eq. 39",
    ),
    QuestionKind(
        name="error_of_a_mean",
        lesson=5,
        title="Standard error of a mean",
        ask="In steady air the readings of a probe scatter with a standard deviation of {scatter}. You take {count} readings and their mean. "
        "What is the standard error of this mean, from scatter alone?",
        kind="temperature_difference",
        parameters=(SCATTER, Parameter("count", "count", 4.0, 9.0, (1.0, 1.0), exact=True)),
        solve=_error,
        limits=(0.05, 0.35),
        hints=(
            "A mean scatters less than one reading. Four readings make it half as much, nine a third.",
            "Divide by the root of the number of readings. The root of a number, times itself, is the number.",
        ),
        slips=(
            Slip("one reading", lambda v, u: v["scatter"],
                 "That is the scatter of a single reading. A mean scatters less: divide by the root of the number of readings."),
            Slip("divided by the number", lambda v, u: v["scatter"] / _count(v),
                 "You divided by the number of readings. Chance does not cancel that well: divide by the root of the number."),
            Slip("multiplied by the root", lambda v, u: v["scatter"] * math.sqrt(_count(v)),
                 "You multiplied by the root. A mean is better than one reading, so its error is smaller: divide."),
        ),
        decimals=(2, 2),
        possible=lambda v: _count(v) in (4, 9),
        source="JCGM 100:2008 (GUM) 4.2.3",
    ),
    QuestionKind(
        name="readings_needed",
        lesson=5,
        title="How many readings are needed?",
        ask="In steady air the readings of a probe scatter with a standard deviation of {scatter}. You want the mean to have a standard error of "
        "no more than {wanted}, from scatter alone. How many readings do you need at least?",
        kind="count",
        parameters=(SCATTER, Parameter("wanted", "temperature_difference", 0.08, 0.3, (0.02, 0.01), exact=True)),
        solve=_readings_needed,
        limits=(3, 9),
        hints=(
            "How many times smaller than the scatter of one reading is the error that you want?",
            "Half the error needs four readings, a third of it needs nine: the number, times itself.",
            "Round up to whole readings.",
        ),
        slips=(
            Slip("plain proportion", lambda v, u: math.ceil(v["scatter"] / v["wanted"]),
                 "Twice as good needs four times as many readings, not twice as many. Multiply your number by itself."),
        ),
        # Not where the number hangs on a rounding.
        possible=lambda v: _enough(v, 0.97) == _enough(v) == _enough(v, 1.03),
        source="JCGM 100:2008 (GUM) 4.2.3",
    ),
)  # fmt: skip

STEADINESS = (*STEADINESS_NUMBERS, *STEADINESS_TIME, *STEADINESS_CHOICES)
