"""The change of a period against its baseline, and what it is worth: model, scatter of the after period, instruments.

With A the after period's mean of a figure and P the mean that the baseline predicts at the same conditions, the change is
A / P - 1. Every output is a function of the baseline's coefficients and of A. To each, a stretch of the baseline adds its
residual through the coefficients, a stretch of the after period its residual through A; the variance of these sums is that of
`airside.compare.long_run_variance`. A named instrument error shifts every column that it enters, in
both periods, and the baseline is fitted anew: what both periods share cancels by itself.

Sources
-------
ASHRAE Guideline 14, annex on uncertainty (from memory): model and measurement errors add up as squares. JCGM 100:2008, 5.1.2.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.compare.baseline import Baseline, Terms
from airside.compare.long_run_variance import (
    NORMAL,
    autocorrelation,
    autoregressive_covariance,
    lags_of,
    variance_by_day,
    variance_of_sum,
    variance_that_counts,
    widening,
)
from airside.compare.periods import Period
from airside.compare.season import Bins
from airside.visit.logs.log import Floats

# Joule of an hour's watt.
HOUR = 3600.0


@dataclass(frozen=True)
class PeriodEstimate:
    """One output with its doubt.

    Attributes
    ----------
    value : float
    model, after : float
        Standard uncertainty from the baseline's fit and from the scatter of the after period; 1.96 of it hold 95 %.
    instruments : mapping of str to float
        What one standard deviation of each shared error moves, by key.
    """

    value: float
    model: float
    after: float
    instruments: Mapping[str, float]

    @property
    def instrument(self) -> float:
        """Standard uncertainty from all instruments."""
        return math.hypot(*self.instruments.values())

    @property
    def standard_uncertainty(self) -> float:
        """Of everything."""
        return math.hypot(self.model, self.after, self.instrument)

    @property
    def interval_95(self) -> tuple[float, float]:
        """Value less and plus 1.96 standard uncertainties."""
        wide = NORMAL * self.standard_uncertainty
        return self.value - wide, self.value + wide

    @property
    def is_supported(self) -> bool:
        """Whether the interval leaves out zero."""
        low, high = self.interval_95
        return bool(low > 0 or high < 0)


@dataclass(frozen=True, eq=False)
class _Place:
    """Where outputs are taken: mean design of the after period, designs and hours of the bins."""

    after: Floats
    bins: Floats | None
    hours: Floats | None


def estimates(
    baselines: Mapping[str, Baseline], before: Period, after: Period, bins: Bins | None = None
) -> dict[str, PeriodEstimate]:
    """Every output with its doubt.

    Parameters
    ----------
    baselines : mapping of figure to Baseline
        "total", and where it is known "power"; of one set of terms.
    before, after : Period
        The after period with the stretches alone that are inside the baseline's range.
    bins : Bins, optional
        Inside the outdoor range of the baseline; its terms have the outdoor dry bulb.

    Returns
    -------
    dict of str to PeriodEstimate
        "change_total" [fraction], "measured_total" and "predicted_total" [W], the same of power, "change_efficiency"; with
        bins "heat_before", "heat_after", "energy_before", "energy_after", "energy_same_heat", "energy_saved" [J],
        "hours_same_heat" [s].
    """
    figures = tuple(baselines)
    terms = baselines["total"].terms
    width = len(terms.used) + 1
    place = _place(terms, before.columns, after.columns, bins)
    theta = np.concatenate(
        [*(baselines[f].coefficients for f in figures), [float(after.columns[f].mean()) for f in figures]]
    )
    values = _outputs(theta, figures, width, place)
    slopes = _slopes(theta, figures, width, place)
    moved = _instruments(figures, terms, before, after, bins)
    of_model = Scatter(
        terms.design(before.columns), baselines["total"].inverse, np.column_stack([baselines[f].residuals for f in figures]),
        before.day,
    )  # fmt: skip
    left = []
    for i, f in enumerate(figures):
        predicted = baselines[f].predict(after.columns)
        part = float(theta[len(figures) * width + i]) / float(predicted.mean())
        left.append(after.columns[f] - part * predicted)
    ones = np.ones((len(after), 1))
    of_after = Scatter(ones, np.array([[1 / len(after)]]), np.column_stack(left), after.day)
    count = len(figures)
    return {
        name: PeriodEstimate(
            float(value), of_model.uncertainty(slopes[name][: count * width].reshape(count, width)),
            of_after.uncertainty(slopes[name][count * width :].reshape(count, 1)),
            {key: moves[name] for key, moves in moved.items()},
        ) for name, value in values.items()
    }  # fmt: skip


class Scatter:
    """What the residuals of figures on one design are worth for a sum of the figures' coefficients."""

    def __init__(self, design: Floats, inverse: Floats, residuals: Floats, day: Sequence[str]) -> None:
        self.inverse, self.residuals, self.design = inverse, residuals, design
        self.parameters = design.shape[1]
        self.rho = [autocorrelation(r, self.parameters) for r in residuals.T]
        self.lags = [lags_of(r, self.parameters) for r in residuals.T]
        self.known: dict[float, Floats] = {}
        self.day = np.unique(np.array(day), return_inverse=True)[1]

    def uncertainty(self, slopes: Floats) -> float:
        """Standard uncertainty of the sum over figures of slopes times coefficients; slopes of shape (figures, p)."""
        matter = [i for i, s in enumerate(slopes) if np.any(s)]
        if not matter:
            return 0.0
        count = len(self.design)
        lags, rho = max(self.lags[i] for i in matter), max(self.rho[i] for i in matter)
        terms = np.einsum("np,pq,fq,nf->n", self.design, self.inverse, slopes, self.residuals)
        newey_west = widening(lags, count) ** 2 * count / (count - self.parameters) * variance_of_sum(terms, lags)
        if rho not in self.known:
            self.known[rho] = autoregressive_covariance(self.design, self.inverse, self.residuals, rho)
        other = float(np.einsum("fp,fpgq,gq->", slopes, self.known[rho], slopes))
        return math.sqrt(variance_that_counts(max(newey_west, other), variance_by_day(terms, self.day)))


def _place(terms: Terms, before: Mapping[str, Floats], after: Mapping[str, Floats], bins: Bins | None) -> _Place:
    at = terms.design(after).mean(axis=0)
    if bins is None:
        return _Place(at, None, None)
    # The other conditions at the before period's mean.
    rows = np.tile(terms.design(before).mean(axis=0), (len(bins.hours), 1))
    column = terms.used.index("outdoor_dry_bulb")
    rows[:, column + 1] = bins.dry_bulb - terms.centre[column]
    return _Place(at, rows, bins.hours)


def _outputs(theta: Any, figures: Sequence[str], width: int, place: _Place) -> dict[str, Any]:
    """Outputs of coefficients and after means; plain arithmetic, so that it takes complex numbers too."""
    fits = {f: theta[i * width : (i + 1) * width] for i, f in enumerate(figures)}
    means = {f: theta[len(figures) * width + i] for i, f in enumerate(figures)}
    found: dict[str, Any] = {}
    ratio: dict[str, Any] = {}
    for f in figures:
        predicted = place.after @ fits[f]
        ratio[f] = means[f] / predicted
        found |= {f"change_{f}": ratio[f] - 1, f"measured_{f}": means[f], f"predicted_{f}": predicted}
    if "power" in figures:
        found["change_efficiency"] = ratio["total"] / ratio["power"] - 1
    if place.bins is None or place.hours is None:
        return found
    heat = HOUR * (place.hours @ (place.bins @ fits["total"]))
    found |= {"heat_before": heat, "heat_after": heat * ratio["total"]}
    found["hours_same_heat"] = HOUR * place.hours.sum() / ratio["total"]
    if "power" in figures:
        energy = HOUR * (place.hours @ (place.bins @ fits["power"]))
        same = energy * ratio["power"] / ratio["total"]
        found |= {
            "energy_before": energy, "energy_after": energy * ratio["power"], "energy_same_heat": same,
            "energy_saved": energy - same,
        }  # fmt: skip
    return found


def _slopes(theta: Floats, figures: Sequence[str], width: int, place: _Place) -> dict[str, Floats]:
    """Derivative of each output by each part of theta, by a complex step, which is exact."""
    step = 1e-30
    columns = []
    for i in range(len(theta)):
        moved = theta.astype(complex)
        moved[i] += 1j * step
        columns.append({n: v.imag / step for n, v in _outputs(moved, figures, width, place).items()})
    return {n: np.array([c[n] for c in columns]) for n in columns[0]}


def _instruments(
    figures: Sequence[str], terms: Terms, before: Period, after: Period, bins: Bins | None
) -> dict[str, dict[str, float]]:
    """What one standard deviation of each shared error moves of each output."""
    keys = list(dict.fromkeys([*before.effects, *after.effects]))
    width = len(terms.used) + 1
    found = {}
    for key in keys:
        ends = []
        for sign in (1.0, -1.0):
            one, other = before.moved(key, sign), after.moved(key, sign)
            design = terms.design(one)
            fits = np.linalg.lstsq(design, np.column_stack([one[f] for f in figures]), rcond=None)[0]
            theta = np.concatenate([*fits.T, [float(other[f].mean()) for f in figures]])
            ends.append(_outputs(theta, figures, width, _place(terms, one, other, bins)))
        found[key] = {n: float(ends[0][n] - ends[1][n]) / 2 for n in ends[0]}
    return found
