"""`LongRun`: what a comparison of two long periods found; it prints, exports and says its verdict."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

import numpy as np
from numpy.typing import NDArray

from airside.cautions import SHORT
from airside.compare.baseline import FIGURE_WORDS, WORDS, Baseline, kind_of
from airside.compare.period_change import PeriodEstimate
from airside.compare.period_guards import WEIGHTY, DayInfluence
from airside.compare.periods import Period
from airside.compare.result import DETECTION
from airside.compare.season import Season
from airside.results import Result, Row, plain
from airside.units import UnitSystem, percent, show
from airside.visit.plausibility import VisitWarning

FORMAT = "airside longrun 1"
# Label and kind of each output, by what its name begins with and ends in.
LABELS = {
    "change_total": ("change in total capacity", "percentage"), "change_power": ("change in power", "percentage"),
    "change_efficiency": ("change in efficiency", "percentage"),
    "predicted_total": ("total capacity, baseline at the after period's conditions", "capacity"),
    "measured_total": ("total capacity, after period", "capacity"),
    "predicted_power": ("power, baseline at the after period's conditions", "power"),
    "measured_power": ("power, after period", "power"),
    "heat_before": ("heat delivered in the season, baseline", "heat"),
    "heat_after": ("heat delivered in the season, after, same hours", "heat"),
    "energy_before": ("electric energy of the season, baseline", "electric_energy"),
    "energy_after": ("electric energy of the season, after, same hours", "electric_energy"),
    "energy_same_heat": ("electric energy of the season, after, for the baseline's heat", "electric_energy"),
    "energy_saved": ("electric energy saved for the same heat", "electric_energy"),
    "hours_same_heat": ("hours of running after, for the baseline's heat", "hours"),
}  # fmt: skip
KWH = 3.6e6


@dataclass(frozen=True, eq=False, repr=False)
class LongRun(Result):
    """Change between two long periods.

    Attributes
    ----------
    before, after : Period
        All their stretches.
    baselines : mapping of str to Baseline
        "total", and where both periods have power "power".
    inside : bool array, shape (n of after,)
        Stretches of the after period inside the baseline's range; the others are set apart.
    estimates : mapping of str to PeriodEstimate
        See `airside.compare.period_change.estimates`.
    days : tuple of DayInfluence
        The change without each day in turn.
    warnings : tuple of VisitWarning
    season : Season or None
    """

    before: Period
    after: Period
    baselines: Mapping[str, Baseline]
    inside: NDArray[np.bool_]
    estimates: Mapping[str, PeriodEstimate]
    days: tuple[DayInfluence, ...]
    warnings: tuple[VisitWarning, ...]
    season: Season | None = None

    @property
    def title(self) -> str:  # type: ignore[override]
        """Names of both periods."""
        return f"{self.before.name} → {self.after.name}"

    @property
    def change(self) -> PeriodEstimate:
        """Relative change of total capacity at the after period's conditions [fraction]."""
        return self.estimates["change_total"]

    @property
    def is_change_supported(self) -> bool:
        """Whether the 95 % interval of the change in total capacity leaves out zero."""
        return self.change.is_supported

    @property
    def smallest_detectable_ratio(self) -> float:
        """Smallest relative change that these periods could have shown (5 % level, 80 % power) [fraction]."""
        return DETECTION * self.change.standard_uncertainty / (1 + self.change.value)

    @cached_property
    def verdict(self) -> str:
        """What the data support, in one sentence with its number."""
        return self._sentence("change_total", "total capacity")

    @property
    def further_sentences(self) -> tuple[str, ...]:
        """The same of power and of efficiency, where they are known."""
        return tuple(
            self._sentence(name, words)
            for name, words in (("change_power", "power"), ("change_efficiency", "efficiency"))
            if name in self.estimates
        )

    def _sentence(self, name: str, words: str) -> str:
        found = self.estimates[name]
        where = "against what the baseline predicts at the same conditions"
        low, high = found.interval_95
        if not found.is_supported:
            detectable = DETECTION * found.standard_uncertainty / (1 + found.value)
            return (
                f"The data do not show a change in {words} {where}: {percent(found.value, 1, sign=True)}, 95 % interval "
                f"{_bare(low)} to {percent(high, 1)}. A change below {percent(detectable, 1)} could not be seen reliably."
            )
        word, ends = ("gain", (low, high)) if low > 0 else ("loss", (-high, -low))
        if name == "change_power":
            word = "rise" if low > 0 else "fall"
        return (
            f"The data support a {word} of {percent(abs(found.value), 1)} in {words} {where}, 95 % interval {_bare(ends[0])} to "
            f"{percent(ends[1], 1)}."
        )

    @property
    def set_apart(self) -> int:
        """Stretches of the after period outside the baseline's range."""
        return int((~self.inside).sum())

    def basis_sentences(self, units: UnitSystem | None = None) -> tuple[str, ...]:
        """On what the figure rests: stretches and days, the model and its fit, what was set apart, what was left out."""
        system = units or self.before.units
        base = self.baselines["total"]
        used = [WORDS[t] for t in base.terms.used]
        listed = ", ".join(used[:-1]) + (" and " if len(used) > 1 else "") + used[-1] if used else ""
        kept = len(self.after) - self.set_apart
        found = [
            f"Before: {len(self.before):,} steady stretches of {_days(self.before)}. After: {len(self.after):,} of "
            f"{_days(self.after)}; {kept:,} are inside the baseline's range, {self.set_apart:,} outside and set apart.",
            f"Baseline: a straight line on {listed}." if listed else "Baseline: the mean of the before period.",
        ]
        found += [
            f"Fit of {FIGURE_WORDS[f]}: R² {b.r_squared:.2f}, CV(RMSE) {percent(b.cv_rmse, 1)}, NMBE {percent(b.nmbe, 1)}; "
            f"neighbouring residuals correlate by {b.autocorrelation:.2f}, {b.lags} lags count."
            for f, b in self.baselines.items()
        ]
        found += [
            f"Slope of {FIGURE_WORDS[f]}: {b.slope_text(t, system)}."
            for f, b in self.baselines.items()
            for t in b.terms.used
        ]
        ranges = [
            f"{WORDS[t]} {show(low, kind_of(t), system, unit=False)} to {show(high, kind_of(t), system)}"
            for t, (low, high) in base.terms.ranges.items()
        ]
        if ranges:
            found.append(f"Range of the baseline: {'; '.join(ranges)}.")
        return (*found, *base.terms.left_out.values())

    def budget(self, name: str = "change_total") -> list[tuple[str, float]]:
        """Shares of the variance of an output, the largest first: the model, the after period's scatter, each instrument.

        Parameters
        ----------
        name : str
            A key of `estimates`.
        """
        found = self.estimates[name]
        whole = found.standard_uncertainty**2
        names = {e.key: e.name for p in (self.after, self.before) for e in p.errors}
        parts = [("the baseline's fit", found.model), ("scatter of the after period", found.after)]
        parts += [(_named(names.get(k, k), k, self), v) for k, v in found.instruments.items()]
        shares: dict[str, float] = {}
        for part, size in parts:
            # Several files have the same errors, each its own.
            shares[part] = shares.get(part, 0.0) + (size**2 / whole if whole else 0.0)
        return sorted(shares.items(), key=lambda part: -part[1])

    @property
    def influence(self) -> tuple[float, float] | None:
        """Lowest and highest change with any one day left out [fraction]; None where a day cannot be left out."""
        known = [d.without for d in self.days if np.isfinite(d.without)]
        return (min(known), max(known)) if known else None

    def cost(self, name: str) -> float | None:
        """An energy of the season in money; None where no price is stated."""
        if self.season is None or self.season.price is None or name not in self.estimates:
            return None
        return self.estimates[name].value / KWH * self.season.price.per_kwh

    def cost_interval(self, name: str) -> tuple[float, float] | None:
        """The 95 % interval of `cost`."""
        if self.season is None or self.season.price is None or name not in self.estimates:
            return None
        low, high = (v / KWH * self.season.price.per_kwh for v in self.estimates[name].interval_95)
        return low, high

    def season_sentences(self) -> tuple[str, ...]:
        """The season in words; empty without bins."""
        season = self.season
        if season is None:
            return ()
        found = [
            f'Season "{season.bins.name}": {season.hours:,.0f} hours of running inside the baseline\'s outdoor range, the other '
            "conditions at their mean of the before period, the change taken to be the same in all bins."
        ]
        price, cost = season.price, {n: self.cost(n) for n in self.estimates}
        saved, interval = cost.get("energy_saved"), self.cost_interval("energy_saved")
        if price is None or saved is None or interval is None:
            return tuple(found)
        names = {
            "energy_before": "baseline",
            "energy_after": "after, same hours",
            "energy_same_heat": "after, for the baseline's heat",
        }
        listed = "; ".join(f"{words} {price.text(c)}" for n, words in names.items() if (c := cost[n]) is not None)
        found.append(f"Cost of electric energy in these hours at {price.rate}: {listed}.")
        low, high = interval
        if low <= 0 <= high:
            found.append(
                f"For the same heat the data do not show a difference in cost: {price.text(saved)} saved, 95 % interval "
                f"{low:,.2f} to {price.text(high)}."
            )
        else:
            word, ends = ("saves", (low, high)) if low > 0 else ("costs more by", (-high, -low))
            found.append(
                f"For the same heat the after period {word} {price.text(abs(saved))}, 95 % interval {ends[0]:,.2f} to "
                f"{price.text(ends[1])}."
            )
        return tuple(found)

    def weighty(self) -> list[str]:
        """Warnings that may undo the verdict."""
        return [w.message for w in self.warnings if w.code in WEIGHTY]

    def rows(self) -> Iterable[Row]:
        """Every output with its uncertainty and interval."""
        return [
            Row(n, e.value, LABELS[n][1], LABELS[n][0], e.standard_uncertainty, e.interval_95)
            for n, e in self.estimates.items()
        ]

    def notes(self) -> Iterable[str]:
        """Warnings, what the figure rests on, and what was assumed."""
        return [*(w.message for w in self.warnings), *self.assumptions()]

    def assumptions(self, units: UnitSystem | None = None) -> list[str]:
        """Everything that was assumed, each sentence once."""
        found = [
            *self.basis_sentences(units), *self.season_sentences(), *self.before.notes, *self.after.notes,
            "Standard errors are the larger of Newey and West's (Andrews' bandwidth, widened after Kiefer and Vogelsang) and those "
            "of a first-order autoregression, or those of the days' sums where these give twice the variance; instrument errors "
            "that both periods share cancel as far as they act alike.",
        ]  # fmt: skip
        return list(dict.fromkeys(found))

    def text(self, units: UnitSystem | None = None) -> str:
        """Verdict and figures as lines of text; by default in the units of the before period."""
        system = units or self.before.units
        rows = list(self.rows())
        width = max(len(r.title) for r in rows)
        lines = [self.title, "", self.verdict, *self.further_sentences, *(f"▲ {w}" for w in self.weighty()), ""]
        lines += [f"  {r.title:<{width}}  {r.text(system):>14}  {r.interval_text(system):>28}" for r in rows]
        others = [w.message for w in self.warnings if w.code not in WEIGHTY]
        return "\n".join([*lines, "", *others, *self.assumptions(system), "", SHORT])

    def html(self, units: UnitSystem | None = None) -> str:
        """Verdict, figures with intervals, and notes; by default in the units of the before period."""
        system = units or self.before.units
        cells = "".join(
            f'<tr><td style="text-align:left">{escape(r.title)}</td><td style="text-align:right">{escape(r.text(system))}</td>'
            f'<td style="text-align:right">{escape(r.interval_text(system))}</td></tr>'
            for r in self.rows()
        )
        said = "".join(f"<div>Warning: {escape(w.message)}</div>" for w in self.warnings)
        notes = "".join(f"<div>{escape(n)}</div>" for n in self.assumptions(system))
        return (
            f"<h4>{escape(self.title)}</h4><p><b>{escape(self.verdict)}</b></p>"
            f"<p>{escape(' '.join(self.further_sentences))}</p>{said}"
            f"<table><tr><th></th><th>value</th><th>95 % interval</th></tr>{cells}</table>{notes}<p><i>{escape(SHORT)}</i></p>"
        )

    def _repr_html_(self) -> str:
        return self.html()

    def __str__(self) -> str:
        return self.text()

    def to_dict(self) -> dict[str, Any]:
        """The stable contract of ``airside longrun --json``, SI."""
        found: dict[str, Any] = {
            "format": FORMAT, "verdict": self.verdict, "mode": self.before.mode,
            "before": _period_dict(self.before), "after": _period_dict(self.after) | {
                "stretches_inside": int(self.inside.sum()), "stretches_set_apart": self.set_apart,
            },
            "baseline": {f: _baseline_dict(b) for f, b in self.baselines.items()},
            "left_out": dict(self.baselines["total"].terms.left_out),
            "range": {
                r.key: [plain(low), plain(high)] for t, (low, high) in self.baselines["total"].terms.ranges.items()
                for r in [Row(t, 0.0, kind_of(t))]
            },
            "estimates": {
                r.key: {
                    "value": plain(r.value), "u": plain(e.standard_uncertainty), "u_model": plain(e.model), "u_after": plain(e.after),
                    "u_instruments": plain(e.instrument), "interval_95": [plain(v) for v in e.interval_95],
                } for r, e in zip(self.rows(), self.estimates.values(), strict=True)
            },
            "smallest_detectable_ratio": plain(self.smallest_detectable_ratio),
            "budget": [{"error": n, "share": s} for n, s in self.budget() if s >= 1e-4],
            "without_day": [{"day": d.day, "period": d.period, "change": plain(d.without)} for d in self.days],
            "season": self._season_dict(),
            "warnings": [{"code": w.code, "message": w.message} for w in self.warnings],
            "assumptions": self.assumptions(), "safety": SHORT,
        }  # fmt: skip
        return found

    def _season_dict(self) -> dict[str, Any] | None:
        if self.season is None:
            return None
        price = self.season.price
        return {
            "name": self.season.bins.name, "dry_bulb_C": plain(self.season.bins.dry_bulb), "hours": plain(self.season.bins.hours),
            "inside": plain(self.season.inside), "hours_set_apart": self.season.set_apart_hours,
            "price_per_kWh": None if price is None else price.per_kwh, "currency": None if price is None else price.currency,
            "cost": {n: self.cost(n) for n in self.estimates if n.startswith("energy")} if price is not None else None,
        }  # fmt: skip

    def to_frame(self) -> Any:
        """A row for each stretch as a pandas frame in SI: period, begin, conditions, figures, what the baseline says."""
        import pandas as pd

        parts = []
        for period, which in ((self.before, "before"), (self.after, "after")):
            stamps = pd.to_datetime(period.begin, unit="s", utc=period.zone is not None)
            columns: dict[str, Any] = {
                "period": which, "begin": stamps.tz_convert(period.zone) if period.zone is not None else stamps, "day": period.day,
            }  # fmt: skip
            for name, values in period.columns.items():
                kind = {"total": "capacity", "power": "power"}.get(name) or kind_of(name)
                columns[Row(name, 0.0, kind).key] = values
            for figure, base in self.baselines.items():
                columns[f"predicted_{figure}_W"] = base.predict(period.columns)
            columns["inside"] = True if which == "before" else self.inside
            parts.append(pd.DataFrame(columns))
        return pd.concat(parts, ignore_index=True)


def _bare(fraction: float) -> str:
    return percent(fraction, 1).removesuffix(" %")


def _days(period: Period) -> str:
    count = len(period.days)
    return "1 day" if count == 1 else f"{count} days"


def _named(name: str, key: str, found: LongRun) -> str:
    """Errors of one period alone say which period."""
    in_before, in_after = key in found.before.effects, key in found.after.effects
    if in_before and in_after:
        return name
    return f"{'before' if in_before else 'after'}: {name}"


def _period_dict(period: Period) -> dict[str, Any]:
    return {
        "name": period.name, "stretches": len(period), "days": len(period.days), "first": period.text_of(0),
        "last": period.text_of(-1), "stages": list(period.stages),
    }  # fmt: skip


def _baseline_dict(base: Baseline) -> dict[str, Any]:
    keys = ["constant_W", *(f"per_{Row(t, 0.0, kind_of(t)).key}" for t in base.terms.used)]
    return {
        "at_centre": {Row(t, 0.0, kind_of(t)).key: plain(c) for t, c in zip(base.terms.used, base.terms.centre, strict=True)},
        "coefficients": dict(zip(keys, plain(base.coefficients), strict=True)),
        "standard_errors": dict(zip(keys, plain(base.standard_errors), strict=True)),
        "r_squared": base.r_squared, "cv_rmse": base.cv_rmse, "nmbe": base.nmbe, "autocorrelation": base.autocorrelation,
        "lags": base.lags,
    }  # fmt: skip
