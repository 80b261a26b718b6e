"""How the coil, the refrigerant side and the expectation moved between two visits, on their shared draws."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.compare.expected import expected_of_visit
from airside.compare.result import Change
from airside.instruments.propagation import Estimate, estimate
from airside.units import KINDS, UnitSystem, show, show_difference
from airside.visit.coil_block import coil_of_visit
from airside.visit.refrigerant_side import refrigerant_side
from airside.visit.uncertainty import VisitUncertainty

# Figures of the coil that say something between two visits.
_COIL = ("apparatus_dew_point", "bypass_factor", "effective_surface")


@dataclass(frozen=True)
class Moved:
    """One figure before and after, and its change with interval.

    Attributes
    ----------
    name : str
        With its block: "coil_bypass_factor".
    label : str
    kind : str
        A name in `airside.units.KINDS`.
    before, after : float
    change : Estimate
    """

    name: str
    label: str
    kind: str
    before: float
    after: float
    change: Estimate

    @property
    def key(self) -> str:
        """JSON key with the SI unit."""
        suffix = KINDS[self.kind].suffix
        return f"{self.name}_{suffix}" if suffix else self.name

    def cells(self, units: UnitSystem) -> tuple[str, str, str, str, str]:
        """Name, before, after, change, interval, as text."""
        step, low, high = (show_difference(v, self.kind, units) for v in (self.change.value, *self.change.interval_95))
        if self.kind == "percentage":
            # A step from 76 to 90 % is one of 14 points, not of 14 %.
            step, low, high = (t.replace(" %", " points") for t in (step, low, high))
        return (
            self.label, show(self.before, self.kind, units), show(self.after, self.kind, units),
            step, f"{low.split(' ')[0]} to {high}",
        )  # fmt: skip

    def to_dict(self) -> dict[str, Any]:
        """Before, after and change in SI."""
        values = {k: v if np.isfinite(v) else None for k, v in (("before", self.before), ("after", self.after))}
        return {**values, "change": self.change.to_dict()}


def _figures(doubt: VisitUncertainty) -> dict[str, tuple[str, str, float, Array]]:
    """Label, kind, value at the readings and draws of each figure of one visit."""
    found: dict[str, tuple[str, str, float, Array]] = {}
    count = (doubt.draws.count,)

    def add(name: str, label: str, kind: str, value: Any, draws: Any) -> None:
        array: Array = np.broadcast_to(np.asarray(draws, dtype=np.float64), count)
        found[name] = (label, kind, float(np.asarray(value)), array)

    coil, _ = coil_of_visit(doubt)
    if coil is not None:
        drawn = {r.name: r for r in coil.drawn.rows()}
        for row in coil.performance.rows():
            if row.name in _COIL:
                add(f"coil_{row.name}", row.title, row.kind, row.value, drawn[row.name].value)
    side, _ = refrigerant_side(doubt)
    if side is not None:
        for name, (value, kind) in side.at_readings.items():
            if name != "glide_at_liquid_pressure":
                title = name.replace("_", " ")
                add(f"refrigerant_{name}", title[:1].upper() + title[1:], kind, value, side.drawn[name][0])
    expected, _ = expected_of_visit(doubt)
    if expected is not None:
        add("expected_ratio", "Delivered over expected", "percentage", expected.ratio.value, expected.ratio_draws)
    return found


def moved_rows(change: Change) -> list[Moved]:
    """Every figure that both visits have."""
    before, after = _figures(change.before), _figures(change.after)
    possible = change.before.is_possible & change.after.is_possible
    rows = []
    for name, (label, kind, value, draws) in before.items():
        if name not in after:
            continue
        _, _, then, later = after[name]
        rows.append(Moved(name, label, kind, value, then, estimate(then - value, (later - draws)[possible])))
    return rows
