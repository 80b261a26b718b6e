"""Published examples of measuring and of uncertainty, as questions whose numbers are fixed.

Sources
-------
JCGM 101:2008 (Supplement 1 to the GUM) ch. 9; ISO 3966; 10 CFR part 430 subpart B appendix M1 (all from memory);
NREL/TP-5500-56354 (2013).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from airside.air.blocks import Number
from airside.airflow.traverse import rectangular_positions
from airside.compare.curves import AIR_CONDITIONER
from airside.instruments.named_error import Draws, NamedError, Shape
from airside.instruments.propagation import Estimate, Linear, linear, propagate
from airside.instruments.steadiness import TOLERANCES, beyond_tolerance
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values
from airside.units import from_inside, parse

SUPPLEMENT = "JCGM 101:2008 (Supplement 1 to the GUM), example"
NREL = ("Cutler, Winkler, Kruis, Christensen, Brandemuehl (2013), Improved Modeling of Residential Air Conditioners and Heat Pumps "
        "for Energy Calculations, NREL/TP-5500-56354")  # fmt: skip
M1 = "10 CFR part 430 subpart B appendix M1, test operating tolerances (from memory)"
# Good to a hundredth.
DRAWS = Draws(200_000)


def _total(drawn: Mapping[str, Number]) -> dict[str, Any]:
    return {"Y": drawn.get("X1", 0.0) + drawn.get("X2", 0.0) + drawn.get("X3", 0.0) + drawn.get("X4", 0.0)}


@lru_cache(maxsize=32)
def _sum_of_four(shape: Shape, small: float, large: float) -> tuple[Estimate, Linear]:
    """Y = X1 + X2 + X3 + X4 by draws and by linear propagation; the last may be larger than the others."""
    errors = [NamedError(f"X{i}", f"X{i}", "method", large if i == 4 else small, shape) for i in range(1, 5)]
    return propagate(_total, errors, DRAWS).estimate("Y"), linear(_total, errors, ["Y"])["Y"]


def _four_normal(values: Values) -> Solution:
    _, straight = _sum_of_four("normal", values["each"], values["each"])
    return Solution(straight.standard_uncertainty, (
        Step("Sum of the squares of the four", straight.standard_uncertainty**2, "fraction", written="4 × {each} × {each}"),
        Step("Root of that", straight.standard_uncertainty, "fraction", written="√{-1}"),
        Step("The supplement prints", 2.0, "fraction"),
    ))  # fmt: skip


def _four_with_a_large_one(values: Values) -> Solution:
    drawn, straight = _sum_of_four("rectangular", values["small"], values["large"])
    narrower = drawn.interval_95[1] < 0.95 * straight.interval_95[1]
    return Solution(0.0 if narrower else 1.0, (
        Step("Upper end of the 95 % interval by linear propagation: 1.96 times the root of the sum of the squares", straight.interval_95[1],
             "fraction", written="1.96 × √(3 × {small}² + {large}²)"),
        Step("Upper end of the 95 % interval by draws", drawn.interval_95[1], "fraction"),
        Step("The supplement prints, by draws", 17.0, "fraction"),
    ))  # fmt: skip


def _first_point(values: Values) -> float:
    return float(rectangular_positions(values["side"], values["side"], 5, 5)[0, 0])


def _traverse(values: Values) -> Solution:
    return Solution(_first_point(values), (
        Step("Side of the duct", values["side"], "duct_side"),
        Step("Published part of the side for the first of five points", _first_point(values) / values["side"], "fraction"),
        Step("Distance from the wall: the one times the other", _first_point(values), "duct_side", written="{-1} × {side}"),
    ))  # fmt: skip


def _curve(values: Values, indoor: str = "wet_bulb", outdoor: str = "outdoor") -> float:
    return float(AIR_CONDITIONER.capacity_ratio(values[indoor], values[outdoor]))


def _capacity_ratio(values: Values) -> Solution:
    a, b, c, d, e, f = AIR_CONDITIONER.capacity
    x, y = (float(from_inside(values[n], "temperature", "IP")) for n in ("wet_bulb", "outdoor"))
    return Solution(_curve(values), (
        Step("The constant and the two terms of the wet bulb alone", a + b * x + c * x * x, "fraction"),
        Step("The two terms of the outdoor dry bulb alone", d * y + e * y * y, "fraction"),
        Step("The term of both", f * x * y, "fraction"),
        Step("Their sum", _curve(values), "fraction", written="{-3} + {-2} + {-1}"),
        Step("The report's coefficients give", 0.9939, "fraction"),
    ))  # fmt: skip


_COEFFICIENTS = ", ".join(
    f"{name} = {value:.9f}".rstrip("0") for name, value in zip("abcdef", AIR_CONDITIONER.capacity, strict=True)
)


def _window(values: Values) -> Solution:
    beyond = beyond_tolerance([("return", "dry_bulb", (values["lowest"], values["highest"]))], "strict")
    return Solution(1.0 if beyond else 0.0, (
        Step("Range: highest less lowest", values["highest"] - values["lowest"], "temperature_difference", written="{highest} − {lowest}"),
        Step("Tolerance of the test procedure", TOLERANCES["strict"]["dry_bulb"], "temperature_difference"),
    ))  # fmt: skip


def _fixed(name: str, kind: str, value: float, step: float) -> Parameter:
    return Parameter(name, kind, value, value, (step, step))


PUBLISHED_METHODS = (
    QuestionKind(
        name="published_four_equal_doubts",
        lesson=8,
        title="Supplement to the GUM: four equal doubts",
        ask=f"{SUPPLEMENT} 9.2.2: four quantities that know nothing of each other are added. Each has a standard uncertainty of {{each}}. What is the "
        "standard uncertainty of the sum?",
        kind="fraction",
        parameters=(_fixed("each", "fraction", 1.0, 0.01),),
        solve=_four_normal,
        limits=(1.9, 2.1),
        hints=("Doubts that know nothing of each other partly cancel, so they are not simply added.", "Square, add, take the root."),
        slips=(
            Slip("simply added", lambda v, u: 4 * v["each"], "The four were simply added, as if all were always off in the same way. Square, add, "
                 "and take the root."),
            Slip("root of four divided", lambda v, u: v["each"] / 2, "The root of four was divided by. That is for the mean of four; for their sum it "
                 "is multiplied."),
        ),
        decimals=(2, 2),
        source=f"{SUPPLEMENT} 9.2.2 (from memory)",
    ),
    QuestionKind(
        name="published_one_large_doubt",
        lesson=8,
        title="Supplement to the GUM: one doubt that outweighs the rest",
        ask=f"{SUPPLEMENT} 9.2.4: four quantities are added; each is equally likely anywhere between two limits. Three have a standard uncertainty of "
        "{small}, the fourth has {large}. Linear propagation gives an interval of plus and minus 19.9 (to one decimal). What do draws give?",
        kind="count",
        parameters=(_fixed("small", "fraction", 1.0, 0.1), _fixed("large", "fraction", 10.0, 0.1)),
        solve=_four_with_a_large_one,
        limits=(0, 2),
        hints=("The fourth quantity is almost all of the sum. How far can it go at most?", "Its limits are at plus and minus root 3 times 10, about 17.3."),
        options=("A narrower interval, plus and minus 17.0", "The same interval, plus and minus 19.9", "A wider interval, plus and minus 22"),
        because=(
            "The fourth quantity has hard limits at 17.3, and it outweighs the rest. A bell-shaped spread would reach beyond them, so linear propagation "
            "gives too wide an interval.",
            "Linear propagation takes the sum as bell-shaped. Here one quantity with hard limits outweighs the rest, so the sum is not.",
            "The largest quantity cannot go beyond 17.3, and the others add little. The interval is narrower.",
        ),
        source=f"{SUPPLEMENT} 9.2.4 (from memory)",
    ),
    QuestionKind(
        name="published_first_traverse_point",
        lesson=3,
        title="Where the first point of a traverse lies",
        ask="By the log-Tchebycheff rule of ISO 3966, with five points across a side of {side}: how far from the wall is the first one?",
        kind="duct_side",
        parameters=(Parameter("side", "duct_side", 0.499, 0.509, (1.0, 10.0)),),
        solve=_traverse,
        limits=(0.03, 0.045),
        hints=("The five points lie at 0.074, 0.288, 0.500, 0.712 and 0.926 of the side.", "Multiply the side by the first of them."),
        slips=(
            Slip("middle of equal parts", lambda v, u: v["side"] / 10, "That is the middle of the first of five equal parts. The rule sets the outer "
                 "points nearer to the wall, where the velocity falls off."),
            Slip("a fifth of the side", lambda v, u: v["side"] / 5, "That is a whole fifth of the side. The first point lies much nearer to the wall."),
        ),
        decimals=(2, 0),
        source="ISO 3966; ASHRAE Handbook—Fundamentals ch. 37 (from memory)",
    ),
    QuestionKind(
        name="published_steady_window",
        lesson=5,
        title="Steady by the test procedure?",
        ask=f"{M1}: in half an hour the entering dry bulb went no lower than {{lowest}} and no higher than {{highest}}. Is that within the tolerance?",
        kind="count",
        parameters=(_fixed("lowest", "temperature", parse("79.1 degF", "temperature"), 0.1),
                    _fixed("highest", "temperature", parse("80.9 degF", "temperature"), 0.1)),
        solve=_window,
        limits=(0, 2),
        hints=("The tolerance is for the range: highest less lowest.", "For dry bulbs it is two degrees Fahrenheit."),
        options=("Yes", "No", "Only if the mean was at the set point too"),
        because=(
            "The range over the window may be up to two degrees Fahrenheit. Take lowest from highest and compare.",
            "It is beyond the tolerance only where the range is more than two degrees Fahrenheit. Take lowest from highest and compare.",
            "That is the other tolerance, of the condition: how far the mean may be from the set point. The question is about the range.",
        ),
        source=M1,
        systems=("IP",),
    ),
    QuestionKind(
        name="published_capacity_curve",
        lesson=9,
        title="A published capacity curve at rated conditions",
        ask="NREL/TP-5500-56354 gives the cooling capacity of air conditioners, over the rated one, as a + b W + c W² + d T + e T² + f W T, with W the "
        f"return wet bulb and T the outdoor dry bulb, both in Fahrenheit, and {_COEFFICIENTS}. What does it give at W = {{wet_bulb}} and "
        "T = {outdoor}?",
        kind="fraction",
        parameters=(_fixed("wet_bulb", "temperature", parse("67 degF", "temperature"), 0.1),
                    _fixed("outdoor", "temperature", parse("95 degF", "temperature"), 0.1)),
        solve=_capacity_ratio,
        limits=(0.9, 1.1),
        hints=("Put the temperatures in as they stand, in Fahrenheit.", "At rated conditions the answer should be near 1."),
        slips=(
            Slip("temperatures mixed up", lambda v, u: _curve(v, "outdoor", "wet_bulb"),
                 "The two temperatures have changed places. W is the return wet bulb, T the outdoor dry bulb."),
        ),
        source=NREL,
        systems=("IP",),
    ),
)  # fmt: skip
