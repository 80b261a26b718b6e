"""Airflow evidence: choose how the airflow is known, type what was read, and see the flow with its doubt."""

from __future__ import annotations

from html import escape
from pathlib import Path

from airside.show.airflow import airflow_chart
from airside.show.panels.frame import Shown
from airside.show.panels.panel import Panel
from airside.show.panels.visit_form import VisitForm
from airside.units import percent, show
from airside.visit.analysis import VisitResult, analyse


class AirflowEvidence(Panel):
    """Panel for the airflow of one visit.

    Parameters
    ----------
    file : str or Path, optional
        A visit file to begin with.

    Attributes
    ----------
    result : VisitResult or None
        The last good result.
    """

    title = "Airflow evidence"
    key = "airflow_evidence"

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.result: VisitResult | None = None
        self.forms["visit"] = VisitForm(("Airflow", "Visit", "Return air", "Supply air"), opened=("Airflow",))
        self.build([self.form.widget])
        self.start(file)

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.result = None
        super().clear()

    def find(self, *, is_draft: bool) -> Shown:
        """The airflow of the evidence as it stands, and what its doubt does to the capacity."""
        self.result = result = analyse(self.visit(), count=self.draws)
        units, flow = self.units, result.airflow
        rows = {r.name: r for _, rows in result.parts() for r in rows}
        sentence = (
            f"{escape(flow.title)}: <b>{escape(show(float(flow.volume_flow), 'volume_flow', units))}</b>, "
            f"95 % interval {escape(rows['volume_flow'].interval_text(units))}."
        )
        share = sum(r.share for r in result.budget if r.error.name.lower().startswith("airflow"))
        figures = [
            ("As standard air", show(float(flow.standard_volume_flow), "volume_flow", units)),
            ("Dry air", show(float(flow.dry_air_mass_flow), "mass_flow", units)),
            ("Standard uncertainty of the method", percent(float(flow.relative_standard_uncertainty), 1)),
            ("Total capacity with it", show(float(result.capacity.total), "capacity", units)),
            ("Its share of the capacity's doubt", percent(share, 0)),
        ]
        nominal = result.visit.system.nominal_capacity
        if nominal is not None:
            per = float(flow.volume_flow) / nominal
            figures.insert(2, ("Flow per nominal capacity", show(per, "flow_per_capacity", units)))
        figure = airflow_chart(result, units=units, theme=self.theme)
        return Shown(sentence, figures, figure, result.warnings, result.assumptions)
