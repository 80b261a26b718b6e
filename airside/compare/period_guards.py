"""What makes a long-period comparison weaker than it looks, each said in a sentence.

Limits without a document are common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from airside.compare.baseline import WORDS, Baseline
from airside.compare.pair import check_pair, doubtful_pair, other_stage
from airside.compare.period_change import PeriodEstimate, Scatter
from airside.compare.periods import Period
from airside.compare.same_instruments import with_same_instruments
from airside.errors import ComparisonError
from airside.units import percent, show
from airside.visit.logs.log import Floats
from airside.visit.plausibility import VisitWarning

# Fewer stretches or days than these are said.
FEW_STRETCHES, FEW_DAYS = 30, 3
# Less of the after period inside the baseline's range than this is said.
FEW_INSIDE = 0.5
# A drift is said from this many standard errors on, where it is at least this part of the mean over the period.
DRIFT_ERRORS, DRIFT_SIZE = 2.576, 0.01
# A mean airflow that differs by more is said.
OTHER_FLOW = 0.05
# A day is unlike the others if the change without it is so many times as far from their middle as they are, and it moves the
# change by so much, and by such a part of the interval's half width.
UNLIKE, UNLIKE_SIZE, UNLIKE_PART = 10.0, 0.01, 0.2
# Warnings that stand under the verdict.
WEIGHTY = ("other_stage", "no_common_instrument", "one_day_decides", "drift", "few_stretches", "few_days", "few_inside",
           "same_visit", "same_stretches", "different_system", "airflow_not_measured")  # fmt: skip


# What `airside.visit.reading_errors` gives an instrument without a name.
_OWN_PART = re.compile(r"[0-9a-f]{12}/(.+)")


@dataclass(frozen=True)
class DayInfluence:
    """The change in total capacity without one day.

    Attributes
    ----------
    day : str
    period : "before" or "after"
    without : float [fraction]
        Change without the day; NaN where nothing is left to compare.
    """

    day: str
    period: str
    without: float


def check_periods(before: Period, after: Period) -> list[VisitWarning]:
    """What speaks against comparing two periods.

    Raises
    ------
    ComparisonError
        Different modes or systems, or the after period ends before the before period begins.
    """
    if before.mode != after.mode:
        raise ComparisonError(
            f"before is in {before.mode} and after in {after.mode}; expected two periods in one mode."
        )
    if after.begin[-1] < before.begin[0]:
        raise ComparisonError(
            f"the after period ends at {after.text_of(-1)}, before the before period begins at {before.text_of(0)}; "
            "expected the before period first. Swap the two."
        )
    found: list[VisitWarning] = []
    twice = set(zip(before.begin, before.columns["total"], strict=True)) & set(
        zip(after.begin, after.columns["total"], strict=True)
    )
    if twice:
        count = "All" if len(twice) == len(before) == len(after) else f"{len(twice)} of the {len(after)}"
        found.append(VisitWarning(
            "same_stretches",
            f"{count} steady stretches of the after period are in the before period too: there they are compared with themselves. "
            "Check the file names, or state first and last in [log.counting].",
        ))  # fmt: skip
    elif after.begin[0] <= before.begin[-1]:
        found.append(VisitWarning(
            "overlap_in_time",
            f"The periods overlap in time: the after period begins at {after.text_of(0)}, the before period ends at "
            f"{before.text_of(-1)}. Check the dates, or state first and last in [log.counting].",
        ))  # fmt: skip
    if before.stages and after.stages and set(before.stages) != set(after.stages):
        found.append(other_stage(" and ".join(before.stages), " and ".join(after.stages)))
    for period, which in ((before, "before"), (after, "after")):
        if len(period.stages) > 1:
            found.append(VisitWarning(
                "mixed_stages",
                f"The {which} period mixes {' and '.join(period.stages)}. State one stage for all files in [log.counting].",
            ))  # fmt: skip
    for period, which in ((before, "before"), (after, "after")):
        said = dict.fromkeys(s for v in period.visits if v.stretch is not None for s in v.stretch.warnings)
        found += [VisitWarning("clocks", f"{which.capitalize()}: {sentence}") for sentence in said]
    if before.visits and after.visits:
        # What is said of two typed visits holds for the first files of two periods.
        one, other = (p.visits[0].model_copy(update={"date": None, "stretch": None}) for p in (before, after))
        found += [*check_pair(one, other), *doubtful_pair(one, other), *with_same_instruments(one, other)[2]]
    return found


def common_instruments(before: Period, after: Period) -> list[VisitWarning]:
    """Whether the periods share their instruments."""
    one, other = ({e.key: e for e in p.errors if e.key in p.effects} for p in (before, after))
    if not one and not other:
        return []
    if not set(one) & set(other):
        return [VisitWarning(
            "no_common_instrument",
            "The two periods share no named instrument, so nothing cancels: the interval holds the whole accuracy of both sets. "
            "Where the same instruments were used, give them the same names in both.",
        )]  # fmt: skip
    names: list[set[str]] = [set(), set()]
    nameless = set()
    for mine, keys in zip(names, (one, other), strict=True):
        for key in keys:
            if not key.startswith("instrument/"):
                continue
            who = key.removeprefix("instrument/").removesuffix("/beyond check").rpartition("/")[0]
            # One without a name is its visit's own: what follows the visit's identity says what it reads.
            if own := _OWN_PART.fullmatch(who):
                nameless.add(own[1].replace(".", " ").replace("_", " "))
            else:
                mine.add(who)
    alone = [sorted(a - b) for a, b in (names, names[::-1])]
    said = [f"{', '.join(a)} only {which}" for a, which in zip(alone, ("before", "after"), strict=True) if a]
    if nameless:
        said.append(f"without a name, so taken to be different ones: {', '.join(sorted(nameless))}")
    if not said:
        return []
    return [VisitWarning(
        "other_instruments", f"Instruments differ: {'; '.join(said)}. Their errors do not cancel and are in the interval."
    )]  # fmt: skip


def too_few(before: Period, after: Period, inside: NDArray[np.bool_]) -> list[VisitWarning]:
    """Few stretches or days, and how much of the after period the baseline has seen."""
    found = []
    kept = after.keeping(inside)
    for period, which in ((before, "before"), (kept, "after")):
        words = "before period" if which == "before" else "after period inside the baseline's range"
        if len(period) < FEW_STRETCHES:
            found.append(VisitWarning(
                "few_stretches",
                f"The {words} has only {len(period)} steady stretches; from {FEW_STRETCHES} on an interval can be relied on.",
            ))  # fmt: skip
        if len(period.days) < FEW_DAYS:
            days = "one day" if len(period.days) == 1 else f"{len(period.days)} days"
            found.append(VisitWarning(
                "few_days",
                f"The {words} is of only {days}: what differs from day to day is not in the interval. Log at least {FEW_DAYS} days.",
            ))  # fmt: skip
    share = float(inside.mean())
    if share < FEW_INSIDE:
        found.append(VisitWarning(
            "few_inside",
            f"Only {percent(share)} of the after period is inside the conditions of the before period; the rest is set apart. "
            "The change speaks for that part alone.",
        ))  # fmt: skip
    return found


def check_overlap(before: Period, after: Period, inside: NDArray[np.bool_], baseline: Baseline) -> None:
    """Stop where the after period has no conditions in common with the before period.

    Raises
    ------
    ComparisonError
        Fewer than three stretches are inside.
    """
    count = int(inside.sum())
    if count >= 3:
        return
    said = []
    for term, (low, high) in baseline.terms.ranges.items():
        kind = "volume_flow" if term == "volume_flow" else "temperature"
        values = after.columns[term]
        if values.size and (np.median(values) < low or np.median(values) > high):
            ranges = [f"{show(a, kind, before.units, unit=False)} to {show(b, kind, before.units)}"
                      for a, b in ((low, high), (float(values.min()), float(values.max())))]  # fmt: skip
            said.append(f"{WORDS[term]} {ranges[0]} before, {ranges[1]} after")
    flow = "volume_flow" in baseline.terms.used and any(s.startswith(WORDS["volume_flow"]) for s in said)
    hint = " Where the work changed the airflow, leave it out of the baseline (--without volume_flow)." if flow else ""
    listed = f" ({'; '.join(said)})" if said else ""
    raise ComparisonError(
        f"the periods have no conditions in common: {count} of {len(after)} stretches after are inside the before period's range"
        f"{listed}. Log on until the weather is alike.{hint}"
    )


def trend(values: Floats, along: Floats, day: Sequence[str]) -> tuple[float, float]:
    """Slope of values along something, times its whole length, and its standard error, as robust as that of a change.

    Parameters
    ----------
    values, along : array, shape (n,)
    day : sequence of str, length n
    """
    x = along - along.mean()
    if len(values) < 8 or not np.any(x):
        return 0.0, math.inf
    design = np.column_stack([np.ones(len(values)), x])
    inverse = np.linalg.inv(design.T @ design)
    fit = inverse @ design.T @ values
    length = float(along.max() - along.min())
    found = Scatter(design, inverse, (values - design @ fit)[:, np.newaxis], day)
    return float(fit[1]) * length, found.uncertainty(np.array([[0.0, length]]))


def drifts(before: Period, after: Period, baseline: Baseline, value: float) -> list[VisitWarning]:
    """Residuals that drift through a period, and a change that goes with the outdoor temperature."""
    ratio = after.columns["total"] / baseline.predict(after.columns) / (1 + value) - 1
    wanted = [
        ("before", baseline.residuals / baseline.fitted, before.begin, before.day, "What the baseline does not explain drifts by {} through the "
         "before period: something changed in it. Look at the residuals over time, and take a shorter before period."),
        ("after", ratio, after.begin, after.day, "The change drifts by {} through the after period: it is not yet steady, or something else "
         "changed. The figure is the mean over the period."),
    ]  # fmt: skip
    if "outdoor_dry_bulb" in after.columns:
        wanted.append(("outdoor", ratio, after.columns["outdoor_dry_bulb"], after.day, "The change is not the same at all outdoor temperatures: it differs by {} from "
                       "the coolest to the hottest hours. The figure is the mean over the after period's conditions."))  # fmt: skip
    found = []
    for name, values, along, day, sentence in wanted:
        size, error = trend(values, along, day)
        if abs(size) > DRIFT_ERRORS * error and abs(size) > DRIFT_SIZE:
            code = "uneven_change" if name == "outdoor" else "drift"
            found.append(VisitWarning(code, sentence.format(percent(size, 1, sign=True))))
    return found


def other_flow(before: Period, after: Period, baseline: Baseline) -> list[VisitWarning]:
    """An airflow that the work changed."""
    one, other = (float(p.columns["volume_flow"].mean()) for p in (before, after))
    if abs(other / one - 1) <= OTHER_FLOW:
        return []
    moved = percent(other / one - 1, 1, sign=True)
    if "volume_flow" in baseline.terms.used:
        return [VisitWarning(
            "other_flow",
            f"Mean airflow is {moved} after, and the baseline goes by airflow: the change is at the same airflow. Where the work was "
            "meant to change the airflow, leave it out of the baseline (--without volume_flow).",
        )]  # fmt: skip
    return [VisitWarning("other_flow", f"Mean airflow is {moved} after; what follows from it is part of the change.")]


def leave_one_day_out(
    before: Period, after: Period, change: Callable[[Period, Period], float]
) -> tuple[DayInfluence, ...]:
    """The change without each day in turn; nothing for a period of one day.

    Parameters
    ----------
    before, after : Period
    change : callable
        Change of two periods; NaN where there is none.
    """
    found = []
    for period, which in ((before, "before"), (after, "after")):
        if len(period.days) < 2:
            continue
        labels = np.array(period.day)
        for day in period.days:
            rest = period.keeping(labels != day)
            value = change(rest, after) if which == "before" else change(before, rest)
            found.append(DayInfluence(day, which, value))
    return tuple(found)


def one_day(days: tuple[DayInfluence, ...], estimate: PeriodEstimate) -> list[VisitWarning]:
    """Whether a single day moves the change out of its interval, decides whether there is one, or is unlike all others."""
    low, high = estimate.interval_95
    known = [d for d in days if math.isfinite(d.without)]
    if not known:
        return []
    moves = {d: abs(d.without - estimate.value) for d in known}
    worst = max(known, key=lambda d: moves[d])
    half = (high - low) / 2
    # Without the day the interval would be about as wide.
    decides = estimate.is_supported and abs(worst.without) < half
    # A day that is far off widens the interval too, and shifts the change without any other day: so it is held against
    # the others, from their middle.
    others = np.array([d.without for d in known if d.period == worst.period and d is not worst])
    is_odd = False
    if len(others) >= FEW_DAYS and moves[worst] > max(UNLIKE_SIZE, UNLIKE_PART * half):
        middle = float(np.median(others))
        is_odd = abs(worst.without - middle) > UNLIKE * float(np.median(np.abs(others - middle)))
    if moves[worst] <= half and not decides and not is_odd:
        return []
    return [VisitWarning(
        "one_day_decides",
        f"One day weighs heavily: without {worst.day} ({worst.period}) the change is {percent(worst.without, 1, sign=True)} instead of "
        f"{percent(estimate.value, 1, sign=True)}. Look at that day, or log on.",
    )]  # fmt: skip
