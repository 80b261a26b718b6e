"""The refrigerant side: pressures and line temperatures in, superheat, subcooling and what they say out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.compare.explanation import Explanation, explain
from airside.errors import AirsideError, VisitError
from airside.refrigerant.names import REFRIGERANTS, find_refrigerant
from airside.show.panels.fields import ChoiceField, Field, NumberField, unit_buttons
from airside.show.panels.frame import PanelFrame, bundle, whole
from airside.show.panels.visit_form import VisitForm, get, put
from airside.show.psychrometric import figure_bytes
from airside.show.refrigerant import refrigerant_chart
from airside.units import UnitSystem
from airside.visit.load import visit_from_data
from airside.visit.uncertainty import visit_uncertainty

LIVE_DRAWS = 20_000


class RefrigerantPanel:
    """Panel for the refrigerant side of one visit.

    Parameters
    ----------
    file : str or Path
        A visit file; its air side is taken as it is.

    Attributes
    ----------
    explanation : Explanation or None
        Of the last good input.
    """

    def __init__(self, file: str | Path) -> None:
        self.explanation: Explanation | None = None
        self.form = VisitForm()
        self.units_choice = unit_buttons()
        self.fields = {f.path: f for f in _fields()}
        rows = [widgets.HBox([widgets.HTML("<b>Units</b>"), self.units_choice], layout={"align_items": "center"})]
        rows += [f.widget for f in self.fields.values()]
        self.file_name = widgets.Text(
            continuous_update=False, layout={"width": "340px"}, tooltip="Visit file; Enter loads it"
        )
        foot = widgets.HBox([widgets.HTML("<b>Visit file</b>"), self.file_name], layout={"margin": "6px 0 0"})
        self.frame = PanelFrame(widgets.VBox(rows), foot)
        self.widget = self.frame.widget
        self._quiet = False
        self.load(file)
        self.units_choice.observe(self._switch, names="value")
        self.file_name.observe(self._named, names="value")
        for field in self.fields.values():
            field.on_change(self.refresh)

    @property
    def units(self) -> UnitSystem:
        """Units of the bare numbers."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    def load(self, file: str | Path) -> None:
        """Bring in a visit file.

        Raises
        ------
        VisitError
            The file is not a valid visit; the panel stays as it is.
        """
        self.form.load(file)
        data = self.form.data()
        self._quiet = True
        self.units_choice.value = self.form.units
        self.file_name.value = str(file)
        for field in self.fields.values():
            field.set_units(self.form.units)
            field.take(get(data, field.path))
        self.fields["system.refrigerant"].take(_listed_name(get(data, "system.refrigerant")))
        self._quiet = False
        self.refresh()

    def _named(self, change: Any) -> None:
        name = change["new"].strip()
        if self._quiet or not name:
            return
        try:
            self.load(name)
            self.frame.say(f"Loaded {name}.")
        except AirsideError as error:
            self.frame.say(f"{error}\nThe visit is still the one from before.", wrong=True)

    def _switch(self, _: Any) -> None:
        if self._quiet:
            return
        self._quiet = True
        for field in self.fields.values():
            if isinstance(field, NumberField):
                field.switch_units(self.units)
        self.form.switch_units(self.units)
        self._quiet = False
        self.refresh()

    def data(self) -> dict[str, Any]:
        """The visit with the panel's refrigerant readings."""
        data = self.form.data()
        for path, field in self.fields.items():
            put(data, path, field.value())
        if get(data, "readings.outdoor") is not None and get(data, "readings.outdoor.dry_bulb") is None:
            # Without its readings the rest of the table says nothing.
            data["readings"].pop("outdoor")
        return data

    def refresh(self) -> None:
        """Compute and show; what is wrong is marked at its field."""
        if self._quiet:
            return
        for field in self.fields.values():
            field.say("")
        try:
            visit = visit_from_data(self.data(), "panel", path=self.form.folder / "panel.toml")
            found = explain(visit_uncertainty(visit, count=LIVE_DRAWS))
        except VisitError as error:
            left: list[str] = []
            for problem in error.problems:
                named = self.fields.get(problem.field)
                if named is None:
                    left.append(str(problem))
                else:
                    named.say((f"value {problem.row}: " if problem.row is not None else "") + problem.message)
            self.frame.stale(" ".join(left) or "Something on the left is missing or wrong; it is marked there.")
            return
        except AirsideError as error:
            self.frame.stale(str(error))
            return
        self._show(found)

    def _show(self, found: Explanation) -> None:
        side = found.refrigerant
        if side is None:
            self.frame.stale(found.reasons["refrigerant"])
            return
        self.explanation = found
        sentences = found.finding_sentences(self.units)
        figures = [(r.title, r.text(self.units)) for r in side.rows() if "glide" not in r.name]
        picture = figure_bytes(refrigerant_chart(side, units=self.units, stacked=True), "png", dpi=120)
        said = [*side.notes(), *sentences[1:]]
        self.frame.show(whole(sentences[0] if sentences else "There is nothing to rank."), figures, picture,
                        list(side.warnings), said)  # fmt: skip

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Refrigerant side: needs a running kernel and widgets to show.")


def _listed_name(name: str | None) -> str | None:
    """A file may write R410A where the list has R-410A; a name that is not known stays, and is said to be so."""
    try:
        return find_refrigerant(name or "").name
    except AirsideError:
        return name


def _fields() -> list[Field]:
    lines = "Clamp on a clean, insulated spot of the pipe"
    return [
        ChoiceField("system.refrigerant", "Refrigerant", "From the nameplate", list(REFRIGERANTS), empty=True,
                    free=True),
        ChoiceField("system.metering_device", "Metering device", "What feeds the indoor coil",
                    ["thermostatic valve", "electronic valve", "fixed orifice"], empty=True, free=True),
        NumberField("system.target_subcooling", "Target subcooling", "From the nameplate; may stay empty",
                    "temperature_difference"),
        NumberField("readings.refrigerant.suction_pressure", "Suction pressure, readings", "Gauge, at the outdoor unit",
                    "refrigerant_pressure", many=True),
        NumberField("readings.refrigerant.liquid_pressure", "Liquid pressure, readings", "Gauge, at the outdoor unit",
                    "refrigerant_pressure", many=True),
        NumberField("readings.refrigerant.suction_line_at_coil", "Suction line at the coil", lines, "temperature",
                    many=True),
        NumberField("readings.refrigerant.suction_line_at_outdoor_unit", "Suction line at the outdoor unit", lines,
                    "temperature", many=True),
        NumberField("readings.refrigerant.liquid_line", "Liquid line", lines, "temperature", many=True),
        NumberField("readings.refrigerant.discharge_line", "Discharge line", f"{lines}; hot: do not touch", "temperature",
                    many=True),
        NumberField("readings.outdoor.dry_bulb", "Outdoor dry bulb", "In the shade, at the outdoor coil's inlet",
                    "temperature", many=True),
    ]  # fmt: skip
