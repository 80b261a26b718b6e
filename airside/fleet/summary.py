"""The summary of one system: means over its steady stretches with intervals, the change, the quality of its data.

A mean is over the steady stretches that were found, at the conditions that they had; its interval is that of measuring.
What all stretches share (calibration, placement, the airflow's method, the rating's level) does not shrink in it. The change
is that of ``relative_capacity``: delivered over expected at each stretch's conditions, so that weather is taken out by the
rating; errors that both periods share cancel by their names.

Sources
-------
JCGM 100:2008 5.2.2 (errors in common), 5.1.6 (a quotient).
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.fleet.expected_figures import FLOW, RATIO, RELATIVE, RatedCapacities
from airside.units import KINDS
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.logs.running import COUNTS, REASONS
from airside.visit.logs.stretch_capacity import FIGURES, WIDE_95, StretchFigure

# Figures of which a summary has the mean, and their unit in a column's name.
MEANS = {n: FIGURES.get(n, "fraction") for n in ("total", "sensible", "volume_flow", "power", "coefficient_of_performance", RATIO, FLOW)}  # fmt: skip


def column_of(name: str, kind: str) -> str:
    """Name of a figure's column: with its SI unit."""
    suffix = KINDS[kind].suffix
    return f"{name}_{suffix}" if suffix else name


@dataclass(frozen=True)
class Mean:
    """Mean of a figure over stretches.

    Attributes
    ----------
    value, standard_uncertainty : float
        NaN where no stretch has the figure [inside unit].
    scatter : float
        Standard deviation between stretches.
    count : int
        Stretches with the figure.
    own : float
        Part of the standard uncertainty that is not shared.
    effects : dict of str to float
        What one standard deviation of each shared error moves the mean, by the error's key.
    """

    value: float
    standard_uncertainty: float
    scatter: float
    count: int
    own: float
    effects: dict[str, float]


def mean_of(figure: StretchFigure, keys: Iterable[str]) -> Mean:
    """Mean of a figure over the stretches that have it.

    Parameters
    ----------
    figure : StretchFigure
    keys : iterable of str
        What the rows of its `effects` belong to.
    """
    known = np.flatnonzero(np.isfinite(figure.value) & np.isfinite(figure.own))
    count = known.size
    if not count:
        return Mean(math.nan, math.nan, math.nan, 0, math.nan, {})
    value = figure.value[known]
    own = math.sqrt(float((figure.own[known] ** 2).sum())) / count
    effects = dict(zip(keys, (float(e) for e in figure.effects[:, known].mean(axis=1)), strict=True))
    u = math.hypot(own, *effects.values())
    scatter = float(value.std(ddof=1)) if count > 1 else math.nan
    return Mean(float(value.mean()), u, scatter, count, own, effects)


def period_summary(logged: LoggedVisit, rated: RatedCapacities) -> dict[str, Any]:
    """Means and data quality of one period, by the columns of `PERIOD_COLUMNS`."""
    found: dict[str, Any] = {}
    figures = rated.capacities.figures
    for name, kind in MEANS.items():
        column = column_of(name, kind)
        mean = mean_of(figures[name], rated.keys) if name in figures else None
        if mean is None or not mean.count:
            continue
        wide = WIDE_95 * mean.standard_uncertainty
        found |= {column: mean.value, f"{column}_u": mean.standard_uncertainty, f"{column}_95_low": mean.value - wide,
                  f"{column}_95_high": mean.value + wide}  # fmt: skip
        if name in ("total", RATIO):
            found[f"{column}_scatter"] = mean.scatter
    log, stretches = logged.log, logged.stretches
    aside: dict[str, int] = {}
    for record in log.records:
        for reason, count in record.set_aside.items():
            aside[reason] = aside.get(reason, 0) + count
    visit = logged.standing
    found |= {
        "nominal_capacity_W": visit.system.nominal_capacity,
        "first": log.wall_time(log.time[0]), "last": log.wall_time(log.time[-1]),
        "rows": stretches.minutes, "rows_in_stretches": len(stretches) * stretches.rows, "runs": len(logged.runs),
        "stretches": len(stretches), "stretches_outside_rating": int(rated.outside.sum()),
        "readings_set_aside": json.dumps(aside, ensure_ascii=False, sort_keys=True) if aside else "",
        "why_nothing_expected": rated.why, "notes": " ".join([*logged.runs.sentences, *log.notes]),
    }  # fmt: skip
    if not rated.why and rated.outside.all():
        found["why_nothing_expected"] = "Every stretch is at conditions or an airflow beyond the rating's range."
    by_reason = stretches.set_aside
    return found | {_rows_of(name): by_reason.get(name, 0) for name in SET_ASIDE}


SET_ASIDE = tuple(name for i, name in enumerate(REASONS) if i != COUNTS)


def _rows_of(reason: str) -> str:
    return f"rows_{reason.replace(' ', '_').replace('-', '_')}"


def change_summary(before: RatedCapacities, after: RatedCapacities) -> dict[str, Any]:
    """Change of capacity at the same conditions, from before to after, as a fraction."""
    if before.why or after.why:
        return {"why_no_change": before.why or after.why}
    one, two = (mean_of(r.capacities.figures[RELATIVE], r.keys) for r in (before, after))
    if not one.count or not two.count:
        which = "before" if not one.count else "after"
        return {"why_no_change": f"No stretch of the period {which} is at conditions that the rating reaches."}
    # Of the quotient's logarithm; a shared error counts by the difference of what it does to both.
    both = [
        two.effects.get(k, 0.0) / two.value - one.effects.get(k, 0.0) / one.value
        for k in dict.fromkeys([*one.effects, *two.effects])
    ]
    u = math.hypot(one.own / one.value, two.own / two.value, *both)
    ratio = two.value / one.value
    return {
        "change": ratio - 1, "change_u": ratio * u, "change_95_low": ratio * math.exp(-WIDE_95 * u) - 1,
        "change_95_high": ratio * math.exp(WIDE_95 * u) - 1,
    }  # fmt: skip


def _mean_columns() -> list[str]:
    columns = []
    for name, kind in MEANS.items():
        column = column_of(name, kind)
        columns += [column, f"{column}_u", f"{column}_95_low", f"{column}_95_high"]
        if name in ("total", RATIO):
            columns.append(f"{column}_scatter")
    return columns


PERIOD_COLUMNS = (
    "nominal_capacity_W", *_mean_columns(), "first", "last", "rows", "rows_in_stretches", *map(_rows_of, SET_ASIDE), "runs",
    "stretches", "stretches_outside_rating", "readings_set_aside", "why_nothing_expected", "notes",
)  # fmt: skip
CHANGE_COLUMNS = ("change", "change_u", "change_95_low", "change_95_high", "why_no_change")
# A system with two periods: what has no prefix is of the one after, or of the only one.
COLUMNS = (
    "system", "periods", "problem", *CHANGE_COLUMNS, *PERIOD_COLUMNS, *(f"before_{c}" for c in PERIOD_COLUMNS)
)  # fmt: skip
