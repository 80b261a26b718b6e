"""What the results of one visit are worth: draws of every named error through the same physics."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from airside.air.blocks import Array, Number
from airside.instruments.named_error import DEFAULT_DRAWS, DEFAULT_SEED, Draws
from airside.instruments.propagation import (
    BudgetRow,
    Estimate,
    Linear,
    agreement,
    budget_rows,
    error_draws,
    estimate,
    linear,
)
from airside.results import Row
from airside.units import percent
from airside.visit.doubts import visit_errors
from airside.visit.inputs import Measured, VisitInputs, mean_inputs, measure
from airside.visit.perturbation import perturbed, shifts_of
from airside.visit.plausibility import VisitWarning, unlikely_readings, unlikely_results
from airside.visit.reading_errors import VisitErrors
from airside.visit.schema import Visit
from airside.visit.steady import unsteady_readings

CAPACITIES = ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal")
# Set-aside draws beyond this part are worth a sentence of their own.
MANY_SET_ASIDE = 0.01


def capacity_outputs(measured: Measured) -> dict[str, Number]:
    """The figures of capacity by name, and efficiency where power is known."""
    outputs: dict[str, Number] = {name: getattr(measured.capacity, name) for name in CAPACITIES}
    if measured.power is not None:
        outputs["coefficient_of_performance"] = measured.capacity.total / np.asarray(measured.power)
    return outputs


@dataclass(frozen=True, eq=False, repr=False)
class VisitUncertainty:
    """Draws of one visit.

    Attributes
    ----------
    visit : Visit
    inputs : VisitInputs
        At the readings.
    at_readings : Measured
        Results at the readings.
    errors : VisitErrors
    draws : Draws
    """

    visit: Visit
    inputs: VisitInputs
    at_readings: Measured
    errors: VisitErrors
    draws: Draws

    def model(self, drawn: Mapping[str, Number]) -> Measured:
        """The visit's physics on shifted readings; impossible states become NaN."""
        shifted = perturbed(self.inputs, shifts_of(self.errors, drawn))
        return measure(self.visit, shifted, outside="extend", impossible="nan")

    @cached_property
    def _drawn(self) -> dict[str, Number]:
        return error_draws(self.errors.errors, self.draws)

    @cached_property
    def _shifted(self) -> VisitInputs:
        return perturbed(self.inputs, shifts_of(self.errors, self._drawn))

    @cached_property
    def measured(self) -> Measured:
        """Every result as an array of draws."""
        return measure(self.visit, self._shifted, outside="extend", impossible="nan")

    def without(self, key: str) -> Measured:
        """As `measured`, with one error frozen; what it does not touch is not computed again."""
        touched = [entry for entry, uses in self.errors.uses.items() if any(k == key for k, _ in uses)]
        if not touched:
            return self.measured
        shifts = shifts_of(self.errors, {**self._drawn, key: 0.0}, touched)
        shifted = perturbed(self.inputs, shifts, self._shifted)
        return measure(self.visit, shifted, outside="extend", impossible="nan", known=(self._shifted, self.measured))

    @cached_property
    def is_possible(self) -> NDArray[np.bool_]:
        """Which draws are states that can be, shape (draws,)."""
        total = np.asarray(self.measured.capacity.total)
        return np.broadcast_to(np.isfinite(total), (self.draws.count,))

    def warnings(self) -> list[VisitWarning]:
        """Everything unlikely about the visit: readings, results, steadiness, missing accuracies."""
        at = self.at_readings
        return [
            *unlikely_readings(self.visit),
            *unlikely_results(self.visit, at.airflow, at.capacity),
            *unsteady_readings(self.visit, self.inputs),
            *self.errors.warnings,
            *self._set_aside_warning(),
            *(
                VisitWarning("clocks", s)
                for s in (self.visit.stretch.warnings if self.visit.stretch is not None else ())
            ),
        ]

    def _set_aside_warning(self) -> list[VisitWarning]:
        share = self.set_aside / self.draws.count
        if share <= MANY_SET_ASIDE:
            return []
        total = self.estimate("total")
        return [VisitWarning(
            "draws_set_aside",
            f"{percent(share)} of the draws were air that cannot be, beyond saturation, and were set aside; the mean of the "
            f"rest is {percent(total.mean / total.value - 1, 1, sign=True)} from the figure at the readings. Near saturation "
            "the supply humidity says little: compare the probes, or read a wet bulb.",
        )]  # fmt: skip

    @property
    def set_aside(self) -> int:
        """Draws that landed on an impossible state."""
        return int(self.draws.count - np.count_nonzero(self.is_possible))

    def estimate(self, name: str) -> Estimate:
        """Summary of one figure of capacity: "total", "sensible", ..."""
        at = capacity_outputs(self.at_readings)[name]
        return estimate(float(np.asarray(at)), self._kept(capacity_outputs(self.measured)[name]))

    def _kept(self, values: object) -> Array:
        column: Array = np.broadcast_to(np.asarray(values, dtype=np.float64), (self.draws.count,))
        return column[self.is_possible]

    def with_doubt(self, rows: Iterable[Row], drawn: Iterable[Row]) -> list[Row]:
        """Rows of a result with uncertainty and interval from the same rows of its draws."""
        arrays = {r.name: r.value for r in drawn}
        found = []
        for row in rows:
            values = np.asarray(arrays.get(row.name, np.nan), dtype=np.float64)
            if values.ndim == 0 or not np.isfinite(row.value):
                found.append(row)
                continue
            summary = estimate(float(row.value), self._kept(values))
            found.append(replace(row, uncertainty=summary.standard_uncertainty, interval=summary.interval_95))
        return found

    def _outputs(self, name: str) -> Callable[[Mapping[str, Number]], dict[str, Number]]:
        return lambda drawn: {name: capacity_outputs(self.model(drawn))[name]}

    def budget(self, name: str = "total") -> list[BudgetRow]:
        """Share of each named error in the variance of one figure, largest first."""
        frozen = {e.key: capacity_outputs(self.without(e.key))[name] for e in self.errors.errors}
        return budget_rows(capacity_outputs(self.measured)[name], frozen, self.errors.errors)

    def linear(self, name: str = "total") -> Linear:
        """Linear propagation of one figure: the cross-check."""
        return linear(self._outputs(name), self.errors.errors, [name])[name]

    def sentences(self) -> list[str]:
        """What must be said of the draws: agreement with linear propagation, and draws set aside."""
        total = self.estimate("total")
        said = [agreement(total, self.linear("total"))]
        if self.set_aside:
            said.append(
                f"{self.set_aside:,} of {self.draws.count:,} draws ({percent(self.set_aside / self.draws.count, 1)}) were air that "
                "cannot be, beyond saturation, and were set aside; the mean of the rest is "
                f"{percent(total.mean / total.value - 1, 1, sign=True)} from the figure at the readings."
            )
        return said


def visit_uncertainty(
    visit: Visit, *, count: int = DEFAULT_DRAWS, seed: int = DEFAULT_SEED, draws: Draws | None = None
) -> VisitUncertainty:
    """Draw every named error of a visit.

    Parameters
    ----------
    visit : Visit
    count : int
        Draws.
    seed : int
    draws : Draws, optional
        Shared with another visit.
    """
    inputs = mean_inputs(visit)
    at = measure(visit, inputs)
    errors = visit_errors(visit, at.airflow, inputs)
    return VisitUncertainty(visit, inputs, at, errors, draws or Draws(count, seed))


def first_to_improve(rows: list[BudgetRow], count: int = 3) -> list[str]:
    """What to improve first: the largest shares of a budget, as words."""
    return [f"{r.error.name} ({percent(r.share, 0)})" for r in rows[:count] if r.share >= 0.01]
