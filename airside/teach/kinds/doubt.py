"""Questions of lesson 8: doubt of one visit. Sensitivity, what two visits share, and choices, in modules of their own."""

from __future__ import annotations

import math

from airside.instruments.accuracy import Statement, resolution_uncertainty
from airside.instruments.propagation import Linear
from airside.instruments.steadiness import standard_error
from airside.teach.kinds.doubt_choices import DOUBT_CHOICES
from airside.teach.kinds.doubt_of_a_change import DOUBT_OF_A_CHANGE
from airside.teach.kinds.doubt_sensitivity import DOUBT_SENSITIVITY
from airside.teach.kinds.doubt_sums import GUM, combined, of_product, shares
from airside.teach.kinds.steadiness_choices import scattered
from airside.teach.question import Parameter, QuestionKind, Slip, Solution, Step, Values


def _hood(values: Values) -> Statement:
    return Statement(of_reading=values["part"])


def _doubt_of_a_flow(values: Values) -> Solution:
    half = _hood(values).half_width(values["flow"])
    found = _hood(values).standard_uncertainty(values["flow"])
    return Solution(found, (
        Step("Limit: that percent of the reading", half, "volume_flow", (1, 2), written="{part} × {flow}"),
        Step("Limit over the root of 3, which is 1.732", found, "volume_flow", (1, 2), written="{-1} ÷ 1.732"),
    ))  # fmt: skip


def _two(values: Values) -> Solution:
    both = of_product(airflow=values["airflow"], difference=values["difference"]).standard_uncertainty
    return Solution(both, (
        Step("Larger of the two", max(values["airflow"], values["difference"]), "percentage"),
        Step("Square both, add, take the root", both, "percentage", (2, 2), written="√({airflow}² + {difference}²)"),
    ))  # fmt: skip


BUDGET = ("airflow", "probes", "scatter")


def _budget(values: Values) -> dict[str, float]:
    return {name: float(values[name]) for name in BUDGET}


def _share(values: Values) -> Solution:
    found = shares(**_budget(values))["airflow"]
    whole = of_product(**_budget(values)).standard_uncertainty
    return Solution(found, (
        Step("All three together: root of the sum of the squares", whole, "percentage", (2, 2),
             written="√({airflow}² + {probes}² + {scatter}²)"),
        Step("Airflow over that", values["airflow"] / whole, "fraction", written="{airflow} ÷ {-1}"),
        Step("That times itself", found, "percentage", written="{-1} × {-1}"),
    ))  # fmt: skip


def _halved(values: Values, airflow: float = 0.5, rest: float = 1.0) -> float:
    return of_product(airflow=airflow * values["airflow"], rest=rest * values["rest"]).standard_uncertainty


def _halving(values: Values) -> Solution:
    return Solution(_halved(values), (
        Step("As it was, both together: square, add, root", _halved(values, 1.0), "percentage", (2, 2), written="√({airflow}² + {rest}²)"),
        Step("Doubt of the airflow, halved", values["airflow"] / 2, "percentage", (2, 2), written="{airflow} ÷ 2"),
        Step("Together with the rest: square, add, root", _halved(values), "percentage", (2, 2), written="√({-1}² + {rest}²)"),
    ))  # fmt: skip


def _count(values: Values) -> int:
    return int(values["count"] + 1e-6)


def _limit(values: Values) -> float:
    return Statement(accuracy=values["accuracy"]).standard_uncertainty(0.0)


def _of_mean(values: Values) -> float:
    return standard_error(scattered(_count(values), values["scatter"]))


def _mean_reading(values: Values) -> Solution:
    both = combined(_of_mean(values), _limit(values))
    return Solution(both, (
        Step("Scatter over the root of the number of readings", _of_mean(values), "temperature_difference", (3, 3),
             written="{scatter} ÷ √{count}"),
        Step("Accuracy over the root of 3: it is the same in every reading", _limit(values), "temperature_difference", (3, 3),
             written="{accuracy} ÷ 1.732"),
        Step("Square both, add, take the root", both, "temperature_difference", (3, 3), written="√({-2}² + {-1}²)"),
    ))  # fmt: skip


def _interval(values: Values) -> Linear:
    return Linear(values["capacity"], values["doubt"] * values["capacity"], {})


def _lower_end(values: Values) -> Solution:
    found = _interval(values)
    return Solution(found.interval_95[0], (
        Step("Standard uncertainty: that percent of the capacity", found.standard_uncertainty, "capacity", (0, 3),
             written="{doubt} × {capacity}"),
        Step("Half of the interval: 1.96 times that", found.value - found.interval_95[0], "capacity", written="1.96 × {-1}"),
        Step("Capacity less that", found.interval_95[0], "capacity", written="{capacity} − {-1}"),
    ))  # fmt: skip


DOUBT_OF_ONE_VISIT = (
    QuestionKind(
        name="doubt_of_a_flow_reading",
        lesson=8,
        title="From a percent of reading to a standard uncertainty",
        ask="A flow hood in a school reads {flow}. Its data sheet says: within {part} of the reading. That is a limit. What standard uncertainty has "
        "the flow from it?",
        kind="volume_flow",
        parameters=(
            Parameter("flow", "volume_flow", 0.25, 0.7, (10.0, 5.0), exact=True),
            Parameter("part", "percentage", 0.03, 0.08, (0.5, 0.5), exact=True),
        ),
        solve=_doubt_of_a_flow,
        limits=(0.004, 0.035),
        hints=(
            "First the limit as a flow: so many percent of the reading.",
            "A limit is an end that is never passed. For a standard uncertainty divide it by the root of 3.",
        ),
        slips=(
            Slip("the limit itself", lambda v, u: _hood(v).half_width(v["flow"]),
                 "That is the limit, the largest error that can be. Usually one is nearer: divide by the root of 3."),
            Slip("taken as a 95 % statement", lambda v, u: Statement(of_reading=v["part"], coverage="95 %").standard_uncertainty(v["flow"]),
                 "1.96 belongs to a statement for 95 % of readings. This one is a limit: divide by the root of 3, which is 1.732."),
            Slip("width of a step", lambda v, u: resolution_uncertainty(_hood(v).half_width(v["flow"]), 0.0, 1),
                 "The root of 12 belongs to a whole width from end to end, as of a display's step. The limit is half of the width: divide "
                 "by the root of 3."),
        ),
        decimals=(1, 1),
        source=f"{GUM}, 4.3.7",
    ),
    QuestionKind(
        name="two_doubts_of_a_capacity",
        lesson=8,
        title="Two doubts together",
        ask="Total capacity is airflow times the difference of the enthalpies. At a bakery the airflow is known to {airflow}, the difference to "
        "{difference} (standard uncertainties). The two errors know nothing of each other. To how many percent is the capacity known?",
        kind="percentage",
        parameters=(
            Parameter("airflow", "percentage", 0.025, 0.08, (0.5, 0.5), exact=True),
            Parameter("difference", "percentage", 0.02, 0.07, (0.5, 0.5), exact=True),
        ),
        solve=_two,
        limits=(0.03, 0.11),
        hints=(
            "Two errors that know nothing of each other seldom pull the same way. So their sizes are not simply added.",
            "Square both, add the squares, take the root.",
        ),
        slips=(
            Slip("simply added", lambda v, u: v["airflow"] + v["difference"],
                 "The two were simply added, as if both were always off in the same way. Square both, add, and take the root."),
            Slip("the larger alone", lambda v, u: max(v["airflow"], v["difference"]),
                 "That is the larger one alone. It does most, but the other counts too: square both, add, take the root."),
            Slip("mean of the two", lambda v, u: (v["airflow"] + v["difference"]) / 2,
                 "That is their mean. Two doubts together are more than each of them: square both, add, take the root."),
            Slip("root forgotten", lambda v, u: 100 * (v["airflow"] ** 2 + v["difference"] ** 2),
                 "That is the sum of the squares. Now take the root of it."),
        ),
        source=f"{GUM}, 5.1.2 and 5.1.6",
    ),
    QuestionKind(
        name="share_of_the_variance",
        lesson=8,
        title="Which share has the airflow?",
        ask="Three things alone would make the capacity of a museum's unit uncertain by: airflow {airflow}, probes {probes}, scatter {scatter}. In a budget "
        "each has its share of the squared doubt (the variance). What share has the airflow?",
        kind="percentage",
        parameters=(
            Parameter("airflow", "percentage", 0.03, 0.07, (0.5, 0.5), exact=True),
            Parameter("probes", "percentage", 0.02, 0.06, (0.5, 0.5), exact=True),
            Parameter("scatter", "percentage", 0.005, 0.03, (0.5, 0.5), exact=True),
        ),
        solve=_share,
        limits=(0.2, 0.9),
        hints=(
            "Shares of a budget are shares of the squares: doubts add up as squares.",
            "Square all three. Set the airflow's square against the sum of the three squares.",
        ),
        slips=(
            Slip("shares not squared", lambda v, u: v["airflow"] / sum(_budget(v).values()),
                 "You set the airflow against the plain sum. Doubts add up as squares: square each of the three first."),
            Slip("one root too many", lambda v, u: math.sqrt(shares(**_budget(v))["airflow"]),
                 "That is the airflow over the root of the sum of the squares. For the share, square it once more."),
            Slip("against the others alone", lambda v, u: v["airflow"] ** 2 / (v["probes"] ** 2 + v["scatter"] ** 2),
                 "You set the airflow's square against the squares of the other two. Its own belongs to the whole: the sum is of all three."),
        ),
        decimals=(0, 0),
        source=f"{GUM}, 5.1.2; shares of a budget: {GUM} 8, and common practice",
    ),
    QuestionKind(
        name="what_halving_one_doubt_brings",
        lesson=8,
        title="What a better flow meter brings",
        ask="The airflow of a library's unit brings {airflow} of doubt into the capacity, all the rest together {rest} (standard uncertainties). A better "
        "meter halves the doubt of the airflow. To how many percent is the capacity then known?",
        kind="percentage",
        parameters=(
            Parameter("airflow", "percentage", 0.04, 0.10, (0.5, 0.5), exact=True),
            Parameter("rest", "percentage", 0.02, 0.06, (0.5, 0.5), exact=True),
        ),
        solve=_halving,
        limits=(0.025, 0.08),
        hints=(
            "Halve the airflow's doubt first. The rest stays as it is.",
            "Then put the two together: square both, add, take the root.",
        ),
        slips=(
            Slip("all of it halved", lambda v, u: _halved(v, 0.5, 0.5),
                 "You halved the whole. The better meter does nothing to the rest: halve the airflow's part alone."),
            Slip("nothing halved", lambda v, u: _halved(v, 1.0),
                 "That is the doubt as it was. Halve the airflow's part first."),
            Slip("simply added", lambda v, u: v["airflow"] / 2 + v["rest"],
                 "Half of the airflow's doubt and the rest were simply added. Square both, add, and take the root."),
            Slip("rest alone", lambda v, u: v["rest"],
                 "That is the rest alone. Half of the airflow's doubt is still there."),
        ),
        source=f"{GUM}, 5.1.2",
    ),
    QuestionKind(
        name="doubt_of_a_mean_reading",
        lesson=8,
        title="Scatter and accuracy together",
        ask="In the supply duct of a bakery you take {count} readings. They scatter with a standard deviation of {scatter}. The probe's accuracy is "
        "±{accuracy}, a limit, and its error is the same in every reading. What standard uncertainty has the mean?",
        kind="temperature_difference",
        parameters=(
            Parameter("count", "count", 4, 9, (1.0, 1.0), exact=True),
            Parameter("scatter", "temperature_difference", 0.25, 1.0, (0.1, 0.05), exact=True),
            Parameter("accuracy", "temperature_difference", 0.2, 0.8, (0.1, 0.05), exact=True),
        ),
        solve=_mean_reading,
        limits=(0.15, 0.65),
        hints=(
            "Two parts: the scatter, which many readings make smaller, and the accuracy, which they do not.",
            "Scatter over the root of the number of readings; accuracy over the root of 3.",
            "Square both, add, take the root.",
        ),
        slips=(
            Slip("accuracy averaged away", lambda v, u: combined(_of_mean(v), _limit(v) / math.sqrt(_count(v))),
                 "You divided the accuracy by the root of the number of readings too. The probe's error is the same in all of them: it stays."),
            Slip("scatter not reduced", lambda v, u: combined(v["scatter"], _limit(v)),
                 "The scatter of one reading went in whole. The mean of several is better known: divide it by the root of their number."),
            Slip("limit not divided", lambda v, u: combined(_of_mean(v), v["accuracy"]),
                 "The accuracy went in as a limit. Divide it by the root of 3 first."),
            Slip("scatter alone", lambda v, u: _of_mean(v),
                 "That is the scatter alone. The probe's own error comes to it, and no number of readings makes that smaller."),
        ),
        decimals=(2, 2),
        source=f"{GUM}, 4.2.3, 4.3.7 and 5.1.2",
    ),
    QuestionKind(
        name="lower_end_of_a_95_percent_interval",
        lesson=8,
        title="Where the 95 % interval begins",
        ask="A clinic's unit delivers {capacity}, known to {doubt} (standard uncertainty). Where does the 95 % interval of the capacity begin?",
        kind="capacity",
        parameters=(
            Parameter("capacity", "capacity", 9.0e3, 21.0e3, (500.0, 0.2), exact=True),
            Parameter("doubt", "percentage", 0.03, 0.09, (0.5, 0.5), exact=True),
        ),
        solve=_lower_end,
        limits=(7.0e3, 20.5e3),
        hints=(
            "A 95 % interval reaches 1.96 standard uncertainties to each side.",
            "Turn the percent into a capacity, take it 1.96 times, and go down from the capacity.",
        ),
        slips=(
            Slip("one standard uncertainty", lambda v, u: v["capacity"] * (1 - v["doubt"]),
                 "You went down by one standard uncertainty. That holds two cases in three; for 95 % go down by 1.96 of them."),
            Slip("upper end", lambda v, u: _interval(v).interval_95[1],
                 "That is the upper end. Asked is where the interval begins: go down from the capacity."),
            Slip("half of the interval", lambda v, u: v["capacity"] - _interval(v).interval_95[0],
                 "That is how far the interval reaches to each side. Take it off the capacity."),
        ),
        source=f"{GUM}, 6.3.3 and annex G",
    ),
)  # fmt: skip

DOUBT = (*DOUBT_OF_ONE_VISIT, *DOUBT_SENSITIVITY, *DOUBT_OF_A_CHANGE, *DOUBT_CHOICES)
