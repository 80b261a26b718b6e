"""Compare two visits: the raw change, the change at the same conditions, and what both are worth.

Both visits run on one set of draws. An instrument that both name has one calibration draw, so what is
common cancels by itself.

Sources
-------
JCGM 101:2008 (propagation of distributions); smallest detectable change: two-sided test at the 5 %
level with 80 % power, normal approximation.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.air.blocks import Array, Number, thread_count
from airside.compare.correction import Correction, rated_flow, standard_flow
from airside.compare.curves import rating_curve
from airside.compare.pair import Pair, check_capacities, check_pair, doubtful_pair
from airside.compare.performance_table import read_performance_table
from airside.compare.reference import Conditions, check_reference, named_conditions
from airside.compare.result import Change, Figure
from airside.compare.same_instruments import with_same_instruments
from airside.errors import ComparisonError
from airside.instruments.named_error import DEFAULT_DRAWS, DEFAULT_SEED, Draws, NamedError
from airside.instruments.propagation import BudgetRow, budget_rows, error_draws, estimate
from airside.visit.inputs import Measured
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty, capacity_outputs, visit_uncertainty

# Errors whose part by linear propagation is below this are not run through all draws for the budget.
NEGLIGIBLE = 5e-4


def _correction(
    before: VisitUncertainty, after: VisitUncertainty, same_flow: bool, notes: list[str]
) -> tuple[Correction | None, str]:
    """The way to correct, and why there is none."""
    for visit, which in ((before.visit, "before"), (after.visit, "after")):
        if visit.readings.outdoor is None:
            return (
                None,
                f"The {which} visit has no outdoor dry bulb, so the change is not brought to the same conditions.",
            )
    visit = before.visit
    table = visit.system.performance_table
    flow = float(standard_flow(float(before.at_readings.airflow.dry_air_mass_flow)))
    if table is not None and visit.mode == "heating":
        notes.append("The performance table goes by return wet bulb, which is for cooling: a rating curve is used.")
    elif table is not None:
        folder = visit.path.parent if visit.path is not None else None
        read = read_performance_table(folder / table if folder is not None else table, visit.table_units)
        return Correction(read, flow, same_flow), ""
    curve = rating_curve(visit.system.equipment, visit.mode)
    if curve is None:
        return None, f"There is no rating curve for an {visit.system.equipment} in {visit.mode}."
    rated, said = rated_flow(visit.system.nominal_capacity, flow)
    if same_flow:
        notes.append(said)
    return Correction(curve, rated, same_flow), ""


def compare(
    before: Visit,
    after: Visit,
    *,
    reference: str | Conditions = "before",
    same_flow: bool = False,
    count: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    with_budget: bool = True,
) -> Change:
    """Compare two visits of one system.

    Parameters
    ----------
    before, after : Visit
    reference : str or Conditions
        "before" or "after" (that visit's own conditions), "A" or "B" (10 CFR 430 cooling), "H1" (heating), or stated.
    same_flow : bool
        Whether a change of airflow is brought to one flow too. Leave it out where the work was meant to change the
        airflow, or did: then it is part of the change.
    count, seed : int
        Draws.
    with_budget : bool
        False leaves the budgets out, for a picture that follows a slider.

    Returns
    -------
    Change

    Raises
    ------
    ComparisonError
        The visits are not of one system and mode, or a stated reference is outside the curve.
    VisitError, TableError
        As `airside.analyse`.
    """
    warnings = check_pair(before, after)
    before, after, differing = with_same_instruments(before, after)
    warnings += [*differing, *doubtful_pair(before, after)]
    draws = Draws(count, seed)
    first, second = visit_uncertainty(before, draws=draws), visit_uncertainty(after, draws=draws)
    check_capacities(first, second)
    check_reference(reference, before.mode)
    notes: list[str] = []
    correction, reason = _correction(first, second, same_flow, notes)
    pair = Pair(first, second, correction, reference)
    to: Conditions | None = None
    if correction is not None:
        to, reason = _usable(pair, reference)
        if reason:
            pair = Pair(first, second, None, reference)
            correction = None
    errors = pair.errors()
    for visit in (first, second):
        visit.errors.settle(errors)
    drawn = error_draws(errors, draws)
    one, other = first.measured, second.measured
    figures = _figures(pair, one, other, drawn)
    ratios = pair.ratios(one, other, drawn)
    values = pair.ratios(first.at_readings, second.at_readings, {})
    possible = first.is_possible & second.is_possible
    summaries = {k: estimate(float(values[k]), ratios[k][possible]) for k in ratios}
    budgets = _budgets(pair, errors, drawn, ratios) if with_budget else {}
    key = "reference" if correction is not None else "raw"
    kept = ratios[key][possible]
    if budgets:
        budgets = {name: _named(pair, rows) for name, rows in budgets.items()}
    return Change(
        before=first, after=second, figures=figures, ratios=summaries, draws={k: v[possible] for k, v in ratios.items()},
        reference=to, correction=correction, reason=reason, budgets=budgets,
        probability_of_increase=float(np.mean(kept > 0)) if kept.size else float("nan"),
        set_aside=int(count - np.count_nonzero(possible)), shared=_shared(first, second),
        warnings=tuple(warnings), notes_on_correction=tuple(notes), at_reference=_reference_figures(pair, drawn, possible),
    )  # fmt: skip


def _usable(pair: Pair, reference: str | Conditions) -> tuple[Conditions | None, str]:
    """The reference at the readings, and why the correction cannot be used."""
    assert pair.correction is not None
    units = pair.before.visit.units
    here = pair.conditions(pair.before.at_readings, "conditions of the before visit")
    there = pair.conditions(pair.after.at_readings, "conditions of the after visit")
    to = named_conditions(reference, pair.mode, here, there)
    flows = [float(standard_flow(float(m.at_readings.airflow.dry_air_mass_flow))) for m in (pair.before, pair.after)]
    if reference not in ("before", "after"):
        why = pair.correction.outside("the reference", to, flows[0], units)
        if why:
            raise ComparisonError(f"{why} Nothing is corrected beyond it: choose a reference inside.")
    for where, at, flow in (("the before visit", here, flows[0]), ("the after visit", there, flows[1])):
        why = pair.correction.outside(where, at, flow, units)
        if why:
            return None, f"The change is not brought to the same conditions. {why[0].upper()}{why[1:]}"
    return to, ""


def _figures(pair: Pair, before: Measured, after: Measured, drawn: Mapping[str, Number]) -> dict[str, Figure]:
    """Before, after, change and relative change of each figure of capacity, as measured."""
    possible = pair.before.is_possible & pair.after.is_possible
    ones, others = capacity_outputs(before), capacity_outputs(after)
    at_one, at_other = capacity_outputs(pair.before.at_readings), capacity_outputs(pair.after.at_readings)
    return {
        name: _figure(name, ones[name], others[name], at_one[name], at_other[name], possible)
        for name in ones
        if name in others
    }


def _figure(name: str, one: Any, other: Any, at_one: Any, at_other: Any, possible: NDArray[np.bool_]) -> Figure:
    a, b = (np.broadcast_to(np.asarray(v, dtype=np.float64), possible.shape)[possible] for v in (one, other))
    x, y = float(np.asarray(at_one)), float(np.asarray(at_other))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = estimate(y / x - 1 if x else float("nan"), b / a - 1)
    return Figure(name, estimate(x, a), estimate(y, b), estimate(y - x, b - a), ratio)


def _reference_figures(pair: Pair, drawn: Mapping[str, Number], possible: NDArray[np.bool_]) -> dict[str, Figure]:
    if pair.correction is None:
        return {}
    at = pair.at_reference(pair.before.at_readings, pair.after.at_readings, {})
    got = pair.at_reference(pair.before.measured, pair.after.measured, drawn)
    names = [k.split(".", 1)[1] for k in at if k.startswith("before.")]
    return {
        n: _figure(n, got[f"before.{n}"], got[f"after.{n}"], at[f"before.{n}"], at[f"after.{n}"], possible)
        for n in names
    }


def _budgets(
    pair: Pair, errors: list[NamedError], drawn: dict[str, Number], ratios: dict[str, Array]
) -> dict[str, list[BudgetRow]]:
    """Share of each named error in the variance of the raw change and of the change at the reference."""
    small = _small_parts(pair, errors)
    large = [e for e in errors if e.key not in small]

    def without(error: NamedError) -> dict[str, Array]:
        return pair.ratios(pair.before.without(error.key), pair.after.without(error.key), {**drawn, error.key: 0.0})

    # numpy releases the interpreter lock, so errors are frozen side by side.
    with ThreadPoolExecutor(thread_count()) as pool:
        results = dict(zip((e.key for e in large), pool.map(without, large), strict=True))
    frozen = {name: {key: values[name] for key, values in results.items()} for name in ratios}
    found = {}
    for name in ratios:
        total = float(np.nanvar(ratios[name]))
        rows = budget_rows(ratios[name], frozen[name], large)
        rows += [
            BudgetRow(e, small[e.key][name] ** 2 / total if total else 0.0, small[e.key][name])
            for e in errors
            if e.key in small
        ]
        found[name] = sorted(rows, key=lambda r: -r.share)
    return found


def _small_parts(pair: Pair, errors: list[NamedError]) -> dict[str, dict[str, float]]:
    """Contributions by linear propagation of the errors that hardly count, by key and ratio."""
    steps = [e.standard_deviation if np.isfinite(e.standard_deviation) else e.standard_uncertainty for e in errors]
    # One run of the model for all of them: each error has two draws to itself, up and down.
    drawn: dict[str, Number] = {}
    for index, (error, step) in enumerate(zip(errors, steps, strict=True)):
        column = np.zeros((len(errors), 2))
        column[index] = step, -step
        drawn[error.key] = column.reshape(-1)
    moved = pair.ratios(pair.before.model(drawn), pair.after.model(drawn), drawn)
    base = list(moved)
    ends = {name: np.broadcast_to(values, (2 * len(errors),)).reshape(-1, 2) for name, values in moved.items()}
    parts = {
        error.key: {name: float(abs(at[index, 0] - at[index, 1]) / 2) for name, at in ends.items()}
        for index, error in enumerate(errors)
    }
    totals = {name: sum(p[name] ** 2 for p in parts.values() if np.isfinite(p[name])) for name in base}
    return {
        key: p
        for key, p in parts.items()
        if all(np.isfinite(p[n]) and p[n] ** 2 < NEGLIGIBLE * totals[n] for n in base)
    }


def _shared(before: VisitUncertainty, after: VisitUncertainty) -> tuple[NamedError, ...]:
    """Errors that both visits have: what is common to them cancels."""
    keys = {e.key for e in after.errors.errors}
    return tuple(e for e in before.errors.errors if e.key in keys)


def _named(pair: Pair, rows: list[BudgetRow]) -> list[BudgetRow]:
    """Errors of one visit alone say which visit."""
    before, after = ({e.key for e in v.errors.errors} for v in (pair.before, pair.after))
    found = []
    for row in rows:
        key, name = row.error.key, row.error.name
        if key in before and key not in after:
            name = f"before: {name}"
        elif key in after and key not in before:
            name = f"after: {name}"
        found.append(replace(row, error=replace(row.error, name=name)))
    return found
