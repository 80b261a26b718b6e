"""The rows at the bottom of a panel: load and save each visit, write the picture and the report."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets as widgets

from airside.errors import AirsideError
from airside.show.panels.shared import name_box

if TYPE_CHECKING:
    from airside.show.panels.panel import Panel


class FileRows:
    """Names, buttons and what they do.

    Attributes
    ----------
    names, load_buttons, save_buttons : dict of str to widget
        By visit.
    """

    def __init__(self, panel: Panel) -> None:
        self.panel = panel
        self.names: dict[str, Any] = {}
        self.load_buttons: dict[str, Any] = {}
        self.save_buttons: dict[str, Any] = {}
        rows = []
        for name in panel.names:
            words = "Visit file" if len(panel.names) == 1 else f"{name.capitalize()} file"
            box = _name_box(words, f"{name}.toml", "Name of a visit file, seen from the notebook's folder")
            load = widgets.Button(description="Load", tooltip=f"Bring in this file: {words.lower()}")
            save = widgets.Button(
                description="Save", tooltip=f"Write what stands here as a visit file: {words.lower()}"
            )
            load.on_click(lambda _, name=name: panel.press(partial(self._load, name)))
            save.on_click(lambda _, name=name: panel.press(partial(self._save, name)))
            self.names[name], self.load_buttons[name], self.save_buttons[name] = box, load, save
            rows.append(row(box, load, save))
        self.new_button = widgets.Button(description="Empty", tooltip="Empty every field; files stay as they are")
        self.new_button.on_click(lambda _: panel.press(panel.clear))
        rows[-1].children = (*rows[-1].children, self.new_button)
        self.picture_name = _name_box("Picture", "picture.svg", "Name ending in .svg, .png or .pdf")
        self.picture_button = widgets.Button(description="Save picture", tooltip="Write the picture to a file")
        self.picture_button.on_click(lambda _: panel.press(partial(self._write, self.picture_name, panel.save_picture)))
        self.report_name = _name_box("Report", "report.html", "Name ending in .html, or .pdf where that is installed")
        self.report_button = widgets.Button(description="Write report", tooltip="Write the report to sign")
        self.report_button.on_click(lambda _: panel.press(partial(self._write, self.report_name, panel.save_report)))
        self.replace = widgets.Checkbox(value=False, indent=False, layout={"width": "200px"})
        name_box(self.replace, "replace a file that exists", "Without the tick a file that exists is left as it is")
        rows += [row(self.picture_name, self.picture_button), row(self.report_name, self.report_button, self.replace)]
        self.kept = widgets.HTML()
        self.kept.add_class("airside-box")
        self.widget = widgets.VBox([*rows, self.kept])

    def _load(self, name: str) -> None:
        frame = self.panel.frame
        file = self.names[name].value.strip()
        if not file:
            frame.say("Name the file first.", wrong=True)
            return
        try:
            self.panel.load(file, name)
            frame.say(f"Loaded {file}.")
        except AirsideError as error:
            frame.say(f"{error}\nThe panel is still as it was.", wrong=True)

    def _save(self, name: str) -> None:
        def save(file: str, *, replace: bool) -> Path:
            return self.panel.save(file, name, replace=replace)

        self._write(self.names[name], save)

    def _write(self, box: Any, write: Callable[..., Path]) -> None:
        frame = self.panel.frame
        file = box.value.strip()
        if not file:
            frame.say("Name the file first.", wrong=True)
            return
        try:
            frame.say(f"Saved {write(file, replace=self.replace.value)}.")
        except AirsideError as error:
            frame.say(str(error), wrong=True)


def row(*parts: Any) -> Any:
    """Widgets side by side."""
    found = widgets.HBox(list(parts))
    found.add_class("airside-bar")
    return found


def _name_box(words: str, placeholder: str, tooltip: str) -> Any:
    made = widgets.Text(placeholder=placeholder, continuous_update=False)
    name_box(made, words, tooltip)
    return made
