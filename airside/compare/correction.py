"""Bring a capacity to other conditions, by rating curve or by the manufacturer's table, with the doubt of it.

The correction is kept apart by axis (indoor, outdoor, flow) in logarithms. Each axis has one error:
the true slope is the curve's times one plus that error. So the doubt grows with the distance
corrected, and what both visits are corrected by alike cancels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from airside.air.blocks import Array, Number
from airside.airflow.result import STANDARD_DENSITY
from airside.compare import curves, performance_table
from airside.compare.curves import Axis, RatingCurve
from airside.compare.performance_table import PerformanceTable
from airside.compare.reference import Conditions
from airside.instruments.named_error import NamedError
from airside.units import UnitSystem, parse, show

AXES = ("indoor", "outdoor", "flow")


@dataclass(frozen=True)
class Correction:
    """How capacity and power go with conditions.

    Attributes
    ----------
    source : RatingCurve or PerformanceTable
    rated_flow : float [m³/s of standard air]
        Flow at which a rating curve's flow ratio is 1.
    same_flow : bool
        Whether flow is brought to the reference too.
    """

    source: RatingCurve | PerformanceTable
    rated_flow: float
    same_flow: bool

    @property
    def name(self) -> str:
        """What the correction goes by, in words."""
        if isinstance(self.source, PerformanceTable):
            return f"manufacturer's performance table {self.source.path.name}"
        return f"rating curve of a single-speed {self.source.equipment} in {self.source.mode} (NREL/TP-5500-56354)"

    @property
    def doubt(self) -> float:
        """Standard uncertainty of the slope along each axis, a part of it."""
        return performance_table.SLOPE_DOUBT if isinstance(self.source, PerformanceTable) else curves.SLOPE_DOUBT

    def limits(self) -> tuple[Axis, Axis, Axis]:
        """Ranges in which it may be used: indoor, outdoor, flow (ratio, or standard flow for a table)."""
        if isinstance(self.source, PerformanceTable):
            return self.source.limits()
        return self.source.indoor, self.source.outdoor, curves.FLOW

    def errors(self, quantity: str) -> list[NamedError]:
        """One error for each axis; `quantity` is "capacity" or "power"."""
        kind = "performance table" if isinstance(self.source, PerformanceTable) else "rating curve"
        words = {"indoor": "with return air", "outdoor": "with outdoor air", "flow": "with airflow"}
        return [
            NamedError(f"{kind}: slope of {quantity} {words[a]}", f"curve/{quantity}/{a}", "curve", self.doubt)
            for a in (AXES if self.same_flow else AXES[:2])
        ]

    def _value(self, quantity: str, indoor: Number, outdoor: Number, flow: Number) -> Array:
        if isinstance(self.source, PerformanceTable):
            name = "total" if quantity == "capacity" else "power"
            return np.asarray(self.source.read(name, indoor, outdoor, flow, outside="extend"))
        ratio = np.asarray(flow) / self.rated_flow
        which = self.source.capacity_ratio if quantity == "capacity" else self.source.power_ratio
        return np.asarray(which(indoor, outdoor, ratio))

    def knows(self, quantity: str) -> bool:
        """Whether it covers "capacity" or "power"."""
        return quantity == "capacity" or isinstance(self.source, RatingCurve) or "power" in self.source.values

    def factors(
        self, quantity: str, here: Conditions, flow: Number, to: Conditions, flow_to: Number
    ) -> dict[str, Array]:
        """Logarithms of the correction from conditions to conditions, by axis.

        Parameters
        ----------
        quantity : "capacity" or "power"
        here, to : Conditions
        flow, flow_to : float or array [m³/s of standard air]
        """
        start = self._value(quantity, here.indoor, here.outdoor, flow)
        indoor = self._value(quantity, to.indoor, here.outdoor, flow)
        outdoor = self._value(quantity, to.indoor, to.outdoor, flow)
        found = {"indoor": np.log(indoor / start), "outdoor": np.log(outdoor / indoor)}
        if self.same_flow:
            found["flow"] = np.log(self._value(quantity, to.indoor, to.outdoor, flow_to) / outdoor)
        return found

    def apply(self, quantity: str, factors: Mapping[str, Array], errors: Mapping[str, Number]) -> Array:
        """Factor on a capacity or power, with the slopes' errors drawn."""
        total: Number = 0.0
        for axis, step in factors.items():
            total = total + step * (1 + np.asarray(errors.get(f"curve/{quantity}/{axis}", 0.0)))
        factor: Array = np.exp(np.asarray(total))
        return factor

    def outside(self, where: str, conditions: Conditions, flow: float, units: UnitSystem) -> str:
        """Why conditions cannot be used; empty where they can."""
        indoor, outdoor, flows = self.limits()
        values: list[tuple[Axis, float]] = [(indoor, float(conditions.indoor)), (outdoor, float(conditions.outdoor))]
        if isinstance(self.source, PerformanceTable):
            if flows.low < flows.high:
                values.append((flows, flow))
            elif self.same_flow:
                return (
                    f"{where}: the {self.name} has one airflow alone, so it does not bring visits to the same airflow."
                )
        elif self.same_flow:
            values.append((flows, flow / self.rated_flow))
        for axis, value in values:
            # A table's single column is not a range.
            slack = 1e-6 * max(abs(axis.low), abs(axis.high), 1e-9)
            if not axis.low - slack <= value <= axis.high + slack:
                low, high = (show(v, axis.kind, units) for v in (axis.low, axis.high))
                return (
                    f"{where}: the {axis.name.replace('_', ' ')} of {show(value, axis.kind, units)} is outside the "
                    f"{self.name}, which holds from {low} to {high}."
                )
        return ""


def rated_flow(nominal_capacity: float | None, flow_before: float) -> tuple[float, str]:
    """Flow that counts as rated [m³/s of standard air], and what is said of it."""
    if nominal_capacity is None:
        return (
            flow_before,
            "The rated flow of the curve is taken as the flow before, because nominal capacity is unknown.",
        )
    # Common practice, no source: 400 cfm of standard air per ton.
    rated = float(parse("400 cfm/ton", "flow_per_capacity")) * nominal_capacity
    return (
        rated,
        "The rated flow of the curve is the customary one for the nominal capacity; common practice, no source.",
    )


def standard_flow(dry_air_mass_flow: Number) -> Number:
    """Dry air [kg/s] as standard air [m³/s]."""
    return dry_air_mass_flow / STANDARD_DENSITY
