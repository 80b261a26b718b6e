"""The field sheet: type or load one visit, and see states, capacity and chart change at once."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

from airside.show.panels.frame import Shown, with_interval
from airside.show.panels.panel import Panel
from airside.show.panels.pictures import visit_picture
from airside.show.panels.visit_form import VisitForm
from airside.units import show
from airside.visit.analysis import VisitResult, analyse


class FieldSheet(Panel):
    """Panel for one visit.

    Parameters
    ----------
    file : str or Path, optional
        A visit file to begin with.

    Attributes
    ----------
    result : VisitResult or None
        The last good result.
    """

    title = "Field sheet"
    key = "field_sheet"

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.result: VisitResult | None = None
        self.forms["visit"] = VisitForm(opened=("Visit", "Return air", "Supply air", "Airflow"))
        self.build([self.form.widget])
        self.start(file)

    def clear(self) -> None:
        """Empty the sheet; files stay as they are."""
        self.result = None
        super().clear()

    def find(self, *, is_draft: bool) -> Shown:
        """The capacity of the readings as they stand."""
        self.result = result = analyse(self.visit(), count=self.draws)
        units, capacity, flow = self.units, result.capacity, result.airflow
        rows = {r.name: r for r in result.parts()[0][1]}
        sentence = (
            f"Delivered {capacity.mode}: <b>{escape(show(float(capacity.total), 'capacity', units))}</b>, "
            f"95 % interval {escape(rows['total'].interval_text(units))}, with the {escape(flow.title.lower())}."
        )
        figures: list[tuple[str, ...]] = [
            with_interval("Sensible", rows["sensible"], units),
            with_interval("Latent", rows["latent"], units),
            with_interval("Sensible heat ratio", rows["sensible_heat_ratio"], units),
            with_interval("Moisture removal", rows["moisture_removal"], units),
            ("Airflow", show(float(flow.volume_flow), "volume_flow", units)),
            ("as standard air", show(float(flow.standard_volume_flow), "volume_flow", units)),
            ("Improve first", result.improve[0] if result.improve else "nothing"),
        ]
        figure = visit_picture(result, units, self.theme)
        return Shown(sentence, figures, figure, result.warnings, result.assumptions)

    def picture(self) -> Any:
        """The chart in full size, with the visit's name."""
        assert self.result is not None
        return visit_picture(self.result, self.units, self.theme, title=self.result.title)
