"""The field sheet: type or load one visit, and see states, capacity and chart change at once."""

from __future__ import annotations

from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError, FileError
from airside.files import write_whole
from airside.show.panels.fields import unit_buttons
from airside.show.panels.frame import PanelFrame, bundle
from airside.show.panels.visit_form import VisitForm
from airside.show.psychrometric import Process, figure_bytes, psychrometric_chart
from airside.units import UnitSystem, show
from airside.visit.analysis import VisitResult, analyse
from airside.visit.load import visit_from_data
from airside.visit.write import visit_text

# Draws while typing: the interval is good to a percent of itself, and the picture follows at once.
LIVE_DRAWS = 20_000


class FieldSheet:
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

    def __init__(self, file: str | Path | None = None) -> None:
        self.result: VisitResult | None = None
        self.form = VisitForm()
        self.units_choice = unit_buttons()
        units_row = widgets.HBox([widgets.HTML("<b>Units</b>"), self.units_choice], layout={"align_items": "center"})
        self.frame = PanelFrame(widgets.VBox([units_row, self.form.widget]), self._file_row())
        self.widget = self.frame.widget
        self.units_choice.observe(self._switch_units, names="value")
        self.form.on_change(self.refresh)
        if file is not None:
            self.load(file)
        else:
            self.refresh()

    def _file_row(self) -> Any:
        self.file_name = widgets.Text(
            placeholder="visit.toml", layout={"width": "340px"}, tooltip="Name of a visit file"
        )
        self.load_button = widgets.Button(description="Load", tooltip="Bring in the visit file of this name")
        self.new_button = widgets.Button(description="New", tooltip="Empty the sheet", layout={"width": "70px"})
        self.new_button.on_click(lambda _: self.clear())
        self.kept = widgets.HTML()
        self.save_button = widgets.Button(description="Save", tooltip="Write the sheet as a visit file")
        self.replace = widgets.Checkbox(value=False, description="replace an existing file", indent=False,
                                        layout={"width": "190px"})  # fmt: skip
        self.load_button.on_click(lambda _: self._load_clicked())
        self.save_button.on_click(lambda _: self._save_clicked())
        row = widgets.HBox(
            [widgets.HTML("<b>Visit file</b>"), self.file_name, self.load_button, self.save_button, self.new_button,
             self.replace],
            layout={"flex_flow": "row wrap", "margin": "6px 0 0"},
        )  # fmt: skip
        return widgets.VBox([row, self.kept])

    def clear(self) -> None:
        """Empty the sheet; files stay as they are."""
        self.form.clear()
        self.file_name.value = ""
        self.result = None
        self.frame.clear()
        self.refresh()

    @property
    def units(self) -> UnitSystem:
        """Units of the bare numbers on the sheet."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    def data(self) -> dict[str, Any]:
        """The sheet as nested dictionaries, as a visit file holds it."""
        return self.form.data()

    def load(self, file: str | Path) -> None:
        """Bring in a visit file.

        Raises
        ------
        VisitError
            The file is not a valid visit; the sheet stays as it is.
        """
        self.form.load(file)
        self.file_name.value = str(file)
        if self.units_choice.value != self.form.units:
            self.units_choice.value = self.form.units
        else:
            self.refresh()

    def save(self, file: str | Path, *, replace: bool = False) -> Path:
        """Write the sheet as a visit file that the command line reads.

        Raises
        ------
        VisitError, OutputError
            The sheet is not a valid visit, or the file exists.
        """
        text = visit_text(self.form.saved_data(Path(file).resolve().parent), path=Path(file))
        return write_whole(file, text, force=replace, option="the tick at “replace an existing file”")

    def _switch_units(self, _: Any) -> None:
        self.form.switch_units(self.units)
        self.refresh()

    def _load_clicked(self) -> None:
        name = self.file_name.value.strip()
        if not name:
            self.frame.say("Name the file first.", wrong=True)
            return
        try:
            self.load(name)
            self.frame.say(f"Loaded {name}.")
        except AirsideError as error:
            self.frame.say(f"{error}\nThe sheet is still as it was.", wrong=True)

    def _save_clicked(self) -> None:
        name = self.file_name.value.strip()
        if not name:
            self.frame.say("Name the file first.", wrong=True)
            return
        try:
            written = self.save(name, replace=self.replace.value)
            self.frame.say(f"Saved {written}. On the command line: airside capacity {written}")
        except AirsideError as error:
            self.frame.say(str(error), wrong=True)

    def refresh(self) -> None:
        """Compute the sheet and show it; what is wrong is marked at its field."""
        self.form.clear_marks()
        words = self.form.kept_words
        self.kept.value = (
            f'<div style="font-size:12px">Also from the file, used and saved with the sheet: {escape(words)}.</div>'
            if words
            else ""
        )
        if self.form.is_blank:
            self.frame.stale("Type the readings on the left, or load a visit file below.")
            return
        try:
            visit = visit_from_data(self.data(), "sheet", path=self.form.folder / "sheet.toml")
            self.result = analyse(visit, count=LIVE_DRAWS)
            self._show(self.result)
        except FileError as error:
            left = self.form.mark(error)
            self.frame.stale(" ".join(left) or "Something on the left is missing or wrong; it is marked there.")
        except AirsideError as error:
            self.frame.stale(str(error))

    def _show(self, result: VisitResult) -> None:
        units, capacity, flow = self.units, result.capacity, result.airflow
        intervals = {r.name: r.interval_text(units) for r in result.parts()[0][1]}
        sentence = (
            f"Delivered {capacity.mode}: <b>{escape(show(float(capacity.total), 'capacity', units))}</b>, "
            f"95 % interval {escape(intervals['total'])}, by {escape(flow.method)}."
        )
        figures = [
            ("Sensible", show(float(capacity.sensible), "capacity", units)),
            ("Latent", show(float(capacity.latent), "capacity", units)),
            ("Sensible heat ratio", show(float(capacity.sensible_heat_ratio), "fraction", units)),
            ("Moisture removal", show(float(capacity.moisture_removal), "moisture_rate", units)),
            ("Airflow", show(float(flow.volume_flow), "volume_flow", units)),
            ("as standard air", show(float(flow.standard_volume_flow), "volume_flow", units)),
            ("Improve first", result.improve[0] if result.improve else "nothing"),
        ]
        axes = psychrometric_chart([Process(result.return_air, result.supply_air)], units=units)
        self.frame.show(
            sentence, figures, figure_bytes(axes.figure, "png", dpi=110), result.warnings, result.assumptions
        )

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, "Field sheet: needs a running kernel and widgets to show.")
