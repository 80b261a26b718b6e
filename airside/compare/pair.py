"""Two visits on one set of draws: whether they can be compared, and how they are brought together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import numpy as np

from airside.air.blocks import Array, Number
from airside.compare.correction import Correction, standard_flow
from airside.compare.reference import Conditions, named_conditions
from airside.errors import ComparisonError
from airside.instruments.named_error import NamedError, unique
from airside.units import show
from airside.visit.inputs import Measured
from airside.visit.plausibility import VisitWarning
from airside.visit.reading_errors import visit_identity
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty


@dataclass(frozen=True)
class Pair:
    """Two visits on one set of draws, and how to bring them together.

    Attributes
    ----------
    before, after : VisitUncertainty
    correction : Correction or None
    reference : str or Conditions
    flow_to : "before"
        The flow of the before visit is the reference's where flow is corrected.
    """

    before: VisitUncertainty
    after: VisitUncertainty
    correction: Correction | None
    reference: str | Conditions

    @property
    def mode(self) -> str:
        """Cooling or heating."""
        return self.before.visit.mode

    def errors(self) -> list[NamedError]:
        """Every error of both visits and of the correction, each key once."""
        found = [*self.before.errors.errors, *self.after.errors.errors]
        if self.correction is not None:
            found += self.correction.errors("capacity")
            if self.has_power and self.correction.knows("power"):
                found += self.correction.errors("power")
        return unique(found)

    @property
    def has_power(self) -> bool:
        """Whether both visits have electric power."""
        return self.before.inputs.power is not None and self.after.inputs.power is not None

    def conditions(self, measured: Measured, name: str) -> Conditions:
        """Conditions of one visit's result."""
        indoor = measured.return_air.wet_bulb if self.mode == "cooling" else measured.return_air.dry_bulb
        assert measured.outdoor_dry_bulb is not None
        return Conditions(name, indoor, measured.outdoor_dry_bulb)

    def at_reference(
        self, before: Measured, after: Measured, errors: Mapping[str, Number], *, with_efficiency: bool = True
    ) -> dict[str, Any]:
        """Total capacity (and efficiency) of both at the reference."""
        correction = self.correction
        assert correction is not None
        here = self.conditions(before, "conditions of the before visit")
        there = self.conditions(after, "conditions of the after visit")
        to = named_conditions(self.reference, self.mode, here, there)
        flows = [standard_flow(m.airflow.dry_air_mass_flow) for m in (before, after)]
        flow_to = flows[1] if self.reference == "after" else flows[0]
        found: dict[str, Any] = {}
        for name, measured, at, flow in (("before", before, here, flows[0]), ("after", after, there, flows[1])):
            factors = correction.factors("capacity", at, flow, to, flow_to)
            total = np.asarray(measured.capacity.total) * correction.apply("capacity", factors, errors)
            found[f"{name}.total"] = total
            if with_efficiency and self.has_power and correction.knows("power"):
                assert measured.power is not None
                factors = correction.factors("power", at, flow, to, flow_to)
                power = np.asarray(measured.power) * correction.apply("power", factors, errors)
                found[f"{name}.coefficient_of_performance"] = total / power
        return found

    def ratios(self, before: Measured, after: Measured, errors: Mapping[str, Number]) -> dict[str, Array]:
        """Relative change of total capacity: "raw", and "reference" where there is a correction."""
        with np.errstate(divide="ignore", invalid="ignore"):
            found = {"raw": np.asarray(after.capacity.total) / np.asarray(before.capacity.total) - 1}
            if self.correction is not None:
                at = self.at_reference(before, after, errors, with_efficiency=False)
                found["reference"] = at["after.total"] / at["before.total"] - 1
        return found


def other_stage(before: str, after: str) -> VisitWarning:
    """What is said of two stages."""
    return VisitWarning(
        "other_stage",
        f"Before is at {before}, after at {after}: a change of stage is part of the change that is found. State one stage for both "
        "in [log.counting].",
    )  # fmt: skip


def doubtful_pair(before: Visit, after: Visit) -> list[VisitWarning]:
    """What makes a comparison weaker than it looks."""
    found = []
    if "rule of thumb" in (before.airflow.method, after.airflow.method):
        found.append(VisitWarning(
            "airflow_not_measured",
            "The airflow was not measured in both visits (rule of thumb): if the work changed the airflow, the change of "
            "capacity does not show it. Measure the airflow in both.",
        ))  # fmt: skip
    stages = [v.stretch.stage if v.stretch is not None else "" for v in (before, after)]
    if stages[0] != stages[1]:
        found.append(other_stage(*(s or "a stage that is not known" for s in stages)))
    checks = [v.side_by_side is not None and v.side_by_side.apply for v in (before, after)]
    if checks[0] != checks[1]:
        which = "before" if checks[0] else "after"
        found.append(VisitWarning(
            "side_by_side_in_one",
            f"Only the {which} visit is corrected by a side-by-side check. If the probes are the same, their offset is taken "
            "out of one visit and left in the other: put the check into both.",
        ))  # fmt: skip
    return found


def check_pair(before: Visit, after: Visit) -> list[VisitWarning]:
    """What speaks against comparing two visits.

    Raises
    ------
    ComparisonError
        Different modes or systems, or a before dated after the after.
    """
    if before.mode != after.mode:
        raise ComparisonError(f"before is in {before.mode} and after in {after.mode}; expected two visits in one mode.")
    first, second = before.system, after.system
    if first.name and second.name and first.name != second.name:
        raise ComparisonError(
            f'before is of the system "{first.name}" and after of "{second.name}"; expected one system. '
            "If it is one, give it one name under [system]."
        )
    if before.date is not None and after.date is not None and _is_later(before.date, after.date):
        raise ComparisonError(
            f"before is dated {before.date:%Y-%m-%d} and after {after.date:%Y-%m-%d}; expected the before visit first. Swap the two files."
        )
    warnings = []
    if visit_identity(before) == visit_identity(after):
        warnings.append(VisitWarning(
            "same_visit", "Before and after are one and the same visit: there is nothing to compare. Check the file names."
        ))  # fmt: skip
    for name in ("nominal_capacity", "refrigerant", "equipment"):
        one, other = getattr(first, name), getattr(second, name)
        if one is not None and other is not None and one != other:
            found = [
                show(v, "nominal_capacity", before.units) if name == "nominal_capacity" else v for v in (one, other)
            ]
            warnings.append(VisitWarning(
                "different_system",
                f"system.{name} is {found[0]} before and {found[1]} after. That is right for a retrofit that changed it; "
                "otherwise the two visits are of different systems.",
            ))  # fmt: skip
    return warnings


def _is_later(one: date | datetime, other: date | datetime) -> bool:
    """Whether one date is after another; by the day where one of them has no time, or no time zone."""
    if isinstance(one, datetime) and isinstance(other, datetime) and (one.tzinfo is None) == (other.tzinfo is None):
        return one > other
    first, second = (d.date() if isinstance(d, datetime) else d for d in (one, other))
    return first > second


def check_capacities(before: VisitUncertainty, after: VisitUncertainty) -> None:
    """Stop where a ratio of capacities would mean nothing.

    Raises
    ------
    ComparisonError
        A visit delivers no capacity in its mode.
    """
    for visit, which in ((before, "before"), (after, "after")):
        total = float(np.asarray(visit.at_readings.capacity.total))
        if total <= 0:
            raise ComparisonError(
                f"{which}: the total capacity is {show(total, 'capacity', visit.visit.units)}, which is no "
                f"{visit.visit.mode}; there is no relative change to give. Check return and supply readings, or the mode."
            )
