"""`Change`: what a comparison of two visits found; it prints, exports and says its verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from html import escape
from typing import Any

import numpy as np

from airside.air.blocks import Array
from airside.cautions import SHORT
from airside.compare.correction import Correction
from airside.compare.reference import Conditions
from airside.instruments.named_error import NamedError
from airside.instruments.propagation import BudgetRow, Estimate, estimate
from airside.results import Result, Row, plain
from airside.units import KINDS, UnitSystem, percent, show
from airside.visit.plausibility import VisitWarning
from airside.visit.refrigerant_side import refrigerant_side
from airside.visit.uncertainty import VisitUncertainty, first_to_improve

FORMAT = "airside compare 1"
# Two-sided test at the 5 % level, 80 % power: 1.960 + 0.842 standard uncertainties (normal distribution).
DETECTION = 1.959964 + 0.841621

# Inputs that total capacity is made of.
_OF_CAPACITY = ("return.", "supply.", "airflow", "pressure")

KINDS_OF = {
    "total": "capacity", "sensible": "capacity", "latent": "capacity", "sensible_heat_ratio": "fraction",
    "moisture_removal": "moisture_rate", "coefficient_of_performance": "efficiency",
}  # fmt: skip


@dataclass(frozen=True)
class Figure:
    """One figure before and after, its change and its relative change, each with its doubt."""

    name: str
    before: Estimate
    after: Estimate
    change: Estimate
    ratio: Estimate

    @property
    def kind(self) -> str:
        """Kind of quantity."""
        return KINDS_OF[self.name]

    def title(self, units: UnitSystem) -> str:
        """What a person reads."""
        if self.name == "coefficient_of_performance":
            return "Efficiency (EER)" if units == "IP" else "Efficiency (COP)"
        words = self.name.replace("_", " ")
        return words[:1].upper() + words[1:]

    @property
    def key(self) -> str:
        """JSON key with the SI unit."""
        suffix = KINDS[self.kind].suffix
        return f"{self.name}_{suffix}" if suffix else self.name


@dataclass(frozen=True, eq=False, repr=False)
class Change(Result):
    """Change between two visits.

    Attributes
    ----------
    before, after : VisitUncertainty
    figures : dict of str to Figure
        As measured: total, sensible, latent, sensible_heat_ratio, moisture_removal, and
        coefficient_of_performance where power is known.
    at_reference : dict of str to Figure
        At the same conditions: total, and coefficient_of_performance where power is known.
    ratios : dict of str to Estimate
        Relative change of total capacity [fraction]: "raw", and "reference" where there is one.
    draws : dict of str to array
        Draws of `ratios`.
    reference : Conditions or None
    correction : Correction or None
    reason : str
        Why there is no change at the same conditions.
    budgets : dict of str to list of BudgetRow
        Of `ratios`.
    probability_of_increase : float [fraction]
        That total capacity rose, at the same conditions where there are such.
    set_aside : int
        Draws on impossible states.
    shared : tuple of NamedError
        Errors that both visits have.
    """

    before: VisitUncertainty
    after: VisitUncertainty
    figures: dict[str, Figure]
    at_reference: dict[str, Figure]
    ratios: dict[str, Estimate]
    draws: dict[str, Array]
    reference: Conditions | None
    correction: Correction | None
    reason: str
    budgets: dict[str, list[BudgetRow]]
    probability_of_increase: float
    set_aside: int
    shared: tuple[NamedError, ...]
    warnings: tuple[VisitWarning, ...] = ()
    notes_on_correction: tuple[str, ...] = ()

    @property
    def title(self) -> str:  # type: ignore[override]
        """Names of both visits."""
        return f"{self.before.visit.name} → {self.after.visit.name}"

    @property
    def basis(self) -> str:
        """Which of `ratios` counts: "reference" where there is one, else "raw"."""
        return "reference" if "reference" in self.ratios else "raw"

    @property
    def is_change_supported(self) -> bool:
        """Whether the 95 % interval of the relative change leaves out zero."""
        low, high = self.ratios[self.basis].interval_95
        return low > 0 or high < 0

    @property
    def smallest_detectable_ratio(self) -> float:
        """Smallest relative change that this pair could have shown (5 % level, 80 % power) [fraction].

        Judged as if nothing had changed: the doubt of a ratio grows with the ratio itself.
        """
        found = self.ratios[self.basis]
        return DETECTION * found.standard_uncertainty / (1 + found.value)

    @cached_property
    def verdict(self) -> str:
        """What the data support, in one sentence with its number."""
        found = self.ratios[self.basis]
        low, high = (_percent(v) for v in found.interval_95)
        where = "at the same conditions" if self.basis == "reference" else "as measured, not at the same conditions"
        if not np.isfinite(found.standard_uncertainty):
            return "The data say nothing: no draw of both visits is a state that can be."
        if found.standard_uncertainty == 0 and found.value == 0:
            return "Before and after are one and the same visit: the change in total capacity is 0.0 %."
        if self.is_change_supported:
            gains = found.interval_95[0] > 0
            word = "gain" if gains else "loss"
            if not gains:
                low, high = _percent(-found.interval_95[1]), _percent(-found.interval_95[0])
            return (
                f"The data support a {word} of {_percent(abs(found.value))} % in total capacity {where}, "
                f"95 % interval {low} to {high} %."
            )
        return (
            f"The data do not show a change in total capacity {where}: {_percent(found.value, sign=True)} %, 95 % interval "
            f"{low} to {high} %. A change below {_percent(self.smallest_detectable_ratio)} % could not be seen reliably."
        )

    @cached_property
    def cancelled(self) -> str:
        """What is common to both visits and cancelled, with what it saves, in one sentence."""
        # Gauges and power meters are shared too, but total capacity has nothing of them.
        uses = self.before.errors.uses.items()
        matter = {key for entry, used in uses if entry.startswith(_OF_CAPACITY) for key, _ in used}
        shared = [e for e in self.shared if e.key in matter]
        if not shared:
            return "The two visits share no named error: nothing cancels. Name the same instruments in both."
        before, after = (np.asarray(v.measured.capacity.total) for v in (self.before, self.after))
        # The same draws out of step: what two unrelated visits of this kind would give.
        apart = estimate(0.0, np.roll(after, 1) / before - 1).standard_uncertainty
        together = self.ratios["raw"].standard_uncertainty
        listed = "; ".join(e.name for e in shared[:6]) + ("; and others" if len(shared) > 6 else "")
        if together > apart:
            return (
                f"Common to both visits: {listed}. Here it does not cancel but adds up: the relative change is good to "
                f"{percent(together, 1)} (standard uncertainty, as measured), and would be to {percent(apart, 1)} with "
                "unrelated instruments. Were the probes of return and supply exchanged between the visits?"
            )
        return (
            f"Common to both visits, so it cancels as far as it acts alike: {listed}. The relative change is good to "
            f"{percent(together, 1)} (standard uncertainty, as measured); with nothing in common it would be {percent(apart, 1)}."
        )

    @property
    def improve(self) -> list[str]:
        """The largest shares of the budget: what to improve first."""
        return first_to_improve(self.budgets.get(self.basis, []))

    def all_warnings(self) -> list[VisitWarning]:
        """Warnings of the pair and of both visits."""
        found = list(self.warnings)
        for which, visit in (("Before", self.before), ("After", self.after)):
            found += [VisitWarning(w.code, f"{which}: {w.message}") for w in visit.warnings()]
            side, _ = refrigerant_side(visit)
            found += [
                VisitWarning(w.code, f"{which}: {w.message}") for w in (side.warnings if side is not None else ())
            ]
        if self.reason:
            found.append(VisitWarning("not_at_reference", self.reason))
        if self.set_aside:
            share = self.set_aside / self.before.draws.count
            shift = self.ratios[self.basis].mean - self.ratios[self.basis].value
            found.append(VisitWarning(
                "draws_set_aside",
                f"{self.set_aside:,} of {self.before.draws.count:,} draws ({percent(share, 1)}) were air that cannot be, beyond "
                f"saturation, and were set aside; the mean of the rest is {percent(shift, 1, sign=True)} of capacity from the "
                "change at the readings.",
            ))  # fmt: skip
        return found

    def assumptions(self) -> list[str]:
        """Everything that was assumed, each sentence once."""
        found = []
        if self.correction is not None:
            found.append(f"Brought to the same conditions by the {self.correction.name}.")
            found.append(
                f"The slope of the correction along each axis is good to {percent(self.correction.doubt, 0)} of itself (standard "
                "uncertainty)."
            )
            found.append(
                "Only total capacity and efficiency are brought to the same conditions; sensible, latent, sensible heat ratio "
                "and moisture removal are as measured, because the correction has total capacity and power alone."
            )
            if not self.correction.same_flow:
                found.append("A change of airflow is part of the change; it is not corrected.")
        found += self.notes_on_correction
        for name, visit in (("Before", self.before), ("After", self.after)):
            if visit.visit.stretch is not None:
                found += [f"{name}: {said}" for said in visit.visit.stretch.sentences[:-1]]
                found.append(visit.visit.stretch.sentences[-1])
            found += visit.errors.assumptions
        found.append(f"{self.before.draws.count:,} draws, seed {self.before.draws.seed}.")
        return list(dict.fromkeys(found))

    def rows(self) -> Iterable[Row]:
        """Every number, as measured and at the same conditions."""
        found = []
        for group, figures in (("", self.figures), ("at_reference_", self.at_reference)):
            for figure in figures.values():
                for part in ("before", "after", "change", "ratio"):
                    e: Estimate = getattr(figure, part)
                    kind = "fraction" if part == "ratio" else figure.kind
                    found.append(Row(f"{group}{part}_{figure.name}", e.value, kind, "", e.standard_uncertainty,
                                     e.interval_95))  # fmt: skip
        return found

    def notes(self) -> Iterable[str]:
        """Warnings and assumptions."""
        return [*(w.message for w in self.all_warnings()), *self.assumptions()]

    def text(self, units: UnitSystem | None = None) -> str:
        """Verdict and figures as lines of text; by default in the units of the before visit."""
        system = units or self.before.visit.units
        lines = [
            self.title,
            "",
            self.verdict,
            f"Probability that capacity rose: {percent(self.probability_of_increase, 1)}",
        ]
        for heading, figures in self.groups(system):
            lines += ["", heading]
            for figure in figures:
                cells = figure_cells(figure, system)
                lines.append(f"  {cells[0]:<22}{cells[1]:>15}{cells[2]:>15}  {cells[3]:>36}  {cells[4]:>26}")
        lines += ["", self.cancelled, "", SHORT]
        return "\n".join(lines)

    def html(self, units: UnitSystem | None = None) -> str:
        """Verdict and one table for each group, with intervals; by default in the units of the before visit."""
        system = units or self.before.visit.units
        blocks = [f"<h4>{escape(self.title)}</h4><p><b>{escape(self.verdict)}</b></p>"]
        blocks += [f"<div>Warning: {escape(w.message)}</div>" for w in self.all_warnings()]
        for heading, figures in self.groups(system):
            head = "".join(
                f"<th>{n}</th>" for n in ("", "before", "after", "change (95 % interval)", "relative change")
            )
            rows = "".join(
                "<tr>"
                + "".join(f'<td style="text-align:right">{escape(c)}</td>' for c in figure_cells(f, system))
                + "</tr>"
                for f in figures
            )
            blocks.append(f"<table><caption>{escape(heading)}</caption><tr>{head}</tr>{rows}</table>")
        return "".join(blocks) + f"<p>{escape(self.cancelled)}</p><p><i>{escape(SHORT)}</i></p>"

    def _repr_html_(self) -> str:
        return self.html()

    def groups(self, units: UnitSystem | None = None) -> list[tuple[str, list[Figure]]]:
        """Figures in their groups, each with its heading."""
        found = []
        if self.at_reference and self.reference is not None:
            text = self.reference.text(units or self.before.visit.units, self.before.visit.mode)
            found.append((f"At the same conditions ({text})", list(self.at_reference.values())))
        found.append(("As measured", list(self.figures.values())))
        return found

    def to_dict(self) -> dict[str, Any]:
        """The stable contract of ``airside compare --json``."""

        def side(figures: dict[str, Figure], part: str) -> dict[str, Any]:
            return {f.key: getattr(f, part).to_dict() for f in figures.values()}

        def changes(figures: dict[str, Figure]) -> dict[str, Any]:
            found: dict[str, Any] = {f.key: f.change.to_dict() for f in figures.values()}
            return found | {f"{f.name}_ratio": f.ratio.to_dict() for f in figures.values()}

        from airside.compare.moved import moved_rows

        reference = None
        if self.reference is not None:
            reference = {
                "name": self.reference.name, "indoor_C": float(self.reference.indoor),
                "outdoor_dry_bulb_C": float(self.reference.outdoor),
                "by": self.correction.name if self.correction else None,
            }  # fmt: skip
        return {
            "format": FORMAT,
            "before": {"visit": self.before.visit.name, **side(self.figures, "before")},
            "after": {"visit": self.after.visit.name, **side(self.figures, "after")},
            "mode": self.before.visit.mode,
            "change": changes(self.figures),
            "reference": reference,
            "change_at_reference": changes(self.at_reference) if self.at_reference else None,
            "moved": {row.key: row.to_dict() for row in moved_rows(self)},
            "probability_of_increase": plain(self.probability_of_increase),
            "smallest_detectable_ratio": plain(self.smallest_detectable_ratio),
            "verdict": self.verdict,
            "cancelled": self.cancelled,
            "budget": {
                name: [{"error": r.error.name, "kind": r.error.kind, "share": r.share} for r in rows if r.share >= 1e-4]
                for name, rows in self.budgets.items()
            },
            "draws": self.before.draws.count,
            "draws_set_aside": self.set_aside,
            "warnings": [{"code": w.code, "message": w.message} for w in self.all_warnings()],
            "assumptions": self.assumptions(),
            "safety": SHORT,
        }

    def __str__(self) -> str:
        return self.text()


def _percent(value: float, *, sign: bool = False) -> str:
    text = f"{value * 100:{'+' if sign else ''}.1f}"
    return text.replace("-0.0", "0.0").replace("+0.0", "0.0")


def figure_cells(figure: Figure, units: UnitSystem) -> tuple[str, str, str, str, str]:
    """Name, before, after, change with interval, relative change with interval, as text."""
    from airside.units import show_difference

    low, high = (show_difference(v, figure.kind, units) for v in figure.change.interval_95)
    change = f"{show_difference(figure.change.value, figure.kind, units)}  ({low.split(' ')[0]} to {high})"
    ratio = figure.ratio
    relative = f"{_percent(ratio.value, sign=True)} %  ({' to '.join(_percent(v) for v in ratio.interval_95)} %)"
    return (
        figure.title(units),
        show(figure.before.value, figure.kind, units),
        show(figure.after.value, figure.kind, units),
        change,
        relative,
    )
