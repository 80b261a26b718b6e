"""Compare two long periods of logged data: the after period against a baseline model of the before period.

Sources
-------
ASHRAE Guideline 14 and IPMVP Option B (from memory): baseline model, adjusted to the reporting period's conditions, inside
the range of the baseline; uncertainty of model and measurement together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from airside.compare import period_guards as guards
from airside.compare.baseline import Baseline, choose_terms, fit_baseline, is_inside
from airside.compare.long_run_result import LongRun
from airside.compare.period_change import estimates
from airside.compare.periods import Period, period_of
from airside.compare.season import Bins, Price, Season, bins_of, price_of
from airside.errors import ComparisonError
from airside.units import UnitSystem, show
from airside.visit.logs.logged_visit import LoggedVisit
from airside.visit.plausibility import VisitWarning

Source = str | Path | LoggedVisit | Period | Sequence[str | Path | LoggedVisit]


def long_run(
    before: Source,
    after: Source,
    *,
    without: Sequence[str] = (),
    bins: str | Path | Bins | None = None,
    price: str | float | Price | None = None,
    units: UnitSystem | None = None,
) -> LongRun:
    """Compare two long periods of one system.

    Parameters
    ----------
    before, after : str, Path, LoggedVisit, or a list of them
        Visit files that name logger files, or folders of such files.
    without : sequence of str
        Conditions that the baseline does not go by: "volume_flow" where the work changed the airflow.
    bins : str, Path or Bins, optional
        A season's hours of running at outdoor dry bulbs; see `airside.compare.season.read_bins`.
    price : str, float or Price, optional
        Of a kWh, such as ``"0.18 EUR"``.
    units : "IP" or "SI", optional
        Of the sentences; default those of the before period.

    Returns
    -------
    LongRun

    Raises
    ------
    ComparisonError
        Different modes or systems, too few stretches, or no conditions in common.
    VisitError, FileError
        A file that cannot be used.
    AirsideError
        statsmodels is not installed.
    """
    season_bins, cost = bins_of(bins), price_of(price)
    if cost is not None and season_bins is None:
        raise ComparisonError("a price goes with a season's bins. Give the bins (--bins FILE), or leave the price out.")
    one, other = period_of(before, "before"), period_of(after, "after")
    for period, name in ((one, "before"), (other, "after")):
        if not len(period):
            raise ComparisonError(f"{name}: no steady stretch has all its values, so there is nothing to compare.")
    if units is not None:
        one, other = replace(one, units=units), replace(other, units=units)
    warnings = guards.check_periods(one, other)
    terms = choose_terms(one, without)
    lost = [t for t in terms.ranges if t not in other.columns]
    if lost:
        raise ComparisonError(
            f"after: {lost[0].replace('_', ' ')} is not known, and the before period has it. Log it in both, or leave it out of "
            f"the baseline (--without {lost[0]})."
        )
    figures = ["total"] + (["power"] if all("power" in p.columns for p in (one, other)) else [])
    baselines = {f: fit_baseline(one, f, terms) for f in figures}
    inside = is_inside(baselines["total"], other.columns)
    guards.check_overlap(one, other, inside, baselines["total"])
    kept = other.keeping(inside)
    season, used = _season(baselines["total"], season_bins, cost, one.units)
    found = estimates(baselines, one, kept, used)
    change = found["change_total"]
    days = guards.leave_one_day_out(one, kept, lambda a, b: _change(a, b, without))
    warnings += [
        *guards.common_instruments(one, other), *guards.too_few(one, other, inside),
        *guards.drifts(one, kept, baselines["total"], change.value), *guards.other_flow(one, kept, baselines["total"]),
        *guards.one_day(days, change),
    ]  # fmt: skip
    if season is not None and season.set_apart_hours:
        warnings.append(VisitWarning("season_outside", season.set_apart_sentence(one.units)))
    return LongRun(one, other, baselines, inside, found, days, tuple(warnings), season)


def _change(before: Period, after: Period, without: Sequence[str]) -> float:
    """Change in total capacity of two periods; NaN where there is none."""
    try:
        terms = choose_terms(before, without)
        if len(before) < 3 * (len(terms.used) + 1):
            return math.nan
        design = terms.design(before.columns)
        fit = np.linalg.lstsq(design, before.columns["total"], rcond=None)[0]
        inverse = np.linalg.pinv(design.T @ design)
        largest = float(np.einsum("ij,jk,ik->i", design, inverse, design).max())
        at = terms.design(after.columns)
        inside: NDArray[np.bool_] = np.einsum("ij,jk,ik->i", at, inverse, at) <= largest * (1 + 1e-9)
        for term, (low, high) in terms.ranges.items():
            inside &= (after.columns[term] >= low) & (after.columns[term] <= high)
        if inside.sum() < 3:
            return math.nan
        return float(after.columns["total"][inside].mean() / (at[inside] @ fit).mean() - 1)
    except ComparisonError:
        return math.nan


def _season(
    baseline: Baseline, bins: Bins | None, price: Price | None, units: UnitSystem
) -> tuple[Season | None, Bins | None]:
    """The season, and its bins inside the baseline's outdoor range."""
    if bins is None:
        return None, None
    if "outdoor_dry_bulb" not in baseline.terms.used:
        reason = baseline.terms.left_out.get("outdoor_dry_bulb", "")
        raise ComparisonError(
            f"a season by outdoor temperature needs a baseline that goes by it. {reason} Log on until it has moved, or leave "
            "the bins out."
        )
    low, high = baseline.terms.ranges["outdoor_dry_bulb"]
    inside = (bins.dry_bulb >= low) & (bins.dry_bulb <= high)
    apart = float(bins.hours[~inside].sum())
    if not bins.hours[inside].sum() > 0:
        raise ComparisonError(
            f"no bin of the season is inside the before period's outdoor range ({_range(low, high, units)}). Give bins that the "
            "before period has seen, or leave them out."
        )
    used = Bins(bins.name, bins.dry_bulb[inside], bins.hours[inside])
    return Season(bins, inside, (low, high), apart, price), used


def _range(low: float, high: float, units: UnitSystem) -> str:
    return f"{show(low, 'temperature', units, unit=False)} to {show(high, 'temperature', units)}"
