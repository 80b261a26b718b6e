"""Questions of lesson 2 about two probes: their difference, the side-by-side check, and what is left after it."""

from __future__ import annotations

import math

import numpy as np

from airside.instruments.accuracy import Statement
from airside.instruments.defaults import SIDE_BY_SIDE_REMAINS
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import linear
from airside.instruments.side_by_side import Offset, offset
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values

GUM = "JCGM 100:2008 (GUM)"
PRACTICE = "common practice, no source"


def _check(values: Values) -> Offset:
    return offset(values["first"], values["second"])


def _offset(values: Values) -> Solution:
    found = _check(values)
    return Solution(found.offset, (
        Step("Mean of the first probe", float(np.mean(values["first"])), "temperature", (2, 2), written="{first:total} ÷ {first:count}"),
        Step("Mean of the second probe", float(np.mean(values["second"])), "temperature", (2, 2),
             written="{second:total} ÷ {second:count}"),
        Step("Offset: second less first", found.offset, "temperature_difference", (2, 2), written="{-1} − {-2}"),
    ))  # fmt: skip


def _scatter(values: Values) -> float:
    found = _check(values)
    return found.standard_uncertainty * math.sqrt(found.count)


def _doubt(values: Values) -> Solution:
    found = _check(values)
    return Solution(found.standard_uncertainty, (
        Step("Take second less first for each pair. Mean of these differences", found.offset, "temperature_difference", (3, 3),
             written="{second:minus first} ÷ {first:count}"),
        Step("Scatter (standard deviation) of these differences", _scatter(values), "temperature_difference", (3, 3)),
        Step("Root of the number of pairs", math.sqrt(found.count), "fraction", written="√{first:count}"),
        Step("Standard uncertainty of the mean: scatter over that root", found.standard_uncertainty, "temperature_difference", (3, 3),
             written="{-2} ÷ {-1}"),
    ))  # fmt: skip


def _mean_of_scatter(values: Values, count: float) -> float:
    return float(values["scatter"]) / math.sqrt(count)


def _pairs_needed(values: Values) -> Solution:
    pairs = (values["scatter"] / values["wanted"]) ** 2
    # A pair more where it does not come out even.
    needed = float(math.ceil(pairs - 1e-9))
    return Solution(needed, (
        Step("Scatter over the standard uncertainty that is wanted", values["scatter"] / values["wanted"], "fraction",
             written="{scatter} ÷ {wanted}"),
        Step("That times itself", pairs, "fraction", written="{-1} × {-1}"),
        Step("Rounded up to whole pairs", needed, "count"),
    ))  # fmt: skip


def _difference(errors: list[NamedError]) -> float:
    """Standard uncertainty of return less supply, by the library's propagation."""

    def model(drawn: object) -> dict[str, float]:
        given = dict(drawn)  # type: ignore[call-overload]
        return {
            "difference": float(given.get("first", 0.0))
            - float(given.get("second", 0.0))
            + float(given.get("check", 0.0))
        }

    return linear(model, errors, ["difference"])["difference"].standard_uncertainty


def _limit(accuracy: float) -> float:
    return Statement(accuracy=accuracy).standard_uncertainty(0.0)


def _probe(name: str, u: float) -> NamedError:
    return NamedError(name, name, "calibration", u, "rectangular")


def _two_probes(values: Values) -> float:
    return _difference([_probe("first", _limit(values["accuracy"])), _probe("second", _limit(values["accuracy"]))])


def _unchecked(values: Values) -> Solution:
    return Solution(_two_probes(values), (
        Step("Standard uncertainty of each probe: the limit over the root of 3", _limit(values["accuracy"]), "temperature_difference", (3, 3),
             written="{accuracy} ÷ 1.732"),
        Step("Two that know nothing of each other: root of the sum of the squares, here times the root of 2, which is 1.414",
             _two_probes(values), "temperature_difference", (2, 2), written="1.414 × {-1}"),
    ))  # fmt: skip


def _left(values: Values, remains: float = SIDE_BY_SIDE_REMAINS, check: bool = True) -> float:
    each = remains * _limit(values["accuracy"])
    errors = [_probe("first", each), _probe("second", each)]
    if check:
        errors.append(NamedError("check", "check", "side by side", values["doubt"]))
    return _difference(errors)


def _checked(values: Values) -> Solution:
    return Solution(_left(values), (
        Step("Standard uncertainty of each probe before the check: the limit over the root of 3", _limit(values["accuracy"]),
             "temperature_difference", (3, 3), written="{accuracy} ÷ 1.732"),
        Step("What stays of it, because the check was made in other air: a quarter", SIDE_BY_SIDE_REMAINS * _limit(values["accuracy"]),
             "temperature_difference", (3, 3), written="{-1} ÷ 4"),
        Step("Standard uncertainty of the check itself", values["doubt"], "temperature_difference", (3, 3)),
        Step("Root of the sum of the squares of these three: first probe, second probe, check", _left(values), "temperature_difference", (3, 3),
             written="√({-2}² + {-2}² + {-1}²)"),
    ))  # fmt: skip


PAIRS = (
    Parameter("first", "temperature", 22.0, 23.5, (0.1, 0.1), count=5, spread=0.25),
    Parameter("second", "temperature", 22.0, 23.5, (0.1, 0.1), count=5, spread=0.25),
)
ACCURACY = Parameter("accuracy", "temperature_difference", 0.3, 1.0, (0.05, 0.02), exact=True)

PROBES_SIDE_BY_SIDE = (
    QuestionKind(
        name="side_by_side_offset",
        lesson=2,
        title="Offset between two probes",
        ask="Two probes hang side by side in the return duct of a library. The first shows {first}; the second, at the same moments, {second}. "
        "What is the offset of the second probe from the first?",
        kind="temperature_difference",
        parameters=PAIRS,
        solve=_offset,
        limits=(-1.3, 1.3),
        hints=(
            "Offset is second less first. It has a sign.",
            "Take the mean of each probe, or the mean of the five differences: both give the same.",
        ),
        slips=(
            Slip("first less second", lambda v, u: -_check(v).offset,
                 "The size is right, the sign is not. The offset of the second probe is second less first."),
            Slip("one pair only", lambda v, u: v["second"][0] - v["first"][0],
                 "That is the first pair alone. One pair has all the scatter in it: take the mean of all of them."),
            Slip("half of the offset", lambda v, u: _check(v).offset / 2,
                 "That is half of it, which is what each probe is corrected by to meet halfway. The offset is the whole difference."),
        ),
        possible=lambda v: abs(_check(v).offset) > 0.3,
        decimals=(2, 2),
        source=PRACTICE,
    ),
    QuestionKind(
        name="side_by_side_doubt",
        lesson=2,
        title="Standard uncertainty of an offset, from the readings",
        ask="Two probes hang side by side in a return duct. The first shows {first}; the second, at the same moments, {second}. Their displays' "
        "steps may be left out. What is the standard uncertainty of the mean offset?",
        kind="temperature_difference",
        parameters=PAIRS,
        solve=_doubt,
        limits=(0.05, 0.4),
        hints=(
            "Write down the five differences, second less first.",
            "Their standard deviation is their scatter: take each difference's distance from the mean, square them, add, divide by 4, take the "
            "root. Many calculators have a key for it.",
            "The mean of five is better known than a single one: divide by the root of 5.",
        ),
        slips=(
            Slip("scatter itself", lambda v, u: _scatter(v),
                 "That is the scatter of single differences. Their mean is better known: divide by the root of the number of pairs."),
            Slip("divided by the number", lambda v, u: _scatter(v) / _check(v).count,
                 "The scatter was divided by the number of pairs. Divide by its root: doubt falls more slowly than that."),
        ),
        decimals=(2, 2),
        source=f"{GUM}, 4.2.3",
    ),
    QuestionKind(
        name="doubt_of_a_mean",
        lesson=2,
        title="What many readings are worth",
        ask="In a side-by-side check the differences of two probes scatter by {scatter} (one standard deviation). {count} pairs are taken. What is the "
        "standard uncertainty of the mean difference?",
        kind="temperature_difference",
        parameters=(
            Parameter("scatter", "temperature_difference", 0.15, 0.6, (0.02, 0.02), exact=True),
            Parameter("count", "count", 4, 25, (1.0, 1.0), exact=True),
        ),
        solve=lambda v: Solution(_mean_of_scatter(v, v["count"]), (
            Step("Root of the number of pairs", math.sqrt(v["count"]), "fraction", written="√{count}"),
            Step("Standard uncertainty of the mean: scatter over that root", _mean_of_scatter(v, v["count"]), "temperature_difference", (3, 3),
                 written="{scatter} ÷ {-1}"),
        )),
        limits=(0.03, 0.4),
        hints=(
            "The mean of many is better known than one alone, but four times as many readings only halve the doubt.",
            "Divide the scatter by the root of the number of pairs.",
        ),
        slips=(
            Slip("divided by the number", lambda v, u: _mean_of_scatter(v, v["count"] ** 2),
                 "The scatter was divided by the number of pairs. Divide by its root: doubt falls more slowly than that."),
            Slip("scatter itself", lambda v, u: v["scatter"],
                 "That is the scatter of a single difference. The mean of many is better known: divide by the root of their number."),
        ),
        decimals=(3, 3),
        source=f"{GUM}, 4.2.3",
    ),
    QuestionKind(
        name="pairs_for_a_side_by_side_check",
        lesson=2,
        title="How many pairs a check needs",
        ask="The differences of two probes scatter by {scatter} (one standard deviation). You want their mean with a standard uncertainty of "
        "{wanted} or better. How many pairs do you need?",
        kind="count",
        parameters=(
            Parameter("scatter", "temperature_difference", 0.25, 0.7, (0.05, 0.05), exact=True),
            Parameter("wanted", "temperature_difference", 0.05, 0.15, (0.02, 0.02), exact=True),
        ),
        solve=_pairs_needed,
        limits=(4, 60),
        hints=(
            "The doubt of the mean is the scatter over the root of the number of pairs.",
            "So the root of the number is scatter over wanted doubt.",
        ),
        slips=(
            Slip("ratio not squared", lambda v, u: float(math.ceil(v["scatter"] / v["wanted"] - 1e-9)),
                 "That is the ratio itself, which is the root of the number of pairs. Multiply it by itself."),
        ),
        source=f"{GUM}, 4.2.3",
    ),
    QuestionKind(
        name="difference_of_two_unchecked_probes",
        lesson=2,
        title="Return less supply with two probes",
        ask="A dry-bulb drop is taken with two probes, one in the return and one in the supply. Each has an accuracy of ±{accuracy}, a limit. They "
        "were never compared. What standard uncertainty do they bring to the drop?",
        kind="temperature_difference",
        parameters=(ACCURACY,),
        solve=_unchecked,
        limits=(0.2, 1.0),
        hints=(
            "Turn each limit into a standard uncertainty: divide by the root of 3.",
            "Two errors that know nothing of each other: square, add, take the root.",
        ),
        slips=(
            Slip("limits added", lambda v, u: 2 * v["accuracy"],
                 "The two limits were added. That is the very worst case, not the usual one: take standard uncertainties, square, add, root."),
            Slip("standard uncertainties added", lambda v, u: 2 * _limit(v["accuracy"]),
                 "The two were simply added, as if both probes were always off in opposite ways. Square, add, and take the root."),
            Slip("one probe only", lambda v, u: _limit(v["accuracy"]),
                 "That is one probe. The drop has the errors of both in it."),
            Slip("limits not divided", lambda v, u: _two_probes(v) / _limit(v["accuracy"]) * v["accuracy"],
                 "The limits went in as they stand. Turn each into a standard uncertainty first: divide by the root of 3."),
        ),
        decimals=(2, 2),
        source=f"{GUM}, 4.3.7 and 5.1.2",
    ),
    QuestionKind(
        name="difference_of_two_checked_probes",
        lesson=2,
        title="Return less supply after a side-by-side check",
        ask="Two probes, each with an accuracy of ±{accuracy} (a limit), were compared side by side, and the offset was taken off. The mean offset has a "
        "standard uncertainty of {doubt}. A quarter of each probe's own standard uncertainty stays, because the supply air is colder than the air "
        "of the check. What standard uncertainty do the probes now bring to the dry-bulb drop?",
        kind="temperature_difference",
        parameters=(
            Parameter("accuracy", "temperature_difference", 0.4, 1.0, (0.05, 0.02), exact=True),
            Parameter("doubt", "temperature_difference", 0.04, 0.16, (0.02, 0.01), exact=True),
        ),
        solve=_checked,
        limits=(0.08, 0.4),
        hints=(
            "Three things are left: a quarter of the first probe, a quarter of the second, and the check's own doubt.",
            "Turn the limit into a standard uncertainty before you take a quarter.",
            "Square the three, add them, take the root.",
        ),
        slips=(
            Slip("nothing taken off", lambda v, u: _left(v, 1.0),
                 "The whole of each probe went in. The check has taken the offset off: only a quarter of each probe stays."),
            Slip("the check alone", lambda v, u: v["doubt"],
                 "That is the check's own doubt. What stays of each probe in other air comes to it."),
            Slip("the check left out", lambda v, u: _left(v, check=False),
                 "The check's own doubt is missing. A correction is never known exactly: put its standard uncertainty in as the third."),
        ),
        decimals=(2, 2),
        source=f"{GUM}, 5.1.2; the quarter: {PRACTICE}",
    ),
)  # fmt: skip
