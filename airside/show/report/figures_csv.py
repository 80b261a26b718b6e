"""Figures as CSV, one a row, for a spreadsheet or pandas.

Sources
-------
RFC 4180 (comma, quoting, line ends). OWASP, "CSV Injection": a text that begins like a formula gets an
apostrophe (from memory).
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from io import StringIO
from math import isfinite

from airside.compare.explanation import Explanation
from airside.compare.moved import moved_rows
from airside.compare.result import Change
from airside.instruments.propagation import Estimate
from airside.results import Row
from airside.units import KINDS, UnitSystem, difference_from_inside, from_inside
from airside.visit.analysis import VisitResult

HEADS = ("name", "value", "unit", "lower_95", "upper_95", "standard_uncertainty", "visit", "visit_name")
# What a spreadsheet may take for the start of a formula; the wide forms are those of East Asian keyboards.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
# A step of these has a unit of its own.
_STEP = {"temperature": "temperature_difference"}


def text_cell(text: str) -> str:
    """A text that a spreadsheet shows and never computes."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def csv_text(
    result: VisitResult | Change, explanation: Explanation | None = None, *, units: UnitSystem | None = None
) -> str:
    """Every figure of a result as CSV with one row of heads.

    Parameters
    ----------
    result : VisitResult or Change
    explanation : Explanation, optional
        Of a single visit: its coil, expected capacity, refrigerant side and efficiency too.
    units : "IP" or "SI", optional
        Default those of the (before) visit.

    Returns
    -------
    str
        Columns ``name``, ``value``, ``unit``, ``lower_95``, ``upper_95``, ``standard_uncertainty``, ``visit``
        ("visit", or "before", "after", "change" and "relative change") and ``visit_name``. A cell is empty
        where nothing is known.
    """
    out = StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(HEADS)
    if isinstance(result, Change):
        system = units or result.before.visit.units
        rows = _change_rows(result, system)
    else:
        system = units or result.visit.units
        rows = _visit_rows(result, explanation, system)
    for name, numbers, unit, role, visit_name in rows:
        value, low, high, doubt = map(_number, numbers)
        writer.writerow([text_cell(name), value, text_cell(unit), low, high, doubt, role, text_cell(visit_name)])
    return out.getvalue()


Cells = tuple[str, tuple[float | None, float | None, float | None, float | None], str, str, str]


def _number(value: float | None) -> str:
    # Twelve digits: more than any reading has, and no rounding tail.
    return "" if value is None or not isfinite(value) else f"{value:.12g}"


def _visit_rows(result: VisitResult, explanation: Explanation | None, units: UnitSystem) -> Iterator[Cells]:
    rows = list(result.rows())
    if explanation is not None:
        rows += _explained(explanation)
    for row in rows:
        low, high = row.interval if row.interval is not None else (None, None)
        shown = [None if v is None else float(from_inside(v, row.kind, units)) for v in (row.value, low, high)]
        doubt = None if row.uncertainty is None else float(difference_from_inside(row.uncertainty, row.kind, units))
        unit = KINDS[row.kind].display(units).label
        yield row.name, (shown[0], shown[1], shown[2], doubt), unit, "visit", result.visit.name


def _explained(explanation: Explanation) -> Iterable[Row]:
    from dataclasses import replace

    parts = {
        "expected": explanation.expected, "coil": explanation.coil, "refrigerant": explanation.refrigerant,
        "refrigerant_side": explanation.second,
    }  # fmt: skip
    for head, part in parts.items():
        for row in part.rows() if part is not None else ():
            yield replace(row, name=row.name if row.name.startswith(f"{head}_") else f"{head}_{row.name}")
    yield from explanation.efficiency


def _change_rows(change: Change, units: UnitSystem) -> Iterator[Cells]:
    names = {"before": change.before.visit.name, "after": change.after.visit.name}
    for suffix, figures in (("", change.figures), ("_at_reference", change.at_reference)):
        for figure in figures.values():
            name = f"{figure.name}{suffix}"
            for role in ("before", "after"):
                yield _estimated(name, getattr(figure, role), figure.kind, units, role, names[role])
            yield _estimated(name, figure.change, figure.kind, units, "change", change.title, step=True)
            yield _estimated(name, figure.ratio, "percentage", units, "relative change", change.title)
    for moved in moved_rows(change):
        for role in ("before", "after"):
            value = float(from_inside(getattr(moved, role), moved.kind, units))
            unit = KINDS[moved.kind].display(units).label
            yield moved.name, (value, None, None, None), unit, role, names[role]
        yield _estimated(moved.name, moved.change, moved.kind, units, "change", change.title, step=True)


def _estimated(
    name: str, found: Estimate, kind: str, units: UnitSystem, role: str, visit_name: str, *, step: bool = False
) -> Cells:
    """One estimate in display units; a step has the scale of its kind without its zero."""
    unit = KINDS[_STEP.get(kind, kind) if step else kind].display(units).label
    if step and kind == "percentage":
        # A step from 76 to 90 % is one of 14 points, not of 14 %.
        unit = "points"
    turn = difference_from_inside if step else from_inside
    value, low, high = (float(turn(v, kind, units)) for v in (found.value, *found.interval_95))
    return (
        name,
        (value, low, high, float(difference_from_inside(found.standard_uncertainty, kind, units))),
        unit,
        role,
        visit_name,
    )
