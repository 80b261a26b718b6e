"""The refrigerant side: pressures and line temperatures in, superheat, subcooling and what they say out."""

from __future__ import annotations

from pathlib import Path

from airside.compare.explanation import Explanation, explain
from airside.errors import AirsideError
from airside.show.panels.frame import Shown, whole, with_interval
from airside.show.panels.panel import Panel
from airside.show.panels.visit_form import VisitForm
from airside.show.refrigerant import refrigerant_chart
from airside.visit.uncertainty import visit_uncertainty


class RefrigerantPanel(Panel):
    """Panel for the refrigerant side of one visit.

    Parameters
    ----------
    file : str or Path, optional
        A visit file.

    Attributes
    ----------
    explanation : Explanation or None
        Of the last good input.
    """

    title = "Refrigerant side"
    key = "refrigerant_side"

    def __init__(self, file: str | Path | None = None) -> None:
        super().__init__()
        self.explanation: Explanation | None = None
        self.forms["visit"] = VisitForm(
            ("Refrigerant side", "Outdoor air", "Return air", "Supply air", "Airflow", "Visit", "Fan heat",
             "Electric power"),
            opened=("Refrigerant side", "Outdoor air"),
        )  # fmt: skip
        self.build([self.form.widget])
        self.start(file)

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self.explanation = None
        super().clear()

    def find(self, *, is_draft: bool) -> Shown:
        """What the refrigerant side says."""
        found = explain(visit_uncertainty(self.visit(), count=self.draws))
        side = found.refrigerant
        if side is None:
            raise AirsideError(found.reasons["refrigerant"])
        self.explanation = found
        sentences = found.finding_sentences(self.units)
        figures = [with_interval(r.title, r, self.units) for r in side.rows() if "glide" not in r.name]
        figure = refrigerant_chart(side, units=self.units, theme=self.theme, stacked=True)
        said = (*side.notes(), *sentences[1:])
        return Shown(whole(sentences[0] if sentences else "There is nothing to rank."), figures, figure,
                     tuple(side.warnings), said, as_table=True)  # fmt: skip
