"""Questions of lesson 8 that are answered by choosing; where it can be computed which answer is right, it is."""

from __future__ import annotations

from airside.air.atmosphere import SEA_LEVEL_PRESSURE
from airside.air.process import delivered_capacity
from airside.air.state import MoistAir
from airside.instruments.propagation import Linear
from airside.teach.kinds.doubt_sums import GUM, shares
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

INPUTS = ("airflow", "return", "supply")


def _contributions(values: Values) -> dict[str, float]:
    """What one standard uncertainty of each input does to the capacity [fraction], by the input's name."""
    difference = values["difference"]
    sizes = (values["airflow"], values["return_shift"] / difference, values["supply_shift"] / difference)
    return dict(zip(INPUTS, sizes, strict=True))


def _which_counts(values: Values) -> Solution:
    found = _contributions(values)
    part = shares(**found)
    largest = max(part, key=part.__getitem__)
    return Solution(float(INPUTS.index(largest)), (
        Step("Airflow moves the capacity by", found["airflow"], "percentage"),
        Step("Return probe: its shift over the difference", found["return"], "percentage", written="{return_shift} ÷ {difference}"),
        Step("Supply probe: its shift over the difference", found["supply"], "percentage", written="{supply_shift} ÷ {difference}"),
        Step("Share of the largest in the squared doubt", part[largest], "percentage", (0, 0)),
    ))  # fmt: skip


def _is_clear(values: Values) -> bool:
    small, middle, large = sorted(_contributions(values).values())
    return large > 1.25 * middle and small > 0.004


def _shown(values: Values) -> float:
    """Ratio after over before as shown, over the true one."""
    first, second = (_total(1 + values[n]) / _total(1.0) for n in ("first", "second"))
    return second / first


def _total(flow: float) -> float:
    # Any air will do: the question is about the flow.
    back, supply = (MoistAir.from_relative_humidity(t, rh, SEA_LEVEL_PRESSURE) for t, rh in ((25.0, 0.5), (13.0, 0.9)))
    return float(delivered_capacity(back, supply, flow).total)


def _is_it_right(values: Values) -> Solution:
    off = _shown(values) - 1
    return Solution(0.0 if abs(off) < 1e-9 else 1.0 if off > 0 else 2.0, (
        Step("Before, shown over true", 1 + values["first"], "fraction", (2, 2), written="1 + {first:fraction}"),
        Step("After, shown over true", 1 + values["second"], "fraction", (2, 2), written="1 + {second:fraction}"),
        Step("Ratio after over before, shown over true, less one", off, "percentage",
             written="(1 + {second:fraction}) ÷ (1 + {first:fraction}) − 1"),
    ))  # fmt: skip


def _intervals(values: Values) -> tuple[Linear, Linear, Linear]:
    """Of the capacity before, of that after, and of the relative change."""
    one, other = (Linear(values[n], values["each"] * values[n], {}) for n in ("before", "after"))
    return one, other, Linear(values["after"] / values["before"] - 1, values["change_doubt"], {})


def _overlap(values: Values) -> Solution:
    one, other, change = _intervals(values)
    return Solution(0.0 if change.interval_95[0] > 0 else 1.0, (
        Step("Interval before ends at", one.interval_95[1], "capacity", written="{before} × (1 + 1.96 × {each:fraction})"),
        Step("Interval after begins at", other.interval_95[0], "capacity", written="{after} × (1 − 1.96 × {each:fraction})"),
        Step("Change: after over before, less one", change.value, "percentage", (2, 2), written="{after} ÷ {before} − 1"),
        Step("Interval of the change begins at", change.interval_95[0], "percentage", written="{-1} − 1.96 × {change_doubt}"),
    ))  # fmt: skip


def _do_overlap(values: Values) -> bool:
    one, other, change = _intervals(values)
    begins = change.interval_95[0]
    return other.interval_95[0] < one.interval_95[1] and 0.02 < change.value < 0.3 and abs(begins) > 0.25 * change.value


def _interval_says(values: Values) -> Solution:
    found = Linear(values["capacity"], values["doubt"] * values["capacity"], {})
    return Solution(1.0, (
        Step("Interval begins at", found.interval_95[0], "capacity", written="{capacity} × (1 − 1.96 × {doubt:fraction})"),
        Step("Interval ends at", found.interval_95[1], "capacity", written="{capacity} × (1 + 1.96 × {doubt:fraction})"),
    ))  # fmt: skip


AIRFLOW = Parameter("airflow", "percentage", 0.02, 0.09, (0.5, 0.5))

DOUBT_CHOICES = (
    QuestionKind(
        name="which_input_counts_most",
        lesson=8,
        title="Which input counts most?",
        ask="At a laundry the enthalpies of return and supply differ by {difference}. One standard uncertainty of the return probe moves that by "
        "{return_shift}, one of the supply probe by {supply_shift}. The airflow is known to {airflow}. What does most to the doubt of the capacity?",
        kind="count",
        parameters=(
            Parameter("difference", "enthalpy_difference", 13.0e3, 22.0e3, (0.2, 0.5)),
            Parameter("return_shift", "enthalpy_difference", 0.2e3, 1.6e3, (0.05, 0.1)),
            Parameter("supply_shift", "enthalpy_difference", 0.2e3, 1.4e3, (0.05, 0.1)),
            AIRFLOW,
        ),
        solve=_which_counts,
        limits=(0, 2),
        hints=(
            "Bring all three to one measure: percent of the capacity.",
            "For a probe: its shift over the difference of the enthalpies. The airflow goes straight into the capacity.",
        ),
        options=("The airflow", "The return probe", "The supply probe"),
        because=(
            "The airflow goes straight into the capacity: a percent for a percent. Set it beside each probe's shift over the difference, and take the "
            "largest of the three.",
            "The return probe counts most where its shift over the difference is larger than that of the supply probe, and larger than the percent of "
            "the airflow. Work out all three.",
            "The supply probe counts most where its shift over the difference is larger than that of the return probe, and larger than the percent of "
            "the airflow. Work out all three.",
        ),
        possible=_is_clear,
        source=f"{GUM}, 5.1.3",
    ),
    QuestionKind(
        name="does_a_flow_error_cancel",
        lesson=8,
        title="Does the flow meter's error cancel?",
        ask="A flow meter reads {first} too high at the visit before a repair, and {second} too high at the visit after it. All else is read rightly. How does "
        "the change of the capacity, in percent, come out?",
        kind="count",
        parameters=(
            Parameter("first", "percentage", 0.02, 0.08, (2.0, 2.0)),
            Parameter("second", "percentage", 0.02, 0.08, (2.0, 2.0)),
        ),
        solve=_is_it_right,
        limits=(0, 2),
        hints=(
            "The change in percent is the ratio of after to before.",
            "What multiplies both by the same goes out of a ratio.",
        ),
        options=("Right: the error cancels", "Too high", "Too low"),
        because=(
            "It comes out right where the meter is off by the same percent at both visits: that multiplies both capacities and goes out of their ratio. "
            "Compare the two errors.",
            "It comes out too high where the meter is off by more after the repair than before. Compare the two errors.",
            "It comes out too low where the meter is off by more before the repair than after. Compare the two errors.",
        ),
        source=f"{GUM}, 5.2.2",
    ),
    QuestionKind(
        name="do_overlapping_intervals_hide_a_change",
        lesson=8,
        title="The intervals overlap. And now?",
        ask="A bakery's unit gave {before} before a repair and {after} after it. Each figure is known to {each}; as both come from the same instruments, the "
        "change is known to {change_doubt} (standard uncertainties). The 95 % intervals of the two figures overlap. Is the change seen?",
        kind="count",
        parameters=(
            Parameter("before", "capacity", 9.0e3, 15.0e3, (500.0, 0.2)),
            Parameter("after", "capacity", 10.0e3, 17.0e3, (500.0, 0.2)),
            Parameter("each", "percentage", 0.05, 0.09, (0.5, 0.5)),
            Parameter("change_doubt", "percentage", 0.02, 0.06, (0.5, 0.5)),
        ),
        solve=_overlap,
        limits=(0, 1),
        hints=(
            "The question is about the change. So look at the change and at its own doubt.",
            "Take 1.96 times the doubt of the change. Is the change larger?",
        ),
        options=(
            "Yes: the interval of the change leaves out zero",
            "No: the interval of the change holds zero",
            "No: the two intervals overlap, so there is no change",
        ),
        because=(
            "It is seen where the change is larger than 1.96 times its own doubt. Work out the change in percent and compare.",
            "It is not seen where the change is smaller than 1.96 times its own doubt. Work out the change in percent and compare.",
            "Overlap says nothing here: much of each figure's doubt is shared and cancels in the change. Look at the change and its own doubt.",
        ),
        possible=_do_overlap,
        source=f"{GUM}, 5.2.2 and 6.3.3",
    ),
    QuestionKind(
        name="what_a_95_percent_interval_says",
        lesson=8,
        title="What a 95 % interval says",
        ask="A clinic's unit delivers {capacity}, known to {doubt} (standard uncertainty). What does the 95 % interval about that figure say?",
        kind="count",
        parameters=(
            Parameter("capacity", "capacity", 9.0e3, 21.0e3, (500.0, 0.2)),
            Parameter("doubt", "percentage", 0.03, 0.09, (0.5, 0.5)),
        ),
        solve=_interval_says,
        limits=(0, 2),
        hints=(
            "The interval is about the figure that one wants to know, not about single readings.",
            "It rests on what was stated about the instruments.",
        ),
        options=(
            "95 % of all readings lie in it",
            "The capacity at that moment lies in it with a probability of 95 %, if the doubts are as stated",
            "The unit's capacity swings between its two ends",
        ),
        because=(
            "Single readings scatter more, or less, than that. The interval is about the capacity itself.",
            "It says how well the capacity of that moment is known. If a doubt was stated too small, or left out, the interval is too narrow.",
            "A unit may swing, but that is seen in the readings over time. The interval is about what we know, not about what the unit does.",
        ),
        source="JCGM 101:2008, 3.12 (coverage interval)",
    ),
)  # fmt: skip
