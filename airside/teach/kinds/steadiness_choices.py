"""Questions of lesson 5 that are answered by choosing; which answer is right is computed."""

from __future__ import annotations

import math

import numpy as np

from airside.instruments.accuracy import Statement
from airside.instruments.steadiness import TOLERANCES, beyond_tolerance, standard_error, trend
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

STRICT_SOURCE = (
    "10 CFR 430 subpart B appendix M1, test operating tolerances (from memory), for the strict one; the field tolerance is common "
    "practice, no source"
)
FIELD, STRICT = TOLERANCES["field"], TOLERANCES["strict"]
MINUTE = 60.0
TOLERANCE = Parameter(
    "tolerance", "temperature_difference", FIELD["dry_bulb"], FIELD["dry_bulb"], (0.1, 0.1), exact=True
)
# Readings in a row that make a set.
NEEDED = 5


def scattered(count: int, deviation: float) -> tuple[float, ...]:
    """Readings of exactly this standard deviation, up and down in turn [unit of the deviation]."""
    pattern = np.where(np.arange(count) % 2 == 0, 1.0, -1.0)
    return tuple(deviation * pattern / pattern.std(ddof=1))


def _range(values: tuple[float, ...]) -> float:
    return max(values) - min(values)


def _which(values: Values) -> Solution:
    column = [("supply", "dry_bulb", values["readings"])]
    kept = [not beyond_tolerance(column, "strict"), not beyond_tolerance(column, "field")]
    return Solution(float(0 if kept[0] else 1 if kept[1] else 2), (
        Step("Range: highest reading less lowest", _range(values["readings"]), "temperature_difference",
             written="{readings:highest} − {readings:lowest}"),
        Step("Strict tolerance", STRICT["dry_bulb"], "temperature_difference"),
        Step("Field tolerance", FIELD["dry_bulb"], "temperature_difference"),
    ))  # fmt: skip


def _set_counts(values: Values) -> Solution:
    found = beyond_tolerance(
        [("dry bulb", "dry_bulb", values["dry_bulb"]), ("humidity", "relative_humidity", values["humidity"])], "field"
    )
    too_wide = {f.quantity for f in found}
    answer = 0 if not too_wide else 3 if len(too_wide) == 2 else 1 if "dry bulb" in too_wide else 2
    return Solution(float(answer), (
        Step("Range of the dry bulb", _range(values["dry_bulb"]), "temperature_difference",
             written="{dry_bulb:highest} − {dry_bulb:lowest}"),
        Step("Tolerance of the dry bulb", FIELD["dry_bulb"], "temperature_difference"),
        Step("Range of the relative humidity", _range(values["humidity"]), "percentage", written="{humidity:highest} − {humidity:lowest}"),
        Step("Tolerance of the relative humidity", FIELD["relative_humidity"], "percentage"),
    ))  # fmt: skip


def _is_off(value: float, limit: float, margin: float) -> bool:
    return abs(value - limit) > margin


def _all(values: Values) -> tuple[float, ...]:
    return (*values["early"], *values["late"])


def _drift_or_scatter(values: Values) -> Solution:
    line = trend(_all(values))
    early, late = (float(np.mean(values[n])) for n in ("early", "late"))
    answer = 0 if line.is_significant else 1
    return Solution(float(answer), (
        Step("Mean of the first five readings", early, "temperature", (2, 2), written="{early:total} ÷ {early:count}"),
        Step("Mean of the last five", late, "temperature", (2, 2), written="{late:total} ÷ {late:count}"),
        Step("Scatter of one reading about its own five (standard deviation)", _scatter(values), "temperature_difference", (2, 2)),
        Step("Change along the straight line through all ten", line.change, "temperature_difference"),
    ))  # fmt: skip


def _scatter(values: Values) -> float:
    first, second = (float(np.var(values[n], ddof=1)) for n in ("early", "late"))
    return math.sqrt((first + second) / 2)


def _is_plain(values: Values) -> bool:
    """Whether an eye sees what the test says: a clear step of the means, or next to none; and a range within the tolerance."""
    gap = abs(float(np.mean(values["late"])) - float(np.mean(values["early"])))
    line = trend(_all(values))
    if beyond_tolerance([("supply", "dry_bulb", _all(values))], "field"):
        return False
    return gap > 2.5 * _scatter(values) if line.is_significant else gap < 0.6 * _scatter(values)


def _doubts(values: Values) -> tuple[float, float]:
    """Standard error of the mean, and standard uncertainty of the accuracy statement [K]."""
    count = round(values["count"])
    return standard_error(scattered(count, values["scatter"])), Statement(values["accuracy"]).standard_uncertainty(0.0)


def _more_readings(values: Values) -> Solution:
    scatter, accuracy = _doubts(values)
    return Solution(0.0 if scatter > accuracy else 1.0, (
        Step("Standard error of the mean: standard deviation over the root of the number of readings", scatter, "temperature_difference", (2, 2),
             written="{scatter} ÷ √{count}"),
        Step("Standard uncertainty of the accuracy: its limit over 1.73, the root of three", accuracy, "temperature_difference", (2, 2),
             written="{accuracy} ÷ 1.73"),
    ))  # fmt: skip


STEADINESS_CHOICES = (
    QuestionKind(
        name="which_tolerance_is_kept",
        lesson=5,
        title="Field or strict?",
        ask="The readings of the supply dry bulb in a reading room: {readings}. The strict tolerance for their range is {strict}, the field "
        "tolerance is {field}. What do they keep?",
        kind="count",
        parameters=(
            Parameter("readings", "temperature", 12.5, 15.0, (0.1, 0.1), count=6, spread=0.85),
            Parameter("strict", "temperature_difference", 1.1, 1.12, (0.1, 0.1), exact=True),
            Parameter("field", "temperature_difference", FIELD["dry_bulb"], FIELD["dry_bulb"], (0.1, 0.1), exact=True),
        ),
        solve=_which,
        limits=(0, 2),
        hints=("What is the range: the highest reading less the lowest?", "Set it against both tolerances."),
        options=("Both tolerances", "The field tolerance only", "Neither of them"),
        because=(
            "A set keeps both when its range is no wider than the strict tolerance. Take the highest reading less the lowest, and compare.",
            "A set keeps the field tolerance only when its range lies between the two tolerances. Take the highest reading less the "
            "lowest, and compare.",
            "A set keeps neither when its range is wider than the field tolerance. Take the highest reading less the lowest, and compare.",
        ),
        possible=lambda v: all(_is_off(_range(v["readings"]), t, 0.07) for t in (STRICT["dry_bulb"], FIELD["dry_bulb"])),
        source=STRICT_SOURCE,
    ),
    QuestionKind(
        name="does_the_set_count",
        lesson=5,
        title="Does this set count?",
        ask="Five readings in the return duct of a clinic. Dry bulb: {dry_bulb}. Relative humidity: {humidity}. The field tolerance for the "
        "range is {dry_bulb_tolerance} for the dry bulb, and {humidity_tolerance} for the relative humidity. Does the set count?",
        kind="count",
        parameters=(
            Parameter("dry_bulb", "temperature", 22.5, 25.0, (0.1, 0.1), count=5, spread=1.1),
            Parameter("humidity", "relative_humidity", 0.42, 0.58, (0.1, 0.1), count=5, spread=0.028),
            Parameter("dry_bulb_tolerance", "temperature_difference", FIELD["dry_bulb"], FIELD["dry_bulb"], (0.1, 0.1), exact=True),
            Parameter("humidity_tolerance", "percentage", FIELD["relative_humidity"], FIELD["relative_humidity"], (1.0, 1.0), exact=True),
        ),
        solve=_set_counts,
        limits=(0, 3),
        hints=("Take the range of each: highest less lowest.", "A set counts when every quantity in it keeps its tolerance."),
        options=(
            "Yes: both keep their tolerance",
            "No: the dry bulb ranges too wide",
            "No: the humidity ranges too wide",
            "No: both range too wide",
        ),
        because=(
            "A set counts when the range of every quantity keeps its tolerance. Work out both ranges and compare.",
            "One quantity out of tolerance is enough to set the readings aside. Work out both ranges: here it would have to be the dry bulb "
            "alone.",
            "One quantity out of tolerance is enough to set the readings aside. Work out both ranges: here it would have to be the humidity "
            "alone.",
            "Both would have to be wider than their tolerance. Work out both ranges and compare.",
        ),
        possible=lambda v: _is_off(_range(v["dry_bulb"]), FIELD["dry_bulb"], 0.07)
        and _is_off(_range(v["humidity"]), FIELD["relative_humidity"], 0.0025),
        source="common practice, no source",
    ),
    QuestionKind(
        name="drift_or_scatter",
        lesson=5,
        title="Drift, or only scatter?",
        ask="Ten readings of a supply dry bulb in a bakery, all within the field tolerance. The first five: {early}. The last five: {late}. "
        "What do they show?",
        kind="count",
        parameters=(
            Parameter("early", "temperature", 12.8, 14.0, (0.1, 0.1), count=5, spread=0.3),
            Parameter("late", "temperature", 12.8, 14.0, (0.1, 0.1), count=5, spread=0.3),
        ),
        solve=_drift_or_scatter,
        limits=(0, 1),
        hints=(
            "Take the mean of the first five, and the mean of the last five.",
            "Is the step between the two means large beside the scatter within each five?",
        ),
        options=("A drift: the air was still changing", "Scatter about one value: no drift is to be seen"),
        because=(
            "It is a drift where the mean of the last five has moved away from that of the first five by much more than the readings "
            "scatter. Work out both means and look.",
            "It is scatter where the means of the first and of the last five are as good as equal. Work out both means and look: a drift can "
            "hide within a tolerance.",
        ),
        possible=_is_plain,
        source="common practice, no source; computed with a least-squares line, its slope against its standard error at the 5 % level",
    ),
    QuestionKind(
        name="would_more_readings_help",
        lesson=5,
        title="Would more readings help?",
        ask="You have {count} readings of a steady supply dry bulb in a museum. They scatter with a standard deviation of {scatter}. The data "
        "sheet of the probe says plus or minus {accuracy}. Would twice as many readings make the mean much better?",
        kind="count",
        parameters=(
            Parameter("count", "count", 4.0, 9.0, (1.0, 1.0), exact=True),
            Parameter("scatter", "temperature_difference", 0.1, 1.0, (0.1, 0.05)),
            Parameter("accuracy", "temperature_difference", 0.2, 0.9, (0.1, 0.05)),
        ),
        solve=_more_readings,
        limits=(0, 1),
        hints=(
            "More readings shrink what differs from reading to reading. What is the same in all of them stays.",
            "Set the standard error of the mean against the accuracy over 1.73.",
        ),
        options=(
            "Yes: most of the doubt is scatter",
            "No: most of the doubt is the probe's accuracy",
        ),
        because=(
            "More readings help where the standard error of the mean is the larger part. Work out both parts and compare.",
            "The probe's own error is the same in every reading, so no number of readings makes it smaller. It is the larger part where the "
            "accuracy over 1.73 is above the standard error of the mean. Work out both and compare.",
        ),
        possible=lambda v: max(_doubts(v)) > 1.8 * min(_doubts(v)),
        source="JCGM 100:2008 (GUM) 4.2.3 and 4.3.7",
    ),
)  # fmt: skip
