"""From named errors to the doubt of a result: Monte Carlo, the linear cross-check, the budget.

Monte Carlo (JCGM 101:2008) is the answer; linear propagation (JCGM 100:2008) is the check beside
it. The budget freezes one named error at a time and looks at what the variance loses.

Draws that land on an impossible state are NaN in the model's output. They are set aside, which
means that the answer is given for air that can exist; they are counted, and the shift that setting
them aside brings is part of the summary.

Sources
-------
JCGM 100:2008 (GUM) ch. 5 and 8; JCGM 101:2008 ch. 7; shortest interval: JCGM 101:2008 5.3.4.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from airside.air.blocks import Array, Number
from airside.instruments.named_error import Draws, NamedError
from airside.units import percent

Model = Callable[[Mapping[str, Number]], Mapping[str, Number]]
COVERAGE = 0.95


@dataclass(frozen=True)
class Estimate:
    """What the draws say of one number.

    Attributes
    ----------
    value : float
        At the readings themselves, without errors.
    mean : float
        Mean of the draws (JCGM 101's estimate).
    standard_uncertainty : float
        Standard deviation of the draws.
    interval_95 : tuple of float
        Probabilistically symmetric 95 % interval.
    shortest_95 : tuple of float
        Shortest 95 % interval.
    """

    value: float
    mean: float
    standard_uncertainty: float
    interval_95: tuple[float, float]
    shortest_95: tuple[float, float]

    def to_dict(self) -> dict[str, Any]:
        """``value``, ``standard_uncertainty``, ``interval_95``, ready for JSON."""
        return {
            "value": _finite(self.value),
            "standard_uncertainty": _finite(self.standard_uncertainty),
            "interval_95": [_finite(v) for v in self.interval_95],
        }


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def estimate(value: float, draws: Any, coverage: float = COVERAGE) -> Estimate:
    """Summarise draws; NaN draws are left out.

    Parameters
    ----------
    value : float
        At the readings.
    draws : array, shape (n,)
    coverage : float [fraction]
    """
    known = np.asarray(draws, dtype=np.float64).reshape(-1)
    known = known[np.isfinite(known)]
    if known.size < 2:
        nothing = float("nan")
        return Estimate(float(value), nothing, nothing, (nothing, nothing), (nothing, nothing))
    ordered = np.sort(known)
    tail = (1 - coverage) / 2
    low, high = (float(_quantile(ordered, q)) for q in (tail, 1 - tail))
    inside = min(max(round(coverage * ordered.size), 1), ordered.size - 1)
    widths = ordered[inside:] - ordered[:-inside]
    at = int(np.argmin(widths))
    return Estimate(
        float(value),
        float(known.mean()),
        float(known.std(ddof=1)),
        (low, high),
        (float(ordered[at]), float(ordered[at + inside])),
    )


def _quantile(ordered: Array, fraction: float) -> float:
    position = fraction * (ordered.size - 1)
    below = int(position)
    above = min(below + 1, ordered.size - 1)
    return float(ordered[below] + (position - below) * (ordered[above] - ordered[below]))


@dataclass(frozen=True)
class BudgetRow:
    """One named error's part in a result.

    Attributes
    ----------
    error : NamedError
    share : float [fraction]
        Part of the result's variance that freezing this error takes away.
    contribution : float
        The standard uncertainty that it brings, in the result's unit.
    """

    error: NamedError
    share: float
    contribution: float


@dataclass(frozen=True)
class Propagation:
    """Outputs of a model under named errors.

    Attributes
    ----------
    outputs : dict of str to array, shape (draws,)
        NaN where a draw is an impossible state.
    values : dict of str to float
        Outputs at the readings.
    errors : tuple of NamedError
    draws : int
    set_aside : int
        Draws on impossible states.
    """

    outputs: dict[str, Array]
    values: dict[str, float]
    errors: tuple[NamedError, ...]
    draws: int
    set_aside: int

    def estimate(self, name: str) -> Estimate:
        """Summary of one output."""
        return estimate(self.values[name], self.outputs[name])


def error_draws(errors: Sequence[NamedError], draws: Draws, frozen: str | None = None) -> dict[str, Number]:
    """Draws by key; a frozen error is zero."""
    return {e.key: 0.0 if e.key == frozen else draws.of(e) for e in errors}


def propagate(model: Model, errors: Sequence[NamedError], draws: Draws) -> Propagation:
    """Run a model on draws of its errors.

    Parameters
    ----------
    model : callable
        Takes errors by key (scalars or arrays; a missing key is zero), gives outputs by name.
    errors : sequence of NamedError
    draws : Draws
    """
    values = {k: float(np.asarray(v)) for k, v in model({}).items()}
    raw = model(error_draws(errors, draws))
    outputs = {k: np.broadcast_to(np.asarray(v, dtype=np.float64), (draws.count,)) for k, v in raw.items()}
    bad = np.zeros(draws.count, dtype=bool)
    for name, column in outputs.items():
        if np.isfinite(values[name]):
            bad |= ~np.isfinite(column)
    return Propagation(outputs, values, tuple(errors), draws.count, int(bad.sum()))


def budget(
    model: Model, errors: Sequence[NamedError], draws: Draws, names: Sequence[str]
) -> dict[str, list[BudgetRow]]:
    """Share of each named error in the variance of each output, largest first.

    Parameters
    ----------
    model, errors, draws : as `propagate`
    names : sequence of str
        Outputs to break down.
    """
    drawn = error_draws(errors, draws)
    whole = model(drawn)
    frozen = {error.key: model({**drawn, error.key: 0.0}) for error in errors}
    return {name: budget_rows(whole[name], {k: v[name] for k, v in frozen.items()}, errors) for name in names}


def budget_rows(whole: Any, frozen: Mapping[str, Any], errors: Sequence[NamedError]) -> list[BudgetRow]:
    """Budget of one output from its draws, and its draws with each error frozen.

    What freezing takes away is Var(all) - Var(frozen). With the difference d of the two outputs, that
    is Var(d) + 2 Cov(d, frozen); the covariance of independent parts is sampling noise and is left out.
    """
    whole = np.asarray(whole, dtype=np.float64)
    total = float(np.nanvar(whole))
    rows = []
    for error in errors:
        without = frozen.get(error.key)
        part = 0.0 if without is None else float(np.nanvar(whole - np.asarray(without)))
        rows.append(BudgetRow(error, part / total if total > 0 else 0.0, part**0.5))
    return sorted(rows, key=lambda r: -r.share)


@dataclass(frozen=True)
class Linear:
    """Linear propagation of one output.

    Attributes
    ----------
    value : float
    standard_uncertainty : float
    sensitivities : dict of str to float
        Change of the output for a unit of each error, by key.
    """

    value: float
    standard_uncertainty: float
    sensitivities: dict[str, float]

    @property
    def interval_95(self) -> tuple[float, float]:
        """Value plus and minus 1.96 standard uncertainties."""
        return (self.value - 1.959964 * self.standard_uncertainty, self.value + 1.959964 * self.standard_uncertainty)


def linear(model: Model, errors: Sequence[NamedError], names: Sequence[str]) -> dict[str, Linear]:
    """Linear propagation (JCGM 100:2008 Eq. 10): central differences over one standard deviation.

    Parameters
    ----------
    model, errors, names : as `budget`
    """
    values = model({})
    slopes: dict[str, dict[str, float]] = {name: {} for name in names}
    for error in errors:
        step = error.standard_deviation if np.isfinite(error.standard_deviation) else error.standard_uncertainty
        if step == 0:
            continue
        up, down = model({error.key: step}), model({error.key: -step})
        for name in names:
            high, low, here = (float(np.asarray(m[name])) for m in (up, down, values))
            # Near saturation one side may be impossible: take the other side's slope.
            if np.isfinite(high) and np.isfinite(low):
                slopes[name][error.key] = (high - low) / (2 * step)
            else:
                slopes[name][error.key] = (high - here) / step if np.isfinite(high) else (here - low) / step
    sizes = {e.key: e.standard_deviation for e in errors}
    return {
        name: Linear(
            float(np.asarray(values[name])),
            float(np.sqrt(sum((slope * sizes[key]) ** 2 for key, slope in found.items()))),
            found,
        )
        for name, found in slopes.items()
    }


# Where the two ways differ by more than this share of the standard uncertainty, it is said.
DISAGREEMENT = 0.10


def agreement(drawn: Estimate, straight: Linear) -> str:
    """One plain sentence on whether Monte Carlo and linear propagation agree."""
    if not np.isfinite(drawn.standard_uncertainty) or drawn.standard_uncertainty == 0:
        return "There is no uncertainty to compare."
    width = straight.standard_uncertainty / drawn.standard_uncertainty - 1
    ends = max(abs(a - b) for a, b in zip(drawn.interval_95, straight.interval_95, strict=True))
    ends /= drawn.standard_uncertainty
    if abs(width) <= DISAGREEMENT and ends <= 2 * DISAGREEMENT:
        return f"Monte Carlo and linear propagation agree (standard uncertainties differ by {percent(abs(width), 1)})."
    return (
        f"Monte Carlo and linear propagation disagree: the linear standard uncertainty differs by {percent(width, 0, sign=True)}, and an "
        f"end of the interval by {ends:.1f} standard uncertainties. The Monte Carlo figures count."
    )
