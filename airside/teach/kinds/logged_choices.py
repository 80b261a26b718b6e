"""Questions of lesson 10 that are answered by choosing; where it can be computed which answer is right, it is."""

from __future__ import annotations

import math
from datetime import date
from functools import lru_cache

import numpy as np

from airside.compare.baseline import Terms
from airside.compare.long_run_variance import autoregressive_product
from airside.errors import FileError
from airside.instruments.steadiness import standard_error
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values
from airside.visit.logs.grid import on_grid
from airside.visit.logs.log import Log
from airside.visit.logs.stretches import is_impossible
from airside.visit.logs.time_format import as_texts
from airside.visit.logs.time_stamps import StampSettings, read_stamps

PRACTICE = "common practice, no source"
MINUTE = 60.0


@lru_cache(maxsize=1024)
def _date_order(first: int, second: int) -> int:
    """0 day first, 1 month first, 2 not to be told: by the library's own reading of the stamp."""
    text = f"{first}/{second}/2026 14:00"
    try:
        note = read_stamps(as_texts([text]), StampSettings(), lambda r: "row 1", lambda r: text, "log.csv").note
    except FileError:
        return 2
    return 0 if "day month year" in note else 1


def _order(values: Values) -> Solution:
    first, second = round(values["first"]), round(values["second"])
    return Solution(float(_date_order(first, second)), (
        Step("First number", first, "count"), Step("Second number", second, "count"),
    ))  # fmt: skip


def _minute(values: Values) -> Solution:
    channels = {f"readings.supply.{n}": np.array([values[n]]) for n in ("dry_bulb", "dew_point")}
    found = bool(is_impossible(Log(np.zeros(1), channels, MINUTE))[0])
    return Solution(float(found), (
        Step("Dry bulb less dew point", values["dry_bulb"] - values["dew_point"], "temperature_difference",
             written="{dry_bulb} − {dew_point}"),
    ))  # fmt: skip


def _worth(count: float, together: float) -> float:
    """Independent readings that so many are worth, for neighbours that correlate by so much."""
    rows = round(count)
    return rows**2 / float(autoregressive_product(np.ones((rows, 1)), together)[0, 0])


def _longer_or_faster(values: Values) -> Solution:
    count, together = values["count"], values["together"]
    now, longer = _worth(count, together), _worth(2 * count, together)
    # Two half steps hang together as one whole step does.
    faster = _worth(2 * count, math.sqrt(together))
    ratio = longer / faster
    return Solution(0.0 if ratio > 1.1 else 1.0 if ratio < 0.9 else 2.0, (
        Step("Independent readings now", now, "count"), Step("With twice the time", longer, "count"),
        Step("With a row every half minute", faster, "count"),
    ))  # fmt: skip


def _gap(values: Values) -> Solution:
    step, apart = values["interval"], values["gap"]
    time = np.array([0.0, step, step + apart, 2 * step + apart])
    between = on_grid(np.array([step + apart / 2]), time, np.full(4, 13.0), step, step)
    return Solution(1.0 if np.isnan(between[0]) else 0.0, (
        Step("Gap over the usual interval", apart / step, "fraction", (1, 1), written="{gap} ÷ {interval}"),
    ))  # fmt: skip


def _terms(values: Values) -> Terms:
    ranges = {
        "return_wet_bulb": (values["wet_low"], values["wet_high"]),
        "outdoor_dry_bulb": (values["out_low"], values["out_high"]),
    }
    return Terms(tuple(ranges), {}, ranges, np.zeros(2))


def _inside(values: Values) -> Solution:
    place = {"return_wet_bulb": values["wet"], "outdoor_dry_bulb": values["outdoor"]}
    out = [not low <= place[t] <= high for t, (low, high) in _terms(values).ranges.items()]
    return Solution(float(out[0] + 2 * out[1]), (
        Step("Wet bulb above the low end by", values["wet"] - values["wet_low"], "temperature_difference", written="{wet} − {wet_low}"),
        Step("Wet bulb below the high end by", values["wet_high"] - values["wet"], "temperature_difference", written="{wet_high} − {wet}"),
        Step("Outdoor air above the low end by", values["outdoor"] - values["out_low"], "temperature_difference",
             written="{outdoor} − {out_low}"),
        Step("Outdoor air below the high end by", values["out_high"] - values["outdoor"], "temperature_difference",
             written="{out_high} − {outdoor}"),
    ))  # fmt: skip


def _one_side(values: Values) -> float:
    """Mean residual over its standard error."""
    return abs(float(np.mean(values["residuals"]))) / standard_error(values["residuals"])


def _bias(values: Values) -> Solution:
    return Solution(0.0 if _one_side(values) > 2 else 1.0, (
        Step("Mean of the residuals", float(np.mean(values["residuals"])), "power", (3, 3), written="{residuals:total} ÷ {residuals:count}"),
        Step("Standard error of that mean, from their scatter", standard_error(values["residuals"]), "power", (3, 3)),
        Step("Mean over its standard error, without the sign", _one_side(values), "fraction", (1, 1)),
    ))  # fmt: skip


def _is_day(day: float, month: float) -> bool:
    """Whether a month of 2026 has a day."""
    try:
        date(2026, int(month), int(day))
    except ValueError:
        return False
    return True


def _low_r_squared(values: Values) -> Solution:
    spread = values["cv"] / math.sqrt(1 - values["r_squared"])
    return Solution(1.0, (
        Step("Root of what is unexplained", math.sqrt(1 - values["r_squared"]), "fraction", written="√(1 − {r_squared})"),
        Step("So much the capacities scattered about their mean to begin with", spread, "percentage", written="{cv} ÷ {-1}"),
    ))  # fmt: skip


LOGGED_CHOICES = (
    QuestionKind(
        name="day_or_month_first",
        lesson=10,
        title="Day or month first?",
        ask="The first row of a log has the stamp {first}/{second}/2026 14:00. Nothing else is known of the logger. Which number is the day?",
        kind="count",
        parameters=(
            Parameter("first", "count", 1.0, 31.0, (1.0, 1.0), exact=True), Parameter("second", "count", 1.0, 31.0, (1.0, 1.0), exact=True),
        ),
        solve=_order,
        limits=(0, 2),
        hints=("A year has twelve months.", "A number above twelve can only be a day. If there is none, this row says nothing."),
        options=("The first", "The second", "This row does not tell"),
        because=(
            "The first is surely the day where it is above twelve. Is it?",
            "The second is surely the day where it is above twelve. Is it?",
            "Where both are twelve or less, either could be the month. Then look for a row later in the month, or ask who set the logger. Never guess.",
        ),
        possible=lambda v: v["first"] != v["second"] and (_is_day(v["first"], v["second"]) or _is_day(v["second"], v["first"])),
        source=PRACTICE,
    ),
    QuestionKind(
        name="can_this_minute_be",
        lesson=10,
        title="Can this minute be?",
        ask="One minute of a log has a supply dry bulb of {dry_bulb} and a supply dew point of {dew_point}. May the minute count?",
        kind="count",
        parameters=(
            Parameter("dry_bulb", "temperature", 10.0, 14.0, (0.1, 0.1), exact=True),
            Parameter("dew_point", "temperature", 9.0, 14.5, (0.1, 0.1), exact=True),
        ),
        solve=_minute,
        limits=(0, 1),
        hints=("Lesson 1: at its dew point, air is saturated.", "Can air hold water that would fall out only above its own temperature?"),
        options=("Yes: such air can be", "No: such air cannot be, so it is set aside and counted"),
        because=(
            "It can be where the dew point is at or below the dry bulb.",
            "It cannot be where the dew point is above the dry bulb: the water would have fallen out. A probe is wet, or its stamp is wrong.",
        ),
        possible=lambda v: 0.15 < abs(v["dry_bulb"] - v["dew_point"]) < 2.5,
        source="ASHRAE Handbook—Fundamentals (2017) ch. 1: dew point",
    ),
    QuestionKind(
        name="what_to_do_with_a_gap",
        lesson=10,
        title="A gap in the log",
        ask="A logger writes a row every {interval}. Once there is nothing for {gap}. What do you do with the time between?",
        kind="count",
        parameters=(
            Parameter("interval", "time", MINUTE, 5 * MINUTE, (1.0, 1.0), exact=True),
            Parameter("gap", "time", 20 * MINUTE, 180 * MINUTE, (5.0, 5.0), exact=True),
        ),
        solve=_gap,
        limits=(0, 2),
        hints=("What do you know of that time?", "A line between two rows is a guess, and a guess is no reading."),
        options=(
            "Draw a straight line between the rows before and after it",
            "Leave it empty, and count it",
            "Repeat the last row until the next one comes",
        ),
        because=(
            "The unit may have stopped and started in between. A line over many intervals invents readings.",
            "Nothing is known of that time, so nothing is written. A stretch may not reach across it, and the report says how much is missing.",
            "That invents readings, and very steady ones: they would even pass for a steady stretch.",
        ),
        source=PRACTICE,
    ),
    QuestionKind(
        name="longer_or_faster",
        lesson=10,
        title="Longer or faster?",
        ask="A stretch has {count} readings, one a minute. Neighbours correlate by {together}. You want to know its mean better. Which helps more: to log for twice as "
        "long, or to write a row every half minute?",
        kind="count",
        parameters=(
            Parameter("count", "count", 30.0, 120.0, (10.0, 10.0), exact=True),
            Parameter("together", "fraction", 0.0, 0.8, (0.1, 0.1), exact=True),
        ),
        solve=_longer_or_faster,
        limits=(0, 2),
        hints=(
            "What counts is how many independent readings they are worth.",
            "Readings that are nearer to each other agree more. If they did not agree at all, it would make no difference.",
        ),
        options=("To log for twice as long", "To write a row every half minute", "Both help alike"),
        because=(
            "Twice the time gives twice the independent readings. That is better wherever neighbours agree: nearer neighbours would agree even more.",
            "Nearer neighbours agree more, so the new rows say little new. It never beats twice the time.",
            "They help alike only where neighbours know nothing of each other, which is a correlation of nought.",
        ),
        source="G. V. Bayley and J. M. Hammersley, Supplement to the Journal of the Royal Statistical Society 8 (1946)",
    ),
    QuestionKind(
        name="is_it_inside_the_range",
        lesson=10,
        title="Inside the baseline's range?",
        ask="The before period has seen return wet bulbs from {wet_low} to {wet_high}, and outdoor temperatures from {out_low} to {out_high}. A stretch after the work "
        "has {wet} wet bulb and {outdoor} outdoors. May the baseline speak of it?",
        kind="count",
        parameters=(
            Parameter("wet_low", "temperature", 15.5, 16.5, (0.5, 0.1), exact=True),
            Parameter("wet_high", "temperature", 18.0, 19.5, (0.5, 0.1), exact=True),
            Parameter("out_low", "temperature", 21.0, 24.0, (0.5, 0.5), exact=True),
            Parameter("out_high", "temperature", 32.0, 35.0, (0.5, 0.5), exact=True),
            Parameter("wet", "temperature", 15.0, 20.5, (0.5, 0.1), exact=True),
            Parameter("outdoor", "temperature", 20.0, 38.0, (0.5, 0.5), exact=True),
        ),
        solve=_inside,
        limits=(0, 3),
        hints=("Hold each condition against its own range.", "One condition outside is enough."),
        options=(
            "Yes: both are inside",
            "No: the wet bulb is outside",
            "No: the outdoor temperature is outside",
            "No: both are outside",
        ),
        because=(
            "It may where wet bulb and outdoor temperature both lie between their ends.",
            "The wet bulb is outside where it lies below the low end or above the high end of what was seen.",
            "The outdoor temperature is outside where it lies below the low end or above the high end of what was seen.",
            "Both are outside where neither lies between its ends. Compare each by itself.",
        ),
        possible=lambda v: all(abs(v[a] - v[b]) > 0.05 for a, b in (
            ("wet", "wet_low"), ("wet", "wet_high"), ("outdoor", "out_low"), ("outdoor", "out_high"),
        )),
        source="ASHRAE Guideline 14 (from memory)",
    ),
    QuestionKind(
        name="scatter_or_one_side",
        lesson=10,
        title="Scatter, or to one side?",
        ask="A baseline of power is held against six hours of a later week in which nothing was changed. Measured less baseline: {residuals}. Does the baseline lie to "
        "one side of what was measured, or does it only scatter?",
        kind="count",
        parameters=(Parameter("residuals", "power", -150.0, 150.0, (0.01, 0.01), count=6, spread=100.0, exact=True),),
        solve=_bias,
        limits=(0, 1),
        hints=(
            "Take the mean with the signs. Ups and downs cancel in it.",
            "Is the mean large beside what chance would leave of it: the scatter over the root of six?",
        ),
        options=("It lies to one side", "It only scatters"),
        because=(
            "It lies to one side where the mean is several times its standard error. Then something else has changed, or the baseline lacks a condition.",
            "It only scatters where the mean is no larger than its standard error: the misses go both ways.",
        ),
        possible=lambda v: len(set(v["residuals"])) > 1 and not 1.0 < _one_side(v) < 3.5,
        source="JCGM 100:2008 (GUM) 4.2.3",
    ),
    QuestionKind(
        name="low_r_squared_small_cv",
        lesson=10,
        title="A low R²",
        ask="A baseline has an R² of only {r_squared}, and a CV(RMSE) of {cv}. The work is hoped to bring 15 %. Is the baseline of no use?",
        kind="count",
        parameters=(
            Parameter("r_squared", "fraction", 0.2, 0.5, (0.05, 0.05), exact=True),
            Parameter("cv", "percentage", 0.01, 0.025, (0.1, 0.1), exact=True),
        ),
        solve=_low_r_squared,
        limits=(0, 2),
        hints=("R² compares with the scatter that there was to explain.", "How far does the baseline miss, in percent of the capacity?"),
        options=(
            "It is of no use: it explains less than it leaves",
            "It is of use: it misses by little, there was only little to explain",
            "That cannot be: a low R² always comes with a large CV(RMSE)",
        ),
        because=(
            "R² is low because the conditions hardly moved, so that there was little to explain. What matters is how far it misses: the CV(RMSE).",
            "A miss of a percent or two is small beside what is hoped for. But such a baseline has a narrow range: it may speak of those conditions alone.",
            "It can be. R² sets the misses against the scatter that there was, CV(RMSE) against the mean.",
        ),
        source="ASHRAE Guideline 14 (from memory)",
    ),
)  # fmt: skip
