"""Questions of lesson 2: probes. Accuracy and resolution here; response and placement, two probes, and choices, in modules of their own."""

from __future__ import annotations

from airside.instruments.accuracy import Statement, resolution_uncertainty
from airside.teach.kinds.probes_in_air import PROBES_IN_AIR
from airside.teach.kinds.probes_side_by_side import PROBES_SIDE_BY_SIDE
from airside.teach.kinds.probes_which import PROBE_CHOICES
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

GUM = "JCGM 100:2008 (GUM)"


def _limit(values: Values) -> float:
    return Statement(accuracy=values["accuracy"]).standard_uncertainty(0.0)


def _standard_of_a_limit(values: Values) -> Solution:
    return Solution(_limit(values), (
        Step("Half-width of the limit: from the middle to one end", values["accuracy"], "temperature_difference", (2, 2)),
        Step("A limit: any error up to the ends is as likely. Standard uncertainty is half-width over the root of 3, which is 1.732",
             _limit(values), "temperature_difference", (2, 2), written="{accuracy} ÷ 1.732"),
    ))  # fmt: skip


def _level(values: Values) -> float:
    return Statement(accuracy=values["accuracy"], coverage="95 %").standard_uncertainty(0.0)


def _standard_of_a_95_statement(values: Values) -> Solution:
    return Solution(_level(values), (
        Step("Half-width of the 95 % statement", values["accuracy"], "relative_humidity", (2, 2)),
        Step("Small errors are likelier than large ones. Standard uncertainty is half-width over 1.96", _level(values),
             "relative_humidity", (2, 2), written="{accuracy} ÷ 1.96"),
    ))  # fmt: skip


def _gauge(values: Values) -> Statement:
    return Statement(accuracy=values["fixed"], of_reading=values["part"])


def _sum_of_both(values: Values) -> Solution:
    whole = _gauge(values).half_width(values["reading"])
    return Solution(whole, (
        Step("The part that goes with the reading: percent times reading", values["part"] * values["reading"], "duct_pressure", (4, 1),
             written="{part} × {reading}"),
        Step("The fixed part", values["fixed"], "duct_pressure", (4, 1)),
        Step("Half-width: both together", whole, "duct_pressure", (4, 1), written="{-2} + {-1}"),
    ))  # fmt: skip


def _anemometer(values: Values, *, part: float | None = None, fixed: float | None = None) -> float:
    statement = Statement(
        accuracy=values["fixed"] if fixed is None else fixed,
        of_reading=values["part"] if part is None else part,
        combination="larger",
    )  # fmt: skip
    return statement.half_width(values["reading"])


def _larger_of_both(values: Values) -> Solution:
    return Solution(_anemometer(values), (
        Step("The part that goes with the reading: percent times reading", _anemometer(values, fixed=0.0), "velocity", (1, 3),
             written="{part} × {reading}"),
        Step("The fixed part", values["fixed"], "velocity", (1, 3)),
        Step("The larger one counts", _anemometer(values), "velocity", (1, 3)),
    ))  # fmt: skip


def _frozen(values: Values) -> float:
    # All readings show the same: no scatter.
    return resolution_uncertainty(values["step"], 0.0, round(values["count"]))


def _resolution(values: Values) -> Solution:
    return Solution(_frozen(values), (
        Step("Step of the display", values["step"], "temperature_difference", (3, 3)),
        Step("The true value may lie anywhere within the step. Standard uncertainty is the step over the root of 12, which is 3.464",
             _frozen(values), "temperature_difference", (3, 3), written="{step} ÷ 3.464"),
    ))  # fmt: skip


def _averaged_away(values: Values) -> float:
    # Scatter as large as the step: as if the rounding averaged out.
    return resolution_uncertainty(values["step"], values["step"], round(values["count"]))


ACCURACY = (
    QuestionKind(
        name="standard_uncertainty_of_a_limit",
        lesson=2,
        title="Standard uncertainty of an accuracy limit",
        ask="The data sheet of a temperature probe says: accuracy ±{accuracy}. It means a limit: no error is larger. What standard uncertainty "
        "does that stand for?",
        kind="temperature_difference",
        parameters=(Parameter("accuracy", "temperature_difference", 0.3, 1.2, (0.05, 0.02), exact=True),),
        solve=_standard_of_a_limit,
        limits=(0.1, 1.0),
        hints=(
            "A limit is an end that is never passed. A standard uncertainty is smaller: it says how far off one usually is.",
            "Within a limit every error is taken as equally likely. Then divide by the root of 3.",
        ),
        slips=(
            Slip("the limit itself", lambda v, u: v["accuracy"],
                 "That is the limit itself, the largest error that can be. Usually one is nearer: divide by the root of 3."),
            Slip("taken as a 95 % statement", lambda v, u: Statement(accuracy=v["accuracy"], coverage="95 %").standard_uncertainty(0.0),
                 "1.96 belongs to a statement for 95 % of readings. This one is a limit: divide by the root of 3, 1.732."),
            Slip("width of a step", lambda v, u: resolution_uncertainty(v["accuracy"], 0.0, 1),
                 "The root of 12 belongs to the whole width, from end to end, as of a display's step. The accuracy is the half-width: "
                 "divide by the root of 3."),
        ),
        decimals=(2, 2),
        source=f"{GUM}, 4.3.7",
    ),
    QuestionKind(
        name="standard_uncertainty_of_a_95_percent_statement",
        is_difference=True,
        lesson=2,
        title="Standard uncertainty of a 95 % statement",
        ask="A calibration sheet of a humidity probe says: ±{accuracy} relative humidity, for 95 % of all readings. What standard uncertainty "
        "does that stand for?",
        kind="relative_humidity",
        parameters=(Parameter("accuracy", "relative_humidity", 0.012, 0.04, (0.1, 0.1), exact=True),),
        solve=_standard_of_a_95_statement,
        limits=(0.005, 0.025),
        hints=(
            "This is no limit: 5 readings in 100 may lie outside.",
            "Errors with a bell-shaped spread lie within 1.96 standard uncertainties in 95 of 100 cases.",
        ),
        slips=(
            Slip("the half-width itself", lambda v, u: v["accuracy"],
                 "That is the half-width that holds 95 % of the readings. A standard uncertainty is smaller: divide by 1.96."),
            Slip("taken as a limit", lambda v, u: Statement(accuracy=v["accuracy"]).standard_uncertainty(0.0),
                 "The root of 3 belongs to a limit that is never passed. For a 95 % statement divide by 1.96."),
        ),
        decimals=(2, 2),
        source=f"{GUM}, 4.3.4",
    ),
    QuestionKind(
        name="accuracy_of_reading_plus_fixed",
        lesson=2,
        title="Accuracy as a part of the reading and a fixed part",
        ask="A pressure meter with a range of {range} has an accuracy of ±({part} of reading + {fixed}). It shows {reading}. How far off may that "
        "reading be, at most?",
        kind="duct_pressure",
        parameters=(
            Parameter("range", "duct_pressure", 480.0, 1010.0, (1.0, 250.0), exact=True),
            Parameter("part", "percentage", 0.01, 0.03, (0.5, 0.5), exact=True),
            Parameter("fixed", "duct_pressure", 1.5, 5.0, (0.002, 0.5), exact=True),
            Parameter("reading", "duct_pressure", 80.0, 200.0, (0.01, 1.0)),
        ),
        solve=_sum_of_both,
        limits=(2.0, 12.0),
        hints=(
            "The statement has two parts. Work out each in the unit of the reading.",
            "\"Of reading\" means: the percent of what the meter shows, not of its range.",
            "The plus sign says what to do with the two.",
        ),
        slips=(
            Slip("percent of the range", lambda v, u: _gauge(v).half_width(v["range"]),
                 "The percent was taken of the whole range. This meter says \"of reading\": take it of what it shows."),
            Slip("fixed part left out", lambda v, u: _gauge(v).half_width(v["reading"]) - v["fixed"],
                 "That is the percent alone. The fixed part comes on top of it."),
            Slip("percent left out", lambda v, u: v["fixed"],
                 "That is the fixed part alone. The percent of the reading comes on top of it."),
        ),
        decimals=(4, 1),
        source="common practice, no source: how data sheets state accuracy",
    ),
    QuestionKind(
        name="accuracy_whichever_is_larger",
        lesson=2,
        title="Accuracy where the larger part counts",
        ask="An air-velocity meter has an accuracy of ±{part} of reading or ±{fixed}, whichever is larger. In a slow return duct it shows {reading}. "
        "How far off may that reading be, at most?",
        kind="velocity",
        parameters=(
            Parameter("part", "percentage", 0.02, 0.05, (1.0, 1.0), exact=True),
            Parameter("fixed", "velocity", 0.05, 0.16, (5.0, 0.01), exact=True),
            Parameter("reading", "velocity", 1.0, 3.0, (10.0, 0.05)),
        ),
        solve=_larger_of_both,
        limits=(0.05, 0.2),
        hints=(
            "Work out the percent of the reading first.",
            "Then compare it with the fixed part. The larger one counts, and only that.",
        ),
        slips=(
            Slip("the smaller part", lambda v, u: min(_anemometer(v, fixed=0.0), _anemometer(v, part=0.0)),
                 "That is the smaller of the two parts. The statement says whichever is larger."),
            Slip("both parts added", lambda v, u: _anemometer(v, fixed=0.0) + _anemometer(v, part=0.0),
                 "The two parts were added. \"Whichever is larger\" means that only one of them counts."),
        ),
        decimals=(1, 3),
        source="common practice, no source: how data sheets state accuracy",
    ),
    QuestionKind(
        name="resolution_of_a_steady_display",
        lesson=2,
        title="Resolution of a display that does not move",
        ask="A thermometer shows steps of {step}. You write down {count} readings, and all are the same. What standard uncertainty does the display "
        "alone leave in their mean?",
        kind="temperature_difference",
        parameters=(
            Parameter("step", "temperature_difference", 0.27, 0.56, (0.5, 0.5), exact=True),
            Parameter("count", "count", 4, 20, (1.0, 1.0), exact=True),
        ),
        solve=_resolution,
        limits=(0.05, 0.5),
        hints=(
            "The display rounds. Within one step every true value is equally likely.",
            "Does the rounding average out when all the readings are the same?",
            "Half a step over the root of 3 is the same as the whole step over the root of 12.",
        ),
        slips=(
            Slip("averaged away", lambda v, u: _averaged_away(v),
                 "The number of readings went in. However often the same figure comes, it says no more than once: rounding does not "
                 "average out where nothing moves."),
            Slip("half a step", lambda v, u: v["step"] / 2,
                 "Half a step is the largest error of rounding. A standard uncertainty is smaller: the step over the root of 12."),
            Slip("whole step as half-width", lambda v, u: Statement(accuracy=v["step"]).standard_uncertainty(0.0),
                 "The step was taken as the half-width. It is the whole width: the reading may be off by half a step to either side."),
        ),
        decimals=(3, 3),
        source=f"{GUM}, F.2.2.1",
    ),
)  # fmt: skip

PROBES = (*ACCURACY, *PROBES_IN_AIR, *PROBES_SIDE_BY_SIDE, *PROBE_CHOICES)
