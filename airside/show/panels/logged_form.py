"""The inputs of a logged visit: which minutes of its log count. Everything else of its file is kept as it came."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from airside.errors import FileError, VisitError
from airside.show.panels.fields import ChoiceField, Field, NumberField, TextField
from airside.show.panels.fold import Fold
from airside.show.panels.shared import plain_layout
from airside.show.panels.visit_form import get, put
from airside.units import KINDS, UnitSystem
from airside.visit.load import read_visit_data
from airside.visit.logs.counting import RUNNING_FROM
from airside.visit.logs.log import Log
from airside.visit.logs.log_schema import LOGGED, has_logs
from airside.visit.logs.read import read_log
from airside.visit.logs.signals import signal_kind

COUNTING = "log.counting"
# Where thresholds of each kind usually lie [inside unit].
USUAL_ABOVE = {
    "power": (100.0, 2000.0), "temperature_difference": (3.0, 10.0), "volume_flow": (0.05, 0.5),
    "duct_pressure": (5.0, 50.0), "count": (0.0, 2.0),
}  # fmt: skip


class StretchField(TextField):
    """The number of a stretch."""

    def value(self) -> Any:
        """A whole number where the text is one, else the text, whose sentence says what is wrong."""
        text = super().value()
        return int(text) if text and text.isdecimal() and len(text) < 10 else text


class StageField(TextField):
    """A value or a word of the status column."""

    def value(self) -> Any:
        """A number where the text is one."""
        text = super().value()
        try:
            return float(text) if text else None
        except ValueError:
            return text


class LoggedForm:
    """Fields of one logged visit, in the manner of `airside.show.panels.visit_form.VisitForm`.

    Parameters
    ----------
    opened : sequence of str
        Headings that are unfolded to begin with.

    Attributes
    ----------
    folder, file : Path
        Of the visit file that was brought in.
    units : "IP" or "SI"
        That are shown; the file keeps its own.
    log : Log or None
        As it was read; changes of what counts do not read it again.
    fields : dict of str to Field
    groups : dict of str to list of widget
    """

    kept_words = ""

    def __init__(self, opened: Sequence[str] = ()) -> None:
        self.folder = Path()
        self.file: Path | None = None
        self.units: UnitSystem = "IP"
        self._data: dict[str, Any] = {}
        # Logs by the seconds that are added to the stamps of their files, so that a tick taken away reads nothing again.
        self._logs: dict[tuple[tuple[str, float], ...], Log] = {}
        self._quiet = False
        self._calls: list[Callable[[], None]] = []
        self.stretch = StretchField(
            f"{COUNTING}.stretch", "Stretch that stands for the visit", "Its number, counted from 1. Empty: the last one of the longest run",
            placeholder="the last of the longest run",
        )  # fmt: skip
        self.above = NumberField(
            f"{COUNTING}.running_above", "Runs where it is above", "Between off and running. Empty: found between the two levels",
            "power", usual=USUAL_ABOVE["power"],
        )  # fmt: skip
        self.running_from = ChoiceField(
            f"{COUNTING}.running_from", "Running or off by", "Which logged channel says whether the system runs", RUNNING_FROM,
            empty=True, words={"": "the first that is logged"},
        )  # fmt: skip
        groups: dict[str, list[Field]] = {
            "Stretches": [
                self.stretch,
                NumberField(f"{COUNTING}.window", "Length of a stretch", "Longer ones are fewer, and their means are worth more. Empty: 15 minutes",
                            "time", usual=(600.0, 3600.0)),
                ChoiceField("readings.tolerances", "Steady means within", "Largest range of each channel over a stretch: as in the field, or as in a laboratory test",
                            ["field", "strict"], words={"field": "the field's tolerances", "strict": "the strict tolerances"}),
            ],
            "Which minutes count": [
                self.running_from,
                self.above,
                StageField(f"{COUNTING}.stage", "Stage that counts", "A value or a word of the status column, or 1 and 2 by power. Empty: the highest that runs long enough",
                           placeholder="the highest"),
                NumberField(f"{COUNTING}.after_start", "Left out after a start", "Coil and probes need their time. Empty: 10 minutes", "time",
                            usual=(0.0, 1800.0)),
                NumberField(f"{COUNTING}.before_stop", "Left out before a stop", "The last row is part running, part off. Empty: 1 minute", "time",
                            usual=(0.0, 600.0)),
                TextField(f"{COUNTING}.first", "Used from", "First day, or day and time, of the part of the log that is used", placeholder="2026-07-06 13:00"),
                TextField(f"{COUNTING}.last", "Used to", "Last day, or day and time, of the part of the log that is used", placeholder="2026-07-10"),
            ],
        }  # fmt: skip
        self.fields = {f.path: f for group in groups.values() for f in group}
        self.earlier = _button("Earlier", "Let the stretch before this one stand for the visit")
        self.later = _button("Later", "Let the stretch after this one stand for the visit")
        buttons = widgets.HBox([self.earlier, self.later])
        self.found = widgets.HTML(layout=plain_layout())
        self.found.add_class("airside-box")
        # Under a stretch's number are the buttons that step it; under what counts stands what was found.
        inside = {heading: [f.widget for f in group] for heading, group in groups.items()}
        inside["Stretches"].insert(1, buttons)
        inside["Which minutes count"].append(self.found)
        self.folds = {h: Fold(h, parts, is_open=h in opened) for h, parts in inside.items()}
        self._fold_of = {f.path: h for h, group in groups.items() for f in group}
        self.widget = widgets.VBox([f.widget for f in self.folds.values()], layout=plain_layout())
        for field in self.all_fields():
            field.on_change(self._changed)

    def all_fields(self) -> list[Field]:
        """Every field."""
        return list(self.fields.values())

    def on_change(self, call: Callable[[], None]) -> None:
        """Call when the user has changed something."""
        self._calls.append(call)

    def _changed(self) -> None:
        if self._quiet:
            return
        self._set_kind()
        for call in self._calls:
            call()

    # -- undo -----------------------------------------------------------------------------------

    def snapshot(self) -> dict[str, Any]:
        """What undo brings back."""
        return {
            "folder": self.folder, "file": self.file, "units": self.units, "data": self._data, "logs": self._logs,
            "fields": [field.snapshot() for field in self.all_fields()],
        }  # fmt: skip

    def restore(self, kept: Mapping[str, Any]) -> None:
        """Bring back what `snapshot` gave; who calls computes."""
        self._quiet = True
        try:
            self.folder, self.file, self.units = kept["folder"], kept["file"], kept["units"]
            self._data, self._logs = kept["data"], kept["logs"]
            for field, was in zip(self.all_fields(), kept["fields"], strict=True):
                field.set_units(self.units)
                field.restore(was)
            self._set_kind()
        finally:
            self._quiet = False

    # -- data -----------------------------------------------------------------------------------

    @property
    def is_blank(self) -> bool:
        """Whether no file has been brought in."""
        return self.log is None

    @property
    def log(self) -> Log | None:
        """The log as the visit file has it."""
        return self._logs.get(())

    @property
    def logged(self) -> str:
        """What saving does."""
        if self.is_blank:
            return ""
        return "Saving writes the visit file with what stands on the left; the logger files stay as they are."

    def data(self) -> dict[str, Any]:
        """The visit as nested dictionaries, as its file holds it."""
        data = deepcopy(self._data)
        for path, field in self.fields.items():
            was, value = get(self._data, path), field.value()
            if value == "field" and was is None:
                continue
            if field is self.above and self.units != self.file_units and isinstance(value, int | float):
                value = f"{value:.10g} {KINDS[self.above.kind].input_unit(self.units)}".strip()
            # A day or time stays what it is in the file.
            put(data, path, was if was is not None and str(was) == str(value) else value)
        if not get(data, COUNTING):
            put(data, COUNTING, None)
        return data

    @property
    def file_units(self) -> UnitSystem:
        """Units of bare numbers in the visit file."""
        return "IP" if self._data.get("units") == "IP" else "SI"

    def moved_clocks(self, data: dict[str, Any], moved: Mapping[str, float]) -> dict[str, Any]:
        """The data with seconds added to the stamps of some logger files."""
        for file, seconds in moved.items():
            own = data.setdefault("log", {}).setdefault("files", {}).setdefault(file, {})
            before = own.get("clock_offset", data["log"].get("clock_offset", 0))
            own["clock_offset"] = round(before + seconds)
        return data

    def log_with(self, moved: Mapping[str, float]) -> Log:
        """The log with seconds added to the stamps of some of its files, read once.

        Raises
        ------
        VisitError, FileError
            A logger file cannot be read any more.
        """
        key = tuple(sorted(moved.items()))
        if key not in self._logs:
            data = self.moved_clocks(deepcopy(self._data), moved)
            self._logs[key] = read_log(data, folder=self.folder, name=str(self.file))
        return self._logs[key]

    def saved_data(self, folder: Path) -> dict[str, Any]:
        """As `data`, with the files that it names found from another folder."""
        return data_seen_from(self.data(), self.folder, folder)

    def found_from(self, folder: Path, name: str) -> str:
        """The name of a file beside the visit file, as seen from another folder."""
        return file_seen_from(name, self.folder, folder)

    def load(self, file: str | Path) -> None:
        """Bring in a visit file and read its logger files; who calls computes.

        Raises
        ------
        VisitError, FileError
            The file names no logger file, or they cannot be read; the form stays as it is.
        """
        data = read_visit_data(file)
        if not has_logs(data):
            raise VisitError(
                str(file), "names no logger file. A visit whose readings are typed is for the field sheet."
            )
        log = read_log(data, folder=Path(file).parent, name=str(file))
        self.folder, self.file, self._data, self._logs = Path(file).parent, Path(file), data, {(): log}
        self.units = self.file_units
        self._fill()

    def clear(self) -> None:
        """An empty form."""
        self.folder, self.file, self._data, self._logs = Path(), None, {}, {}
        self._fill()

    def _fill(self) -> None:
        self._quiet = True
        try:
            for path, field in self.fields.items():
                field.set_units(self.units)
                field.take(get(self._data, path))
            self._set_kind()
        finally:
            self._quiet = False

    def switch_units(self, units: UnitSystem) -> None:
        """Turn every bare number into the other system; nothing typed is lost."""
        if units == self.units:
            return
        self._quiet = True
        try:
            for field in self.all_fields():
                (field.switch_units if isinstance(field, NumberField) else field.set_units)(units)
            self.units = units
        finally:
            self._quiet = False

    def _set_kind(self) -> None:
        """The threshold is one of the channel that says whether the system runs."""
        kind = "power" if self.log is None else signal_kind(self.log, self.running_from.value())
        if kind != self.above.kind:
            self.above.set_kind(kind, USUAL_ABOVE[kind])
            self.above.set_units(self.units)

    # -- marks ----------------------------------------------------------------------------------

    def clear_marks(self) -> None:
        """Take all marks away."""
        for field in self.all_fields():
            field.say("")

    def mark(self, error: FileError) -> list[str]:
        """Mark the fields that an error names; give back the sentences that belong to none."""
        left: list[str] = []
        said: dict[str, list[str]] = {}
        for problem in error.problems:
            field = self.fields.get(problem.field)
            if field is None:
                left.append(str(problem) if isinstance(error, VisitError) else str(error))
                continue
            # A mark inside a fold would not be seen.
            self.folds[self._fold_of[field.path]].set_open(True)
            said.setdefault(field.path, []).append(problem.message)
            field.say(" ".join(said[field.path]))
        return list(dict.fromkeys(left))


def data_seen_from(data: dict[str, Any], here: Path, folder: Path) -> dict[str, Any]:
    """A visit's data with the files that it names, which are seen from one folder, as seen from another."""
    tables = ("airflow.table", "system.performance_table", "system.target_superheat_table", "system.compressor_table")
    for path in (*tables, *(".".join((*table, "log")) for table in LOGGED)):
        name = get(data, path)
        if isinstance(name, str):
            put(data, path, file_seen_from(name, here, folder))
    files = get(data, "log.files")
    if files is not None:
        data["log"]["files"] = {file_seen_from(name, here, folder): own for name, own in files.items()}
    return data


def file_seen_from(name: str, here: Path, folder: Path) -> str:
    """The name of a file that is seen from one folder, as seen from another."""
    return name if Path(name).is_absolute() else Path(os.path.relpath(here / name, folder)).as_posix()


def _button(words: str, tooltip: str) -> Any:
    return widgets.Button(description=words, tooltip=tooltip, layout={"width": "96px"})
