"""Everything that the readings of one visit give: states, airflow, capacity, warnings, assumptions."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from typing import Any

import numpy as np

from airside.air.process import Capacity, TextbookFactor, delivered_capacity, textbook_factors
from airside.air.properties import standard_atmosphere_pressure
from airside.air.state import MoistAir
from airside.airflow import Airflow
from airside.errors import ImpossibleStateError, Problem, VisitError
from airside.results import Result, Row
from airside.units import UnitSystem, show
from airside.visit.evidence import airflow_for, evidence_inputs
from airside.visit.plausibility import VisitWarning, unlikely_readings, unlikely_results
from airside.visit.schema import AirReadings, Visit

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
    """

    visit: Visit
    return_air: MoistAir
    supply_air: MoistAir
    airflow: Airflow
    capacity: Capacity
    textbook: tuple[TextbookFactor, ...]
    warnings: tuple[VisitWarning, ...]
    assumptions: tuple[str, ...]

    @property
    def title(self) -> str:  # type: ignore[override]
        """Name of the visit."""
        return self.visit.name

    def parts(self) -> list[tuple[str, list[Row]]]:
        """The rows in their groups, each with its heading."""
        leave = ("vapour_pressure", "degree_of_saturation", "pressure", "density")
        return [
            (f"Delivered {self.visit.mode} capacity", list(self.capacity.rows())),
            (self.airflow.title, list(self.airflow.rows())),
            ("Return air", [r for r in self.return_air.rows() if r.name not in leave]),
            ("Supply air", [r for r in self.supply_air.rows() if r.name not in leave]),
        ]

    def rows(self) -> Iterable[Row]:
        """Every number, with the group's name in front of it."""
        heads = ("", "airflow", "return", "supply")
        return [
            Row(f"{head}_{r.name}" if head else r.name, r.value, r.kind, f"{head} {r.title.lower()}".strip())
            for head, (_, rows) in zip(heads, self.parts(), strict=True)
            for r in rows
        ]

    def text(self, units: UnitSystem | None = None) -> str:
        """Groups of lines in a unit system; by default that of the visit."""
        system = units or self.visit.units
        lines = [self.title]
        for heading, rows in self.parts():
            width = max(len(r.title) for r in rows)
            lines += ["", heading, *(f"  {r.title:<{width}}  {r.text(system)}" for r in rows)]
        lines += ["", "Warnings", *(f"  - {w.message}" for w in self.warnings)] if self.warnings else []
        lines += ["", "Assumptions", *(f"  - {a}" for a in self.assumptions)]
        return "\n".join(lines)

    def html(self, units: UnitSystem | None = None) -> str:
        """The groups as HTML tables; by default in the units of the visit."""
        system = units or self.visit.units
        blocks = [f"<h4>{escape(self.title)}</h4>"]
        blocks += [f"<div><b>Warning:</b> {escape(w.message)}</div>" for w in self.warnings]
        for heading, rows in self.parts():
            cells = "".join(
                f'<tr><td style="text-align:left">{escape(r.title)}</td>'
                f'<td style="text-align:right">{escape(r.text(system))}</td></tr>'
                for r in rows
            )
            blocks.append(f"<table><caption>{escape(heading)}</caption>{cells}</table>")
        said = "".join(f"<li>{escape(a)}</li>" for a in self.assumptions)
        blocks.append(f"<details><summary>Assumptions</summary><ul>{said}</ul></details>")
        return "".join(blocks)

    def to_dict(self) -> dict[str, Any]:
        """The stable contract of ``airside capacity --json``."""
        states = ("dry_bulb", "wet_bulb", "dew_point", "relative_humidity", "humidity_ratio", "enthalpy",
                  "specific_volume")  # fmt: skip

        def picked(result: Result, names: tuple[str, ...]) -> dict[str, Any]:
            return {r.key: v for r, v in zip(result.rows(), result.to_dict().values(), strict=True) if r.name in names}

        figures = ("total", "sensible", "latent", "sensible_heat_ratio", "moisture_removal", "condensate_heat", "gross")
        flows = ("volume_flow", "standard_volume_flow", "dry_air_mass_flow", "relative_standard_uncertainty")
        return {
            "format": FORMAT,
            "visit": self.visit.name,
            "mode": self.visit.mode,
            "airflow": {"method": self.airflow.method, **picked(self.airflow, flows)},
            "return_air": picked(self.return_air, states),
            "supply_air": picked(self.supply_air, states),
            "barometric_pressure_Pa": float(self.return_air.pressure),
            "capacity": picked(self.capacity, figures),
            "textbook_factors": {
                t.name: {"factor_IP": t.factor, "factor_here_IP": t.factor_here if np.isfinite(t.factor_here) else None,
                         "capacity_W": t.textbook, "error": t.error if np.isfinite(t.error) else None}
                for t in self.textbook
            },
            "warnings": [{"code": w.code, "message": w.message} for w in self.warnings],
            "assumptions": list(self.assumptions),
        }  # fmt: skip

    def __str__(self) -> str:
        return self.text()

    def _repr_html_(self) -> str:
        return self.html()


def site_pressure(visit: Visit) -> tuple[float, str]:
    """Barometric pressure [Pa] of a visit, and the assumption behind it."""
    if visit.site.barometric_pressure is not None:
        return visit.site.barometric_pressure, "Barometric pressure as read at the site."
    assert visit.site.elevation is not None
    pressure = float(standard_atmosphere_pressure(visit.site.elevation))
    return pressure, (
        f"Barometric pressure {show(pressure, 'barometric_pressure', visit.units)} from the elevation by the "
        "standard atmosphere; weather moves it by a few percent."
    )


def air_at(visit: Visit, readings: AirReadings, place: str, pressure: float) -> MoistAir:
    """State of the mean readings of one place.

    Raises
    ------
    VisitError
        The means make an impossible state.
    """
    name = readings.humidity_name
    assert name is not None
    make = getattr(MoistAir, f"from_{name}")
    try:
        state: MoistAir = make(float(np.mean(readings.dry_bulb)), float(np.mean(getattr(readings, name))), pressure)
    except ImpossibleStateError as error:
        raise VisitError(str(visit.path or visit.name), [Problem(str(error), f"readings.{place}.{name}")]) from None
    return state


def analyse(visit: Visit) -> VisitResult:
    """Compute everything that one visit gives.

    Parameters
    ----------
    visit : Visit
        From `airside.load_visit`.

    Returns
    -------
    VisitResult

    Raises
    ------
    VisitError, TableError
        The readings make an impossible state, or the airflow evidence cannot be used.
    """
    pressure, pressure_said = site_pressure(visit)
    return_air = air_at(visit, visit.readings.return_air, "return", pressure)
    supply_air = air_at(visit, visit.readings.supply, "supply", pressure)
    airflow = airflow_for(visit, evidence_inputs(visit), return_air, supply_air)
    fan = visit.fan
    capacity = delivered_capacity(
        return_air, supply_air, airflow, mode=visit.mode,
        fan_power=float(np.mean(fan.power)) if fan is not None else None,
        fan_between_probes=fan is None or fan.position == "between probes",
    )  # fmt: skip
    warnings = (*unlikely_readings(visit), *unlikely_results(visit, airflow, capacity))
    assumptions = (
        pressure_said,
        "States are those of the mean readings.",
        *airflow.assumptions,
        f"Airflow uncertainty: {airflow.uncertainty_source}.",
        *capacity.assumptions,
    )
    textbook = textbook_factors(return_air, supply_air, float(airflow.volume_flow), capacity)
    return VisitResult(visit, return_air, supply_air, airflow, capacity, textbook, warnings, assumptions)
