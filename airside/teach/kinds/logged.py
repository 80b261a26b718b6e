"""Questions of lesson 10: what loggers write, two clocks, the minutes that count, neighbours; baselines and choices in modules of their own."""

from __future__ import annotations

import math
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np

from airside.compare.long_run_variance import autoregressive_product
from airside.teach.kinds.logged_choices import LOGGED_CHOICES
from airside.teach.kinds.long_run import LONG_RUN
from airside.teach.kinds.steadiness_choices import MINUTE
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import UnitSystem, to_inside
from airside.visit.logs.counting import Counting
from airside.visit.logs.grid import gaps
from airside.visit.logs.log import Log
from airside.visit.logs.running import find_runs
from airside.visit.logs.stretches import find_stretches
from airside.visit.logs.time_zones import changes

PRACTICE = "common practice, no source"
BAYLEY = "G. V. Bayley and J. M. Hammersley, Supplement to the Journal of the Royal Statistical Society 8 (1946)"
# What a logger writes in place of "no value", as a bare number in the file's own unit.
SENTINEL = -999.0
# Readings of two rows whose difference no longer knows of the rows' ends.
MANY = 1000


def whole(values: Values, name: str) -> int:
    """A stated count."""
    return round(float(values[name]))


# -- gaps and sentinels ------------------------------------------------------------------------------


def _missing(values: Values) -> int:
    """Rows that are not there, by the gaps that the library finds in the stamps."""
    step, apart, count = values["interval"], values["apart"], whole(values, "gaps")
    before = np.arange(10) * step
    time = np.concatenate([before + i * (before[-1] + apart) for i in range(count + 1)])
    return int(sum(round((last - first) / step) - 1 for first, last in gaps(time, step)))


def _is_whole(values: Values) -> bool:
    part = float(values["apart"] / values["interval"])
    return abs(part - round(part)) < 1e-9 and round(part) > 4


def _rows_missing(values: Values) -> Solution:
    steps = values["apart"] / values["interval"]
    return Solution(float(_missing(values)), (
        Step("Steps from the last row before a gap to the first after it", steps, "count", written="{apart} ÷ {interval}"),
        Step("Rows missing in one gap: one fewer than the steps", steps - 1, "count", written="{-1} − 1"),
        Step("Rows missing in all of them", float(_missing(values)), "count", written="{gaps} × {-1}"),
    ))  # fmt: skip


def _mean(values: Values) -> float:
    return float(np.mean(values["readings"]))


def _with_sentinel(values: Values, units: UnitSystem) -> float:
    return float(np.mean([*values["readings"], float(to_inside(SENTINEL, "temperature", units))]))


def _as_nought(values: Values, units: UnitSystem) -> float:
    return float(np.mean([*values["readings"], float(to_inside(0.0, "temperature", units))]))


def _sentinel(values: Values) -> Solution:
    return Solution(_mean(values), (
        Step("Rows that hold a reading", float(len(values["readings"])), "count"),
        Step("Mean of the readings that are readings", _mean(values), "temperature", written="{readings:total} ÷ {-1}"),
    ))  # fmt: skip


# -- clocks ------------------------------------------------------------------------------------------


@lru_cache(maxsize=1)
def _back() -> float:
    """By how much clocks go back at the end of summer time [s], as a zone's own rules have it."""
    # 1 November 2026, 06:00 UTC.
    moment = 1_793_512_800.0
    ((_, before, after),) = changes(ZoneInfo("America/Chicago"), moment - 86_400, moment + 86_400)
    return before - after


def _night(values: Values, change: float) -> float:
    return float((values["hours"] * 3600 + change) / values["interval"])


def _long_night(values: Values) -> Solution:
    hours = values["hours"] + _back() / 3600
    return Solution(_night(values, _back()), (
        Step("Hours that pass, with the one that comes twice", hours, "count", written="{hours} + 1"),
        Step("Minutes of them", hours * 3600, "time", (0, 0), written="{-1} × 60 min"),
        Step("Rows: minutes over the interval", _night(values, _back()), "count", written="{-1} ÷ {interval}"),
    ))  # fmt: skip


def _mean_apart(values: Values) -> float:
    return float(np.mean(values["apart"]))


def _offset(values: Values) -> Solution:
    return Solution(_mean_apart(values) - values["lag"], (
        Step("Mean of the four differences", _mean_apart(values), "time", (2, 2), written="{apart:total} ÷ {apart:count}"),
        Step("Less what the temperature itself is late", _mean_apart(values) - values["lag"], "time", (2, 2), written="{-1} − {lag}"),
    ))  # fmt: skip


# -- minutes that count ------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def _stretch_count(run: int, after_start: int, window: int) -> int:
    """Steady stretches of one run in steady air, as the library finds them in a log of one-minute rows."""
    power = np.concatenate([np.full(5, 40.0), np.full(run, 3000.0), np.full(5, 40.0)])
    still = np.ones(power.size)
    log = Log(
        np.arange(power.size, dtype=np.float64) * MINUTE,
        {
            "readings.power.outdoor_unit": power, "readings.return.dry_bulb": 24.0 * still,
            "readings.supply.dry_bulb": 13.0 * still,
        },
        MINUTE,
    )  # fmt: skip
    counting = Counting(
        running_from="power",
        running_above=1.0,
        after_start=after_start * MINUTE,
        before_stop=MINUTE,
        window=window * MINUTE,
    )
    return len(find_stretches(log, find_runs(log, counting), counting))


def _run(values: Values) -> tuple[int, int, int]:
    run, start, window = (round(values[n] / MINUTE) for n in ("run", "after_start", "window"))
    return run, start, window


def _stretches(values: Values) -> Solution:
    run, start, window = _run(values)
    found, left = _stretch_count(run, start, window), run - start - 1
    return Solution(float(found), (
        Step("Minutes that are left without start-up and last minute", left * MINUTE, "time", (0, 0),
             written="{run} − {after_start} − 1 min"),
        Step("Windows that would fit in it", left / window, "fraction", (2, 2), written="{-1} ÷ {window}"),
        Step("Whole windows", float(found), "count"),
    ))  # fmt: skip


def _last_minute_does_not_matter(values: Values) -> bool:
    run, start, window = _run(values)
    return (run - start) // window == (run - start - 1) // window


# -- neighbours --------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def worth_of_one(together: float) -> float:
    """How many independent readings one of very many is worth, where neighbours correlate by so much."""
    longer, shorter = (float(autoregressive_product(np.ones((n, 1)), together)[0, 0]) for n in (2 * MANY, MANY))
    return MANY / (longer - shorter)


def _worth(values: Values) -> float:
    return float(values["count"] * worth_of_one(values["together"]))


def _neighbours(values: Values) -> Solution:
    return Solution(_worth(values), (
        Step("One less the correlation, over one plus the correlation", worth_of_one(values["together"]), "fraction",
             written="(1 − {together}) ÷ (1 + {together})"),
        Step("Times the number of readings", _worth(values), "count", written="{count} × {-1}"),
    ))  # fmt: skip


def _error(values: Values) -> float:
    return float(values["scatter"] / math.sqrt(values["worth"]))


def _error_of_mean(values: Values) -> Solution:
    return Solution(_error(values), (
        Step("Root of the readings that they are worth", math.sqrt(values["worth"]), "count", written="√{worth}"),
        Step("Standard deviation over that root", _error(values), "temperature_difference", (2, 2), written="{scatter} ÷ {-1}"),
    ))  # fmt: skip


READINGS_COUNT = Parameter("count", "count", 60.0, 240.0, (20.0, 20.0), exact=True)

LOGGED_NUMBERS = (
    QuestionKind(
        name="rows_missing_in_gaps",
        lesson=10,
        title="How many rows are missing?",
        ask="A logger at a tea house writes a row every {interval}. Its log has {gaps} gaps. In each of them the last row before the gap and the "
        "first row after it are {apart} apart. How many rows are missing altogether?",
        kind="count",
        parameters=(
            Parameter("interval", "time", MINUTE, 5 * MINUTE, (1.0, 1.0), exact=True),
            Parameter("gaps", "count", 3.0, 8.0, (1.0, 1.0), exact=True),
            Parameter("apart", "time", 15 * MINUTE, 60 * MINUTE, (1.0, 1.0), exact=True),
        ),
        solve=_rows_missing,
        limits=(9, 480),
        hints=(
            "Draw one gap: a row, then nothing, then a row. How many steps of the interval lie between the two?",
            "Two rows that are two steps apart have one row missing between them.",
        ),
        slips=(
            Slip("steps as rows", lambda v, u: v["gaps"] * v["apart"] / v["interval"],
                 "You counted the steps. Between two rows there is one row fewer than there are steps: both ends are there."),
            Slip("one gap", lambda v, u: v["apart"] / v["interval"] - 1,
                 "That is what one gap lacks. There are several of them."),
            Slip("minutes as rows", lambda v, u: v["gaps"] * v["apart"] / MINUTE if v["interval"] > MINUTE else math.nan,
                 "Those are the minutes of the gaps. The logger does not write a row every minute: divide by its interval."),
        ),
        possible=_is_whole,
        source=PRACTICE,
    ),
    QuestionKind(
        name="mean_without_the_sentinel",
        lesson=10,
        title="A mean with -999 in it",
        ask="A logger in the supply duct of a weaving mill wrote these rows: {readings}, and once -999, which stands for no value. What is the mean "
        "supply dry bulb?",
        kind="temperature",
        parameters=(Parameter("readings", "temperature", 11.0, 16.0, (0.1, 0.1), count=5, spread=0.8, exact=True),),
        solve=_sentinel,
        limits=(9, 18),
        hints=("Is -999 a reading at all?", "Leave it out of the sum, and out of the count."),
        slips=(
            Slip("-999 as a reading", _with_sentinel,
                 "You took -999 for a temperature. It only says that the logger had no value: leave it out."),
            Slip("counted as nought", _as_nought,
                 "You left -999 out of the sum, but still divided by six. It has to leave the count too."),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="rows_in_the_long_night",
        lesson=10,
        title="The night with an hour twice",
        ask="A logger keeps the time of the clock on the wall and writes a row every {interval}. In the night in which summer time ends, clocks go back by an "
        "hour. How many rows does it write from its row of 0:00 up to its row of {hours}:00, that last one not counted?",
        kind="count",
        parameters=(
            Parameter("interval", "time", 5 * MINUTE, 30 * MINUTE, (5.0, 5.0), exact=True),
            Parameter("hours", "count", 4.0, 8.0, (1.0, 1.0), exact=True),
        ),
        solve=_long_night,
        limits=(10, 108),
        hints=("How many hours truly pass in that night?", "One hour of the clock comes twice, and the logger runs on through both."),
        slips=(
            Slip("change forgotten", lambda v, u: _night(v, 0.0),
                 "You took the clock at its word. One hour comes twice in that night, and the logger writes through both."),
            Slip("hour taken off", lambda v, u: _night(v, -_back()),
                 "You took the hour off. That is the night in spring. When clocks go back, an hour comes twice, so add it."),
            Slip("rows of an hour", lambda v, u: 3600 / v["interval"],
                 "Those are the rows of one hour. How many hours pass?"),
        ),
        possible=lambda v: round(v["interval"] / MINUTE) in (5, 10, 15, 20, 30),
        source="IANA time zone database: the rules of the zones' clocks",
    ),
    QuestionKind(
        name="offset_of_two_clocks",
        lesson=10,
        title="Two loggers, two clocks",
        ask="Two loggers see the same four starts of a unit. The power logger's stamps are earlier than those of the logger in the supply duct, by {apart}. The "
        "temperature in the duct itself answers a start {lag} late. By how much is the clock of the power logger slow?",
        kind="time",
        parameters=(
            Parameter("apart", "time", 5 * MINUTE, 14 * MINUTE, (0.5, 0.5), count=4, spread=1.0 * MINUTE, exact=True),
            Parameter("lag", "time", 0.5 * MINUTE, 3 * MINUTE, (0.5, 0.5), exact=True),
        ),
        solve=_offset,
        limits=(1 * MINUTE, 14.5 * MINUTE),
        # Means of four halves are quarters.
        decimals=(2, 2),
        hints=(
            "One start alone may be off by a row. Take the mean of the four.",
            "Part of the difference is no fault of a clock: the temperature is late even if both clocks agree.",
        ),
        slips=(
            Slip("lag forgotten", lambda v, u: _mean_apart(v),
                 "That is the whole difference. The duct's temperature is late by itself, and that part is not the clock's."),
            Slip("lag added", lambda v, u: _mean_apart(v) + v["lag"],
                 "You added the lag. It makes the difference larger than the clocks alone would, so take it off."),
            Slip("sum of the starts", lambda v, u: float(np.sum(v["apart"])) - v["lag"],
                 "You added the four differences up. They are four readings of one offset: take their mean."),
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="stretches_in_a_run",
        lesson=10,
        title="How many stretches does a run give?",
        ask="A unit runs for {run} without a stop, in steady air. The first {after_start} after the start do not count, nor does the last minute before the "
        "stop. How many steady stretches of {window}, one after the other, does the run give?",
        kind="count",
        parameters=(
            Parameter("run", "time", 60 * MINUTE, 180 * MINUTE, (5.0, 5.0), exact=True),
            Parameter("after_start", "time", 10 * MINUTE, 25 * MINUTE, (5.0, 5.0), exact=True),
            Parameter("window", "time", 5 * MINUTE, 10 * MINUTE, (1.0, 1.0), exact=True),
        ),
        solve=_stretches,
        limits=(3, 34),
        hints=(
            "How many minutes are left when start-up and the last minute are gone?",
            "Stretches do not overlap. How many whole ones fit, and what is left over is left over.",
        ),
        slips=(
            Slip("start-up kept", lambda v, u: float(_run(v)[0] // _run(v)[2]),
                 "You used the whole run. The start-up does not count: take its minutes off first."),
            Slip("windows overlap", lambda v, u: float(_run(v)[0] - _run(v)[1] - _run(v)[2]),
                 "You let a stretch begin with every minute. They would share most of their readings. Set them one after the other."),
            Slip("start-up taken off each", lambda v, u: float((_run(v)[0] - 1) // (_run(v)[1] + _run(v)[2])),
                 "You took the start-up off before each stretch. There is one start, so it comes off once."),
        ),
        possible=_last_minute_does_not_matter,
        source=PRACTICE,
    ),
    QuestionKind(
        name="worth_of_neighbours",
        lesson=10,
        title="What neighbouring readings are worth",
        ask="A probe gives {count} one-minute readings in steady air. Each reading correlates with the next by {together}. How many independent readings are "
        "they worth?",
        kind="count",
        parameters=(READINGS_COUNT, Parameter("together", "fraction", 0.3, 0.8, (0.05, 0.05), exact=True)),
        solve=_neighbours,
        limits=(6, 135),
        hints=(
            "If neighbours knew nothing of each other, all would count. The more they agree, the fewer they are worth.",
            "Each is worth: one less the correlation, over one plus the correlation.",
        ),
        slips=(
            Slip("all of them", lambda v, u: v["count"],
                 "That is how many there are. A reading that repeats its neighbour says little new."),
            Slip("one less only", lambda v, u: v["count"] * (1 - v["together"]),
                 "You took off the correlation, but did not divide by one plus it. A reading agrees with the one before and the one after."),
            Slip("upside down", lambda v, u: v["count"] / worth_of_one(v["together"]),
                 "It is upside down: neighbours that agree are worth fewer readings, never more than there are."),
        ),
        source=f"{BAYLEY}, for many readings",
    ),
    QuestionKind(
        name="error_of_a_logged_mean",
        lesson=10,
        title="Standard error of a logged mean",
        ask="A stretch has {count} one-minute readings that scatter with a standard deviation of {scatter}. Because neighbours agree, they are worth only "
        "{worth} independent ones. What is the standard error of their mean?",
        kind="temperature_difference",
        parameters=(
            READINGS_COUNT,
            Parameter("scatter", "temperature_difference", 0.2, 0.6, (0.02, 0.01), exact=True),
            Parameter("worth", "count", 4.0, 25.0, (1.0, 1.0), exact=True),
        ),
        solve=_error_of_mean,
        limits=(0.04, 0.35),
        hints=(
            "Lesson 5: divide the scatter by the root of the number of readings. Which number?",
            "What counts is how many independent readings they are worth.",
        ),
        slips=(
            Slip("all readings counted", lambda v, u: float(v["scatter"] / math.sqrt(v["count"])),
                 "You took the root of all readings. Neighbours repeat each other: take what they are worth."),
            Slip("root forgotten", lambda v, u: v["scatter"] / v["worth"],
                 "You divided by the number itself. Chance does not cancel that well: divide by its root."),
            Slip("one reading", lambda v, u: v["scatter"],
                 "That is the scatter of one reading. A mean scatters less: divide by the root."),
        ),
        decimals=(2, 2),
        possible=lambda v: whole(v, "worth") in (4, 9, 16, 25),
        source=f"{BAYLEY}; JCGM 100:2008 (GUM) 4.2.3",
    ),
)  # fmt: skip

LOGGED = (*LOGGED_NUMBERS, *LONG_RUN, *LOGGED_CHOICES)
