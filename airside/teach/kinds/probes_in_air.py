"""Questions of lesson 2 about a probe in its airstream: response, layers of air, wet wicks, and what an error of humidity does."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE, standard_atmosphere_pressure
from airside.air.process import mix
from airside.air.state import MoistAir
from airside.instruments.response import part_of_step, shown_after, time_to_show
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

RESPONSE = "ASHRAE Handbook—Fundamentals ch. 37, Measurement and Instruments: time constant (from memory)"
FUNDAMENTALS = "ASHRAE Handbook—Fundamentals (2017) ch. 1"
# Two layers of supply air of which only the dry bulb is asked [kg/kg].
MOISTURE = 0.008


def _wait(values: Values) -> Solution:
    time = time_to_show(values["part"], values["time_constant"])
    return Solution(time, (
        Step("Time constant: after it the probe shows 63 % of the step", values["time_constant"], "time"),
        Step("How many time constants that part takes, from the table (the natural logarithm of 1 over what is left)",
             time / values["time_constant"], "fraction"),
        Step("Time: the one times the other", time, "time", written="{-1} × {time_constant}"),
    ))  # fmt: skip


def _as_half_time(values: Values) -> float:
    # Whoever takes the time constant as the time for one half.
    return time_to_show(values["part"], values["time_constant"] / math.log(2))


def _early_reading(values: Values) -> Solution:
    part = part_of_step(values["wait"], values["time_constant"])
    shown = shown_after(values["wait"], values["time_constant"], values["room"], values["supply"])
    return Solution(shown, (
        Step("Time waited, in time constants", values["wait"] / values["time_constant"], "fraction", written="{wait} ÷ {time_constant}"),
        Step("Part of the step that the probe shows by then, from the table", part, "percentage"),
        Step("The whole step, from the room to the supply", values["supply"] - values["room"], "temperature_difference",
             written="{supply} − {room}"),
        Step("Shown: the room's dry bulb and that part of the step", shown, "temperature", written="{room} + {-2} × {-1}"),
    ))  # fmt: skip


def _straight_line(values: Values) -> float:
    way = min(values["wait"] / values["time_constant"], 1.0)
    return float(values["room"] + way * (values["supply"] - values["room"]))


def _layers(values: Values, share: float) -> float:
    low, high = (MoistAir.from_humidity_ratio(values[n], MOISTURE, SEA_LEVEL_PRESSURE) for n in ("lower", "upper"))
    return float(mix(low, share, high, 1.0 - share).dry_bulb)


def _layered(values: Values) -> Solution:
    mean = _layers(values, values["share"])
    return Solution(mean, (
        Step("Difference between the two layers", values["lower"] - values["upper"], "temperature_difference", written="{lower} − {upper}"),
        Step("The lower layer's share of it", mean - values["upper"], "temperature_difference", written="{share} × {-1}"),
        Step("Mean of the stream: that, added to the upper layer", mean, "temperature", written="{upper} + {-1}"),
    ))  # fmt: skip


def _dew_point(values: Values, error: float) -> float:
    air = MoistAir.from_relative_humidity(values["dry_bulb"], values["relative_humidity"] + error, SEA_LEVEL_PRESSURE)
    return float(air.dew_point)


def _dew_point_too_high(values: Values, error: float) -> float:
    return _dew_point(values, error) - _dew_point(values, 0.0)


def _humidity_error(values: Values) -> Solution:
    return Solution(_dew_point_too_high(values, values["error"]), (
        Step("Relative humidity that the probe shows", values["relative_humidity"] + values["error"], "relative_humidity",
             written="{relative_humidity} + {error}"),
        Step("Dew point with that", _dew_point(values, values["error"]), "temperature", (2, 2)),
        Step("Dew point with the true relative humidity", _dew_point(values, 0.0), "temperature", (2, 2)),
        Step("The difference", _dew_point_too_high(values, values["error"]), "temperature_difference", written="{-2} − {-1}"),
    ))  # fmt: skip


def _wick(values: Values, error: float) -> float:
    pressure = float(standard_atmosphere_pressure(values["elevation"]))
    air = MoistAir.from_wet_bulb(values["dry_bulb"], values["wet_bulb"] + error, pressure, impossible="nan")
    return float(air.relative_humidity)


def _wick_error(values: Values) -> Solution:
    return Solution(_wick(values, values["error"]) - _wick(values, 0.0), (
        Step("Wet bulb that the drying wick shows", values["wet_bulb"] + values["error"], "temperature", written="{wet_bulb} + {error}"),
        Step("Relative humidity with that, from the chart of this elevation", _wick(values, values["error"]), "relative_humidity"),
        Step("Relative humidity with the true wet bulb", _wick(values, 0.0), "relative_humidity"),
        Step("The difference, in points of relative humidity", _wick(values, values["error"]) - _wick(values, 0.0),
             "relative_humidity", written="{-2} − {-1}"),
    ))  # fmt: skip


PROBES_IN_AIR = (
    QuestionKind(
        name="wait_for_a_slow_probe",
        needs=("response",),
        lesson=2,
        title="How long to wait for a slow probe",
        ask="A probe in a slow return duct has a time constant of {time_constant}. You bring it in from the roof. How long must you wait until it "
        "shows {part} of the step?",
        kind="time",
        parameters=(
            Parameter("time_constant", "time", 30.0, 240.0, (0.1, 0.1)),
            Parameter("part", "percentage", 0.90, 0.98, (1.0, 1.0), exact=True),
        ),
        solve=_wait,
        limits=(60.0, 1000.0),
        hints=(
            "One time constant takes the probe 63 % of the way, the next 63 % of what is left, and so on.",
            "90 % takes 2.3 time constants, 95 % takes 3, 98 % takes 3.9.",
        ),
        slips=(
            Slip("one time constant", lambda v, u: v["time_constant"],
                 "That is one time constant. By then the probe has gone 63 % of the way, and a third of the step is still missing."),
            Slip("time constant taken as the time for one half", lambda v, u: _as_half_time(v),
                 "The time constant was taken as the time for half of the step. It is the time for 63 % of it, so the wait is shorter."),
        ),
        source=RESPONSE,
    ),
    QuestionKind(
        name="reading_taken_too_early",
        needs=("response",),
        lesson=2,
        title="What a probe shows that is read too early",
        ask="A probe that has lain in a room at {room} is put into supply air at {supply}. Its time constant is {time_constant}. It is read after "
        "{wait}. What does it show?",
        kind="temperature",
        parameters=(
            Parameter("room", "temperature", 22.0, 28.0, (1.0, 0.5)),
            Parameter("supply", "temperature", 11.0, 15.0, (1.0, 0.5)),
            Parameter("time_constant", "time", 60.0, 180.0, (0.1, 0.1)),
            Parameter("wait", "time", 60.0, 420.0, (0.1, 0.1)),
        ),
        solve=_early_reading,
        limits=(11.0, 26.0),
        hints=(
            "How many time constants have gone by?",
            "After 1 time constant 63 % of the step is done, after 2 86 %, after 3 95 %.",
            "The step goes from the room's dry bulb to the supply's.",
        ),
        slips=(
            Slip("the supply itself", lambda v, u: v["supply"],
                 "That is the supply air itself. The probe has not arrived there yet: it shows only a part of the step."),
            Slip("done and left mixed up",
                 lambda v, u: shown_after(v["wait"], v["time_constant"], v["supply"], v["room"]),
                 "The part that is done and the part that is left have changed places. The probe starts at the room's dry bulb."),
            Slip("straight line", lambda v, u: _straight_line(v),
                 "The probe does not go at an even pace. It goes 63 % of what is left in each time constant, slower and slower.", ),
        ),
        possible=lambda v: 0.5 <= v["wait"] / v["time_constant"] <= 2.6,
        source=RESPONSE,
    ),
    QuestionKind(
        name="mean_of_two_layers",
        lesson=2,
        title="A duct with two layers of air",
        ask="Just after a coil the supply air of a bakery runs in two layers. The lower one carries {share} of the air, at {lower}. The upper "
        "one carries the rest, at {upper}. What is the mean dry bulb of the stream?",
        kind="temperature",
        parameters=(
            Parameter("share", "percentage", 0.60, 0.80, (5.0, 5.0)),
            Parameter("lower", "temperature", 9.0, 12.5, (0.5, 0.5)),
            Parameter("upper", "temperature", 15.0, 20.0, (0.5, 0.5)),
        ),
        solve=_layered,
        limits=(9.0, 18.0),
        hints=(
            "What the building feels is the mixture. The larger stream counts for more.",
            "Go from the upper dry bulb towards the lower one, by the lower one's share of the way.",
        ),
        slips=(
            Slip("plain mean", lambda v, u: _layers(v, 0.5),
                 "That is the plain mean of the two readings. The layers do not carry the same air: weigh each by its share."),
            Slip("shares mixed up", lambda v, u: _layers(v, 1.0 - v["share"]),
                 "The shares have changed places. The lower layer carries more, so the mean lies nearer to it."),
            Slip("one probe in the lower layer", lambda v, u: v["lower"],
                 "That is what one probe in the lower layer would show. The other layer is part of the stream too."),
            Slip("one probe in the upper layer", lambda v, u: v["upper"],
                 "That is what one probe in the upper layer would show. The other layer is part of the stream too."),
        ),
        source=f"{FUNDAMENTALS}, adiabatic mixing of two moist airstreams",
    ),
    QuestionKind(
        name="humidity_error_as_dew_point_error",
        needs=("saturation",),
        lesson=2,
        title="What an error of relative humidity does to the dew point",
        ask="Return air in a museum is at {dry_bulb} and {relative_humidity} relative humidity. A humidity probe with an accuracy of ±{error} RH "
        "reads as much too high as that allows. By how much is the dew point too high that is worked out from it?",
        kind="temperature_difference",
        parameters=(
            Parameter("dry_bulb", "temperature", 21.0, 27.0, (0.5, 0.5)),
            Parameter("relative_humidity", "relative_humidity", 0.35, 0.60, (1.0, 1.0)),
            Parameter("error", "relative_humidity", 0.02, 0.06, (0.5, 0.5), exact=True),
        ),
        solve=_humidity_error,
        limits=(0.4, 3.5),
        hints=(
            "An accuracy in % RH is in points of the scale: 3 points more than 45 % are 48 %.",
            "Work out the dew point twice: with the true relative humidity, and with the one that the probe shows.",
        ),
        slips=(
            Slip("points taken as a part of the reading",
                 lambda v, u: _dew_point_too_high(v, v["error"] * v["relative_humidity"]),
                 "The error was taken as percent of the reading. It is in points: add it to the relative humidity."),
            Slip("error of the wrong sign", lambda v, u: _dew_point_too_high(v, -v["error"]),
                 "The error went the other way. A probe that reads too high makes the dew point too high."),
        ),
        decimals=(1, 1),
        source=f"{FUNDAMENTALS}, Eq. 12 and 36",
    ),
    QuestionKind(
        name="drying_wick",
        is_difference=True,
        needs=("elevation", "chart"),
        lesson=2,
        title="What a drying wick does to the humidity",
        ask="In a laundry at {elevation} the air is at {dry_bulb} dry bulb and {wet_bulb} wet bulb. The wick is half dry, so the wet bulb is read "
        "{error} too high. By how many points is the relative humidity too high that is read from the chart?",
        kind="relative_humidity",
        parameters=(
            Parameter("elevation", "elevation", 0.0, 1500.0, (500.0, 100.0)),
            Parameter("dry_bulb", "temperature", 23.0, 29.0, (1.0, 0.5)),
            Parameter("wet_bulb", "temperature", 14.5, 20.0, (1.0, 0.5)),
            Parameter("error", "temperature_difference", 0.8, 2.3, (0.5, 0.2), exact=True),
        ),
        solve=_wick_error,
        limits=(0.03, 0.22),
        hints=(
            "A half-dry wick cools less, so the wet bulb is read too high, and the air seems damper than it is.",
            "Read the relative humidity twice: with the true wet bulb, and with the one that the wick shows.",
        ),
        slips=(
            Slip("error of the wrong sign", lambda v, u: _wick(v, -v["error"]) - _wick(v, 0.0),
                 "The error went the other way. A drying wick reads too high, and then the relative humidity seems too high as well."),
            Slip("relative humidity, not its error", lambda v, u: _wick(v, v["error"]),
                 "That is the relative humidity that is read. The question asks by how much it is too high: take off the true one."),
        ),
        possible=lambda v: v["dry_bulb"] - v["wet_bulb"] > 4.0 and v["dry_bulb"] - v["wet_bulb"] > v["error"] + 1.5,
        source=f"{FUNDAMENTALS}, Eq. 33",
    ),
)  # fmt: skip
