"""What every panel does: units, theme of the picture, undo, files, export; a panel adds its inputs and its result."""

from __future__ import annotations

import time
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import Any, ClassVar

import ipywidgets as widgets

from airside.errors import AirsideError, FileError, OutputError, Problem, UnitError, VisitError
from airside.files import write_whole
from airside.show.palette import Theme
from airside.show.panels.fields import Field, NumberField
from airside.show.panels.frame import PanelFrame, Shown, bundle
from airside.show.panels.lab_theme import lab_theme
from airside.show.panels.later import Later
from airside.show.panels.saved_settings import saved_setting, take_setting
from airside.show.panels.slider import SliderField
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_form import VisitForm, get, put
from airside.show.psychrometric import figure_bytes
from airside.units import UnitSystem
from airside.visit.load import visit_from_data
from airside.visit.schema import Visit
from airside.visit.write import visit_text

# Undo steps that are kept.
MOST_STEPS = 100
# Moves of one slider closer together than this are one step of undo [s].
ONE_DRAG = 1.0
PICTURES = ("svg", "png", "pdf")


class Panel:
    """Base of the panels.

    A subclass makes its forms and settings, calls `build` with its inputs, and gives `find`.

    Attributes
    ----------
    title : str
        Name of the panel, in words.
    key : str
        Table ``[panel.KEY]`` of a visit file, in which the panel's settings are saved.
    names : tuple of str
        Of the visits that it holds.
    forms : dict of str to VisitForm
    settings : dict of str to SliderField, Field or Tick
        Inputs beside the visits' fields.
    shown : Shown or None
        The last good result.
    """

    title: ClassVar[str]
    key: ClassVar[str]
    names: ClassVar[tuple[str, ...]] = ("visit",)
    # Draws while something is dragged, and while typing: the interval is good to a percent of itself.
    dragging_draws: ClassVar[int] = 4_000
    draws: ClassVar[int] = 20_000

    def __init__(self) -> None:
        self.forms: dict[str, VisitForm] = {}
        self.settings: dict[str, SliderField | Field | Tick] = {}
        self.shown: Shown | None = None
        self._quiet = False
        self._is_draft = False
        self._later = Later(self.refresh)
        self._past: list[dict[Any, Any]] = []
        self._present: dict[Any, Any] = {}
        self._last_change: tuple[set[Any], float] = (set(), 0.0)

    # -- making it ------------------------------------------------------------------------------

    def build(self, left: Sequence[Any]) -> None:
        """Put the panel together around its inputs."""
        self.units_choice = widgets.ToggleButtons(
            options=["IP", "SI"], tooltips=["°F, inH2O, cfm, Btu/h", "°C, Pa, L/s, kW"], description="Units",
            style={"button_width": "44px", "description_width": "50px"},
        )  # fmt: skip
        self.theme_choice = widgets.ToggleButtons(
            options=["light", "dark"], value=lab_theme(), tooltips=["Picture on white", "Picture on dark"],
            description="Picture", style={"button_width": "58px", "description_width": "50px"},
        )  # fmt: skip
        self.undo_button = widgets.Button(
            description="Undo", tooltip="Take the last change back", layout={"width": "64px"}, disabled=True
        )
        bar = widgets.VBox([_row(self.units_choice, self.undo_button), self.theme_choice])
        bar.add_class("airside-bar")
        self.kept = widgets.HTML()
        self.kept.add_class("airside-box")
        self.frame = PanelFrame([bar, *left], self._files())
        self.widget = self.frame.widget
        self.units_choice.observe(self._switch_units, names="value")
        self.theme_choice.observe(lambda _: self.refresh(), names="value")
        self.undo_button.on_click(lambda _: self.undo())
        for form in self.forms.values():
            form.on_change(self.changed)
        for setting in self.settings.values():
            setting.on_change(self.dragged if isinstance(setting, SliderField) else self.changed)
        self._present = self.snapshot()

    def _files(self) -> Any:
        """The rows at the bottom: load and save each visit, write the picture and the report."""
        self.file_names: dict[str, Any] = {}
        self.load_buttons: dict[str, Any] = {}
        self.save_buttons: dict[str, Any] = {}
        rows = []
        for name in self.names:
            words = "Visit file" if len(self.names) == 1 else f"{name.capitalize()} file"
            box = self._name_box(words, f"{name}.toml", "Name of a visit file, seen from the notebook's folder")
            load = widgets.Button(description="Load", tooltip=f"Bring in this file: {words.lower()}")
            save = widgets.Button(
                description="Save", tooltip=f"Write what stands here as a visit file: {words.lower()}"
            )
            load.on_click(lambda _, name=name: self._load_clicked(name))
            save.on_click(lambda _, name=name: self._save_clicked(name))
            self.file_names[name], self.load_buttons[name], self.save_buttons[name] = box, load, save
            rows.append(_row(box, load, save))
        self.new_button = widgets.Button(description="Empty", tooltip="Empty every field; files stay as they are")
        self.new_button.on_click(lambda _: self.clear())
        rows[-1].children = (*rows[-1].children, self.new_button)
        self.picture_name = self._name_box("Picture", "picture.svg", "Name ending in .svg, .png or .pdf")
        self.picture_button = widgets.Button(description="Save picture", tooltip="Write the picture to a file")
        self.picture_button.on_click(lambda _: self._written(self.picture_name, self.save_picture))
        self.report_name = self._name_box(
            "Report", "report.html", "Name ending in .html, or .pdf where that is installed"
        )
        self.report_button = widgets.Button(description="Write report", tooltip="Write the report to sign")
        self.report_button.on_click(lambda _: self._written(self.report_name, self.save_report))
        self.replace = widgets.Checkbox(
            value=False, description="replace a file that exists", indent=False, layout={"width": "200px"},
            tooltip="Without the tick a file that exists is left as it is",
        )  # fmt: skip
        rows += [_row(self.picture_name, self.picture_button), _row(self.report_name, self.report_button, self.replace)]
        return widgets.VBox([*rows, self.kept])

    @staticmethod
    def _name_box(words: str, placeholder: str, tooltip: str) -> Any:
        return widgets.Text(description=words, placeholder=placeholder, tooltip=tooltip)

    # -- what a panel has ------------------------------------------------------------------------

    @property
    def units(self) -> UnitSystem:
        """Units that are shown."""
        return "SI" if self.units_choice.value == "SI" else "IP"

    @property
    def theme(self) -> Theme:
        """Theme of the picture."""
        return "dark" if self.theme_choice.value == "dark" else "light"

    @property
    def form(self) -> VisitForm:
        """The form of the panel's first visit."""
        return self.forms[self.names[0]]

    def data(self, name: str | None = None) -> dict[str, Any]:
        """A visit as nested dictionaries, as a visit file holds it."""
        return self.forms[name or self.names[0]].data()

    def visit(self, name: str | None = None) -> Visit:
        """A visit as it stands in the panel.

        Raises
        ------
        VisitError
            What is typed is not a valid visit.
        """
        name = name or self.names[0]
        return self._made(self.data(name), name)

    def stated(self, name: str) -> Visit:
        """A visit as its form has it, without what the panel's settings make of it.

        Raises
        ------
        VisitError
            What is typed is not a valid visit.
        """
        return self._made(self.forms[name].data(), name)

    def _made(self, data: dict[str, Any], name: str) -> Visit:
        return visit_from_data(data, name, path=self.forms[name].folder / f"{name}.toml")

    def find(self, *, is_draft: bool) -> Shown:
        """The result; a draft is drawn while something is dragged.

        Raises
        ------
        AirsideError
            What is wrong with the input.
        """
        raise TypeError(f"{type(self).__name__} finds nothing")

    def picture(self) -> Any:
        """The figure that is exported; by default the one that is shown."""
        assert self.shown is not None
        return self.shown.figure

    def report(self, form: str) -> bytes:
        """The report as a file's bytes, ``html`` or ``pdf``."""
        from airside.show.report import report_bytes

        return report_bytes(*(self.reported(name) for name in self.names), form=form, units=self.units)

    def reported(self, name: str) -> Visit:
        """A visit for the report, which names the visit's file where the file still says the same."""
        file = self.forms[name].file
        visit = self.visit(name)
        return visit if file is None else visit.model_copy(update={"path": file})

    def blank_sentence(self) -> str:
        """What to do first, where nothing has been typed; empty where something has."""
        blank = [name for name in self.names if self.forms[name].is_blank]
        if not blank:
            return ""
        if len(self.names) == 1:
            return "Type the readings on the left, or load a visit file below."
        return f"Type the {' and the '.join(blank)} visit on the left, or load its file below."

    # -- change and result ----------------------------------------------------------------------

    def changed(self) -> None:
        """The user has changed an input."""
        if self._quiet:
            return
        self._record()
        self.refresh()

    def dragged(self) -> None:
        """The user moves a slider: a draft at once, the full result a moment later."""
        if self._quiet:
            return
        self._record()
        self.refresh(is_draft=True)
        self._later.request()

    def refresh(self, *, is_draft: bool = False) -> None:
        """Compute and show; what is wrong is marked at its field."""
        if self._quiet:
            return
        for form in self.forms.values():
            form.clear_marks()
        for setting in self.settings.values():
            if isinstance(setting, Field):
                setting.say("")
        words = [f.kept_words for f in self.forms.values() if f.kept_words]
        text = (
            escape(f"Also from the file, used and saved with it: {'; '.join(dict.fromkeys(words))}.") if words else ""
        )
        self.kept.value = f'<div class="airside-small">{text}</div>' if text else ""
        blank = self.blank_sentence()
        if blank:
            self.frame.stale(blank)
            return
        try:
            self.shown = self.find(is_draft=is_draft)
        except AirsideError as error:
            self.frame.stale(self.mark(error) or "Something on the left is missing or wrong; it is marked there.")
            return
        finally:
            # What the result moved, such as sliders that follow the readings, belongs to the change that moved it.
            self._present = self.snapshot()
        self._is_draft = is_draft
        self.frame.show(self.shown, figure_bytes(self.shown.figure, "png", dpi=84 if is_draft else 132, quick=is_draft))

    def mark(self, error: AirsideError) -> str:
        """Mark what an error names; give back the sentence for what has no field of its own."""
        if isinstance(error, FileError):
            return " ".join(self.form.mark(error))
        return str(error)

    def _switch_units(self, _: Any) -> None:
        if self._quiet:
            return
        self.set_units(self.units)
        self._record()
        self.refresh()

    def set_units(self, units: UnitSystem) -> None:
        """Turn every input into a unit system; nothing typed is lost."""
        self._quiet = True
        try:
            self.units_choice.value = units
            for form in self.forms.values():
                form.switch_units(units)
            for setting in self.settings.values():
                # Numbers that were typed are turned; a slider keeps its quantity by itself.
                (setting.switch_units if isinstance(setting, NumberField) else setting.set_units)(units)
        finally:
            self._quiet = False

    # -- undo -----------------------------------------------------------------------------------

    def snapshot(self) -> dict[Any, Any]:
        """Everything that undo brings back."""
        kept: dict[Any, Any] = {"units": self.units}
        kept |= {("form", n): f.snapshot() for n, f in self.forms.items()}
        return kept | {("setting", n): s.snapshot() for n, s in self.settings.items()}

    def restore(self, kept: dict[Any, Any]) -> None:
        """Bring back what `snapshot` gave."""
        self._quiet = True
        try:
            self.units_choice.value = kept["units"]
            for name, form in self.forms.items():
                form.restore(kept["form", name])
            for name, setting in self.settings.items():
                setting.set_units(kept["units"])
                setting.restore(kept["setting", name])
        finally:
            self._quiet = False

    def _record(self) -> None:
        now = self.snapshot()
        different = {k for k in now if now[k] != self._present.get(k)}
        if not different:
            return
        moment = time.monotonic()
        last, when = self._last_change
        is_one_drag = different == last and len(different) == 1 and moment - when < ONE_DRAG
        if not (is_one_drag and isinstance(self._setting_of(different), SliderField)):
            self._past = [*self._past[-MOST_STEPS:], self._present]
        self._present, self._last_change = now, (different, moment)
        self.undo_button.disabled = not self._past

    def _setting_of(self, different: set[Any]) -> Any:
        (key,) = different
        return self.settings.get(key[1]) if isinstance(key, tuple) and key[0] == "setting" else None

    def undo(self) -> None:
        """Take the last change back."""
        if not self._past:
            return
        self._present = self._past.pop()
        self._last_change = (set(), 0.0)
        self.restore(self._present)
        self.undo_button.disabled = not self._past
        self.refresh()

    # -- files ----------------------------------------------------------------------------------

    def start(self, *files: str | Path | None) -> None:
        """Bring in the files that the panel begins with, and show it; there is nothing to undo yet.

        Raises
        ------
        VisitError
            A file is not a valid visit.
        """
        for name, file in zip(self.names, files, strict=True):
            if file is not None:
                self._take_file(file, name)
        self._past, self._present = [], self.snapshot()
        self.undo_button.disabled = True
        self.refresh()

    def load(self, file: str | Path, name: str | None = None) -> None:
        """Bring in a visit file.

        Raises
        ------
        VisitError
            The file is not a valid visit; the panel stays as it is.
        """
        self._take_file(file, name or self.names[0])
        self._record()
        self.refresh()

    def _take_file(self, file: str | Path, name: str) -> None:
        before = self.snapshot()
        self.forms[name].load(file)
        self.set_units(self.forms[name].units if name == self.names[0] else self.units)
        self._quiet = True
        try:
            self.loaded(name)
        except AirsideError:
            self.restore(before)
            self.refresh()
            raise
        finally:
            self._quiet = False
        self.file_names[name].value = str(file)

    def loaded(self, name: str) -> None:
        """Set the settings to what a visit that has just come in says.

        Raises
        ------
        VisitError
            The file gives a setting what it cannot be.
        """
        for key, setting in self.settings.items():
            value = get(self.forms[name].data(), f"panel.{self.key}.{key}")
            if value is None:
                continue
            try:
                take_setting(setting, value)
            except UnitError as error:
                problem = Problem(str(error), f"panel.{self.key}.{key}")
                raise VisitError(str(self.forms[name].file), [problem]) from None

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self._quiet = True
        try:
            for name, form in self.forms.items():
                form.clear()
                form.switch_units(self.units)
                self.file_names[name].value = ""
        finally:
            self._quiet = False
        self.shown = None
        self.frame.clear()
        self._record()
        self.refresh()

    def saved_data(self, name: str, folder: Path) -> dict[str, Any]:
        """A visit as it is saved: its tables found from another folder, the panel's settings with it."""
        data = self.forms[name].saved_data(folder)
        put(data, f"panel.{self.key}", None)
        for key in self.saved_settings(name):
            put(data, f"panel.{self.key}.{key}", saved_setting(self.settings[key]))
        if not get(data, "panel"):
            put(data, "panel", None)
        return data

    def saved_settings(self, name: str) -> Sequence[str]:
        """Keys of the settings that are saved with a visit."""
        return tuple(self.settings) if name == self.names[0] else ()

    def save(self, file: str | Path, name: str | None = None, *, replace: bool = False) -> Path:
        """Write a visit as a file that the command line reads.

        Raises
        ------
        VisitError, OutputError
            What is typed is not a valid visit, or the file exists.
        """
        data = self.saved_data(name or self.names[0], Path(file).resolve().parent)
        return self._write(file, visit_text(data, path=Path(file)), replace)

    def save_picture(self, file: str | Path, *, replace: bool = False) -> Path:
        """Write the picture: .svg, .png or .pdf.

        Raises
        ------
        OutputError
            There is no good result, the name has another ending, or the file exists.
        """
        form = self._ending(file, PICTURES)
        return self._write(file, figure_bytes(self.picture(), form), replace)  # type: ignore[arg-type]

    def save_report(self, file: str | Path, *, replace: bool = False) -> Path:
        """Write the report: .html, or .pdf where the extra for it is installed.

        Raises
        ------
        OutputError
            There is no good result, the name has another ending, or the file exists.
        """
        return self._write(file, self.report(self._ending(file, ("html", "pdf"))), replace)

    def _write(self, file: str | Path, content: bytes | str, replace: bool) -> Path:
        return write_whole(file, content, force=replace, option="the tick at “replace a file that exists”")

    def _ending(self, file: str | Path, known: Sequence[str]) -> str:
        """The form that a name asks for, where there is a result to write."""
        form = Path(file).suffix.lower()[1:]
        listed = " or ".join(f".{k}" for k in known)
        if form not in known:
            raise OutputError(f"{file}: the name ends in {Path(file).suffix or 'nothing'}; expected {listed}.")
        if self.shown is None:
            raise OutputError("There is no result yet. Type the readings or load a visit first.")
        if self.frame.is_stale:
            raise OutputError("The input is wrong, so there is nothing to write. Mend what is marked first.")
        if self._is_draft:
            # The coarse result of a drag is not for keeping.
            self.refresh()
        return form

    def _load_clicked(self, name: str) -> None:
        file = self.file_names[name].value.strip()
        if not file:
            self.frame.say("Name the file first.", wrong=True)
            return
        try:
            self.load(file, name)
            self.frame.say(f"Loaded {file}.")
        except AirsideError as error:
            self.frame.say(f"{error}\nThe panel is still as it was.", wrong=True)

    def _save_clicked(self, name: str) -> None:
        def save(file: str, *, replace: bool) -> Path:
            return self.save(file, name, replace=replace)

        self._written(self.file_names[name], save)

    def _written(self, box: Any, write: Any) -> None:
        file = box.value.strip()
        if not file:
            self.frame.say("Name the file first.", wrong=True)
            return
        try:
            self.frame.say(f"Saved {write(file, replace=self.replace.value)}.")
        except AirsideError as error:
            self.frame.say(str(error), wrong=True)

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, f"{self.title}: needs a running kernel and widgets to show.")


def _row(*parts: Any) -> Any:
    row = widgets.HBox(list(parts))
    row.add_class("airside-bar")
    return row
