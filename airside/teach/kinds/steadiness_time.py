"""Questions of lesson 5 about time: start-up, the probe's own response, and from when on readings count."""

from __future__ import annotations

import math

from airside.instruments.response import part_of_step, time_to_show
from airside.instruments.steadiness import beyond_tolerance
from airside.teach.kinds.steadiness_choices import MINUTE, NEEDED, TOLERANCE
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, difference_from_inside, to_inside

FIRST_ORDER = "ASHRAE Handbook—Fundamentals ch. 37 (Measurement and Instruments), time constant (from memory)"
# Between the readings of a series [s].
INTERVAL = 2 * MINUTE


def _share_left(time_constants: float) -> float:
    """Share of the gap between probe and air that is left after so many time constants [fraction]."""
    return 1 - part_of_step(time_constants, 1.0)


def _left_after(count: int) -> str:
    if count == 1:
        return "Gap after 1 time constant: 37 % (to one place more, 36.8 %) of the one before"
    return f"Gap after {count} time constants: the same part of that"


def _periods(values: Values) -> int:
    return round(float(values["periods"]))


def _shown(values: Values, left: float) -> float:
    return float(values["supply"] + left * (values["start"] - values["supply"]))


def _gap_alone(values: Values, units: UnitSystem) -> float:
    gap = _share_left(_periods(values)) * (values["start"] - values["supply"])
    return float(to_inside(difference_from_inside(gap, "temperature_difference", units), "temperature", units))


def _on_its_way(values: Values) -> Solution:
    count = _periods(values)
    gap = values["start"] - values["supply"]
    steps = [
        Step(
            "Gap at the beginning: what the probe shows less what the air is",
            gap,
            "temperature_difference",
            written="{start} − {supply}",
        )
    ]
    steps += [
        Step(
            _left_after(n),
            gap * _share_left(n),
            "temperature_difference",
            written="0.368 × {-1}",
        )
        for n in range(1, count + 1)
    ]
    answer = _shown(values, _share_left(count))
    return Solution(
        answer, (*steps, Step("The air, and the gap that is left", answer, "temperature", written="{supply} + {-1}"))
    )


def _times(values: Values) -> float:
    """Time constants until the gap is as small as wanted, not rounded."""
    return time_to_show(1 - values["wanted"] / values["gap"], 1.0)


def _wait(values: Values) -> Solution:
    count = math.ceil(_times(values))
    gap = values["gap"]
    steps = [
        Step(
            _left_after(n),
            gap * _share_left(n),
            "temperature_difference",
            (2, 2),
            written="0.368 × {-1}" if n > 1 else "0.368 × {gap}",
        )
        for n in range(1, count + 1)
    ]
    return Solution(count * values["time_constant"], (
        *steps,
        Step("So many time constants", count, "count"),
        Step("Times the time constant", count * values["time_constant"], "time", written="{-1} × {time_constant}"),
    ))  # fmt: skip


def _series(values: Values) -> tuple[float, ...]:
    return (*(values[n] for n in ("first", "second", "third", "fourth")), *values["rest"])


def _first_set(values: Values, wider: float = 0.0) -> int | None:
    """Index of the first five readings in a row within the field tolerance; None where there are none.

    ``wider`` [K] stretches each range, to see whether the choice hangs on a tenth of a degree.
    """
    series = _series(values)
    for start in range(len(series) - NEEDED + 1):
        window = series[start : start + NEEDED]
        ends = (min(window), max(window) + wider)
        if not beyond_tolerance([("supply", "dry_bulb", ends)], "field"):
            return start
    return None


def _at(values: Values, later: int) -> float:
    start = _first_set(values)
    return math.nan if start is None else (start + later) * INTERVAL


def _ends(readings: tuple[float, ...]) -> tuple[tuple[float, str], tuple[float, str]]:
    """The highest and the lowest reading, as numbers of a step's sum."""
    return (max(readings), "temperature"), (min(readings), "temperature")


def _set_begins(values: Values) -> Solution:
    start = _first_set(values)
    if start is None:
        return Solution(math.nan)
    window = _series(values)[start : start + NEEDED]
    before = _series(values)[start - 1 : start - 1 + NEEDED]
    return Solution(start * INTERVAL, (
        Step("Range of the five readings that begin one reading earlier: still too wide", max(before) - min(before),
             "temperature_difference", written="{#1} − {#2}", numbers=_ends(before)),
        Step("Range of the first five that will do", max(window) - min(window), "temperature_difference",
             written="{#1} − {#2}", numbers=_ends(window)),
        Step("Steps of two minutes from start-up to the first of them", start, "count"),
        Step("Two minutes for each step", start * INTERVAL, "time", (0, 0), written="2 min × {-1}"),
    ))  # fmt: skip


def _is_clear_start(values: Values) -> bool:
    found = {_first_set(values, wider) for wider in (-0.2, 0.0, 0.2)}
    return len(found) == 1 and found.pop() in (2, 3, 4)


STEADINESS_TIME = (
    QuestionKind(
        name="probe_on_its_way",
        lesson=5,
        title="A probe on its way",
        ask="A probe shows {start}. You put it into the supply duct of a school, where the air is steady at {supply}. With each time constant "
        "the gap to the air shrinks to 37 % of itself. What does the probe show after {periods} time constants?",
        kind="temperature",
        parameters=(
            Parameter("start", "temperature", 23.0, 28.0, (0.5, 0.5)),
            Parameter("supply", "temperature", 11.0, 15.0, (0.5, 0.5)),
            Parameter("periods", "count", 2.0, 3.0, (1.0, 1.0), exact=True),
        ),
        solve=_on_its_way,
        limits=(11.0, 18.0),
        hints=(
            "How large is the gap at the beginning?",
            "Take 37 % of it once for each time constant.",
            "What is left of the gap stands above the air's own temperature.",
        ),
        slips=(
            Slip("one time constant only", lambda v, u: _shown(v, _share_left(1)),
                 "That is after one time constant. For each further one, take 37 % of what is left once more."),
            Slip("gap closed for gap left", lambda v, u: _shown(v, 1 - _share_left(_periods(v))),
                 "That is as far as the probe has come, put on top of the air. Only the part of the gap that is left stands above the air."),
            Slip("gap alone",
                 lambda v, u: _gap_alone(v, u),
                 "That is the gap that is left. The probe shows the air's temperature and this gap on top."),
        ),
        source=FIRST_ORDER,
    ),
    QuestionKind(
        name="wait_for_the_probe",
        lesson=5,
        title="How long to wait for the probe",
        ask="A probe comes from a warm van into the supply duct of a museum. The gap to the air is {gap} at first. Its time constant is "
        "{time_constant}: in this time the gap shrinks to 37 % of itself. After how many minutes, counted in whole time constants, is the gap "
        "smaller than {wanted}?",
        kind="time",
        parameters=(
            Parameter("gap", "temperature_difference", 6.0, 16.0, (1.0, 0.5)),
            Parameter("time_constant", "time", 0.8 * MINUTE, 2.5 * MINUTE, (0.1, 0.1)),
            Parameter("wanted", "temperature_difference", 0.2, 0.9, (0.1, 0.1), exact=True),
        ),
        solve=_wait,
        limits=(2 * MINUTE, 13 * MINUTE),
        hints=(
            "Write down the gap after one time constant, after two, and so on: 37 % (to one place more, 36.8 %) of the one before.",
            "Stop at the first that is smaller than wanted. How many time constants was that?",
            "That many time constants, in minutes.",
        ),
        slips=(
            Slip("one time constant too few", lambda v, u: (math.ceil(_times(v)) - 1) * v["time_constant"],
                 "One time constant too few: the gap is still a little larger than wanted then."),
            Slip("one time constant", lambda v, u: v["time_constant"] if math.ceil(_times(v)) > 2 else math.nan,
                 "After one time constant 37 % of the gap is still there. Go on until it is small enough."),
            Slip("two make everything", lambda v, u: 2 * v["time_constant"] if math.ceil(_times(v)) > 3 else math.nan,
                 "63 % and 63 % do not make the whole gap. The second 63 % are of what is left."),
        ),
        # Not where the choice hangs on a rounding.
        possible=lambda v: 0.12 < _times(v) % 1 < 0.92,
        source=FIRST_ORDER,
    ),
    QuestionKind(
        name="first_steady_set",
        lesson=5,
        title="From when on the readings count",
        ask="A laundry's unit starts, and you read the supply dry bulb every 2 minutes, for the first time at the start: {first}, {second}, "
        "{third}, {fourth}, then {rest}. A set counts when five readings in a row range over no more than {tolerance}. How many minutes "
        "after the start is the first reading of the first such set?",
        kind="time",
        parameters=(
            Parameter("first", "temperature", 22.5, 25.5, (0.1, 0.1)),
            Parameter("second", "temperature", 17.0, 20.0, (0.1, 0.1)),
            Parameter("third", "temperature", 14.2, 16.5, (0.1, 0.1)),
            Parameter("fourth", "temperature", 13.4, 15.4, (0.1, 0.1)),
            Parameter("rest", "temperature", 12.6, 13.6, (0.1, 0.1), count=6, spread=0.7),
            TOLERANCE,
        ),
        solve=_set_begins,
        limits=(3 * MINUTE, 9 * MINUTE),
        hints=(
            "Take the first five readings. What is their range?",
            "Move on by one reading at a time, until five in a row keep the tolerance.",
            "The first reading is at minute 0, the second at minute 2.",
        ),
        slips=(
            Slip("end of the set", lambda v, u: _at(v, NEEDED - 1),
                 "That is the last reading of the set. Asked is when the set begins."),
            Slip("first reading at minute two", lambda v, u: _at(v, 1),
                 "You counted the first reading as minute 2. It was taken at the start: minute 0."),
            Slip("readings as minutes", lambda v, u: _at(v, 0) * MINUTE / INTERVAL,
                 "You counted readings. They are 2 minutes apart."),
        ),
        decimals=(0, 0),
        possible=_is_clear_start,
        source="common practice, no source",
    ),
)  # fmt: skip
