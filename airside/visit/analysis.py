"""Everything that the readings of one visit give: states, airflow, capacity, warnings, assumptions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from html import escape
from typing import Any

import numpy as np

from airside.air.process import Capacity, TextbookFactor, textbook_factors
from airside.air.state import MoistAir
from airside.airflow import Airflow
from airside.cautions import SHORT
from airside.instruments.named_error import DEFAULT_DRAWS, DEFAULT_SEED
from airside.instruments.propagation import BudgetRow
from airside.results import Result, Row, rows_to_dict
from airside.units import UnitSystem
from airside.visit.inputs import corrections, site_pressure
from airside.visit.plausibility import VisitWarning
from airside.visit.schema import Visit
from airside.visit.uncertainty import VisitUncertainty, first_to_improve, visit_uncertainty

FORMAT = "airside capacity 1"


@dataclass(frozen=True, eq=False, repr=False)
class VisitResult(Result):
    """Result of one visit.

    Attributes
    ----------
    visit : Visit
    return_air, supply_air : MoistAir
    airflow : Airflow
    capacity : Capacity
    textbook : tuple of TextbookFactor
        The sea-level factors beside the exact result; never used for it.
    warnings : tuple of VisitWarning
    assumptions : tuple of str
    doubt : VisitUncertainty or None
        Named errors and their draws: budget, linear cross-check, estimates.
    """

    visit: Visit
    return_air: MoistAir
    supply_air: MoistAir
    airflow: Airflow
    capacity: Capacity
    textbook: tuple[TextbookFactor, ...]
    warnings: tuple[VisitWarning, ...]
    assumptions: tuple[str, ...]
    doubt: VisitUncertainty | None = None

    @property
    def title(self) -> str:  # type: ignore[override]
        """Name of the visit."""
        return self.visit.name

    def parts(self) -> list[tuple[str, list[Row]]]:
        """The rows in their groups, each with its heading."""
        return [
            (f"Delivered {self.visit.mode} capacity", self._rows("capacity")),
            (self.airflow.title, self._rows("airflow")),
            ("Return air", self._rows("return_air")),
            ("Supply air", self._rows("supply_air")),
        ]

    def _rows(self, part: str) -> list[Row]:
        """Rows of one part, with their doubt where it is asked for."""
        leave = ("vapour_pressure", "degree_of_saturation", "pressure", "density")
        rows = [r for r in getattr(self, part).rows() if r.name not in leave]
        if self.doubt is None:
            return rows
        if part not in self._kept:
            self._kept[part] = self.doubt.with_doubt(rows, getattr(self.doubt.measured, part).rows())
        return self._kept[part]

    @cached_property
    def _kept(self) -> dict[str, list[Row]]:
        return {}

    @cached_property
    def budget(self) -> list[BudgetRow]:
        """Share of each named error in the variance of total capacity, largest first."""
        return self.doubt.budget("total") if self.doubt is not None else []

    @property
    def improve(self) -> list[str]:
        """The largest shares of the budget: what to improve first."""
        return first_to_improve(self.budget)

    def rows(self) -> Iterable[Row]:
        """Every number, with the group's name in front of it."""
        heads = ("", "airflow", "return", "supply")
        return [
            replace(r, name=f"{head}_{r.name}" if head else r.name, label=f"{head} {r.title.lower()}".strip())
            for head, (_, rows) in zip(heads, self.parts(), strict=True)
            for r in rows
        ]

    def text(self, units: UnitSystem | None = None) -> str:
        """Groups of lines in a unit system; by default that of the visit."""
        system = units or self.visit.units
        lines = [self.title]
        for heading, rows in self.parts():
            width = max(len(r.title) for r in rows)
            lines += ["", heading]
            for r in rows:
                interval = r.interval_text(system)
                lines.append(f"  {r.title:<{width}}  {r.text(system):>16}  {interval}".rstrip())
        lines += ["", "Warnings", *(f"  - {w.message}" for w in self.warnings)] if self.warnings else []
        lines += ["", "Assumptions", *(f"  - {a}" for a in self.assumptions), "", SHORT]
        return "\n".join(lines)

    def html(self, units: UnitSystem | None = None) -> str:
        """The groups as HTML tables; by default in the units of the visit."""
        system = units or self.visit.units
        blocks = [f"<h4>{escape(self.title)}</h4>"]
        blocks += [f"<div><b>Warning:</b> {escape(w.message)}</div>" for w in self.warnings]
        for heading, rows in self.parts():
            cells = "".join(
                f'<tr><td style="text-align:left">{escape(r.title)}</td>'
                f'<td style="text-align:right">{escape(r.text(system))}</td>'
                f'<td style="text-align:right">{escape(r.interval_text(system))}</td></tr>'
                for r in rows
            )
            blocks.append(f"<table><caption>{escape(heading)}</caption>{cells}</table>")
        said = "".join(f"<li>{escape(a)}</li>" for a in self.assumptions)
        blocks.append(f"<details><summary>Assumptions</summary><ul>{said}</ul></details>")
        return "".join(blocks) + f"<p><i>{escape(SHORT)}</i></p>"

    def to_dict(self) -> dict[str, Any]:
        """The stable contract of ``airside capacity --json``."""
        states = ("dry_bulb", "wet_bulb", "dew_point", "relative_humidity", "humidity_ratio", "enthalpy",
                  "specific_volume")  # fmt: skip

        def picked(part: str, names: tuple[str, ...]) -> dict[str, Any]:
            return rows_to_dict(r for r in self._rows(part) if r.name in names)

        figures = ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal", "condensate_heat", "gross")
        flows = ("volume_flow", "standard_volume_flow", "dry_air_mass_flow", "relative_standard_uncertainty")
        return {
            "format": FORMAT,
            "visit": self.visit.name,
            "mode": self.visit.mode,
            "airflow": {"method": self.airflow.method, **picked("airflow", flows)},
            "return_air": picked("return_air", states),
            "supply_air": picked("supply_air", states),
            "barometric_pressure_Pa": float(self.return_air.pressure),
            "capacity": picked("capacity", figures),
            "textbook_factors": {
                t.name: {"factor_IP": t.factor, "factor_here_IP": t.factor_here if np.isfinite(t.factor_here) else None,
                         "capacity_W": t.textbook, "error": t.error if np.isfinite(t.error) else None}
                for t in self.textbook
            },
            "budget": [
                {"error": r.error.name, "kind": r.error.kind, "share": r.share} for r in self.budget if r.share >= 1e-4
            ],
            "propagation": self.doubt.sentences() if self.doubt is not None else [],
            "draws": self.doubt.draws.count if self.doubt is not None else 0,
            "draws_set_aside": self.doubt.set_aside if self.doubt is not None else 0,
            "warnings": [{"code": w.code, "message": w.message} for w in self.warnings],
            "assumptions": list(self.assumptions),
            "safety": SHORT,
        }  # fmt: skip

    def __str__(self) -> str:
        return self.text()

    def _repr_html_(self) -> str:
        return self.html()


def analyse(
    visit: Visit, *, count: int = DEFAULT_DRAWS, seed: int = DEFAULT_SEED, with_doubt: bool = True
) -> VisitResult:
    """Compute everything that one visit gives.

    Parameters
    ----------
    visit : Visit
        From `airside.load_visit`.
    count, seed : int
        Draws of the named errors; they are made when the doubt is first asked for.
    with_doubt : bool
        False leaves uncertainties out of rows and JSON.

    Returns
    -------
    VisitResult

    Raises
    ------
    VisitError, TableError
        The readings make an impossible state, or the airflow evidence cannot be used.
    """
    doubt = visit_uncertainty(visit, count=count, seed=seed)
    at = doubt.at_readings
    check = corrections(visit)
    assumptions = (
        *(visit.stretch.sentences if visit.stretch is not None else ()),
        site_pressure(visit)[1],
        "States are those of the mean readings.",
        *(check.sentences if check is not None else ()),
        *at.airflow.assumptions,
        f"Airflow uncertainty: {at.airflow.uncertainty_source}.",
        *at.capacity.assumptions,
        *(doubt.errors.assumptions if with_doubt else ()),
    )
    textbook = textbook_factors(at.return_air, at.supply_air, float(at.airflow.volume_flow), at.capacity)
    return VisitResult(
        visit, at.return_air, at.supply_air, at.airflow, at.capacity, textbook, tuple(doubt.warnings()), assumptions,
        doubt if with_doubt else None,
    )  # fmt: skip
