"""Questions of lesson 8 about two visits: what cancels, what does not, and the smallest change that can be seen."""

from __future__ import annotations

import math

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.process import delivered_capacity
from airside.air.state import MoistAir
from airside.compare.result import DETECTION
from airside.instruments.accuracy import NORMAL_95, Statement, resolution_uncertainty
from airside.teach.kinds.doubt_sums import GUM, combined, of_change
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

DETECTABLE = "two-sided test at the 5 % level with 80 % power, normal approximation"


def _step(values: Values) -> float:
    # All readings of a visit show the same: no scatter, so rounding does not average out.
    return resolution_uncertainty(values["step"], 0.0, 5)


def _limit(values: Values) -> float:
    return Statement(accuracy=values["accuracy"]).standard_uncertainty(0.0)


def _one_probe_twice(values: Values) -> Solution:
    found = combined(_step(values), _step(values))
    return Solution(found, (
        Step("What the probe's accuracy brings: it is the same at both visits and cancels", 0.0, "temperature_difference", (2, 2)),
        Step("Rounding at one visit: the step over the root of 12, which is 3.464", _step(values), "temperature_difference", (3, 3),
             written="{step} ÷ 3.464"),
        Step("Rounding at both: square, add, root, which is times 1.414", found, "temperature_difference", (3, 3), written="1.414 × {-1}"),
    ))  # fmt: skip


def _own(values: Values) -> float:
    return of_change(values["shared"], values["new"], values["new"])


def _change(values: Values) -> Solution:
    return Solution(_own(values), (
        Step("Shared part: the same factor in both capacities, so it cancels in their ratio", 0.0, "percentage"),
        Step("Part of one visit's own", values["new"], "percentage"),
        Step("Own parts of both visits: square, add, root, which is times 1.414", _own(values), "percentage", written="1.414 × {-1}"),
    ))  # fmt: skip


def _smallest(values: Values) -> Solution:
    return Solution(DETECTION * values["doubt"], (
        Step("Factor: 1.96 so that nothing is seen where nothing is, and 0.84 so that a change is seen four times in five", DETECTION, "fraction",
             written="1.960 + 0.842"),
        Step("Factor times the standard uncertainty of the change", DETECTION * values["doubt"], "percentage", written="{-1} × {doubt}"),
    ))  # fmt: skip


def _needed(values: Values) -> Solution:
    return Solution(values["change"] / DETECTION, (
        Step("Smallest change that can be seen over the standard uncertainty of the change", DETECTION, "fraction",
             written="1.960 + 0.842"),
        Step("Change to be seen, over that", values["change"] / DETECTION, "percentage", (2, 2), written="{change} ÷ {-1}"),
    ))  # fmt: skip


def _rise(before: float, after: float) -> float:
    """Relative change of sensible capacity between two drops [K] at one airflow."""
    cold = MoistAir.from_humidity_ratio(13.0, 0.008, SEA_LEVEL_PRESSURE)

    def sensible(drop: float) -> float:
        back = MoistAir.from_humidity_ratio(13.0 + drop, 0.008, SEA_LEVEL_PRESSURE)
        return float(delivered_capacity(back, cold, 1.0).sensible)

    return sensible(after) / sensible(before) - 1


def _true_rise(values: Values, error_before: float = 1.0, error_after: float = 1.0) -> float:
    error = values["error"]
    return _rise(values["before"] - error_before * error, values["after"] - error_after * error)


def _with_offset(values: Values) -> Solution:
    found = _true_rise(values)
    return Solution(found, (
        Step("As shown the change would be", _true_rise(values, 0.0, 0.0), "percentage", written="{after} ÷ {before} − 1"),
        Step("True drop before: shown less the error", values["before"] - values["error"], "temperature_difference",
             written="{before} − {error}"),
        Step("True drop after: shown less the error", values["after"] - values["error"], "temperature_difference",
             written="{after} − {error}"),
        Step("True change: after over before, less one", found, "percentage", written="({after} − {error}) ÷ ({before} − {error}) − 1"),
    ))  # fmt: skip


DOUBT_OF_A_CHANGE = (
    QuestionKind(
        name="one_probe_at_both_visits",
        lesson=8,
        title="What stays when one probe is used twice",
        ask="The same thermometer reads the supply air of a library at both visits. Its accuracy is ±{accuracy}, and its error is the same at both. "
        "Its display goes in steps of {step}, and at each visit it stands still. What standard uncertainty has the change of the reading?",
        kind="temperature_difference",
        parameters=(
            Parameter("accuracy", "temperature_difference", 0.4, 1.2, (0.1, 0.1), exact=True),
            Parameter("step", "temperature_difference", 0.1, 0.6, (0.1, 0.1), exact=True),
        ),
        solve=_one_probe_twice,
        limits=(0.03, 0.3),
        hints=(
            "An error that is the same in both readings goes out when you take one from the other.",
            "What stays is the rounding: at each visit the step over the root of 12.",
            "Two roundings that know nothing of each other: square, add, root.",
        ),
        slips=(
            Slip("accuracy left in", lambda v, u: combined(_limit(v), _limit(v), _step(v), _step(v)),
                 "You let the accuracy in, once for each visit. It is the same error both times and cancels in the change."),
            Slip("one visit only", lambda v, u: _step(v),
                 "That is the rounding at one visit. The change has two readings in it: times the root of 2."),
            Slip("half of the step", lambda v, u: combined(v["step"] / 2, v["step"] / 2),
                 "You took half of the step. That is the limit of the rounding; for a standard uncertainty take the step over the root of 12."),
            Slip("roundings added", lambda v, u: 2 * _step(v),
                 "The two roundings were simply added. They know nothing of each other: square, add, root."),
        ),
        decimals=(3, 3),
        source=f"{GUM}, 5.2.2 and F.2.2.1",
    ),
    QuestionKind(
        name="doubt_of_a_change",
        lesson=8,
        title="To how many percent is the change known?",
        ask="The capacity of a school's unit is measured before and after a repair. {shared} of doubt is one and the same error at both visits: the same flow "
        "meter, the same probes. {new} comes anew at each visit. All are standard uncertainties. To how many percent is the change of the capacity known?",
        kind="percentage",
        parameters=(
            Parameter("shared", "percentage", 0.03, 0.09, (0.5, 0.5), exact=True),
            Parameter("new", "percentage", 0.015, 0.05, (0.5, 0.5), exact=True),
        ),
        solve=_change,
        limits=(0.02, 0.08),
        hints=(
            "The change in percent is a ratio: after over before. What multiplies both goes out of it.",
            "What is left: the new part of the first visit, and the new part of the second.",
            "Square both, add, take the root.",
        ),
        slips=(
            Slip("nothing cancels", lambda v, u: combined(v["shared"], v["new"], v["shared"], v["new"]),
                 "You took the shared error as two errors. It is one and the same at both visits, so it cancels in the ratio."),
            Slip("one visit only", lambda v, u: v["new"],
                 "That is the new part of one visit. Each of the two brings its own: times the root of 2."),
            Slip("capacity of one visit", lambda v, u: combined(v["shared"], v["new"]),
                 "That is how well one capacity is known. In the change the shared part cancels, and the new part comes twice."),
            Slip("simply added", lambda v, u: 2 * v["new"],
                 "The two new parts were simply added. They know nothing of each other: square, add, root."),
        ),
        source=f"{GUM}, 5.2.2 and F.1.2.3",
    ),
    QuestionKind(
        name="smallest_change_that_can_be_seen",
        lesson=8,
        title="The smallest change that can be seen",
        ask="With the instruments of a bakery's service company a change of capacity is known to {doubt} (standard uncertainty). What is the smallest change "
        "that can be seen reliably, at the 5 % level and four times in five?",
        kind="percentage",
        parameters=(Parameter("doubt", "percentage", 0.012, 0.08, (0.2, 0.2), exact=True),),
        solve=_smallest,
        limits=(0.03, 0.23),
        hints=(
            "A change must be clear of zero, and with some room, or half of all real changes are missed.",
            "The factor is 1.96 + 0.84, which is 2.80.",
        ),
        slips=(
            Slip("1.96 alone", lambda v, u: NORMAL_95 * v["doubt"],
                 "1.96 is enough for half of such changes only: the other half come out below it by chance. Take 2.80."),
            Slip("root of 2 once more", lambda v, u: math.sqrt(2) * DETECTION * v["doubt"],
                 "You took the root of 2 for two visits. The stated doubt is that of the change already, with both visits in it."),
            Slip("the doubt itself", lambda v, u: v["doubt"],
                 "That is one standard uncertainty. One change in three that is nothing but chance is larger: take it 2.80 times."),
        ),
        source=DETECTABLE,
    ),
    QuestionKind(
        name="doubt_needed_to_see_a_change",
        lesson=8,
        title="How well must you measure?",
        ask="A museum wants to know whether new filters bring {change} more capacity. How well must the change be known, as a standard uncertainty in "
        "percent, so that it can be seen reliably (5 % level, four times in five)?",
        kind="percentage",
        parameters=(Parameter("change", "percentage", 0.04, 0.20, (0.5, 0.5), exact=True),),
        solve=_needed,
        limits=(0.01, 0.08),
        hints=(
            "The smallest change that can be seen is 2.80 times the standard uncertainty of the change.",
            "Turn that round: divide.",
        ),
        slips=(
            Slip("1.96 alone", lambda v, u: v["change"] / NORMAL_95,
                 "You divided by 1.96. Then half of such changes would be missed. Divide by 2.80."),
            Slip("multiplied", lambda v, u: v["change"] * DETECTION,
                 "You multiplied. The doubt must be smaller than the change, not larger: divide."),
            Slip("one of the two visits", lambda v, u: v["change"] / DETECTION / math.sqrt(2),
                 "You went on to what one visit may have of its own. Asked is the doubt of the change, with both visits in it."),
        ),
        # As the lesson states doubts; 2.9 for 2.86 is right.
        decimals=(1, 1),
        source=DETECTABLE,
    ),
    QuestionKind(
        name="true_change_with_a_shared_offset",
        lesson=8,
        title="A probe that is off in the same way twice",
        ask="A supply probe reads {error} too low at both visits, so both drops are shown too large: {before} before, {after} after. Airflow and moisture "
        "stayed. By how many percent has the sensible capacity really risen?",
        kind="percentage",
        parameters=(
            Parameter("error", "temperature_difference", 0.8, 2.0, (0.1, 0.1), exact=True),
            Parameter("before", "temperature_difference", 8.0, 11.0, (0.1, 0.1), exact=True),
            Parameter("after", "temperature_difference", 9.0, 12.5, (0.1, 0.1), exact=True),
        ),
        solve=_with_offset,
        limits=(0.06, 0.35),
        hints=(
            "Take the error off both drops first.",
            "Then set the rise against the true drop before.",
        ),
        slips=(
            Slip("as shown", lambda v, u: _true_rise(v, 0.0, 0.0),
                 "That is the change as shown. It is near, because most of the offset cancels. But each drop is too large by it: take it off both first."),
            Slip("error put on", lambda v, u: _true_rise(v, -1.0, -1.0),
                 "You made the drops larger. The supply reads too low, so the drops are shown too large: take the error off."),
            Slip("taken off one drop", lambda v, u: _true_rise(v, 0.0, 1.0),
                 "You took the error off the second drop only. It is in both."),
        ),
        source=f"{GUM}, 5.2.2",
    ),
)  # fmt: skip
