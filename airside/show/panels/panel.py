"""What every panel does: units, theme of the picture, undo, files, export; a panel adds its inputs and its result."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path
from typing import Any, ClassVar

import ipywidgets as widgets

from airside.errors import AirsideError, FileError
from airside.show.palette import Theme
from airside.show.panels.collecting import Collecting
from airside.show.panels.fields import Field, NumberField
from airside.show.panels.file_rows import FileRows, row
from airside.show.panels.frame import PanelFrame, Shown, bundle
from airside.show.panels.history import History
from airside.show.panels.lab_theme import lab_theme
from airside.show.panels.later import Later, after_typing
from airside.show.panels.saved_settings import take_settings
from airside.show.panels.saving import Saving
from airside.show.panels.slider import SliderField
from airside.show.panels.ticks import Tick
from airside.show.panels.visit_form import VisitForm, get
from airside.show.psychrometric import figure_bytes
from airside.units import UnitSystem
from airside.visit.load import visit_from_data
from airside.visit.schema import Visit


class Panel(Saving):
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
        self._units: UnitSystem = "IP"
        self._quiet = False
        self._is_draft = False
        self._later = Later(self._after_drag)
        self._collecting = Collecting()
        self.history = History()

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
        bar = widgets.VBox([row(self.units_choice, self.undo_button), self.theme_choice])
        bar.add_class("airside-bar")
        self.files = FileRows(self)
        self.frame = PanelFrame([bar, *left], self.files.widget)
        self.widget = self.frame.widget
        self.units_choice.observe(lambda _: self._units_pressed(), names="value")
        self.theme_choice.observe(lambda _: self.refresh(), names="value")
        self.undo_button.on_click(lambda _: self.press(self.undo))
        for form in self.forms.values():
            form.on_change(self.changed)
        for setting in self.settings.values():
            setting.on_change(self.dragged if isinstance(setting, SliderField) else self.changed)
        self.history.begin(self.snapshot())

    # -- what a panel has ------------------------------------------------------------------------

    @property
    def units(self) -> UnitSystem:
        """Units that are shown."""
        return self._units

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

    def press(self, call: Callable[[], None]) -> None:
        """Do what a button asks for, after what was typed before it."""
        self.frame.working(True)

        def work() -> None:
            try:
                call()
            finally:
                self.frame.working(False)

        after_typing(work)

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
        self._collecting.put_off()
        self._record(is_drag=True)
        self.refresh(is_draft=True)
        self.frame.working(True)
        self._later.request()

    def _after_drag(self) -> None:
        self.refresh()
        self.frame.working(False)
        self._collecting.resume()

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
        logged = escape(" ".join(f.logged for f in self.forms.values() if f.logged))
        text = "<br>".join(filter(None, (logged, text)))
        self.files.kept.value = f'<div class="airside-small">{text}</div>' if text else ""
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
            self.history.present = self.snapshot()
        self._is_draft = is_draft
        self.frame.show(self.shown, figure_bytes(self.shown.figure, "png", dpi=84 if is_draft else 132, quick=is_draft))

    def mark(self, error: AirsideError) -> str:
        """Mark what an error names; give back the sentence for what has no field of its own."""
        if isinstance(error, FileError):
            return " ".join(self.form.mark(error))
        return str(error)

    def _units_pressed(self) -> None:
        if not self._quiet:
            self.press(self._switch_units)

    def _switch_units(self) -> None:
        self.set_units("SI" if self.units_choice.value == "SI" else "IP")
        self._record()
        self.refresh()

    def set_units(self, units: UnitSystem) -> None:
        """Turn every input into a unit system; nothing typed is lost."""
        self._quiet = True
        try:
            self._units = self.units_choice.value = units
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
            self._units = self.units_choice.value = kept["units"]
            for name, form in self.forms.items():
                form.restore(kept["form", name])
            for name, setting in self.settings.items():
                setting.set_units(kept["units"])
                setting.restore(kept["setting", name])
        finally:
            self._quiet = False

    def _record(self, *, is_drag: bool = False) -> None:
        self.history.record(self.snapshot(), is_drag=is_drag)
        self.undo_button.disabled = self.history.is_empty

    def undo(self) -> None:
        """Take the last change back."""
        if self.history.is_empty:
            return
        self.restore(self.history.step_back())
        self.undo_button.disabled = self.history.is_empty
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
        self.history.begin(self.snapshot())
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
        self.files.names[name].value = str(file)

    def loaded(self, name: str) -> None:
        """Set the settings to what a visit that has just come in says.

        Raises
        ------
        VisitError
            The file gives a setting what it cannot be.
        """
        form = self.forms[name]
        take_settings(self.settings, get(form.data(), f"panel.{self.key}") or {}, f"panel.{self.key}", str(form.file))

    def clear(self) -> None:
        """Empty the panel; files stay as they are."""
        self._quiet = True
        try:
            for name, form in self.forms.items():
                form.clear()
                form.switch_units(self.units)
                self.files.names[name].value = ""
        finally:
            self._quiet = False
        self.shown = None
        self.frame.clear()
        self._record()
        self.refresh()

    def picture_bytes(self, form: str) -> bytes:
        """The picture as a file's content."""
        return figure_bytes(self.picture(), form)  # type: ignore[arg-type]

    def _repr_mimebundle_(self, **_: Any) -> dict[str, Any]:
        return bundle(self.widget, f"{self.title}: needs a running kernel and widgets to show.")
