"""The inputs of one visit: fields in folds, the visit's data that they make, and marks where something is wrong."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import FileError, TableError
from airside.show.panels.airflow_fields import airflow_fields
from airside.show.panels.fields import ChoiceField, Field, NumberField
from airside.show.panels.fold import Fold
from airside.show.panels.shared import plain_layout
from airside.show.panels.visit_fields import HUMIDITIES, USUAL_AIR, visit_groups
from airside.units import UnitSystem
from airside.visit.convert import convert_data, visit_data
from airside.visit.load import load_visit
from airside.visit.schema import EVIDENCE, FORMAT

PLACES = ("return", "supply")
# Keys that say how something was read; alone they are no reading.
CIRCUMSTANCES = {"instrument", "line_instrument", "placement", "position", "place"}
# Tables that may be left out, and the key without which they are; an empty key stands for any reading.
OPTIONAL_TABLES = {"fan": "power", "readings.outdoor": "dry_bulb", "readings.power": "", "readings.refrigerant": ""}


class VisitForm:
    """Fields of one visit.

    Parameters
    ----------
    groups : sequence of str, optional
        Headings of the groups that are shown, in this order; by default all. What is not shown is kept.
    opened : sequence of str
        Those that are unfolded to begin with.

    Attributes
    ----------
    folder : Path
        What tables are named relative to.
    file : Path or None
        The visit file that was brought in last.
    widget : VBox
        Everything, one under the other.
    """

    def __init__(self, groups: Sequence[str] | None = None, opened: Sequence[str] = ()) -> None:
        self.folder = Path()
        # The file that was brought in last; what has been typed since may differ from it.
        self.file: Path | None = None
        # What must be said where the readings came from logger files.
        self.logged = ""
        self.units: UnitSystem = "IP"
        # Parts of a loaded visit that the form has no fields for: kept, and written again.
        self._kept: dict[str, Any] = {}
        # As they came, so that units there and back change nothing; some belong to that visit's airflow method.
        self._as_loaded: dict[str, Any] = {"units": "IP"}
        self._quiet = False
        self._calls: list[Callable[[], None]] = []
        fields = visit_groups()
        self.fields: dict[str, Field] = {f.path: f for group in fields.values() for f in group}
        self.method = ChoiceField(
            "airflow.method", "Airflow evidence", "How the airflow is known", list(airflow_fields())
        )
        self.place = ChoiceField("airflow.at", "Flow holds at", "Where the volume flow is that of the air",
                                 ["return", "supply"], empty=True, words={"": "where the method has it"})  # fmt: skip
        self.uncertainty = NumberField(
            "airflow.relative_uncertainty", "Relative standard uncertainty, a fraction", "Empty: the method's default",
            "fraction", usual=(0.02, 0.15),
        )  # fmt: skip
        self.evidence = airflow_fields()
        self._evidence_box = widgets.VBox(layout=plain_layout())
        airflow = [self.method.widget, self._evidence_box, self.place.widget, self.uncertainty.widget]
        self.folds: dict[str, Fold] = {}
        for heading in groups or fields:
            inside = airflow if heading == "Airflow" else [f.widget for f in fields[heading]]
            self.folds[heading] = Fold(heading, inside, is_open=heading in opened)
        self._heading_of = {f.path: heading for heading, group in fields.items() for f in group}
        self.widget = widgets.VBox([f.widget for f in self.folds.values()], layout=plain_layout())
        for field in self.all_fields():
            field.on_change(self._changed)
        self._show_evidence()

    def all_fields(self) -> list[Field]:
        """Every field, those of the airflow methods that are not chosen too."""
        own = [*self.fields.values(), self.method, self.place, self.uncertainty]
        return own + [f for group in self.evidence.values() for f in group]

    def on_change(self, call: Callable[[], None]) -> None:
        """Call when the user has changed something."""
        self._calls.append(call)

    def _changed(self) -> None:
        if self._quiet:
            return
        self._show_evidence()
        self._set_humidity_kinds()
        for call in self._calls:
            call()

    # -- undo -----------------------------------------------------------------------------------

    def snapshot(self) -> dict[str, Any]:
        """What undo brings back."""
        return {
            "folder": self.folder, "file": self.file, "units": self.units, "kept": self._kept, "as_loaded": self._as_loaded,
            "logged": self.logged,
            "fields": [field.snapshot() for field in self.all_fields()],
        }  # fmt: skip

    def restore(self, kept: Mapping[str, Any]) -> None:
        """Bring back what `snapshot` gave; who calls computes."""
        self._quiet = True
        try:
            self.folder, self.file, self.units = kept["folder"], kept["file"], kept["units"]
            self._kept, self._as_loaded, self.logged = kept["kept"], kept["as_loaded"], kept["logged"]
            for field, was in zip(self.all_fields(), kept["fields"], strict=True):
                field.set_units(self.units)
                field.restore(was)
            self._set_humidity_kinds()
            self._show_evidence()
        finally:
            self._quiet = False

    # -- data -----------------------------------------------------------------------------------

    @property
    def is_blank(self) -> bool:
        """Whether no readings have been typed."""
        return all(self.fields[f"readings.{p}.dry_bulb"].value() is None for p in PLACES)

    def data(self) -> dict[str, Any]:
        """The form as nested dictionaries, as a visit file holds it."""
        data: dict[str, Any] = {"format": FORMAT, "units": self.units}
        data.update(deepcopy(self._kept))
        for path, field in self.fields.items():
            if not path.endswith((".humidity", ".humidity_value")):
                put(data, path, field.value())
        for place in PLACES:
            name = self.fields[f"readings.{place}.humidity"].value()
            put(data, f"readings.{place}.{name}", self.fields[f"readings.{place}.humidity_value"].value())
        for path, needed in OPTIONAL_TABLES.items():
            table = get(data, path)
            if table is not None and (set(table) <= CIRCUMSTANCES or (needed and needed not in table)):
                put(data, path, None)
        for field in (self.method, *self.evidence[self.method.value()], self.place, self.uncertainty):
            put(data, field.path, field.value())
        # What another method's file gave beside the fields is kept, but is not this method's.
        allowed = EVIDENCE[self.method.value()].model_fields
        data["airflow"] = {name: value for name, value in data["airflow"].items() if name in allowed}
        return data

    def clear(self) -> None:
        """An empty form."""
        self.folder, self.file = Path(), None
        self.take({"units": self.units})

    @property
    def kept_words(self) -> str:
        """What a loaded file holds beside the fields, in words; it is used and saved too."""
        said = ["a side-by-side check"] if "side_by_side" in self._kept else []
        system = [key for key in self._kept.get("system", {}) if key != "name"]
        if system:
            said.append(f"the system's {', '.join(key.replace('_', ' ') for key in system)}")
        instruments = self._kept.get("instruments", {})
        if instruments:
            said.append(f"{len(instruments)} instrument{'s' if len(instruments) > 1 else ''}")
        if any("placement" in v for v in self._kept.get("readings", {}).values() if isinstance(v, dict)):
            said.append("the probes' placement")
        return "; ".join(said)

    def saved_data(self, folder: Path) -> dict[str, Any]:
        """As `data`, with the tables that it names found from another folder."""
        data = self.data()
        for path in (
            "airflow.table",
            "system.performance_table",
            "system.target_superheat_table",
            "system.compressor_table",
        ):
            name = get(data, path)
            if isinstance(name, str) and not Path(name).is_absolute():
                put(data, path, Path(os.path.relpath(self.folder / name, folder)).as_posix())
        return data

    def take(self, data: Mapping[str, Any], *, quiet: bool = False) -> None:
        """Fill the form from nested dictionaries as a visit file holds them."""
        self._quiet, self.logged = True, ""
        try:
            self.units = data.get("units", "IP")
            for field in self.all_fields():
                field.set_units(self.units)
            for place in PLACES:
                given = get(data, f"readings.{place}") or {}
                names = [n for n in HUMIDITIES if n in given]
                self.fields[f"readings.{place}.humidity"].take(names[0] if names else "relative_humidity")
            self._set_humidity_kinds()
            for path, field in self.fields.items():
                if path.endswith(".humidity_value"):
                    name = self.fields[path.replace("_value", "")].value()
                    field.take(get(data, path.replace("humidity_value", str(name))))
                elif path == "fan.position":
                    field.take(get(data, path) or "between probes")
                elif not path.endswith(".humidity"):
                    field.take(get(data, path))
            for field in (self.method, self.place, self.uncertainty):
                field.take(get(data, field.path))
            for group in self.evidence.values():
                for field in group:
                    field.take(get(data, field.path))
            known = [*self.fields, "airflow.method", "airflow.at", "airflow.relative_uncertainty"]
            self._kept = _rest(data, known + [f.path for g in self.evidence.values() for f in g])
            self._as_loaded = {**deepcopy(self._kept), "units": self.units}
            put(self._as_loaded, "airflow.method", get(data, "airflow.method"))
            self._show_evidence()
        finally:
            self._quiet = False
        if not quiet:
            self._changed()

    def load(self, file: str | Path) -> None:
        """Bring in a visit file; who calls computes.

        Raises
        ------
        VisitError
            The file is not a valid visit; the form stays as it is.
        """
        import tomllib

        visit = load_visit(file)
        self.folder, self.file = Path(file).parent, Path(file)
        if visit.stretch is None:
            self.take(tomllib.loads(Path(file).read_text(encoding="utf-8-sig")), quiet=True)
            return
        self.take(visit_data(visit), quiet=True)
        self.logged = (
            f"The readings of {Path(file).name} are logged; {visit.stretch.place} stands here as if it were typed. Saving "
            "writes these readings and leaves out the names of the logger files, so save under another name."
        )

    def switch_units(self, units: UnitSystem) -> None:
        """Turn every bare number into the other system; nothing typed is lost."""
        if units == self.units:
            return
        self._quiet = True
        try:
            for field in self.all_fields():
                if isinstance(field, NumberField):
                    field.switch_units(units)
                else:
                    field.set_units(units)
            self._kept = _rest(convert_data(self._as_loaded, units), ["airflow.method"])
            self.units = units
        finally:
            self._quiet = False

    # -- marks ----------------------------------------------------------------------------------

    def clear_marks(self) -> None:
        """Take all marks away."""
        for field in self.all_fields():
            field.say("")

    def mark(self, error: FileError) -> list[str]:
        """Mark the fields that an error names; give back the sentences that belong to none."""
        if isinstance(error, TableError):
            return self._mark_table(error)
        left: list[str] = []
        said: dict[str, list[str]] = {}
        shown = [*self.fields.values(), self.method, self.place, self.uncertainty, *self.evidence[self.method.value()]]
        for problem in error.problems:
            path = problem.field
            for place in PLACES:
                for name in HUMIDITIES:
                    path = path.replace(f"readings.{place}.{name}", f"readings.{place}.humidity_value")
            path = {
                "site": "site.elevation", "airflow": "airflow.method", "readings": "readings.supply.dry_bulb",
                "readings.return": "readings.return.humidity_value", "readings.supply": "readings.supply.humidity_value",
            }.get(path, path)  # fmt: skip
            field = next((f for f in shown if f.path == path), None)
            fold = None if field is None else self.folds.get(self._heading_of.get(field.path, "Airflow"))
            if field is None or fold is None:
                left.append(str(problem))
            else:
                # A mark inside a fold would not be seen.
                fold.set_open(True)
                said.setdefault(field.path, []).append(
                    (f"value {problem.row}: " if problem.row is not None else "") + _for_a_form(problem.message, field)
                )
                field.say(" ".join(said[field.path]))
        return left

    def _mark_table(self, error: TableError) -> list[str]:
        """Mark the airflow's table or its column; a table of another field belongs to none."""
        for field in self.evidence[self.method.value()]:
            named = str(error)
            if field.path == "airflow.table" and Path(error.path).name == Path(str(field.value() or "")).name:
                column = next((f for f in self.evidence[self.method.value()] if f.path in named), field)
                column.say(named)
                return []
        return [str(error)]

    def _set_humidity_kinds(self) -> None:
        for place in PLACES:
            field = self.fields[f"readings.{place}.humidity_value"]
            name = str(self.fields[f"readings.{place}.humidity"].value())
            if isinstance(field, NumberField):
                kind = "relative_humidity" if name == "relative_humidity" else "temperature"
                field.set_kind(kind, USUAL_AIR[place][name])
                field.label = f"{name.replace('_', ' ').capitalize()}, readings"
                field.set_units(self.units)

    def _show_evidence(self) -> None:
        shown = tuple(f.widget for f in self.evidence[self.method.value()])
        if self._evidence_box.children != shown:
            self._evidence_box.children = shown


def _for_a_form(message: str, field: Field) -> str:
    """A sentence about a file, for someone who has a form: no tables in brackets, no quotes."""
    if field.path == "site.elevation" and "expected a table" in message:
        return "found neither elevation nor barometric pressure; expected at least one of them."
    message = re.sub(r"; expected a table \[[^\]]*\]", "", message).replace("expected text in quotes", "expected text")
    if isinstance(field, NumberField) and field.many and "nothing between thousands" in message:
        message += " In a list, a space follows each comma."
    return message


def put(data: dict[str, Any], path: str, value: Any) -> None:
    """Set a value in nested dictionaries by its dotted path; None takes it out."""
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


def get(data: Mapping[str, Any], path: str) -> Any:
    """A value of nested dictionaries by its dotted path; None where there is none."""
    value: Any = data
    for part in path.split("."):
        if not isinstance(value, Mapping) or part not in value:
            return None
        value = value[part]
    return value


def _rest(data: Mapping[str, Any], known: list[str]) -> dict[str, Any]:
    """What a visit holds beside the form's own fields."""
    own = {*known, *(f"readings.{p}.{n}" for p in PLACES for n in HUMIDITIES), "format", "units"}

    def pick(table: Mapping[str, Any], prefix: str) -> dict[str, Any]:
        kept: dict[str, Any] = {}
        for key, value in table.items():
            path = f"{prefix}{key}"
            if path in own:
                continue
            if not isinstance(value, Mapping):
                kept[key] = value
            elif inner := pick(value, f"{path}."):
                kept[key] = inner
        return kept

    return pick(data, "")
