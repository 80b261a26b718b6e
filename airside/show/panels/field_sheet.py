"""The field sheet: type or load one visit, and see states, capacity and chart change at once."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import AirsideError, VisitError
from airside.files import write_whole
from airside.show.cautions import SHORT
from airside.show.panels.airflow_fields import airflow_fields
from airside.show.panels.fields import ChoiceField, Field, NumberField, TextField
from airside.show.psychrometric import Process, figure_bytes, psychrometric_chart
from airside.units import UnitSystem, show
from airside.visit.analysis import VisitResult, analyse
from airside.visit.convert import convert_data
from airside.visit.load import load_visit, visit_from_data
from airside.visit.schema import FORMAT
from airside.visit.write import visit_text


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
        self.folder = Path(file).parent if file is not None else Path()
        # Parts of a loaded visit that the sheet has no fields for: kept, and written again.
        self._kept: dict[str, Any] = {}
        self._quiet = False
        self._build()
        if file is not None:
            self.load(file)
        else:
            self.refresh()

    # -- building -------------------------------------------------------------------------------

    def _build(self) -> None:
        self.units_choice = widgets.ToggleButtons(
            options=["IP", "SI"], tooltips=["°F, inH2O, cfm, Btu/h", "°C, Pa, L/s, kW"], style={"button_width": "56px"}
        )
        self.fields: dict[str, Field] = {f.path: f for f in self._plain_fields()}
        self.method = ChoiceField(
            "airflow.method", "Airflow evidence", "How the airflow is known", list(airflow_fields())
        )
        self.place = ChoiceField("airflow.at", "Flow holds at", "Where the volume flow is that of the air",
                                 ["return", "supply"], empty=True)  # fmt: skip
        self.evidence = airflow_fields()
        self.evidence_box = widgets.VBox()
        self.head = widgets.HTML()
        self.figures = widgets.HTML()
        self.picture = widgets.Image(format="png", layout={"width": "100%", "max_width": "1000px"})
        self.assumptions = widgets.HTML()
        fold = widgets.Accordion([self.assumptions], titles=("Assumptions and warnings",), selected_index=None)
        left = widgets.VBox(
            [
                widgets.HBox([widgets.HTML("<b>Units</b>"), self.units_choice], layout={"align_items": "center"}),
                self._group("Visit", ["name", "mode", "system.nominal_capacity"]),
                self._group("Site", ["site.elevation", "site.barometric_pressure"]),
                self._group("Return air", [f"readings.return.{n}" for n in ("dry_bulb", "humidity", "humidity_value")]),
                self._group("Supply air", [f"readings.supply.{n}" for n in ("dry_bulb", "humidity", "humidity_value")]),
                widgets.HTML('<b style="margin-top:6px">Airflow</b>'),
                self.method.widget,
                self.evidence_box,
                self.place.widget,
                self._group("Fan heat", ["fan.power", "fan.position"]),
            ],
            layout={"width": "330px", "min_width": "300px", "flex": "0 0 330px", "padding": "0 12px 0 0"},
        )
        right = widgets.VBox(
            [self.head, self.figures, self.picture, fold], layout={"flex": "1 1 520px", "min_width": "480px"}
        )
        self.widget = widgets.VBox(
            [widgets.HBox([left, right], layout={"flex_flow": "row wrap", "width": "100%"}), self._file_row(),
             widgets.HTML(f'<div style="font-size:12px">{escape(SHORT)}</div>')]
        )  # fmt: skip
        self.units_choice.observe(self._switch_units, names="value")
        for field in [*self.fields.values(), self.place, *(f for group in self.evidence.values() for f in group)]:
            field.on_change(self.refresh)
        self.method.on_change(self._method_changed)
        self._show_evidence()

    def _plain_fields(self) -> list[Field]:
        fields: list[Field] = [
            TextField("name", "Name of the system and its condition", "Stands in every output",
                      placeholder="Clinic unit 2"),
            ChoiceField("mode", "Mode", "Cooling or heating", ["cooling", "heating"]),
            NumberField("system.nominal_capacity", "Nominal capacity", "From the nameplate; may stay empty",
                        "nominal_capacity"),
            NumberField("site.elevation", "Elevation", "Of the building; gives the pressure by the standard atmosphere",
                        "elevation"),
            NumberField("site.barometric_pressure", "or barometric pressure", "Read here; not the sea-level figure",
                        "barometric_pressure"),
            NumberField("fan.power", "Fan power", "Electric power of the indoor fan; may stay empty", "power",
                        many=True),
            ChoiceField("fan.position", "Fan is", "Whether return and supply probe have the fan between them",
                        ["between probes", "outside probes"]),
        ]  # fmt: skip
        for place in ("return", "supply"):
            fields += [
                NumberField(f"readings.{place}.dry_bulb", "Dry bulb, readings", "In the order in which they were taken",
                            "temperature", many=True),
                ChoiceField(f"readings.{place}.humidity", "Humidity as", "What the probe shows",
                            ["relative_humidity", "wet_bulb", "dew_point"]),
                NumberField(f"readings.{place}.humidity_value", "Humidity, readings", "As many as dry bulbs",
                            "relative_humidity", many=True),
            ]  # fmt: skip
        return fields

    def _group(self, heading: str, paths: list[str]) -> Any:
        return widgets.VBox(
            [widgets.HTML(f"<b>{escape(heading)}</b>"), *(self.fields[p].widget for p in paths)],
            layout={"margin": "4px 0 0"},
        )

    def _file_row(self) -> Any:
        self.file_name = widgets.Text(
            placeholder="visit.toml", layout={"width": "340px"}, tooltip="Name of a visit file"
        )
        load = widgets.Button(description="Load", tooltip="Bring in the visit file of this name")
        save = widgets.Button(description="Save", tooltip="Write the sheet as a visit file")
        self.replace = widgets.Checkbox(value=False, description="replace an existing file", indent=False,
                                        layout={"width": "190px"})  # fmt: skip
        self.file_message = widgets.HTML()
        load.on_click(lambda _: self._load_clicked())
        save.on_click(lambda _: self._save_clicked())
        self.load_button, self.save_button = load, save
        row = widgets.HBox(
            [widgets.HTML("<b>Visit file</b>"), self.file_name, load, save, self.replace],
            layout={"flex_flow": "row wrap"},
        )
        return widgets.VBox([row, self.file_message])

    # -- the sheet as a visit -------------------------------------------------------------------

    @property
    def units(self) -> UnitSystem:
        """Units of the bare numbers on the sheet."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    def data(self) -> dict[str, Any]:
        """The sheet as nested dictionaries, as a visit file holds it."""
        data: dict[str, Any] = {"format": FORMAT, "units": self.units}
        data.update(deepcopy(self._kept))
        for path, field in self.fields.items():
            if path.endswith((".humidity", ".humidity_value")):
                continue
            _put(data, path, field.value())
        for place in ("return", "supply"):
            name = self.fields[f"readings.{place}.humidity"].value()
            _put(data, f"readings.{place}.{name}", self.fields[f"readings.{place}.humidity_value"].value())
        if self.fields["fan.power"].value() is None:
            data.pop("fan", None)
        _put(data, "airflow.method", self.method.value())
        for field in self.evidence[self.method.value()]:
            _put(data, field.path, field.value())
        _put(data, "airflow.at", self.place.value())
        return data

    def take(self, data: Mapping[str, Any]) -> None:
        """Fill the sheet from nested dictionaries as a visit file holds them."""
        self._quiet = True
        try:
            self.units_choice.value = data.get("units", "IP")
            self._set_field_units()
            for path, field in self.fields.items():
                if path.endswith(".humidity"):
                    place = _get(data, path.rsplit(".", 1)[0]) or {}
                    names = [n for n in ("relative_humidity", "wet_bulb", "dew_point") if n in place]
                    field.take(names[0] if names else "relative_humidity")
                elif not path.endswith(".humidity_value"):
                    field.take(_get(data, path))
            self._set_humidity_kinds()
            for place in ("return", "supply"):
                name = self.fields[f"readings.{place}.humidity"].value()
                self.fields[f"readings.{place}.humidity_value"].take(_get(data, f"readings.{place}.{name}"))
            self.method.take(_get(data, "airflow.method"))
            for group in self.evidence.values():
                for field in group:
                    field.take(_get(data, field.path))
            self.place.take(_get(data, "airflow.at"))
            self._kept = _rest(data, [*self.fields, *(f.path for g in self.evidence.values() for f in g)])
            self._show_evidence()
        finally:
            self._quiet = False
        self.refresh()

    def load(self, file: str | Path) -> None:
        """Bring in a visit file.

        Raises
        ------
        VisitError
            The file is not a valid visit; the sheet stays as it is.
        """
        import tomllib

        load_visit(file)
        self.folder = Path(file).parent
        self.file_name.value = str(file)
        self.take(tomllib.loads(Path(file).read_text(encoding="utf-8-sig")))

    def save(self, file: str | Path, *, replace: bool = False) -> Path:
        """Write the sheet as a visit file that the command line reads.

        Raises
        ------
        VisitError, OutputError
            The sheet is not a valid visit, or the file exists.
        """
        text = visit_text(self.data(), path=Path(file))
        return write_whole(file, text, force=replace, option="the tick at “replace”")

    # -- events ---------------------------------------------------------------------------------

    def _switch_units(self, change: Any) -> None:
        if self._quiet:
            return
        self._quiet = True
        try:
            for field in [*self.fields.values(), *(f for group in self.evidence.values() for f in group)]:
                if isinstance(field, NumberField):
                    field.switch_units(self.units)
            self._kept = convert_data({**self._kept, "units": change["old"]}, self.units)
            del self._kept["units"]
        finally:
            self._quiet = False
        self.refresh()

    def _set_field_units(self) -> None:
        for field in [*self.fields.values(), *(f for group in self.evidence.values() for f in group)]:
            field.set_units(self.units)

    def _set_humidity_kinds(self) -> None:
        for place in ("return", "supply"):
            field = self.fields[f"readings.{place}.humidity_value"]
            name = self.fields[f"readings.{place}.humidity"].value()
            if isinstance(field, NumberField):
                field.kind = "relative_humidity" if name == "relative_humidity" else "temperature"
                field.label = f"{str(name).replace('_', ' ').capitalize()}, readings"
                field.set_units(self.units)

    def _method_changed(self) -> None:
        self._show_evidence()
        self.refresh()

    def _show_evidence(self) -> None:
        self.evidence_box.children = [f.widget for f in self.evidence[self.method.value()]]

    def _load_clicked(self) -> None:
        try:
            self.load(self.file_name.value)
            self._say(f"Loaded {self.file_name.value}.")
        except AirsideError as error:
            self._say(str(error), wrong=True)

    def _save_clicked(self) -> None:
        if not self.file_name.value.strip():
            self._say("Name the file first.", wrong=True)
            return
        try:
            written = self.save(self.file_name.value.strip(), replace=self.replace.value)
            self._say(f"Saved {written}. On the command line: airside capacity {written}")
        except AirsideError as error:
            self._say(str(error), wrong=True)

    def _say(self, sentence: str, *, wrong: bool = False) -> None:
        colour = "var(--jp-error-color1,#b00)" if wrong else "inherit"
        self.file_message.value = f'<div style="color:{colour};white-space:pre-wrap">{escape(sentence)}</div>'

    # -- showing --------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Compute the sheet and show it; what is wrong is marked at its field."""
        if self._quiet:
            return
        self._set_humidity_kinds()
        data = self.data()
        marked = [*self.fields.values(), self.method, self.place, *self.evidence[self.method.value()]]
        for field in marked:
            field.say("")
        try:
            visit = visit_from_data(data, "sheet", path=self.folder / "sheet.toml")
            self.result = analyse(visit)
        except VisitError as error:
            if self.result is None and "readings" not in data:
                self._stale("Type the readings on the left, or load a visit file below.")
            else:
                self._mark(error, marked)
            return
        except AirsideError as error:
            self._stale(str(error))
            return
        self._show()

    def _mark(self, error: VisitError, fields: list[Field]) -> None:
        left = []
        for problem in error.problems:
            path = problem.field
            for place in ("return", "supply"):
                for name in ("relative_humidity", "wet_bulb", "dew_point"):
                    path = path.replace(f"readings.{place}.{name}", f"readings.{place}.humidity_value")
            path = {"site": "site.elevation", "readings.return": "readings.return.humidity_value",
                    "readings.supply": "readings.supply.humidity_value"}.get(path, path)  # fmt: skip
            row = f"value {problem.row}: " if problem.row is not None else ""
            for field in fields:
                if field.path == path:
                    field.say(row + problem.message)
                    break
            else:
                left.append(str(problem))
        self._stale(" ".join(left) or "Something on the left is missing or wrong; it is marked there.")

    def _stale(self, sentence: str) -> None:
        self.head.value = f'<div style="font-size:15px;margin:2px 0 6px">▲ {escape(sentence)}</div>'
        if self.result is not None:
            self.figures.layout.opacity = "0.4"
            self.picture.layout.opacity = "0.4"

    def _show(self) -> None:
        assert self.result is not None
        result, units = self.result, self.units
        capacity, flow = result.capacity, result.airflow
        self.figures.layout.opacity = self.picture.layout.opacity = "1"
        self.head.value = (
            f'<div style="font-size:17px;line-height:1.35;margin:2px 0 6px">Delivered {capacity.mode}: '
            f"<b>{escape(show(float(capacity.total), 'capacity', units))}</b>, of it "
            f"{escape(show(float(capacity.sensible), 'capacity', units))} sensible, by {escape(flow.method)}.</div>"
        )
        rows = [
            ("Total capacity", show(float(capacity.total), "capacity", units)),
            ("Sensible", show(float(capacity.sensible), "capacity", units)),
            ("Latent", show(float(capacity.latent), "capacity", units)),
            ("Sensible heat ratio", show(float(capacity.sensible_heat_ratio), "fraction", units)),
            ("Moisture removal", show(float(capacity.moisture_removal), "moisture_rate", units)),
            ("Airflow", show(float(flow.volume_flow), "volume_flow", units)),
            ("as standard air", show(float(flow.standard_volume_flow), "volume_flow", units)),
            ("Airflow, standard uncertainty", show(flow.relative_standard_uncertainty, "percentage", units)),
        ]
        cells = "".join(
            '<div style="min-width:150px;padding:2px 16px 2px 0">'
            f'<span style="font-size:12px;opacity:.75">{escape(name)}</span><br><b>{escape(value)}</b></div>'
            for name, value in rows
        )
        self.figures.value = f'<div style="display:flex;flex-wrap:wrap">{cells}</div>'
        axes = psychrometric_chart([Process(result.return_air, result.supply_air)], units=units)
        self.picture.value = figure_bytes(axes.figure, "png", dpi=110)
        said = [f"<b>Warning:</b> {escape(w.message)}" for w in result.warnings]
        said += [escape(a) for a in result.assumptions]
        self.assumptions.value = "<ul>" + "".join(f"<li>{s}</li>" for s in said) + "</ul>"
        if result.warnings:
            count = len(result.warnings)
            self.head.value += (
                f'<div style="font-size:13px">▲ {count} warning{"s" if count > 1 else ""}: '
                f"{escape(' '.join(w.message for w in result.warnings))}</div>"
            )

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        bundle: dict[str, Any] = dict(self.widget._repr_mimebundle_())
        bundle["text/plain"] = "Field sheet: needs a running kernel and widgets to show."
        return bundle


def _put(data: dict[str, Any], path: str, value: Any) -> None:
    parts = path.split(".")
    if value is None:
        table: Any = data
        for part in parts[:-1]:
            table = table.get(part, {})
        table.pop(parts[-1], None)
        return
    for part in parts[:-1]:
        data = data.setdefault(part, {})
    data[parts[-1]] = value


def _get(data: Mapping[str, Any], path: str) -> Any:
    value: Any = data
    for part in path.split("."):
        if not isinstance(value, Mapping) or part not in value:
            return None
        value = value[part]
    return value


def _rest(data: Mapping[str, Any], known: list[str]) -> dict[str, Any]:
    """What a visit holds beside the sheet's own fields."""
    humidity = {
        f"readings.{p}.{n}" for p in ("return", "supply") for n in ("relative_humidity", "wet_bulb", "dew_point")
    }
    own = {*known, *humidity, "format", "units", "airflow.method", "airflow.at"}

    def pick(table: Mapping[str, Any], prefix: str) -> dict[str, Any]:
        kept: dict[str, Any] = {}
        for key, value in table.items():
            path = f"{prefix}{key}"
            if path in own:
                continue
            if isinstance(value, Mapping):
                inner = pick(value, f"{path}.")
                if inner:
                    kept[key] = inner
            else:
                kept[key] = value
        return kept

    return pick(data, "")
