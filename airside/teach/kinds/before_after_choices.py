"""Questions of lesson 9 that are answered by choosing: is it seen, is it enough, and what may the report say."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from airside.compare.curves import AIR_CONDITIONER
from airside.instruments.named_error import Draws, NamedError
from airside.instruments.propagation import Linear, propagate
from airside.teach.kinds.doubt_sums import GUM
from airside.teach.question import Parameter, QuestionKind, Solution, Step, Values

# Good to a few tenths of a percent.
DRAWS = Draws(50_000)


@lru_cache(maxsize=256)
def _probability_above(distance: float) -> float:
    """Probability [fraction] that a normal figure so many standard uncertainties above a limit is truly above it."""
    error = NamedError("figure", "figure", "method", 1.0)
    found = propagate(lambda drawn: {"distance": distance + drawn.get("figure", 0.0)}, [error], DRAWS)
    return float(np.mean(found.outputs["distance"] > 0))


def _verdict(low: float, high: float) -> int:
    """0 gain, 1 no change shown, 2 loss."""
    return 0 if low > 0 else 2 if high < 0 else 1


def _seen(values: Values) -> Solution:
    low, high = values["change"] - values["half"], values["change"] + values["half"]
    return Solution(float(_verdict(low, high)), (
        Step("Interval begins at", low, "percentage", written="{change} − {half}"),
        Step("Interval ends at", high, "percentage", written="{change} + {half}"),
    ))  # fmt: skip


def _change(values: Values) -> Linear:
    return Linear(values["change"], values["doubt"], {})


def _report(values: Values) -> Solution:
    found = _change(values)
    return Solution(1.0 if _verdict(*found.interval_95) == 0 else 2.0, (
        Step("Half of the interval: 1.96 times the standard uncertainty", found.value - found.interval_95[0], "percentage",
             written="1.96 × {doubt}"),
        Step("Interval begins at", found.interval_95[0], "percentage", written="{change} − {-1}"),
        Step("Interval ends at", found.interval_95[1], "percentage", written="{change} + {-2}"),
    ))  # fmt: skip


CHANCES = (0.50, 0.84, 0.98)


def _distance(values: Values) -> float:
    return float(values["change"] / values["doubt"])


def _chance(values: Values) -> float:
    # A hundredth is near enough, and spares draws.
    return _probability_above(round(_distance(values), 2))


def _how_likely(values: Values) -> Solution:
    found = _chance(values)
    return Solution(float(np.argmin([abs(found - c) for c in CHANCES])), (
        Step("Change over its standard uncertainty", _distance(values), "fraction", (2, 2), written="{change} ÷ {doubt}"),
        Step("Share of the draws of a bell-shaped error above zero", found, "percentage", (0, 0)),
    ))  # fmt: skip


def _limit(values: Values) -> float:
    return float(values["share"] * values["nominal"])


def _over_limit(values: Values) -> float:
    return float((values["delivered"] - _limit(values)) / values["doubt"])


def _accepted(values: Values) -> Solution:
    found = _probability_above(round(_over_limit(values), 2))
    index = 0 if found > 0.95 else 1 if found > 0.5 else 2 if found > 0.05 else 3
    return Solution(float(index), (
        Step("Limit: share times nominal capacity", _limit(values), "capacity", written="{share} × {nominal}"),
        Step("Delivered less limit", values["delivered"] - _limit(values), "capacity", written="{delivered} − {-1}"),
        Step("That over the standard uncertainty", _over_limit(values), "fraction", (1, 1), written="{-1} ÷ {doubt}"),
        Step("Probability that the limit is kept", found, "percentage", (1, 1)),
    ))  # fmt: skip


def _is_plain(values: Values) -> bool:
    distance = abs(_over_limit(values))
    # Further off, the probability would be rounded to certainty.
    return 0.35 < distance < 1.3 or 2.0 < distance < 3.0


def _push(values: Values) -> Solution:
    """Which way the outdoor temperature alone moves the capacity, by the rating curve at one return wet bulb."""
    before, after = (float(AIR_CONDITIONER.capacity_ratio(18.0, values[f"outdoor_{n}"])) for n in ("before", "after"))
    weather = after / before - 1
    return Solution(0.0 if weather > 0 else 1.0, (
        Step("Rating curve on the first day", before, "fraction", (4, 4)),
        Step("Rating curve on the second day", after, "fraction", (4, 4)),
        Step("What the weather alone does", weather, "percentage", written="{-1} ÷ {-2} − 1"),
    ))  # fmt: skip


def _one_flow(values: Values) -> Solution:
    gain = values["flow_after"] / values["flow_before"] - 1
    return Solution(
        0.0 if gain > 0.05 else 1.0,
        (Step("Airflow: after over before, less one", gain, "percentage", written="{flow_after} ÷ {flow_before} − 1"),),
    )


BEFORE_AFTER_CHOICES = (
    QuestionKind(
        name="is_the_change_seen",
        lesson=9,
        title="Is the change seen?",
        ask="At the same conditions the capacity of a clinic's unit changed by {change}; its 95 % interval reaches {half} to each side. What do the data say?",
        kind="count",
        parameters=(
            Parameter("change", "percentage", -0.15, 0.20, (0.5, 0.5)),
            Parameter("half", "percentage", 0.03, 0.15, (0.5, 0.5)),
        ),
        solve=_seen,
        limits=(0, 2),
        hints=("Where does the interval begin, and where does it end?", "Does zero lie in it?"),
        options=("They support a gain", "They do not show a change", "They support a loss"),
        because=(
            "The data support a gain where the whole interval lies above zero. Work out both ends.",
            "The data do not show a change where zero lies in the interval. That does not prove that there was none. Work out both ends.",
            "The data support a loss where the whole interval lies below zero. Work out both ends.",
        ),
        possible=lambda v: abs(v["change"]) > 0.004 and abs(abs(v["change"]) - v["half"]) > 0.004,
        source=f"{GUM}, 6.3.3",
    ),
    QuestionKind(
        name="how_likely_is_a_rise",
        lesson=9,
        title="How likely is it that it rose?",
        ask="The capacity of a bakery's unit changed by {change}, known to {doubt} (standard uncertainty). How probable is it that it rose at all?",
        kind="count",
        parameters=(
            Parameter("change", "percentage", 0.0, 0.16, (0.5, 0.5)),
            Parameter("doubt", "percentage", 0.02, 0.08, (0.5, 0.5)),
        ),
        solve=_how_likely,
        limits=(0, 2),
        hints=(
            "How many standard uncertainties lies the change above zero?",
            "Two cases in three lie within one standard uncertainty. Of the rest, half is above and half below.",
        ),
        options=("About 50 %: as good as a coin", "About 84 %: likely", "About 98 %: very likely"),
        because=(
            "About 50 % is for a change that is small beside its doubt: above and below zero are as likely. Divide the change by its doubt.",
            "About 84 % is for a change of one standard uncertainty: one case in six lies below zero. Divide the change by its doubt.",
            "About 98 % is for a change of two standard uncertainties: one case in forty lies below zero. Divide the change by its doubt.",
        ),
        possible=lambda v: min(abs(_distance(v) - k) for k in (0, 1, 2)) < 0.06,
        source=f"{GUM}, annex G; JCGM 101:2008 ch. 7",
    ),
    QuestionKind(
        name="is_the_contract_kept",
        lesson=9,
        title="Is the contract kept?",
        ask="A contract for a school says: at least {share} of the nominal {nominal}. It delivers {delivered}, known to {doubt} (standard uncertainty). How probable is it that "
        "the contract is kept?",
        kind="count",
        parameters=(
            Parameter("share", "percentage", 0.85, 0.95, (5.0, 5.0)),
            Parameter("nominal", "capacity", 10.0e3, 21.0e3, (6000.0, 0.5)),
            Parameter("delivered", "capacity", 8.0e3, 22.0e3, (500.0, 0.1)),
            Parameter("doubt", "capacity", 0.4e3, 1.2e3, (100.0, 0.05)),
        ),
        solve=_accepted,
        limits=(0, 3),
        hints=(
            "Work out the limit: the share of the nominal capacity.",
            "How many standard uncertainties lies the delivered capacity above it, or below?",
            "One above is 84 %, two above are 98 %; one below is 16 %, two below are 2 %.",
        ),
        options=("Over 95 %: it is kept", "Between 50 and 95 %: rather kept", "Between 5 and 50 %: rather not kept", "Under 5 %: it is not kept"),
        because=(
            "Over 95 % needs a figure more than 1.6 standard uncertainties above the limit. Work out the limit and the distance.",
            "Between 50 and 95 % is for a figure above the limit by less than 1.6 standard uncertainties. Work out the limit and the distance.",
            "Between 5 and 50 % is for a figure below the limit by less than 1.6 standard uncertainties. Work out the limit and the distance.",
            "Under 5 % is for a figure more than 1.6 standard uncertainties below the limit. Work out the limit and the distance.",
        ),
        possible=_is_plain,
        source="JCGM 106:2012 ch. 7",
    ),
    QuestionKind(
        name="which_way_the_weather_pushes",
        lesson=9,
        title="Which way does the weather push?",
        ask="A museum's unit is measured at {outdoor_before} outdoors before the work, and at {outdoor_after} after it, with the same return air. Nobody corrects for that. How does "
        "the raw change come out?",
        kind="count",
        parameters=(
            Parameter("outdoor_before", "temperature", 24.0, 40.0, (1.0, 0.5)),
            Parameter("outdoor_after", "temperature", 24.0, 40.0, (1.0, 0.5)),
        ),
        solve=_push,
        limits=(0, 1),
        hints=("Does a unit give more on a cooler day, or on a hotter one?", "The raw change has the weather's part in it."),
        options=("Too large: the weather helped", "Too small: the weather hid a part of the gain"),
        because=(
            "The weather helps where the second day is cooler: the outdoor coil then gets rid of its heat more easily, and the unit gives more by itself.",
            "The weather hides a part where the second day is hotter: the unit then gives less by itself, whatever was done to it.",
        ),
        possible=lambda v: abs(v["outdoor_after"] - v["outdoor_before"]) > 2.5,
        source="NREL/TP-5500-56354 (2013), rating curve",
    ),
    QuestionKind(
        name="should_both_be_brought_to_one_airflow",
        lesson=9,
        title="To one airflow too?",
        ask="In a laundry the blower wheel was cleaned, so that more air gets through: {flow_before} before, {flow_after} after, measured in the same way. Should both visits be "
        "brought to one airflow, as they are to one weather?",
        kind="count",
        parameters=(
            Parameter("flow_before", "volume_flow", 0.45, 0.65, (10.0, 5.0)),
            Parameter("flow_after", "volume_flow", 0.55, 0.90, (10.0, 5.0)),
        ),
        solve=_one_flow,
        limits=(0, 2),
        hints=("What was the work meant to change?", "What is brought to one value goes out of the change."),
        options=(
            "No: the airflow is what the work changed, so it belongs to the change",
            "Yes: the airflow did not change by the work",
            "Yes: always, or the two cannot be compared",
        ),
        because=(
            "Weather and return air are not the work's doing, so they are taken out. More airflow is its doing: take that out, and the customer loses what was "
            "paid for.",
            "The work was meant to change the airflow, and the readings show that it did. What the work did must stay in.",
            "Only what is not the work's doing is brought to one value. Here the airflow is what the work was for.",
        ),
        possible=lambda v: 0.10 < v["flow_after"] / v["flow_before"] - 1 < 0.45,
        source="common practice, no source",
    ),
    QuestionKind(
        name="what_the_report_may_say",
        lesson=9,
        title="What may the report say?",
        ask="A museum's unit was mended. At the same conditions the capacity rose by {change}, known to {doubt} (standard uncertainty). Which sentence can you sign?",
        kind="count",
        parameters=(
            Parameter("change", "percentage", 0.02, 0.20, (0.5, 0.5)),
            Parameter("doubt", "percentage", 0.02, 0.07, (0.5, 0.5)),
        ),
        solve=_report,
        limits=(0, 3),
        hints=(
            "Work out the 95 % interval: 1.96 standard uncertainties to each side.",
            "Does it leave out zero? And is the doubt said?",
        ),
        options=(
            "The work has raised the capacity by exactly this much.",
            "The data support a gain of this much; and the 95 % interval stands beside it.",
            "The data do not show a change; and the smallest change that could have been seen stands beside it.",
            "The work was useless.",
        ),
        because=(
            "No figure that is measured is exact. A figure without its interval cannot be defended.",
            "This can be signed where the interval leaves out zero. Work out its lower end.",
            "This can be signed where zero lies in the interval. It says what was not seen, and what could have been. Work out the lower end.",
            "That nothing was seen does not show that nothing was there. And where something was seen, it is plainly wrong.",
        ),
        possible=lambda v: abs(v["change"] / v["doubt"] - 1.96) > 0.3,
        source=f"{GUM}, 7.2.1 and 7.2.3",
    ),
)  # fmt: skip
