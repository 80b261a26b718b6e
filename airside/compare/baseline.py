"""The baseline model of a period: capacity or power as a straight-line function of its conditions.

Ordinary least squares by statsmodels, with standard errors robust to residuals that hang together (Newey and West). A
condition that the period cannot tell is left out, and said: without spread, together with another one, or too few stretches.

Sources
-------
ASHRAE Guideline 14 (Measurement of Energy, Demand, and Water Savings), from memory: CV(RMSE) is the root of the sum of
squared residuals over n - p, over the mean; NMBE the sum of residuals over n - p, over the mean; p counts the model's
parameters. IPMVP Option B: every parameter measured, the baseline adjusted to the reporting period's conditions.
D. C. Montgomery, E. A. Peck and G. G. Vining, Introduction to Linear Regression Analysis: largest leverage as the limit of
hidden extrapolation; a variance inflation over 10 as collinear.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.compare.long_run_variance import autocorrelation, autoregressive_covariance, lags_of, widening
from airside.compare.periods import TERMS, Period
from airside.errors import AirsideError, ComparisonError
from airside.units import UnitSystem, percent, show, show_difference
from airside.visit.logs.log import Floats

# Smallest spread, from the 5 % to the 95 % quantile, from which a slope can be told: K, and of the mean flow. Common
# practice, no source.
SPREAD = {"temperature": 1.0, "volume_flow": 0.03}
# Variance inflation of a term by those before it (Montgomery and others).
INFLATION = 10.0
# Stretches for each parameter; common practice, no source.
PER_PARAMETER = 6
WORDS = {
    "outdoor_dry_bulb": "outdoor dry bulb", "return_wet_bulb": "return wet bulb", "return_dry_bulb": "return dry bulb",
    "volume_flow": "airflow",
}  # fmt: skip
FIGURE_WORDS = {"total": "total capacity", "power": "power"}


@dataclass(frozen=True)
class Terms:
    """What a baseline is modelled on.

    Attributes
    ----------
    used : tuple of str
    left_out : mapping of str to str
        Each condition that is not used, and a sentence why.
    ranges : mapping of str to (float, float)
        Within which each condition must be; none for those that the user leaves out, nor for a flow without spread.
    centre : array, shape (terms,)
        Means of the used ones.
    without : tuple of str
        Conditions that the user leaves out.
    """

    used: tuple[str, ...]
    left_out: dict[str, str]
    ranges: dict[str, tuple[float, float]]
    centre: Floats
    without: tuple[str, ...] = ()

    def design(self, columns: Any) -> Floats:
        """Columns of the model: ones, and each used condition less its mean, shape (n, 1 + terms)."""
        count = len(columns["total"]) if "total" in columns else len(next(iter(columns.values())))
        found: Floats = np.column_stack(
            [np.ones(count), *(columns[t] - c for t, c in zip(self.used, self.centre, strict=True))]
        )
        return found


def is_flow(term: str) -> bool:
    """Whether a condition is the airflow."""
    return term == "volume_flow"


def kind_of(term: str) -> str:
    """Kind of quantity of a condition."""
    return "volume_flow" if is_flow(term) else "temperature"


def choose_terms(period: Period, without: Sequence[str] = ()) -> Terms:
    """The conditions that a period can tell.

    Parameters
    ----------
    period : Period
    without : sequence of str
        Conditions that are not to be used.

    Raises
    ------
    ComparisonError
        A name that is no condition.
    """
    known = TERMS[period.mode]
    for name in without:
        if name not in known:
            raise ComparisonError(
                f'"{name}" is no condition of a {period.mode} baseline; expected one of {", ".join(known)}.'
            )
    used: list[str] = []
    left_out: dict[str, str] = {}
    ranges: dict[str, tuple[float, float]] = {}
    for term in known:
        words = WORDS[term].capitalize()
        if term in without:
            left_out[term] = (
                f"{words} is left out of the baseline, as asked: what changes with it is part of the change."
            )
            continue
        if term not in period.columns:
            left_out[term] = f"{words} is not known in the before period, so the baseline does not go by it."
            continue
        values = period.columns[term]
        low, high = (float(v) for v in np.quantile(values, (0.05, 0.95)))
        least = SPREAD[kind_of(term)] * (float(np.mean(np.abs(values))) if is_flow(term) else 1.0)
        spread = f"{show(low, kind_of(term), period.units, unit=False)} to {show(high, kind_of(term), period.units)}"
        lowest, highest = float(values.min()), float(values.max())
        if high - low < least:
            left_out[term] = (
                f"{words} hardly moved in the before period ({spread} in 90 % of it), so its part cannot be told and is left out"
                + (": a change of airflow counts as part of the change." if is_flow(term) else ".")
            )
            if not is_flow(term):
                middle = (lowest + highest) / 2
                ranges[term] = min(lowest, middle - least / 2), max(highest, middle + least / 2)
            continue
        ranges[term] = lowest, highest
        if len(period) < PER_PARAMETER * (len(used) + 2):
            left_out[term] = (
                f"{words} is left out of the baseline: {len(period)} stretches are too few for one more slope."
            )
            continue
        inflation = _inflation(period.table((*used, term)))
        if inflation > INFLATION:
            others = " and ".join(WORDS[t] for t in used)
            left_out[term] = (
                f"{words} went together with {others} in the before period (variance inflation {inflation:.0f}), so their parts "
                "cannot be told apart and it is left out."
            )
            continue
        used.append(term)
    return Terms(tuple(used), left_out, ranges, period.table(used).mean(axis=0), tuple(without))


def _inflation(table: Floats) -> float:
    """Variance inflation of the last column by those before it."""
    if table.shape[1] < 2:
        return 1.0
    table = table - table.mean(axis=0)
    others, last = table[:, :-1], table[:, -1]
    left = last - others @ np.linalg.lstsq(others, last, rcond=None)[0]
    total, rest = float(last @ last), float(left @ left)
    return total / rest if rest > 0 else np.inf


@dataclass(frozen=True, eq=False, repr=False)
class Baseline:
    """Model of one figure of the before period.

    Attributes
    ----------
    figure : "total" or "power"
    terms : Terms
    coefficients, standard_errors : array, shape (1 + terms,)
        At the centre [W], then the slopes [W per inside unit]; see `airside.compare.long_run_variance`.
    covariance : array, shape (1 + terms, 1 + terms)
        Newey and West's, not widened.
    autoregressive : array, shape (1 + terms, 1 + terms)
        Covariance for residuals of a first-order autoregression.
    lags : int
    count : int
    mean : float [W]
    r_squared, cv_rmse, nmbe : float [fraction]
    residuals, fitted : array, shape (n,) [W]
    inverse : array, shape (1 + terms, 1 + terms)
        Of the design's cross product.
    largest_leverage : float
    """

    figure: str
    terms: Terms
    coefficients: Floats
    standard_errors: Floats
    covariance: Floats
    autoregressive: Floats
    lags: int
    count: int
    mean: float
    r_squared: float
    cv_rmse: float
    nmbe: float
    residuals: Floats
    fitted: Floats
    inverse: Floats
    largest_leverage: float

    @property
    def widening(self) -> float:
        """What standard errors are widened by; see `airside.compare.long_run_variance.widening`."""
        return widening(self.lags, self.count)

    @property
    def autocorrelation(self) -> float:
        """Of neighbouring residuals, bias taken out."""
        return autocorrelation(self.residuals, len(self.coefficients))

    def predict(self, columns: Any) -> Floats:
        """The model's figure at conditions [W], shape (n,)."""
        found: Floats = self.terms.design(columns) @ self.coefficients
        return found

    def standard_error(self, columns: Any) -> Floats:
        """Standard error of the model at conditions [W], shape (n,)."""
        design = self.terms.design(columns)
        both = [np.einsum("ij,jk,ik->i", design, c, design).clip(0) for c in (self.covariance, self.autoregressive)]
        found: Floats = np.sqrt(np.maximum(self.widening**2 * both[0], both[1]))
        return found

    def slope_text(self, term: str, units: UnitSystem) -> str:
        """A slope with its 95 % interval in percent of the mean, for a step of its condition that can be imagined."""
        i = self.terms.used.index(term) + 1
        step, words = _step(term, self, units)
        value, wide = (v * step / self.mean for v in (self.coefficients[i], 1.96 * self.standard_errors[i]))
        return f"{percent(value, 1, sign=True)} ± {percent(wide, 1)} for {words}"


def _step(term: str, baseline: Baseline, units: UnitSystem) -> tuple[float, str]:
    if is_flow(term):
        return 0.1 * float(baseline.terms.centre[baseline.terms.used.index(term)]), "10 % more airflow"
    step = 5 / 1.8 if units == "IP" else 2.5
    return step, f"{show_difference(step, 'temperature', units)} more {WORDS[term]}"


def statsmodels_or_sentence() -> Any:
    """statsmodels' interface, where it is installed.

    Raises
    ------
    AirsideError
        It is not; says how to get it.
    """
    try:
        import statsmodels.api
    except ImportError:
        raise AirsideError(
            "long periods need statsmodels, which is not here: run pip install 'airside[longrun]' (or pip install statsmodels)."
        ) from None
    return statsmodels.api


def fit_baseline(period: Period, figure: str, terms: Terms) -> Baseline:
    """Fit the model of one figure.

    Parameters
    ----------
    period : Period
    figure : "total" or "power"
    terms : Terms

    Raises
    ------
    ComparisonError
        Fewer stretches than the model needs, or a mean that is not above zero.
    AirsideError
        statsmodels is not installed.
    """
    sm = statsmodels_or_sentence()
    y, design = period.columns[figure], terms.design(period.columns)
    count, parameters = design.shape
    if count < PER_PARAMETER:
        raise ComparisonError(
            f"before: {count} steady {'stretch is' if count == 1 else 'stretches are'} too few for a baseline; expected {PER_PARAMETER} or more. Log for longer, or "
            "take a shorter window in [log.counting]."
        )
    mean = float(y.mean())
    if mean <= 0:
        raise ComparisonError(
            f"before: mean {FIGURE_WORDS[figure]} is {show(mean, 'capacity', period.units)}, which is no {period.mode}. Check "
            "return and supply readings, or the mode."
        )
    plain = sm.OLS(y, design).fit()
    residuals = np.asarray(plain.resid)
    lags = lags_of(residuals, parameters)
    robust = plain.get_robustcov_results("HAC", maxlags=lags, use_correction=True)
    covariance = np.asarray(robust.cov_params())
    inverse: Floats = np.linalg.inv(design.T @ design).astype(np.float64)
    freedom = count - parameters
    rho = autocorrelation(residuals, parameters)
    other = autoregressive_covariance(design, inverse, residuals[:, np.newaxis], rho)[0, :, 0, :]
    errors = np.sqrt(np.maximum(widening(lags, count) ** 2 * np.diag(covariance), np.diag(other)))
    centred = y - mean
    total = float(centred @ centred)
    return Baseline(
        figure, terms, np.asarray(plain.params), errors, covariance, other, lags, count, mean,
        1 - float(residuals @ residuals) / total if total > 0 else 0.0, cv_rmse(residuals, mean, freedom),
        nmbe(residuals, mean, freedom), residuals, np.asarray(plain.fittedvalues), inverse,
        float(np.einsum("ij,jk,ik->i", design, inverse, design).max()),
    )  # fmt: skip


def cv_rmse(residuals: Floats, mean: float, freedom: int) -> float:
    """CV(RMSE) of ASHRAE Guideline 14 [fraction].

    Parameters
    ----------
    residuals : array, shape (n,)
        Measured less modelled.
    mean : float
        Of what is measured.
    freedom : int
        Readings less parameters.
    """
    return float(np.sqrt(residuals @ residuals / freedom) / mean)


def nmbe(residuals: Floats, mean: float, freedom: int) -> float:
    """NMBE of ASHRAE Guideline 14 [fraction]; zero for least squares on its own readings, but for rounding.

    Parameters
    ----------
    residuals, mean, freedom : as `cv_rmse`
    """
    found = float(residuals.sum() / freedom / mean)
    return 0.0 if abs(found) < 1e-12 else found


def is_inside(baseline: Baseline, columns: Any) -> NDArray[np.bool_]:
    """Stretches whose conditions, each and together, the baseline has seen, shape (n,).

    Parameters
    ----------
    baseline : Baseline
    columns : mapping of str to array, shape (n,)
    """
    design = baseline.terms.design(columns)
    inside = np.ones(len(design), dtype=bool)
    for term, (low, high) in baseline.terms.ranges.items():
        # Rounding of decimal readings.
        inside &= (columns[term] >= low - 1e-9) & (columns[term] <= high + 1e-9)
    leverage = np.einsum("ij,jk,ik->i", design, baseline.inverse, design)
    inside &= leverage <= baseline.largest_leverage * (1 + 1e-9)
    return inside
